package main

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"

	"pourplane/plot"
	"pourplane/plot/exchange"
	"pourplane/plot/sheet"
	"pourplane/plot/table"
)

// handover is what is handed over of a job: the files that leave the house.
type handover struct {
	*solved
	depth  *plot.DepthMap
	date   time.Time
	day    string
	inputs []fileSum

	bayAreas, bayVolumes []float64 // as shown, so that they add up to the whole as shown
}

// newHandover prepares what is handed over of a job.
func newHandover(s *solved, day time.Time) (*handover, error) {
	h := &handover{solved: s, date: day, day: day.Format(time.DateOnly)}
	m := s.depthMap()
	m.Title = ""                   // the page has it
	m.Shots = s.floor.Used <= 2000 // more are a grey of dots, and make a page too heavy for a telephone
	h.depth = &m
	return h, h.shareBays()
}

// printTables prints what is bought and poured bay by bay.
func (h *handover) printTables(w io.Writer) error {
	all := h.serviceTables()
	if len(all) > 0 {
		all = all[len(all)-1:] // what is bought
	}
	if h.bars != nil {
		all = append(all, h.cutTable())
	}
	if h.bays != nil {
		all = append(all, h.bayTable())
	}
	for _, t := range all {
		if _, err := fmt.Fprintln(w); err != nil {
			return err
		}
		if err := table.WriteText(w, t, 110); err != nil {
			return err
		}
	}
	return nil
}

// files writes what is handed over, in memory.
func (h *handover) files(watch Watch) ([]output, error) {
	paper := sheet.A4
	if h.job.Outputs.Paper == "Letter" || h.job.Outputs.Paper == "" && h.style.Imperial {
		paper = sheet.Letter
	}
	r := h.record(false)
	all := []struct {
		name  string
		write func(b *bytes.Buffer) error
	}{
		{"record.pdf", func(b *bytes.Buffer) error { return sheet.WritePDF(b, h.record(true), paper) }},
		{"record.html", func(b *bytes.Buffer) error { return sheet.WriteHTML(b, r, h.depth) }},
		{"wall.pdf", func(b *bytes.Buffer) error { return sheet.WritePDF(b, h.wall(), paper) }},
		{"customer.pdf", func(b *bytes.Buffer) error { return sheet.WritePDF(b, h.customer(), paper) }},
		{"takeoff.xlsx", func(b *bytes.Buffer) error { return exchange.WriteXLSX(b, r.Title, h.date, h.books()) }},
		{"pins.csv", func(b *bytes.Buffer) error { return table.WriteCSV(b, h.pinTable(false)) }},
		{"pins.pdf", func(b *bytes.Buffer) error { return h.writePins(b, paper) }},
		{"plan.dxf", func(b *bytes.Buffer) error { return exchange.WriteDXF(b, h.plan()) }},
		{"floor.geojson", func(b *bytes.Buffer) error { return exchange.WriteGeoJSON(b, h.plan()) }},
	}
	var out []output
	for _, f := range all {
		if h.pins == nil && strings.HasPrefix(f.name, "pins.") {
			continue
		}
		watch.say("writing "+f.name, 0, 0)
		var b bytes.Buffer
		if err := f.write(&b); err != nil {
			return nil, fmt.Errorf("%s: %w", f.name, err)
		}
		out = append(out, output{f.name, b.Bytes()})
	}
	return out, nil
}

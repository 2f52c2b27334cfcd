package main

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"pourplane/plot"
	"pourplane/plot/exchange"
	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface/job"
)

// solved is everything that a job has come to.
type solved struct {
	*work
	supplies
	setting
	job  *job.Job
	fill *fillFlags
}

// handover is what is handed over of a job: the files that leave the house.
type handover struct {
	*solved
	judged *judged // nil without a survey after the pour
	depth  *plot.DepthMap
	date   time.Time
	day    string
	inputs []fileSum
}

// newHandover works out what a job asks for beyond the fill itself.
func newHandover(j *job.Job, f *fillFlags, w *work, day time.Time) (*handover, error) {
	h := &handover{work: w, job: j, fill: f, date: day, day: day.Format(time.DateOnly)}
	m := w.depthMap()
	m.Title = ""                   // the page has it
	m.Shots = w.floor.Used <= 2000 // more are a grey of dots, and make a page too heavy for a telephone
	h.depth = &m
	if j.Site.Bearing != "" && j.Site.Bearing != "ground" && j.Site.Bearing != "suspended" {
		return nil, j.Error("site.bearing", strconv.Quote(j.Site.Bearing), "ground or suspended")
	}
	if p := j.Outputs.Paper; p != "" && p != "A4" && p != "Letter" {
		return nil, j.Error("outputs.paper", strconv.Quote(p), "A4 or Letter")
	}
	if err := h.supply(); err != nil {
		return nil, err
	}
	if err := h.setOut(); err != nil {
		return nil, err
	}
	e := h.entries()
	if h.addUp(e); e.err != nil {
		return nil, e.err
	}
	w.mixed = h.mixName()
	for i := range h.notes {
		h.notes[i].Text = keyed(h.notes[i].Text) // a job has no flags
	}
	return h, nil
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
func (h *handover) files(p *progress) ([]output, error) {
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
		p.say("writing "+f.name, 0, 0)
		var b bytes.Buffer
		if err := f.write(&b); err != nil {
			return nil, fmt.Errorf("%s: %w", f.name, err)
		}
		out = append(out, output{f.name, b.Bytes()})
	}
	return out, nil
}

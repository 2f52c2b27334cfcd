package report

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"pourplane/plot"
	"pourplane/plot/exchange"
	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// Handover is the files to hand over for a job.
type Handover struct {
	*job.Result
	Style  unit.Style
	depth  *plot.DepthMap
	date   time.Time
	day    string
	Inputs []FileSum

	bayAreas, bayVolumes, bayLacks []float64 // as shown, so that they add up to the whole as shown
}

// StyleOf returns the style that a job asks for: the system of its survey, or the one that it names.
func StyleOf(s *job.Result) unit.Style { return job.StyleOf(s.Survey, s.Job.Show) }

// NewHandover prepares the files to hand over for a job, in a style.
func NewHandover(s *job.Result, style unit.Style) (*Handover, error) {
	day, err := s.Job.Day()
	if err != nil {
		return nil, err
	}
	h := &Handover{Result: s, Style: style, date: day, day: day.Format(time.DateOnly)}
	m := depthMap(s.Filled, style)
	m.Title, m.Summary = "", ""    // the page has them
	m.Shots = s.Floor.Used <= 2000 // more are a grey of dots, and make a page too heavy for a phone
	h.depth = &m
	return h, h.shareBays()
}

// PrintTables prints what to buy and what to pour, bay by bay.
func (h *Handover) PrintTables(w io.Writer) error {
	all := h.serviceTables()
	if len(all) > 0 {
		all = all[len(all)-1:] // what to buy
	}
	if h.Bars != nil {
		all = append(all, h.cutTable())
	}
	if h.Bays != nil {
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

// Everything makes all files of a job, in memory, result.json first.
func (h *Handover) Everything(watch job.Watch) ([]Output, error) {
	data, err := h.JSON()
	if err != nil {
		return nil, err
	}
	handed, err := h.files(watch)
	if err != nil {
		return nil, err
	}
	pictures, err := Drawn(FillPictures(h.Filled, h.Style), watch)
	if err != nil {
		return nil, err
	}
	xml, err := LandXML(h.Filled, h.date).held() // its sum is in the manifest
	if err != nil {
		return nil, err
	}
	all := slices.Concat([]Output{{Name: "result.json", Data: data}}, handed, pictures, []Output{xml})
	if j := h.Judged; j != nil {
		pictures, err := Drawn(FlatnessPictures(j, j.Title, h.Style), watch)
		if err != nil {
			return nil, err
		}
		all = append(append(all, Output{Name: "places.csv", Data: Places(j, h.Style)}), pictures...)
	}
	return all, nil
}

// files writes the files to hand over.
func (h *Handover) files(watch job.Watch) ([]Output, error) {
	paper := sheet.A4
	if h.Job.Outputs.Paper == "Letter" || h.Job.Outputs.Paper == "" && h.Style.Imperial {
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
	var out []Output
	for _, f := range all {
		if h.Pins == nil && strings.HasPrefix(f.name, "pins.") {
			continue
		}
		watch.Say("writing "+f.name, 0, 0)
		var b bytes.Buffer
		if err := f.write(&b); err != nil {
			return nil, fmt.Errorf("%s: %w", f.name, err)
		}
		out = append(out, Output{Name: f.name, Data: b.Bytes()})
	}
	return out, nil
}

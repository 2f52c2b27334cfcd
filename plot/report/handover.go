package report

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
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
	main   func() *plot.DepthMap // depth with the next shots, for the record
	errors func() *plot.DepthMap // the map of the ± of the depth; nil if it is not known
	date   time.Time
	day    string
	Inputs []FileSum
	all    []making // see [Handover.everything]

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
	h.main = sync.OnceValue(func() *plot.DepthMap {
		if s.Judged != nil { // nothing is measured again after the pour
			return h.depth
		}
		with := *h.depth
		numberNext(&with, s.Filled)
		return &with
	})
	h.errors = sync.OnceValue(func() *plot.DepthMap { return errorMap(s.Filled, style) })
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
func (h *Handover) Everything(watch job.Watch) ([]Output, error) { return made(h.everything(), watch) }

// FileNames are the names of all files, in their order.
func (h *Handover) FileNames() []string {
	var out []string
	for _, one := range h.everything() {
		out = append(out, one.name)
	}
	return out
}

// Some makes the files of some names; no other name is among them.
func (h *Handover) Some(names []string, watch job.Watch) ([]Output, error) {
	var some []making
	for _, one := range h.everything() {
		if slices.Contains(names, one.name) {
			some = append(some, one)
		}
	}
	return made(some, watch)
}

// everything lists all files, once: their drawings share what they are made from.
func (h *Handover) everything() []making {
	if h.all != nil {
		return h.all
	}
	all := []making{{"result.json", "writing result.json", func(w io.Writer) error {
		data, err := h.JSON()
		if err == nil {
			_, err = w.Write(data)
		}
		return err
	}}}
	all = append(all, h.files()...)
	m, plusMinus := depthMap(h.Filled, h.Style), h.errors()
	switch {
	case h.Judged == nil:
		numberNext(&m, h.Filled)
	case plusMinus != nil: // nothing is measured again after the pour
		of := *plusMinus
		of.Spots, plusMinus = nil, &of
	}
	all = append(all, drawings(fillPictures(h.Filled, m, plusMinus, h.Style))...)
	xml := LandXML(h.Filled, h.date) // held in memory, as its sum is in the manifest
	all = append(all, making{xml.Name, "writing " + xml.Name, func(w io.Writer) error { return xml.Write(w) }})
	if j := h.Judged; j != nil {
		all = append(all, making{"places.csv", "writing places.csv", func(w io.Writer) error {
			_, err := w.Write(Places(j, h.Style))
			return err
		}})
		all = append(all, drawings(FlatnessPictures(j, j.Title, h.Style))...)
	}
	h.all = all
	return all
}

// files lists the files to hand over. They share the map of depths.
func (h *Handover) files() []making {
	paper := sheet.A4
	if h.Job.Outputs.Paper == "Letter" || h.Job.Outputs.Paper == "" && h.Style.Imperial {
		paper = sheet.Letter
	}
	h.depth.Height(plot.DefaultWidth) // works out what its drawings share
	all := []making{
		{name: "record.pdf", write: func(w io.Writer) error { return sheet.WritePDF(w, h.record(true), paper) }},
		{name: "record.html", write: func(w io.Writer) error { return sheet.WriteHTML(w, h.record(false), h.main()) }},
		{name: "wall.pdf", write: func(w io.Writer) error { return sheet.WritePDF(w, h.wall(), paper) }},
		{name: "customer.pdf", write: func(w io.Writer) error { return sheet.WritePDF(w, h.customer(), paper) }},
		{name: "takeoff.xlsx", write: func(w io.Writer) error { return exchange.WriteXLSX(w, h.Title, h.date, h.books()) }},
		{name: "pins.csv", write: func(w io.Writer) error { return table.WriteCSV(w, h.pinTable(false)) }},
		{name: "pins.pdf", write: func(w io.Writer) error { return h.writePins(w, paper) }},
		{name: "plan.dxf", write: func(w io.Writer) error { return exchange.WriteDXF(w, h.plan()) }},
		{name: "floor.geojson", write: func(w io.Writer) error { return exchange.WriteGeoJSON(w, h.plan()) }},
	}
	var out []making
	for _, f := range all {
		if h.Pins == nil && strings.HasPrefix(f.name, "pins.") {
			continue
		}
		write := f.write
		f.doing, f.write = "writing "+f.name, func(w io.Writer) error {
			if err := write(w); err != nil {
				return fmt.Errorf("%s: %w", f.name, err)
			}
			return nil
		}
		out = append(out, f)
	}
	return out
}

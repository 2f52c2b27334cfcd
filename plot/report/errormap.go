package report

import (
	"fmt"
	"strings"

	"pourplane/plot"
	"pourplane/plot/sheet"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// errorMap is the map of the ± of the depth, with the next shots; nil where it is not known, see
// [noErrorMap].
func errorMap(w *job.Filled, style unit.Style) *plot.DepthMap {
	s := w.Sure()
	if s == nil || noErrorMap(s, w.Old) != "" {
		return nil
	}
	e := plot.ErrorMap{Title: w.Title, Note: mapNote(w), Floor: w.Old, Units: style, Error: func(region int, places []surface.Vec) []float64 {
		out := make([]float64, len(places))
		for i, d := range s.Model.Depths(region, places) {
			out[i] = d.Within
		}
		return out
	}}
	for _, n := range s.Next() {
		e.Next = append(e.Next, n.At)
	}
	m := e.Map()
	if m.Floor == nil {
		return nil
	}
	made := "readings, set-up and the floor between the shots"
	if s.Model.SetupSD() == 0 {
		made = "readings and the floor between the shots, no set-up"
	}
	m.Note = strings.TrimSpace("In the ±: " + made + "\n" + m.Note)
	all := m.Floor.FillTo(m.Target, nil)
	m.Summary = fmt.Sprintf("± of the depth: mean %s, max %s", plot.ErrorText(all.Mean, style), plot.ErrorText(all.Greatest, style))
	return m
}

// noErrorMap is why there is no map of the ± of the depth; empty if there is one.
func noErrorMap(s *job.Sure, floor *surface.Floor) string {
	switch {
	case !s.Known:
		return "± of the depth not measured: " + s.Lacks(floor) + "."
	case !s.Model.Everywhere():
		return fmt.Sprintf("No map of the ± of the depth: with %s it is worked out on a part of the floor only.", survey.Plural(s.Shots, "shot"))
	}
	return ""
}

// errorSection is the map of the ± of the depth in the record on a screen. On paper it is beside the
// depths.
func (h *Handover) errorSection(paper bool) sheet.Section {
	m := h.errors()
	if paper || m == nil {
		return sheet.Section{}
	}
	return sheet.Section{Title: "± of the depth", Text: []string{h.errorLine(m)}, Pictures: []sheet.Picture{{Drawing: h.errorsNow(m), Caption: "How well the depth is known: 9 of 10 places are within the ± of their colour"}}}
}

// errorsNow is the map of the ± of the depth in the record: nothing is measured again after the pour.
func (h *Handover) errorsNow(m *plot.DepthMap) *plot.DepthMap {
	of := *m
	of.Title, of.Summary, of.Note = "", "", ""
	if h.Judged != nil {
		of.Spots = nil
	}
	return &of
}

// errorText is how well the depth is known, beside the depths on paper.
func (h *Handover) errorText(paper bool) []string {
	s := h.Filled.Sure()
	if s == nil {
		return nil
	}
	m := h.errors()
	switch {
	case m == nil:
		return []string{noErrorMap(s, h.Old)}
	case paper:
		return []string{h.errorLine(m)}
	}
	return nil
}

// errorLine is how well the depth is known.
func (h *Handover) errorLine(m *plot.DepthMap) string {
	with := "set-up included"
	if h.Filled.Sure().Model.SetupSD() == 0 {
		with = "without the set-up"
	}
	return m.Summary + "; 9 of 10 places are within it, " + with + "."
}

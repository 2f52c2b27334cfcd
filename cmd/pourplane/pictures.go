package main

import (
	"bytes"
	"fmt"
	"strings"

	"pourplane/plot"
	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// pictures draws the maps, in memory.
func (f *fillFlags) pictures(s *survey.Survey, floor *surface.Floor, fill surface.Fill, notes []survey.Note, levels []float64, style unit.Style, p *progress) ([]output, error) {
	m := plot.DepthMap{
		Title:   f.name(s),
		Summary: fmt.Sprintf("Fill %s, mean depth %s; target %s", style.Volume(fill.Fill), style.Depth(fill.Mean), targetText(fill.Target, style)),
		Note:    mapNote(floor, fill, notes, style),
		Floor:   floor, Target: fill.Target, Levels: levels,
		Finished: s.Finished, Units: style, Shots: true,
	}
	var out []output
	for _, d := range []struct {
		name    string
		drawing plot.Drawing
	}{
		{"depth", &m},
		{"contours", (*plot.ContourMap)(&m)},
	} {
		for _, format := range []string{"png", "svg", "pdf"} {
			p.say("drawing "+d.name+"."+format, 0, 1)
			var b bytes.Buffer
			if err := plot.Write(&b, d.drawing, plot.Output{Format: format}); err != nil {
				return nil, fmt.Errorf("%s.%s: %w", d.name, format, err)
			}
			out = append(out, output{d.name + "." + format, b.Bytes()})
		}
	}
	return out, nil
}

// mapNote says on the map what its reader must know: what was left out and what
// the edge rests on.
func mapNote(floor *surface.Floor, fill surface.Fill, notes []survey.Note, style unit.Style) string {
	var lines []string
	left := 0
	var where []string
	for _, n := range notes {
		if n.Kind == survey.LeftOut {
			left++
			if len(where) < 8 {
				where = append(where, fmt.Sprint(n.Pos.Line))
			}
		}
	}
	if left > 0 {
		text := fmt.Sprintf("%d rows left out (lines %s", left, strings.Join(where, ", "))
		if left > len(where) {
			text += ", …"
		}
		lines = append(lines, text+")")
	}
	if floor.Hull {
		lines = append(lines, "Edge: the hull of the shots, for want of an outline; floor beyond it is missing")
	}
	if fill.FittedArea > 0 {
		lines = append(lines, fmt.Sprintf("%.0f %% of the area lies at walls where the elevation is fitted, not shot", 100*fill.FittedArea/fill.Area))
	}
	return strings.Join(lines, "\n")
}

package report

import (
	"math"

	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// WaterMark is where water stands on a surface of a floor, for a screen.
type WaterMark struct {
	On       string       `json:"on"`
	Target   bool         `json:"target"` // the finished floor, with its drains
	Text     string       `json:"text"`   // in short
	Shades   []WaterShade `json:"shades"`
	Ponds    []PondMark   `json:"ponds"`
	Tables   []Grid       `json:"tables"` // the ponds first, if there are any
	Warnings []string     `json:"warnings,omitempty"`
}

// WaterShade is a colour of water as #rrggbb and the floor under more than a depth of it, as loops
// with the water on their left.
type WaterShade struct {
	From  float64        `json:"from_m"`
	Color string         `json:"color"`
	Text  string         `json:"text"`
	Loops [][][2]float64 `json:"loops"`
}

// PondMark is the deepest place of a pond, with its number and depth, or the lowest place of a floor
// without an outlet.
type PondMark struct {
	Text string     `json:"text"`
	At   [2]float64 `json:"at"`
}

// WaterMarks are where water stands on some surfaces of a floor. notes are about the outlets.
func WaterMarks(all []*job.Standing, notes []survey.Note, u unit.Style) []WaterMark {
	out := []WaterMark{}
	for _, s := range all {
		m := waterMap(s, "", u)
		w := WaterMark{On: upperFirst(waterOn(s.On)), Target: s.On == job.AsPlanned, Text: upperFirst(pondsText(s, u)) + "; " + Printable(drainsText(s, u)) + ".", Shades: []WaterShade{}, Ponds: []PondMark{}}
		for i, text := range m.Depths() {
			if len(m.Under[i]) > 0 {
				w.Shades = append(w.Shades, WaterShade{m.Limits[i], text.Color, upperFirst(text.Text), loopsOf(m.Under[i])})
			}
		}
		for _, p := range m.Ponds {
			w.Ponds = append(w.Ponds, PondMark{p.Name, pt(p.At)})
		}
		for _, c := range s.Closed {
			if c.Runs > 0 {
				w.Ponds = append(w.Ponds, PondMark{"lowest place, no outlet", pt(c.At)})
			}
		}
		tables, _ := waterParts(s, u)
		for _, t := range tables {
			w.Tables = append(w.Tables, gridOf(t))
		}
		if len(out) == 0 {
			for _, n := range notes {
				w.Warnings = append(w.Warnings, Printable(noteLine(n, u)))
			}
		}
		out = append(out, w)
	}
	return out
}

// loopsOf writes loops to a tenth of a millimetre, which is finer than any screen.
func loopsOf(loops [][]surface.Vec) [][][2]float64 {
	out := make([][][2]float64, len(loops))
	for i, loop := range loops {
		for _, p := range loop {
			out[i] = append(out[i], [2]float64{math.Round(p.X*1e4) / 1e4, math.Round(p.Y*1e4) / 1e4})
		}
	}
	return out
}

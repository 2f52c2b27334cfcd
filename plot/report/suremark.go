package report

import (
	"fmt"
	"math"

	"pourplane/plot"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/surface/uncertainty"
	"pourplane/survey/unit"
)

// SureGrid is what the ± of the fill is made of, on a screen; nil where it is not measured.
func (s *Summary) SureGrid() *Grid {
	sure := s.Filled.Sure()
	if sure == nil || !sure.Known || s.Fill.Fill == 0 || sure.Parts.Total == 0 {
		return nil
	}
	half := func(sd float64) string { return "±" + partIn(s.Filled, halfOf(sd), s.Style) }
	what := "volume"
	if byVolume(s.Filled) {
		what = "height"
	}
	g := &Grid{Title: "What makes the " + what + " unsure", Columns: []GridHead{{Name: "Cause"}, {Name: "90 %", Right: true}, {Name: "Share", Right: true}}}
	p, total := sure.Parts, sure.Parts.Total*sure.Parts.Total
	for _, c := range []struct {
		name string
		sd   float64
	}{{"Readings", p.Reading}, {"Set-up", p.Setup}, {"Between shots", p.Sampling}, {"At walls", p.Walls}} {
		g.Rows = append(g.Rows, []string{c.name, half(c.sd), fmt.Sprintf("%.0f %%", 100*c.sd*c.sd/total)})
	}
	g.Rows = append(g.Rows, []string{"Together", half(p.Total), ""})
	g.Notes = append(g.Notes, sentence(ofCauses))
	for _, e := range []struct {
		name, flag string
		given      bool
		sd         float64
	}{{"reading", "reading-sd", sure.ReadingGiven, sure.Reading}, {"set-up", "setup-sd", sure.SetupGiven, sure.Setup}} {
		if !e.given {
			g.Notes = append(g.Notes, fmt.Sprintf("Assumed %s error %s, unless it is given as %s.", e.name, job.SD(e.sd).In(s.Style), s.option(e.flag)))
		}
	}
	if text := helps(sure, func(string) string { return "“How sure” on the plan" }); text != "" {
		g.Notes = append(g.Notes, text+".")
	}
	return g
}

// SureMark is how sure a floor is, on a screen: the ± of its depths in plan, and the places worth
// another shot.
type SureMark struct {
	Text   string     `json:"text"`
	Notes  []string   `json:"notes,omitempty"`
	Shades []Shade    `json:"shades,omitempty"` // of the ±
	Next   []NextMark `json:"next,omitempty"`

	Map *surface.Floor `json:"-"` // as far below 0 as the depth is unsure; nil: not measured
}

// NextMark is a place worth another shot.
type NextMark struct {
	Name string     `json:"name"`
	At   [2]float64 `json:"at"`
	Text string     `json:"text"` // where it is, and the ± after it
}

// SureMarkOf is how sure the floor of a fill is.
func SureMarkOf(w *job.Filled, style unit.Style) *SureMark {
	s := w.Sure()
	if s == nil {
		return &SureMark{Text: "± not measured"}
	}
	m := &SureMark{Text: fillSure(w, style)}
	m.fill(s, w.Old, w.Fill.Fill, style)
	return m
}

// GroundSureOf is how sure a floor is that has no target yet: the volume is that below a level.
func GroundSureOf(h *job.Holding, top surface.Target, style unit.Style) (*SureMark, error) {
	s, err := h.Sure(top)
	if err != nil {
		return nil, err
	}
	m := &SureMark{}
	if !s.Known {
		m.Text = "± not measured: " + s.Lacks(h.Floor)
	} else {
		m.Text = "A fill over the whole floor: within ±" + style.PartVolume(halfOf(s.Parts.Total), s.Fill) + ", 90 % sure"
	}
	m.fill(s, h.Floor, s.Fill, style)
	return m, nil
}

func (m *SureMark) fill(s *job.Sure, floor *surface.Floor, fill float64, style unit.Style) {
	next := nextOf(s.Next(), s.Parts, floor, fill, style)
	for i, where := range next.where {
		mark := NextMark{fmt.Sprint(i + 1), pt(next.at[i]), where}
		if next.after != nil {
			mark.Text += "; then " + next.after[i]
		}
		m.Next = append(m.Next, mark)
	}
	if next.little != "" {
		m.Notes = append(m.Notes, next.little+".")
	}
	if !s.Known {
		return
	}
	d := plot.ErrorMap{Floor: floor, Error: within(s.Model), Units: style}.Map()
	if d.Floor == nil {
		m.Notes = append(m.Notes, "The ± of the depth at a place is not measured on this floor.")
		return
	}
	m.Map = d.Floor
	for _, v := range d.Shades() {
		m.Shades = append(m.Shades, Shade{v.From, v.To, v.Color, plot.ErrorText(v.From, style) + " to " + plot.ErrorText(v.To, style)})
	}
}

// within returns the ± of depths at places, 9 times in 10.
func within(model *uncertainty.Model) func(int, []surface.Vec) []float64 {
	return func(region int, places []surface.Vec) []float64 {
		out := make([]float64, 0, len(places))
		for _, d := range model.Depths(region, places) {
			out = append(out, d.Within)
		}
		for len(out) < len(places) {
			out = append(out, math.NaN())
		}
		return out
	}
}

package report

import (
	"pourplane/plot"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Ground is a floor as found, on a screen, before it has a target.
type Ground struct {
	Facts    []Fact
	Warnings []string      // about all depths
	Top      surface.Plane // level, at the highest place: depths are below it
	Shades   []Shade       // of these depths
	Spots    []SpotMark    // the highest and the lowest place
}

// GroundOf is the floor of what a survey holds; it has one.
func GroundOf(h *job.Holding, style unit.Style) *Ground {
	found := h.Floor.FillTo(surface.Plane{}, nil)
	highest, lowest := -found.Least, -found.Greatest
	g := &Ground{Top: surface.Horizontal(highest)}
	m := plot.DepthMap{Floor: h.Floor, Target: g.Top, Levels: surface.Steps{US: style.Imperial, Finest: style.Step()}.Limits(h.Floor, g.Top), Units: style}
	g.Shades = shadesOf(&m, style)

	all := Fact{Head: "Floor as found", Text: span(highest-lowest, style) + " from highest to lowest"}
	for _, v := range h.Suspects {
		all.Warnings = append(all.Warnings, Printable(job.BlunderText(v).In(style)))
	}
	g.Facts = append(g.Facts, all)
	for _, n := range h.S.Notes {
		if n.Kind == survey.Warning && n.Topic == survey.AboutDepth {
			g.Warnings = append(g.Warnings, Printable(n.In(style)))
		}
	}
	for _, one := range []struct {
		head string
		high bool
		at   surface.Vec
		z    float64
	}{{"Highest", true, found.LeastAt, highest}, {"Lowest", false, found.GreatestAt, lowest}} {
		where := groundPlace(h, one.at, style)
		g.Facts = append(g.Facts, Fact{Head: one.head, Text: style.Elevation(one.z) + ", " + where})
		mark := SpotMark{High: one.high, At: [2]float64{one.at.X, one.at.Y}, Off: one.z - highest, Text: one.head, Where: where}
		if !one.high {
			mark.Text += " " + style.Depth(one.z-highest)
		}
		g.Spots = append(g.Spots, mark)
	}
	return g
}

// groundPlace is a place by the shot there and, where there are walls, by its distance from two
// of them.
func groundPlace(h *job.Holding, at surface.Vec, style unit.Style) string {
	where := surface.Spot{Floor: h.Floor, At: at, Doors: true}.In(style)
	for _, p := range h.S.Points {
		if p.X == at.X && p.Y == at.Y && p.Name() != "" {
			if h.Floor.Hull {
				return "shot " + p.Name()
			}
			return "shot " + p.Name() + ", " + where
		}
	}
	return where
}

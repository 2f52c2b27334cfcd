package report

import (
	"fmt"
	"slices"

	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// facetsBelow is how far the facets of a fall to drains are below it at most, m: elevations of
// corners and creases are of the fall itself.
const facetsBelow = 0.00005

// fallSection is what a crew sets out of a target that falls to drains.
func (h *Handover) fallSection() sheet.Section {
	if h.Falls == nil {
		return sheet.Section{}
	}
	s := sheet.Section{Title: "Falls to drains", Text: []string{"Top of fill at the drains, at the corners of the walls and along the creases; rounded down."}}
	s.Tables = []table.Table{drainServes(h.Filled, h.Style), fallHeights(h.Filled, h.Style)}
	if t := creaseTable(h.Filled, h.Style); t.Rows != nil {
		s.Tables = append(s.Tables, t)
	}
	return s
}

// drainServes lists the drains of a target, with what runs to each.
func drainServes(w *job.Filled, u unit.Style) table.Table {
	m := measuresOf(u)
	t := table.Table{Title: "Drains", Columns: []table.Column{{Name: "Drain", Whole: true}, {Name: "Place"}, {Name: "Top of fill", Right: true}, numbers("Serves", m.areaName, m.areaDigits()), {Name: "Longest way", Right: true}, {Name: "Least fall", Right: true}}}
	for _, d := range w.Falls.Served {
		at := job.Beside(w.Floor, d.At).In(u)
		if d.Channel {
			at += " to " + job.Beside(w.Floor, d.To).In(u)
		}
		t.Rows = append(t.Rows, []table.Cell{table.Text(Printable(d.Name)), table.Text(at), table.Text(u.LevelDown(d.Z + w.RaisedBy)), m.areaCell(d.Area), table.Text(u.Length(d.Farthest)), table.Text(percentFall(d.LeastFall))})
	}
	return t
}

// mostPlaces are the places of a fall that a page lists. Own choice.
const mostPlaces = 60

// fallHeights lists the top of fill at the corners of the walls and the ends of creases, and how
// far it is above the old floor.
func fallHeights(w *job.Filled, u unit.Style) table.Table {
	m := measuresOf(u)
	t := table.Table{Title: "Heights along the walls", Columns: []table.Column{{Name: "Place"}, {Name: "Top of fill", Right: true}, numbers("Above the old floor", m.thinName, 2)}}
	old := w.Old.Locators()
	var seen []surface.Vec
	add := func(at surface.Vec) {
		if slices.ContainsFunc(seen, func(p surface.Vec) bool { return p.Distance(at) < onePlace }) {
			return
		}
		z, _, ok := old.At(at)
		if !ok {
			return
		}
		seen = append(seen, at)
		top := w.Fill.Target.Elevation(at) + facetsBelow
		t.Rows = append(t.Rows, []table.Cell{table.Text(job.Beside(w.Floor, at).In(u)), table.Text(u.LevelDown(top)), table.Quantity(u.DepthDown(top-z), job.Rounded((top-z)/m.thin, 1e-6))})
	}
	for _, r := range w.Floor.Regions {
		for _, ring := range r.Rings {
			for _, p := range ring {
				add(p)
			}
		}
	}
	for _, c := range w.Falls.Creases {
		for _, at := range []surface.Vec{c.Points[0].At, c.Points[len(c.Points)-1].At} {
			if near := w.Floor.NearestWall(at); near.Distance(at) < onePlace {
				add(at)
			}
		}
	}
	if n := len(t.Rows) - mostPlaces; n > 0 {
		t.Rows = t.Rows[:mostPlaces]
		t.Notes = append(t.Notes, fmt.Sprintf("And %s, at columns and where creases end.", survey.Plural(n, "place")))
	}
	return t
}

// onePlace is how near two places are one, m.
const onePlace = 0.001

// creaseTable lists the lines along which the target bends.
func creaseTable(w *job.Filled, u unit.Style) table.Table {
	t := table.Table{Title: "Creases", Columns: []table.Column{{Name: "Crease", Whole: true}, {Name: "From"}, {Name: "Top of fill", Right: true}, {Name: "To"}, {Name: "Top of fill", Right: true}, {Name: "Length", Right: true}}}
	end := func(at surface.Vec, z float64) (place, top string) {
		return job.Beside(w.Floor, at).In(u), u.LevelDown(z + w.RaisedBy + facetsBelow)
	}
	for _, c := range w.Falls.Creases {
		long := 0.0
		for i := range c.Points[1:] {
			long += c.Points[i].At.Distance(c.Points[i+1].At)
		}
		if long < onePlace {
			continue
		}
		kind := "ridge"
		if c.Valley {
			kind = "valley"
		}
		first, last := c.Points[0], c.Points[len(c.Points)-1]
		from, low := end(first.At, first.Z)
		to, high := end(last.At, last.Z)
		t.Rows = append(t.Rows, text(kind, from, low, to, high, u.Length(long)))
	}
	if n := len(t.Rows) - mostPlaces; n > 0 {
		t.Rows = t.Rows[:mostPlaces]
		t.Notes = append(t.Notes, fmt.Sprintf("And %s.", survey.Plural(n, "more crease")))
	}
	return t
}

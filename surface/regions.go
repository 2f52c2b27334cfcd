package surface

import (
	"cmp"
	"fmt"
	"strings"

	"pourplane/surface/internal/delaunay"
	"pourplane/surface/internal/plan"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// regionsOf finds the regions of the plan.
func (b *builder) regionsOf(m *delaunay.Mesh) error {
	ghost := int32(len(m.X))
	finite := make([]bool, len(m.V)/3)
	for t := range finite {
		finite[t] = m.V[3*t] != ghost && m.V[3*t+1] != ghost && m.V[3*t+2] != ghost
	}
	label, n := m.Label(wall|step, finite)
	rings := b.ringTest()
	owner := make([]int, n) // the outline each piece is in, -1 for none
	for l, t := range plan.Largest(m, label, n) {
		var err error
		if owner[l], err = b.innermost(rings, plan.TripleMiddle(m, t)); err != nil {
			return err
		}
		if o := owner[l]; o >= 0 && b.rings[o].kind == survey.Hole {
			owner[l] = -1
		}
	}
	if err := b.openingsInside(rings); err != nil {
		return err
	}
	id := b.nameRegions(owner)
	for t, l := range label {
		if l >= 0 {
			label[t] = id[l]
		}
	}
	b.keepBorders(plan.FindBorders(m, label, len(b.regions), step))
	return nil
}

func (b *builder) ringTest() plan.Rings {
	k := make([][]Vec, len(b.rings))
	for i, r := range b.rings {
		k[i] = r.k
	}
	return plan.NewRings(k)
}

// innermost returns the smallest ring around a place, given times three, -1 for none. Of an outline and an opening of the same area it is the outline.
func (b *builder) innermost(rings plan.Rings, tripled Vec) (int, error) {
	best := -1
	for _, i := range rings.Around(tripled) {
		switch {
		case best < 0 || b.rings[i].area < b.rings[best].area:
			best = i
		case b.rings[i].area == b.rings[best].area && b.rings[i].kind == survey.Outer:
			if b.rings[best].kind == survey.Outer {
				return -1, (&survey.Error{Pos: b.rings[i].points[0].At(), Element: ringName(survey.Ring{Name: b.rings[i].name}), Want: "each region outlined once", Ask: anotherOutline}).
					Saw("the same area as %s (%s)", ringName(survey.Ring{Name: b.rings[best].name}), source(b.rings[best].points[0]))
			}
			best = i
		}
	}
	return best, nil
}

// nameRegions makes a region of each piece that is in an outline, and returns the region
// of each piece, -1 for none. Several in one outline are numbered.
func (b *builder) nameRegions(owner []int) (id []int32) {
	id = make([]int32, len(owner))
	many := map[string]int{}
	for l := range owner {
		id[l] = -1
		if owner[l] < 0 {
			continue
		}
		id[l] = int32(len(b.regions))
		name := b.rings[owner[l]].name
		b.regions = append(b.regions, &region{outer: name, ring: owner[l]})
		many[name]++
	}
	count := map[string]int{}
	for _, r := range b.regions {
		r.name = r.outer
		if many[r.outer] > 1 {
			count[r.outer]++
			r.name = strings.TrimSpace(fmt.Sprintf("%s %d", cmp.Or(r.outer, "part"), count[r.outer]))
		}
	}
	return id
}

// openingsInside checks that every opening removes some floor.
func (b *builder) openingsInside(rings plan.Rings) error {
	for _, r := range b.rings {
		if r.kind != survey.Hole {
			continue
		}
		ok := false
		for j, s := range b.rings {
			if s.kind != survey.Outer || s.area < r.area {
				continue
			}
			ok = ok || rings.Holds(j, r.k)
		}
		if !ok {
			return &survey.Error{Pos: r.points[0].At(), Element: ringName(survey.Ring{Name: r.name, Kind: r.kind}),
				Found: "an opening that is not inside an outline", Want: "openings inside the floor", Ask: anotherOutline}
		}
	}
	return nil
}

// keepBorders gives the regions their rings and measures walls and steps.
func (b *builder) keepBorders(borders plan.Borders) {
	var walls, steps sum.Sum
	length := func(e [2]int32) float64 { return b.K[e[0]].Distance(b.K[e[1]]) / b.Per }
	for _, e := range borders.Walls {
		walls.Add(length(e))
	}
	for _, e := range borders.Steps {
		steps.Add(length(e))
		b.floor.Steps = append(b.floor.Steps, [2]Vec{b.Site(b.K[e[0]]), b.Site(b.K[e[1]])})
	}
	b.floor.Perimeter, b.floor.StepLength = walls.Value(), steps.Value()
	for i, r := range b.regions {
		r.rings = borders.Loops[i]
		for _, loop := range r.rings {
			for i := range loop {
				r.edge = append(r.edge, borderEdge{a: loop[i], b: loop[(i+1)%len(loop)]})
			}
		}
	}
	// The floor between lines that do not divide it stays in one region; the loose pieces
	// are kept as edges there.
	for _, e := range borders.Loose {
		b.creases = append(b.creases, polyline{name: "step", v: []int32{e[0], e[1]}})
		b.loose[[2]int32{min(e[0], e[1]), max(e[0], e[1])}] = true
	}
	for _, ring := range b.rings {
		if ring.kind == survey.Hole {
			var g []Vec
			for _, k := range ring.k {
				g = append(g, b.Site(k))
			}
			b.floor.Openings = append(b.floor.Openings, g)
		}
	}
}

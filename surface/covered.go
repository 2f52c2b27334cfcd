package surface

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pourplane/surface/internal/plan"
	"pourplane/survey"
)

// Covered returns the part of f over which s has triangles, cut along the edges of s, and how much
// of f is covered, from 0 to 1. What is not covered is left out as by [Floor.Without]: it is in
// [Floor.Left], its edges with the rest are [Floor.Open], and a floor that is built again from its
// Data is without it. A floor that is covered is f itself; one that is not has no regions.
//
// A place within two nanometres of an edge of s is on it. The error is a [*survey.Error]: an edge of
// s crosses a step of f, or rounding leaves triangles on top of each other, see [Floor.Cut].
func (f *Floor) Covered(s Shape) (*Floor, error) {
	if s.of.base != nil {
		return f, nil
	}
	lo, hi := f.Bounds()
	c := &cutter{f: f, NanoGrid: plan.NewNanoGrid(lo, hi)}
	c.Origin = f.Regions[0].TIN.Origin
	c.addEdges(s)
	out := *f
	out.Data.Within = &s
	out.Regions, out.Left = nil, slices.Clip(f.Left)
	var cuts [][2]Vec // between what is covered and what is not
	for _, r := range f.Regions {
		if !c.reaches(r) {
			if s.Covers(r.Rings[0][0]) {
				out.Regions = append(out.Regions, r)
			} else {
				out.Left = append(out.Left, r)
			}
			continue
		}
		p := c.newPatch(r)
		courses := p.courses(c.segments, func(segment) bool { return true })
		for i := range courses {
			p.cut(&courses[i])
		}
		p.place(c)
		if a, b, ok := p.t.join(); !ok {
			return nil, p.tangled(c, a, b)
		}
		p.bar(courses)
		kept, left, between := c.coveredCells(p, s)
		cuts = append(cuts, between...)
		switch {
		case len(left) == 0:
			out.Regions = append(out.Regions, r)
		case len(kept) == 0:
			out.Left = append(out.Left, r)
		default:
			out.Regions, out.Left = append(out.Regions, kept...), append(out.Left, left...)
		}
	}
	if len(out.Left) == len(f.Left) {
		return f, nil
	}
	if err := c.overSteps(cuts); err != nil {
		return nil, err
	}
	out.keepEdges(f, c.along(out.Regions, cuts)...)
	out.keepInside(f)
	return &out, nil
}

// reaches reports whether the box of a line of c meets that of a region.
func (c *cutter) reaches(r Region) bool {
	lo, hi := r.TIN.box()
	lo, hi = c.Steps(lo), c.Steps(hi)
	return slices.ContainsFunc(c.segments, func(s segment) bool {
		return max(s.A.X, s.B.X) >= lo.X-besideLine && min(s.A.X, s.B.X) <= hi.X+besideLine &&
			max(s.A.Y, s.B.Y) >= lo.Y-besideLine && min(s.A.Y, s.B.Y) <= hi.Y+besideLine
	})
}

// Middle returns the middle of the largest triangle of t; of several the first by place.
func (t *TIN) Middle() Vec {
	largest, at := 0.0, Vec{}
	for k := range t.Len() {
		a, b, c := t.At(t.V[3*k]), t.At(t.V[3*k+1]), t.At(t.V[3*k+2])
		m := Vec{X: (a.X + b.X + c.X) / 3, Y: (a.Y + b.Y + c.Y) / 3}
		if area := t.area(k); area > largest || area == largest && m.Less(at) {
			largest, at = area, m
		}
	}
	return at
}

// addEdges makes lines of the edges of a shape.
func (c *cutter) addEdges(s Shape) {
	for _, l := range s.of.layers {
		for h, w := range l.tin.Twin {
			if w >= 0 {
				continue
			}
			a, b := c.Steps(l.tin.At(l.tin.V[h])), c.Steps(l.tin.At(l.tin.V[Next(int32(h))]))
			if b.Less(a) {
				a, b = b, a
			}
			if a != b {
				c.segments = append(c.segments, segment{Edge: plan.Edge{A: a, B: b}, length: a.Distance(b)})
			}
		}
	}
	slices.SortFunc(c.segments, func(s, t segment) int {
		return cmp.Or(cmp.Compare(s.A.X, t.A.X), cmp.Compare(s.A.Y, t.A.Y), cmp.Compare(s.B.X, t.B.X), cmp.Compare(s.B.Y, t.B.Y))
	})
	c.segments = slices.CompactFunc(c.segments, func(s, t segment) bool { return s.A == t.A && s.B == t.B })
	for i := range c.segments {
		c.segments[i].Owner = i
	}
}

// coveredCells makes regions of the cells of p, and lists the edges between those that s covers
// and those that it does not. A cell is covered if the middle of its largest triangle is.
func (c *cutter) coveredCells(p *patch, s Shape) (kept, left []Region, between [][2]Vec) {
	c.cells = nil
	c.label(p)
	covered := c.coverage(p, s)
	for h, w := range p.t.Twin { // no edge between two cells of one kind
		if w >= 0 && covered[p.cell[h/3]] == covered[p.cell[w/3]] {
			p.dam[h] = -1
		}
	}
	c.cells = nil
	c.label(p)
	covered = c.coverage(p, s)
	triangles := make([][]int32, len(c.cells))
	for t, l := range p.cell {
		triangles[l] = append(triangles[l], int32(t))
	}
	corners, atCut := map[Vec]bool{}, map[Vec]bool{}
	for _, ring := range p.region.Rings {
		for _, q := range ring {
			corners[q] = true
		}
	}
	for h, w := range p.t.Twin {
		if w > int32(h) && covered[p.cell[h/3]] != covered[p.cell[w/3]] {
			a, b := p.t.At(p.t.V[h]), p.t.At(p.t.V[w])
			between = append(between, [2]Vec{a, b})
			atCut[a], atCut[b] = true, true
		}
	}
	for h, w := range p.t.Twin { // a cut ends at a wall
		if w < 0 && atCut[p.t.At(p.t.V[h])] {
			corners[p.t.At(p.t.V[h])] = true
		}
	}
	order := make([]int, len(c.cells))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		a, b := c.cells[i].first, c.cells[j].first
		return cmp.Or(cmp.Compare(a[0].X, b[0].X), cmp.Compare(a[0].Y, b[0].Y), cmp.Compare(a[1].X, b[1].X), cmp.Compare(a[1].Y, b[1].Y))
	})
	for _, l := range order {
		r := c.region(p, triangles[l])
		for i, loop := range r.TIN.borders() {
			r.Rings[i] = c.straightened(loop, corners)
		}
		if covered[l] {
			kept = append(kept, r)
		} else {
			left = append(left, r)
		}
	}
	for i := range kept {
		if len(kept) > 1 {
			kept[i].Name = strings.TrimSpace(fmt.Sprintf("%s %d", cmp.Or(kept[i].Name, "part"), i+1))
		}
	}
	return kept, left, between
}

// coverage reports for each cell of p whether s covers it.
func (c *cutter) coverage(p *patch, s Shape) []bool {
	largest, at := make([]float64, len(c.cells)), make([]Vec, len(c.cells))
	for t, l := range p.cell {
		middle := p.middle(int32(t))
		if a := p.t.area(t); a > largest[l] || a == largest[l] && middle.Less(at[l]) {
			largest[l], at[l] = a, middle
		}
	}
	out := make([]bool, len(c.cells))
	for l, m := range at {
		out[l] = s.Covers(c.Site(Vec{X: m.X / 3, Y: m.Y / 3}))
	}
	return out
}

// overSteps refuses cuts that end at a step of the floor, between its ends.
func (c *cutter) overSteps(cuts [][2]Vec) error {
	near := nearLine / c.Per
	for _, s := range c.f.Steps {
		for _, cut := range cuts {
			for _, p := range cut {
				if p.Distance(p.NearestOn(s[0], s[1])) <= near && p.Distance(s[0]) > near && p.Distance(s[1]) > near {
					return (&survey.Error{Element: "target surface", Want: "a surface that covers each part of the floor from step to step, or ends within a part"}).
						Saw("an edge that crosses a step at %s", Spot{Floor: c.f, At: p}).Hinted("let the surface run past the walls at the ends of the step")
				}
			}
		}
	}
	return nil
}

// along returns the edges of regions that are on one of some cuts.
func (c *cutter) along(regions []Region, cuts [][2]Vec) (out [][2]Vec) {
	on := &Floor{Regions: regions}
	on.edges(func(a, b Vec) {
		m := Vec{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
		for _, cut := range cuts {
			if m.Distance(m.NearestOn(cut[0], cut[1])) <= 2*nearLine/c.Per {
				out = append(out, [2]Vec{a, b})
				return
			}
		}
	})
	return out
}

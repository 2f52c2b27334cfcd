package surface

import (
	"fmt"
	"math"
	"slices"

	"pourplane/surface/internal/exact"
	"pourplane/surface/internal/plan"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// crossCreases makes a vertex wherever a line with elevations crosses a border
// or another such line.
func (b *builder) crossCreases() error {
	if len(b.creases) > 0 {
		if err := b.splitCreases(); err != nil {
			return err
		}
	}
	for _, r := range b.regions {
		var edges []plan.Edge
		for i := range r.edge {
			e := &r.edge[i]
			v := b.Between(e.a, e.b, e.splits)
			for j := 1; j < len(v); j++ {
				edges = append(edges, plan.Edge{A: b.K[v[j-1]], B: b.K[v[j]], Owner: 0, At: i})
			}
		}
		r.tree = plan.NewEdgeTree(edges)
		outer := slices.IndexFunc(edges, func(e plan.Edge) bool { return e.At >= len(r.rings[0]) })
		if outer < 0 {
			outer = len(edges)
		}
		r.round = plan.NewEdgeTree(edges[:outer])
	}
	b.setBoxes()
	b.judgeSteps()
	return nil
}

// judgeSteps warns of steps that separate nothing. Most stop a little short of a wall, and
// the fill on both sides is then wrong.
func (b *builder) judgeSteps() {
	for _, c := range b.parting {
		var loose sum.Sum
		over := false
		for i := 1; i < len(c.v); i++ {
			u, v := c.v[i-1], c.v[i]
			if b.loose[[2]int32{min(u, v), max(u, v)}] {
				loose.Add(b.K[u].Distance(b.K[v]) / b.Per)
			}
			mid := Vec{X: (b.K[u].X + b.K[v].X) / 2, Y: (b.K[u].Y + b.K[v].Y) / 2}
			over = over || slices.ContainsFunc(b.regionsAt(mid), func(r *region) bool { return r.tree.Side(mid) != plan.Outside })
		}
		switch l := loose.Value(); {
		case !over && l == 0:
			b.note(survey.Warning, c.at, "line %q is outside the floor: it does nothing", c.name)
		case l > 0:
			ends := [2]Vec{b.K[c.v[0]], b.K[c.v[len(c.v)-1]]}
			gap := math.Inf(1)
			for _, e := range ends {
				for _, r := range b.regionsAt(e) {
					if r.tree.Side(e) == plan.Inside {
						gap = min(gap, r.tree.Distance(e)/b.Per)
					}
				}
			}
			var how unit.Text
			if !math.IsInf(gap, 1) {
				how = unit.Textf("; an end of it is %s from the nearest wall", unit.Distance(gap))
			}
			b.note(survey.Warning, c.at, "line %q does not reach from wall to wall: along %s of it the two sides are one surface, and no step is kept%s", c.name, unit.Distance(l), how)
		}
	}
}

// splitCreases cuts lines with elevations, and the borders of regions, where they meet.
func (b *builder) splitCreases() error {
	var p plan.Splits
	for i, c := range b.creases {
		p.AddLine(&b.Vertices, i, c.v, false)
	}
	lines := len(p.Edges)
	type borderOf struct{ r, e int }
	var border []borderOf
	for i, r := range b.regions {
		for j, e := range r.edge {
			p.AddEdge(&b.Vertices, -1, e.a, e.b)
			border = append(border, borderOf{i, j})
		}
	}
	err := plan.EachPair(p.Edges, func(e, f *plan.Edge) error {
		switch {
		case e.Owner < 0 && f.Owner < 0:
			return nil
		case plan.Meet(e.A, e.B, f.A, f.B) == exact.Cross:
			return b.splitCrossing(&p, e, f)
		}
		b.touchCrease(&p, e, f)
		b.touchCrease(&p, f, e)
		return nil
	})
	if err != nil {
		return err
	}
	next := 0
	for i := range b.creases {
		b.creases[i].v, next = p.Line(&b.Vertices, b.creases[i].v, false, next)
	}
	for j, s := range p.On[lines:] {
		e := &b.regions[border[j].r].edge[border[j].e]
		e.splits = append(e.splits, s...)
	}
	return nil
}

// elevationOn returns the elevation of a line at a place on its edge e, NaN if it has none.
func (b *builder) elevationOn(e *plan.Edge, at Vec) float64 {
	from, _ := b.Find(e.A)
	to, _ := b.Find(e.B)
	za, zb := b.ofLine(from), b.ofLine(to)
	return za + e.A.Distance(at)/e.A.Distance(e.B)*(zb-za)
}

// touchCrease splits line at an end of other that is on it. A line through a corner gives
// the corner its elevation, as it does for a wall.
func (b *builder) touchCrease(p *plan.Splits, line, other *plan.Edge) {
	p.Touch(&b.Vertices, line, other)
	for _, k := range []Vec{other.A, other.B} {
		v, _ := b.Find(k)
		if line.Owner >= 0 && math.IsNaN(b.z[v]) && line.Passes(k) {
			b.z[v], b.at[v] = b.elevationOn(line, k), b.creases[line.Owner].at
		}
	}
}

// splitCrossing makes a vertex where e and f cross.
func (b *builder) splitCrossing(p *plan.Splits, e, f *plan.Edge) error {
	at, _ := plan.Intersection(e.A, e.B, f.A, f.B)
	z, where, err := b.crossing(e, f, at)
	if err != nil {
		return err
	}
	if v, ok := b.Find(at); ok && math.Abs(b.z[v]-z) <= crossingElevation {
		z = math.NaN() // a third line through the same place: the elevation already there is kept
	}
	v, err := b.add(at, z, where)
	p.Cross(e, f, v)
	return err
}

// crossing returns the elevation that the lines of e and f have where they cross, NaN if
// neither has one, and the line that gives it. Two elevations must agree.
func (b *builder) crossing(e, f *plan.Edge, at Vec) (z float64, where survey.Pos, err error) {
	z = math.NaN()
	if e.Owner >= 0 {
		z, where = b.elevationOn(e, at), b.creases[e.Owner].at
	}
	if f.Owner < 0 {
		return z, where, nil
	}
	zf := b.elevationOn(f, at)
	switch {
	case math.IsNaN(z):
		return zf, b.creases[f.Owner].at, nil
	case math.IsNaN(zf):
		return z, where, nil
	case math.Abs(z-zf) > crossingElevation:
		ce, cf, g := b.creases[e.Owner], b.creases[f.Owner], b.Site(at)
		return z, where, (&survey.Error{Pos: cf.at, Element: fmt.Sprintf("breakline %q", cf.name), Want: "breaklines that agree where they cross"}).
			Saw("elevation %s where it crosses breakline %q (%s) of elevation %s, at %s", unit.FineLevel(zf), ce.name, ce.at, unit.FineLevel(z), b.beside(g))
	}
	return (z + zf) / 2, where, nil
}

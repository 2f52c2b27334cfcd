package surface

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface/internal/plan"
)

// Under returns f with its triangles split where target bends, so that the depth to target is
// linear over each of them. The surface of f does not change, nor do its walls, steps and
// shots. For a plane, and if f has been split for target already, it is f itself.
//
// A place within two nanometres of a line on which target bends is on it, as in [Floor.Cut].
// The error is a [*survey.Error] that names the floor, if rounding leaves its split triangles
// on top of each other.
func (f *Floor) Under(target Target) (*Floor, error) {
	of, _ := target.bent()
	if of == nil || !slices.ContainsFunc(f.Regions, func(r Region) bool { return r.TIN.top.of != of }) {
		return f, nil
	}
	lo, hi := f.Bounds()
	c := &cutter{f: f, NanoGrid: plan.NewNanoGrid(lo, hi)}
	c.Origin = f.Regions[0].TIN.Origin
	out := *f
	out.Regions = slices.Clone(f.Regions)
	for i, r := range f.Regions {
		p, err := c.splitUnder(r, of.creases(r.Part))
		if err != nil {
			return nil, err
		}
		z := make([]float64, len(p.t.Z))
		t := p.t
		inChunks(len(z), func(lo, hi int) {
			for v := lo; v < hi; v++ {
				z[v] = of.elevation(r.Part, t.At(int32(v)))
			}
		})
		t.top = top{of, z}
		out.Regions[i].TIN = t
	}
	return &out, nil
}

// shifts are by how much all lines are moved, steps, until they do not meet the corners and edges of
// the floor so closely that rounding tangles them. The elevations of a target that bends along a line
// beside its own are off by the shift times what its slope changes, less than a micrometre.
var shifts = []Vec{{}, {X: 37, Y: 23}, {X: -53, Y: 71}, {X: 101, Y: -67}}

// splitUnder returns a region split along groups of lines.
func (c *cutter) splitUnder(r Region, groups [][][2]Vec) (*patch, error) {
	var err error
	for _, shift := range shifts {
		p := c.newPatch(r)
		if err = p.creaseAll(c, groups, shift); err == nil {
			return p, nil
		}
	}
	return nil, err
}

// creaseAll splits the triangles of p along groups of lines, all moved by a shift.
func (p *patch) creaseAll(c *cutter, groups [][][2]Vec, shift Vec) error {
	if len(groups) == 0 {
		p.join()
	}
	for i, lines := range groups {
		if i > 0 {
			p.reindex()
		}
		if t, ok := p.crease(c, lines, shift); !ok {
			return p.tangled(c, t, t)
		}
		if a, b, ok := p.join(); !ok {
			return p.tangled(c, a, b)
		}
	}
	return nil
}

// reindex makes the triangles of p, as they are now, those that the next lines split.
func (p *patch) reindex() {
	p.changed = slices.Grow(p.changed, p.t.Len()-len(p.changed))
	for t := range int32(p.t.Len()) {
		split := p.near.next[t] >= 0
		if int(t) < len(p.changed) {
			p.changed[t] = p.changed[t] || split
		} else {
			p.changed = append(p.changed, split || 3*int(t) >= len(p.region.TIN.V))
		}
	}
	p.near = newNearby(p)
}

// crease splits the triangles of p along lines. If they cross by rounding it returns the triangle.
func (p *patch) crease(c *cutter, lines [][2]Vec, shift Vec) (t int32, ok bool) {
	if len(lines) == 0 {
		return 0, true
	}
	var segments []segment
	lo, hi := Vec{X: math.Inf(1), Y: math.Inf(1)}, Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, k := range p.k {
		lo, hi = Vec{X: min(lo.X, k.X), Y: min(lo.Y, k.Y)}, Vec{X: max(hi.X, k.X), Y: max(hi.Y, k.Y)}
	}
	for _, l := range lines {
		a, b := c.Steps(l[0]), c.Steps(l[1])
		a, b = Vec{X: a.X + shift.X, Y: a.Y + shift.Y}, Vec{X: b.X + shift.X, Y: b.Y + shift.Y}
		if a == b || max(a.X, b.X) < lo.X-nearLine || min(a.X, b.X) > hi.X+nearLine || max(a.Y, b.Y) < lo.Y-nearLine || min(a.Y, b.Y) > hi.Y+nearLine {
			continue
		}
		if b.Less(a) {
			a, b = b, a
		}
		segments = append(segments, segment{Edge: plan.Edge{A: a, B: b}, length: a.Distance(b)})
	}
	// Results do not depend on the order of the lines.
	slices.SortFunc(segments, func(s, t segment) int {
		return cmp.Or(cmp.Compare(s.A.X, t.A.X), cmp.Compare(s.A.Y, t.A.Y), cmp.Compare(s.B.X, t.B.X), cmp.Compare(s.B.Y, t.B.Y))
	})
	segments = slices.CompactFunc(segments, func(s, t segment) bool { return s.A == t.A && s.B == t.B })
	p.reserve(segments)
	t, ok = p.splitAlong(segments)
	p.place(c)
	return t, ok
}

// reserve makes room for the corners that segments are likely to add: about two a cell. Room that is
// grown corner by corner is copied several times.
func (p *patch) reserve(segments []segment) {
	n := 0
	for _, s := range segments {
		n += 1 + int(2*s.length*p.near.per)
	}
	p.k, p.ends, p.off, p.at = slices.Grow(p.k, n), slices.Grow(p.ends, n), slices.Grow(p.off, n), slices.Grow(p.at, n)
	t := p.t
	t.Z, t.Shot = slices.Grow(t.Z, n), slices.Grow(t.Shot, n)
	t.V, p.near.next = slices.Grow(t.V, 6*n), slices.Grow(p.near.next, 2*n)
}

// place gives the corners that were added their places in metres.
func (p *patch) place(c *cutter) {
	for v := len(p.t.X); v < len(p.k); v++ {
		at := c.Metres(p.k[v])
		p.t.X, p.t.Y = append(p.t.X, at.X), append(p.t.Y, at.Y)
	}
}

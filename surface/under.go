package surface

import (
	"cmp"
	"math"
	"math/bits"
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
		p := c.newPatch(r)
		p.crease(c, of.creases(r.Part))
		if a, b, ok := p.join(); !ok {
			return nil, p.tangled(c, a, b)
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

// crease splits the triangles of p along lines.
func (p *patch) crease(c *cutter, lines [][2]Vec) {
	if len(lines) == 0 {
		return
	}
	var segments []segment
	lo, hi := Vec{X: math.Inf(1), Y: math.Inf(1)}, Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, k := range p.k {
		lo, hi = Vec{X: min(lo.X, k.X), Y: min(lo.Y, k.Y)}, Vec{X: max(hi.X, k.X), Y: max(hi.Y, k.Y)}
	}
	for _, l := range lines {
		a, b := c.Steps(l[0]), c.Steps(l[1])
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
	segments = apart(segments)
	p.reserve(segments)
	courses := p.courses(segments, func(segment) bool { return true })
	for i := range courses {

		p.cut(&courses[i])
	}
	p.place(c)
}

// apart returns segments in order in the order of their numbers with the bits reversed: first those
// far apart, then those between. Cut one beside the other, those that fan out from a drain would split
// the slivers that each leaves for the next, and their number would double with each.
func apart(segments []segment) []segment {
	out := make([]segment, 0, len(segments))
	width := bits.Len(uint(len(segments)))
	for i := range 1 << width {
		if k := int(bits.Reverse64(uint64(i)) >> (64 - width)); k < len(segments) {
			out = append(out, segments[k])
		}
	}
	return out
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

package falls

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// oracle finds shortest ways inside walls by brute force: lines of sight between all corners,
// channels cut into no pieces but met at the nearest place, and Floyd's relaxation.
type oracle struct {
	rings  [][]vec
	drains []Drain
	way    []float64 // of each drain, to the level of reference
	node   []vec
	best   []float64
}

func (o *oracle) edges(visit func(a, b vec) bool) bool {
	for _, r := range o.rings {
		for i, a := range r {
			if !visit(a, r[(i+1)%len(r)]) {
				return false
			}
		}
	}
	return true
}

func side(a, b, p vec) float64 { return (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X) }

func (o *oracle) in(p vec) bool {
	in := false
	o.edges(func(a, b vec) bool {
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
		return true
	})
	return in
}

func segment(p, a, b vec) vec {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := ((p.X-a.X)*dx + (p.Y-a.Y)*dy) / (dx*dx + dy*dy)
	t = min(max(t, 0), 1)
	return vec{X: a.X + t*dx, Y: a.Y + t*dy}
}

func (o *oracle) onWall(p vec) bool {
	return !o.edges(func(a, b vec) bool { return p.Distance(segment(p, a, b)) > 1e-8 })
}

// sees cuts the line at every wall that it meets and checks that the middle of each part is on
// the floor.
func (o *oracle) sees(p, q vec) bool {
	const graze = 1e-8
	cut := false
	ts := []float64{0, 1}
	l := p.Distance(q)
	if l < 1e-12 {
		return true
	}
	o.edges(func(a, b vec) bool {
		sa, sb := side(p, q, a)/l, side(p, q, b)/l
		sp, sq := side(a, b, p)/a.Distance(b), side(a, b, q)/a.Distance(b)
		if sa*sb < 0 && sp*sq < 0 && math.Abs(sa) > graze && math.Abs(sb) > graze && math.Abs(sp) > graze && math.Abs(sq) > graze {
			cut = true
			return false
		}
		for _, k := range [2]vec{a, b} {
			if k.Distance(segment(k, p, q)) <= graze {
				ts = append(ts, p.Distance(segment(k, p, q))/l)
			}
		}
		return true
	})
	if cut {
		return false
	}
	for i := range ts {
		for j := range ts {
			if ts[j] > ts[i] {
				// Only neighbours matter, but any pair whose middle is off the floor shows a cut
				// between them.
				next := true
				for _, t := range ts {
					next = next && !(t > ts[i] && t < ts[j])
				}
				if !next || (ts[j]-ts[i])*l < 4*graze {
					continue
				}
				t := (ts[i] + ts[j]) / 2
				m := vec{X: p.X + t*(q.X-p.X), Y: p.Y + t*(q.Y-p.Y)}
				if !o.in(m) && !o.onWall(m) {
					return false
				}
			}
		}
	}
	return true
}

// straight returns the least way from p to a drain in sight.
func (o *oracle) straight(p vec) float64 {
	best := math.Inf(1)
	for i, d := range o.drains {
		at := []vec{d.At}
		if d.Channel {
			at = []vec{d.At, d.To, segment(p, d.At, d.To)}
		}
		for _, q := range at {
			if l := o.way[i] + p.Distance(q); l < best && o.sees(p, q) {
				best = l
			}
		}
	}
	return best
}

func newOracle(rings [][]vec, drains []Drain, way []float64) *oracle {
	o := &oracle{rings: rings, drains: drains, way: way}
	for _, r := range rings {
		for i, p := range r {
			if side(r[(i+len(r)-1)%len(r)], p, r[(i+1)%len(r)]) < 0 {
				o.node = append(o.node, p)
			}
		}
	}
	n := len(o.node)
	link := make([][]float64, n)
	for i := range n {
		link[i] = make([]float64, n)
		for j := range n {
			link[i][j] = math.Inf(1)
			if o.sees(o.node[i], o.node[j]) {
				link[i][j] = o.node[i].Distance(o.node[j])
			}
		}
		o.best = append(o.best, o.straight(o.node[i]))
	}
	for range n {
		for i := range n {
			for j := range n {
				o.best[i] = min(o.best[i], o.best[j]+link[i][j])
			}
		}
	}
	return o
}

func (o *oracle) at(p vec) float64 {
	best := o.straight(p)
	for i, q := range o.node {
		if l := o.best[i] + p.Distance(q); l < best && o.sees(p, q) {
			best = l
		}
	}
	return best
}

func ringOf(kind survey.RingKind, p ...vec) survey.Ring {
	r := survey.Ring{Kind: kind}
	for _, q := range p {
		r.Points = append(r.Points, survey.Point{X: q.X, Y: q.Y, Z: 0})
	}
	return r
}

func rect(x0, y0, x1, y1 float64) []vec {
	return []vec{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// floorOf returns a level floor with these walls; the first ring is the outline.
func floorOf(t testing.TB, rings ...[]vec) *surface.Floor {
	t.Helper()
	var d surface.Data
	for i, r := range rings {
		kind := survey.Outer
		if i > 0 {
			kind = survey.Hole
		}
		d.Rings = append(d.Rings, ringOf(kind, r...))
	}
	f, err := surface.NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// wallsOfFloor returns the rings of f as they are, floor on the left.
func ringsOf(f *surface.Floor) [][]vec {
	var out [][]vec
	for _, r := range f.Regions {
		out = append(out, r.Rings...)
	}
	return out
}

// checkEven compares a surface of an even fall with the shortest ways.
func checkEven(t *testing.T, a Ask, b *Built, places int, rng *rand.Rand) {
	t.Helper()
	var way []float64
	base := math.Inf(1)
	for _, s := range b.Served {
		base = min(base, s.Z)
	}
	for _, s := range b.Served {
		way = append(way, (s.Z-base)/a.Fall)
	}
	var drains []Drain
	for _, s := range b.Served {
		drains = append(drains, s.Drain)
	}
	o := newOracle(ringsOf(a.Floor), drains, way)
	lo, hi := a.Floor.Bounds()
	at := b.Floor.Locators()
	var worst, under float64
	for range places {
		p := vec{X: lo.X + rng.Float64()*(hi.X-lo.X), Y: lo.Y + rng.Float64()*(hi.Y-lo.Y)}
		if !o.in(p) {
			continue
		}
		z, _, ok := at.At(p)
		if !ok {
			t.Fatalf("no surface at %v", p)
		}
		want := base + a.Fall*o.at(p)
		worst, under = max(worst, z-want), max(under, want-z)
		if z-want > 2e-8 || want-z > 0.05e-3 {
			t.Fatalf("at %v: %.7f, want %.7f (%.4f mm)", p, z, want, (z-want)*1e3)
		}
	}
	checkArea(t, a, b)
	checkWater(t, b)
}

func checkArea(t *testing.T, a Ask, b *Built) {
	t.Helper()
	var want, served, got float64
	for _, r := range a.Floor.Regions {
		want += r.TIN.PlanArea()
	}
	for _, s := range b.Served {
		served += s.Area
	}
	for _, r := range b.Floor.Regions {
		got += r.TIN.PlanArea()
	}
	if math.Abs(served-want) > 1e-6*want || math.Abs(got-want) > 1e-7*want {
		t.Fatalf("area %.9f, drains serve %.9f, surface %.9f", want, served, got)
	}
}

// checkWater finds vertices without a lower neighbour that are not drains.
func checkWater(t *testing.T, b *Built) {
	t.Helper()
	for _, r := range b.Floor.Regions {
		s := r.TIN
		lower := make([]bool, len(s.Z))
		for h, u := range s.V {
			v := s.V[surface.Next(int32(h))]
			lower[u] = lower[u] || s.Z[v] < s.Z[u]
			lower[v] = lower[v] || s.Z[u] < s.Z[v]
		}
		for v, ok := range lower {
			if ok {
				continue
			}
			drain := false
			for _, d := range b.Served {
				to := d.At
				if d.Channel {
					to = d.To
				}
				at := s.At(int32(v))
				drain = drain || at.Distance(at.NearestOn(d.At, to)) < 1e-6
			}
			if !drain {
				t.Fatalf("water stands at %v", s.At(int32(v)))
			}
		}
	}
}

func mustBuild(t testing.TB, a Ask) *Built {
	t.Helper()
	b, err := Build(a)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// refusedRightly reports whether err is one of what is asked for, not of the surface.
func refusedRightly(err error) bool {
	var e *survey.Error
	return errors.As(err, &e) && (strings.HasPrefix(e.Element, "drain") || strings.HasPrefix(e.Element, "channel"))
}

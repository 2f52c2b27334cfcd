package surface

import (
	"fmt"
	"math"

	"pourplane/surface/internal/exact"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// orient reports the side of p, seen along the line from a to b with north up: +1 left, -1
// right, 0 on it.
func orient(a, b, p Vec) int { return exact.Orient(a.X, a.Y, b.X, b.Y, p.X, p.Y) }

// within reports whether p, known to be on the line through a and b, is between them or at
// one of them.
func within(a, b, p Vec) bool {
	return min(a.X, b.X) <= p.X && p.X <= max(a.X, b.X) && min(a.Y, b.Y) <= p.Y && p.Y <= max(a.Y, b.Y)
}

// meet reports how the segments a–b and c–d touch or cross.
func meet(a, b, c, d Vec) exact.Crossing {
	return exact.SegmentsCross(a.X, a.Y, b.X, b.Y, c.X, c.Y, d.X, d.Y)
}

// edge is a straight piece of a ring or line, on the lattice.
type edge struct {
	a, b      Vec
	owner, at int // which ring or line, and which piece of it
}

// ring is a survey.Ring on the lattice, checked: at least three corners, no corner twice in
// a row, and no edge crosses or touches another except its neighbours at their common
// corner.
type ring struct {
	name   string
	kind   survey.RingKind
	points []survey.Point
	k      []Vec
	area   float64   // square steps, ≥ 0; for comparing sizes
	tree   *edgeTree // made when first needed
}

// anotherOutline is what settles a refusal of an outline.
var anotherOutline = []unit.Option{unit.Ask("outline", "")}

func ringName(r survey.Ring) string {
	what := "outline"
	if r.Kind == survey.Hole {
		what = "opening"
	}
	if r.Name == "" {
		return what
	}
	return fmt.Sprintf("%s %q", what, r.Name)
}

// newRing checks r.
func newRing(r survey.Ring, l lattice, w Words) (*ring, error) {
	out := &ring{name: r.Name, kind: r.Kind}
	for _, p := range r.Points {
		k := l.steps(Vec{p.X, p.Y})
		if n := len(out.k); n > 0 && out.k[n-1] == k {
			continue
		}
		out.k = append(out.k, k)
		out.points = append(out.points, p)
	}
	if n := len(out.k); n > 1 && out.k[0] == out.k[n-1] {
		out.k, out.points = out.k[:n-1], out.points[:n-1]
	}
	if len(out.k) < 3 {
		return nil, &survey.Error{Pos: r.At, Element: ringName(r),
			Found: fmt.Sprintf("%d different corners", len(out.k)), Want: "at least 3"}
	}
	edges := out.edges(0)
	n := len(edges)
	err := eachPair(edges, func(e, f *edge) error {
		m := meet(e.a, e.b, f.a, f.b)
		if e.at > f.at {
			e, f = f, e
		}
		next := f.at == e.at+1 || e.at == 0 && f.at == n-1
		if m == exact.Apart || m == exact.Touch && next {
			return nil
		}
		how := "touches"
		if m == exact.Cross {
			how = "crosses"
		}
		return &survey.Error{
			Pos: out.points[f.at].At, Element: ringName(r),
			Found: fmt.Sprintf("edge %d-%d (from %s) that %s edge %d-%d (from %s) near %s",
				f.at+1, (f.at+1)%n+1, w.source(out.points[f.at]), how, e.at+1, (e.at+1)%n+1, w.source(out.points[e.at]),
				w.Place(l.grid(nearMeeting(e, f)))),
			Want: "an outline whose edges meet only at their corners", Ask: anotherOutline,
		}
	})
	if err != nil {
		return nil, err
	}
	var twice sum.Sum
	for _, e := range edges {
		twice.Add((e.a.X - out.k[0].X) * (e.b.Y - out.k[0].Y))
		twice.Add(-(e.a.Y - out.k[0].Y) * (e.b.X - out.k[0].X))
	}
	out.area = math.Abs(twice.Value())
	return out, nil
}

// source returns where a point was read, or the place itself if no file is known.
func (w Words) source(p survey.Point) string {
	if s := p.At.String(); s != "" {
		return s
	}
	return w.Place(Vec{p.X, p.Y})
}

// nearMeeting returns a place near where two edges meet, for messages.
func nearMeeting(e, f *edge) Vec {
	if p, ok := intersection(e.a, e.b, f.a, f.b); ok {
		return p
	}
	for _, p := range []Vec{f.a, f.b} {
		if orient(e.a, e.b, p) == 0 && within(e.a, e.b, p) {
			return p
		}
	}
	return e.a
}

// intersection returns where the lines through a, b and c, d cross, rounded to a lattice
// step; false if they are parallel.
func intersection(a, b, c, d Vec) (Vec, bool) {
	rx, ry := b.X-a.X, b.Y-a.Y
	sx, sy := d.X-c.X, d.Y-c.Y
	det := float64(rx*sy) - float64(ry*sx)
	if det == 0 {
		return Vec{}, false
	}
	t := (float64((c.X-a.X)*sy) - float64((c.Y-a.Y)*sx)) / det
	return Vec{math.Round(a.X + float64(t*rx)), math.Round(a.Y + float64(t*ry))}, true
}

func (r *ring) edges(owner int) []edge {
	out := make([]edge, len(r.k))
	for i := range r.k {
		out[i] = edge{r.k[i], r.k[(i+1)%len(r.k)], owner, i}
	}
	return out
}

// side is where a place is: inside, outside or on the border.
type side int8

const (
	outside side = iota - 1
	onBorder
	inside
)

// nearest returns the place on e that is nearest to p.
func (e edge) nearest(p Vec) Vec {
	return p.NearestOn(e.a, e.b)
}

// distance returns the distance from p to e, in steps.
func (e edge) distance(p Vec) float64 { return e.nearest(p).Distance(p) }

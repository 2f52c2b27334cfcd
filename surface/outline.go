package surface

import (
	"fmt"
	"math"

	"pourplane/surface/internal/exact"
	"pourplane/surface/internal/plan"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// ring is a survey.Ring on the nanometre grid, checked: at least three corners, no corner twice in
// a row, and no edge crosses or touches another except its neighbours at their common
// corner.
type ring struct {
	name   string
	kind   survey.RingKind
	points []survey.Point
	k      []Vec
	area   float64        // square steps, ≥ 0; for comparing sizes
	tree   *plan.EdgeTree // made when first needed
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
func newRing(r survey.Ring, l plan.NanoGrid, w Words) (*ring, error) {
	out := &ring{name: r.Name, kind: r.Kind}
	for _, p := range r.Points {
		k := l.Steps(Vec{X: p.X, Y: p.Y})
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
	err := plan.EachPair(edges, func(e, f *plan.Edge) error {
		m := plan.Meet(e.A, e.B, f.A, f.B)
		if e.At > f.At {
			e, f = f, e
		}
		next := f.At == e.At+1 || e.At == 0 && f.At == n-1
		if m == exact.Apart || m == exact.Touch && next {
			return nil
		}
		how := "touches"
		if m == exact.Cross {
			how = "crosses"
		}
		return &survey.Error{
			Pos: out.points[f.At].At, Element: ringName(r),
			Found: fmt.Sprintf("edge %d-%d (from %s) that %s edge %d-%d (from %s) near %s",
				f.At+1, (f.At+1)%n+1, w.source(out.points[f.At]), how, e.At+1, (e.At+1)%n+1, w.source(out.points[e.At]),
				w.Place(l.Site(nearMeeting(e, f)))),
			Want: "an outline whose edges meet only at their corners", Ask: anotherOutline,
		}
	})
	if err != nil {
		return nil, err
	}
	var twice sum.Sum
	for _, e := range edges {
		twice.Add((e.A.X - out.k[0].X) * (e.B.Y - out.k[0].Y))
		twice.Add(-(e.A.Y - out.k[0].Y) * (e.B.X - out.k[0].X))
	}
	out.area = math.Abs(twice.Value())
	return out, nil
}

// source returns where a point was read, or the place itself if no file is known.
func (w Words) source(p survey.Point) string {
	if s := p.At.String(); s != "" {
		return s
	}
	return w.Place(Vec{X: p.X, Y: p.Y})
}

// nearMeeting returns a place near where two edges meet, for messages.
func nearMeeting(e, f *plan.Edge) Vec {
	if p, ok := plan.Intersection(e.A, e.B, f.A, f.B); ok {
		return p
	}
	for _, p := range []Vec{f.A, f.B} {
		if plan.Orient(e.A, e.B, p) == 0 && plan.Within(e.A, e.B, p) {
			return p
		}
	}
	return e.A
}

func (r *ring) edges(owner int) []plan.Edge {
	out := make([]plan.Edge, len(r.k))
	for i := range r.k {
		out[i] = plan.Edge{A: r.k[i], B: r.k[(i+1)%len(r.k)], Owner: owner, At: i}
	}
	return out
}

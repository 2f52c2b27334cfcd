package surface

import (
	"fmt"
	"math"

	"pourplane/surface/internal/plan"
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
	return what + " " + unit.Quote(r.Name)
}

// newRing checks r.
func newRing(r survey.Ring, l plan.NanoGrid) (*ring, error) {
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
	if f := plan.CheckRing(out.k); f != nil {
		how := "touches"
		if f.Crosses {
			how = "crosses"
		}
		n := len(out.k)
		return nil, (&survey.Error{
			Pos: out.points[f.F].At(), Element: ringName(r),
			Want: "an outline whose edges meet only at their corners", Ask: anotherOutline,
		}).Saw("edge %d-%d (from %s) that %s edge %d-%d (from %s) near %s",
			f.F+1, (f.F+1)%n+1, source(out.points[f.F]), how, f.E+1, (f.E+1)%n+1, source(out.points[f.E]), placeOf(l.Site(f.Near)))
	}
	out.area = math.Abs(plan.TwiceArea(out.k))
	return out, nil
}

// source returns where a point was read, or the place itself if no file is known.
func source(p survey.Point) unit.Text {
	if s := p.At().String(); s != "" {
		return unit.Textf("%s", s)
	}
	return unit.Textf("%s", placeOf(Vec{X: p.X, Y: p.Y}))
}

package setout_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

const foot = 0.3048

func closed(kind survey.RingKind, xy ...float64) survey.Ring {
	r := survey.Ring{Kind: kind}
	for i := 0; i < len(xy); i += 2 {
		r.Points = append(r.Points, survey.Point{X: xy[i], Y: xy[i+1], Z: math.NaN()})
	}
	return r
}

// shots are on a grid with an odd spacing over the box of the first ring; the floor itself
// leaves out those outside or in openings.
func shots(r survey.Ring, z func(x, y float64) float64) []survey.Point {
	lo, hi := r.Points[0], r.Points[0]
	for _, p := range r.Points {
		lo.X, lo.Y, hi.X, hi.Y = min(lo.X, p.X), min(lo.Y, p.Y), max(hi.X, p.X), max(hi.Y, p.Y)
	}
	var out []survey.Point
	const n = 13
	for i := range n {
		for j := range n {
			x, y := lo.X+(hi.X-lo.X)*(float64(i)+0.37)/n, lo.Y+(hi.Y-lo.Y)*(float64(j)+0.41)/n
			out = append(out, survey.Point{X: x, Y: y, Z: z(x, y)})
		}
	}
	return out
}

func build(t testing.TB, points []survey.Point, rings ...survey.Ring) *surface.Floor {
	t.Helper()
	f, err := surface.NewFloor(surface.Data{Shots: points, Rings: rings})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func level(float64, float64) float64 { return 10 }

func tilted(x, y float64) float64 { return 10 - 0.004*x + 0.003*y }

// rectangle is a floor of w by h from the origin.
func rectangle(t testing.TB, w, h float64, z func(x, y float64) float64) *surface.Floor {
	r := closed(survey.Outer, 0, 0, w, 0, w, h, 0, h)
	return build(t, shots(r, z), r)
}

// lShaped is 6 by 5 m without its north-east quarter, with a column.
func lShaped() []survey.Ring {
	return []survey.Ring{
		closed(survey.Outer, 0, 0, 6, 0, 6, 2.5, 3.5, 2.5, 3.5, 5, 0, 5),
		closed(survey.Hole, 1.6, 1.2, 2.0, 1.2, 2.0, 1.6, 1.6, 1.6),
	}
}

// turned returns rings and shots turned and shifted.
func turned(angle, dx, dy float64, rings []survey.Ring, points []survey.Point) ([]survey.Ring, []survey.Point) {
	s, c := math.Sincos(angle)
	turn := func(in []survey.Point) []survey.Point {
		var out []survey.Point
		for _, p := range in {
			p.X, p.Y = dx+c*p.X-s*p.Y, dy+s*p.X+c*p.Y
			out = append(out, p)
		}
		return out
	}
	var out []survey.Ring
	for _, r := range rings {
		out = append(out, survey.Ring{Kind: r.Kind, Points: turn(r.Points)})
	}
	return out, turn(points)
}

// toWalls is the distance from p to the nearest wall of rings, by projection: written
// independently of the code under test.
func toWalls(rings []survey.Ring, p surface.Vec) float64 {
	best := math.Inf(1)
	for _, r := range rings {
		for i, a := range r.Points {
			b := r.Points[(i+1)%len(r.Points)]
			l := math.Hypot(b.X-a.X, b.Y-a.Y)
			along := ((p.X-a.X)*(b.X-a.X) + (p.Y-a.Y)*(b.Y-a.Y)) / l
			if along > 0 && along < l {
				best = min(best, math.Abs((p.X-a.X)*(b.Y-a.Y)-(p.Y-a.Y)*(b.X-a.X))/l)
			}
			best = min(best, math.Hypot(p.X-a.X, p.Y-a.Y))
		}
	}
	return best
}

// inRings reports whether p is over floor, by the angle that walls turn through as seen from
// p.
func inRings(rings []survey.Ring, p surface.Vec) bool {
	in := false
	for _, r := range rings {
		whole := 0.0
		for i, a := range r.Points {
			b := r.Points[(i+1)%len(r.Points)]
			whole += math.Remainder(math.Atan2(b.Y-p.Y, b.X-p.X)-math.Atan2(a.Y-p.Y, a.X-p.X), 2*math.Pi)
		}
		if math.Abs(whole) > 1 {
			in = r.Kind == survey.Outer
		}
	}
	return in
}

// star returns an outline of n corners round a middle, at random, sometimes with an opening;
// no wall crosses another.
func star(rnd *rand.Rand) []survey.Ring {
	n := 3 + rnd.IntN(8)
	var xy []float64
	turn := rnd.Float64()
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * (turn + (float64(i)+0.6*rnd.Float64())/float64(n)))
		d := 3 + 6*rnd.Float64()
		xy = append(xy, 20+d*c, 30+d*s)
	}
	rings := []survey.Ring{closed(survey.Outer, xy...)}
	if rnd.IntN(2) == 0 && n > 5 {
		rings = append(rings, closed(survey.Hole, 19.7, 29.8, 20.4, 29.9, 20.1, 30.3))
	}
	return rings
}

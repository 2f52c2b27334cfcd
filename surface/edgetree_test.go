package surface

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface/internal/exact"
	"pourplane/survey"
)

// Lines of sight, distances and edges at a place, compared with a check of every edge.
// Places are small whole numbers, so that lines graze corners and places are on edges.
func TestEdgeTreeAgainstEveryEdge(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	blocked, clear := 0, 0
	for range 60 {
		place := func() Vec { return Vec{float64(rng.IntN(60)), float64(rng.IntN(60))} }
		var edges []edge
		for i := range 1 + rng.IntN(80) {
			e := edge{place(), place(), 0, i}
			if rng.IntN(2) == 0 { // most walls are short
				e.b = Vec{e.a.X + float64(rng.IntN(9)), e.a.Y + float64(rng.IntN(9))}
			}
			edges = append(edges, e)
		}
		tree := newEdgeTree(edges)
		for range 300 {
			a, b := place(), place()
			sight, want := edge{a: a, b: b}, false
			dist, on := math.Inf(1), 0
			for _, e := range edges {
				if meet(a, b, e.a, e.b) == exact.Cross && min(e.distance(a), e.distance(b), sight.distance(e.a), sight.distance(e.b)) > 2 {
					want = true
				}
				dist = min(dist, e.distance(a))
				if e.distance(a) <= 2 {
					on++
				}
			}
			if want {
				blocked++
			} else {
				clear++
			}
			if got := tree.blocked(a, b); got != want {
				t.Fatalf("sight from %v to %v among %v: blocked %v, want %v", a, b, edges, got, want)
			}
			if got := tree.distance(a); got != dist {
				t.Fatalf("distance of %v from %v is %g, want %g", a, edges, got, dist)
			}
			if got := tree.on(a); len(got) != on {
				t.Fatalf("%v is on %d edges of %v, want %d", a, len(got), edges, on)
			}
		}
	}
	if blocked < 1000 || clear < 1000 {
		t.Errorf("%d sights blocked, %d clear: the test wants many of both", blocked, clear)
	}
}

// Outlines of thousands of corners without elevations, and hundreds of lines that cross:
// each corner is fitted, and a tilted floor is exact. (With a check of every edge for each
// line of sight the star took minutes.)
func TestThousandsOfCorners(t *testing.T) {
	shots := shotsOn(-4.5, -4.5, 4.5, 4.5, 0.5, sloped)
	for _, c := range []struct {
		name string
		ring survey.Ring
	}{{"circle", circleOf(1200, 1)}, {"star", circleOf(1200, 0.7)}} {
		var corners []Vec
		for _, p := range c.ring.Points {
			corners = append(corners, Vec{p.X, p.Y})
		}
		f := build(t, Data{Shots: shots, Rings: []survey.Ring{c.ring}})
		r := f.To(Horizontal(10), nil)
		near(t, c.name+": area", r.Area, RingArea(corners), 1e-7)
		near(t, c.name+": fill", r.Fill, RingArea(corners)*(10-sloped(0, 0)), 1e-5)
		if n := len(f.Regions[0].TIN.Z); n < 1200+len(shots) {
			t.Errorf("%s: %d vertices, want all corners and shots", c.name, n)
		}
	}
	d := crossing(120, 9.9)
	d.Shots = shotsOn(-9.75, -9.75, 9.75, 9.75, 0.5, func(_, _ float64) float64 { return 9.9 })
	near(t, "fill over crossing lines", build(t, d).To(Horizontal(10), nil).Fill, 40, 1e-7)
}

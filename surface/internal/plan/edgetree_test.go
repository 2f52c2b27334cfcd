package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface/internal/exact"
)

// Lines of sight, distances and edges at a place, compared with a check of every edge.
// Places are small whole numbers, so that lines graze corners and places are on edges.
func TestEdgeTreeAgainstEveryEdge(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	blocked, clear := 0, 0
	for range 60 {
		place := func() Vec { return Vec{float64(rng.IntN(60)), float64(rng.IntN(60))} }
		var edges []Edge
		for i := range 1 + rng.IntN(80) {
			e := Edge{place(), place(), 0, i}
			if rng.IntN(2) == 0 { // most walls are short
				e.B = Vec{e.A.X + float64(rng.IntN(9)), e.A.Y + float64(rng.IntN(9))}
			}
			edges = append(edges, e)
		}
		tree := NewEdgeTree(edges)
		for range 300 {
			a, b := place(), place()
			sight, want := Edge{A: a, B: b}, false
			dist, on := math.Inf(1), 0
			for _, e := range edges {
				if Meet(a, b, e.A, e.B) == exact.Cross && min(e.Distance(a), e.Distance(b), sight.Distance(e.A), sight.Distance(e.B)) > 2 {
					want = true
				}
				dist = min(dist, e.Distance(a))
				if e.Distance(a) <= 2 {
					on++
				}
			}
			if want {
				blocked++
			} else {
				clear++
			}
			if got := tree.Blocked(a, b); got != want {
				t.Fatalf("sight from %v to %v among %v: blocked %v, want %v", a, b, edges, got, want)
			}
			if got := tree.Distance(a); got != dist {
				t.Fatalf("distance of %v from %v is %g, want %g", a, edges, got, dist)
			}
			if got := tree.On(a, nil); len(got) != on {
				t.Fatalf("%v is on %d edges of %v, want %d", a, len(got), edges, on)
			}
		}
	}
	if blocked < 1000 || clear < 1000 {
		t.Errorf("%d sights blocked, %d clear: the test wants many of both", blocked, clear)
	}
}

// The tree against a check of every edge.
func TestSideAgainstEveryEdge(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 200 {
		n := 3 + rng.IntN(20)
		var x, y []float64
		var edges []Edge
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			r := 4 + 12*rng.Float64()
			x = append(x, math.Round(r*math.Cos(a)))
			y = append(y, math.Round(r*math.Sin(a)))
		}
		for i := range n {
			j := (i + 1) % n
			edges = append(edges, Edge{Vec{x[i], y[i]}, Vec{x[j], y[j]}, 0, i})
		}
		s := NewEdgeTree(edges)
		for px := -17.0; px <= 17; px++ {
			for py := -17.0; py <= 17; py++ {
				if got, want := int(s.Side(Vec{px, py})), exact.InRing(x, y, px, py); got != want {
					t.Fatalf("ring %v %v: (%g, %g) is %d, want %d", x, y, px, py, got, want)
				}
			}
		}
	}
}

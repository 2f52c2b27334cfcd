package surface

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/surface/internal/plan"
	"pourplane/survey"
)

// The regions at a place, and the nearest edge of any, compared with a check of every
// region: rooms side by side and apart, some with common walls, in no order.
func TestRegionsAtAPlace(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	d := Data{Shots: shotsOn(0, 0, 40, 40, 4, sloped)}
	for i, at := range rng.Perm(100) {
		x, y := float64(at%10)*4, float64(at/10)*4
		w, h := 4-float64(rng.IntN(5)/4), 4-float64(rng.IntN(5)/4)
		d.Rings = append(d.Rings, ringOf(fmt.Sprint("room ", i), survey.Outer, x, y, x+w, y, x+w, y+h, x, y+h))
	}
	b := &builder{data: d, floor: &Floor{}, loose: map[[2]int32]bool{}}
	b.setGrid()
	for _, stage := range []func() error{b.checkRings, b.cutPlan, b.crossCreases} {
		if err := stage(); err != nil {
			t.Fatal(err)
		}
	}
	most := 0
	for range 3000 {
		p := Vec{X: float64(rng.IntN(86)-3) * 5e8, Y: float64(rng.IntN(86)-3) * 5e8}
		p.X += float64(rng.IntN(7) - 3) // next to walls, in steps
		var want []*region
		edge := math.Inf(1)
		for _, r := range b.regions {
			if r.tree.Side(p) != plan.Outside || len(r.tree.On(p, nil)) > 0 {
				want = append(want, r)
			}
			edge = min(edge, r.tree.Distance(p))
		}
		got := slices.DeleteFunc(b.regionsAt(p), func(r *region) bool { return r.tree.Side(p) == plan.Outside && len(r.tree.On(p, nil)) == 0 })
		if !slices.Equal(got, want) {
			t.Fatalf("%d regions at %v, want %d, in the order of all", len(got), p, len(want))
		}
		if got := b.toEdge(p); got != edge {
			t.Fatalf("%v is %g from an edge, want %g", p, got, edge)
		}
		most = max(most, len(want))
	}
	if most < 4 {
		t.Errorf("at most %d regions at a place: the test wants corners of four", most)
	}
}

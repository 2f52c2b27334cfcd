package flatness

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Lines cross triangles beside their corners, so some nodes are less than a micrometre from the next.
// The line to such a one says nothing of the floor a metre on: the edge is under no node for it, and it
// moves on to the other wall.
func TestEdgeOverNodesBesideEachOther(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for n := range 3000 {
		var x, z []float64
		for u := 0.0; u < 4; u += 0.02 + 0.3*rng.Float64() {
			h := 6e-5 * rng.Float64()
			x, z = append(x, u), append(z, h)
			for k := rng.IntN(3); k > 0; k-- {
				last := len(x) - 1
				x, z = append(x, x[last]+1e-7+1e-6*rng.Float64()), append(z, h+2e-10*(rng.Float64()-0.5))
			}
		}
		p := stretchOf(x, z)
		all := tally{per: 1, cells: make([]spot, 1)}
		r := resting{stretch: p, length: 1 + 2*rng.Float64(), to: &all}
		r.place(p.x[0])
		for k := range p.x {
			if over := p.z[k] - r.edge().at(p.x[k]); p.x[k] <= p.x[0]+r.length && over > 2*sameHeight {
				t.Fatalf("profile %d: node %d is %.3g m above the edge on nodes %d and %d", n, k, over, r.a, r.b)
			}
		}
		r.run()
		if way := p.length() - r.length; math.Abs(all.positions-way) > 1e-9 {
			t.Fatalf("profile %d: %.12g m of way, want %.12g", n, all.positions, way)
		}
	}
}

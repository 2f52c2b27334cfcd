package surface

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/survey"
)

// What one more shot does to the integral of the surface is what triangulating anew says, where the
// edge is the hull of the shots: a shot on the triangles and one 20 mm above them.
func TestOneMoreIsTriangulatedAnew(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 3))
	d := Data{}
	for _, p := range [][2]float64{{0, 0}, {4, 0}, {4, 5}, {0, 5}} {
		d.Shots = append(d.Shots, survey.Point{X: p[0], Y: p[1], Z: 0.01 * rng.NormFloat64()})
	}
	for range 30 {
		d.Shots = append(d.Shots, survey.Point{X: 0.2 + 3.6*rng.Float64(), Y: 0.2 + 4.6*rng.Float64(), Z: 0.01 * rng.NormFloat64()})
	}
	f := build(t, d)
	volume := func(f *Floor) float64 { return -f.FillTo(Horizontal(1), nil).Fill }
	now, locate := volume(f), f.Regions[0].TIN.Locator()
	moved := 0.0
	for range 100 {
		at := Vec{X: 0.05 + 3.9*rng.Float64(), Y: 0.05 + 4.9*rng.Float64()}
		z, _, _ := locate.At(at)
		weight, shift, ok := locate.OneMore(at)
		if !ok {
			t.Fatalf("%v is on the floor", at)
		}
		for _, up := range []float64{0, 0.02} {
			more := d
			more.Shots = append(append([]survey.Point(nil), d.Shots...), survey.Point{X: at.X, Y: at.Y, Z: z + up})
			if got, want := shift+weight*up, volume(build(t, more))-now; math.Abs(got-want) > 1e-9 {
				t.Errorf("%v, %g m up: %g m³, anew %g", at, up, got, want)
			}
		}
		moved = max(moved, math.Abs(shift))
	}
	if moved < 1e-4 {
		t.Error("no shot turned an edge")
	}
	if _, _, ok := locate.OneMore(Vec{X: 6, Y: 4}); ok {
		t.Error("a place off the floor")
	}
}

package plan

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Decimals of a tenth of a millimetre come back as the same whole steps, as far out as the
// step is a nanometre.
func TestDecimalsAreWholeSteps(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for _, at := range []float64{0, 1e6, 4_300_000, 8_388_000, 9_000_000, 3e7} {
		l := NewNanoGrid(Vec{at, at}, Vec{at + 500, at + 500})
		if want := map[bool]float64{true: 1e9, false: 1e8}[at < 1<<23]; l.Per != want {
			t.Errorf("at %g: %g steps a metre, want %g", at, l.Per, want)
		}
		for range 2000 {
			n := rng.IntN(5_000_000)
			// Rounded once, as a decimal of a file is.
			x := (at*1e4 + float64(n)) / 1e4
			if got, want := l.Steps(Vec{x, at}).X, float64(n)*l.Per/1e4; got != want {
				t.Fatalf("at %g: %.4f is %g steps, want %g", at, x, got, want)
			}
		}
	}
}

// Steps are whole, and the nearest ones.
func TestStepsAreTheNearestWhole(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 13))
	l := NewNanoGrid(Vec{0, 0}, Vec{10, 10})
	for range 1000 {
		p := Vec{10 * rng.Float64(), 10 * rng.Float64()}
		k := l.Steps(p)
		if k.X != math.Trunc(k.X) || k.Y != math.Trunc(k.Y) || math.Abs(k.X-p.X*1e9) > 0.5001 || math.Abs(k.Y-p.Y*1e9) > 0.5001 {
			t.Fatalf("%v is %v steps, want the nearest whole ones", p, k)
		}
	}
}

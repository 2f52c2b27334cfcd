package setout

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// Heights are rounded down and rods up by their exact values: planes with the usual falls, places
// and levels on whole sixteenths or millimetres, near and far from the origin of the grid. The
// exact values are in rational numbers. Places on half a foot meet whole steps often.
func TestDirectedRoundingIsExact(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	ratio := big.NewRat
	whole := 0
	for n := range 20000 {
		style, thin, tape := unit.Style{Imperial: true}, ratio(254, 160000), ratio(254*6, 10000) // 1/16 in, 6 in
		falls := []*big.Rat{ratio(1, 96), ratio(1, 48), ratio(1, 50), ratio(3, 192)}
		if n%2 == 1 {
			style, thin, tape = unit.Style{}, ratio(1, 1000), ratio(1, 20)
			falls = []*big.Rat{ratio(1, 50), ratio(1, 60), ratio(3, 200), ratio(1, 40)}
		}
		times := func(of *big.Rat, most int64) *big.Rat { return new(big.Rat).Mul(of, ratio(random.Int64N(most), 1)) }
		far := times(ratio(1000, 1), []int64{1, 1000}[n%4/2]) // 0 or up to 1,000 km
		x0, y0, x, y := times(tape, 100), new(big.Rat).Add(far, times(tape, 100)), times(tape, 100), new(big.Rat).Add(far, times(tape, 100))
		z0 := new(big.Rat).Add(times(tape, 600), times(thin, 100))
		fall := falls[random.IntN(len(falls))]
		lower := new(big.Rat).Mul(fall, new(big.Rat).Sub(y, y0))
		if n%3 == 0 { // to the north-east, on a diagonal of 3:4:5
			lower.Add(new(big.Rat).Mul(lower, ratio(4, 5)), new(big.Rat).Mul(new(big.Rat).Mul(fall, new(big.Rat).Sub(x, x0)), ratio(3, 5)))
		}
		f := func(r *big.Rat) float64 { v, _ := r.Float64(); return v }
		target := surface.Plane{At: surface.Vec{X: f(x0), Y: f(y0)}, Z: f(z0), SlopeY: -f(fall)}
		if n%3 == 0 {
			target.SlopeX, target.SlopeY = -f(fall)*0.6, -f(fall)*0.8
		}
		steps := new(big.Rat).Quo(lower, thin)
		down := new(big.Int).Div(steps.Num(), steps.Denom()) // toward −∞, as the denominator is positive
		up := new(big.Int).Set(down)
		if !steps.IsInt() {
			up.Add(up, big.NewInt(1))
		} else {
			whole++
		}
		depth := func(n *big.Int) string { return style.Depth(float64(n.Int64()) * style.Step()) }
		more := f(z0) - target.Elevation(surface.Vec{X: f(x), Y: f(y)})
		if got := style.DepthDown(more); got != depth(down) {
			t.Fatalf("floor %d: %s m lower is rounded down to %s, want %s", n, lower.FloatString(12), got, depth(down))
		}
		if got := unit.DepthUp(more).In(style); got != depth(up) {
			t.Fatalf("floor %d: %s m lower is rounded up to %s, want %s", n, lower.FloatString(12), got, depth(up))
		}
		level := math.Floor(f(new(big.Rat).Mul(new(big.Rat).Sub(z0, lower), ratio(1000, 1)))+1e-6) / 1000
		if got := style.ElevationDown(f(z0) - more); !style.Imperial && got != style.Elevation(level) {
			t.Fatalf("floor %d: %s m lower than %s m is at %s, want %s", n, lower.FloatString(12), z0.FloatString(12), got, style.Elevation(level))
		}
	}
	if whole < 500 {
		t.Errorf("only %d of them are whole steps", whole)
	}
}

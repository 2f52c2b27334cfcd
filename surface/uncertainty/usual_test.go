package uncertainty

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The usual errors are our own choice; each is within the 1 to 3 mm of the trade.
func TestUsualErrors(t *testing.T) {
	for w, want := range map[Way]float64{ByElevation: 0.0015, ByRod: 0.001, ByScan: 0.001} {
		if got := Usual(w); got != want || got < 0.001 || got > 0.003 {
			t.Errorf("%v: %g m, want %g", w, got, want)
		}
	}
	if UsualSetup != 0.001 {
		t.Errorf("set-up %g m", UsualSetup)
	}
}

// Readings rounded to a step have the variance of the reading plus step²/12, by simulation.
func TestRoundingAddsItsVariance(t *testing.T) {
	const sd, step, n = 0.001, 0.003175, 200_000
	r := rand.New(rand.NewPCG(1, 2))
	total := 0.0
	for range n {
		truth := r.Float64()
		read := math.Round((truth+sd*r.NormFloat64())/step) * step
		total += (read - truth) * (read - truth)
	}
	if got, want := math.Sqrt(total/n), Rounded(sd, step); math.Abs(got/want-1) > 0.01 {
		t.Errorf("%.4g m simulated, %.4g m computed", got, want)
	}
}

// The step of readings is the coarsest that fits all, whatever the height of instrument.
func TestStepOfReadings(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, c := range []struct {
		step float64
		us   bool
	}{{0.010, false}, {0.005, false}, {0.002, false}, {0.001, false}, {0.0005, false}, {0.0001, false}, {0.0254 / 8, true}, {0.0254 / 16, true}, {0.0254 / 64, true}, {0.01 * 0.3048, true}, {0.001 * 0.3048, true}} {
		offset := 10 * r.Float64()
		var all []float64
		for range 40 {
			all = append(all, offset-c.step*float64(r.IntN(200)))
		}
		if got := Step(all, c.us); math.Abs(got-c.step) > 1e-9 {
			t.Errorf("step %g m, found %g", c.step, got)
		}
	}
	for name, all := range map[string][]float64{"no readings": nil, "one": {1.5}, "equal": {1.5, 1.5, 1.5}, "no step": {0.00001, 0.123456, 0.777777}} {
		if got := Step(all, false); got != 0 {
			t.Errorf("%s: %g", name, got)
		}
	}
}

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

// A step coarser than the usual one is believed of 8 readings or more that are not all the same:
// of whole millimetres 7 are all even or all odd in 1 case of 64, 8 in 1 of 128, as counted here.
func TestStepOfAFewReadings(t *testing.T) {
	even := []float64{1.500, 1.502, 1.506, 1.508, 1.510, 1.514, 1.516, 1.504}
	for n, want := range map[int]float64{2: 0.001, 3: 0.001, fewestForStep - 1: 0.001, fewestForStep: 0.002} {
		if got := Step(even[:n], false); got != want {
			t.Errorf("%d even readings: step %g m, want %g", n, got, want)
		}
	}
	eighths := []float64{0, 1, 3, 4, 5, 7, 8, 10}
	for i := range eighths {
		eighths[i] *= 0.0254 / 8
	}
	if few, all := Step(eighths[:5], true), Step(eighths, true); few != 0.0254/16 || all != 0.0254/8 {
		t.Errorf("eighths: %g m of five, %g m of eight", few, all)
	}
	alike := make([]float64, 30)
	for i := range alike {
		alike[i] = 1.5
	}
	alike[7] = 1.502
	if got := Step(alike, false); got != 0.001 {
		t.Errorf("29 alike and one other: step %g m", got)
	}
	alikeOf := func(k int) (n int) {
		for set := range 1 << k {
			if set == 0 || set == 1<<k-1 { // which are odd
				n++
			}
		}
		return n
	}
	if k := fewestForStep; alikeOf(k)*128 != 1<<k {
		t.Errorf("%d of %d sets of %d readings are all even or all odd", alikeOf(k), 1<<k, k)
	}
}

package settlement

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Three times 0, 30, 60 days with equal errors: the slope is half the difference of the
// ends over 30 days. The level of the elevations does not matter.
func TestRateByHand(t *testing.T) {
	sd := []float64{0.001, 0.001, 0.001}
	r, ok := RateOf([]float64{0, 30, 60}, []float64{100, 99.997, 99.994}, sd)
	if !ok || r.Used != 3 {
		t.Fatal("no rate")
	}
	near(t, "rate", r.PerDay, -0.0001, 1e-15)
	near(t, "s.d.", r.SD, 0.001/math.Sqrt(1800), 1e-15)
	// A survey with no reading is left out: two times.
	r, ok = RateOf([]float64{0, 30, 60}, []float64{100, nan, 99.997}, sd)
	if !ok || r.Used != 2 {
		t.Fatal("no rate from two")
	}
	near(t, "rate of two", r.PerDay, -0.003/60, 1e-15)
	near(t, "s.d. of two", r.SD, 0.001*math.Sqrt2/60, 1e-15)
	// Weighted by hand: times 0, 1, 2 with weights 1, 1, 4: mean time 1.5, Σw(t−t̄)² = 3.5,
	// Σw(t−t̄)z = −1.5·0 − 0.5·1 + 2·4 = 7.5 for z = 0, 1, 4.
	r, _ = RateOf([]float64{0, 1, 2}, []float64{0, 1, 4}, []float64{1, 1, 0.5})
	near(t, "weighted rate", r.PerDay, 7.5/3.5, 1e-14)
	near(t, "weighted s.d.", r.SD, 1/math.Sqrt(3.5), 1e-14)
	for _, z := range [][]float64{{1, nan, nan}, {nan, nan, nan}} {
		if _, ok := RateOf([]float64{0, 30, 60}, z, sd); ok {
			t.Errorf("a rate from %v", z)
		}
	}
	if _, ok := RateOf([]float64{5, 5}, []float64{1, 2}, []float64{1, 1}); ok {
		t.Error("a rate from one time")
	}
}

func TestIntervalsByHand(t *testing.T) {
	// 6 mm in 30 days, then 1 mm in 60, with elevations good to 1 mm.
	v := CompareIntervals(30, 60, -0.006, -0.001, [3]float64{0.001, 0.001, 0.001}, 0)
	near(t, "before", v.Before, -0.0002, 1e-15)
	near(t, "last", v.Last, -0.001/60, 1e-15)
	near(t, "difference", v.DifferenceSD, 0.001*math.Sqrt(1/900.0+(1/30.0+1/60.0)*(1/30.0+1/60.0)+1/3600.0), 1e-15)
	if v.Trend != Slower {
		t.Errorf("trend %d, want slower", v.Trend)
	}
	if v := CompareIntervals(30, 30, -0.001, -0.007, [3]float64{0.001, 0.001, 0.001}, 0); v.Trend != Faster {
		t.Errorf("trend %d, want faster", v.Trend)
	}
	if v := CompareIntervals(30, 30, -0.003, -0.002, [3]float64{0.001, 0.001, 0.001}, 0); v.Trend != TrendUnknown {
		t.Errorf("trend %d, want not shown", v.Trend)
	}
	near(t, "days to tell", DaysToTell(0.006, -0.0002), 30, 1e-12)
	if !math.IsInf(DaysToTell(0.006, 0), 1) {
		t.Error("a floor without a rate has a day on which it shows")
	}
}

// The middle survey is in both rates: on a floor that sinks steadily the trend is shown in
// 10 % of cases, not in more.
func TestTrendFalseAlarms(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 1))
	const floors, r = 4000, 0.001
	shown := 0
	for range floors {
		var z [3]float64
		for i := range z {
			z[i] = -0.0001*[]float64{0, 30, 90}[i] + r*rng.NormFloat64()
		}
		if CompareIntervals(30, 60, z[1]-z[0], z[2]-z[1], [3]float64{r, r, r}, 0).Trend != TrendUnknown {
			shown++
		}
	}
	near(t, "trend shown", float64(shown)/floors, 0.1, 0.012)
}

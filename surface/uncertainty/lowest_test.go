package uncertainty

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// One level of n readings has the error of their mean, by hand. The others are computed elsewhere,
// by brute force over the two levels on a grid of 1/80 of a reading's error: two levels of equal
// readings are likely nearly equal, so that their lowest is known better than by one reading, and
// nearly equal readings say nearly the same.
func TestLowestLevelOfFew(t *testing.T) {
	const sd = 0.0015
	for _, c := range []struct {
		name     string
		levels   []Reads
		mean, sd float64
		share    float64 // of the first
	}{
		{"one reading", []Reads{{0, 1}}, 0, sd, 1},
		{"two readings", []Reads{{0.001, 2}}, 0.001, sd / math.Sqrt2, 1},
		{"equal", []Reads{{0, 1}, {0, 1}}, -0.000523, 0.001163, 0.5},
		{"nearly equal", []Reads{{0, 1}, {1e-7, 1}}, -0.000523, 0.001163, 0.5},
		{"1 mm apart", []Reads{{0, 1}, {0.001, 1}}, -0.000065, 0.001182, 0.6154},
		{"3 mm apart, one read twice", []Reads{{0, 1}, {0.003, 2}}, 0.000715, 0.001360, 0.8716},
		{"far apart", []Reads{{0.1, 1}, {0, 2}}, 0.000055, 0.001060, 0},
	} {
		got := LowestOf(c.levels, sd)
		if math.Abs(got.Mean-c.mean) > 3e-6 || math.Abs(got.SD-c.sd) > 3e-6 || math.Abs(got.Share[0]-c.share) > 2e-3 {
			t.Errorf("%s: %.6f ± %.6f, share %.4f; want %.6f ± %.6f, %.4f", c.name, got.Mean, got.SD, got.Share[0], c.mean, c.sd, c.share)
		}
	}
	if got := LowestOf([]Reads{{0.002, 1}, {0.001, 1}, {0.001, 3}}, 0); got.Mean != 0.001 || got.SD != 0 || !slices.Equal(got.Share, []float64{0, 0.5, 0.5}) {
		t.Errorf("without error: %+v", got)
	}
}

// On simulated doors, of spreads as assumed and of doors that are level or apart, the true lowest
// level is within 1.645 standard deviations of the mean in about 90 %, and on average at it. The
// seed is fixed; 1,000 sets of doors are good to 1 % of them and to 3 % of a standard deviation.
func TestLowestLevelOnSimulatedDoors(t *testing.T) {
	const sd, n = 0.0015, 1000
	rng := rand.New(rand.NewPCG(3, 7))
	for _, c := range []struct {
		name   string
		doors  []int // readings of each
		spread func() float64
		within [2]float64 // of the share of 90 %
		bias   float64    // max, of a standard deviation
	}{
		{"as assumed", []int{1, 1}, func() float64 { return leastApart * math.Pow(2, float64(rng.IntN(apartKinds))) }, [2]float64{0.88, 0.92}, 0.08},
		{"three, one read twice", []int{1, 2, 1}, func() float64 { return leastApart * math.Pow(2, float64(rng.IntN(apartKinds))) }, [2]float64{0.88, 0.92}, 0.08},
		{"level", []int{1, 1, 1}, func() float64 { return 0.001 }, [2]float64{0.88, 0.95}, 0.25},
		{"apart", []int{1, 1, 1}, func() float64 { return 0.008 }, [2]float64{0.86, 0.92}, 0.25},
	} {
		var sum, in float64
		for range n {
			spread := c.spread()
			lowest := math.Inf(1)
			var levels []Reads
			for _, k := range c.doors {
				level := spread * rng.NormFloat64()
				lowest = min(lowest, level)
				levels = append(levels, Reads{level + sd*rng.NormFloat64()/math.Sqrt(float64(k)), k})
			}
			got := LowestOf(levels, sd)
			off := (lowest - got.Mean) / got.SD
			sum += off
			if math.Abs(off) < 1.645 {
				in++
			}
		}
		mean := sum / n
		if math.Abs(mean) > c.bias || in/n < c.within[0] || in/n > c.within[1] {
			t.Errorf("%s: off by %.3f of the standard deviation, %.1f %% within 90 %%", c.name, mean, 100*in/n)
		}
	}
}

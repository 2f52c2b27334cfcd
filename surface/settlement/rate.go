package settlement

import "math"

// Rate is a steady rate of change.
type Rate struct {
	PerDay float64 // m a day, negative: sinking
	SD     float64 // m a day; NaN: not known
	Used   int     // surveys

	Freedom float64 // degrees of freedom of SD; 0: it was not estimated
}

// Half returns half the width of the 90 % interval of the rate.
func (r Rate) Half() float64 { return times90(r.Freedom) * r.SD }

// Known reports whether the standard deviation of the rate is known.
func (r Rate) Known() bool { return !math.IsNaN(r.SD) }

// RateOf fits a straight line through elevations z (NaN: not known) at times days by
// weighted least squares, with the standard deviation of each elevation. It returns false
// for fewer than two times.
//
// The slope is Σ w (t − t̄) z / Σ w (t − t̄)² with w = 1/sd², its variance 1 / Σ w (t − t̄)²
// (textbook; Draper and Smith, Applied Regression Analysis, weighted least squares).
func RateOf(days, z, sd []float64) (Rate, bool) {
	var w, t, squares, slope float64
	n := 0
	for i := range z {
		if !math.IsNaN(z[i]) {
			k := 1 / (sd[i] * sd[i])
			w, t, n = w+k, t+k*days[i], n+1
		}
	}
	if n < 2 {
		return Rate{}, false
	}
	t /= w
	base := math.NaN() // elevations of 100 m must not cost digits
	for i := range z {
		if math.IsNaN(z[i]) {
			continue
		}
		if math.IsNaN(base) {
			base = z[i]
		}
		k := (days[i] - t) / (sd[i] * sd[i])
		squares += k * (days[i] - t)
		slope += k * (z[i] - base)
	}
	if !(squares > 0) {
		return Rate{}, false
	}
	return Rate{PerDay: slope / squares, SD: 1 / math.Sqrt(squares), Used: n}, true
}

// Trend is whether movement slows down.
type Trend int

const (
	TrendUnknown Trend = iota // not shown either way
	Slower
	Faster
)

// Intervals compares the rates of the last two intervals between surveys.
type Intervals struct {
	Before, Last     float64 // m a day
	BeforeSD, LastSD float64
	Difference       float64 // Last minus Before
	DifferenceSD     float64 // the middle survey is in both rates, so it is more than the two together
	P                float64 // that the two rates are one, two-sided
	Trend            Trend   // at 90 %
	Freedom          float64 // degrees of freedom of the standard deviations; 0: they were not estimated
}

// LastRate returns the rate of the last interval.
func (v Intervals) LastRate() Rate {
	return Rate{PerDay: v.Last, SD: v.LastSD, Used: 2, Freedom: v.Freedom}
}

// CompareIntervals compares two intervals of so many days each. before and last are the
// changes in them; sd are the standard deviations of the three elevations, with their degrees of
// freedom, 0 if they were not estimated.
func CompareIntervals(beforeDays, lastDays, before, last float64, sd [3]float64, freedom float64) Intervals {
	v := Intervals{
		Freedom: freedom,
		Before:  before / beforeDays, Last: last / lastDays,
		BeforeSD: math.Hypot(sd[0], sd[1]) / beforeDays, LastSD: math.Hypot(sd[1], sd[2]) / lastDays,
	}
	v.Difference = v.Last - v.Before
	v.DifferenceSD = math.Hypot(math.Hypot(sd[0]/beforeDays, sd[1]*(1/beforeDays+1/lastDays)), sd[2]/lastDays)
	v.P = twoSided(Moved{Change: v.Difference, SD: v.DifferenceSD, Freedom: freedom})
	switch {
	case v.P > 0.1:
	case math.Abs(v.Last) < math.Abs(v.Before):
		v.Trend = Slower
	default:
		v.Trend = Faster
	}
	return v
}

// DaysToTell returns how many days after a survey the next one can show movement at a
// steady rate, m a day, in 9 of 10 cases: seen is [Comparison.SeenAt] or SeenRel. It is
// infinite for no rate.
func DaysToTell(seen, perDay float64) float64 { return seen / math.Abs(perDay) }

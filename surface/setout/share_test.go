package setout

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Hamilton's apportionment of the 105 seats of the third Congress after the census of 1790
// is the textbook case of largest remainders. Here a small case of the same shape, worked by
// hand: quotas 12.4, 8.35, 4.15, 0.1 of 25 leave one seat, which 0.4 takes.
func TestSharesByHand(t *testing.T) {
	for _, c := range []struct {
		name     string
		total    float64
		parts    []float64
		decimals int
		want     []float64
	}{
		{"one left", 25, []float64{12.4, 8.35, 4.15, 0.1}, 0, []float64{13, 8, 4, 0}},
		{"thirds", 1, []float64{1. / 3, 1. / 3, 1. / 3}, 2, []float64{0.34, 0.33, 0.33}},
		{"thirds in another last bit", 1, []float64{math.Nextafter(1./3, 0), 1. / 3, 1. / 3}, 2, []float64{0.34, 0.33, 0.33}},
		{"of equal losses the larger", 4, []float64{0.5, 3.5}, 0, []float64{0, 4}},
		{"total rounds down", 1.2, []float64{0.6, 0.6}, 0, []float64{1, 0}},
		{"nothing", 0, []float64{0, 0}, 1, []float64{0, 0}},
		{"no part", 0, nil, 1, []float64{}},
		{"already whole", 2.3 + 0.7, []float64{2.3, 0.7}, 1, []float64{2.3, 0.7}},
	} {
		got, err := Apportion(c.total, c.parts, c.decimals)
		if err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, %v; want %v", c.name, got, err, c.want)
		}
	}
}

func TestSharesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfN(rapid.Float64Range(0, 50), 1, 40).Draw(t, "parts")
		decimals := rapid.IntRange(0, 4).Draw(t, "decimals")
		total := sumOf(parts)
		got, err := Apportion(total, parts, decimals)
		if err != nil {
			t.Fatal(err)
		}
		per := math.Pow10(decimals)
		digits := 0.0
		for i, g := range got {
			digits += math.Round(g * per)
			if math.Abs(g-parts[i])*per >= 1+1e-6 {
				t.Errorf("%g is shown as %g", parts[i], g)
			}
		}
		if digits != math.Round(total*per) {
			t.Errorf("%v add up to %g last digits, the total has %g", got, digits, math.Round(total*per))
		}
	})
}

func TestSharesRefuses(t *testing.T) {
	for _, c := range []struct {
		total    float64
		parts    []float64
		decimals int
		want     string
	}{
		{1, []float64{1}, -1, "decimals: found -1, want 0 to 9"},
		{1, []float64{1}, 10, "decimals: found 10, want 0 to 9"},
		{math.NaN(), nil, 0, "total: found NaN, want an amount, 0 or more"},
		{1e12, []float64{1e12}, 9, "total: found 1e+12, want an amount that can be written with so many decimals"},
		{1, []float64{2, -1}, 0, "part 2: found -1, want an amount, 0 or more"},
		{1, []float64{math.Inf(1)}, 0, "part 1: found +Inf, want an amount, 0 or more"},
		{3, []float64{1, 1}, 0, "parts: found 2 in all, want 3"},
	} {
		if _, err := Apportion(c.total, c.parts, c.decimals); err == nil || err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}

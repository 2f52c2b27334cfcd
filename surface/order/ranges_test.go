package order

import (
	"math"
	"slices"
	"testing"
)

// Depths that the floor does not have as measured go to the nearest material in use, as nothing of
// another is ordered; those that it has and nothing serves stay without.
func TestRanges(t *testing.T) {
	two := Materials{{Name: "thin", Least: 0.005, Greatest: 0.03}, {Name: "deep", Least: 0.04, Greatest: 0.1}}
	inf := math.Inf(1)
	for _, c := range []struct {
		what  string
		bands []Band
		want  []Range
	}{
		{"all served", []Band{{0.005, 0.03, 10, 0.175}, {0.04, 0.1, 10, 0.7}}, []Range{{0, 0.035, 0}, {0.035, inf, 1}}},
		{"a gap that the floor has", []Band{{0.005, 0.03, 10, 0.175}, {0.03, 0.04, 5, 0.175}, {0.04, 0.1, 10, 0.7}}, []Range{{0, 0.03, 0}, {0.04, inf, 1}}},
		{"too thin at the edge", []Band{{0, 0.005, 2, 0.005}, {0.005, 0.03, 10, 0.175}}, []Range{{0.005, inf, 0}}},
	} {
		s, err := Serve(c.bands, two)
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Ranges(); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.what, got, c.want)
		}
	}
}

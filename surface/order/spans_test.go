package order

import (
	"math"
	"slices"
	"testing"
)

// By hand: up to 40 mm in one lift and from 60 to 100 mm; two lifts of a third, 25 to 30 mm each,
// reach from 50 to 60.
func TestSpansOfMaterials(t *testing.T) {
	thin, thick := Material{Name: "thin", Greatest: 0.040}, Material{Name: "thick", Least: 0.060, Greatest: 0.100}
	for _, c := range []struct {
		name string
		ms   Materials
		want []Span
	}{
		{"a gap", Materials{thin, thick}, []Span{{0, 0.040}, {0.060, 0.100}}},
		{"whatever the order", Materials{thick, thin}, []Span{{0, 0.040}, {0.060, 0.100}}},
		{"lifts", Materials{thin, thick, {Name: "lifts", Least: 0.025, Greatest: 0.030, Lifts: 2}}, []Span{{0, 0.040}, {0.050, 0.100}}},
		{"no limit", Materials{{Name: "m", Least: 0.050}}, []Span{{0.050, math.Inf(1)}}},
	} {
		if got := c.ms.Spans(); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	// 20.5 to 70 mm deep, in steps of 1 mm, by
	// hand: 60 − 20.5 = 39.5, so 40 up; 40 − 70, so 30 down; 0 − 20.5, so 20 down; 100 − 70, so 30 up.
	got := Materials{thin, thick}.Raises([]Span{{0.0205, 0.070}}, 0.001)
	for i, want := range []float64{-0.020, -0.030, 0.030, 0.040} {
		if len(got) != 4 || math.Abs(got[i]-want) > 1e-12 {
			t.Fatalf("%v, want 20 and 30 mm down, 30 and 40 mm up", got)
		}
	}
}

package report

import (
	"slices"
	"testing"
)

// By hand: 7.2249 + 0.0933 = 7.3182 is 7.32. The larger stays 7.22, so the other is 0.10;
// 29,226 + 330 = 29,556 in steps of 10 are 29,230 + 330 = 29,560.
func TestSharedAddUpAndTheLargestStays(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		total float64
		parts []float64
		step  float64
		want  []float64
	}{
		{7.3182, []float64{7.2249, 0.0933}, 0.01, []float64{7.22, 0.10}},
		{29556, []float64{29226, 330}, 10, []float64{29230, 330}},
		{10, []float64{5.2, 2.4, 2.4}, 1, []float64{5, 3, 2}},
		{3.4, []float64{3.4}, 1, []float64{3.4}},
	} {
		got := shared(c.total, c.parts, c.step)
		for i := range got {
			got[i] = float64(int(1000*got[i]+0.5)) / 1000
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v of %g: %v, want %v", c.parts, c.total, got, c.want)
		}
	}
}

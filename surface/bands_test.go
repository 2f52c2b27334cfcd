package surface

import (
	"slices"
	"testing"
)

// Two per cent of the area make a band of their own; less than that is one band with its
// neighbours of that kind, and what is empty is a stretch without area.
func TestLittleAreaIsOneBand(t *testing.T) {
	for _, c := range []struct {
		share []float64
		want  []float64
		n     int
	}{
		{[]float64{0.5, 0.019, 0.019, 0.462}, []float64{0, 1, 3, 4}, 3},
		{[]float64{0.5, 0.021, 0.021, 0.458}, []float64{0, 1, 2, 3, 4}, 4},
		{[]float64{0.6, 0, 0, 0.4}, []float64{0, 1, 3, 4}, 2},
		{[]float64{0.01, 0.01, 0.98, 0}, []float64{0, 2, 3}, 2},
	} {
		got, n := group(c.share, 0, 1, 0, 4)
		if !slices.Equal(got, c.want) || n != c.n {
			t.Errorf("%v: limits %v, %d bands; want %v, %d", c.share, got, n, c.want, c.n)
		}
	}
}

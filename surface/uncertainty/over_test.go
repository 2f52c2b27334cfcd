package uncertainty

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// What a normal quantity is above a value on average has a closed form: σ (φ(z) − z (1 − Φ(z))).
// Source: arithmetic; the expected loss of the newsvendor problem.
func TestOverOfANormal(t *testing.T) {
	n := distuv.UnitNormal
	d := Normal(2).Shifted(5)
	for _, v := range []float64{-4, 1, 4, 5, 6, 8, 10} {
		z := (v - 5) / 2
		want := 2 * (n.Prob(z) - z*(1-n.CDF(z)))
		if got := d.Over(v); math.Abs(got-want) > 2e-3 {
			t.Errorf("above %g: %g, want %g", v, got, want)
		}
	}
	if got := d.Mean(); math.Abs(got-5) > 1e-3 {
		t.Errorf("mean %g, want 5", got)
	}
	if got := (Distribution(nil)).Over(-3); got != 3 {
		t.Errorf("of a quantity known to be 0: %g above -3", got)
	}
}

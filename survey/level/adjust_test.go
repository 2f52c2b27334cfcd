package level

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// Certified values: NIST StRD, linear regression, data sets Norris and NoInt1
// (15 digits given). Asked: 12 digits and more; the intercept is a difference of
// large terms.
func TestLeastSquaresAgainstNIST(t *testing.T) {
	y := []float64{0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2}
	x := []float64{0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5}
	a, w := mat.NewDense(len(x), 2, nil), make([]float64, len(x))
	for i := range x {
		a.Set(i, 0, 1)
		a.Set(i, 1, x[i])
		w[i] = 1
	}
	f := leastSquares(a, y, w)
	n1 := mat.NewDense(11, 1, nil)
	y1, w1 := make([]float64, 11), make([]float64, 11)
	for i := range 11 {
		n1.Set(i, 0, float64(60+i))
		y1[i], w1[i] = float64(130+i), 1
	}
	for _, c := range []struct {
		name           string
		got, certified float64
		digits         float64
	}{
		{"Norris intercept", f.x[0], -0.262323073774029, 11.5},
		{"Norris slope", f.x[1], 1.00211681802045, 14},
		{"Norris s.d. of intercept", f.s0 * math.Sqrt(f.q.At(0, 0)), 0.232818234301152, 12},
		{"Norris s.d. of slope", f.s0 * math.Sqrt(f.q.At(1, 1)), 0.429796848199937e-03, 12},
		{"Norris residual s.d.", f.s0, 0.884796396144373, 12},
		{"NoInt1 slope", leastSquares(n1, y1, w1).x[0], 2.07438016528926, 14},
	} {
		if d := -math.Log10(math.Abs(c.got-c.certified)/math.Abs(c.certified) + 1e-16); d < c.digits {
			t.Errorf("%s = %.15g, certified %.15g: %.1f digits, want %g", c.name, c.got, c.certified, d, c.digits)
		}
	}
}

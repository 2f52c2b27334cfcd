package surface

import (
	"errors"
	"math"
	"testing"

	"pourplane/survey"
)

// How much of a slope is used at a wall, by the variance q that it adds there: all of it
// up to 9, none from 36, in between on a straight line. For a scatter of 1 m² along each
// axis q is the square of the way from its middle.
func TestSlopeUsed(t *testing.T) {
	s := scatter{w: 1, xx: 1, yy: 1}
	for _, c := range []struct{ q, used float64 }{{1, 1}, {9, 1}, {11.7, 0.9}, {22.5, 0.5}, {33.3, 0.1}, {36, 0}, {40, 0}} {
		if got := s.reach(Vec{math.Sqrt(c.q), 0}).used[0]; math.Abs(got-c.used) > 1e-9 {
			t.Errorf("q %g: %g of the slope used, want %g", c.q, got, c.used)
		}
	}
}

// Two rows of 11 shots at y = ±0.1 m, and walls at ±w: by hand the variance of the plane
// of least squares at a corner is 1/22 + 5²/220 + w²/(22·0.1²), of w = 2.714 m 5.8², of
// w = 2.902 m 6.2². No plane is described from six times a shot on.
func TestDescribeANarrowStrip(t *testing.T) {
	for _, c := range []struct {
		wall, times float64
		ok          bool
	}{{2.7139, 5.8, true}, {2.9016, 6.2, false}} {
		r := Region{Rings: [][]Vec{{{0, -c.wall}, {10, -c.wall}, {10, c.wall}, {0, c.wall}}}, TIN: &TIN{}}
		for i := range 22 {
			r.Shots = append(r.Shots, survey.Point{X: float64(i / 2), Y: 0.1 - 0.2*float64(i%2), Z: 10 + 0.001*float64(i%3)})
			r.TIN.Shot = append(r.TIN.Shot, int32(i))
		}
		if got := Uncertainty(r.Shots, r.Rings[0]); math.Abs(got-c.times) > 0.005 {
			t.Errorf("walls at %g m: %g times a shot, want %g", c.wall, got, c.times)
		}
		f := &Floor{Regions: []Region{r}, Used: 22}
		if _, err := f.Describe(); (err == nil) != c.ok || err != nil && !errors.Is(err, ErrNoPlane) {
			t.Errorf("walls at %g m: %v", c.wall, err)
		}
	}
}

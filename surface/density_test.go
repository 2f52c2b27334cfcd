package surface

import (
	"math"
	"testing"
)

// The table itself (common practice, no source), and between its rows.
func TestUsualShots(t *testing.T) {
	for _, c := range []struct{ area, least, most, enough float64 }{
		{10, 5, 9, 15}, {30, 9, 16, 20}, {100, 20, 35, 35}, {1000, 60, 130, 77},
		{math.Sqrt(100 * 1000), math.Sqrt(20 * 60), math.Sqrt(35 * 130), math.Sqrt(35 * 77)},
	} {
		least, most, enough := UsualShots(c.area)
		for _, v := range [][2]float64{{least, c.least}, {most, c.most}, {enough, c.enough}} {
			if math.Abs(v[0]-v[1]) > 1e-9*v[1] {
				t.Errorf("%g m²: %g, want %g", c.area, v[0], v[1])
			}
		}
	}
	before := 0.0
	for a := 1.0; a < 1e5; a *= 1.3 {
		if _, most, _ := UsualShots(a); most <= before {
			t.Errorf("%g m² takes %g shots, a smaller floor %g", a, most, before)
		} else {
			before = most
		}
	}
}

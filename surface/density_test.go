package surface

import (
	"math"
	"testing"
)

// The table itself (usual: common practice, no source; within: see [densities]), and between its
// rows.
func TestUsualShots(t *testing.T) {
	for _, c := range []struct{ area, least, most, metric, us float64 }{
		{10, 5, 9, 14, 9}, {30, 9, 16, 18, 14}, {100, 20, 35, 25, 16}, {1000, 60, 130, 48, 33},
		{math.Sqrt(100 * 1000), math.Sqrt(20 * 60), math.Sqrt(35 * 130), math.Sqrt(25 * 48), math.Sqrt(16 * 33)},
	} {
		least, most := UsualShots(c.area)
		for _, v := range [][2]float64{{least, c.least}, {most, c.most}, {EnoughShots(c.area, false), c.metric}, {EnoughShots(c.area, true), c.us}} {
			if math.Abs(v[0]-v[1]) > 1e-9*v[1] {
				t.Errorf("%g m²: %g, want %g", c.area, v[0], v[1])
			}
		}
	}
	before := 0.0
	for a := 1.0; a < 1e5; a *= 1.3 {
		if _, most := UsualShots(a); most <= before {
			t.Errorf("%g m² takes %g shots, a smaller floor %g", a, most, before)
		} else {
			before = most
		}
	}
}

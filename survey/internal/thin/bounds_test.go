package thin

import (
	"testing"

	"pourplane/survey"
)

// Scans are thinned to squares of 1 mm to 1 km.
func TestSquaresOfThinning(t *testing.T) {
	for side, taken := range map[float64]bool{0: true, 0.00099: false, 0.001: true, 1000: true, 1001: false, -0.05: false} {
		if err := Check((survey.Thin{Cell: side})); (err == nil) != taken {
			t.Errorf("squares of %g m: %v", side, err)
		}
	}
}

package text

import "testing"

// Readings in mm up and down about zero are deviations, and no rod in metres, however few reach 10. What
// may be metres is refused still: no negative among them, one in a hundred, or all within half a metre.
func TestReadingsAboutZero(t *testing.T) {
	for _, c := range []struct {
		below, n int
		most     float64
		want     bool
	}{
		{80, 160, 2.77, true}, {40, 160, 2.77, true}, {1, 160, 2.77, false}, {0, 160, 1.9, false}, {160, 160, 1.9, false}, {80, 160, 0.4, false},
	} {
		if got := aboutZero(c.below, c.n, c.most); got != c.want {
			t.Errorf("%d of %d below zero, max %g: %v", c.below, c.n, c.most, got)
		}
	}
}

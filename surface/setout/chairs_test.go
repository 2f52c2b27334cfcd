package setout_test

import (
	"math"
	"testing"

	"pourplane/surface"
	"pourplane/surface/setout"
)

// The heights of chairs follow the old floor: by hand, with 12 mm bars and 20 mm of cover
// the underside of the lower bars is 44 mm below the target.
func TestChairsFollowTheFloor(t *testing.T) {
	f := rectangle(t, 6, 4, tilted)
	b, err := setout.LayBars(f, surface.Horizontal(10.1), setout.BarRules{Size: sized(t, "12"), Spacing: 0.5, Top: 0.02})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, c := range b.Chairs {
		if want := 10.1 - 0.044 - tilted(c.At.X, c.At.Y); math.Abs(c.Clear-want) > 1e-9 {
			t.Errorf("chair at %v: %.6f m, want %.6f", c.At, c.Clear, want)
		}
	}
	for _, c := range b.ChairCount {
		n += c.Count
	}
	if n != len(b.Chairs) || n == 0 {
		t.Errorf("%d chairs counted by height, %d stand", n, len(b.Chairs))
	}
	// No place under a lower bar is farther than a spacing from a chair along it and across.
	if len(b.Chairs) < 6*4 {
		t.Errorf("%d chairs on 24 m² at 1 m", len(b.Chairs))
	}
}

package report

import (
	"math"
	"strings"
	"testing"
)

// A strip that separates the fill covers all of its depth: its height is rounded up. At the deepest wall of the demo the fill is 3.895" deep.
func TestFoamIsNoLowerThanTheFill(t *testing.T) {
	for _, table := range hall(t).supplySection().Tables {
		for _, row := range table.Rows {
			switch row[0].Text {
			case "Foam strip, height (in)":
				if row[1].Text != `3 15/16"` || math.Abs(row[1].Value-3.8954) > 1e-4 {
					t.Errorf("height of the foam: %s, %g in; want 3 15/16\"", row[1].Text, row[1].Value)
				}
				return
			}
		}
	}
	t.Error("no height of foam")
}

// The strip in a movement joint is as high as the fill while it is poured. It makes room for
// sealant and rod afterwards, and only where the covering is too thin for them.
func TestStripIsAsHighAsTheFill(t *testing.T) {
	for _, c := range []struct {
		covering float64
		want     string
	}{
		{0, "Afterwards cut it down to 14 mm below the top of the covering, to leave room for the rod and the sealant."},
		{0.010, "Afterwards cut it down to 4 mm below the top of the fill, which is 14 mm below the top of the covering, to leave room for the rod and the sealant."},
		{0.020, "The covering over it has the 14 mm that the rod and the sealant need."},
	} {
		r := runText(t, ramp+"[joints]\nlength = \"6m\"\nwidth = \"6mm\"\n")
		r.h.Covering.Thickness = c.covering
		text := strings.Join(r.h.supplySection().Text, "\n")
		if want := "Set the strip as high as the fill, or mix runs over it and bridges the joint. " + c.want; !strings.Contains(text, want) {
			t.Errorf("covering of %g m:\n%s\nwant %s", c.covering, text, want)
		}
	}
}

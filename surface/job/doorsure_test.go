package job

import (
	"math"
	"testing"
)

// What is known of a target at the lowest door, by hand: of one reading its error, 1.5 mm for
// elevations; of two of one door 4 mm apart that of their mean; of the
// higher of two far apart nothing. Of nearly equal readings of two doors as of equal ones. Readings
// 60 mm apart are of two doors: that is as the program has it, to tell them from one.
func TestHowSureTheLowestDoorIs(t *testing.T) {
	t.Parallel()
	of := func(keys string, rows ...string) aim {
		r := solved(t, doorJob("finish-codes = [\"ADJ\"]\n"+keys), doored(rows...))
		return r.Filled.aimedBy(setupsOf(r.Survey), 0.0015)
	}
	for _, c := range []struct {
		name string
		got  aim
		sd   float64
	}{
		{"one reading", of("", "D1,3,-0.1,10.000,ADJ"), 0.0015},
		{"read twice", of("", "D1,3,-0.1,10.004,ADJ", "D1,3.05,-0.1,10.000,ADJ"), 0.0015 / math.Sqrt2},
		{"not the same place", of("", "D1,3,-0.1,10.004,ADJ", "D1,3.06,-0.1,10.000,ADJ"), 0.001445},
		{"the mean", of("finish-rule = \"mean\"\n", "D1,3,-0.1,10.004,ADJ", "D2,6.1,2,10.000,ADJ"), 0.0015 / math.Sqrt2},
		{"far apart", of("", "D1,3,-0.1,10.100,ADJ", "D2,6.1,2,10.000,ADJ"), 0.001499},
		{"equal", of("", "D1,3,-0.1,10.000,ADJ", "D2,6.1,2,10.000,ADJ"), 0.001163},
		{"nearly equal", of("", "D1,3,-0.1,10.000001,ADJ", "D2,6.1,2,10.000,ADJ"), 0.001163},
	} {
		if math.Abs(c.got.sd-c.sd) > 3e-6 {
			t.Errorf("%s: ± %.6f m, want %.6f", c.name, c.got.sd, c.sd)
		}
		total := 0.0
		for _, s := range c.got.shares {
			total += s
		}
		if math.Abs(total-1) > 1e-9 {
			t.Errorf("%s: shares of set-ups add up to %g", c.name, total)
		}
	}
}

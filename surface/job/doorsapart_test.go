package job

import (
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Finished floors that set the target and differ by more than a bevel takes up, 1/2 in or 13
// mm, are warned of beside it: by hand, the target is 10 mm below the lowest of them.
func TestFinishedFloorsThatDiffer(t *testing.T) {
	t.Parallel()
	const warned = "are both adjoining finished floor"
	for _, c := range []struct {
		name, keys string
		rows       []string
		want       []string // in the notes about the target
		not        string
	}{
		{"12 mm", "", []string{"D1,3,-0.1,10.000,ADJ", "D2,6.1,2,10.012,ADJ"}, []string{"bevel it, or people trip"}, warned},
		{"what needs no bevel", "", []string{"D1,3,-0.1,10.020,ADJ", "D2,6.1,2,10.02635,ADJ"}, nil, "bevel"},
		{"more", "", []string{"D1,3,-0.1,10.000,ADJ", "D2,6.1,2,10.0065,ADJ"}, []string{"bevel it, or people trip"}, ""},
		{"14 mm", "", []string{"D1,3,-0.1,10.000,ADJ", "D2,6.1,2,10.014,ADJ"},
			[]string{"floor.csv:37: D1 and D2 are both adjoining finished floor, but D2 is 14 mm higher. Read both again: by D1 alone the target is 9.990 m, by D2 alone 10.004 m. If both are right, the step takes a ramp: no bevel goes above 13 mm (2010 ADA Standards, 303; local code decides)"}, "people trip"},
		{"a decimetre", "", []string{"D1,3,-0.1,9.904,ADJ", "D2,6.1,2,10.000,ADJ"}, []string{"D2 is 96 mm higher, about 100 mm: most likely a misread rod. Read both again"}, "too much for a bevel"},
		{"a metre", "", []string{"D1,3,-0.1,11.008,ADJ", "D2,6.1,2,10.000,ADJ"}, []string{"D2 and D1 are both adjoining finished floor, but D1 is 1.008 m higher, about 1 m: most likely a misread rod"}, ""},
		{"two centimetres", "", []string{"D1,3,-0.1,10.000,ADJ", "D2,6.1,2,10.021,ADJ"}, []string{"D2 is 21 mm higher, about 20 mm: maybe a misread rod"}, ""},
		{"the low one of three", "", []string{"D1,3,-0.1,9.95,ADJ", "D2,6.1,2,10.000,ADJ", "D3,3,4.1,10.004,ADJ"}, []string{"The other 2 agree within a bevel: D1 is the odd one"}, ""},
		{"the high one of three", "", []string{"D1,3,-0.1,10.000,ADJ", "D2,6.1,2,10.05,ADJ", "D3,3,4.1,10.004,ADJ"}, []string{"The other 2 agree within a bevel: D2 is the odd one"}, ""},
		{"three of three levels", "", []string{"D1,3,-0.1,10.000,ADJ", "D2,6.1,2,10.05,ADJ", "D3,3,4.1,10.025,ADJ"}, []string{"by D1 alone the target is 9.990 m, by D2 alone 10.040 m"}, "odd one"},
		{"the mean", "finish-rule = \"mean\"\n", []string{"D1,3,-0.1,10.000,ADJ", "D2,6.1,2,10.100,ADJ"}, []string{"by D1 alone the target is 9.990 m, by D2 alone 10.090 m"}, ""},
		{"a slope of two doors", "fall = \"1%\"\ntoward = \"E\"\n", []string{"D1,0,-0.1,10.060,ADJ", "D2,6,2,10.000,ADJ"}, nil, warned},
		{"on a slope", "fall = \"1%\"\ntoward = \"E\"\n", []string{"D1,0,-0.1,10.000,ADJ", "D2,6,2,10.000,ADJ"}, []string{"D2 is 60 mm farther above the falling target than D1 (their own floors are level): by D2 alone the target is that much higher. The step at D2 takes a ramp: no bevel goes above 13 mm"}, "Read both again"},
		{"lower, and farther above a slope", "fall = \"2%\"\ntoward = \"E\"\n", []string{"D1,0,-0.1,10.000,ADJ", "D2,6,2,9.980,ADJ"}, []string{"D2 is 100 mm farther above the falling target than D1 (its own floor is 20 mm lower): by D2 alone"}, "misread"},
		{"lower by no misreading", "fall = \"2%\"\ntoward = \"E\"\n", []string{"D1,0,-0.1,10.000,ADJ", "D2,6,2,9.994,ADJ"}, []string{"D2 is 114 mm farther above the falling target than D1 (its own floor is 6 mm lower): by D2 alone"}, "misread"},
		{"misread on a slope", "fall = \"1%\"\ntoward = \"E\"\n", []string{"D1,0,-0.1,10.000,ADJ", "D2,6,2,9.640,ADJ"}, []string{"D1 is 300 mm farther above the falling target than D2 (its own floor is 360 mm higher): by D1 alone"}, "misread"},
		{"misread on a slope", "fall = \"1%\"\ntoward = \"E\"\n", []string{"D1,0,-0.1,10.000,ADJ", "D2,6,2,9.700,ADJ"}, []string{"D1 is 240 mm farther above the falling target than D2 (its own floor is 300 mm higher), about 300 mm: most likely a misread rod. Read both again: by D1 alone the target is 240 mm higher than by D2 alone. If both are right, the step at D1 takes a ramp"}, ""},
		{"one read twice", "", []string{"D1,3,-0.1,10.004,ADJ", "D1,3.03,-0.1,10.000,ADJ"}, []string{"floor.csv:38: D1 was read 2 times, up to 4 mm apart: the target is from the lowest, 2 mm below their mean, and can be topped up. The ± of the fill counts them all"}, "Read it twice"},
		{"one read twice, alike", "", []string{"D1,3,-0.1,10.0009,ADJ", "D1,3.03,-0.1,10.000,ADJ"}, nil, "was read"},
		{"two beside each other", "", []string{"D1,3,-0.1,10.004,ADJ", "D2,3.06,-0.1,10.000,ADJ"}, nil, "was read"},
		{"one read twice, the mean", "finish-rule = \"mean\"\n", []string{"D1,3,-0.1,10.004,ADJ", "D1,3.03,-0.1,10.000,ADJ"}, nil, "was read"},
		{"one alone", "", []string{"D1,3,-0.1,10.000,ADJ"}, []string{"the target is from one reading, D1: no other finished floor was shot, so a misread rod there cannot be seen. Read it twice"}, warned},
	} {
		r := solved(t, doorJob("finish-codes = [\"ADJ\"]\n"+c.keys), doored(c.rows...))
		got := ""
		for _, n := range r.Notes {
			if n.Topic == survey.AboutTarget {
				got += n.String() + "\n"
			}
		}
		for _, want := range c.want {
			if !strings.Contains(got, want) {
				t.Errorf("%s: no %q in\n%s", c.name, want, got)
			}
		}
		if c.not != "" && strings.Contains(got, c.not) {
			t.Errorf("%s: %q in\n%s", c.name, c.not, got)
		}
	}
}

// In feet a difference of about a foot or an inch is a slip; 6 in is none.
func TestSlipsBetweenDoors(t *testing.T) {
	t.Parallel()
	const inch = 0.0254
	for _, c := range []struct {
		apart    float64
		imperial bool
		want     string
	}{
		{12.1875 * inch, true, ", about 1 ft: most likely a misread rod"}, {23.75 * inch, true, ", about 2 ft: most likely a misread rod"},
		{12.6 * inch, true, ""}, {1.1875 * inch, true, ", about 1 in: maybe a misread rod"}, {6 * inch, true, ""}, {0.1, true, ""},
		{0.108, false, ", about 100 mm: most likely a misread rod"}, {0.31, false, ", about 300 mm: most likely a misread rod"}, {0.3048, false, ", about 300 mm: most likely a misread rod"},
		{1.99, false, ", about 2 m: most likely a misread rod"}, {0.0305, false, ", about 30 mm: maybe a misread rod"}, {0.034, false, ""},
	} {
		if got := slip(c.apart, c.imperial); got != c.want {
			t.Errorf("%g m: %q, want %q", c.apart, got, c.want)
		}
	}
}

// A bevel is advised up to 1/2 in; above it a step or a ramp, and to check the reading.
func TestNoBevelAboveHalfAnInch(t *testing.T) {
	t.Parallel()
	r := solved(t, doorJob("finish-at = \"D1\"\n"), doored("D1,3,-0.1,10.000,ADJ", "D2,6.1,2,10.305,ADJ"))
	if got := aboutTopic(r, survey.AboutTarget); !strings.Contains(got, "at D2 the new floor is 305 mm lower than the adjoining finished floor: too much for a bevel, which ends at 13 mm (2010 ADA Standards, 303; local code decides): it takes a step or a ramp. Read D2 again first") || strings.Contains(got, "bevel it") {
		t.Error(got)
	}
}

// Where results are in feet the targets of two doors are in feet and inches too: 99.93 ft is
// 99'-11 1/8" and a little, rounded down.
func TestDoorsApartInFeetAndInches(t *testing.T) {
	const foot = 0.3048
	target := surface.Plane{Z: 99.93 * foot}
	doors := doorsOn([]survey.Point{{X: 0, Y: 0, Z: 100 * foot}, {X: 1, Y: 0, Z: 100.5 * foot}}, surface.Plane{Z: 100 * foot})
	notes := doorsApart(doors, &target, true)
	if len(notes) != 1 {
		t.Fatal(notes)
	}
	if got, want := notes[0].Text.In(unit.Style{Imperial: true}), `99.930 ft (99'-11 1/8"), by `; !strings.Contains(got, want) || !strings.Contains(got, `alone 100.430 ft (100'-5 `) {
		t.Errorf("%s\nwant %s", got, want)
	}
}

package order

import (
	"math"
	"strings"
	"testing"
)

func TestPublishedJointSpacing(t *testing.T) {
	// PCA table of joint spacings: 4, 5, 6 in thick: 8–12, 10–15, 12–18 ft.
	for in, want := range map[float64]Spacing{4: {8, 12}, 5: {10, 15}, 6: {12, 18}, 8: {16, 18}} { // beyond the table: the cap
		got, err := JointSpacing(in * inch)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "least", got.Least/foot, want.Least)
		near(t, "most", got.Most/foot, want.Most)
	}
}

func TestJointsByHand(t *testing.T) {
	for _, c := range []struct {
		name                   string
		joints                 Joints
		depth                  float64
		cut, fill, filler, rod float64
		packs                  int
	}{
		// A gallon fills 154 ft of 1/2 × 1/4 in: 231 in³ / (1/8 in² × 12), common in sealant tables, from memory.
		{"a gallon of sealant", Joints{Length: 154 * foot, Width: inch / 2, Elastic: true, Pack: gallon}, 4 * inch, inch, inch / 4, gallon, 154 * foot, 1},
		// A quarter of 4 in is 1 in; of 3 in it would be less than 1 in.
		{"a quarter", Joints{Length: 10}, 0.12, 0.03, 0.03, 10 * 0.003 * 0.03 * 1000, 0, 0},
		{"an inch", Joints{Length: 10, US: true, Step: inch / 16}, 0.075, inch, inch, 10 * 0.003 * inch * 1000, 0, 0},
		{"25 mm", Joints{Length: 10, Step: 0.001}, 0.075, 0.025, 0.025, 10 * 0.003 * 0.025 * 1000, 0, 0},
		{"all of a thin fill", Joints{Length: 10}, 0.02, 0.02, 0.02, 0.6, 0, 0},
		// Handbook: half the width, from 6 to 13 mm: 3/4 in gives 9.5 mm; 40 mm gives 13.
		{"elastic", Joints{Length: 20, Bonded: true, Width: 0.019, Elastic: true, Allowance: 0.1, Pack: 0.6}, 0.06, 0.06, 0.0095, 20 * 0.019 * 0.0095 * 1.1 * 1000, 22, 7},
		{"wide", Joints{Length: 1, Bonded: true, Width: 0.04, Elastic: true}, 0.1, 0.1, 0.013, 0.52, 1, 0},
		// A rule in 1/16 in or mm: 3/8 in needs 3/16 in, and 1/4 in is the min; 1 1/4 in
		// needs 5/8, and 1/2 is the max; 11/16 needs 11/32, which is 3/8 on the rule. A
		// quarter of 5.1 in is 1.275, cut 1 5/16.
		{"least in inches", Joints{Length: 18 * foot, Width: 3 * inch / 8, Elastic: true, US: true, Step: inch / 16}, 5.1 * inch, 21 * inch / 16, inch / 4, 18 * foot * 3 * inch / 8 * inch / 4 * 1000, 18 * foot, 0},
		{"most in inches", Joints{Length: 1, Bonded: true, Width: 1.25 * inch, Elastic: true, US: true, Step: inch / 16}, 4 * inch, 4 * inch, inch / 2, 1.25 * inch * inch / 2 * 1000, 1, 0},
		{"between in inches", Joints{Length: 1, Bonded: true, Width: 11 * inch / 16, Elastic: true, US: true, Step: inch / 16}, 4 * inch, 4 * inch, 3 * inch / 8, 11 * inch / 16 * 3 * inch / 8 * 1000, 1, 0},
		{"between in millimetres", Joints{Length: 1, Bonded: true, Width: 0.019, Elastic: true, Step: 0.001}, 0.0602, 0.061, 0.010, 0.19, 1, 0},
		{"stiff in millimetres", Joints{Length: 10, Step: 0.001}, 0.1202, 0.031, 0.031, 10 * 0.003 * 0.031 * 1000, 0, 0},
		{"narrow", Joints{Length: 1, Bonded: true, Width: 0.004, Elastic: true}, 0.1, 0.1, 0.006, 0.024, 1, 0},
	} {
		got, err := c.joints.Over(c.depth)
		if err != nil {
			t.Fatal(c.name, err)
		}
		near(t, c.name+": cut", got.Cut, c.cut)
		near(t, c.name+": depth of filler", got.Fill, c.fill)
		near(t, c.name+": filler", got.Filler, c.filler)
		near(t, c.name+": rod", got.Rod, c.rod)
		if got.Packs != c.packs || len(got.Notes) != 0 {
			t.Errorf("%s: %d packs, notes %v; want %d and none", c.name, got.Packs, got.Notes, c.packs)
		}
		if c.rod > 0 {
			near(t, c.name+": rod across", got.Bore, 1.25*c.joints.Width)
		}
	}
}

// A depth of 8 in from elevations in feet with nine decimals, 100 less 99.333333333 ft, is
// 0.1 nm too deep: a quarter is 2 in and full depth is 8 in. One that is over by 10 nm takes
// a step more.
func TestCutIsNotDeeperByRoundingOfDecimals(t *testing.T) {
	for _, c := range []struct {
		depth     float64
		bonded    bool
		sixteenth float64
	}{
		{(100 - 99.333333333) * foot, false, 32}, {(100 - 99.333333333) * foot, true, 128},
		{8*inch + 4e-8, false, 33}, {8*inch + 1e-8, true, 129}, {1e-12, true, 1},
	} {
		got, err := Joints{Length: 1, Bonded: c.bonded, Step: inch / 16}.Over(c.depth)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "cut, 1/16 in", got.Cut/inch*16, c.sixteenth)
	}
}

func TestOddJointsAreWarnedOf(t *testing.T) {
	for word, j := range map[string]Joints{"bond breaker tape": {Length: 1, Width: 0.02, Elastic: true}} {
		got, err := j.Over(0.05)
		if err != nil || len(got.Notes) != 1 || !strings.Contains(got.Notes[0].Text.String(), word) || got.Rod != 0 {
			t.Errorf("%+v: %+v, %v; want a word of %q and no rod", j, got, err, word)
		}
	}
}

func TestBadJointsAreRefusedByName(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		element string
		joints  Joints
		depth   float64
	}{
		{"joints", Joints{Length: -1}, 0.1}, {"joints", Joints{Length: nan}, 0.1}, {"depth of the fill", Joints{}, 0}, {"depth of the fill", Joints{}, inf}, {"depth of the fill", Joints{}, 4},
		{"width of the joint", Joints{Width: 3}, 0.1}, {"allowance", Joints{Allowance: -1}, 0.1}, {"pack of filler", Joints{Pack: nan}, 0.1},
		{"filler, packs", Joints{Length: 1, Pack: 1e-300}, 0.1},
	} {
		_, err := c.joints.Over(c.depth)
		refused(t, c.element, err)
	}
	for _, d := range []float64{0, -1, nan, inf, 4} {
		_, err := JointSpacing(d)
		refused(t, "depth of the fill", err)
	}
}

// A movement joint in a fill of 4 in is open through 4 in, bonded or not: 36 ft of strip and,
// 1/4 in wide and deep, 36 × 12 × 1/16 = 27 in³ of sealant. Without a width only the strip is
// counted.
func TestMovementJointsGoThroughTheFullDepth(t *testing.T) {
	j := Joints{Length: 36 * foot, Movement: true, Width: inch / 4, US: true, Step: inch / 16}
	for _, bonded := range []bool{false, true} {
		j.Bonded = bonded
		got, err := j.Over(4 * inch)
		if err != nil || len(got.Notes) != 0 {
			t.Fatal(err, got.Notes)
		}
		near(t, "depth", got.Cut, 4*inch)
		near(t, "strip", got.Strip, 36*foot)
		near(t, "rod", got.Rod, 36*foot)
		near(t, "sealant", got.Filler, 27*inch*inch*inch*1000)
	}
	j.Width = 0
	got, err := j.Over(4 * inch)
	if err != nil || got.Filler != 0 || got.Rod != 0 || len(got.Notes) != 1 || !strings.Contains(got.Notes[0].Text.String(), "measure it on site") {
		t.Errorf("%+v, %v", got, err)
	}
	near(t, "strip", got.Strip, 36*foot)
}

package order

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey/unit"
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

func TestPanelsByHand(t *testing.T) {
	for _, c := range []struct {
		name       string
		most, x, y float64
		want       Panels
	}{
		// 9 / 3.6 = 2.5 and 7 / 3.6 = 1.9: 3 × 2 panels of 3 × 3.5 m; 2 × 7 + 1 × 9 = 23 m.
		{"hall", 3.6, 9, 7, Panels{3, 2, 3, 3.5, 23}},
		// 1.2 m wide: no longer than 1.8 m, so 6.7, 7 panels; 6 × 1.2 m.
		{"corridor", 3.6, 12, 1.2, Panels{7, 1, 12.0 / 7, 1.2, 7.2}},
		{"corridor the other way", 3.6, 1.2, 12, Panels{1, 7, 1.2, 12.0 / 7, 7.2}},
		{"one panel", 3.6, 3.6, 3, Panels{1, 1, 3.6, 3, 0}},
	} {
		got, err := Spacing{Most: c.most}.Panels(c.x, c.y)
		if err != nil {
			t.Fatal(err)
		}
		if got.Along != c.want.Along || got.Across != c.want.Across {
			t.Errorf("%s: %d × %d panels, want %d × %d", c.name, got.Along, got.Across, c.want.Along, c.want.Across)
		}
		near(t, c.name+", x", got.X, c.want.X)
		near(t, c.name+", y", got.Y, c.want.Y)
		near(t, c.name+", joints", got.Length, c.want.Length)
	}
}

func TestPanelsKeepTheirLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Spacing{Most: rapid.Float64Range(0.5, 6).Draw(t, "most")}
		x, y := rapid.Float64Range(0.5, 100).Draw(t, "x"), rapid.Float64Range(0.5, 100).Draw(t, "y")
		p, err := s.Panels(x, y)
		if err != nil {
			t.Fatal(err)
		}
		if lo, hi := min(p.X, p.Y), max(p.X, p.Y); hi > s.Most*(1+1e-6) || hi > 1.5*lo*(1+1e-6) {
			t.Fatalf("panels of %g × %g m, want sides up to %g and 1.5 : 1", p.X, p.Y, s.Most)
		}
		near := func(name string, got, want float64) {
			if math.Abs(got-want) > 1e-9*want {
				t.Fatalf("%s: %g, want %g", name, got, want)
			}
		}
		near("along", float64(p.Along)*p.X, x)
		near("across", float64(p.Across)*p.Y, y)
	})
}

func TestJointsByHand(t *testing.T) {
	for _, c := range []struct {
		name                   string
		joints                 Joints
		depth                  float64
		cut, fill, filler, rod float64
		packs                  int
	}{
		// A gallon fills 308 ft of 1/4 × 1/4 in: 231 in³ / (1/16 in² × 12), common in sealant tables, from memory.
		{"a gallon of sealant", Joints{Length: 308 * foot, Width: inch / 4, Elastic: true, Fill: inch / 4, Pack: gallon}, 4 * inch, inch, inch / 4, gallon, 308 * foot, 1},
		// A quarter of 4 in is 1 in; of 3 in it would be less than 1 in.
		{"a quarter", Joints{Length: 10}, 0.12, 0.03, 0.03, 10 * 0.003 * 0.03 * 1000, 0, 0},
		{"an inch", Joints{Length: 10}, 0.075, inch, inch, 10 * 0.003 * inch * 1000, 0, 0},
		{"all of a thin fill", Joints{Length: 10}, 0.02, 0.02, 0.02, 0.6, 0, 0},
		{"a third", Joints{Length: 10, Share: 1.0 / 3}, 0.12, 0.04, 0.04, 1.2, 0, 0},
		// Handbook: half the width, from 6 to 13 mm: 3/4 in gives 9.5 mm; 40 mm gives 13.
		{"elastic", Joints{Length: 20, Bonded: true, Width: 0.019, Elastic: true, Allowance: 0.1, Pack: 0.6}, 0.06, 0.06, 0.0095, 20 * 0.019 * 0.0095 * 1.1 * 1000, 22, 7},
		{"wide", Joints{Length: 1, Bonded: true, Width: 0.04, Elastic: true}, 0.1, 0.1, 0.013, 0.52, 1, 0},
		{"narrow", Joints{Length: 1, Bonded: true, Width: 0.004, Elastic: true}, 0.1, 0.1, 0.006, 0.024, 1, 0},
	} {
		got, err := c.joints.Over(c.depth, unit.Style{})
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

func TestOddJointsAreWarnedOf(t *testing.T) {
	for word, j := range map[string]Joints{"bond breaker tape": {Length: 1, Width: 0.02, Elastic: true}, "80 %": {Length: 1, Share: 0.8}} {
		got, err := j.Over(0.05, unit.Style{})
		if err != nil || len(got.Notes) != 1 || !strings.Contains(got.Notes[0].Text, word) || got.Rod != 0 {
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
		{"share cut", Joints{Share: 25}, 0.1}, {"width of the joint", Joints{Width: 3}, 0.1}, {"allowance", Joints{Allowance: -1}, 0.1}, {"pack of filler", Joints{Pack: nan}, 0.1},
		{"depth of the filler", Joints{Fill: 0.05}, 0.1}, {"depth of the filler", Joints{Fill: nan}, 0.1}, {"depth of the filler", Joints{Fill: -0.01}, 0.1}, {"filler, packs", Joints{Length: 1, Pack: 1e-300}, 0.1},
	} {
		_, err := c.joints.Over(c.depth, unit.Style{})
		refused(t, c.element, err)
	}
	for _, d := range []float64{0, -1, nan, inf, 4} {
		_, err := JointSpacing(d)
		refused(t, "depth of the fill", err)
	}
	for _, c := range []struct {
		element    string
		most, x, y float64
	}{{"most spacing", 0, 1, 1}, {"most spacing", nan, 1, 1}, {"side x", 1, -1, 1}, {"side y", 1, 1, nan}, {"side y", 1, 1, inf}, {"side x", 1, 1e9, 1}, {"panels", 1e-3, 1e6, 1}, {"panels", 1, 1, 1e-9}} {
		_, err := Spacing{Most: c.most}.Panels(c.x, c.y)
		refused(t, c.element, err)
	}
}

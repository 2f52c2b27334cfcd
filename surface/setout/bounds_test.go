package setout

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// Every bound on input is tested from both sides: the bound itself is accepted, and a
// hundredth beyond it is refused by name. All bounds are own choice.
func TestBoundsAreWhereTheMessagesPutThem(t *testing.T) {
	bars := func(set func(*BarRules, float64)) func(float64) error {
		return func(v float64) error {
			r := BarRules{Size: Size{Diameter: 0.01, Mass: 0.617}, Spacing: 0.5}
			set(&r, v)
			_, err := r.filled()
			return err
		}
	}
	pins := func(set func(*PinRules, float64)) func(float64) error {
		return func(v float64) error {
			var r PinRules
			set(&r, v)
			_, err := r.filled()
			return err
		}
	}
	for _, c := range []struct {
		name        string // in the message
		least, most float64
		try         func(float64) error
	}{
		{"bar diameter", 0.001, 0.1, bars(func(r *BarRules, v float64) { r.Size.Diameter = v })},
		{"bar mass", 0.001, 100, bars(func(r *BarRules, v float64) { r.Size.Mass = v })},
		{"stock length", 0, 1000, bars(func(r *BarRules, v float64) { r.Stock = v })},
		{"shortest bar", 0.001, 1000, bars(func(r *BarRules, v float64) { r.Shortest = v })},
		{"lap", 0.001, 999, bars(func(r *BarRules, v float64) { r.Stock, r.Lap = 999.5, v })},
		{"cover below the bars", 0, 1000, bars(func(r *BarRules, v float64) { r.Bottom = v })},
		{"mass of mesh", 0.001, 1000, func(v float64) error {
			_, err := MeshRules{Length: 5, Width: 2, Mass: v}.filled()
			return err
		}},
		{"spacing of pins", 0.1, 1000, pins(func(r *PinRules, v float64) { r.Spacing, r.WallSpacing = v, 1 })},
		{"spacing of wall pins", 0.1, 1000, pins(func(r *PinRules, v float64) { r.WallSpacing = v })},
		{"step of the rule", 0.00001, 0.1, pins(func(r *PinRules, v float64) { r.Step = v })},
		{"volume 1", 0, 1e9, func(v float64) error { _, _, err := WholeBags([]float64{v}, 1); return err }},
		{"parts", 9.9999, 10.0001, func(v float64) error { // a hundredth of the last digit shown
			if v < 9.9999 || v > 10.0001 {
				v = 10 + 1.2*(v-10)/math.Abs(v-10)*0.0001
			}
			_, err := Apportion(10, []float64{v - 4, 4}, 2)
			return err
		}},
	} {
		for _, v := range []float64{c.least, c.most} {
			if err := c.try(v); err != nil {
				t.Errorf("%s: %g is refused: %v", c.name, v, err)
			}
		}
		for _, v := range []float64{c.least * 0.99, c.most * 1.01} {
			if err := c.try(v); v > 0 && (err == nil || !strings.Contains(err.Error(), c.name)) {
				t.Errorf("%s: %g is taken, or refused by another name: %v", c.name, v, err)
			}
		}
	}
}

// Defaults, in millimetres or inches as documented: common practice, no source, or own
// choice; the cover of slabs indoors in ACI 318, from memory.
func TestDefaultsAreTheDocumentedOnes(t *testing.T) {
	for _, us := range []bool{false, true} {
		in := func(mm, inches float64) float64 {
			if us {
				return inches * 0.0254
			}
			return mm / 1000
		}
		size := Size{Diameter: in(12, 0.5), Mass: 0.9}
		b, err := BarRules{Size: size, Spacing: 0.3, US: us}.filled()
		if err != nil {
			t.Fatal(err)
		}
		m, err := MeshRules{Length: 5, Width: 2, Mass: 3, US: us}.filled()
		if err != nil {
			t.Fatal(err)
		}
		p, err := PinRules{US: us}.filled()
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			name      string
			got, want float64
		}{
			{"bars from walls", b.Edge, in(75, 3)}, {"stock", b.Stock, in(6000, 240)}, {"lap", b.Lap, 40 * size.Diameter},
			{"shortest bar", b.Shortest, in(300, 12)}, {"below the bars", b.Bottom, in(20, 0.75)}, {"chairs apart", b.ChairSpacing, in(1000, 36)},
			{"step of chairs", b.chairStep(), in(5, 0.25)}, {"bars cut alike", b.Same, in(1, 1./16)}, {"step of the rule", p.Step, in(1, 1./16)},
			{"lap of mesh", m.Lap, in(200, 8)}, {"cover of mesh", m.Cover, in(20, 0.75)}, {"mesh from walls", m.edge(), in(50, 2)},
			{"pins apart", p.Spacing, in(1500, 60)}, {"pins from walls", p.FromWall, in(150, 6)},
		} {
			closeTo(t, c.name, c.got, c.want, 1e-12)
		}
		// By hand: a third of 150 mm minus a bar of 12 is 38 mm; for 60 mm it would be 8.
		f := floorOf(t, surface.Data{Shots: grid(0, 0, 4, 3, 1, func(_, _ float64) float64 { return 10 }), Rings: []survey.Ring{ring(survey.Outer, 0, 0, 4, 0, 4, 3, 0, 3)}})
		for deep, want := range map[float64]float64{0.15: 0.05 - size.Diameter, 0.075: in(20, 0.75)} {
			laid, err := LayBars(f, surface.Horizontal(10+deep), BarRules{Size: size, Spacing: 0.5, Bottom: 0.001, US: us})
			if err != nil {
				t.Fatal(err)
			}
			closeTo(t, "above the bars", laid.Rules.Top, want, 1e-12)
		}
	}
}

// Walls continue below a turn of 20 degrees: a round wall surveyed in 19 pieces, turning by
// 18.9, has no corner; in 17 pieces, turning by 21.2, each is one.
func TestRoundWallsHaveNoCorners(t *testing.T) {
	for n, want := range map[int]int{17: 17, 19: 1} {
		var loop []wall
		at := func(k int) surface.Vec {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			return surface.Vec{X: 3 * cos, Y: 3 * sin}
		}
		for k := range n {
			loop = append(loop, wall{at(k), at(k + 1)})
		}
		if got := cutAtCorners(loop); len(got) != want {
			t.Errorf("%d pieces of wall make %d sides, want %d", n, len(got), want)
		}
	}
}

// A wall 3 in 100 out of square counts with its inner end, one farther out with its outer
// end.
func TestWallsAlmostSquare(t *testing.T) {
	for out, want := range map[float64]float64{0.028: 4, 0.032: 4 + 5*0.032} {
		a, b, c, d := surface.Vec{}, surface.Vec{X: 5}, surface.Vec{X: 5, Y: 4 + 5*out}, surface.Vec{Y: 4}
		p := layout{lo: a, hi: c, sides: [][]wall{{{a, b}}, {{b, c}}, {{c, d}}, {{d, a}}}}
		if lo, hi := p.reach(); lo != 0 || hi != want {
			t.Errorf("%g out of square: from %g to %g, want 0 to %g", out, lo, hi, want)
		}
	}
}

// Walls within half a degree count as one direction.
func TestWallsOfOneDirection(t *testing.T) {
	for off, want := range map[float64]float64{0.45: 11, 0.55: 6} {
		up := 5 * math.Tan(off*math.Pi/180)
		r := surface.Region{Rings: [][]surface.Vec{{{X: 0, Y: 0}, {X: 6, Y: 0}, {X: 5, Y: 4 + up}, {X: 0, Y: 4}}}}
		closeTo(t, "metres", metresAlong(r, surface.Vec{X: 1}), want, 0.001)
	}
	// By hand: 5 m along, 5.32 m at 1.2 degrees to it, 6 m across, 6.12 m at 3 degrees to
	// that. No two share a direction, so the longest wall has it.
	f := &surface.Floor{Regions: []surface.Region{{Rings: [][]surface.Vec{{{X: 0, Y: 0}, {X: 5, Y: 0}, {X: 5, Y: 6}, {X: -0.32, Y: 6.111}}}}}}
	if d := longDirection(f); math.Abs(d.Y) < 0.99 {
		t.Errorf("the longest walls run %v, want across", d)
	}
}

// A strip narrower than 0.3 m is too narrow to work in.
func TestStripsTooNarrowToWork(t *testing.T) {
	f := floorOf(t, surface.Data{Shots: grid(0, 0, 4.2, 1, 0.6, func(_, _ float64) float64 { return 9.9 }), Rings: []survey.Ring{ring(survey.Outer, 0, 0, 4.2, 0, 4.2, 1, 0, 1)}})
	for width, warned := range map[float64]bool{0.25: true, 0.28: true, 0.35: false, 0.5: false} {
		b, err := CutBays(f, surface.Horizontal(10), BayRules{Width: width, Step: 0.01})
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(texts(b.Notes), "narrower than a crew can work in"); got != warned {
			t.Errorf("strips of %g m: warned %v, want %v", width, got, warned)
		}
	}
}

// An exit up to 3 m from the floor is a door with its landing.
func TestExitsBeyondTheFloor(t *testing.T) {
	f := floorOf(t, surface.Data{Shots: grid(0, 0, 6, 4, 1, func(_, _ float64) float64 { return 9.9 }), Rings: []survey.Ring{ring(survey.Outer, 0, 0, 6, 0, 6, 4, 0, 4)}})
	for off, warned := range map[float64]bool{2.9: false, 3.1: true} {
		b, err := CutBays(f, surface.Horizontal(10), BayRules{Width: 2, Exit: surface.Vec{X: 3, Y: -off}, HasExit: true})
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(texts(b.Notes), "the exit is"); got != warned {
			t.Errorf("an exit %g m out: warned %v, want %v", off, got, warned)
		}
	}
}

func TestNamesAndLists(t *testing.T) {
	for n, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		if got := letters(n); got != want {
			t.Errorf("dam %d is %q, want %q", n, got, want)
		}
	}
	names := slices.Repeat([]string{"P"}, 13)
	if got, more := some(names[:12]), some(names); strings.Contains(got, "more") || !strings.HasSuffix(more, "P and 1 more") || strings.Count(more, "P") != 12 {
		t.Errorf("12 names are %q, 13 %q", got, more)
	}
}

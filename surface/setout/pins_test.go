package setout_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/survey"
)

func names(pins []setout.Pin) string {
	var out []string
	for _, p := range pins {
		out = append(out, p.Name)
	}
	return strings.Join(out, " ")
}

// By hand: 5 × 4 m, pins at 1.5 m, walls at 0.15 m. Grid at x = 1.5, 3 and y = 1.5, 3, to
// and fro; at x = 4.5 it is 0.35 m from the wall pins, less than a quarter of 1.5 m. Along
// each wall one pin 0.15 m from its first corner, then at 1.5, 3 and 4.5 m from it: 14.
func TestPinsOfARoom(t *testing.T) {
	p, err := setout.SetPins(rectangle(t, 5, 4, tilted), surface.Horizontal(10.03), setout.PinRules{})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := names(p.Pins), "A1 B1 B2 A2 W1 W2 W3 W4 W5 W6 W7 W8 W9 W10 W11 W12 W13 W14"; got != want {
		t.Fatalf("pins %s, want %s", got, want)
	}
	for i, want := range []surface.Vec{{X: 1.5, Y: 1.5}, {X: 3, Y: 1.5}, {X: 3, Y: 3}, {X: 1.5, Y: 3},
		{X: 0.15, Y: 0.15}, {X: 1.5, Y: 0.15}, {X: 3, Y: 0.15}, {X: 4.5, Y: 0.15}, {X: 4.85, Y: 0.15}, {X: 4.85, Y: 1.5}, {X: 4.85, Y: 3}, {X: 4.85, Y: 3.85},
		{X: 3.5, Y: 3.85}, {X: 2, Y: 3.85}, {X: 0.5, Y: 3.85}, {X: 0.15, Y: 3.85}, {X: 0.15, Y: 2.5}, {X: 0.15, Y: 1}} {
		got := p.Pins[i]
		if got.At.Distance(want) > 1e-9 {
			t.Errorf("%s at %v, want %v", got.Name, got.At, want)
		}
		z := tilted(got.At.X, got.At.Y)
		if math.Abs(got.Floor-z) > 1e-9 || math.Abs(got.Depth-(10.03-z)) > 1e-9 || math.Abs(got.Height-math.Floor((10.03-z)*1000+1e-4)/1000) > 1e-9 {
			t.Errorf("%s: floor %.6f, depth %.6f, height %.6f where the floor is %.6f", got.Name, got.Floor, got.Depth, got.Height, z)
		}
	}
	// The floor is lowest at the south-east corner, highest at the north-west.
	if p.Greatest.Name != "W5" || p.Least.Name != "W12" || p.Start.Name != "W5" {
		t.Errorf("greatest %s, least %s, start %s; want W5, W12, W5", p.Greatest.Name, p.Least.Name, p.Start.Name)
	}
	g := p.Grids[0]
	if len(p.Grids) != 1 || len(g.Columns) != 2 || len(g.Rows) != 2 || g.Columns[1] != (setout.GridLine{Name: "B", At: 3}) || g.Across != (surface.Vec{X: 1}) {
		t.Errorf("grid %+v", p.Grids)
	}
	// With a door in the south-east corner the work begins in the north-west one, unless
	// nothing is poured there.
	door := surface.Vec{X: 5, Y: 0}
	for z, want := range map[float64]string{10.03: "W12", 10.0085: "W13"} {
		p, err := setout.SetPins(rectangle(t, 5, 4, tilted), surface.Horizontal(z), setout.PinRules{Exit: &door})
		if err != nil {
			t.Fatal(err)
		}
		if p.Start.Name != want {
			t.Errorf("at %g the work begins at %s (%v), want %s", z, p.Start.Name, p.Start.At, want)
		}
	}
}

// Work begins at a pin with a mark. By hand: at 10.0134 the fill is 13.4 + 4 x − 3 y mm
// deep. By a rule of 10 mm all have a mark except W10 to W13 in the north-west; W12 at 0.15,
// 3.85 has 2.45 mm, and W10 at 2, 3.85, the farthest from the door, has 9.85 mm. If no pin
// has a mark, that is reported.
func TestWorkBeginsAtAMark(t *testing.T) {
	door := surface.Vec{X: 5, Y: 0}
	p, err := setout.SetPins(rectangle(t, 5, 4, tilted), surface.Horizontal(10.0134), setout.PinRules{Exit: &door, Step: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	far := 0.0
	for _, q := range p.Pins {
		if q.Height > 0 {
			far = max(far, door.Distance(q.At))
		}
	}
	if p.Start.Height <= 0 || door.Distance(p.Start.At) != far {
		t.Errorf("work begins at %+v, want a mark %.3f m from the door", p.Start, far)
	}
	if !strings.Contains(noteText(p.Notes), "no mark at W10, W11, W12, W13: the fill is less than a step of the rule deep, 10 mm") {
		t.Errorf("notes %s", noteText(p.Notes))
	}
	for _, exit := range []*surface.Vec{nil, &door} {
		for _, z := range []float64{9.9, 9.98} {
			if p, err = setout.SetPins(rectangle(t, 5, 4, tilted), surface.Horizontal(z), setout.PinRules{Exit: exit}); err != nil {
				t.Fatal(err)
			}
			if p.Start.Name != "" || !strings.Contains(noteText(p.Notes), "none to begin with") {
				t.Errorf("at %g work begins at %+v, %s", z, p.Start, noteText(p.Notes))
			}
		}
	}
	for step, found := range map[float64]string{1: "found 1 m, want a length from 0.01 mm to 100 mm", 1e-6: "found 1e-06 m,", -0.001: "found -0.001 m,", 0.11: "found 0.11 m,"} {
		_, err := setout.SetPins(rectangle(t, 5, 4, level), surface.Horizontal(10.1), setout.PinRules{Step: step})
		if err == nil || !strings.Contains(err.Error(), "step of the rule: "+found) {
			t.Errorf("step %g: %v", step, err)
		}
	}
}

// A height of whole sixteenths is kept, one slightly short goes down, none goes below zero.
func TestHeightsGoDown(t *testing.T) {
	const sixteenth = 0.0254 / 16
	for _, c := range []struct{ depth, want float64 }{
		{31 * sixteenth, 31 * sixteenth}, {31*sixteenth - 1e-6, 30 * sixteenth}, {0.4 * sixteenth, 0}, {-0.01, 0},
	} {
		p, err := setout.SetPins(rectangle(t, 5, 4, func(float64, float64) float64 { return 0 }), surface.Horizontal(c.depth), setout.PinRules{Step: sixteenth})
		if err != nil {
			t.Fatal(err)
		}
		for _, pin := range p.Pins {
			if math.Abs(pin.Height-c.want) > 1e-12 {
				t.Errorf("depth %.7f: height %.7f, want %.7f", c.depth, pin.Height, c.want)
			}
		}
		if dry := strings.Contains(noteText(p.Notes), "nothing is poured at"); dry != (c.depth <= 0) {
			t.Errorf("depth %g: told that nothing is poured: %v", c.depth, dry)
		}
	}
}

func noteText(notes []survey.Note) string {
	var b strings.Builder
	for _, n := range notes {
		b.WriteString(n.Text.String() + "\n")
	}
	return b.String()
}

// Every pin is over floor, off the walls and not above the target; grid pins are whole
// spacings apart; names differ; pins along a straight wall are at most their spacing apart.
func TestPinsOnAnyFloor(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for n := range 60 {
		rings := star(rnd)
		f := build(t, shots(rings[0], tilted), rings...)
		target := surface.Plane{At: surface.Vec{X: 20, Y: 30}, Z: 9.98 + 0.1*rnd.Float64(), SlopeX: 0.01 * rnd.Float64(), SlopeY: -0.005}
		rules := setout.PinRules{Spacing: 0.7 + rnd.Float64(), FromWall: 0.1 + 0.1*rnd.Float64(), Step: 0.0254 / 16}
		p, err := setout.SetPins(f, target, rules)
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		walls := 0
		for i, pin := range p.Pins {
			if seen[pin.Name] {
				t.Errorf("floor %d: two pins %s", n, pin.Name)
			}
			seen[pin.Name] = true
			least := rules.FromWall
			if pin.Wall {
				walls++
				least *= 0.9
			}
			if d := toWalls(rings, pin.At); d < least-2e-8 || !inRings(rings, pin.At) {
				t.Errorf("floor %d: %s is %g m from a wall, over floor: %v", n, pin.Name, d, inRings(rings, pin.At))
			}
			top := pin.Floor + pin.Height
			if pin.Height > 0 && top > target.Elevation(pin.At)+2e-12 || pin.Depth-pin.Height > rules.Step+1e-12 && pin.Depth > 0 {
				t.Errorf("floor %d: mark of %s at %.9f, target %.9f", n, pin.Name, top, target.Elevation(pin.At))
			}
			for _, q := range p.Pins[:i] {
				d := q.At.Distance(pin.At)
				if (q.Wall || pin.Wall) && d < rules.Spacing/10-1e-9 || !q.Wall && !pin.Wall && d < rules.Spacing-1e-6 {
					t.Errorf("floor %d: %s and %s are %g m apart", n, q.Name, pin.Name, d)
				}
			}
		}
		if walls < 3 {
			t.Errorf("floor %d: %d wall pins", n, walls)
		}
		for _, c := range p.Grids[0].Columns {
			if m := c.At / rules.Spacing; math.Abs(m-math.Round(m)) > 1e-9 {
				t.Errorf("floor %d: column %s is %g spacings from the corner", n, c.Name, m)
			}
		}
	}
}

// Every place with room for a grid pin is within half a diagonal of the grid from a pin,
// except where one was left out beside a wall pin.
func TestNoHoleInTheGrid(t *testing.T) {
	rings := lShaped()
	p, err := setout.SetPins(build(t, shots(rings[0], level), rings...), surface.Horizontal(10.05), setout.PinRules{Spacing: 0.9})
	if err != nil {
		t.Fatal(err)
	}
	for x := 0.01; x < 6; x += 0.05 {
		for y := 0.01; y < 5; y += 0.05 {
			at := surface.Vec{X: x, Y: y}
			if !inRings(rings, at) {
				continue
			}
			if !slices.ContainsFunc(p.Pins, func(q setout.Pin) bool { return q.At.Distance(at) < 0.9*math.Sqrt2/2+0.1 }) {
				t.Fatalf("no pin near %v", at)
			}
		}
	}
}

func TestTurnedFloorHasTheSamePins(t *testing.T) {
	rings := lShaped()
	points := shots(rings[0], tilted)
	want, err := setout.SetPins(build(t, points, rings...), surface.Horizontal(10.05), setout.PinRules{Spacing: 0.8})
	if err != nil {
		t.Fatal(err)
	}
	for _, angle := range []float64{0.3, 0.9, math.Pi / 2, 2.2, -1.4} {
		tr, tp := turned(angle, 350_000, 5_800_000, rings, points)
		got, err := setout.SetPins(build(t, tp, tr...), surface.Horizontal(10.05), setout.PinRules{Spacing: 0.8})
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Pins) != len(want.Pins) || got.Close != want.Close || math.Abs(got.Least.Depth-want.Least.Depth) > 1e-6 || math.Abs(got.Greatest.Depth-want.Greatest.Depth) > 1e-6 {
			t.Errorf("turned by %g: %d pins, %d close, %.7f to %.7f; want %d, %d, %.7f to %.7f", angle,
				len(got.Pins), got.Close, got.Least.Depth, got.Greatest.Depth, len(want.Pins), want.Close, want.Least.Depth, want.Greatest.Depth)
		}
	}
}

// Two halves with a step of 40 mm between them: one room, one grid, pins on both sides of
// the step and none on it. A second room continues the letters and wall numbers.
func TestStepsAndRooms(t *testing.T) {
	west, east, far := closed(survey.Outer, 0, 0, 3, 0, 3, 4, 0, 4), closed(survey.Outer, 3, 0, 6, 0, 6, 4, 3, 4), closed(survey.Outer, 10, 0, 14, 0, 14, 3, 10, 3)
	west.Name, east.Name, far.Name = "west", "east", "far"
	high := func(float64, float64) float64 { return 10.04 }
	points := append(append(shots(west, level), shots(east, high)...), shots(far, level)...)
	p, err := setout.SetPins(build(t, points, west, east, far), surface.Horizontal(10.1), setout.PinRules{})
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]setout.Pin{}
	room := map[string]int{}
	for _, pin := range p.Pins {
		found[pin.Name] = pin
		room[pin.Room]++
	}
	if len(found) != len(p.Pins) || len(p.Grids) != 2 {
		t.Errorf("%d names for %d pins, %d grids", len(found), len(p.Pins), len(p.Grids))
	}
	if d := found["C1"]; d.Room != "far" || math.Abs(d.At.X-11.5) > 1e-9 {
		t.Errorf("the first pin of the second room is %+v", d)
	}
	// Derived: 4 m of step minus 0.15 m at each corner is 3.7 m, three pieces of at most 1.5
	// m, so four pins a side.
	sides := map[string]int{}
	for _, pin := range p.Pins {
		switch off := pin.At.X - 3; {
		case math.Abs(off) < 0.14:
			t.Errorf("pin %s at %.3f m from the step", pin.Name, off)
		case math.Abs(off+0.15) < 1e-9 && pin.Room == "west" && math.Abs(pin.Depth-0.1) < 1e-9, math.Abs(off-0.15) < 1e-9 && pin.Room == "east" && math.Abs(pin.Depth-0.06) < 1e-9:
			sides[pin.Room]++
		}
	}
	if sides["west"] != 4 || sides["east"] != 4 {
		t.Errorf("pins beside the step: %v, want 4 on either side", sides)
	}
	if p, err = setout.SetPins(build(t, points, west, east, far), surface.Horizontal(10.1), setout.PinRules{FromWall: 0.03}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(noteText(p.Notes), "within 50 mm of a step") {
		t.Errorf("pins at the step are not reported: %s", noteText(p.Notes))
	}
	b, err := setout.LayBars(build(t, points, west, east, far), surface.Horizontal(10.15), setout.BarRules{Size: sized(t, "10"), Spacing: 0.5})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(b.Cuts[0].Length-5.85) > 1e-7 || math.Abs(b.Cuts[1].Length-3.85) > 1e-7 {
		t.Errorf("bars %+v do not run on over the step", b.Cuts)
	}
}

// A pit too small for pins at its walls has one in its middle, with its own depth.
func TestSmallPitHasAPin(t *testing.T) {
	room, pit := closed(survey.Outer, 0, 0, 5, 0, 5, 4, 0, 4), closed(survey.Outer, 2, 2, 2.25, 2, 2.25, 2.2, 2, 2.2)
	room.Name, pit.Name = "room", "pit"
	deep := func(float64, float64) float64 { return 9.7 }
	points := append(shots(room, level), shots(pit, deep)...)
	points = slices.DeleteFunc(points, func(p survey.Point) bool {
		return p.Z == 10 && p.X > 2 && p.X < 2.25 && p.Y > 2 && p.Y < 2.2
	})
	p, err := setout.SetPins(build(t, points, room, pit), surface.Horizontal(10.1), setout.PinRules{})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, pin := range p.Pins {
		if pin.Room != "pit" {
			continue
		}
		n++
		if pin.At.X <= 2 || pin.At.X >= 2.25 || pin.At.Y <= 2 || pin.At.Y >= 2.2 || math.Abs(pin.Depth-0.4) > 1e-9 {
			t.Errorf("the pin of the pit is %+v", pin)
		}
	}
	if n != 1 {
		t.Errorf("%d pins in the pit, want 1", n)
	}
}

// A round column has evenly spaced pins round it; a round room too.
func TestRoundWalls(t *testing.T) {
	round := func(kind survey.RingKind, r float64) survey.Ring {
		var xy []float64
		for i := range 48 {
			s, c := math.Sincos(2 * math.Pi * float64(i) / 48)
			xy = append(xy, 5+r*c, 5+r*s)
		}
		return closed(kind, xy...)
	}
	rings := []survey.Ring{round(survey.Outer, 4), round(survey.Hole, 0.3)}
	p, err := setout.SetPins(build(t, shots(rings[0], level), rings...), surface.Horizontal(10.05), setout.PinRules{})
	if err != nil {
		t.Fatal(err)
	}
	inner, outer := 0, 0
	for _, pin := range p.Pins {
		if !pin.Wall {
			continue
		}
		switch d := pin.At.Distance(surface.Vec{X: 5, Y: 5}); {
		case math.Abs(d-0.45) < 0.01:
			inner++
		case math.Abs(d-3.85) < 0.01:
			outer++
		default:
			t.Errorf("%s is %g m from the middle", pin.Name, d)
		}
	}
	// 2π × 4 m at 1.5 m: 16.75, 17 gaps; round the column at least 3.
	if inner != 3 || outer != 17 {
		t.Errorf("%d pins round the column and %d along the wall, want 3 and 17", inner, outer)
	}
}

// A room whose longest wall runs north: letters still increase to the east, numbers to the
// north. That wall starts at (0, 6): rows are 1.5, 3 and 4.5 m south of it.
func TestLettersCountEast(t *testing.T) {
	p, err := setout.SetPins(rectangle(t, 4, 6, level), surface.Horizontal(10.05), setout.PinRules{})
	if err != nil {
		t.Fatal(err)
	}
	g := p.Grids[0]
	if g.Across != (surface.Vec{X: 1}) || g.Up != (surface.Vec{Y: 1}) || g.Corner != (surface.Vec{Y: 6}) || g.Rows[0] != (setout.GridLine{Name: "1", At: -4.5}) {
		t.Errorf("grid %+v", g)
	}
	if got := names(p.Pins[:6]); got != "A1 B1 B2 A2 A3 B3" || p.Pins[0].At != (surface.Vec{X: 1.5, Y: 1.5}) {
		t.Errorf("%s from %v", got, p.Pins[0].At)
	}
}

// An opening that touches the wall with its tip makes two corners of 45°: by hand the pins
// there are 0.15 / tan 22.5° = 0.362 m from the tip. A needle's tip has a pin nearby.
func TestPinsByTips(t *testing.T) {
	outer := closed(survey.Outer, 0, 0, 6, 0, 6, 4, 0, 4)
	for _, c := range []struct {
		hole survey.Ring
		want []surface.Vec
		off  float64
	}{
		{closed(survey.Hole, 3, 0, 4, 1, 2, 1), []surface.Vec{{X: 3 - 0.362132, Y: 0.15}, {X: 3 + 0.362132, Y: 0.15}}, 1e-5},
		{closed(survey.Hole, 2, 2, 4, 1.9, 4, 2.1), []surface.Vec{{X: 2, Y: 2}}, 0.15*math.Sqrt2 + 1e-6},
	} {
		p, err := setout.SetPins(build(t, shots(outer, level), outer, c.hole), surface.Horizontal(10.05), setout.PinRules{})
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range c.want {
			if !slices.ContainsFunc(p.Pins, func(q setout.Pin) bool { return q.Wall && q.At.Distance(w) < c.off }) {
				t.Errorf("no wall pin within %g m of %v", c.off, w)
			}
		}
	}
}

// A pit is a separate region in the middle of a room: it has no walls. Bars run over it on
// higher chairs; pins read its floor.
func TestPitInARoom(t *testing.T) {
	room, pit := closed(survey.Outer, 0, 0, 6, 0, 6, 4, 0, 4), closed(survey.Outer, 2, 1, 4, 1, 4, 3, 2, 3)
	room.Name, pit.Name = "hall", "pit"
	deep := func(x, y float64) float64 {
		if x > 2 && x < 4 && y > 1 && y < 3 {
			return 9.9
		}
		return 10
	}
	f := build(t, append(shots(room, deep), shots(pit, deep)...), room, pit)
	b, err := setout.LayBars(f, surface.Horizontal(10.1), setout.BarRules{Size: sized(t, "10"), Spacing: 0.5, Top: 0.03})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range b.Cuts {
		if len(b.Cuts) != 2 || math.Abs(c.Length-map[byte]float64{'X': 5.85, 'Y': 3.85}[c.Mark[0]]) > 1e-7 {
			t.Errorf("bars %+v", b.Cuts)
		}
	}
	heights := map[string]float64{"hall": 0.05, "pit": 0.15}
	seen := map[string]int{}
	for _, c := range b.Chairs {
		seen[c.Room]++
		if math.Abs(c.Height-heights[c.Room]) > 1e-9 {
			t.Errorf("a chair of %g m in %s", c.Height, c.Room)
		}
	}
	if seen["pit"] == 0 || seen["hall"] == 0 {
		t.Errorf("chairs %v", seen)
	}
	p, err := setout.SetPins(f, surface.Horizontal(10.1), setout.PinRules{Spacing: 0.7})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(p.Greatest.Depth-0.2) > 1e-9 || p.Greatest.Room != "pit" || math.Abs(p.Least.Depth-0.1) > 1e-9 || len(p.Grids) != 1 {
		t.Errorf("from %+v to %+v, %d grids", p.Least, p.Greatest, len(p.Grids))
	}
}

// The default spacing is for rooms: on a floor too large for it pins are farther apart, and
// a note gives the spacing. A given spacing is kept, or refused.
func TestPinsOfALargeFloor(t *testing.T) {
	f := rectangle(t, 300, 200, level)
	p, err := setout.SetPins(f, surface.Horizontal(10.2), setout.PinRules{})
	if err != nil {
		t.Fatal(err)
	}
	// 60,000 m² over 1.5 m squared are 26,667; over 6 m squared 1,667.
	if p.Rules.Spacing != 6 || p.Rules.WallSpacing != 6 && p.Rules.WallSpacing != 1.5 || !strings.Contains(noteText(p.Notes), "pins: 6.000 m apart") {
		t.Errorf("%g and %g m apart: %s", p.Rules.Spacing, p.Rules.WallSpacing, noteText(p.Notes))
	}
	if _, err := setout.SetPins(f, surface.Horizontal(10.2), setout.PinRules{Spacing: 1.5}); err == nil || !strings.Contains(err.Error(), "want min") {
		t.Errorf("1.5 m as given: %v, want a refusal", err)
	}
}

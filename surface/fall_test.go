package surface

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
)

// flatRoom is a floor with these corners, level at 0, with openings.
func flatRoom(t testing.TB, corners []Vec, holes ...[]Vec) *Floor {
	t.Helper()
	d := Data{}
	ring := func(kind survey.RingKind, of []Vec) survey.Ring {
		r := survey.Ring{Kind: kind}
		for _, c := range of {
			r.Points = append(r.Points, survey.Point{X: c.X, Y: c.Y, Z: 0})
			d.Shots = append(d.Shots, survey.Point{X: c.X, Y: c.Y, Z: 0})
		}
		return r
	}
	d.Rings = append(d.Rings, ring(survey.Outer, corners))
	for _, h := range holes {
		d.Rings = append(d.Rings, ring(survey.Hole, h))
	}
	f, err := NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func rectangle(w, h float64) []Vec {
	return []Vec{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}}
}

// By hand: of a room of 6 × 4 m past x = 4 going east there are 2 × 4 m²; the far wall
// is 2 m on. Less a column of 1 × 1 m in it: 7 m².
func TestBeyond(t *testing.T) {
	f := flatRoom(t, rectangle(6, 4))
	b := f.Beyond(Vec{X: 4, Y: 1}, Vec{X: 1, Y: 0})
	if math.Abs(b.Area-8) > 1e-12 || math.Abs(b.Farthest-2) > 1e-12 || math.Abs(b.moment-8) > 1e-12 {
		t.Errorf("%+v, want 8 m², 2 m, 8 m³", b)
	}
	f = flatRoom(t, rectangle(6, 4), []Vec{{X: 4.5, Y: 1}, {X: 5.5, Y: 1}, {X: 5.5, Y: 2}, {X: 4.5, Y: 2}})
	if b := f.Beyond(Vec{X: 4, Y: 1}, Vec{X: 1, Y: 0}); math.Abs(b.Area-7) > 1e-12 || math.Abs(b.moment-7) > 1e-12 {
		t.Errorf("%+v, want 7 m² and 8 - 1 m³", b)
	}
	// The triangle past a diagonal through (0.3, 0.3): legs of 0.6 m.
	s := math.Sqrt2 / 2
	f = flatRoom(t, rectangle(6, 4))
	if b := f.Beyond(Vec{X: 0.3, Y: 0.3}, Vec{X: -s, Y: -s}); math.Abs(b.Area-0.18) > 1e-12 || math.Abs(b.Farthest-0.3*math.Sqrt2) > 1e-12 || b.At != (Vec{}) {
		t.Errorf("%+v, want 0.18 m² and the corner", b)
	}
}

// The direction of fall: square to the wall that the place is at, anywhere along it; into a
// corner; and the same near these.
func TestFalls(t *testing.T) {
	f := flatRoom(t, rectangle(6, 4))
	for _, c := range []struct {
		name  string
		place Vec
		want  float64 // degrees clockwise from north
		off   float64
	}{
		{"at the middle of the east wall", Vec{X: 6, Y: 2}, 90, 0},
		{"at the east wall, off its middle", Vec{X: 6, Y: 0.7}, 90, 0},
		{"at the south wall", Vec{X: 1, Y: 0}, 180, 0},
		{"in a corner", Vec{X: 0, Y: 0}, 225, 1e-3},
		{"by the corner", Vec{X: 0.3, Y: 0.3}, 225, 1e-3},
		{"by the east wall", Vec{X: 5.7, Y: 2}, 90, 0},
		// The strip past it is 0.3 × 4 m; its deeper part moves to the shorter side.
		{"by the east wall, off its middle", Vec{X: 5.7, Y: 1.2}, 95, 5},
		{"far outside to the north", Vec{X: 3, Y: 500}, 0, 0.01},
	} {
		t.Run(c.name, func(t *testing.T) {
			dirs := f.Falls(c.place)
			if len(dirs) != 1 {
				t.Fatal(dirs)
			}
			d := dirs[0]
			got := math.Mod(math.Atan2(d.X, d.Y)*180/math.Pi+360, 360)
			if off := math.Abs(math.Remainder(got-c.want, 360)); off > c.off {
				t.Errorf("falls to %.6f°, want %g°", got, c.want)
			}
			if math.Abs(math.Hypot(d.X, d.Y)-1) > 1e-12 {
				t.Errorf("%v is no unit vector", d)
			}
		})
	}
}

// On the middle line of a room several directions are equally good. By hand, in a room of 6
// × 4 m, from its middle: 6 × 2²/2 = 12 m³ to either long wall, 4 × 3²/2 = 18 to a short
// one. In a square of 4 m: 4 × 2²/2 = 8 to a wall; to a corner half of it, 8 m², with its
// centroid a third of 2√2 m away: 7.54.
func TestFallsAlike(t *testing.T) {
	f := flatRoom(t, rectangle(6, 4))
	n, s, w := Vec{X: 0, Y: 1}, Vec{X: 0, Y: -1}, Vec{X: -1, Y: 0}
	for _, c := range []struct {
		place Vec
		want  []Vec
	}{
		{Vec{X: 3, Y: 2}, []Vec{n, s}},
		{Vec{X: 3.05, Y: 2}, []Vec{n, s}}, // a turn of 6 degrees is better by less than 2 %
		{Vec{X: 0.5, Y: 2}, []Vec{w}},
		// 4 mm from the middle the far wall costs 6 × 2.004²/2, 0.8 % more; 50 mm from it,
		// 10 %.
		{Vec{X: 3, Y: 2.004}, []Vec{n, s}}, {Vec{X: 3, Y: 2.05}, []Vec{n}},
		// At the middle of a wall there is one, and beside it.
		{Vec{X: 3, Y: 0}, []Vec{s}}, {Vec{X: 0, Y: 2}, []Vec{w}}, {Vec{X: 3, Y: 4}, []Vec{n}}, {Vec{X: 3, Y: 0.1}, []Vec{s}},
	} {
		if got := f.Falls(c.place); !slices.Equal(got, c.want) {
			t.Errorf("from %v: %v, want %v", c.place, got, c.want)
		}
	}
	// Nearer to a short wall both turn toward it, each the mirror of the other.
	two := f.Falls(Vec{X: 2.5, Y: 2})
	if len(two) != 2 || math.Abs(two[0].X-two[1].X) > 1e-6 || math.Abs(two[0].Y+two[1].Y) > 1e-6 || two[0].X > -0.1 || f.Beyond(Vec{X: 2.5, Y: 2}, two[0]).moment > 12 {
		t.Errorf("off the middle: %v", two)
	}
	four := flatRoom(t, rectangle(4, 4)).Falls(Vec{X: 2, Y: 2})
	if len(four) != 4 {
		t.Fatalf("in the middle of a square: %v", four)
	}
	for k, dir := range four {
		if want := 45 + 90*float64(k); math.Abs(math.Mod(math.Atan2(dir.X, dir.Y)*180/math.Pi+360, 360)-want) > 1e-6 {
			t.Errorf("in the middle of a square: %v, want %g°", dir, want)
		}
	}
	if m := flatRoom(t, rectangle(4, 4)).Beyond(Vec{X: 2, Y: 2}, four[0]).moment; math.Abs(m-8*2*math.Sqrt2/3) > 1e-9 {
		t.Errorf("%g m³ past the middle of a square", m)
	}
}

// Round rooms of many equal walls, from the middle: a corner leaves the least, and is a
// separate choice if it differs from the others by more than 20 degrees. Of 16 corners, 22.5
// degrees apart, each is; of 20, 18 degrees apart, every second one.
func TestFallsAreMoreThanTwentyDegreesApart(t *testing.T) {
	for _, c := range []struct{ corners, want int }{{16, 16}, {20, 10}} {
		var ring []Vec
		for k := range c.corners {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(c.corners))
			ring = append(ring, Vec{X: 3 * cos, Y: 3 * sin})
		}
		if got := flatRoom(t, ring).Falls(Vec{}); len(got) != c.want {
			t.Errorf("%d directions from the middle of a room of %d walls, want %d: %v", len(got), c.corners, c.want, got)
		}
	}
}

// No other direction leaves less of the plane lower than the place, wherever the floor is on
// the grid.
func TestFallsIsTheBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.SampledFrom([]Vec{{}, {X: 4.2e5, Y: 5.1e6}}).Draw(t, "at")
		w, h := rapid.Float64Range(2, 20).Draw(t, "w"), rapid.Float64Range(2, 20).Draw(t, "h")
		cut := rapid.Float64Range(0.1, 0.9).Draw(t, "cut")
		shape := []Vec{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h * cut}, {X: w * cut, Y: h * cut}, {X: w * cut, Y: h}, {X: 0, Y: h}}
		place := Vec{X: at.X + w*rapid.Float64Range(0, 1).Draw(t, "x"), Y: at.Y + h*rapid.Float64Range(0, 1).Draw(t, "y")}
		tin, ring := &TIN{Origin: at}, []Vec{}
		for _, c := range shape {
			ring = append(ring, Vec{X: at.X + c.X, Y: at.Y + c.Y})
			tin.X, tin.Y, tin.Z = append(tin.X, c.X), append(tin.Y, c.Y), append(tin.Z, 0)
		}
		f := &Floor{Regions: []Region{{Rings: [][]Vec{ring}, TIN: tin}}}
		dir := f.Falls(place)[0]
		least := f.Beyond(place, dir).moment / 1.02 // for several
		if len(f.Falls(place)) == 1 {
			least *= 1.02
		}
		for k := range 1000 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 500)
			if other := f.Beyond(place, Vec{X: sin, Y: cos}).moment; other < least-1e-9*w*h*(w+h) {
				t.Fatalf("%v leaves %.9g m³, %v %.9g", dir, least, Vec{X: sin, Y: cos}, other)
			}
		}
	})
}

func TestRange(t *testing.T) {
	f := flatRoom(t, rectangle(6, 4))
	least, greatest, leastAt, greatestAt := f.Range(Plane{Z: 10, SlopeX: -0.01})
	if least != 9.94 || greatest != 10 || leastAt.X != 6 || greatestAt.X != 0 {
		t.Error(least, greatest, leastAt, greatestAt)
	}
}

// In a wet room of 2.4 × 3.6 m with a riser shaft and a drain off the walls, the direction
// with the min area beyond the drain leaves more water there: area times depth decides.
func TestFallsLeaveTheLeastWater(t *testing.T) {
	f := flatRoom(t, rectangle(2.4, 3.6), []Vec{{X: 0.6, Y: 2.3}, {X: 1.0, Y: 2.3}, {X: 1.0, Y: 2.7}, {X: 0.6, Y: 2.7}})
	drain := Vec{X: 1.7, Y: 0.9}
	all := f.Falls(drain)
	if len(all) != 1 {
		t.Fatalf("%v, want one direction", all)
	}
	found, least := f.Beyond(drain, all[0]), math.Inf(1)
	var best Beyond
	for k := range turns {
		b := f.Beyond(drain, turned(float64(k)))
		if b.Area < least {
			least, best = b.Area, b
		}
		if b.moment < found.moment*(1-1e-9) {
			t.Errorf("%g degrees leaves %g m³ for each unit of fall, %v leaves %g", float64(k)/2, b.moment, all[0], found.moment)
		}
	}
	if !(best.Area < found.Area && best.moment > found.moment) {
		t.Errorf("least area %+v, chosen %+v: want less area and more water", best, found)
	}
}

// At a wall past which the floor continues, the best direction may slant: it is refused, and
// the one square to the wall comes first. By hand, an L of 6 × 6 m without its north-east
// quarter: at (3, 4.5) on the wall x = 3 the east arm is past the wall, 3 × 3 m, 13.5 m³.
func TestFallsAtAnInnerWall(t *testing.T) {
	l := []Vec{{X: 0, Y: 0}, {X: 6, Y: 0}, {X: 6, Y: 3}, {X: 3, Y: 3}, {X: 3, Y: 6}, {X: 0, Y: 6}}
	f := flatRoom(t, l)
	east, north := Vec{X: 1, Y: 0}, Vec{X: 0, Y: 1}
	for _, c := range []struct {
		name  string
		place Vec
		first Vec
		past  bool
		n     int
	}{
		{"on the inner wall", Vec{X: 3, Y: 4.5}, east, true, 2},
		{"a drain's width off it", Vec{X: 2.7, Y: 4.5}, east, true, 2},
		{"on the other inner wall", Vec{X: 4.5, Y: 3}, north, true, 2},
		{"on an outer wall", Vec{X: 6, Y: 1}, east, false, 1},
		{"at the end of an arm", Vec{X: 1, Y: 6}, north, false, 1},
	} {
		dirs, past := f.FallsAt(c.place)
		if len(dirs) != c.n || dirs[0] != c.first || past != c.past {
			t.Errorf("%s: %v, past %v; want %d, the first %v, past %v", c.name, dirs, past, c.n, c.first, c.past)
		}
	}
	if b := f.Beyond(Vec{X: 3, Y: 4.5}, east); math.Abs(b.Area-9) > 1e-12 || math.Abs(b.moment-13.5) > 1e-12 {
		t.Errorf("square to the wall %+v, want 9 m² and 13.5 m³", b)
	}
	// Farther from the wall than a drain can be, in a corner, and in a room without an arm,
	// only the best counts.
	for _, place := range []Vec{{X: 2.69, Y: 4.5}, {X: 2.9, Y: 5.9}, {X: 0.1, Y: 0.1}} {
		if dirs, past := f.FallsAt(place); past || !slices.Equal(dirs, f.Falls(place)) {
			t.Errorf("at %v: %v, past %v", place, dirs, past)
		}
	}
	room := flatRoom(t, rectangle(6, 4))
	if dirs, past := room.FallsAt(Vec{X: 5.75, Y: 0.5}); past || len(dirs) != 1 {
		t.Errorf("by a wall of a plain room: %v, past %v", dirs, past)
	}
	// An arm of 10 mm by 10 mm is past the wall and costs almost nothing: square only.
	f = flatRoom(t, []Vec{{X: 0, Y: 0}, {X: 6.01, Y: 0}, {X: 6.01, Y: 0.01}, {X: 6, Y: 0.01}, {X: 6, Y: 4}, {X: 0, Y: 4}})
	if dirs, past := f.FallsAt(Vec{X: 5.8, Y: 2}); past || len(dirs) != 1 || dirs[0] != east {
		t.Errorf("a notch past the wall: %v, past %v", dirs, past)
	}
}

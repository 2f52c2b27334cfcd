package surface

import (
	"math"
	"strings"
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

func rectangle(w, h float64) []Vec { return []Vec{{0, 0}, {w, 0}, {w, h}, {0, h}} }

// By hand: of a room of 6 × 4 m past x = 4 going east there are 2 × 4 m²; the far wall
// is 2 m on. Less a column of 1 × 1 m in it: 7 m².
func TestBeyond(t *testing.T) {
	f := flatRoom(t, rectangle(6, 4))
	b := f.Beyond(Vec{4, 1}, Vec{1, 0})
	if math.Abs(b.Area-8) > 1e-12 || math.Abs(b.Farthest-2) > 1e-12 || math.Abs(b.moment-8) > 1e-12 {
		t.Errorf("%+v, want 8 m², 2 m, 8 m³", b)
	}
	f = flatRoom(t, rectangle(6, 4), []Vec{{4.5, 1}, {5.5, 1}, {5.5, 2}, {4.5, 2}})
	if b := f.Beyond(Vec{4, 1}, Vec{1, 0}); math.Abs(b.Area-7) > 1e-12 || math.Abs(b.moment-7) > 1e-12 {
		t.Errorf("%+v, want 7 m² and 8 - 1 m³", b)
	}
	// The triangle past a diagonal through (0.3, 0.3): legs of 0.6 m.
	s := math.Sqrt2 / 2
	f = flatRoom(t, rectangle(6, 4))
	if b := f.Beyond(Vec{0.3, 0.3}, Vec{-s, -s}); math.Abs(b.Area-0.18) > 1e-12 || math.Abs(b.Farthest-0.3*math.Sqrt2) > 1e-12 || b.At != (Vec{}) {
		t.Errorf("%+v, want 0.18 m² and the corner", b)
	}
}

// Where a floor falls to: square to the wall that the place is at, wherever along it,
// into a corner, and near these the same.
func TestFallToward(t *testing.T) {
	f := flatRoom(t, rectangle(6, 4))
	for _, c := range []struct {
		name  string
		place Vec
		want  float64 // degrees clockwise from north
		off   float64
	}{
		{"at the middle of the east wall", Vec{6, 2}, 90, 0},
		{"at the east wall, off its middle", Vec{6, 0.7}, 90, 0},
		{"at the south wall", Vec{1, 0}, 180, 0},
		{"in a corner", Vec{0, 0}, 225, 1e-3},
		{"by the corner", Vec{0.3, 0.3}, 225, 1e-3},
		{"by the east wall", Vec{5.7, 2}, 90, 0},
		// The strip past it is 0.3 × 4 m; its deeper part moves to the shorter side.
		{"by the east wall, off its middle", Vec{5.7, 1.2}, 95, 5},
		{"far outside to the north", Vec{3, 500}, 0, 0.01},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, err := f.FallToward(c.place)
			if err != nil {
				t.Fatal(err)
			}
			got := math.Mod(math.Atan2(d.X, d.Y)*180/math.Pi+360, 360)
			if off := math.Abs(math.Remainder(got-c.want, 360)); off > c.off {
				t.Errorf("falls to %.6f°, want %g°", got, c.want)
			}
			if math.Abs(math.Hypot(d.X, d.Y)-1) > 1e-12 {
				t.Errorf("%v is no unit vector", d)
			}
		})
	}
	_, err := f.FallToward(Vec{3, 2})
	if err == nil || !strings.Contains(err.Error(), "two directions drain alike") {
		t.Errorf("in the middle: %v", err)
	}
}

// No other direction leaves less of the plane lower than the place; and the floor may
// stand anywhere on the grid.
func TestFallTowardIsTheBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.SampledFrom([]Vec{{}, {4.2e5, 5.1e6}}).Draw(t, "at")
		w, h := rapid.Float64Range(2, 20).Draw(t, "w"), rapid.Float64Range(2, 20).Draw(t, "h")
		cut := rapid.Float64Range(0.1, 0.9).Draw(t, "cut")
		shape := []Vec{{0, 0}, {w, 0}, {w, h * cut}, {w * cut, h * cut}, {w * cut, h}, {0, h}}
		place := Vec{at.X + w*rapid.Float64Range(0, 1).Draw(t, "x"), at.Y + h*rapid.Float64Range(0, 1).Draw(t, "y")}
		tin, ring := &TIN{Origin: at}, []Vec{}
		for _, c := range shape {
			ring = append(ring, Vec{at.X + c.X, at.Y + c.Y})
			tin.X, tin.Y, tin.Z = append(tin.X, c.X), append(tin.Y, c.Y), append(tin.Z, 0)
		}
		f := &Floor{Regions: []Region{{Rings: [][]Vec{ring}, TIN: tin}}}
		dir, err := f.FallToward(place)
		if err != nil {
			return // two directions alike
		}
		least := f.Beyond(place, dir).moment
		for k := range 1000 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 500)
			if other := f.Beyond(place, Vec{sin, cos}).moment; other < least-1e-9*w*h*(w+h) {
				t.Fatalf("%v leaves %.9g m³, %v %.9g", dir, least, Vec{sin, cos}, other)
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

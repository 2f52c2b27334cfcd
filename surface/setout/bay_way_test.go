package setout

import (
	"math"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// Two rooms, one of 9 × 3 m east, one of 3 × 8 m north beyond a gap, 50 mm and 80 mm deep:
// each is cut across its own longest wall. By hand, at most 3 m wide: 3 strips of 3 m, and 3
// of 8/3 m to whole steps of 50 mm, from the southern end of the second.
func TestStripsOfEachRoom(t *testing.T) {
	f := floorOf(t, surface.Data{
		Shots: append(grid(0, 0, 9, 3, 1, func(x, y float64) float64 { return 9.95 }), grid(10, 2, 13, 10, 1, func(x, y float64) float64 { return 9.92 })...),
		Rings: []survey.Ring{ring(survey.Outer, 0, 0, 9, 0, 9, 3, 0, 3), ring(survey.Outer, 10, 2, 13, 2, 13, 10, 10, 10)},
	})
	f.Regions[1].Name = "store"
	b := cut(t, f, BayRules{Width: 3, Exit: surface.Vec{X: 0, Y: 1}, HasExit: true})
	if len(b.Bays) != 6 || len(b.Dams) != 4 {
		t.Fatalf("%d bays, %d dams; want 6 and 4", len(b.Bays), len(b.Dams))
	}
	for _, k := range b.Bays {
		lo, hi := k.Floor.Bounds()
		w, h := hi.X-lo.X, hi.Y-lo.Y
		if lo.X < 9.5 {
			closeTo(t, "width", w, 3, 1e-9)
			closeTo(t, "fill", k.Fill.Fill, 9*0.05, 1e-9)
		} else {
			closeTo(t, "width across", w, 3, 1e-9)
			closeTo(t, "width", h, 8.0/3, 0.05)
		}
	}
	for _, d := range b.Dams {
		closeTo(t, "length", d.Length, 3, 1e-9)
		if east := d.From.X < 9.5; east != !d.Own || east != (d.Region == "") || east != (d.Along == surface.Vec{X: 1}) {
			t.Errorf("dam %+v", d)
		} else if !east {
			closeTo(t, "offset", d.Offset, d.From.Y-2, 1e-9)
		}
	}
}

// A region that is as long one way as the other keeps the way of the whole floor, and one
// whose walls are off it by less than half a degree; by more it has its own.
func TestOwnDirection(t *testing.T) {
	for _, c := range []struct {
		name          string
		w, h, degrees float64
		own           bool
	}{
		{"a square", 2, 2, 0, false}, {"long east", 3, 2, 0, false}, {"long north", 2, 3, 0, true},
		{"a little askew", 3, 2, 0.4, false}, {"askew", 3, 2, 0.6, true},
	} {
		sin, cos := math.Sincos(c.degrees * math.Pi / 180)
		var corners []surface.Vec
		for _, p := range []surface.Vec{{}, {X: c.w}, {X: c.w, Y: c.h}, {Y: c.h}} {
			corners = append(corners, surface.Vec{X: p.X*cos - p.Y*sin, Y: p.X*sin + p.Y*cos})
		}
		east := surface.Vec{X: 1}
		if got := ownDirection(surface.Region{Rings: [][]surface.Vec{corners}}, east); (got != east) != c.own {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// A dam across a wedge is as high as it is deep at its deeper end: depth 0.01·x.
func TestDamLeastHeight(t *testing.T) {
	b := cut(t, wedge(t), BayRules{Dams: [][]surface.Vec{{{X: 2, Y: 0}, {X: 6, Y: 4}}}})
	if len(b.Dams) != 1 {
		t.Fatal(b.Dams)
	}
	closeTo(t, "greatest", b.Dams[0].Height, 0.06, 1e-12)
	closeTo(t, "least", b.Dams[0].Least, 0.02, 1e-12)
}

package surface

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"pourplane/survey"
)

// A round column among shots on a dished floor hides nothing: its rim follows the floor
// without jumps, and is as close to it as the spacing of the shots allows.
func TestColumnHidesNothing(t *testing.T) {
	dish := func(x, y float64) float64 { return 10 - 0.03*math.Exp(-((x-5.2)*(x-5.2)+(y-4.1)*(y-4.1))/6) }
	column := survey.Ring{Name: "column", Kind: survey.Hole}
	for k := range 24 {
		a := 2 * math.Pi * float64(k) / 24
		column.Points = append(column.Points, survey.Point{X: math.Round(1e4*(4.3+0.25*math.Cos(a))) / 1e4, Y: math.Round(1e4*(3.7+0.25*math.Sin(a))) / 1e4, Z: math.NaN()})
	}
	f := build(t, Data{Shots: shotsOn(0.5, 0.5, 8.5, 6.5, 1, dish), Rings: []survey.Ring{ringOf("room", survey.Outer, 0, 0, 9, 0, 9, 7, 0, 7), column}})
	var rim []Wall
	for _, w := range f.Walls(Plane{}) {
		if w.From.Distance(Vec{X: 4.3, Y: 3.7}) < 0.3 {
			rim = append(rim, w)
		}
	}
	if len(rim) < 24 {
		t.Fatalf("%d pieces of rim, want 24", len(rim))
	}
	for _, w := range rim {
		if off := -w.Start - dish(w.From.X, w.From.Y); math.Abs(off) > 0.005 { // error of a plane through shots 1 m apart on such a dish
			t.Errorf("rim at %v is %.1f mm off the floor", w.From, 1000*off)
		}
		// The dish is never steeper than 11 mm/m; a piece of rim is 65 mm long.
		if jump := math.Abs(w.End - w.Start); jump > 0.002 {
			t.Errorf("rim at %v jumps by %.1f mm", w.From, 1000*jump)
		}
	}
}

// Places along the walls are fitted on all processors; the floor is the same to the last bit.
func TestWallsFromOneAndFourProcessors(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, c := range []struct {
		name  string
		rings []survey.Ring
	}{
		{"walls without elevations", []survey.Ring{ringOf("", survey.Outer, -0.1, -0.1, 40.2, -0.1, 40.2, 25.2, -0.1, 25.2), ringOf("pier", survey.Hole, 20, 10, 22, 10, 22, 14)}},
		{"corners with elevations", []survey.Ring{measured(ringOf("", survey.Outer, -0.1, -0.1, 40.2, -0.1, 40.2, 25.2, -0.1, 25.2), func(_, _ float64) float64 { return 9.95 })}},
	} {
		var want *Floor
		for _, n := range []int{1, 4} {
			runtime.GOMAXPROCS(n)
			got, err := NewFloor(Data{Shots: floors[0].shots(20_000), Rings: c.rings, Duplicates: First})
			if err != nil {
				t.Fatal(err)
			}
			if want == nil {
				want = got
			}
			for i, r := range got.Regions {
				if w := want.Regions[i].TIN; !slices.Equal(r.TIN.Z, w.Z) || !slices.Equal(r.TIN.X, w.X) || !slices.Equal(r.TIN.V, w.V) {
					t.Errorf("%s: not the surface that one processor makes", c.name)
				}
			}
		}
	}
}

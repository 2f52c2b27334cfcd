package uncertainty

import (
	"math"
	"slices"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// A ± is given where shots cover a floor, however few, and not where most of the fill is beyond them: a
// room of 8 by 5 m, and a corridor of 20 by 2 m, by hand.
func TestNothingIsSaidBeyondTheShots(t *testing.T) {
	square := func(x, y, side float64) (out [][2]float64) {
		return [][2]float64{{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}}
	}
	row := func(n int, step, y float64) (out [][2]float64) {
		for i := range n {
			out = append(out, [2]float64{0.5 + step*float64(i), y + 0.01*float64(i%2)})
		}
		return out
	}
	for name, c := range map[string]struct {
		long, wide float64
		shots      [][2]float64
		share      float64 // by hand
		known      bool
	}{
		// Within 1 m of a square of 0.4 m: 0.4² + 4·0.4·1 + π = 4.90 m².
		"four in one spot":   {8, 5, square(2, 2, 0.4), 1 - 4.90/40, false},
		"four in one corner": {8, 5, square(0.1, 0.1, 0.4), 0.93, false},
		// Two of 0.3² + 4·0.3·1 + π = 4.43 m², and 4 m of the band between them, 0.4 m wide.
		"eight in two spots":        {8, 5, append(square(1, 1, 0.3), square(6.5, 3.5, 0.3)...), 1 - 10.5/40, false},
		"four at the corners":       {8, 5, [][2]float64{{0.1, 0.1}, {7.9, 0.1}, {7.9, 4.9}, {0.1, 4.9}}, 0, true},
		"four well inside":          {8, 5, [][2]float64{{2, 1.2}, {6, 1.2}, {6, 3.8}, {2, 3.8}}, 0.05, true},
		"half of the room":          {8, 5, append(square(0.2, 0.2, 4.6), [2]float64{2, 2.5}, [2]float64{2.5, 2}), 0.1, true},
		"a row along a corridor":    {20, 2, row(20, 1, 1), 0.05, true},
		"half of a corridor":        {20, 2, row(7, 1, 1), 0.63, false},
		"a dense row in a corridor": {20, 2, row(64, 0.3, 1), 0.05, true},
	} {
		t.Run(name, func(t *testing.T) {
			d := surface.Data{Rings: []survey.Ring{{Kind: survey.Outer, Points: []survey.Point{{X: 0, Y: 0, Z: math.NaN()}, {X: c.long, Y: 0, Z: math.NaN()}, {X: c.long, Y: c.wide, Z: math.NaN()}, {X: 0, Y: c.wide, Z: math.NaN()}}}}}
			for i, at := range c.shots {
				d.Shots = append(d.Shots, survey.Point{X: at[0], Y: at[1], Z: 0.002 * math.Sin(2*float64(i))})
			}
			for range 2 { // in either order
				f, err := surface.NewFloor(d)
				if err != nil {
					t.Fatal(err)
				}
				in := Input{Floor: f, Split: f, Target: surface.Horizontal(0.05), Errors: Errors{Reading: 0.001}}
				m := New(in)
				if m.Known != c.known || m.Volume(1).Known != c.known || (len(m.Beyond()) == 0) != c.known || math.Abs(m.regions[0].beyond-c.share) > 0.06 {
					t.Errorf("known %v, %.3f beyond the shots, want %v and about %.2f", m.Known, m.regions[0].beyond, c.known, c.share)
				}
				// Where the kind of floor is given, all is known of it.
				in.Field = &UsualFloor
				if !New(in).Known {
					t.Errorf("not known with a given field")
				}
				slices.Reverse(d.Shots)
			}
		})
	}
}

package surface

import (
	"math"
	"testing"

	"pourplane/survey"
)

// A room of 6 by 7 m with a step across it and a column of 0.4 by 0.4 m in one part: walls
// are all edges except the step, and the area of wall that the fill wets is known in closed
// form.
func TestWallsAreAllEdgesButSteps(t *testing.T) {
	step := survey.Breakline{Name: "step", Points: []survey.Point{{X: -0.2, Y: 3, Z: math.NaN()}, {X: 6.2, Y: 3, Z: math.NaN()}}}
	shots := shotsOn(0.5, 0.5, 5.5, 2.5, 0.5, func(x, _ float64) float64 { return 0.01 * x })
	shots = append(shots, shotsOn(0.5, 3.5, 5.5, 6.5, 0.25, func(x, y float64) float64 { return -0.08 })...)
	f := build(t, Data{Shots: shots, Lines: []survey.Breakline{step}, Rings: []survey.Ring{
		ringOf("hall", survey.Outer, 0, 0, 6, 0, 6, 7, 0, 7), ringOf("column", survey.Hole, 2.1, 4.6, 2.5, 4.6, 2.5, 5, 2.1, 5)}})
	length, wet, loops := 0.0, 0.0, 0
	for _, w := range f.Walls(Horizontal(0.1)) {
		l := w.From.Distance(w.To)
		length += l
		wet += l * (w.Start + w.End) / 2
		if w.Last {
			loops++
		}
	}
	near(t, "length of walls", length, 26+1.6, 1e-12)
	near(t, "and the perimeter", length, f.Perimeter, 1e-12)
	// Low part: 0.18 deep along 6 + 4 + 4 m and round the column. High part: 0.1 − 0.01 x,
	// mean 0.07 along its wall of 6 m, 0.1 and 0.04 along its sides of 3 m.
	near(t, "wet area", wet, 0.18*(14+1.6)+0.07*6+0.1*3+0.04*3, 1e-9)
	if loops != 2 {
		t.Errorf("%d ways round, want one for the room, over the step, and one for the column", loops)
	}
	follow(t, f.Walls(Horizontal(0.1)))
}

// follow checks that each wall starts where the one before it ends, up to the end of a loop,
// which is where it started.
func follow(t *testing.T, walls []Wall) {
	t.Helper()
	begin := 0
	for i, w := range walls {
		next := i + 1
		if w.Last {
			next, begin = begin, i+1
		}
		if next == len(walls) || w.To != walls[next].From {
			t.Fatalf("wall %d ends at %v, and no wall goes on there", i, w.To)
		}
	}
	if begin != len(walls) {
		t.Errorf("the last way round is not closed")
	}
}

// Four quarters with steps between them round a column, and a separate room: the steps end
// at the column, so its four faces are one loop over all four quarters.
func TestWallsOfQuartersRoundAColumn(t *testing.T) {
	line := func(name string, x0, y0, x1, y1 float64) survey.Breakline {
		return survey.Breakline{Name: name, Points: []survey.Point{{X: x0, Y: y0, Z: math.NaN()}, {X: x1, Y: y1, Z: math.NaN()}}}
	}
	var shots []survey.Point
	for i, at := range [][2]float64{{0, 0}, {4, 0}, {0, 4}, {4, 4}, {10, 0}} {
		shots = append(shots, shotsOn(at[0]+0.5, at[1]+0.5, at[0]+3.5, at[1]+3.5, 0.5, func(_, _ float64) float64 { return -0.01 * float64(i) })...)
	}
	f := build(t, Data{Shots: shots,
		Lines: []survey.Breakline{line("s", 4, -0.2, 4, 3.5), line("n", 4, 4.5, 4, 8.2), line("w", -0.2, 4, 3.5, 4), line("e", 4.5, 4, 8.2, 4)},
		Rings: []survey.Ring{ringOf("hall", survey.Outer, 0, 0, 8, 0, 8, 8, 0, 8), ringOf("column", survey.Hole, 3.5, 3.5, 4.5, 3.5, 4.5, 4.5, 3.5, 4.5), ringOf("store", survey.Outer, 10, 0, 14, 0, 14, 4, 10, 4)}})
	if len(f.Regions) != 5 {
		t.Fatalf("%d regions, want 5", len(f.Regions))
	}
	walls := f.Walls(Horizontal(0.1))
	follow(t, walls)
	length, loops := 0.0, 0
	for _, w := range walls {
		length += w.From.Distance(w.To)
		if w.Last {
			loops++
		}
	}
	near(t, "length of walls", length, 32+4+16, 1e-12)
	if loops != 3 {
		t.Errorf("%d ways round, want 3", loops)
	}
}

// A floor that falls along the wall of a door: the change at the door is from the floor at
// the nearest place of its wall, not from a plane.
func TestThresholdsOnTheFloorThatIsThere(t *testing.T) {
	f := build(t, Data{Shots: shotsOn(0.5, 0.5, 5.5, 2.5, 0.5, func(x, _ float64) float64 { return 10 - 0.01*x }), Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 6, 0, 6, 3, 0, 3)}})
	doors := []survey.Point{survey.Point{X: 2, Y: -0.5, Z: 10.02}.Named("south"), survey.Point{X: 7, Y: 4, Z: 10.02}.Named("corner")}
	got := ThresholdsOn(f, doors, Covering{Thickness: 0.012})
	near(t, "floor at the south door", got[0].Top, 9.98, 1e-9)
	near(t, "bed there", got[0].Bed, 0.028, 1e-9)
	near(t, "floor at the corner", got[1].Top, 9.94, 1e-9)
}

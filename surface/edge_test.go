package surface

import (
	"math"
	"testing"

	"pourplane/survey"
)

// A room of 6 by 7 m with a step across it and a column of 0.4 by 0.4 m in one part:
// walls are all edges but the step, and what the fill wets of them is known in closed form.
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
	// Low part: 0.18 deep along 6 + 4 + 4 m and round the column; high part: 0.1 − 0.01 x, 0.07 in the
	// mean along its wall of 6 m, 0.1 and 0.04 along its sides of 3 m.
	near(t, "wet area", wet, 0.18*(14+1.6)+0.07*6+0.1*3+0.04*3, 1e-9)
	if loops != 3 {
		t.Errorf("%d loops, want one for each part and one for the column", loops)
	}
}

package flatness

import (
	"math"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// A high at a wall that no reading is near is not measured and gets no passes; half a step
// beyond the last readings it is a high to grind.
func TestHighNobodyMeasured(t *testing.T) {
	for _, c := range []struct {
		wall   float64 // m, x of the wall; readings are 1 m apart up to x = 4 m
		unseen bool
	}{{4.5, false}, {8, true}} {
		ring := survey.Ring{}
		for _, p := range [][2]float64{{-0.2, -0.2}, {c.wall, -0.2}, {c.wall, 4.2}, {-0.2, 4.2}} {
			ring.Points = append(ring.Points, survey.Point{X: p[0], Y: p[1], Z: math.NaN()})
		}
		data := surface.Data{Rings: []survey.Ring{ring}}
		for _, p := range grid(0, 1, 5, 5) {
			data.Shots = append(data.Shots, survey.Point{X: p[0], Y: p[1], Z: 0.002 * p[0]})
		}
		f, err := surface.NewFloor(data)
		if err != nil {
			t.Fatal(err)
		}
		w, err := FindSpots(f, surface.Horizontal(0), 0.003, Rates{Pass: 0.001})
		if err != nil {
			t.Fatal(err)
		}
		if len(w.Spots) != 1 || !w.Spots[0].High {
			t.Fatalf("wall at %v: the highs are %+v", c.wall, w.Spots)
		}
		if m := w.Spots[0]; m.NotMeasured != c.unseen || (m.Passes == 0) != c.unseen {
			t.Errorf("wall at %v: not measured %v, %d passes", c.wall, m.NotMeasured, m.Passes)
		}
	}
}

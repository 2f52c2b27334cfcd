package surface

import (
	"testing"

	"pourplane/survey"
)

// Of three shots at one place two are alike: their mean is that of the two elevations, in any
// order of the rows.
func TestMeanOfRepeatedShots(t *testing.T) {
	for _, heights := range [][]float64{{0.125, 0.125, 0.25}, {0.125, 0.25, 0.125}, {0.25, 0.125, 0.125}} {
		shots := []survey.Point{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 4}, {X: 0, Y: 4}}
		for _, z := range heights {
			shots = append(shots, survey.Point{X: 2, Y: 2, Z: z})
		}
		f, err := NewFloor(Data{Shots: shots, Duplicates: Mean})
		if err != nil {
			t.Fatal(err)
		}
		if z, _, _ := f.Locators().At(Vec{X: 2, Y: 2}); z != 0.1875 {
			t.Errorf("%v: %g, want 0.1875", heights, z)
		}
	}
}

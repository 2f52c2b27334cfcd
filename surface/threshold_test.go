package surface

import (
	"testing"

	"pourplane/survey"
)

// The demo's doors, worked by hand in inches: tile 3/8, bed 3/32 to 1/2, level target 99.930
// ft. Trade arithmetic: bed 7/16 in at door A, 1/4 in at door B.
func TestBedAtEachThreshold(t *testing.T) {
	const in, ft = 0.0254, 0.3048
	at := func(z float64) survey.Point { return survey.Point{Z: z} }
	c := Covering{Thickness: 3.0 / 8 * in, Bed: 3.0 / 16 * in, Least: 3.0 / 32 * in, Greatest: 0.5 * in}
	target := Horizontal(99.930 * ft)
	for _, k := range []struct {
		name              string
		z                 float64
		bed, laid, change float64 // in
	}{
		{"door A", 99.9974 * ft, 0.0674*12 - 0.375, 0.0674*12 - 0.375, 0},
		{"door B", 99.9818 * ft, 0.0518*12 - 0.375, 0.0518*12 - 0.375, 0},
		{"a sill far above", 100.0156 * ft, 0.0856*12 - 0.375, 0.5, 0.5 - (0.0856*12 - 0.375)},
		{"a floor too low", 99.93*ft + 0.4*in, 0.025, 3.0 / 32, 3.0/32 - 0.025},
		{"a floor below the fill", 99.93*ft - 0.25*in, -0.625, 3.0 / 32, 3.0/32 + 0.625},
	} {
		th := Thresholds([]survey.Point{at(k.z)}, target, c)[0]
		near(t, k.name+": bed", th.Bed/in, k.bed, 1e-9)
		near(t, k.name+": laid", th.Laid/in, k.laid, 1e-9)
		near(t, k.name+": change of level", th.Change/in, k.change, 1e-9)
	}
	// Without limits the bed is as planned and the whole difference is a step.
	th := Thresholds([]survey.Point{at(10.020)}, Horizontal(10), Covering{Thickness: 0.010, Bed: 0.005})[0]
	near(t, "step", th.Change, -0.005, 1e-12)
	near(t, "room", th.Room, 0.020, 1e-12)
}

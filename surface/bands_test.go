package surface

import (
	"slices"
	"testing"

	"pourplane/survey"
)

// From 2 % of the area a step is a band. Less is gathered in the coarser step, and an empty
// stretch has no area.
func TestLittleAreaIsOneBand(t *testing.T) {
	for _, c := range []struct {
		share  []float64
		coarse int
		want   []float64
		bands  int
		suits  bool
	}{
		{[]float64{0.5, 0.019, 0.019, 0.462}, 100, []float64{0, 1, 3, 4}, 3, true},
		{[]float64{0.5, 0.021, 0.021, 0.458}, 100, []float64{0, 1, 2, 3, 4}, 4, true},
		{[]float64{0.6, 0, 0, 0.4}, 100, []float64{0, 1, 3, 4}, 2, true},
		{[]float64{0.01, 0.01, 0.98, 0}, 100, []float64{0, 2, 3}, 2, true},
		{[]float64{0.95, 0.015, 0.015, 0.01, 0.01}, 3, []float64{0, 1, 3, 5}, 3, true},
		{[]float64{0.49, 0.019, 0.019, 0.019, 0.019, 0.019, 0.019, 0.019, 0.019, 0.019, 0.019, 0.32}, 100, []float64{0, 1, 11, 12}, 3, true},
		{[]float64{0.49, 0.019, 0.019, 0, 0.472}, 1, []float64{0, 1, 2, 3, 4, 5}, 4, true},
		{[]float64{0.019, 0, 0.019, 0, 0.019, 0, 0.019, 0, 0.019, 0, 0.905}, 1, []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}, 6, true},
		{[]float64{0.019, 0, 0.019, 0, 0.019, 0, 0.019, 0, 0.019, 0, 0.019, 0, 0.886}, 1, []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13}, 7, false}, // 11.4 % in bands with too little
	} {
		g := grouping{bins: c.share, step: 1, coarse: c.coarse}
		if suits := g.divides(); !slices.Equal(g.limits, c.want) || g.bands != c.bands || suits != c.suits {
			t.Errorf("%v: limits %v, %d bands, suits %t; want %v, %d, %t", c.share, g.limits, g.bands, suits, c.want, c.bands, c.suits)
		}
	}
	little := make([]float64, 100)
	for i := range little {
		little[i] = 0.0049
	}
	for main, want := range map[float64]bool{0.51: true, 0.49: false} {
		g := grouping{bins: append([]float64{main}, little...), step: 1, coarse: 1000}
		if suits := g.divides(); suits != want {
			t.Errorf("%g of the area in bands of the step: suits %t, want %t", main, suits, want)
		}
	}
}

// ramps is a floor 1 m wide and 1 m long. Its depths below 10 m go evenly from each depth to
// the next, over given shares of the length.
func ramps(t *testing.T, depths, shares []float64) *Floor {
	t.Helper()
	var d Data
	at := 0.0
	for i, deep := range depths {
		for _, y := range []float64{0, 1} {
			d.Shots = append(d.Shots, survey.Point{X: at, Y: y, Z: 10 - deep})
		}
		if i < len(shares) {
			at += shares[i]
		}
	}
	f, err := NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// An even tilt has little area in each fine step. Whatever its range it is shown in several
// bands of one size: one band would show nothing.
func TestEvenTiltHasBands(t *testing.T) {
	for _, u := range []Steps{{}, {US: true}} {
		for _, fall := range []float64{0.02, 0.035, 0.08, 0.101, 0.25, 0.7} {
			f := ramps(t, []float64{0.05, 0.05 + fall}, []float64{1})
			limits := u.Limits(f, Horizontal(10))
			widest := 0.0
			for i := range len(limits) - 1 {
				widest = max(widest, limits[i+1]-limits[i])
			}
			if n := len(limits) - 1; n < 4 || n > MostBands || widest > 0.3*fall {
				t.Errorf("a fall of %g m, %+v: limits %v", fall, u, limits)
			}
		}
	}
}

// A pit with evenly spread depths has coarser bands, and the floor keeps its fine steps: 1
// to 2 cm in five.
func TestSmallPitLeavesTheFloorItsBands(t *testing.T) {
	for pit, want := range map[float64]int{0.04: 9, 0.08: 9, 0.12: 9, 0.3: 9} {
		f := ramps(t, []float64{0.01, 0.02, 0.2}, []float64{1 - pit, pit})
		limits := Steps{}.Limits(f, Horizontal(10))
		if n := len(limits) - 1; n != want {
			t.Errorf("a pit of %g of the area: %d bands, want %d: %v", pit, n, want, limits)
		}
	}
}

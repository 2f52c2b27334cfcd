package flatness

import (
	"errors"
	"testing"
)

// The width of a square across a direction is its side times |cos| + |sin| of it. Over
// twelve directions 15° apart these add up to 2·cot 7.5° = 15.1915 (own derivation), so
// lines 1 mm apart on a square of 65.82 m are 999,900 and one or two more a direction.
func TestLinesOfStraightedgesAreBounded(t *testing.T) {
	flat := func(x, y float64) float64 { return 10 }
	for _, c := range []struct {
		side float64
		wide bool
	}{{65.82, false}, {65.83, true}} {
		_, err := Lay(gridFloor(t, 1, 1, c.side, flat), Laying{Length: 100, Spacing: 0.001})
		if errors.Is(err, ErrTooWide) != c.wide || (err != nil) != c.wide {
			t.Errorf("%g m: %v", c.side, err)
		}
	}
	// Each length counts: 100 lengths on a hundredth of the side.
	lengths := make([]float64, 100)
	for i := range lengths {
		lengths[i] = 100
	}
	if _, err := LayAll(gridFloor(t, 1, 1, 0.68, flat), Laying{Spacing: 0.001}, lengths...); !errors.Is(err, ErrTooWide) {
		t.Errorf("100 lengths: %v", err)
	}
}

// Runs 1.2 m apart with readings every 300 mm, along and across: 180,000 m² take a
// million readings.
func TestReadingsOfRunsAreBounded(t *testing.T) {
	for _, c := range []struct {
		side float64
		wide bool
	}{{424.2, false}, {424.3, true}} {
		f := gridFloor(t, 1, 1, c.side, func(x, y float64) float64 { return 10 })
		_, _, err := LayOut(f, nil, Settings{Step: atMM, Apart: 1.2})
		if errors.Is(err, ErrTooWide) != c.wide || err == nil { // these shots are too far apart as well
			t.Errorf("%g m: %v", c.side, err)
		}
	}
}

package report

import (
	"slices"
	"testing"

	"gonum.org/v1/plot/vg"
)

// A sheet with all its pins whole on other sheets is left out, such as one of the empty arm
// of an L.
func TestSheetsThatAreNotNeeded(t *testing.T) {
	at := func(x, y, w, h vg.Length) vg.Rectangle {
		return vg.Rectangle{Min: vg.Point{X: x, Y: y}, Max: vg.Point{X: x + w, Y: y + h}}
	}
	a, b, c, d := at(0, 90, 100, 100), at(90, 90, 100, 100), at(0, 0, 100, 100), at(90, 0, 100, 100)
	boxes := []vg.Rectangle{at(10, 150, 5, 5), at(92, 150, 5, 5), at(10, 20, 5, 5), at(150, 20, 5, 5)}
	if got := needed([]vg.Rectangle{a, b, c, d}, boxes); !slices.Equal(got, []vg.Rectangle{a, c, d}) {
		t.Errorf("%v, want the first, the third and the fourth", got)
	}
	boxes[1] = at(120, 150, 5, 5)
	if got := needed([]vg.Rectangle{a, b, c, d}, boxes); len(got) != 4 {
		t.Errorf("%d stay, want all 4", len(got))
	}
	// Of two with the same pins one stays.
	if got := needed([]vg.Rectangle{a, b}, []vg.Rectangle{at(92, 150, 5, 5)}); len(got) != 1 {
		t.Errorf("%d stay, want 1", len(got))
	}
}

package job

import (
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Errors about a surface with faces give places by its walls, in the units shown: 4 m by
// 3 m, a cut that ends 1 m from the south wall and 2 m from both others.
func TestFacesWordPlacesInTheReadersUnit(t *testing.T) {
	s := &survey.Survey{Name: "s.xml", Unit: unit.Foot, Plan: unit.Foot, Surfaces: []survey.Surface{{Name: "s",
		Vertices: []survey.Point{{X: 0, Y: 0, Z: 1}, {X: 4, Y: 0, Z: 1}, {X: 4, Y: 3, Z: 1}, {X: 0, Y: 3, Z: 1}}, Faces: [][3]int32{{0, 1, 2}, {0, 2, 3}}}}}
	floor, err := (&input{show: "feet"}).built(s)
	if err != nil {
		t.Fatal(err)
	}
	_, err = floor.Cut([][]surface.Vec{{{X: 2, Y: 1}, {X: 2, Y: 4}}})
	if err == nil {
		t.Fatal("no refusal")
	}
	for style, want := range map[unit.Style]string{
		{}:               `at 2.000 m from west wall, 1.000 m from south wall, 1.000 m from the nearest wall`,
		{Imperial: true}: `at 6'-6 3/4" from west wall, 3'-3 3/8" from south wall, 3'-3 3/8" from the nearest wall`,
	} {
		if got := survey.ErrorIn(err, style).Error(); !strings.Contains(got, want) {
			t.Errorf("%s, want it to give %q", got, want)
		}
	}
}

// An area too thin for concrete that would be written as 0 is no warning.
func TestNothingIsTooThin(t *testing.T) {
	w := &Filled{Fill: surface.Fill{FillArea: 10}}
	for area, want := range map[float64]bool{0: false, 0.0049: false, 0.0051: true} {
		w.Thin.Area = area
		if got := w.ThinText().String() != ""; got != want {
			t.Errorf("%g m²: a warning %v, want %v", area, got, want)
		}
	}
}

// Where the adjoining finished floor sets the target, raising it is no way out of a thin
// fill; the customer reads none of that.
func TestThinBelowADoor(t *testing.T) {
	for _, c := range []struct {
		finish surface.Target
		sheet  string
		note   string
	}{
		{nil, "Use another material there, or raise the target", "or raise the target"},
		{surface.Plane{}, "not bonded it takes more. Use another material there", "Use another material there: the target is set by the adjoining finished floor, and raising it lifts the new floor above the door by as much"},
	} {
		w := &Filled{Fill: surface.Fill{FillArea: 10}, Finish: c.finish}
		w.Thin.Area = 1
		sheet := w.ThinText().In(unit.Style{})
		if note := sheet + w.higherThanDoor(); !strings.HasSuffix(sheet, c.sheet) || !strings.HasSuffix(note, c.note) {
			t.Errorf("sheet %q, note %q", sheet, note)
		}
	}
}

package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// A column headed "shot" holds the numbers of the shots or the readings. Its cells and
// the other columns decide.
func TestShotIsANameOrAReading(t *testing.T) {
	for _, c := range []struct {
		name, text string
		order      string
		z          float64 // of the second point; rods are relative
	}{
		{"counts beside an elevation", "shot,x,y,z,code\n101,0,0,9.96,\n102,1,0,9.95,\n103,1,1,9.94,\n", "P E N Z code", 9.95},
		{"a number sign, and a gap", "Shot #,x,y,z\n1,0,0,9.96\n2,1,0,9.95\n3,1,1,9.94\n7,0,1,9.94\n", "P E N Z", 9.95},
		{"words beside an elevation", "Shot,x,y,z\nA,0,0,9.96\nB,1,0,9.95\n", "P E N Z", 9.95},
		{"any order beside an elevation", "shot,x,y,z\n12,0,0,9.96\n7,1,0,9.95\n9,1,1,9.94\n", "P E N Z", 9.95},
		{"counts beside readings", "shot,x,y,rod\n1,0,0,1.5\n2,1,0,1.52\n", "P E N rod", -1.52},
		{"counts beside foresights", "shot,x,y,FS\n1,0,0,1.5\n2,1,0,1.52\n", "P E N rod", -1.52},
		{"counts beside depths", "shot,x,y,depth\n1,0,0,0.05\n2,1,0,0.06\n", "P E N low", -0.06},
		{"decimals alone", "point,x,y,shot\n1,0,0,1.5\n2,1,0,1.52\n", "P E N rod", -1.52},
		{"feet and inches alone", "point,x,y,shot\n1,0,0,4'-4\"\n2,1,0,4'-5\"\n", "P E N rod", -53 * 0.0254},
		{"whole numbers that repeat", "x,y,shot (mm)\n0,0,1487\n1,0,1488\n1,1,1489\n", "E N rod", -1.488},
		{"a unit in the head beside an elevation would be computed from it", "point,x,y,shot (mm)\n1,0,0,1487\n2,1,0,1480\n", "P E N rod", -1.48},
	} {
		s, err := read(t, c.text, survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if s.Order != c.order || len(s.Points) < 2 || !check.Nearly(s.Points[1].Z, c.z) {
			t.Errorf("%s: order %q, points %+v", c.name, s.Order, s.Points)
		}
	}
	// Whole numbers alone: numbers that count up are never read as heights.
	for _, text := range []string{"shot,x,y\n1,0,0\n2,1,0\n3,1,1\n", "shot,x,y\n101,0,0\n102,1,0\n103,1,1\n"} {
		if s, err := read(t, text, survey.Options{Unit: unit.Millimetre}); err == nil || !strings.Contains(err.Error(), "want a column of elevations or rod readings") {
			t.Errorf("%q: %+v, %v", text, s, err)
		}
	}
	s, err := read(t, "shot,x,y\n1487,0,0\n1480,1,0\n1480,1,1\n", survey.Options{Unit: unit.Millimetre})
	if err != nil || s.Order != "rod E N" {
		t.Errorf("readings in mm: %+v, %v", s, err)
	}
}

package report

import (
	"bytes"
	"strings"
	"testing"
	"testing/fstest"
)

// What a crew sets out of a floor of 6 by 4 m at −100 mm that falls 1 % to a drain in its middle, by hand:
// √13 m to each corner is 36.06 mm, so the drain is at 113.94 mm below walls at 150 mm.
func TestFallsAreSetOut(t *testing.T) {
	h := handed(t, "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"150mm\"\nfall = \"1%\"\n[[target.drains]]\nname = \"Gully\"\nat = \"3m,2m\"\n", floorIn("m", 6, 4, 1, levelAt(-0.1)))
	var page bytes.Buffer
	for _, table := range h.fallSection().Tables {
		page.WriteString(strings.Join(strings.Fields(plainNotes(table)), " ") + "\n")
	}
	saidIn(t, page.String(), "Gully 3.000 m from west wall, 2.000 m from south wall 0.113 m 24.00 m² 3.606 m 1.00 %",
		"the corner of west wall and south wall 0.150 m 250 mm", "the corner of east wall and north wall 0.150 m 250 mm", "not Creases")
	// Two drains, half way between which the floor is a ridge: √(1.5² + 2²) = 2.5 m from each.
	h = handed(t, "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"150mm\"\nfall = \"1%\"\ndrains = [\"1.5m,2m\", \"4.5m,2m\"]\n", floorIn("m", 6, 4, 1, levelAt(-0.1)))
	page.Reset()
	for _, table := range h.fallSection().Tables {
		page.WriteString(strings.Join(strings.Fields(plainNotes(table)), " ") + "\n")
	}
	saidIn(t, page.String(), "drain 1 1.500 m from west wall, 2.000 m from south wall 0.125 m 12.00 m² 2.500 m 1.00 %", "3.000 m from west wall, at south wall 0.150 m 250 mm",
		"3.000 m from west wall, at south wall 0.150 m 3.000 m from west wall, at north wall 0.150 m 4.000 m")
	up, err := h.Raised(0.01)
	if err != nil {
		t.Fatal(err)
	}
	if text := plainNotes(drainServes(up.Filled, h.Style)); !strings.Contains(text, "0.135 m") {
		t.Errorf("raised by 10 mm:\n%s", text)
	}
	// A level target has no section.
	h = handed(t, "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"150mm\"\n", floorIn("m", 6, 4, 1, levelAt(-0.1)))
	if s := h.fallSection(); s.Title != "" {
		t.Errorf("a level target has %q", s.Title)
	}
}

// What is said of a survey is that of its shots: 5 of them on 6 by 4 m are in 4 triangles and 4 m
// apart, whatever the target is.
func TestSurveyIsThatOfItsShots(t *testing.T) {
	files := floorIn("m", 6, 4, 1, levelAt(-0.1))
	files["floor.csv"] = &fstest.MapFile{Data: []byte("point,x (m),y (m),z (m)\n1,0,0,-0.1\n2,6,0,-0.1\n3,6,4,-0.1\n4,0,4,-0.1\n5,3,2,-0.1\n")}
	for _, fall := range []string{"", "drains = [\"2m,1m\"]\n", "drains = [\"2m,1m\"]\nchannels = [\"4m,1m,4m,3m\"]\n", "drains = [\"2m,1m\"]\nwalls = \"level\"\n"} {
		if fall != "" {
			fall = "fall = \"1%\"\n" + fall
		}
		h := handed(t, "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"150mm\"\n"+fall, files)
		if got, want := h.spacings(), "4.000 m apart on 95 % of the floor"; got != want {
			t.Errorf("%s: %s, want %s", fall, got, want)
		}
		if got, want := numbersOf(t, h).TIN, (tinJSON{5, 4}); got != want {
			t.Errorf("%s: %+v, want %+v", fall, got, want)
		}
		if s := h.Old.Surfaces(); len(s) != 1 || len(s[0].Faces) != 4 {
			t.Errorf("%s: surfaces of the floor %+v", fall, s)
		}
	}
}

package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Distances from the west and the south wall are x and y, whichever comes first, with a note.
// From the other two walls they grow the other way, and from walls without a compass it is not
// known how: both are refused with what to write.
func TestDistancesFromWalls(t *testing.T) {
	read := func(heads string) (*survey.Survey, error) {
		return readText([]byte("name,"+heads+",z\n1,0,0,9.9\n2,4,0,9.9\n3,4,3,9.9\n"), "a.csv", survey.Options{Unit: unit.Metre}, false)
	}
	for _, c := range []struct {
		heads string
		x, y  float64 // of shot 2
	}{{"from west,from south", 4, 0}, {"from the west wall,from the south wall", 4, 0}, {"Dist. from W (m),Dist. from S (m)", 4, 0}, {"from south,from west", 0, 4}} {
		s, err := read(c.heads)
		if err != nil || s.Points[1].X != c.x || s.Points[1].Y != c.y {
			t.Errorf("%s: %v, %v; want %g, %g", c.heads, s, err, c.x, c.y)
			continue
		}
		noted := false
		for _, n := range s.Notes {
			noted = noted || n.Kind == survey.Assumed && strings.Contains(n.In(unit.Style{}), "distances from walls read: ")
		}
		if !noted {
			t.Errorf("%s: no note", c.heads)
		}
	}
	for _, c := range []struct{ heads, want, hint string }{
		{"from east,from south", `a.csv:1: column 2 "from east": found distances from the east wall`, "head the column x and write the width of the room less each distance"},
		{"from west,from north wall", `column 3 "from north wall": found distances from the north wall`, "head the column y"},
		{"from left,from back wall", "want plan columns, headed such as x and y", "head those from the left (west) wall x and those from the near (south) wall y"},
	} {
		_, err := read(c.heads)
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(strings.Join(survey.Hints(err), "\n"), c.hint) {
			t.Errorf("%s: %v %v\nwant %s\nhint: %s", c.heads, err, survey.Hints(err), c.want, c.hint)
		}
	}
}

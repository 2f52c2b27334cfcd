package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// TestSpacingIsAskedInUnitOfSheet: the proposed spacing is the one in the text of the
// sheet, or in its unit, and never in metres for a sheet in feet.
func TestSpacingIsAskedInUnitOfSheet(t *testing.T) {
	const cells = ",1,2,3\nA,4.50,4.51,4.52\nB,4.51,4.52,4.53\nC,4.52,4.53,4.50\n"
	const names = "name,rod (ft)\nA1,4.50\nA2,4.51\nB1,4.52\nB2,4.50\n"
	for _, c := range []struct {
		text string
		unit unit.Length
		want string
	}{
		{cells, unit.Metre, "--grid-spacing 3m, or --grid-spacing LETTERS,NUMBERS where the two differ"},
		{cells, unit.Foot, "--grid-spacing 10ft, or"},
		{cells, unit.SurveyFoot, "--grid-spacing 10ft, or"},
		{"\"Hall, grid 3 ft, rod in feet\"\n" + cells, unit.None, "--grid-spacing 3ft, or"},
		{"Lines are 3.5 feet apart in a hall of 40 ft\n" + cells, unit.Foot, "--grid-spacing 3.5ft, or"},
		{"# 500 mm centres\n" + cells, unit.Metre, "--grid-spacing 500mm, or"},
		{"Hall 12 m by 8 m\n" + cells, unit.Foot, "--grid-spacing 10ft, or"},
		{"grid 3 ft" + cells, unit.Foot, "--grid-spacing 3ft, or"},
		{names, unit.None, "where names are those of a grid (A1, B7): --grid-spacing 10ft --grid-numbers"},
		{"# shots every 4 ft\n" + names, unit.None, "(A1, B7): --grid-spacing 4ft --grid-numbers"},
		{strings.Replace(names, "ft", "m", 1), unit.None, "(A1, B7): --grid-spacing 3m --grid-numbers"},
	} {
		_, err := read(t, c.text, survey.Options{Unit: c.unit, Grid: survey.Grid{Values: survey.Rod, HasValues: true}})
		if e, ok := err.(*survey.Error); !ok || !strings.Contains(e.Hint, c.want) {
			t.Errorf("%q in %s: %#v, want a hint of %q", c.text, c.unit, err, c.want)
		}
	}
}

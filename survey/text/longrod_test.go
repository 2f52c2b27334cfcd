package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// Rod readings in millimetres beside x and y in metres are refused from 30 m on.
func TestReadingsBeyondAnyRod(t *testing.T) {
	m := survey.Options{Unit: unit.Metre}
	for _, c := range []struct{ text, want, hint string }{
		{"x;y;rod\n0;0;1450\n5;0;1452\n5;4;1455\n0;4;1449\n", `f.csv:1: column 3 "rod": found readings such as 1452 m, want rod readings of 30 m or less`, "rod (mm), rod (cm) or rod (in)"},
		{"x,y,dip\n0,0,45\n5,0,48\n5,4,52\n0,4,40\n", `column 3 "dip": found readings such as 48 m`, "dip (mm), dip (cm) or dip (in)"},
		{"x,y,rod (m)\n0,0,1450\n5,0,1452\n5,4,1455\n", `column 3 "rod (m)": found readings such as 1452 m`, "the unit in the head of that column is wrong"},
		{"x,y,rod\n0,0,30.1\n5,0,30.1\n5,4,30.1\n", "found readings such as 30.1 m", "rod (mm)"},
		{"x,y,rod\n0,0,29.9\n5,0,29.9\n5,4,29.9\n", "", ""},
		{"x,y,rod (mm)\n0,0,1450\n5,0,1452\n5,4,1455\n", "", ""},
	} {
		_, err := read(t, c.text, m)
		if c.want == "" {
			if err != nil {
				t.Error(err)
			}
			continue
		}
		check.Errors(t, err, []string{c.want})
		if h := survey.Hints(err); len(h) != 1 || !strings.Contains(h[0], c.hint) {
			t.Errorf("%q: hints %q", c.text, h)
		}
	}
}

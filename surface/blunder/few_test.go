package blunder

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// A corridor with one rod misread by 100 mm among six shots: the shot is named. By hand, its
// height over the line of the five others, which rises evenly.
func TestLoneShotOfAFew(t *testing.T) {
	for _, c := range []struct {
		why   string
		shots int
		off   float64 // of the third shot
		wave  float64 // of every other shot, up and down
		want  bool
	}{
		{"misread", 6, -0.100, 0, true},
		{"misread, up", 6, 0.051, 0, true},
		{"a small hump", 6, 0.049, 0, false},
		{"the floor is as rough", 6, 0.060, 0.02, false},
		{"a little rough", 8, 0.100, 0.005, true},
		{"five shots", 5, 0.100, 0, true},
		{"four shots", 4, 0.100, 0, false},
	} {
		var s survey.Survey
		var d surface.Data
		for i := range c.shots {
			p := survey.Point{X: 3 * float64(i), Y: 1.5 * float64(i*i%3), Z: 10 + 0.002*float64(i) + c.wave*math.Pow(-1, float64(i/2))}.With(survey.Tag{Name: fmt.Sprint("P", i+1), At: survey.Pos{File: "f.csv", Line: i + 2}})
			if i == 2 {
				p.Z += c.off
			}
			s.Points = append(s.Points, p)
			d.Shots = append(d.Shots, p)
		}
		f, err := surface.NewFloor(d)
		if err != nil {
			t.Fatal(err)
		}
		_, notes := Find(&s, f)
		var text string
		for _, n := range notes {
			if n.Kind == survey.Warning {
				text += n.Pos.String() + ": " + n.Text.In(unit.Style{})
			}
		}
		if (text != "") != c.want {
			t.Errorf("%s: warned %q, want %t of %v", c.why, text, c.want, notes)
		}
		if want := "f.csv:4: P3 is 100 mm from the plane of the other 5 shots, which are within 0 mm of it"; c.why == "misread" && !strings.HasPrefix(text, want) {
			t.Errorf("%s: %s, want %s", c.why, text, want)
		}
	}
}

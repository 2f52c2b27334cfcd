package blunder

import (
	"fmt"
	"math"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
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
		found, notes := Find(&s, f)
		if (len(found) > 0) != c.want || len(found) > 1 {
			t.Errorf("%s: found %+v, want %t; notes %v", c.why, found, c.want, notes)
		}
		if c.why != "misread" || len(found) == 0 {
			continue
		}
		// In millimetres, so that nothing depends on the last bits.
		mm := func(m float64) float64 { return math.Round(1000*m*1e6) / 1e6 }
		got := found[0]
		if got.Shot.Name() != "P3" || got.Kind != Lone || mm(got.Off) != -100 || mm(got.Fits) != 10004 || mm(got.Within) != 0 || got.Others != 5 || got.WouldFit != "10.004" || got.Found != "9.904" || got.VolumeChange >= 0 {
			t.Errorf("%s: %+v, by hand P3 100 mm low, 10.004 m would fit, less to fill", c.why, got)
		}
	}
}

package text

import (
	"fmt"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// A grid of 7 by 6 m with one coordinate written without its decimal point. Areas by
// hand: 42 m², and with a corner at (45, 3) m 42 + 6·38/2 = 156 m².
func TestLostDecimalPointOfAPlace(t *testing.T) {
	grid := func(x, y string, i, j int, dx float64) *survey.Survey {
		var b strings.Builder
		b.WriteString("P,E,N,Z\n")
		n := 0
		for r := range 13 {
			for c := range 15 {
				n++
				e, no := fmt.Sprint(dx+float64(c)/2), fmt.Sprint(float64(r)/2)
				if c == i && r == j {
					e, no = x, y
				}
				fmt.Fprintf(&b, "%d,%s,%s,9.9\n", n, e, no)
			}
		}
		s, err := read(t, b.String(), survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	for _, c := range []struct {
		name, x, y string
		i, j       int
		dx         float64
		want       string
	}{
		{"x", "45", "3", 9, 6, 0, "f.csv:101: 100: x is 45.000 m, far from all other shots; 4.500 m would fit: a lost decimal point? Without this shot the floor is 42.00 m², with it 156.00 m²"},
		{"y", "4.5", "30", 9, 6, 0, "y is 30.000 m, far from all other shots; 3.000 m would fit"},
		{"on a site grid", "24045", "3", 9, 6, 2400, "x is 24045.000 m, far from all other shots; 2404.500 m would fit"},
		{"a hundred times", "450", "3", 9, 6, 0, "4.500 m would fit"},
		{"none", "4.5", "3", 9, 6, 0, ""},
		{"an alcove", "13", "3", 9, 6, 0, ""}, // not farther out than the length of the floor
		{"far, and no power of ten off", "95", "3", 9, 6, 20, ""},
	} {
		notes := grid(c.x, c.y, c.i, c.j, c.dx).LostPoints()
		switch {
		case c.want == "" && len(notes) > 0:
			t.Errorf("%s: %v", c.name, notes)
		case c.want != "" && (len(notes) != 1 || !strings.Contains(notes[0].String(), c.want) || notes[0].Topic != survey.AboutOrder):
			t.Errorf("%s: %v, want %q", c.name, notes, c.want)
		}
	}
}

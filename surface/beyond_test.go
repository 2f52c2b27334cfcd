package surface

import (
	"math"
	"strings"
	"testing"

	"pourplane/survey"
)

// TestShotsBeyondWalls: a room of 6 by 4 m. Shots outside are counted by hand. The room with
// x and y exchanged contains all shots only in the case made for that.
func TestShotsBeyondWalls(t *testing.T) {
	ring := func(name string, kind survey.RingKind, x0, y0, x1, y1 float64) survey.Ring {
		r := survey.Ring{Name: name, Kind: kind}
		for _, c := range [][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}} {
			r.Points = append(r.Points, survey.Point{X: c[0], Y: c[1], Z: math.NaN()})
		}
		return r
	}
	grid := func(n int, x, y, step float64) (out []survey.Point) {
		for i := range n {
			out = append(out, survey.Point{X: x + float64(i%5)*step, Y: y + float64(i/5)*step, Z: 10})
		}
		return out
	}
	in := func(n int) []survey.Point { return grid(n, 0.5, 0.5, 0.3) }
	const exchanged = "check the outline, or whether its x and y are exchanged"
	room := []survey.Ring{ring("room", survey.Outer, 0, 0, 6, 4)}
	for _, c := range []struct {
		name  string
		shots []survey.Point
		rings []survey.Ring
		want  string
	}{
		{"two", append(in(10), grid(2, 8, 1, 0.5)...), room, ""},
		{"three of 13", append(in(10), grid(3, 8, 1, 0.5)...), room, "3 of 13 shots are outside the walls: check the outline"},
		{"three of 31", append(in(28), grid(3, 8, 1, 0.5)...), room, ""},
		{"three of 30", append(in(27), grid(3, 8, 1, 0.5)...), room, "3 of 30 shots are outside the walls: check the outline"},
		{"three of 29", append(in(26), grid(3, 8, 1, 0.5)...), room, "3 of 29 shots are outside the walls: check the outline"},
		{"to the north", append(in(10), grid(3, 0.5, 5.5, 0.2)...), room, "3 of 13 shots are outside the walls: " + exchanged},
		{"at the wall once exchanged", append(in(10), grid(3, 0.5, 6.004, 0.2)...), room, "3 of 13 shots are outside the walls: " + exchanged},
		{"north, and beyond once exchanged", append(in(10), grid(3, 0.5, 6.5, 0.2)...), room, "3 of 13 shots are outside the walls: check the outline"},
		{"north, others east", append(append(in(10), grid(3, 0.5, 5.5, 0.2)...), survey.Point{X: 5.5, Y: 1, Z: 10}), room, "3 of 14 shots are outside the walls: check the outline"},
		{"in an opening", append(in(10), grid(3, 4.1, 1.1, 0.2)...), append([]survey.Ring{ring("shaft", survey.Hole, 4, 1, 5, 2)}, room...), ""},
		{"hull", append(in(10), grid(3, 8, 1, 0.5)...), nil, ""},
	} {
		f, err := NewFloor(Data{Shots: c.shots, Rings: c.rings})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		got := ""
		for _, n := range f.Notes {
			if n.Kind == survey.Warning && strings.Contains(n.Text.String(), "outside the walls") {
				got += n.Text.String()
				if n.Topic != survey.AboutOrder {
					t.Errorf("%s: about %q, want the order", c.name, n.Topic)
				}
			}
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

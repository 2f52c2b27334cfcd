package falls

import (
	"math"
	"math/rand/v2"
	"testing"
)

var none = math.NaN()

func TestEvenFallFollowsShortestWays(t *testing.T) {
	room := rect(0, 0, 6, 4)
	ell := []vec{{X: 0, Y: 0}, {X: 8, Y: 0}, {X: 8, Y: 3}, {X: 3, Y: 3}, {X: 3, Y: 7}, {X: 0, Y: 7}}
	column := rect(2.6, 1.6, 3.4, 2.4)
	round := func(x, y, r float64, n int) []vec {
		var out []vec
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			out = append(out, vec{X: x + r*cos, Y: y + r*sin})
		}
		return out
	}
	point := func(x, y, z float64) Drain { return Drain{At: vec{X: x, Y: y}, Z: z} }
	line := func(x, y, u, v, z float64) Drain {
		return Drain{At: vec{X: x, Y: y}, Channel: true, To: vec{X: u, Y: v}, Z: z}
	}
	for _, c := range []struct {
		name   string
		rings  [][]vec
		drains []Drain
	}{
		{"one drain", [][]vec{room}, []Drain{point(2, 1, 0)}},
		{"in the middle", [][]vec{room}, []Drain{point(3, 2, 0)}},
		{"in a corner", [][]vec{room}, []Drain{point(0, 0, 0)}},
		{"at a wall", [][]vec{room}, []Drain{point(2, 0, 0)}},
		{"in a wall", [][]vec{room}, []Drain{point(2, -0.2, 0)}},
		{"two drains", [][]vec{room}, []Drain{point(1.5, 2, 0), point(4.5, 2, 0)}},
		{"two levels", [][]vec{room}, []Drain{point(1.5, 2, 0), point(4.5, 2.5, 0.03)}},
		{"four drains", [][]vec{room}, []Drain{point(1.5, 1, 0), point(4.5, 1, 0), point(1.5, 3, 0), point(4.5, 3, 0)}},
		{"a channel", [][]vec{room}, []Drain{line(3, 0, 3, 4, 0)}},
		{"a short channel", [][]vec{room}, []Drain{line(2, 1, 4, 2, 0)}},
		{"a channel at a wall", [][]vec{room}, []Drain{line(1, 0, 5, 0, 0)}},
		{"a channel along a wall", [][]vec{room}, []Drain{line(0, 0, 6, 0, 0)}},
		{"a channel and a drain", [][]vec{room}, []Drain{line(1, 1, 1, 3, 0), point(4, 1.5, 0.01)}},
		{"two channels", [][]vec{room}, []Drain{line(1, 1, 1, 3, 0), line(3, 1, 5, 2, 0)}},
		{"an L", [][]vec{ell}, []Drain{point(6, 1, 0)}},
		{"an L, drain at its inner corner", [][]vec{ell}, []Drain{point(3, 3, 0)}},
		{"an L, in line with its wall", [][]vec{ell}, []Drain{point(6, 3, 0)}},
		{"an L, two drains", [][]vec{ell}, []Drain{point(6, 1, 0), point(1, 6, 0.02)}},
		{"an L, a channel", [][]vec{ell}, []Drain{line(5, 1, 7, 2, 0)}},
		{"a column", [][]vec{room, column}, []Drain{point(1, 1, 0)}},
		{"a column in the middle of the way", [][]vec{room, column}, []Drain{point(1, 2, 0)}},
		{"a column and a channel", [][]vec{room, column}, []Drain{line(0, 1, 6, 1, 0)}},
		{"a round column", [][]vec{room, round(3, 2, 0.5, 16)}, []Drain{point(1, 2, 0)}},
		{"a round column, four drains", [][]vec{room, round(3, 2, 0.5, 16)}, []Drain{point(1, 1, 0), point(5, 1, 0), point(1, 3, 0), point(5, 3, 0)}},
		{"an L, a channel to its inner corner", [][]vec{ell}, []Drain{line(5, 1, 3, 3, 0)}},
		{"an L, a channel to its inner corner and one beyond", [][]vec{ell}, []Drain{line(3, 3, 2, 2, 0.05), line(6, 1, 7, 1, 0)}},
		{"a channel to a corner, in sight of another", [][]vec{{{X: 3.5, Y: 6.5}, {X: 1.5, Y: 3.5}, {X: 4.5, Y: 2}, {X: 6.5, Y: 3.5}, {X: 10, Y: 3}, {X: 11.5, Y: 6}, {X: 8, Y: 8}}}, []Drain{line(8, 7, 9, 5, 0.0022), line(7, 6.5, 6.5, 3.5, 0)}},
		{"a column over a channel", [][]vec{room, {{X: 3, Y: 1}, {X: 4.5, Y: 1.5}, {X: 4, Y: 2}}}, []Drain{line(1, 1, 5, 1, 0)}},
		{"a column over a channel, the other way", [][]vec{room, {{X: 3, Y: 1}, {X: 2, Y: 2}, {X: 1.5, Y: 1.5}}}, []Drain{line(5, 1, 1, 1, 0)}},
		{"a column below a channel", [][]vec{room, {{X: 3, Y: 3}, {X: 4, Y: 2}, {X: 4.5, Y: 2.5}}}, []Drain{line(1, 3, 5, 3, 0)}},
		{"a column over the end of a channel", [][]vec{room, {{X: 3, Y: 1}, {X: 4.5, Y: 1.5}, {X: 4, Y: 2}}}, []Drain{line(3, 1, 5, 1, 0)}},
		{"a column on a channel", [][]vec{room, {{X: 3, Y: 1}, {X: 4, Y: 1}, {X: 5, Y: 2}}}, []Drain{line(1, 1, 5, 1, 0)}},
		{"a column on the end of a channel", [][]vec{room, {{X: 3, Y: 1}, {X: 4, Y: 1}, {X: 5, Y: 2}}}, []Drain{line(1, 1, 3.5, 1, 0)}},
		{"a column on its corner", [][]vec{room, {{X: 3, Y: 1.5}, {X: 3.5, Y: 2}, {X: 3, Y: 2.5}, {X: 2.5, Y: 2}}}, []Drain{point(1, 2, 0)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := Ask{Floor: floorOf(t, c.rings...), Drains: c.drains, Fall: 0.02, Top: none}
			b := mustBuild(t, a)
			checkEven(t, a, b, 4000, rand.New(rand.NewPCG(1, 2)))
		})
	}
}

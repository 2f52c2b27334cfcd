package surface

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pourplane/survey"
)

// circleOf returns a ring of n corners without elevation, at a radius of 10 m. Every second
// one is at inner times that.
func circleOf(n int, inner float64) survey.Ring {
	r := survey.Ring{Name: "hall"}
	for i := range n {
		a, radius := 2*math.Pi*float64(i)/float64(n), 10.0
		if i%2 == 1 {
			radius *= inner
		}
		r.Points = append(r.Points, survey.Point{X: math.Round(1e6*radius*math.Cos(a)) / 1e6, Y: math.Round(1e6*radius*math.Sin(a)) / 1e6, Z: math.NaN()})
	}
	return r
}

// crossing returns a square of 20 m and n lines across it, half of them each way, with
// elevations or as steps.
func crossing(n int, z float64) Data {
	d := Data{Rings: []survey.Ring{ringOf("hall", survey.Outer, -10, -10, 10, -10, 10, 10, -10, 10)}}
	for i := range n {
		u, v := -9.9+19.8*(float64(i/2)+0.3)/float64(n/2), 0.1*math.Sin(float64(i))
		p := []survey.Point{{X: u, Y: -11, Z: z}, {X: u + v, Y: 11, Z: z}}
		if i%2 == 1 {
			p = []survey.Point{{X: -11, Y: u, Z: z}, {X: 11, Y: u + v, Z: z}}
		}
		d.Lines = append(d.Lines, survey.Breakline{Name: fmt.Sprint(i), Points: p})
	}
	return d
}

// What drives the cost of an outline: corners without and with elevation, round a circle and
// a star, and lines that cross each other (n lines make n²/4 crossings).
func BenchmarkOutline(b *testing.B) {
	shots := shotsOn(-6, -6, 6, 6, 0.5, func(x, y float64) float64 { return 0.01 * math.Sin(x) * math.Cos(y) })
	type shape struct {
		name string
		data Data
	}
	var all []shape
	for _, n := range []int{312, 625, 1250, 2500, 5000, 20000, 50000} {
		all = append(all, shape{fmt.Sprintf("circle/corners=%d", n), Data{Shots: shots, Rings: []survey.Ring{circleOf(n, 1)}}},
			shape{fmt.Sprintf("star/corners=%d", n), Data{Shots: shots, Rings: []survey.Ring{circleOf(n, 0.5)}}})
	}
	for _, n := range []int{12, 5000} {
		level := func(_, _ float64) float64 { return 0 }
		all = append(all, shape{fmt.Sprintf("measured circle/corners=%d", n), Data{Shots: shots, Rings: []survey.Ring{measured(circleOf(n, 1), level)}}},
			shape{fmt.Sprintf("measured star/corners=%d", n), Data{Shots: shots, Rings: []survey.Ring{measured(circleOf(n, 0.5), level)}}})
	}
	for _, n := range []int{60, 125, 250, 500, 1000} {
		creases, steps := crossing(n, 0), crossing(n, math.NaN())
		creases.Shots, steps.Shots = shots, shots
		all = append(all, shape{fmt.Sprintf("creases/lines=%d", n), creases}, shape{fmt.Sprintf("steps/lines=%d", n), steps})
	}
	for _, c := range all {
		if testing.Short() && len(c.data.Rings[0].Points) > 5000 {
			continue
		}
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := NewFloor(c.data); err != nil && !strings.Contains(err.Error(), "no shot inside it") {
					b.Fatal(err)
				}
			}
		})
	}
}

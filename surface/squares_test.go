package surface

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"pourplane/survey"
)

// manyShots returns a hall with an opening, a step, a crease and a second outline that shares
// a wall with it, and n shots on a grid of 10 mm: some are on lines, outside, or at one place.
func manyShots(n int, seed uint64) Data {
	rng := rand.New(rand.NewPCG(seed, 5))
	d := Data{
		Rings: []survey.Ring{
			ringOf("hall", survey.Outer, 0, 0, 6, 0, 6, 4, 3, 4.5, 0, 4),
			ringOf("shaft", survey.Hole, 1, 1, 2, 1.2, 1.8, 2, 1, 2),
			ringOf("annex", survey.Outer, 6, 0, 8, 0, 8, 4, 6, 4),
		},
		Lines: []survey.Breakline{
			{Name: "step", Points: []survey.Point{{X: 4, Y: -1, Z: math.NaN()}, {X: 4.2, Y: 5, Z: math.NaN()}}},
			{Name: "gutter", Points: []survey.Point{{X: 0.5, Y: 3, Z: -0.02}, {X: 3.5, Y: 3.1, Z: -0.02}}},
		},
		Duplicates: Mean,
	}
	for i := range n {
		x, y := math.Round(100*(-0.1+8.2*rng.Float64()))/100, math.Round(100*(-0.1+4.4*rng.Float64()))/100
		d.Shots = append(d.Shots, survey.Point{X: x, Y: y, Z: 0.01 * math.Sin(x+y) * rng.Float64()}.With(survey.Tag{At: survey.Pos{File: "s.csv", Line: i + 2}}))
	}
	return d
}

// A shot with a part that no outline has changes nothing, but then all shots are placed and
// looked up one by one.
func TestShotsPlacedBySquareAndOneByOneMakeOneFloor(t *testing.T) {
	for seed := range uint64(3) {
		for _, n := range []int{fewToPlace, 20 * fewToPlace} {
			for _, walls := range []bool{true, false} {
				d := manyShots(n, seed)
				if !walls {
					d.Rings, d.Lines = nil, nil
				}
				if seed%2 == 1 { // no two at one place
					for i := range d.Shots {
						d.Shots[i].X += 1e-6 * float64(i%9973)
						d.Shots[i].Y += 1e-6 * float64(i%7919)
					}
				}
				fast, err := NewFloor(d)
				if err != nil {
					t.Fatal(err)
				}
				d.Shots = append([]survey.Point(nil), d.Shots...)
				elsewhere := d.Shots[0].Tag()
				elsewhere.Part = "elsewhere"
				d.Shots[0] = d.Shots[0].With(elsewhere)
				slow, err := NewFloor(d)
				if err != nil {
					t.Fatal(err)
				}
				fast.Data, slow.Data = Data{}, Data{}
				for i := range slow.Regions {
					for j := range slow.Regions[i].Shots {
						p := &slow.Regions[i].Shots[j]
						tag := p.Tag()
						tag.Part = ""
						*p = p.With(tag)
					}
				}
				if !reflect.DeepEqual(fmt.Sprint(fast.Notes), fmt.Sprint(slow.Notes)) {
					t.Errorf("seed %d, %d shots: notes differ", seed, n)
				}
				fast.Notes, slow.Notes = nil, nil
				if !reflect.DeepEqual(fast, slow) {
					t.Errorf("seed %d, %d shots, walls %t: floors differ", seed, n, walls)
				}
			}
		}
	}
}

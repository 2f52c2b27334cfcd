package blunder

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// square makes a floor of n by n shots in metres with one rod reading wrong by a metre.
func square(b *testing.B, n int) (*survey.Survey, *surface.Floor) {
	rng := rand.New(rand.NewPCG(1, 2))
	s := &survey.Survey{Unit: unit.Metre}
	for j := range n {
		for i := range n {
			x, y := float64(i)*0.5, float64(j)*0.5
			z := 10 + 0.004*math.Sin(x)*math.Cos(y/2) + 0.0015*rng.NormFloat64()
			if i == n/2 && j == n/3 {
				z++
			}
			text := metric.write(12 - z)
			rod, err := unit.Parse(text, unit.Metre)
			if err != nil {
				b.Fatal(err)
			}
			at := survey.Pos{File: "floor.csv", Line: len(s.Points) + 1}
			s.Points = append(s.Points, survey.Point{X: x, Y: y, Z: 12 - rod}.With(survey.Tag{At: at}))
			s.Readings = append(s.Readings, survey.Reading{Text: text, Value: rod, Measure: survey.Rod, Unit: unit.Metre, At: at})
		}
	}
	f, err := surface.NewFloor(surface.Data{Shots: s.Points})
	if err != nil {
		b.Fatal(err)
	}
	return s, f
}

// BenchmarkStrays checks a survey in which one shot in ten is wrong by up to 0.5 m.
func BenchmarkStrays(b *testing.B) {
	for _, n := range []int{100, 316} {
		b.Run(fmt.Sprintf("points=%d", n*n), func(b *testing.B) {
			if n > 100 && testing.Short() {
				b.Skip("a large floor")
			}
			s, f := square(b, n)
			rng := rand.New(rand.NewPCG(3, 4))
			for i := range f.Data.Shots {
				if rng.IntN(10) == 0 {
					f.Data.Shots[i].Z += rng.Float64() - 0.5
				}
			}
			f, err := surface.NewFloor(surface.Data{Shots: f.Data.Shots})
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if found, _ := Find(s, f); len(found) != mostFound {
					b.Fatalf("%d found", len(found))
				}
			}
		})
	}
}

func BenchmarkFind(b *testing.B) {
	for _, n := range []int{9, 20, 45, 100, 316} {
		b.Run(fmt.Sprintf("points=%d", n*n), func(b *testing.B) {
			s, f := square(b, n)
			b.ReportAllocs()
			for b.Loop() {
				if found, _ := Find(s, f); len(found) != 1 || found[0].Kind != OneMetre {
					b.Fatalf("%+v", found)
				}
			}
		})
	}
}

//go:build unix

package main

import (
	"math"
	"math/rand/v2"
	"runtime"

	"pourplane/surface"
	"pourplane/surface/internal/delaunay"
	"pourplane/survey"
)

// growth reports how the time to triangulate, and to make a floor, grows with the number of random
// points: the best CPU seconds of t.rounds on one processor, and the exponent by least squares of
// the logarithms. All numbers take turns in each round, so that what else the machine does falls
// on all of them.
func (t *task) growth() error {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	n := len(t.numbers)
	tri, floor := make([]float64, n), make([]float64, n)
	best := func(at *float64, do func() error) error {
		runtime.GC()
		from := now().cpu
		err := do()
		if took := now().cpu - from; *at == 0 || took < *at {
			*at = took
		}
		return err
	}
	for range t.rounds {
		for i, points := range t.numbers {
			d := surface.Data{Shots: make([]survey.Point, int(points))}
			x, y := make([]float64, len(d.Shots)), make([]float64, len(d.Shots))
			rng := rand.New(rand.NewPCG(1, uint64(points)))
			for k := range d.Shots {
				x[k], y[k] = math.Round(40e9*rng.Float64()), math.Round(25e9*rng.Float64()) // nm
				d.Shots[k].X, d.Shots[k].Y, d.Shots[k].Z = x[k]/1e9, y[k]/1e9, 0.01*rng.Float64()
			}
			if err := best(&tri[i], func() error { _, err := delaunay.Triangulate(x, y); return err }); err != nil {
				return err
			}
			if err := best(&floor[i], func() error { _, err := surface.NewFloor(d); return err }); err != nil {
				return err
			}
		}
	}
	t.found["points"], t.found["tri_cpu_s"], t.found["floor_cpu_s"] = t.numbers, tri, floor
	t.found["tri_exponent"], t.found["floor_exponent"] = exponent(t.numbers, tri), exponent(t.numbers, floor)
	return nil
}

// exponent returns e of the curve y = c·x^e nearest to the points, by least squares of the
// logarithms.
func exponent(x, y []float64) float64 {
	mx, my := 0.0, 0.0
	for i := range x {
		mx, my = mx+math.Log(x[i])/float64(len(x)), my+math.Log(y[i])/float64(len(x))
	}
	xy, xx := 0.0, 0.0
	for i := range x {
		dx := math.Log(x[i]) - mx
		xy, xx = xy+dx*(math.Log(y[i])-my), xx+dx*dx
	}
	return xy / xx
}

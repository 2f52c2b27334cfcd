package main

import (
	"math"
	"math/rand/v2"

	"pourplane/surface"
)

// reader is how the floor is read: standard deviations, m.
type reader struct {
	reading float64 // of a reading
	step    float64 // readings are rounded to whole steps, m
	setup   float64 // common to all: benchmark, bubble
	tilt    float64 // of the instrument, m per m
	plan    float64 // of a place, in each direction
}

var (
	byRod     = reader{reading: 0.001, step: 0.0254 / 16, setup: 0.001, tilt: 2.5e-5, plan: 0.025}
	byScanner = reader{reading: 0.001, setup: 0.001, tilt: 1e-5, plan: 0.003}
)

// read returns the elevation read at a place where the rod is meant to be.
func (r reader) read(rng *rand.Rand, f floor, off func(x, y float64) float64, x, y float64) float64 {
	z := f.z(x+r.plan*rng.NormFloat64(), y+r.plan*rng.NormFloat64())
	z += f.rough*rng.NormFloat64() + r.reading*rng.NormFloat64() + off(x, y)
	if r.step > 0 {
		z = r.step * math.Round(z/r.step)
	}
	return z
}

// setUp returns the error of one set-up everywhere: the instrument is somewhere in the room, a
// little out of level.
func (r reader) setUp(rng *rand.Rand, in room) func(x, y float64) float64 {
	e := r.setup * rng.NormFloat64()
	tx, ty := r.tilt*rng.NormFloat64(), r.tilt*rng.NormFloat64()
	x0, y0 := in.w*rng.Float64(), in.h*rng.Float64()
	return func(x, y float64) float64 { return e + tx*(x-x0) + ty*(y-y0) }
}

// grid returns the places of a survey about spacing apart: rows along the walls, 0.1 m off, and
// between them; without walls half a spacing off. Each is up to shake off its place.
func grid(rng *rand.Rand, in room, spacing float64, walls bool, shake float64) []surface.Vec {
	line := func(length float64) []float64 {
		lo, hi := 0.1, length-0.1
		n := max(1, math.Round((hi-lo)/spacing))
		if !walls {
			n = max(1, math.Round(length/spacing)-1)
			lo, hi = length/(n+1)/2, length-length/(n+1)/2
		}
		var out []float64
		for i := range int(n) + 1 {
			out = append(out, lo+(hi-lo)*float64(i)/n)
		}
		return out
	}
	var out []surface.Vec
	add := func(x, y float64) {
		x += shake * (2*rng.Float64() - 1)
		y += shake * (2*rng.Float64() - 1)
		if p := (surface.Vec{X: min(max(x, 0.03), in.w-0.03), Y: min(max(y, 0.03), in.h-0.03)}); in.holds(p.X+0.02, p.Y+0.02) && in.holds(p.X, p.Y) {
			out = append(out, p)
		}
	}
	for _, x := range line(in.w) {
		for _, y := range line(in.h) {
			add(x, y)
		}
	}
	return out
}

package main

import (
	"math"
	"math/rand/v2"

	"pourplane/surface"
	"pourplane/survey"
)

// kind is a kind of floor: floors of it have the shape in common and chance in its figures.
type kind struct {
	name string
	make func(rng *rand.Rand, w, h float64) floor
}

// floor is a true floor: an elevation everywhere, m, and what a rod stands on beside it, m: the
// standard deviation of a roughness too fine to matter to a volume.
type floor struct {
	z     func(x, y float64) float64
	rough float64
}

var kinds = []kind{
	{"smooth dish", func(rng *rand.Rand, w, h float64) floor {
		deep := between(rng, 0.005, 0.04)
		cx, cy := w*between(rng, 0.3, 0.7), h*between(rng, 0.3, 0.7)
		rx, ry := w*between(rng, 0.6, 1.2), h*between(rng, 0.6, 1.2)
		t, v := tilt(rng, 0.003), waves(rng, 0.0005, 2, 6)
		return floor{func(x, y float64) float64 {
			u := square((x-cx)/rx) + square((y-cy)/ry)
			return -deep*math.Exp(-2*u) + t(x, y) + v(x, y)
		}, between(rng, 0.0002, 0.001)}
	}},
	{"slope", func(rng *rand.Rand, w, h float64) floor {
		t, v := tilt(rng, 0.02), waves(rng, between(rng, 0.001, 0.003), 4, 15)
		return floor{func(x, y float64) float64 { return t(x, y) + v(x, y) }, between(rng, 0.0002, 0.001)}
	}},
	{"settled corner", func(rng *rand.Rand, w, h float64) floor {
		deep, reach := between(rng, 0.01, 0.04), between(rng, 1, 3)
		cx, cy := w*math.Round(rng.Float64()), h*math.Round(rng.Float64())
		t, v := tilt(rng, 0.003), waves(rng, between(rng, 0.001, 0.002), 2, 6)
		return floor{func(x, y float64) float64 {
			return -deep*math.Exp(-math.Hypot(x-cx, y-cy)/reach) + t(x, y) + v(x, y)
		}, between(rng, 0.0002, 0.001)}
	}},
	{"joint steps", func(rng *rand.Rand, w, h float64) floor {
		panel, high, lean := between(rng, 3, 5), between(rng, 0.001, 0.004), 0.001
		level, of := panels(rng, w, h, panel, func() [3]float64 {
			return [3]float64{high * rng.NormFloat64(), lean * rng.NormFloat64(), lean * rng.NormFloat64()}
		})
		t, v := tilt(rng, 0.003), waves(rng, 0.001, 2, 8)
		return floor{func(x, y float64) float64 {
			i, u, s := of(x, y)
			p := level[i]
			return p[0] + p[1]*(u-0.5)*panel + p[2]*(s-0.5)*panel + t(x, y) + v(x, y)
		}, between(rng, 0.0002, 0.001)}
	}},
	{"rough", func(rng *rand.Rand, w, h float64) floor {
		t, v := tilt(rng, 0.003), waves(rng, between(rng, 0.002, 0.005), 1, 4)
		return floor{func(x, y float64) float64 { return t(x, y) + v(x, y) }, between(rng, 0.001, 0.003)}
	}},
	{"curled slab", func(rng *rand.Rand, w, h float64) floor {
		panel, high, reach := between(rng, 4, 6), between(rng, 0.003, 0.008), between(rng, 0.4, 0.9)
		_, of := panels(rng, w, h, panel, func() [3]float64 { return [3]float64{} })
		t, v := tilt(rng, 0.003), waves(rng, 0.001, 3, 8)
		return floor{func(x, y float64) float64 {
			_, u, s := of(x, y)
			d := panel * min(u, 1-u, s, 1-s)
			return high*math.Exp(-d/reach) + t(x, y) + v(x, y)
		}, between(rng, 0.0002, 0.001)}
	}},
	{name: "scan"},
}

// scan is the last kind: a scanner instead of a rod, on a floor of any kind before it.
const scan = 6

func between(rng *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }

func square(v float64) float64 { return v * v }

// tilt is a plane that falls up to most, in any direction.
func tilt(rng *rand.Rand, most float64) func(x, y float64) float64 {
	a, s := 2*math.Pi*rng.Float64(), most*rng.Float64()
	return func(x, y float64) float64 { return s * (x*math.Cos(a) + y*math.Sin(a)) }
}

// waves is a random field of standard deviation sd with wave lengths from short to long, m.
func waves(rng *rand.Rand, sd, short, long float64) func(x, y float64) float64 {
	const n = 40
	var kx, ky, phase [n]float64
	for i := range n {
		k := 2 * math.Pi / (short * math.Pow(long/short, rng.Float64()))
		a := 2 * math.Pi * rng.Float64()
		kx[i], ky[i], phase[i] = k*math.Cos(a), k*math.Sin(a), 2*math.Pi*rng.Float64()
	}
	return func(x, y float64) float64 {
		sum := 0.0
		for i := range n {
			sum += math.Cos(kx[i]*x + ky[i]*y + phase[i])
		}
		return sd * sum * math.Sqrt(2.0/n)
	}
}

// panels divides a floor into panels with figures of their own, and returns those, and for a place
// its panel and where in it the place is, 0 to 1.
func panels(rng *rand.Rand, w, h, side float64, figures func() [3]float64) ([][3]float64, func(x, y float64) (int, float64, float64)) {
	ox, oy := side*rng.Float64(), side*rng.Float64()
	nx := int((w+ox)/side) + 2
	all := make([][3]float64, nx*(int((h+oy)/side)+2))
	for i := range all {
		all[i] = figures()
	}
	return all, func(x, y float64) (int, float64, float64) {
		u, v := (x+ox)/side, (y+oy)/side
		return int(v)*nx + int(u), u - math.Floor(u), v - math.Floor(v)
	}
}

// room is the outline of a floor, and the true mean elevation inside it.
type room struct {
	w, h float64
	ring []surface.Vec
}

// newRoom is a rectangle, or one in three times an L.
func newRoom(rng *rand.Rand) room {
	r := room{w: between(rng, 3.5, 12), h: between(rng, 3, 9)}
	r.ring = []surface.Vec{{}, {X: r.w}, {X: r.w, Y: r.h}, {Y: r.h}}
	if rng.IntN(3) == 0 {
		x, y := r.w*between(rng, 0.4, 0.7), r.h*between(rng, 0.4, 0.7)
		r.ring = []surface.Vec{{}, {X: r.w}, {X: r.w, Y: y}, {X: x, Y: y}, {X: x, Y: r.h}, {Y: r.h}}
	}
	return r
}

// holds reports whether a place is in r. Its notch, if any, is at the far corner.
func (r room) holds(x, y float64) bool {
	if x < 0 || y < 0 || x > r.w || y > r.h {
		return false
	}
	return len(r.ring) == 4 || !(x > r.ring[3].X && y > r.ring[2].Y)
}

func (r room) outline() []survey.Ring {
	var ring survey.Ring
	for _, p := range r.ring {
		ring.Points = append(ring.Points, survey.Point{X: p.X, Y: p.Y, Z: math.NaN()})
	}
	return []survey.Ring{ring}
}

func (r room) area() float64 { return surface.RingArea(r.ring) }

// below returns the volume between the floor and a level, m³, on squares of at most 5 cm: those
// whose middle is in the room, scaled to its area.
func (r room) below(f floor, level float64) float64 {
	const fine = 0.05
	nx, ny := math.Ceil(r.w/fine), math.Ceil(r.h/fine)
	dx, dy := r.w/nx, r.h/ny
	sum, count := 0.0, 0.0
	for i := range int(nx) {
		for j := range int(ny) {
			x, y := (float64(i)+0.5)*dx, (float64(j)+0.5)*dy
			if r.holds(x, y) {
				count++
				sum += max(0, level-f.z(x, y))
			}
		}
	}
	return sum / count * r.area()
}

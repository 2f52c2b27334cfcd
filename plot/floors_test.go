package plot

import (
	"fmt"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/survey"
)

// lattice returns a triangulated grid: two triangles in each cell whose middle keep accepts.
// Coordinates and elevations are metres.
func lattice(origin surface.Vec, xs, ys []float64, keep func(x, y float64) bool, z func(x, y float64) float64) *surface.TIN {
	t := &surface.TIN{Origin: origin}
	vertex := map[[2]int]int32{}
	at := func(i, j int) int32 {
		v, ok := vertex[[2]int{i, j}]
		if !ok {
			v = int32(len(t.Z))
			vertex[[2]int{i, j}] = v
			t.X, t.Y, t.Z = append(t.X, xs[i]), append(t.Y, ys[j]), append(t.Z, z(xs[i], ys[j]))
		}
		return v
	}
	for j := range len(ys) - 1 {
		for i := range len(xs) - 1 {
			if keep((xs[i]+xs[i+1])/2, (ys[j]+ys[j+1])/2) {
				a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
				t.V = append(t.V, a, b, c, a, c, d)
			}
		}
	}
	twins(t)
	return t
}

func twins(t *surface.TIN) {
	half := map[[2]int32]int32{}
	for h := range int32(len(t.V)) {
		half[[2]int32{t.V[h], t.V[surface.Next(h)]}] = h
	}
	t.Twin = make([]int32, len(t.V))
	for h := range int32(len(t.V)) {
		t.Twin[h] = -1
		if w, ok := half[[2]int32{t.V[surface.Next(h)], t.V[h]}]; ok {
			t.Twin[h] = w
		}
	}
	t.Fitted = make([]bool, len(t.Z))
	t.Shot = make([]int32, len(t.Z))
}

// steps returns from, from+step … to, with more places added.
func steps(from, to, step float64, more ...float64) []float64 {
	var out []float64
	for k := 0.0; from+k*step < to+step*1e-6; k++ {
		out = append(out, from+k*step)
	}
	out = append(out, more...)
	slices.Sort(out)
	return slices.CompactFunc(out, func(a, b float64) bool { return math.Abs(b-a) < step*1e-6 })
}

func bell(x, y, cx, cy, width float64) float64 {
	return math.Exp(-((x-cx)*(x-cx) + (y-cy)*(y-cy)) / (2 * width * width))
}

// hallFt is the invented bottling hall: elevations in feet at places in feet. The cold store
// behind the step is lower and falls to a drain.
func hallFt(x, y float64) float64 {
	if y > 20 {
		return 99.565 + 0.0065*math.Hypot(x-8, y-26)
	}
	return 99.800 - 0.0012*x - 0.135*bell(x, y, 19, 7, 8) + 0.182*bell(x, y, 31, 14.5, 2.2) + 0.020*bell(x, y, 24.75, 9, 2)
}

func feet(xy ...float64) []surface.Vec {
	var out []surface.Vec
	for i := 0; i < len(xy); i += 2 {
		out = append(out, surface.Vec{X: xy[i] * foot, Y: xy[i+1] * foot})
	}
	return out
}

func scaled(ft []float64) []float64 {
	out := make([]float64, len(ft))
	for i, v := range ft {
		out[i] = v * foot
	}
	return out
}

// hall returns the L-shaped hall, 36 by 32 ft with a column and a step, on a grid
// of the given step in feet, moved by an offset in metres.
func hall(step float64, by surface.Vec) *surface.Floor {
	z := func(x, y float64) float64 { return hallFt(x/foot, y/foot) * foot }
	xs := steps(0, 36, step, 16, 24, 25.5)
	column := feet(24, 8.25, 24, 9.75, 25.5, 9.75, 25.5, 8.25)
	front := surface.Region{
		Name:  "hall",
		Rings: [][]surface.Vec{feet(0, 0, 36, 0, 36, 18, 16, 18, 16, 20, 0, 20), column},
		TIN: lattice(by, scaled(xs), scaled(steps(0, 20, step, 18, 8.25, 9.75)), func(x, y float64) bool {
			x, y = x/foot, y/foot
			return (y < 18 || x < 16) && !(x > 24 && x < 25.5 && y > 8.25 && y < 9.75)
		}, z),
	}
	back := surface.Region{
		Name:  "cold store",
		Rings: [][]surface.Vec{feet(0, 20, 16, 20, 16, 32, 0, 32)},
		TIN: lattice(by, scaled(steps(0, 16, step)), scaled(steps(20, 32, step)), func(x, y float64) bool { return true }, func(x, y float64) float64 {
			return (99.565 + 0.0065*math.Hypot(x/foot-8, y/foot-26)) * foot
		}),
	}
	for n, y := range []float64{0.3, 4.5, 8.5, 13, 17.7, 19.95} {
		for _, x := range []float64{0.3, 4, 8, 12, 16, 20, 24, 28, 32, 35.7} {
			if n == 5 && x > 15 {
				break
			}
			front.Shots = append(front.Shots, shot(101+len(front.Shots), x, y, by))
		}
	}
	front.Shots = append(front.Shots, shot(161, 31, 14.5, by))
	for _, y := range []float64{20.1, 23, 26, 29, 31.7} {
		for _, x := range []float64{0.3, 4, 8, 12, 15.7} {
			back.Shots = append(back.Shots, shot(201+len(back.Shots), x, y, by))
		}
	}
	f := &surface.Floor{Regions: []surface.Region{front, back}, Openings: [][]surface.Vec{slices.Clone(column)}, Steps: [][2]surface.Vec{{feet(0, 20)[0], feet(16, 20)[0]}}}
	for _, r := range f.Regions {
		f.Shots += len(r.Shots)
		for _, ring := range r.Rings {
			for i := range ring {
				ring[i] = surface.Vec{X: ring[i].X + by.X, Y: ring[i].Y + by.Y}
			}
		}
	}
	for i := range f.Openings[0] {
		f.Openings[0][i].X += by.X
		f.Openings[0][i].Y += by.Y
	}
	for i := range f.Steps[0] {
		f.Steps[0][i].X += by.X
		f.Steps[0][i].Y += by.Y
	}
	f.Used = f.Shots
	return f
}

func shot(n int, x, y float64, by surface.Vec) survey.Point {
	return survey.Point{X: x*foot + by.X, Y: y*foot + by.Y, Z: hallFt(x, y) * foot}.Named(fmt.Sprint(n))
}

// doors are the adjoining finished floors of the hall.
func doors(by surface.Vec) []survey.Point {
	var out []survey.Point
	for _, d := range []struct {
		name    string
		x, y, z float64
	}{
		{"A1", 0, 4, 100.000}, {"A2", 0, 7.5, 100.003}, {"B1", 36, 10, 99.990}, {"B2", 36, 13, 99.986},
		{"C1", 4, 32, 100.021}, {"C2", 10, 32, 100.023},
	} {
		out = append(out, survey.Point{X: d.x*foot + by.X, Y: d.y*foot + by.Y, Z: d.z * foot}.Named(d.name))
	}
	return out
}

// single is a region of one ring round a grid.
func single(t *surface.TIN, ring []surface.Vec) *surface.Floor {
	return &surface.Floor{Regions: []surface.Region{{Rings: [][]surface.Vec{ring}, TIN: t}}}
}

// rectangle is a floor of w by h metres in nx by ny cells.
func rectangle(w, h float64, nx, ny int, z func(x, y float64) float64) *surface.Floor {
	t := lattice(surface.Vec{}, steps(0, w, w/float64(nx)), steps(0, h, h/float64(ny)), func(x, y float64) bool { return true }, z)
	return single(t, []surface.Vec{{}, {X: w}, {X: w, Y: h}, {Y: h}})
}

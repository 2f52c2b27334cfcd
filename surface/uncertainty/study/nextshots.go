package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/uncertainty"
	"pourplane/survey"
)

// more is how many shots are added.
const more = 4

// ways of adding shots.
var ways = []string{"none", "next shots", "finer grid", "most curved"}

// nextShots prints the error of the fill, without that of the set-up, after shots were added in
// each way.
func nextShots(seed uint64, floors int) {
	squares := make([][4]float64, scan*floors) // m² of depth
	said := make([][2]float64, scan*floors)
	each(len(squares), func(i int) {
		s := newSite(seed+1000, i/floors, i%floors, true)
		in, fill := s.input(s.shots)
		m := uncertainty.New(in)
		now := m.Volume(fill).Parts
		total := now.Total
		truth := s.in.below(s.f, s.level)
		var places [4][]surface.Vec
		for _, n := range m.Next(more, now) {
			places[1] = append(places[1], n.At)
			said[i] = [2]float64{total / s.in.area(), n.SDAfter / s.in.area()}
		}
		places[2] = s.finer(in.Floor)
		places[3] = curved(in.Floor, s.in)
		for w, at := range places {
			shots := slices.Clone(s.shots)
			for _, p := range at {
				shots = append(shots, s.read(p))
			}
			_, fill := s.input(shots)
			squares[i][w] = square((truth - fill) / s.in.area())
		}
	})
	fmt.Printf("\n%d shots more: error of the fill, root mean square, mm of depth\n%-16s", more, "")
	for _, w := range ways {
		fmt.Printf(" %12s", w)
	}
	fmt.Println("   stated, before and after")
	row := func(name string, some [][4]float64, stated [][2]float64) {
		fmt.Printf("%-16s", name)
		for w := range ways {
			sum := 0.0
			for _, s := range some {
				sum += s[w] / float64(len(some))
			}
			fmt.Printf(" %12.3f", 1000*math.Sqrt(sum))
		}
		var before, after float64
		for _, s := range stated {
			before += square(s[0]) / float64(len(stated))
			after += square(s[1]) / float64(len(stated))
		}
		fmt.Printf("   %.3f %.3f\n", 1000*math.Sqrt(before), 1000*math.Sqrt(after))
	}
	for k := range scan {
		row(kinds[k].name, squares[k*floors:(k+1)*floors], said[k*floors:(k+1)*floors])
	}
	row("all", squares, said)
}

// finer returns places of a grid half as wide as that of the survey, those farthest from all shots
// first, each far from those before it.
func (s *site) finer(f *surface.Floor) []surface.Vec {
	half := f.Spacing() / 2
	var all []surface.Vec
	for x := 0.1; x < s.in.w; x += half {
		for y := 0.1; y < s.in.h; y += half {
			if s.in.holds(x, y) {
				all = append(all, surface.Vec{X: x, Y: y})
			}
		}
	}
	taken := slices.Clone(s.at)
	var out []surface.Vec
	for range more {
		far := slices.MaxFunc(all, func(a, b surface.Vec) int { return cmp.Compare(from(a, taken), from(b, taken)) })
		taken, out = append(taken, far), append(out, far)
	}
	return out
}

func from(p surface.Vec, others []surface.Vec) float64 {
	near := math.Inf(1)
	for _, o := range others {
		near = min(near, p.Distance(o))
	}
	return near
}

// curved returns the middles of the edges between triangles across which the slope of the floor
// changes most, none nearer to another than half the distance between shots.
func curved(f *surface.Floor, in room) []surface.Vec {
	t := f.Regions[0].TIN
	type edge struct {
		at   surface.Vec
		bend float64
	}
	var edges []edge
	for h, twin := range t.Twin {
		if twin < int32(h) {
			continue
		}
		a, b := t.At(t.V[h]), t.At(t.V[surface.Next(int32(h))])
		p, q := slope(t, h/3), slope(t, int(twin)/3)
		edges = append(edges, edge{surface.Vec{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}, math.Hypot(p.X-q.X, p.Y-q.Y)})
	}
	slices.SortFunc(edges, func(a, b edge) int { return cmp.Compare(b.bend, a.bend) })
	var out []surface.Vec
	for _, e := range edges {
		if len(out) < more && from(e.at, out) > f.Spacing()/2 && in.holds(e.at.X, e.at.Y) {
			out = append(out, e.at)
		}
	}
	return out
}

// slope returns the slopes of triangle k, rise over run.
func slope(t *surface.TIN, k int) surface.Vec {
	corner := func(i int) survey.Point {
		v := t.V[3*k+i]
		return survey.Point{X: t.X[v], Y: t.Y[v], Z: t.Z[v]}
	}
	p, _, err := surface.FitPlane([]survey.Point{corner(0), corner(1), corner(2)})
	if err != nil {
		return surface.Vec{}
	}
	return surface.Vec{X: p.SlopeX, Y: p.SlopeY}
}

package main

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"pourplane/surface"
	"pourplane/surface/uncertainty"
	"pourplane/survey"
)

// more is how many shots are added.
const more = 4

// ways of adding shots: those of a grid half as wide, the farthest from all shots first or as they
// come, and where the floor is most curved.
var ways = [...]string{"none", "next shots", "farthest", "finer grid", "most curved"}

// nextShots prints the error of the fill, without that of the set-up, after shots were added in
// each way.
func nextShots(seed uint64, floors int) {
	squares := make([][len(ways)]float64, scan*floors) // m² of depth
	said := make([][2]float64, scan*floors)
	each(len(squares), func(i int) {
		s := newSite(seed+1000, i/floors, i%floors, true)
		in, fill := s.input(s.shots)
		m := uncertainty.New(in)
		now := m.Volume(fill).Parts
		total := now.Total
		truth := s.in.below(s.f, s.level)
		var places [len(ways)][]surface.Vec
		for _, n := range m.Next(more, now) {
			places[1] = append(places[1], n.At)
			said[i] = [2]float64{total / s.in.area(), n.SDAfter / s.in.area()} // NaN: not known
		}
		grid := s.finer(in.Floor)
		places[2] = farthest(grid, s.at)
		for _, n := range rand.New(rand.NewPCG(seed, uint64(i))).Perm(len(grid))[:min(more, len(grid))] {
			places[3] = append(places[3], grid[n])
		}
		places[4] = curved(in.Floor, s.in)
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
	fmt.Println("   stated, before and after   mean square, next less farthest, mm², and its standard error")
	row := func(name string, some [][len(ways)]float64, stated [][2]float64) {
		fmt.Printf("%-16s", name)
		for w := range ways {
			sum := 0.0
			for _, s := range some {
				sum += s[w] / float64(len(some))
			}
			fmt.Printf(" %12.3f", 1000*math.Sqrt(sum))
		}
		var before, after, known float64
		for _, s := range stated {
			if !math.IsNaN(s[1]) {
				before, after, known = before+square(s[0]), after+square(s[1]), known+1
			}
		}
		fmt.Printf("   %.3f %.3f", 1000*math.Sqrt(before/known), 1000*math.Sqrt(after/known))
		diff, squared := 0.0, 0.0
		for _, s := range some {
			d := 1e6 * (s[1] - s[2]) / float64(len(some))
			diff, squared = diff+d, squared+d*d
		}
		fmt.Printf("   %6.3f ±%.3f\n", diff, math.Sqrt(squared))
	}
	for k := range scan {
		row(kinds[k].name, squares[k*floors:(k+1)*floors], said[k*floors:(k+1)*floors])
	}
	for d := range 4 {
		var some [][len(ways)]float64
		var stated [][2]float64
		for i := range squares {
			if i%floors%4 == d {
				some, stated = append(some, squares[i]), append(stated, said[i])
			}
		}
		row(fmt.Sprintf("%g m", densities[0][d]), some, stated)
	}
	row("all", squares, said)
}

// finer returns the places of a grid half as wide as that of the survey.
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
	return all
}

// farthest returns those of some places that are farthest from all shots, each far from those before it.
func farthest(all, shots []surface.Vec) []surface.Vec {
	taken := slices.Clone(shots)
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

package flatness

import (
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/survey"
)

// sampler finds the triangle at a place: the plan is cut into square cells, about
// one for two triangles, each listing the triangles whose box overlaps it.
type sampler struct {
	t          *surface.TIN
	x, y       float64 // corner of the first cell, m from the origin of t
	cell       float64 // m
	wide, high int
	first      []int32 // where the list of a cell begins in list
	list       []int32
}

func newSampler(t *surface.TIN) *sampler {
	s := &sampler{t: t, x: slices.Min(t.X), y: slices.Min(t.Y)}
	w, h := slices.Max(t.X)-s.x, slices.Max(t.Y)-s.y
	s.cell = math.Sqrt(2 * w * h / float64(t.Len()))
	s.wide, s.high = int(w/s.cell)+1, int(h/s.cell)+1
	s.first = make([]int32, s.wide*s.high+1)
	each := func(visit func(cell int, triangle int32)) {
		for k := range int32(t.Len()) {
			v := t.V[3*k : 3*k+3]
			i0, j0 := s.column(min(t.X[v[0]], t.X[v[1]], t.X[v[2]]), min(t.Y[v[0]], t.Y[v[1]], t.Y[v[2]]))
			i1, j1 := s.column(max(t.X[v[0]], t.X[v[1]], t.X[v[2]]), max(t.Y[v[0]], t.Y[v[1]], t.Y[v[2]]))
			for j := j0; j <= j1; j++ {
				for i := i0; i <= i1; i++ {
					visit(j*s.wide+i, k)
				}
			}
		}
	}
	each(func(cell int, _ int32) { s.first[cell+1]++ })
	for i := 1; i < len(s.first); i++ {
		s.first[i] += s.first[i-1]
	}
	s.list = make([]int32, s.first[len(s.first)-1])
	next := slices.Clone(s.first)
	each(func(cell int, k int32) {
		s.list[next[cell]] = k
		next[cell]++
	})
	return s
}

func (s *sampler) column(x, y float64) (i, j int) {
	i, j = int((x-s.x)/s.cell), int((y-s.y)/s.cell)
	return min(max(i, 0), s.wide-1), min(max(j, 0), s.high-1)
}

// at returns the elevation at p and the distance of the shots there, m: the longest
// edge of the triangle over √2, which is the spacing where shots lie on a square
// grid. It is NaN where p is off the surface by more than a micrometre.
//
// A place on an edge is read off either triangle: they agree there.
func (s *sampler) at(p surface.Vec) (z, spacing float64) {
	t := s.t
	x, y := p.X-t.Origin.X, p.Y-t.Origin.Y
	i, j := s.column(x, y)
	c := j*s.wide + i
	best, in := math.Inf(-1), int32(-1)
	var share [3]float64
	for _, k := range s.list[s.first[c]:s.first[c+1]] {
		v := t.V[3*k : 3*k+3]
		var side [3]float64 // twice the area opposite each corner
		for i := range v {
			a, b := v[(i+1)%3], v[(i+2)%3]
			side[i] = (t.X[a]-x)*(t.Y[b]-y) - (t.X[b]-x)*(t.Y[a]-y)
		}
		if least := min(side[0], side[1], side[2]) / s.longest(k); least > best {
			best, in, share = least, k, side
		}
	}
	if best < -1e-6 {
		return math.NaN(), math.NaN()
	}
	v := t.V[3*in : 3*in+3]
	whole := share[0] + share[1] + share[2]
	// From the first corner's elevation, so that a level triangle is read as level.
	z0 := t.Z[v[0]]
	z = z0 + share[1]/whole*(t.Z[v[1]]-z0) + share[2]/whole*(t.Z[v[2]]-z0)
	return z, s.longest(in) / math.Sqrt2
}

// longest returns the longest edge of triangle k, m.
func (s *sampler) longest(k int32) float64 {
	v := s.t.V[3*k : 3*k+3]
	edge := func(a, b int32) float64 { return math.Hypot(s.t.X[a]-s.t.X[b], s.t.Y[a]-s.t.Y[b]) }
	return max(edge(v[0], v[1]), edge(v[1], v[2]), edge(v[2], v[0]))
}

// read fills in the readings of runs and returns the usual distance of the shots
// under them, m: the median over the readings. Readings where it is above most stay
// missing.
func (s *sampler) read(runs []survey.Run, most float64) float64 {
	var all []float64
	for k := range runs {
		r := &runs[k]
		for i := range r.Stations {
			z, spacing := s.at(station(*r, i))
			if spacing > most {
				z = math.NaN()
			}
			r.Stations[i].Z = z
			if !math.IsNaN(spacing) {
				all = append(all, spacing)
			}
		}
		r.Start.Z, r.End.Z = r.Stations[0].Z, r.Stations[len(r.Stations)-1].Z
	}
	if len(all) == 0 {
		return 0 // off the surface altogether: nothing to read
	}
	slices.Sort(all)
	return all[len(all)/2]
}

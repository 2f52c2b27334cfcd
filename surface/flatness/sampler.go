package flatness

import (
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/survey"
)

// sampler reads a surface and returns the spacing of the shots.
type sampler struct {
	t  *surface.TIN
	on *surface.Locator
}

func newSampler(t *surface.TIN) *sampler { return &sampler{t, t.Locator()} }

// at returns the elevation at p and the spacing of the shots there, m: the longest edge of
// the triangle over √2, which is the spacing of shots on a square grid. It is NaN off the
// surface.
func (s *sampler) at(p surface.Vec) (z, spacing float64) {
	z, k, ok := s.on.At(p)
	if !ok {
		return math.NaN(), math.NaN()
	}
	return z, s.longest(k) / math.Sqrt2
}

// longest returns the longest edge of triangle k, m.
func (s *sampler) longest(k int) float64 {
	v := s.t.V[3*k : 3*k+3]
	edge := func(a, b int32) float64 { return math.Hypot(s.t.X[a]-s.t.X[b], s.t.Y[a]-s.t.Y[b]) }
	return max(edge(v[0], v[1]), edge(v[1], v[2]), edge(v[2], v[0]))
}

// read fills in the readings of runs and returns the usual spacing of the shots under them,
// m: the median over the readings. Readings with a spacing above most stay missing.
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
		return 0 // entirely off the surface: nothing to read
	}
	slices.Sort(all)
	return all[len(all)/2]
}

package uncertainty

import (
	"cmp"
	"math"
	"slices"
)

// drawnFloor is a floor that was drawn: how much deeper it is than the triangulated one, m.
type drawnFloor struct {
	off    [][]float64 // each cell, region by region
	deeper []float64   // all cells of a region as well
	rough  []float64   // by region: what each place has of its own, a standard deviation
}

// cell returns a cell as it is on f: deeper, with its depths spread by what its places have of their own.
func (f drawnFloor) cell(cells [][]Cell, region, i int) Cell {
	c := cells[region][i]
	c.Depth += f.off[region][i] + f.deeper[region]
	c.Span = math.Sqrt(c.Span*c.Span + 12*f.rough[region]*f.rough[region]) // variance of an even spread
	return c
}

// filled returns the volume of the filled cells, m³, and its change as the regions get deeper by their
// weights, m³ per m.
func (f drawnFloor) filled(cells [][]Cell, each, weights []float64) (volume, change float64) {
	for i, of := range cells {
		var area, sum float64
		for j := range of {
			c := f.cell(cells, i, j)
			a, v := c.Area, c.Area*c.Depth
			if c.Depth <= c.Span/2 {
				a, v = c.Between(0, math.Inf(1))
			}
			area, sum = area+a, sum+v
		}
		volume, change = volume+each[i]*sum, change+each[i]*weights[i]*area
	}
	return volume, change
}

// toRanks makes each floor deeper or shallower as a whole, so that the fills of all of them, ranked,
// are the quantiles (i + ½)/n of v. As drawn they are not: each is of one of a few fields, while
// v mixes all fields and counts floor near the target that may be on either side of it. A floor keeps
// its shape and its rank.
func (m *Model) toRanks(floors []drawnFloor, v Volume, cells [][]Cell, each []float64) {
	weights := m.sharing(v, cells, each)
	read := drawnFloor{make([][]float64, len(cells)), make([]float64, len(cells)), make([]float64, len(cells))}
	for i := range cells {
		read.off[i] = make([]float64, len(cells[i]))
	}
	base, _ := read.filled(cells, each, weights)
	volumes, ranked := make([]float64, len(floors)), make([]int, len(floors))
	inParallel(len(floors), func(d int) {
		volumes[d], _ = floors[d].filled(cells, each, weights)
		ranked[d] = d
	})
	slices.SortFunc(ranked, func(a, b int) int { return cmp.Or(cmp.Compare(volumes[a], volumes[b]), cmp.Compare(a, b)) })
	inParallel(len(floors), func(rank int) {
		want := v.Dist.Quantile((float64(rank)+0.5)/float64(len(floors))) - v.Fill
		floors[ranked[rank]].fillTo(max(0, base+want), cells, each, weights)
	})
}

// fillTo makes the regions of f deeper or shallower by their weights, until its filled volume is want, m³.
// By Newton's method: the volume is a convex function of the depth, so that from the second step on it
// comes nearer from one side.
func (f drawnFloor) fillTo(want float64, cells [][]Cell, each, weights []float64) {
	const close = 1e-9 // m
	whole := 0.0
	for i, of := range cells {
		for _, c := range of {
			whole += each[i] * weights[i] * c.Area
		}
	}
	for range 60 {
		volume, change := f.filled(cells, each, weights)
		if math.Abs(volume-want) <= close*whole {
			return
		}
		// Where next to nothing is filled a step would be without bound.
		by := (want - volume) / max(change, whole/1000)
		for i, w := range weights {
			f.deeper[i] += w * by
		}
	}
}

// sharing returns by how much of a change of the mean depth of the whole each region changes: by the
// covariance of its mean depth with the fill, so that a region that is well known hardly does. The
// largest is 1.
func (m *Model) sharing(v Volume, cells [][]Cell, each []float64) []float64 {
	areas, out, total := make([]float64, len(cells)), make([]float64, len(cells)), 0.0
	for i, of := range cells {
		for _, c := range of {
			areas[i] += each[i] * c.Area
		}
		total += areas[i]
	}
	common := square(m.setups()) + square(m.in.AimSD)
	for i, a := range areas {
		if a > 0 {
			out[i] = max(0, square(v.Regions[i])-common*a*a)/a + common*total
		}
	}
	most := slices.Max(out)
	for i := range out {
		if out[i] /= most; most == 0 { // known without any doubt
			out[i] = 1
		}
	}
	return out
}

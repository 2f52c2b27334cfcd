package uncertainty

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Spread returns the standard deviations of quantities that follow from the depths of the filled
// floor, such as the volume of a band. of takes the cells with their depths of one floor that the
// shots allow, region by region, and for how much each region's cells count; it returns the
// quantities. n floors are drawn: conditional simulation (Chilès and Delfiner 2012, Geostatistics,
// 7.3), each under one field, with the error of the set-ups. The draws are the same each time.
func (m *Model) Spread(n int, of func(cells [][]Cell, each []float64) []float64) []float64 {
	if !m.Known {
		return nil
	}
	rng := rand.New(rand.NewPCG(1, 15))
	cells, each := make([][]Cell, len(m.regions)), make([]float64, len(m.regions))
	drawn := make([][][]float64, len(m.regions)) // depth less that of the triangulated floor
	for i, g := range m.regions {
		each[i] = g.each
		drawn[i] = g.draw(rng, n)
		for _, p := range g.pieces {
			for _, c := range p.cells {
				cells[i] = append(cells[i], Cell{At: p.origin, Area: c.area, Depth: c.depth})
				at := &cells[i][len(cells[i])-1].At
				at.X, at.Y = at.X+c.x, at.Y+c.y
			}
		}
	}
	var sum, squares []float64
	now := make([][]Cell, len(cells))
	for d := range n {
		setup := m.setups() * rng.NormFloat64()
		for i := range cells {
			now[i] = append(now[i][:0], cells[i]...)
			for j := range now[i] {
				now[i][j].Depth += drawn[i][d][j] + setup
			}
		}
		got := of(now, each)
		if sum == nil {
			sum, squares = make([]float64, len(got)), make([]float64, len(got))
		}
		for j, v := range got {
			sum[j] += v
			squares[j] += v * v
		}
	}
	out := make([]float64, len(sum))
	for j := range out {
		mean := sum[j] / float64(n)
		out[j] = math.Sqrt(max(0, squares[j]/float64(n)-mean*mean))
	}
	return out
}

// draw returns n draws of the depth of each cell of g less that of the triangulated floor, m. A tile
// of a large region moves as a whole: what differs from cell to cell is small beside it where shots
// are that many.
func (g *region) draw(rng *rand.Rand, n int) [][]float64 {
	fields, weights := g.most(likely)
	out := make([][]float64, n)
	var parts [][]func() []float64 // by field and piece
	for _, f := range fields {
		w := g.fields[f]
		var of []func() []float64
		for b, p := range g.pieces {
			q := len(p.cells)
			if q == 0 {
				continue // nothing of it is filled
			}
			// Student's t of the field: its variance is not known either.
			wide := func() float64 { return math.Sqrt(w.freedom / distuv.ChiSquared{K: w.freedom, Src: rng}.Rand()) }
			if len(g.pieces) > 1 {
				of = append(of, func() []float64 { return p.moved(g.under[f][b].whole(), w.sill, wide()*rng.NormFloat64()) })
				continue
			}
			got := g.under[f][b].at(p.places(), w.sill, true)
			lower := rootOf(got.cov, w.sill)
			of = append(of, func() []float64 {
				e := mat.NewVecDense(q, nil)
				for i := range q {
					e.SetVec(i, rng.NormFloat64())
				}
				e.MulVec(lower, e)
				off, t := make([]float64, q), wide()
				for i, c := range p.cells {
					off[i] = c.z - got.mean[i] - t*e.AtVec(i)
				}
				return off
			})
		}
		parts = append(parts, of)
	}
	for d := range n {
		pick, f := rng.Float64(), 0
		for ; f+1 < len(weights) && pick > weights[f]; f++ {
			pick -= weights[f]
		}
		for _, part := range parts[f] {
			out[d] = append(out[d], part()...)
		}
	}
	return out
}

// rootOf returns the lower Cholesky factor of cov. As much of sill is added to its diagonal as it
// takes to be positive definite. Unlike that of [mat.Cholesky] its condition is not estimated.
func rootOf(cov *mat.SymDense, sill float64) *mat.TriDense {
	q := cov.SymmetricDim()
	upper := mat.NewTriDense(q, mat.Upper, nil)
	for jitter := 1e-9; ; jitter *= 10 {
		for i := range q {
			cov.SetSym(i, i, cov.At(i, i)+jitter*sill)
			copy(upper.RawTriangular().Data[i*q+i:(i+1)*q], cov.RawSymmetric().Data[i*q+i:(i+1)*q])
		}
		sym := blas64.Symmetric{Uplo: blas.Upper, N: q, Data: upper.RawTriangular().Data, Stride: q}
		if _, ok := lapack64.Potrf(sym); ok {
			break
		}
	}
	lower := mat.NewTriDense(q, mat.Lower, nil)
	lower.Copy(upper.TTri())
	return lower
}

// moved returns the depths of the cells of p, less those of the triangulated floor, if its fill is off
// by some standard deviations.
func (p *piece) moved(b block, sill, by float64) []float64 {
	area, off := 0.0, -b.mean+by*math.Sqrt(sill*b.variance)
	for j, w := range p.weight {
		off += w * p.z[j]
	}
	for _, c := range p.cells {
		area += c.area
	}
	out := make([]float64, len(p.cells))
	for i := range out {
		out[i] = off / area
	}
	return out
}

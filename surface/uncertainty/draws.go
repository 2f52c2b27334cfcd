package uncertainty

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"pourplane/surface"
)

// Spread is how far a quantity that follows from the depths of the filled floor is known, such as the
// area of a band. Within counts from that of the triangulated floor, which need not be in the middle.
type Spread struct {
	SD     float64 // standard deviation
	Within float64 // it is within ± of that of the triangulated floor with a probability of 90 %
}

// Spread returns how far quantities are known, by n draws; nil where too few shots tell. See [Model.Draw].
func (m *Model) Spread(v Volume, n int, of func(cells [][]Cell, each []float64) []float64) []Spread {
	drawn := m.Draw(v, n, of)
	if drawn == nil {
		return nil
	}
	base := m.Triangulated(of)
	out := make([]Spread, len(base))
	values, off := make([]float64, n), make([]float64, n)
	for j := range out {
		for d := range drawn {
			values[d] = drawn[d][j]
			off[d] = math.Abs(values[d] - base[j])
		}
		slices.Sort(off)
		_, sd := stat.PopMeanStdDev(values, nil)
		out[j] = Spread{sd, off[int(math.Ceil(share*float64(n)))-1]}
	}
	return out
}

// Draw draws n floors that the shots allow, and returns for each the quantities that follow from the
// depths of its filled part; nil where too few shots tell. of takes the cells with their depths on
// one floor, region by region, and for how much each region's cells count; it returns the quantities.
// Conditional simulation (Chilès and Delfiner 2012, Geostatistics, 7.3), each under one field, with
// the errors of the set-ups and of the target. v is what [Model.Volume] returned: the fills of the n
// floors, ranked, are its quantiles (i + ½)/n, see [Model.toRanks]. The draws are the same each time.
func (m *Model) Draw(v Volume, n int, of func(cells [][]Cell, each []float64) []float64) [][]float64 {
	if !m.Known {
		return nil
	}
	cells, each := m.bare()
	floors := m.simulate(n)
	m.toRanks(floors, v, cells, each)
	out := make([][]float64, n)
	now := make([][]Cell, len(cells))
	for d, f := range floors {
		for i := range cells {
			now[i] = append(now[i][:0], cells[i]...)
			for j := range now[i] {
				now[i][j] = f.cell(cells, i, j)
			}
		}
		out[d] = of(now, each)
	}
	return out
}

// simulate draws n floors, not yet of the fills that the whole of what is known gives.
func (m *Model) simulate(n int) []drawnFloor {
	rng := rand.New(rand.NewPCG(1, 15))
	floors := make([]drawnFloor, n)
	for _, g := range m.regions {
		off, rough := g.draw(rng, n, m.in.Errors.Reading)
		for d := range floors {
			floors[d].off, floors[d].rough = append(floors[d].off, off[d]), append(floors[d].rough, rough[d])
		}
	}
	common := math.Hypot(m.setups(), m.in.AimSD)
	for d := range floors {
		moved := common * rng.NormFloat64()
		for range m.regions {
			floors[d].deeper = append(floors[d].deeper, moved)
		}
	}
	return floors
}

// Triangulated returns quantities as [Model.Draw] does, of the triangulated floor.
func (m *Model) Triangulated(of func(cells [][]Cell, each []float64) []float64) []float64 {
	return of(m.bare())
}

// bare returns the cells of the filled floor with their depths on the triangulated floor, region by
// region, and for how much each region's cells count.
func (m *Model) bare() (cells [][]Cell, each []float64) {
	cells, each = make([][]Cell, len(m.regions)), make([]float64, len(m.regions))
	for i, g := range m.regions {
		each[i] = g.each
		for _, p := range g.pieces {
			for _, c := range p.cells {
				cells[i] = append(cells[i], Cell{At: p.origin, Area: c.area, Depth: c.depth, Span: c.span})
				at := &cells[i][len(cells[i])-1].At
				at.X, at.Y = at.X+c.x, at.Y+c.y
			}
		}
	}
	return cells, each
}

// Between returns the part of c that is deeper than from and no deeper than to: its area, m², and its
// volume, m³.
func (c Cell) Between(from, to float64) (area, volume float64) {
	lo, hi := c.Depth-c.Span/2, c.Depth+c.Span/2
	if c.Span == 0 {
		if c.Depth > from && c.Depth <= to {
			return c.Area, c.Area * c.Depth
		}
		return 0, 0
	}
	if lo, hi = max(lo, from), min(hi, to); !(hi > lo) {
		return 0, 0
	}
	area = c.Area * (hi - lo) / c.Span
	return area, area * (lo + hi) / 2
}

// draw returns n draws of the depth of each cell of g less that of the triangulated floor, m, and of
// what each place has of its own beside that, a standard deviation in m. A tile of a large region moves as
// a whole: what differs from cell to cell is small beside it where shots are that many.
func (g *region) draw(rng *rand.Rand, n int, reading float64) (out [][]float64, rough []float64) {
	fields, weights := g.most(likely)
	out, rough = make([][]float64, n), make([]float64, n)
	var parts [][]func() []float64 // by field and piece
	for _, f := range fields {
		w := g.fields[f]
		var of []func() []float64
		for b, p := range g.pieces {
			q := len(p.cells)
			if q == 0 {
				continue // nothing of it is filled
			}
			wide := func() float64 { return wider(rng, w.freedom) }
			if len(g.pieces) > 1 {
				of = append(of, func() []float64 { return p.moved(g.under[f][b].whole(), w.sill, wide()*rng.NormFloat64(), g.each) })
				continue
			}
			mean, root := g.under[f][b].jointly(p.places(), w.sill)
			of = append(of, func() []float64 {
				off := offBy(rng, root, wide())
				for i, c := range p.cells {
					off[i] = c.z - mean[i] - off[i]
				}
				return off
			})
		}
		parts = append(parts, of)
	}
	for d := range n {
		f := pick(rng, weights)
		for _, part := range parts[f] {
			out[d] = append(out[d], part()...)
		}
		rough[d] = g.fields[fields[f]].field(reading).Own
	}
	return out, rough
}

// wider draws by how much wider than likely a field is: errors times it are Student's t, as the variance
// of the field is not known either.
func wider(rng *rand.Rand, freedom float64) float64 {
	if math.IsInf(freedom, 1) {
		return 1
	}
	return math.Sqrt(freedom / distuv.ChiSquared{K: freedom, Src: rng}.Rand())
}

// pick returns a number below len(weights), each with the probability of its weight.
func pick(rng *rand.Rand, weights []float64) int {
	left, f := rng.Float64(), 0
	for ; f+1 < len(weights) && left > weights[f]; f++ {
		left -= weights[f]
	}
	return f
}

// jointly returns the mean elevations of places, m from that of the piece, and the factor of their
// covariances.
func (k *kriging) jointly(places []surface.Vec, sill float64) ([]float64, *mat.TriDense) {
	got := k.at(places, sill, true)
	return got.mean, rootOf(got.cov, sill)
}

// offBy draws errors with the factor of their covariances, each times wide.
func offBy(rng *rand.Rand, root *mat.TriDense, wide float64) []float64 {
	q, _ := root.Dims()
	e := mat.NewVecDense(q, nil)
	for i := range q {
		e.SetVec(i, rng.NormFloat64())
	}
	e.MulVec(root, e)
	out := make([]float64, q)
	for i := range out {
		out[i] = wide * e.AtVec(i)
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
// by some standard deviations. Where p counts for several tiles, each of these is off by an error of
// its own: together by the root of their number less than if all were off alike. See [region.volume].
func (p *piece) moved(b block, sill, by, each float64) []float64 {
	area, off := 0.0, p.higher(b)
	variance := sill * b.variance
	if each == 1 {
		off += by * math.Sqrt(variance)
	} else {
		off = by * math.Sqrt((variance+off*off)/each)
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

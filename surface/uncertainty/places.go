package uncertainty

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"pourplane/surface"
)

// joint is what a kriging says of the elevations of several places together.
type joint struct {
	mean     []float64     // m, from the mean elevation of the piece
	variance []float64     // m²
	cov      *mat.SymDense // m²; nil if not asked for
}

// at returns what k says of places, m from the origin of its piece, with the covariances between
// them only if together.
func (k *kriging) at(places []surface.Vec, sill float64, together bool) joint {
	p, n, q := k.p, len(k.p.x), len(places)
	out := joint{mean: make([]float64, q), variance: make([]float64, q)}
	if q == 0 {
		return out
	}
	c := mat.NewDense(n, q, nil)
	u := mat.NewDense(3, q, nil)
	for j, at := range places {
		for i := range n {
			c.Set(i, j, matern(k.c.smooth, math.Hypot(at.X-p.x[i], at.Y-p.y[i])/k.c.reach))
		}
		out.mean[j] = k.plane(at.X, at.Y)
		for i := range n {
			out.mean[j] += c.At(i, j) * k.ky.AtVec(i)
		}
		u.SetCol(j, []float64{1, at.X, at.Y})
	}
	var kc, xkc, gu mat.Dense
	_ = k.chol.SolveTo(&kc, c) // its condition is that of K, which was accepted
	xkc.Mul(k.kx.T(), c)
	u.Sub(u, &xkc)
	_ = k.gram.SolveTo(&gu, u)
	for j := range places {
		out.variance[j] = sill * (1 - mat.Dot(c.ColView(j), kc.ColView(j)) + mat.Dot(u.ColView(j), gu.ColView(j)))
	}
	if !together {
		return out
	}
	out.cov = mat.NewSymDense(q, nil)
	upper := out.cov.RawSymmetric().Data
	// What the shots and the plane say of a pair of places is the same from both ends, so the products
	// are worked out a strip of rows at a time, from the diagonal on.
	const strip = 64
	room := mat.NewDense(strip, q, nil)
	for from := 0; from < q; from += strip {
		to := min(from+strip, q)
		known := room.Slice(0, to-from, from, q).(*mat.Dense)
		known.Mul(c.Slice(0, n, from, to).T(), kc.Slice(0, n, from, q))
		for i := from; i < to; i++ {
			by, row := known.RawRowView(i-from), upper[i*q:(i+1)*q]
			row[i] = out.variance[i]
			for j := i + 1; j < q; j++ {
				drift := 0.0
				for a := range 3 {
					drift += u.At(a, i) * gu.At(a, j)
				}
				v := matern(k.c.smooth, places[i].Distance(places[j])/k.c.reach)
				row[j] = sill * (v - by[j-from] + drift)
			}
		}
	}
	return out
}

// most returns the fields of g that matter most, at most n, with their probabilities scaled to add
// up to 1.
func (g *region) most(n int) (fields []int, weights []float64) {
	taken := make([]bool, len(g.fields))
	total := 0.0
	for range min(n, len(g.fields)) {
		best := -1
		for f := range g.fields {
			if !taken[f] && (best < 0 || g.fields[f].weight > g.fields[best].weight) {
				best = f
			}
		}
		taken[best] = true
		fields, weights = append(fields, best), append(weights, g.fields[best].weight)
		total += g.fields[best].weight
	}
	for i := range weights {
		weights[i] /= total
	}
	return fields, weights
}

// enough returns how many of the most likely fields of g have a share of the probability together, at
// most n.
func (g *region) enough(share float64, n int) int {
	all := make([]float64, len(g.fields))
	for f, w := range g.fields {
		all[f] = w.weight
	}
	slices.Sort(all)
	sum := 0.0
	for i := range all {
		if sum += all[len(all)-1-i]; sum >= share || i == n-1 {
			return i + 1
		}
	}
	return len(all)
}

// likely is how many fields are averaged over where all would take long.
const likely = 5

// Depth is how far the depth of fill at a place is known: the true depth, as a rod without error
// would find it there, about the depth of the triangulated floor. The error of a set-up is part of
// it, see [Model.SetupSD], and so is the roughness under the rod.
type Depth struct {
	At     surface.Vec
	SD     float64 // m
	Within float64 // m: the true depth is within ± of the other with a probability of 90 %
	Bias   float64 // m: how much deeper the likely floor is there than the triangulated one
}

// share is the probability of [Depth.Within].
const share = 0.9

// UnknownDepth is how far the depth is known where nothing is.
func UnknownDepth(at surface.Vec) Depth { return Depth{at, math.NaN(), math.NaN(), math.NaN()} }

// Depths returns how far the depth is known at places of a region of the floor: NaN where nothing
// is, as in the tiles of a large region that were not looked at. What the shots say of a field
// counts with its degrees of freedom, as in [Model.Volume].
func (m *Model) Depths(region int, places []surface.Vec) []Depth {
	g, r := m.regions[region], m.in.Floor.Regions[region]
	out := make([]Depth, len(places))
	byPiece := make([][]int, len(g.pieces))
	for i, at := range places {
		out[i] = UnknownDepth(at)
		if !m.Known {
			continue
		}
		if b := g.holding(at); b >= 0 {
			byPiece[b] = append(byPiece[b], i)
		}
	}
	locate := r.TIN.Locator()
	fields, weights := g.most(likely)
	setup, reading := m.SetupSD(), m.in.Errors.Reading
	wider := make([]float64, len(fields))
	for w, f := range fields {
		wider[w] = tails(g.fields[f].freedom)
	}
	for b, p := range g.pieces {
		if len(byPiece[b]) == 0 {
			continue
		}
		local := make([]surface.Vec, len(byPiece[b]))
		tin := make([]float64, len(local))
		for j, i := range byPiece[b] {
			local[j] = surface.Vec{X: places[i].X - p.origin.X, Y: places[i].Y - p.origin.Y}
			z, _, ok := locate.At(places[i])
			tin[j] = z - p.mean
			if !ok {
				tin[j] = math.NaN()
			}
		}
		each := make([]joint, len(fields))
		inParallel(len(fields), func(w int) {
			each[w] = g.under[fields[w]][b].at(local, g.fields[fields[w]].sill, false)
		})
		inParallel(len(local), func(j int) {
			d := &out[byPiece[b][j]]
			terms := make([]term, len(fields))
			second := square(setup)
			d.Bias = 0
			for w, f := range fields {
				of := g.fields[f]
				bias, variance := tin[j]-each[w].mean[j], max(0, each[w].variance[j])+square(of.field(reading).Own)
				second += weights[w] * (variance + bias*bias)
				d.Bias += weights[w] * bias
				terms[w] = term{weight: weights[w], mean: bias, scale: math.Sqrt(square(wider[w])*variance + square(setup))}
			}
			d.SD = math.Sqrt(second)
			d.Within = within(terms, d.SD)
		})
	}
	return out
}

// within returns the bound that the size of a quantity is below with the probability [share]. terms
// are normal, with the scales of [tails]; scale is about the standard deviation of all, m.
func within(terms []term, scale float64) float64 {
	if !(scale > 0) {
		return scale
	}
	below := func(h float64) float64 {
		p := 0.0
		for _, t := range terms {
			switch {
			case t.scale > 0:
				p += t.weight * (math.Erf((h-t.mean)/(math.Sqrt2*t.scale)) + math.Erf((h+t.mean)/(math.Sqrt2*t.scale))) / 2
			case h >= math.Abs(t.mean):
				p += t.weight
			}
		}
		return p
	}
	lo, hi := scale, 2*scale
	for below(lo) > share {
		lo /= 2
	}
	for below(hi) < share {
		lo, hi = hi, 2*hi
	}
	return solve(below, share, lo, below(lo), hi, below(hi))
}

// tails returns by how much wider the interval of the probability [share] is with so many degrees
// of freedom than with a variance that is known.
func tails(freedom float64) float64 {
	if freedom > 200 {
		return 1
	}
	const end = (1 + share) / 2
	return distuv.StudentsT{Sigma: 1, Nu: freedom}.Quantile(end) / distuv.UnitNormal.Quantile(end)
}

// Everywhere reports whether [Model.Depths] knows every place: the floor has enough shots, and not so
// many that only a part of its tiles was looked at.
func (m *Model) Everywhere() bool {
	return m.Known && !slices.ContainsFunc(m.regions, func(g *region) bool { return g.each > 1 })
}

// SetupSD is the part of [Depth.SD] that all places have in common, m: the error of a set-up. It is 0
// where the target was read from a set-up too: at the place of a shot of another one it is more, which
// the volume has.
func (m *Model) SetupSD() float64 {
	if m.in.Aim != nil {
		return 0
	}
	fewest := 1
	for i, t := range m.in.Ties {
		if i == 0 || t.Points < fewest {
			fewest = t.Points
		}
	}
	return m.in.Errors.Setup / math.Sqrt(float64(max(1, fewest)))
}

// holding returns the piece that describes the floor at a place; -1 if it was not looked at.
func (g *region) holding(at surface.Vec) int {
	if g.each == 1 {
		return g.nearest(at)
	}
	best, least := -1, math.Inf(1)
	for b, p := range g.pieces {
		for _, c := range p.cells {
			// In the cell, or beside it.
			if d := math.Hypot(p.origin.X+c.x-at.X, p.origin.Y+c.y-at.Y); d < least && d <= math.Sqrt(c.area) {
				best, least = b, d
			}
		}
	}
	return best
}

// nearest returns the piece whose shots are nearest to a place.
func (g *region) nearest(at surface.Vec) int {
	if len(g.pieces) == 1 {
		return 0
	}
	best, least := 0, math.Inf(1)
	for b, p := range g.pieces {
		for i := range p.x {
			if d := math.Hypot(p.x[i]+p.origin.X-at.X, p.y[i]+p.origin.Y-at.Y); d < least {
				best, least = b, d
			}
		}
	}
	return best
}

// Cell is a small part of the filled floor.
type Cell struct {
	At    surface.Vec // its centroid
	Area  float64     // m²
	Depth float64     // m, of the triangulated floor
	Span  float64     // m: over which its depths are spread evenly, half of it to each side
	SD    float64     // m; see [Depth]
}

// Cells returns the parts of the filled floor, region by region, with how far the depth is known in
// each. Of a region with more than some thousand shots it returns parts spread evenly over it.
func (m *Model) Cells() [][]Cell {
	out := make([][]Cell, len(m.regions))
	for i, g := range m.regions {
		var places []surface.Vec
		for _, p := range g.pieces {
			for _, c := range p.cells {
				at := surface.Vec{X: p.origin.X + c.x, Y: p.origin.Y + c.y}
				places = append(places, at)
				out[i] = append(out[i], Cell{At: at, Area: c.area, Depth: c.depth})
			}
		}
		for j, d := range m.Depths(i, places) {
			out[i][j].SD = d.SD
		}
	}
	return out
}

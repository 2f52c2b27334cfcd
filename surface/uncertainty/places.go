package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/mat"

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
	var known, drift mat.Dense
	known.Mul(c.T(), &kc)
	drift.Mul(u.T(), &gu)
	out.cov = mat.NewSymDense(q, nil)
	for i := range q {
		out.cov.SetSym(i, i, out.variance[i])
		for j := i + 1; j < q; j++ {
			v := matern(k.c.smooth, places[i].Distance(places[j])/k.c.reach)
			out.cov.SetSym(i, j, sill*(v-known.At(i, j)+drift.At(i, j)))
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

// likely is how many fields are averaged over where all would take long.
const likely = 5

// Depth is how far the depth of fill at a place is known.
type Depth struct {
	At   surface.Vec
	SD   float64 // m: of the true depth about the depth of the triangulated floor, the error of a set-up included
	Bias float64 // m: how much deeper the likely floor is there than the triangulated one
}

// Depths returns how far the depth is known at places of a region of the floor. Roughness finer
// than the foot of a rod is not part of it.
func (m *Model) Depths(region int, places []surface.Vec) []Depth {
	g, r := m.regions[region], m.in.Floor.Regions[region]
	out := make([]Depth, len(places))
	if !m.Known {
		for i, at := range places {
			out[i] = Depth{at, math.NaN(), math.NaN()}
		}
		return out
	}
	locate := r.TIN.Locator()
	fields, weights := g.most(likely)
	setup := m.in.Errors.Setup
	if m.in.Aim != nil {
		setup = 0 // at the place of a shot of another set-up it is more; the volume has it
	}
	byPiece := make([][]int, len(g.pieces))
	for i, at := range places {
		byPiece[g.nearest(at)] = append(byPiece[g.nearest(at)], i)
	}
	for b, p := range g.pieces {
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
		if len(local) == 0 {
			continue
		}
		second := make([]float64, len(local))
		for w, f := range fields {
			k := g.under[f][b]
			got := k.at(local, g.fields[f].sill, false)
			for j, i := range byPiece[b] {
				bias := tin[j] - got.mean[j]
				second[j] += weights[w] * (got.variance[j] + bias*bias)
				out[i].Bias += weights[w] * bias
			}
		}
		for j, i := range byPiece[b] {
			out[i].At, out[i].SD = places[i], math.Sqrt(second[j]+setup*setup)
		}
	}
	return out
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

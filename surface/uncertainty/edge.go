package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"pourplane/surface"
)

// nearTarget is how far from the target, m, a place may be found on one side of it and be on the other:
// several standard deviations of a depth. Own choice.
const nearTarget = 0.02

// edgeFields is how many fields are looked at for [kriging.beyond]; the others follow them.
const edgeFields = 4

// atEdge returns by how much the true fill is more than what the linear integral over the filled part
// says, for each field of g, m³. Near the target, floor that was found below it may be above and take
// no fill, and floor that was found above it may be below and take some.
func (g *region) atEdge() []float64 {
	out := make([]float64, len(g.fields))
	fields, weights := g.most(g.enough(nextShare, edgeFields))
	mean := 0.0
	more := make([]float64, len(fields))
	inParallel(len(fields), func(i int) {
		for _, k := range g.under[fields[i]] {
			more[i] += g.each * k.beyond(g.fields[fields[i]].sill)
		}
	})
	for i := range more {
		mean += weights[i] * more[i]
	}
	for f := range out {
		out[f] = mean
	}
	for i, f := range fields {
		out[f] = more[i]
	}
	return out
}

// beyond returns Σ area × (E max(0, d) − d) over the filled cells of the edge and Σ area × E max(0, d)
// over the others, m³, where the depth d at each is normal: E max(0, d) = σφ(μ/σ) + μΦ(μ/σ).
func (k *kriging) beyond(sill float64) float64 {
	places := make([]surface.Vec, len(k.p.edge))
	for i, c := range k.p.edge {
		places[i] = surface.Vec{X: c.x, Y: c.y}
	}
	got, sum := k.at(places, sill, false), 0.0
	for i, c := range k.p.edge {
		d := c.depth + c.z - got.mean[i]
		filled := max(0, d)
		if s := math.Sqrt(max(0, got.variance[i])); s > 0 {
			filled = s*distuv.UnitNormal.Prob(d/s) + d*distuv.UnitNormal.CDF(d/s)
		}
		if c.depth > 0 {
			filled -= d
		}
		sum += c.area * filled
	}
	return sum
}

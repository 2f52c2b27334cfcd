package surface

import (
	"slices"

	"pourplane/surface/internal/sum"
)

// Share is what a measured vertex contributes to an elevation that was fitted at a wall.
type Share struct {
	Vertex int32
	Weight float64 // the weights of one fitted elevation add up to 1
}

// Shares returns, for a vertex whose elevation was fitted at a wall, how it changes with that of
// each measured vertex in it. A plane is reproduced: moving all shots by a plane moves it by that
// plane. It is nil for a measured vertex.
func (t *TIN) Shares(v int32) []Share { return t.shares[v] }

// FillWeights returns how much the fill of a region to a target changes with the elevation of each
// vertex of f, m³ per m that the vertex is lower: the integral of the vertex's linear weight over
// the filled part. It is exact, as the fill is linear in the elevations as long as the edge of the
// filled part keeps its place. split is what f.Under returned for the target.
func (f *Floor) FillWeights(split *Floor, target Target, region int) []float64 {
	old, t := f.Regions[region].TIN, split.Regions[region].TIN
	sums := make([]sum.Sum, len(old.Z))
	depths := t.Depths(target.Within(f.Regions[region].Part))
	var within *Locator
	if t != old {
		within = old.Locator()
	}
	for k := range t.Len() {
		v := t.V[3*k : 3*k+3]
		share := filledShare(t.area(k), [3]float64{depths[v[0]], depths[v[1]], depths[v[2]]})
		if share == [3]float64{} {
			continue
		}
		if within == nil {
			for j, w := range share {
				sums[v[j]].Add(w)
			}
			continue
		}
		middle := Vec{X: t.Origin.X + (t.X[v[0]]+t.X[v[1]]+t.X[v[2]])/3, Y: t.Origin.Y + (t.Y[v[0]]+t.Y[v[1]]+t.Y[v[2]])/3}
		_, of, ok := within.At(middle)
		if !ok {
			continue
		}
		for j, w := range share {
			for c, part := range old.Barycentric(of, t.At(v[j])) {
				sums[old.V[3*of+c]].Add(w * part)
			}
		}
	}
	out := make([]float64, len(sums))
	for v := range sums {
		out[v] = sums[v].Value()
	}
	return out
}

// Measured moves the weights of vertices that were fitted at walls to the measured vertices that
// they were fitted to, and returns the new weights.
func (t *TIN) Measured(weights []float64) []float64 {
	out := slices.Clone(weights)
	for v := range out {
		for _, s := range t.shares[int32(v)] {
			out[s.Vertex] += weights[v] * s.Weight
		}
		if t.shares[int32(v)] != nil {
			out[v] = 0
		}
	}
	return out
}

// Barycentric returns the linear weights of the corners of triangle k at a place.
func (t *TIN) Barycentric(k int, at Vec) [3]float64 {
	a, b, c := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
	x, y := at.X-t.Origin.X, at.Y-t.Origin.Y
	ux, uy, vx, vy := t.X[b]-t.X[a], t.Y[b]-t.Y[a], t.X[c]-t.X[a], t.Y[c]-t.Y[a]
	whole := ux*vy - uy*vx
	second := ((x-t.X[a])*vy - (y-t.Y[a])*vx) / whole
	third := (ux*(y-t.Y[a]) - uy*(x-t.X[a])) / whole
	return [3]float64{1 - second - third, second, third}
}

// FilledPart returns the part of a triangle where the depth is above zero, as a convex polygon: the
// linear weights of the triangle's corners at each of its own, in the order of the triangle's; nil
// if no part is. depth is that at the corners.
func FilledPart(depth [3]float64) [][3]float64 {
	whole := [][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	if depth[0] >= 0 && depth[1] >= 0 && depth[2] >= 0 {
		if depth == [3]float64{} {
			return nil
		}
		return whole
	}
	var part [][3]float64
	for i := range depth {
		j := (i + 1) % 3
		if depth[i] > 0 {
			part = append(part, whole[i])
		}
		if (depth[i] > 0) != (depth[j] > 0) {
			var corner [3]float64
			corner[j] = depth[i] / (depth[i] - depth[j])
			corner[i] = 1 - corner[j]
			part = append(part, corner)
		}
	}
	return part
}

// filledShare returns the integrals of the linear weights of a triangle's corners over the part of
// it with depths above zero, m²: the part is cut into triangles, over each of which the integral
// of a linear function is its area times the mean of its corners.
func filledShare(area float64, depth [3]float64) [3]float64 {
	part := FilledPart(depth)
	var out [3]float64
	for i := 2; i < len(part); i++ {
		p, q, r := part[0], part[i-1], part[i]
		share := area * ((q[1]-p[1])*(r[2]-p[2]) - (q[2]-p[2])*(r[1]-p[1]))
		for j := range out {
			out[j] += share * (p[j] + q[j] + r[j]) / 3
		}
	}
	return out
}

// Package plan is the geometry of a floor seen from above, on a grid of whole nanometres:
// places as whole steps, edges and whether they touch or cross, trees that find the edges near
// a place or in a line of sight, the hull of places, and the places nearest to one. It knows
// no elevations. Every yes-or-no question is answered exactly, and ties are settled by place,
// never by row order.
package plan

import "math"

// Vec is a place in plan.
type Vec struct{ X, Y float64 }

// Less orders places from west to east, then from south to north. It settles every tie, so
// that no answer depends on row order.
func (a Vec) Less(b Vec) bool { return a.X < b.X || a.X == b.X && a.Y < b.Y }

// NearestOn returns the place between a and b that is nearest to p.
func (p Vec) NearestOn(a, b Vec) Vec {
	t := p.Along(a, b)
	return Vec{a.X + float64(t*(b.X-a.X)), a.Y + float64(t*(b.Y-a.Y))}
}

// Along returns where between a and b the place is that is nearest to p, from 0 to 1.
func (p Vec) Along(a, b Vec) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	if l := float64(dx*dx) + float64(dy*dy); l > 0 {
		return min(max((float64((p.X-a.X)*dx)+float64((p.Y-a.Y)*dy))/l, 0), 1)
	}
	return 0
}

// Times returns a place n times as far from the origin.
func (a Vec) Times(n float64) Vec { return Vec{n * a.X, n * a.Y} }

// Distance returns the distance in plan.
func (a Vec) Distance(b Vec) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }

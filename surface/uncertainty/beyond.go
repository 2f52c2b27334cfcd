package uncertainty

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
)

// Beyond is a region most of whose fill is where its shots say nothing.
type Beyond struct {
	Region int
	Share  float64 // of the filled area
}

const (
	// mostBeyond is the max share of the filled area that may be beyond the shots. Own choice: of more
	// than half, the shots do not say how uneven it is, and a ± would be that of another floor.
	mostBeyond = 0.5
	// leastReach is how far a shot speaks for the floor at least, m. Own choice.
	leastReach = 1.0
)

// Beyond returns the regions whose fill is mostly beyond the shots: outside the hull of all of them,
// and farther from each than they are from each other (half of them have a neighbour as near), and
// than [leastReach].
func (m *Model) Beyond() (out []Beyond) {
	for i, g := range m.regions {
		if g.beyond > mostBeyond {
			out = append(out, Beyond{i, g.beyond})
		}
	}
	return out
}

// beyondShots returns the share of the filled area of a region that is beyond its shots. It is 0 for one
// so large that only a part of it is looked at.
func (g *region) beyondShots() float64 {
	if g.each > 1 {
		return 0
	}
	var shots []surface.Vec
	for _, p := range g.pieces {
		for i := range p.x {
			shots = append(shots, surface.Vec{X: p.origin.X + p.x[i], Y: p.origin.Y + p.y[i]})
		}
	}
	slices.SortFunc(shots, func(a, b surface.Vec) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	shots = slices.Compact(shots) // tiles share some
	hull := hullOf(shots)
	reach := max(leastReach, neighbours(shots))
	all, beyond := 0.0, 0.0
	for _, p := range g.pieces {
		for _, c := range p.cells {
			all += c.area
			at := surface.Vec{X: p.origin.X + c.x, Y: p.origin.Y + c.y}
			if !inHull(at, hull) && !slices.ContainsFunc(shots, func(s surface.Vec) bool { return s.Distance(at) <= reach }) {
				beyond += c.area
			}
		}
	}
	if all == 0 {
		return 0
	}
	return beyond / all
}

// neighbours returns the median distance of shots to their nearest neighbour, m.
func neighbours(shots []surface.Vec) float64 {
	var all []float64
	for i, s := range shots {
		least := math.Inf(1)
		for j, t := range shots {
			if i != j {
				least = min(least, s.Distance(t))
			}
		}
		all = append(all, least)
	}
	if len(all) < 2 {
		return 0
	}
	slices.Sort(all)
	return all[len(all)/2]
}

// side is positive where c is to the left of the line from a to b.
func side(a, b, c surface.Vec) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

// hullOf returns the convex hull of sorted places, counter-clockwise (monotone chain, textbook).
func hullOf(sorted []surface.Vec) []surface.Vec {
	var hull []surface.Vec
	for range 2 {
		first := len(hull)
		for _, s := range sorted {
			for len(hull) >= first+2 && side(hull[len(hull)-2], hull[len(hull)-1], s) <= 0 {
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, s)
		}
		hull = hull[:len(hull)-1] // the next half begins with it
		sorted = slices.Clone(sorted)
		slices.Reverse(sorted)
	}
	return hull
}

func inHull(p surface.Vec, hull []surface.Vec) bool {
	for i, a := range hull {
		if side(a, hull[(i+1)%len(hull)], p) < 0 {
			return false
		}
	}
	return len(hull) > 2
}

package plan

import (
	"cmp"
	"slices"

	"pourplane/surface/internal/delaunay"
)

// ConvexHull returns the corners of the hull, counter-clockwise from the westernmost,
// without those on an edge between two others. Source: Andrew 1979, Information Processing
// Letters 9:216-219, with exact turns.
func ConvexHull(p []Vec) []int32 {
	// Points inside the polygon of the extremes in eight directions cannot be on the hull;
	// on a large survey few points are left to sort.
	var ring []Vec
	for _, dir := range []Vec{{-1, 0}, {-1, -1}, {0, -1}, {1, -1}, {1, 0}, {1, 1}, {0, 1}, {-1, 1}} {
		best := 0
		for i := range p {
			a, c := dir.X*p[i].X+dir.Y*p[i].Y, dir.X*p[best].X+dir.Y*p[best].Y
			if a > c || a == c && p[i].Less(p[best]) {
				best = i
			}
		}
		if len(p) > 0 && (len(ring) == 0 || ring[len(ring)-1] != p[best]) {
			ring = append(ring, p[best])
		}
	}
	var keep []int32
	for i := range p {
		in := len(ring) > 2
		for j := 0; in && j < len(ring); j++ {
			a, c := ring[j], ring[(j+1)%len(ring)]
			in = a == c || Orient(a, c, p[i]) > 0
		}
		if !in {
			keep = append(keep, int32(i))
		}
	}
	slices.SortFunc(keep, func(i, j int32) int {
		if c := cmp.Compare(p[i].X, p[j].X); c != 0 {
			return c
		}
		return cmp.Compare(p[i].Y, p[j].Y)
	})
	keep = slices.CompactFunc(keep, func(i, j int32) bool { return p[i] == p[j] })
	if len(keep) < 3 {
		return keep
	}
	var hull []int32
	half := func(i int32, floor int) {
		for len(hull) >= floor+2 && Orient(p[hull[len(hull)-2]], p[hull[len(hull)-1]], p[i]) <= 0 {
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, i)
	}
	for _, i := range keep {
		half(i, 0)
	}
	lower := len(hull) - 1
	for _, i := range slices.Backward(keep[:len(keep)-1]) {
		half(i, lower)
	}
	return hull[:len(hull)-1]
}

// HullOf returns what [ConvexHull] does, from the triangulation of the places.
func HullOf(m *delaunay.Mesh) []int32 {
	at := func(v int32) Vec { return Vec{m.X[v], m.Y[v]} }
	var all []int32
	west := 0
	first := int32(slices.Index(m.V, m.Inf()))
	for h := first; len(all) == 0 || h != first; h = delaunay.Next(m.Twin[h]) {
		v := m.V[delaunay.Next(h)] // where the hull edge of this ghost ends
		if len(all) > 0 && at(v).Less(at(all[west])) {
			west = len(all)
		}
		all = append(all, v)
	}
	n := len(all)
	var hull []int32
	for i := range n {
		before, v, after := all[(west+i+n-1)%n], all[(west+i)%n], all[(west+i+1)%n]
		if Orient(at(before), at(v), at(after)) != 0 {
			hull = append(hull, v)
		}
	}
	return hull
}

package surface

import (
	"math"
	"slices"
)

// setBoxes stores the boxes round the regions, to find the few regions near a place among
// thousands.
func (b *builder) setBoxes() {
	boxes := make([]edge, len(b.regions)) // from the south-west to the north-east corner
	for i, r := range b.regions {
		n := &r.tree.node[0]
		boxes[i] = edge{a: Vec{n.west, n.south}, b: Vec{n.east, n.north}, at: i}
	}
	b.boxes = newEdgeTree(boxes)
}

// regionsAt returns the regions whose box p is in, in their order, within two steps as
// [edgeTree.on].
func (b *builder) regionsAt(p Vec) []*region {
	const near = 2
	var at []int
	b.boxes.each(func(n *edgeNode) bool { return n.away(p) <= 2*near }, func(e *edge) bool {
		if e.a.X-near <= p.X && p.X <= e.b.X+near && e.a.Y-near <= p.Y && p.Y <= e.b.Y+near {
			at = append(at, e.at)
		}
		return true
	})
	slices.Sort(at)
	out := make([]*region, len(at))
	for i, r := range at {
		out[i] = b.regions[r]
	}
	return out
}

// nearRegions calls visit for the regions that may have an edge within *reach of p. visit
// may reduce *reach.
func (b *builder) nearRegions(p Vec, reach *float64, visit func(*region)) {
	b.boxes.near(p, reach, func(e *edge) {
		box := edgeNode{west: e.a.X, south: e.a.Y, east: e.b.X, north: e.b.Y}
		if box.away(p) <= *reach*(1+sure) {
			visit(b.regions[e.at])
		}
	})
}

// toEdge returns the distance from p to the nearest edge of a region, in steps.
func (b *builder) toEdge(p Vec) float64 {
	best := math.Inf(1)
	b.nearRegions(p, &best, func(r *region) { r.tree.near(p, &best, func(e *edge) { best = min(best, e.distance(p)) }) })
	return best
}

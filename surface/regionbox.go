package surface

import (
	"math"
	"pourplane/surface/internal/plan"
)

// setBoxes stores the boxes round the regions, to find the few regions near a place among
// thousands.
func (b *builder) setBoxes() {
	trees := make([]*plan.EdgeTree, len(b.regions))
	for i, r := range b.regions {
		trees[i] = r.tree
	}
	b.boxes = plan.NewBoxTree(trees)
}

// regionsAt returns the regions whose box p is in, in their order, see [plan.BoxTree.Holding].
// The result is valid until the next call.
func (b *builder) regionsAt(p Vec) []*region {
	b.held, b.near = b.boxes.Holding(p, b.held[:0]), b.near[:0]
	for _, r := range b.held {
		b.near = append(b.near, b.regions[r])
	}
	return b.near
}

// nearRegions calls visit for the regions that may have an edge within *reach of p. visit
// may reduce *reach.
func (b *builder) nearRegions(p Vec, reach *float64, visit func(*region)) {
	b.boxes.Near(p, reach, func(i int) { visit(b.regions[i]) })
}

// toEdge returns the distance from p to the nearest edge of a region, in steps.
func (b *builder) toEdge(p Vec) float64 {
	best := math.Inf(1)
	b.nearRegions(p, &best, func(r *region) { r.tree.Near(p, &best, func(e *plan.Edge) { best = min(best, e.Distance(p)) }) })
	return best
}

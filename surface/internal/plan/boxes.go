package plan

import "slices"

// BoxTree finds the few of many edge trees that are near a place, by the boxes round them.
type BoxTree struct {
	boxes *EdgeTree // edges from the south-west to the north-east corner
}

// NewBoxTree returns the boxes round trees.
func NewBoxTree(trees []*EdgeTree) BoxTree {
	boxes := make([]Edge, len(trees))
	for i, t := range trees {
		n := &t.node[0]
		boxes[i] = Edge{A: Vec{n.west, n.south}, B: Vec{n.east, n.north}, At: i}
	}
	return BoxTree{NewEdgeTree(boxes)}
}

// Holding appends to at, which is empty, the numbers of the trees whose box p is in, in their
// order, within two steps as [EdgeTree.On].
func (t BoxTree) Holding(p Vec, at []int) []int {
	const near = 2
	t.boxes.each(func(n *edgeNode) bool { return n.away(p) <= 2*near }, func(e *Edge) bool {
		if e.A.X-near <= p.X && p.X <= e.B.X+near && e.A.Y-near <= p.Y && p.Y <= e.B.Y+near {
			at = append(at, e.At)
		}
		return true
	})
	slices.Sort(at)
	return at
}

// Near calls visit for the trees that may have an edge within *reach of p. visit may reduce
// *reach.
func (t BoxTree) Near(p Vec, reach *float64, visit func(i int)) {
	t.boxes.Near(p, reach, func(e *Edge) {
		box := edgeNode{west: e.A.X, south: e.A.Y, east: e.B.X, north: e.B.Y}
		if box.away(p) <= *reach*(1+sure) {
			visit(e.At)
		}
	})
}

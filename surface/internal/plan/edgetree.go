package plan

import (
	"cmp"
	"math"
	"slices"
)

// EdgeTree finds those of many edges that are near a place or a line, by nested boxes.
// Answers are exact: boxes only skip edges that cannot matter.
type EdgeTree struct {
	All   []Edge // as given
	order []Edge // by leaf
	node  []edgeNode
}

// edgeNode is a box round edges. Nodes are in preorder: the first child of a node follows
// it.
type edgeNode struct {
	west, east, south, north float64
	strip                    strip
	skip                     int32 // the node after this one and all its children
	from, to                 int32 // range in order, of a leaf; else from = to
}

// inner reports whether n, at i, has children.
func (n *edgeNode) inner(i int32) bool { return n.skip > i+1 }

func (n *edgeNode) middle() Vec { return Vec{(n.west + n.east) / 2, (n.south + n.north) / 2} }

// away returns the distance from p to the box of n, 0 inside it.
func (n *edgeNode) away(p Vec) float64 {
	return math.Hypot(max(n.west-p.X, 0, p.X-n.east), max(n.south-p.Y, 0, p.Y-n.north))
}

const leafEdges = 4

// NewEdgeTree returns a tree of edges, which it keeps as All.
func NewEdgeTree(edges []Edge) *EdgeTree {
	t := &EdgeTree{All: edges, order: slices.Clone(edges)}
	t.grow(0, int32(len(edges)))
	return t
}

func (t *EdgeTree) grow(from, to int32) {
	n := edgeNode{west: math.Inf(1), east: math.Inf(-1), south: math.Inf(1), north: math.Inf(-1)}
	for _, e := range t.order[from:to] {
		n.west, n.east = min(n.west, e.A.X, e.B.X), max(n.east, e.A.X, e.B.X)
		n.south, n.north = min(n.south, e.A.Y, e.B.Y), max(n.north, e.A.Y, e.B.Y)
	}
	n.strip = stripOf(t.order[from:to])
	at := len(t.node)
	t.node = append(t.node, n)
	if to-from <= leafEdges {
		t.node[at].from, t.node[at].to = from, to
	} else {
		if n.east-n.west > n.north-n.south {
			slices.SortStableFunc(t.order[from:to], func(e, f Edge) int { return cmp.Compare(e.A.X+e.B.X, f.A.X+f.B.X) })
		} else {
			slices.SortStableFunc(t.order[from:to], func(e, f Edge) int { return cmp.Compare(e.A.Y+e.B.Y, f.A.Y+f.B.Y) })
		}
		half := (from + to) / 2
		t.grow(from, half)
		t.grow(half, to)
	}
	t.node[at].skip = int32(len(t.node))
}

// each calls visit for the edges in the boxes for which want is true, until visit returns
// false.
func (t *EdgeTree) each(want func(*edgeNode) bool, visit func(*Edge) bool) {
	for i := int32(0); i < int32(len(t.node)); {
		n := &t.node[i]
		if !want(n) {
			i = n.skip
			continue
		}
		for k := n.from; k < n.to; k++ {
			if !visit(&t.order[k]) {
				return
			}
		}
		i++
	}
}

// Side reports where a place is relative to closed rings, by parity: it is inside if the
// line from it to the east crosses the edges an odd number of times.
func (t *EdgeTree) Side(p Vec) Side {
	out := Outside
	t.each(func(n *edgeNode) bool { return n.south <= p.Y && p.Y <= n.north && p.X <= n.east }, func(e *Edge) bool {
		if (e.A.Y > p.Y) == (e.B.Y > p.Y) {
			if (e.A.Y == p.Y || e.B.Y == p.Y) && Within(e.A, e.B, p) && Orient(e.A, e.B, p) == 0 {
				out = OnBorder
			}
			return out != OnBorder
		}
		switch o := Orient(e.A, e.B, p); {
		case o == 0:
			out = OnBorder
		case (o > 0) == (e.B.Y > e.A.Y):
			out = -out
		}
		return out != OnBorder
	})
	return out
}

// On appends to out the edges that p is on, within two steps: walls that run at an angle
// pass between the places of the grid, and so do shots on them.
func (t *EdgeTree) On(p Vec, out []Edge) []Edge {
	const near = 2
	const beside = near + 1 // rounding of a distance is far below a step
	t.each(func(n *edgeNode) bool {
		return n.west <= p.X+near && p.X-near <= n.east && n.south <= p.Y+near && p.Y-near <= n.north
	}, func(e *Edge) bool {
		// Most edges of a leaf are clear of p by their box alone.
		if max(e.A.X, e.B.X) < p.X-beside || min(e.A.X, e.B.X) > p.X+beside || max(e.A.Y, e.B.Y) < p.Y-beside || min(e.A.Y, e.B.Y) > p.Y+beside {
			return true
		}
		if e.Distance(p) <= near {
			out = append(out, *e)
		}
		return true
	})
	return out
}

// Near calls visit for the edges that may be within *reach of p. visit may reduce *reach.
func (t *EdgeTree) Near(p Vec, reach *float64, visit func(*Edge)) {
	var look func(i int32)
	look = func(i int32) {
		n := &t.node[i]
		if n.away(p) > *reach*(1+sure) {
			return
		}
		for k := n.from; k < n.to; k++ {
			visit(&t.order[k])
		}
		if n.inner(i) {
			first, second := i+1, t.node[i+1].skip
			if t.node[second].away(p) < t.node[first].away(p) {
				first, second = second, first
			}
			look(first)
			look(second)
		}
	}
	look(0)
}

// Distance returns the distance from p to the nearest edge, in steps.
func (t *EdgeTree) Distance(p Vec) float64 {
	best := math.Inf(1)
	t.Near(p, &best, func(e *Edge) { best = min(best, e.Distance(p)) })
	return best
}

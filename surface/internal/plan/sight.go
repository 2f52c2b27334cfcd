package plan

import (
	"math"

	"pourplane/surface/internal/exact"
)

// sure is a relative bound on the rounding of the tests below, far larger than that
// rounding: a box or strip that is only just out of the way has its edges checked.
const sure = 1e-12

// strip is the space between two parallel lines that holds some edges, along the longest of
// them. Long edges side by side, as the rays of a star, have boxes that overlap and strips
// that do not.
type strip struct {
	x, y        float64 // unit vector across, (0, 0) if all edges are points
	least, most float64 // along it
}

func stripOf(edges []Edge) strip {
	s := strip{least: math.Inf(1), most: math.Inf(-1)}
	longest := 0.0
	for _, e := range edges {
		dx, dy := e.B.X-e.A.X, e.B.Y-e.A.Y
		if d := dx*dx + dy*dy; d > longest {
			longest, s.x, s.y = d, -dy, dx
		}
	}
	if longest > 0 {
		d := math.Sqrt(longest)
		s.x, s.y = s.x/d, s.y/d
	}
	for _, e := range edges {
		for _, p := range [2]Vec{e.A, e.B} {
			at, doubt := s.across(p)
			s.least, s.most = min(s.least, at-doubt), max(s.most, at+doubt)
		}
	}
	return s
}

// across returns the position of p across the strip, and the max error by rounding.
func (s *strip) across(p Vec) (at, doubt float64) {
	u, v := s.x*p.X, s.y*p.Y
	return u + v, sure * (math.Abs(u) + math.Abs(v))
}

// beside reports whether a and b are certainly on the same side of the strip.
func (s *strip) beside(a, b Vec) bool {
	u, du := s.across(a)
	v, dv := s.across(b)
	return u+du < s.least && v+dv < s.least || u-du > s.most && v-dv > s.most
}

// sight is a line of sight and its box.
type sight struct {
	Edge
	west, east, south, north float64
}

func newSight(a, b Vec) sight {
	return sight{Edge: Edge{A: a, B: b}, west: min(a.X, b.X), east: max(a.X, b.X), south: min(a.Y, b.Y), north: max(a.Y, b.Y)}
}

// mayMeet reports whether s may meet an edge in node n.
func (s *sight) mayMeet(n *edgeNode) bool {
	if n.east < s.west || n.west > s.east || n.north < s.south || n.south > s.north {
		return false
	}
	return sideOfBox(s.A, s.B, n) == 0 && !n.strip.beside(s.A, s.B)
}

// sideOfBox reports the side of the line from a to b that the box of n is on: +1 left, -1
// right, 0 if the line may pass through it.
func sideOfBox(a, b Vec, n *edgeNode) int {
	dx, dy := b.X-a.X, b.Y-a.Y
	mid := n.middle()
	l, r := dx*(mid.Y-a.Y), dy*(mid.X-a.X)
	half := math.Abs(dx)*(n.north-n.south)/2 + math.Abs(dy)*(n.east-n.west)/2 + sure*(math.Abs(l)+math.Abs(r))
	switch d := l - r; {
	case d > half:
		return 1
	case d < -half:
		return -1
	}
	return 0
}

// stoppedBy reports whether wall e hides the ends of s from each other. A wall hides nothing
// from a place on it, and a line that grazes a corner is clear. Places on walls are rounded
// to the grid, so "on" means within two steps.
func (s *sight) stoppedBy(e *Edge) bool {
	const on = 2
	return Meet(s.A, s.B, e.A, e.B) == exact.Cross && min(e.Distance(s.A), e.Distance(s.B), s.Distance(e.A), s.Distance(e.B)) > on
}

// Blocked reports whether a wall hides a and b from each other, see [sight.stoppedBy].
func (t *EdgeTree) Blocked(a, b Vec) bool {
	s := newSight(a, b)
	return t.blocks(&s, 0)
}

// blocks reports whether an edge in node i stops s.
func (t *EdgeTree) blocks(s *sight, i int32) bool {
	n := &t.node[i]
	if !s.mayMeet(n) {
		return false
	}
	for k := n.from; k < n.to; k++ {
		if s.stoppedBy(&t.order[k]) {
			return true
		}
	}
	if !n.inner(i) {
		return false
	}
	// Most blocked sights are blocked near their start.
	first, second := i+1, t.node[i+1].skip
	if square(s.A, t.node[second].middle()) < square(s.A, t.node[first].middle()) {
		first, second = second, first
	}
	return t.blocks(s, first) || t.blocks(s, second)
}

// square returns the square of the distance in plan.
func square(a, b Vec) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	return dx*dx + dy*dy
}

// fewWalls is the max number of edges checked one by one for each line of sight; for more,
// the tree is faster.
const fewWalls = 24

// Hidden appends to out, for each of the places k[of[…]], whether a wall hides it from p, as
// [EdgeTree.Blocked]. All sights leave from one place, so there are usually few walls that
// any of them can meet, and these are found once.
func (t *EdgeTree) Hidden(p Vec, k []Vec, of []int32, out []bool) []bool {
	walls, few := t.inFan(newFan(p, k, of))
	for _, i := range of {
		s := newSight(p, k[i])
		stopped := false
		if few {
			for j := range walls {
				if stopped = s.stoppedBy(&walls[j]); stopped {
					break
				}
			}
		} else {
			stopped = t.blocks(&s, 0)
		}
		out = append(out, stopped)
	}
	return out
}

// fan is the space that lines of sight from one place to others pass through: a box and, if
// they all leave within less than half a turn, the wedge between the outermost.
type fan struct {
	box               edgeNode
	from, left, right Vec
	wedge             bool
}

func newFan(p Vec, k []Vec, of []int32) fan {
	f := fan{from: p, left: p, right: p, wedge: true}
	f.box.west, f.box.east, f.box.south, f.box.north = p.X, p.X, p.Y, p.Y
	var mean Vec
	for _, i := range of {
		q := k[i]
		f.box.west, f.box.east = min(f.box.west, q.X), max(f.box.east, q.X)
		f.box.south, f.box.north = min(f.box.south, q.Y), max(f.box.north, q.Y)
		mean.X += q.X - p.X
		mean.Y += q.Y - p.Y
	}
	for _, i := range of {
		q := k[i]
		if q == p {
			continue
		}
		// All are certainly within a right angle of the mean direction, so left and right
		// are less than half a turn apart.
		if u, v := (q.X-p.X)*mean.X, (q.Y-p.Y)*mean.Y; !(u+v > sure*(math.Abs(u)+math.Abs(v))) {
			f.wedge = false
			break
		}
		if f.left == p || Orient(p, f.left, q) > 0 {
			f.left = q
		}
		if f.right == p || Orient(p, f.right, q) < 0 {
			f.right = q
		}
	}
	f.wedge = f.wedge && f.left != p
	return f
}

// mayMeet reports whether a sight in f may meet an edge in the box of n.
func (f *fan) mayMeet(n *edgeNode) bool {
	b := &f.box
	if n.east < b.west || n.west > b.east || n.north < b.south || n.south > b.north {
		return false
	}
	return !f.wedge || sideOfBox(f.from, f.left, n) <= 0 && sideOfBox(f.from, f.right, n) >= 0
}

// inFan returns the edges that a sight in f may meet; false if there are too many.
func (t *EdgeTree) inFan(f fan) (walls []Edge, few bool) {
	few = true
	t.each(func(n *edgeNode) bool { return few && f.mayMeet(n) }, func(e *Edge) bool {
		box := edgeNode{west: min(e.A.X, e.B.X), east: max(e.A.X, e.B.X), south: min(e.A.Y, e.B.Y), north: max(e.A.Y, e.B.Y)}
		if f.mayMeet(&box) {
			walls = append(walls, *e)
		}
		few = len(walls) <= fewWalls
		return few
	})
	return walls, few
}

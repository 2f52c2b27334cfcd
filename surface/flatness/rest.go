package flatness

import "math"

// free is a support that is an end of the edge, between two nodes.
const free = -1

// resting follows an edge of one length along a stretch. Its start is at s, from node i to
// node i+1, its end from node j to node j+1. It rests on nodes a and b, or on its ends; the
// max gap is at node low, -1 if there is none.
type resting struct {
	*stretch
	length float64
	s      float64
	start  float64 // m, elevation of the floor under the start
	stop   float64 // m, and under the end
	i, j   int
	a, b   int
	low    int
	to     *tally
	line   float64 // m, across: the line's position
	rise   float64 // m, rise of the target over the length of the edge

	from, till    chord   // the underside of the edge at the start and at the end of a move
	begin, finish float64 // m, elevations of the floor under both ends at the end of a move
	held          holding // what stays the same while both supports are nodes
}

// holding is the edge on nodes a and b, wherever it starts.
type holding struct {
	chord
	a, b int
	gap  float64 // m
	bin  int     // of that gap
	rock bool    // it rocks on a hump
}

// floor returns the elevation at x, between nodes k and k+1.
func (r *resting) floor(x float64, k int) float64 {
	return r.z[k] + float64((r.z[k+1]-r.z[k])*(x-r.x[k])/(r.x[k+1]-r.x[k]))
}

// supports returns the places of the supports of the edge that starts at s.
func (r *resting) supports(s float64) (xa, za, xb, zb float64) {
	if xa = s; r.a == free {
		za = r.floor(s, r.i)
	} else {
		xa, za = r.x[r.a], r.z[r.a]
	}
	if xb = s + r.length; r.b == free {
		zb = r.floor(xb, r.j)
	} else {
		xb, zb = r.x[r.b], r.z[r.b]
	}
	return xa, za, xb, zb
}

// at puts the start of the edge at s, between the same nodes.
func (r *resting) at(s float64) {
	r.s, r.start, r.stop = s, r.floor(s, r.i), r.floor(s+r.length, r.j)
}

// edge returns the underside of the edge.
func (r *resting) edge() chord { return r.laid(r.s, r.start, r.stop) }

// edgeAt returns the underside of the edge that starts at s.
func (r *resting) edgeAt(s float64) chord {
	xa, za, xb, zb := r.supports(s)
	return chord{xa, za, (zb - za) / (xb - xa)}
}

// apart returns the places of the supports of the edge that starts at s.
func (r *resting) apart(s float64) (xa, xb float64) {
	xa, xb = s, s+r.length
	if r.a != free {
		xa = r.x[r.a]
	}
	if r.b != free {
		xb = r.x[r.b]
	}
	return xa, xb
}

// laid is [resting.edgeAt] with the elevations of the floor under both ends.
func (r *resting) laid(s, start, end float64) chord {
	xa, za, xb, zb := s, start, s+r.length, end
	if r.a != free {
		xa, za = r.x[r.a], r.z[r.a]
	}
	if r.b != free {
		xb, zb = r.x[r.b], r.z[r.b]
	}
	return chord{xa, za, (zb - za) / (xb - xa)}
}

// between returns the nodes between the supports.
func (r *resting) between() (first, last int) {
	first, last = r.a+1, r.b-1
	if r.a == free {
		first = r.i + 1
	}
	if r.b == free {
		last = r.j
	}
	return first, last
}

// gapUnder returns the height of c over node k, ≥ 0; 0 if k is -1.
func (r *resting) gapUnder(c chord, k int) float64 {
	if k < 0 {
		return 0
	}
	if gap := c.at(r.x[k]) - r.z[k]; gap > 0 {
		return gap
	}
	return 0
}

// lowest returns the node with the max gap under the edge, the first of several; -1 if no node
// is between the supports. Often it is the same as before.
func (r *resting) lowest() int {
	first, last := r.between()
	if first > last {
		return -1
	}
	c := r.edge()
	if r.low < first || r.low > last {
		return r.lower(c, first, last, math.Inf(-1))
	}
	if r.downRight(last) >= c.slope && r.downLeft(first) <= c.slope {
		return r.low
	}
	k := r.lower(c, first, last, math.Nextafter(c.at(r.x[r.low])-r.z[r.low], math.Inf(-1)))
	if k < 0 { // by rounding of the bounds of its block
		k = r.low
	}
	return k
}

// next returns the right support of the edge if its left one is at (x, z): the next corner of
// the hull. It checks nodes from first on.
func (r *resting) next(x, z float64, first int) int {
	end := r.s + r.length
	if end <= x {
		return free
	}
	last := r.j
	if r.x[last] >= end {
		last--
	}
	k := r.steepest(x, z, first, last, (r.stop-z)/(end-x))
	if k >= 0 && (chord{x, z, (r.z[k] - z) / (r.x[k] - x)}).at(end)-r.stop <= sameHeight {
		return free // in line with the end, which is farther
	}
	return k
}

// settle finds the supports of the edge that starts at s: along the hull from its start to
// the side under its middle.
func (r *resting) settle(s float64) {
	r.at(s)
	r.a, r.b = free, r.next(s, r.start, r.i+1)
	for r.b != free && r.x[r.b] < s+r.length/2 {
		r.a, r.b = r.b, r.next(r.x[r.b], r.z[r.b], r.b+1)
	}
	r.rest()
}

// rest computes the values for new supports. If more than two nodes touch the edge, as on
// floors read to a whole millimetre, the outermost count.
func (r *resting) rest() {
	if r.a != free && r.b != free {
		c := r.edge()
		if k := r.touching(c, r.i+1, r.a-1); k >= 0 {
			r.a = k
		}
		for k := r.b; k >= 0; k = r.touching(c, k+1, r.j) {
			r.b = k
		}
	}
	r.lowAt(r.lowest())
}

// place puts the start of the edge at s.
func (r *resting) place(s float64) {
	r.bound()
	for r.i = 0; r.i+2 < len(r.x) && r.x[r.i+1] <= s; r.i++ {
	}
	for r.j = r.i; r.j+2 < len(r.x) && r.x[r.j+1] <= s+r.length; r.j++ {
	}
	r.held.a, r.hinge.p, r.hulls.cut, r.low = free, free, free, free
	r.settle(s)
}

// run moves the edge from one end of the stretch to the other and passes every piece of the
// way to the tally. The stretch is at least as long as the edge.
func (r *resting) run() {
	r.place(r.x[0])
	r.to.fits = true
	r.to.consider(r, r.s, r.gapUnder(r.edge(), r.low), r.low) // if there is no way to move
	r.to.differ(r)
	end := r.x[len(r.x)-1] - r.length
	for r.s < end {
		start, stop := r.x[r.i+1], r.x[r.j+1]-r.length
		t := end // without the builtin min, which minds what is no number
		if start < t {
			t = start
		}
		if stop < t {
			t = stop
		}
		if !r.glide(t) {
			r.move(t)
		}
		r.to.differ(r) // linear between nodes, so max with an end on one
		if start <= r.s {
			r.i++
			r.start = r.floor(r.s, r.i)
			if r.a == r.i {
				r.a = free
			}
		}
		if stop <= r.s && r.j+2 < len(r.x) {
			r.j++
			r.stop = r.floor(r.s+r.length, r.j)
			r.arrived()
		}
	}
}

// arrived lets the edge rest on node j, which its end has come to, if it has to.
func (r *resting) arrived() {
	c := r.held.chord
	if r.a != r.held.a || r.b != r.held.b || r.a == free {
		c = r.edge()
	}
	if r.b == free && r.slopes[r.j] < c.slope || r.b != free && c.at(r.x[r.j])-r.z[r.j] <= sameHeight {
		r.b = r.j
		r.rest()
	}
}

// glide moves the start of the edge to t if both supports are nodes and stay so; neither of its
// ends passes a node. It is false if they may not: then nothing has moved.
func (r *resting) glide(t float64) bool {
	if r.a == free || r.b == free || r.x[r.b]-r.length/2 <= t {
		return false
	}
	h := &r.held
	fresh := h.a != r.a || h.b != r.b
	if fresh {
		h.chord, h.a, h.b = r.edge(), r.a, r.b
		h.gap, h.rock = r.gapUnder(h.chord, r.low), r.x[r.b]-r.x[r.a] < r.length/3
		h.bin = binOf(h.gap)
	}
	ahead := r.floor(t+r.length, r.j)
	if ahead-h.at(t+r.length) > sameHeight {
		return false
	}
	if fresh { // later it is no worse
		r.to.consider(r, (r.s+t)/2, h.gap, r.low)
	}
	r.to.hold(h, t-r.s)
	r.s, r.start, r.stop = t, r.floor(t, r.i), ahead
	return true
}

// event is the end of a piece of the way.
type event uint8

const (
	arrive event = iota // nothing: the end of the move
	pass                // the middle passes the right support
	end                 // the free end of the edge touches the floor
	touch               // a node touches the edge
)

// move moves the start of the edge to t; neither of its ends passes a node. A piece of the
// way ends where the supports change.
func (r *resting) move(t float64) {
	for stuck := 0; r.s < t; stuck++ {
		u, what, node, low := r.until(t)
		if u > r.s {
			r.to.piece(r, r.s, u, r.from, r.till, r.low, low)
			r.lowAt(low)
			stuck = 0
		}
		r.s, r.start, r.stop = u, r.begin, r.finish
		if what == arrive {
			continue
		}
		if stuck > 20 {
			panic("flatness: the edge finds no rest")
		}
		switch what {
		case pass:
			before := r.edge().slope
			r.a, r.b = r.b, r.next(r.x[r.b], r.z[r.b], r.b+1)
			r.to.flip(r, before-r.edge().slope)
		case end:
			if r.b != free {
				r.b = free
			} else {
				r.a = free
			}
		case touch:
			if u+r.length/2 >= r.x[node] {
				r.a = node
			} else {
				r.b = node
			}
		}
		r.rest()
	}
}

// until returns how far the edge can move toward t on the same supports, the event that ends
// the move, the node that touches, and the node with the max gap there.
func (r *resting) until(t float64) (u float64, what event, node, low int) {
	s := r.s
	u = t
	if r.b != free {
		mid := r.x[r.b] - r.length/2
		if mid < s {
			mid = s
		}
		if mid <= u {
			u, what = mid, pass
		}
	}
	r.from = r.edge()
	r.begin, r.finish = r.floor(u, r.i), r.floor(u+r.length, r.j)
	if r.a != free && r.b != free { // the floor under the end against a fixed line
		c := r.from
		if f := rising(r.stop-c.at(s+r.length), r.finish-c.at(u+r.length), 0); f <= 1 {
			u, what = s+f*(u-s), end
			r.begin, r.finish = r.floor(u, r.i), r.floor(u+r.length, r.j)
		}
		r.till = c
		return u, what, node, r.low
	}
	if k := max(r.a, r.b); k != free {
		// The free end. Both ends of the edge are on straight floor, so the height of their
		// chord above a node is of second order in s.
		f := rising(r.ends(s, k, r.start, r.stop), r.ends(u, k, r.begin, r.finish), r.bend(u-s))
		if f <= 1 {
			u, what = s+f*(u-s), end
			r.begin, r.finish = r.floor(u, r.i), r.floor(u+r.length, r.j)
		}
	}
	for {
		c := r.laid(u, r.begin, r.finish)
		r.till = c
		v, k := r.meets(c)
		if v < 0 || u <= s {
			return u, what, node, k
		}
		q := 0.0
		if r.a == free && r.b == free {
			q = -r.bend(u - s)
		}
		u, what, node = s+root(r.above(s, r.from, v), r.above(u, c, v), q)*(u-s), touch, v
		r.begin, r.finish = r.floor(u, r.i), r.floor(u+r.length, r.j)
	}
}

// meets returns the node that is farthest above c, the edge after a move on the same supports
// of which at least one is an end of the edge, -1 if there is none, and the node with the max
// gap under c.
func (r *resting) meets(c chord) (high, low int) {
	first, last := r.between()
	low = r.low
	gap := math.Inf(-1)
	p := max(r.a, r.b)
	if p == free && first <= low && last-first >= block &&
		r.downLeft(first) <= c.slope && c.slope <= r.downRight(last) && r.clears(c.slope) {
		return -1, low
	}
	if p == free || low < first || c.slope < r.from.slope {
		if low >= first {
			gap = c.at(r.x[low]) - r.z[low]
		}
		l := r.under(c, first, last, gap)
		if l.low >= 0 {
			low = l.low
		}
		high = l.high
		if high < 0 && r.a != free { // an edge that turns up comes down on its other side
			high = r.under(c, r.i+1, r.a-1, math.Inf(1)).high
		}
		return high, low
	}
	// The edge has turned up about p: it comes down on the nodes left of p only, and the max
	// gap goes to the right only.
	high = -1
	if (c.slope-r.flattest(p))*(r.x[p]-r.x[r.i+1]) > sameHeight/2 { // at the start, so nowhere more
		high = r.under(c, r.i+1, r.hinge.flatter(c.slope), math.Inf(1)).high
	}
	if c.slope > r.downRight(last) {
		if k := r.lower(c, low+1, last, c.at(r.x[low])-r.z[low]); k >= 0 {
			low = k
		}
	}
	return high, low
}

// ends returns the height of the line from end to end of the edge above node k, with the
// elevations of the floor under both ends.
func (r *resting) ends(s float64, k int, za, zb float64) float64 {
	return za + float64((zb-za)*(r.x[k]-s)/r.length) - r.z[k]
}

// bend returns the second-order part of [resting.ends] over a move of d metres.
func (r *resting) bend(d float64) float64 {
	return (r.slopes[r.j] - r.slopes[r.i]) * d * d / r.length
}

// above returns the height of node v above c, the edge that starts at s, times the distance
// of the supports if one of them is a node: that product is of first order in s.
func (r *resting) above(s float64, c chord, v int) float64 {
	over := r.z[v] - c.at(r.x[v])
	if r.a != free || r.b != free {
		xa, xb := r.apart(s)
		over *= xb - xa
	}
	return over
}

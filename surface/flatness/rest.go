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
	i, j   int
	a, b   int
	low    int
	to     *tally
	line   float64 // m, across: the line's position
	rise   float64 // m, rise of the target over the length of the edge

	from, till chord   // the underside of the edge at the start and at the end of a move
	held       holding // what stays the same while both supports are nodes
	pivot      int     // the node that leftmost is about
	leftmost   float64 // min slope from it to a node on its left under the edge, at the latest when it was worked out
}

// holding is the edge on nodes a and b, wherever it starts.
type holding struct {
	chord
	a, b int
	gap  float64 // m
	bin  int     // of that gap
	rock bool    // it rocks on a hump
}

// slope of the floor from node k to the next.
func (r *resting) slope(k int) float64 { return (r.z[k+1] - r.z[k]) / (r.x[k+1] - r.x[k]) }

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

// edge returns the underside of the edge that starts at s.
func (r *resting) edge(s float64) chord {
	xa, za, xb, zb := r.supports(s)
	return chord{xa, za, (zb - za) / (xb - xa)}
}

// laid is [resting.edge] with the elevations of the floor under both ends.
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

// gap returns the height of the edge that starts at s over node k, ≥ 0; 0 if k is -1.
func (r *resting) gap(s float64, k int) float64 { return r.gapUnder(r.edge(s), k) }

// gapUnder returns the height of c over node k, ≥ 0; 0 if k is -1.
func (r *resting) gapUnder(c chord, k int) float64 {
	if k < 0 {
		return 0
	}
	return max(0, c.at(r.x[k])-r.z[k])
}

// lowest returns the node with the max gap under the edge that starts at s, the first of
// several; -1 if no node is between the supports. Often it is the same as before.
func (r *resting) lowest(s float64) int {
	first, last := r.between()
	c := r.edge(s)
	if r.low < first || r.low > last {
		return r.lower(c, first, last, math.Inf(-1))
	}
	k := r.lower(c, first, last, math.Nextafter(c.at(r.x[r.low])-r.z[r.low], math.Inf(-1)))
	if k < 0 { // by rounding of the bounds of its block
		k = r.low
	}
	return k
}

// next returns the right support of an edge that starts at s and has its left one at (x, z):
// the next corner of the hull. It checks nodes from first on.
func (r *resting) next(s, x, z float64, first int) int {
	end := s + r.length
	if end <= x {
		return free
	}
	last := r.j
	if r.x[last] >= end {
		last--
	}
	top := r.floor(end, r.j)
	k := r.steepest(x, z, first, last, (top-z)/(end-x))
	if k >= 0 && (chord{x, z, (r.z[k] - z) / (r.x[k] - x)}).at(end)-top <= sameHeight {
		return free // in line with the end, which is farther
	}
	return k
}

// settle finds the supports of the edge that starts at s: along the hull from its start to
// the side under its middle.
func (r *resting) settle(s float64) {
	r.s = s
	r.a, r.b = free, r.next(s, s, r.floor(s, r.i), r.i+1)
	for r.b != free && r.x[r.b] < s+r.length/2 {
		r.a, r.b = r.b, r.next(s, r.x[r.b], r.z[r.b], r.b+1)
	}
	r.rest(s)
}

// rest computes the values for new supports. If more than two nodes touch the edge, as on
// floors read to a whole millimetre, the outermost count.
func (r *resting) rest(s float64) {
	if r.a != free && r.b != free {
		c := r.edge(s)
		a := r.a
		r.reach(&c, r.i+1, a-1, sameHeight, func(k int) { r.a = min(r.a, k) })
		r.reach(&c, r.b+1, r.j, sameHeight, func(k int) { r.b = k })
	}
	r.low = r.lowest(s)
}

// place puts the start of the edge at s.
func (r *resting) place(s float64) {
	for r.i = 0; r.i+2 < len(r.x) && r.x[r.i+1] <= s; r.i++ {
	}
	for r.j = r.i; r.j+2 < len(r.x) && r.x[r.j+1] <= s+r.length; r.j++ {
	}
	r.settle(s)
}

// run moves the edge from one end of the stretch to the other and passes every piece of the
// way to the tally. The stretch is at least as long as the edge.
func (r *resting) run() {
	r.place(r.x[0])
	r.held.a, r.pivot = free, free
	r.to.fits = true
	r.to.consider(r, r.s, r.gap(r.s, r.low), r.low) // if there is no way to move
	r.to.differ(r, r.floor(r.s+r.length, r.j))
	end := r.x[len(r.x)-1] - r.length
	for r.s < end {
		start, stop := r.x[r.i+1], r.x[r.j+1]-r.length
		t := min(start, stop, end)
		ahead, ok := r.glide(t)
		if !ok {
			r.move(t)
			ahead = r.floor(r.s+r.length, r.j)
		}
		r.to.differ(r, ahead) // linear between nodes, so max with an end on one
		if start <= r.s {
			r.i++
			if r.a == r.i {
				r.a = free
			}
		}
		if stop <= r.s && r.j+2 < len(r.x) {
			r.j++
			c := r.held.chord
			if r.a != r.held.a || r.b != r.held.b || r.a == free {
				c = r.edge(r.s)
			}
			if r.b == free && r.slope(r.j) < c.slope || r.b != free && c.at(r.x[r.j])-r.z[r.j] <= sameHeight {
				r.b = r.j
				r.rest(r.s)
			}
		}
	}
}

// glide moves the start of the edge to t if both supports are nodes and stay so; neither of its
// ends passes a node. ahead is the elevation of the floor under its far end there. It is false if
// they may not: then nothing has moved.
func (r *resting) glide(t float64) (ahead float64, ok bool) {
	if r.a == free || r.b == free || r.x[r.b]-r.length/2 <= t {
		return 0, false
	}
	h := &r.held
	fresh := h.a != r.a || h.b != r.b
	if fresh {
		c := r.edge(r.s)
		gap := r.gapUnder(c, r.low)
		*h = holding{c, r.a, r.b, gap, binOf(gap), r.x[r.b]-r.x[r.a] < r.length/3}
	}
	ahead = r.floor(t+r.length, r.j)
	if ahead-h.at(t+r.length) > sameHeight {
		return 0, false
	}
	if fresh { // later it is no worse
		r.to.consider(r, (r.s+t)/2, h.gap, r.low)
	}
	r.to.hold(h, t-r.s)
	r.s = t
	return ahead, true
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
			r.low, stuck = low, 0
		}
		r.s = u
		if stuck > 20 {
			panic("flatness: the edge finds no rest")
		}
		switch what {
		case pass:
			before := r.edge(u).slope
			r.a, r.b = r.b, r.next(u, r.x[r.b], r.z[r.b], r.b+1)
			r.to.flip(r, before-r.edge(u).slope)
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
		if what != arrive {
			r.rest(u)
		}
	}
}

// until returns how far the edge can move toward t on the same supports, the event that ends
// the move, the node that touches, and the node with the max gap there.
func (r *resting) until(t float64) (u float64, what event, node, low int) {
	s := r.s
	u = t
	if r.b != free {
		if mid := max(s, r.x[r.b]-r.length/2); mid <= u {
			u, what = mid, pass
		}
	}
	if r.a != free && r.b != free { // the floor under the end against a fixed line
		c := r.edge(s)
		over := func(s float64) float64 { return r.floor(s+r.length, r.j) - c.at(s+r.length) }
		if f := rising(over(s), over(u), 0); f <= 1 {
			u, what = s+f*(u-s), end
		}
		r.from, r.till = c, c
		return u, what, node, r.low
	}
	start, stop := r.floor(s, r.i), r.floor(s+r.length, r.j)
	r.from = r.laid(s, start, stop)
	begin, finish := r.floor(u, r.i), r.floor(u+r.length, r.j)
	if k := max(r.a, r.b); k != free {
		// The free end. Both ends of the edge are on straight floor, so the height of their
		// chord above a node is of second order in s.
		f := rising(r.ends(s, k, start, stop), r.ends(u, k, begin, finish), r.bend(u-s))
		if f <= 1 {
			u, what = s+f*(u-s), end
			begin, finish = r.floor(u, r.i), r.floor(u+r.length, r.j)
		}
	}
	for {
		c := r.laid(u, begin, finish)
		r.till = c
		v, k := r.meets(c)
		if v < 0 || u <= s {
			return u, what, node, k
		}
		q := 0.0
		if r.a == free && r.b == free {
			q = -r.bend(u - s)
		}
		u, what, node = s+root(r.touching(s, r.from, v), r.touching(u, c, v), q)*(u-s), touch, v
		begin, finish = r.floor(u, r.i), r.floor(u+r.length, r.j)
	}
}

// meets returns the node that is farthest above c, the edge after a move on the same supports
// of which at least one is an end of the edge, -1 if there is none, and the node with the max
// gap under c.
func (r *resting) meets(c chord) (high, low int) {
	first, last := r.between()
	low = r.low
	gap := math.Inf(-1)
	if low >= first {
		gap = c.at(r.x[low]) - r.z[low]
	}
	p := max(r.a, r.b)
	if p == free || low < first || c.slope < r.from.slope {
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
	if p != r.pivot {
		r.pivot, r.leftmost = p, r.flattest(p, r.i+1)
	}
	high = -1
	if (c.slope-r.leftmost)*(r.x[p]-r.x[r.i+1]) > sameHeight/2 { // at the start, so nowhere more
		if high = r.under(c, r.i+1, p-1, math.Inf(1)).high; high < 0 {
			r.leftmost = r.flattest(p, r.i+1)
		}
	}
	if k := r.lower(c, low+1, last, gap); k >= 0 {
		low = k
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
	return (r.slope(r.j) - r.slope(r.i)) * d * d / r.length
}

// touching returns the height of node v above c, the edge that starts at s, times the distance
// of the supports if one of them is a node: that product is of first order in s.
func (r *resting) touching(s float64, c chord, v int) float64 {
	over := r.z[v] - c.at(r.x[v])
	if r.a != free || r.b != free {
		xa, _, xb, _ := r.supports(s)
		over *= xb - xa
	}
	return over
}

package delaunay

import "pourplane/surface/internal/exact"

type place struct{ x, y float64 }

func (a place) less(b place) bool { return exact.Less(a.x, a.y, b.x, b.y) }

func orient(a, b, c place) int { return exact.Orient(a.x, a.y, b.x, b.y, c.x, c.y) }

func inCircle(a, b, c, d place) int { return exact.InCircle(a.x, a.y, b.x, b.y, c.x, c.y, d.x, d.y) }

// builder holds the triangulation while it grows; its vertices are numbered in insertion
// order.
type builder struct {
	p     []place
	v, tw []int32
	inf   int32
}

// Triangulate returns the Delaunay triangulation of the places (x[i], y[i]), with ties
// decided as in the package comment. The slices are kept, not copied, and not changed. The
// triangles, their order and the first corner of each depend on the coordinates only.
//
// It returns the first that applies of [ErrLengths], [ErrTooMany], [FiniteError],
// [DuplicateError] and [ErrCollinear].
//
// Places are inserted one by one. Each splits the triangle that contains it, and edges round
// it are flipped while the place is inside the circle beyond (Lawson 1977, Mathematical
// Software III 161-194). The expected time is O(n log n).
func Triangulate(x, y []float64) (*Mesh, error) {
	n := len(x)
	switch {
	case len(y) != n:
		return nil, ErrLengths
	case n > MaxPoints:
		return nil, ErrTooMany
	}
	order := make([]int32, n)
	// Euler: a sphere of n+1 vertices has 2(n+1)-4 triangles.
	v := make([]int32, max(6*n-6, 3*n))
	if err := insertionOrder(order, v, x, y); err != nil {
		return nil, err
	}
	if n < 3 {
		return nil, ErrCollinear
	}
	b := &builder{p: make([]place, n), v: v, tw: make([]int32, len(v)), inf: int32(n)}
	for i, o := range order {
		b.p[i] = place{x[o], y[o]}
	}
	if !b.start(order) {
		return nil, ErrCollinear
	}
	t := int32(0)
	for i := int32(3); i < b.inf; i++ {
		t = b.insert(i, b.locate(b.p[i], t))
	}
	for i, o := range v {
		if o < b.inf {
			v[i] = order[o]
		}
	}
	return &Mesh{X: x, Y: y, V: v, Twin: b.tw, Mark: make([]uint8, len(v))}, nil
}

// start makes the first triangle from the first three places not in one row, moving the
// third forward, and reports whether there are such places.
func (b *builder) start(order []int32) bool {
	for k := 2; k < len(b.p); k++ {
		o := orient(b.p[0], b.p[1], b.p[k])
		if o == 0 {
			continue
		}
		p, q := b.p[k], order[k]
		copy(b.p[3:k+1], b.p[2:k])
		copy(order[3:k+1], order[2:k])
		b.p[2], order[2] = p, q
		i, j, inf := int32(1), int32(2), b.inf
		if o < 0 {
			i, j = j, i
		}
		copy(b.v, []int32{0, i, j, i, 0, inf, j, i, inf, 0, j, inf})
		copy(b.tw, []int32{3, 6, 9, 0, 11, 7, 1, 5, 10, 2, 8, 4})
		return true
	}
	return false
}

// locate walks from triangle t to the one that contains p, or to a ghost whose hull edge p
// is beyond. In a Delaunay triangulation such a walk ends: Edelsbrunner 1990, Combinatorica
// 10:251-260.
func (b *builder) locate(p place, t int32) int32 {
	h := 3 * t
	for i := h; i < h+3; i++ {
		if b.v[i] == b.inf {
			h = b.tw[Next(i)]
			break
		}
	}
	if orient(b.p[b.v[h]], b.p[b.v[Next(h)]], p) < 0 {
		h = b.tw[h]
	}
	for { // p is not right of h
		hn, hp := Next(h), Prev(h)
		c := b.v[hp]
		if c == b.inf {
			return h / 3
		}
		switch q := b.p[c]; {
		case orient(b.p[b.v[hn]], q, p) < 0:
			h = b.tw[hn]
		case orient(q, b.p[b.v[h]], p) < 0:
			h = b.tw[hp]
		default:
			return h / 3
		}
	}
}

// insert splits triangle t at place p, which is in it, and flips edges until the
// triangulation is Delaunay again. It returns a triangle at p.
func (b *builder) insert(p, t int32) int32 {
	v, tw := b.v, b.tw
	// Three triangles around p: t keeps its first edge, u its second, w its third.
	u := 2*p - 2 // the triangles so far: 4 with three places, two more with each
	w := u + 1
	h, i, j := 3*t, 3*u, 3*w
	a, c, d := v[h], v[h+1], v[h+2]
	ti, tj := tw[h+1], tw[h+2]
	v[h+2] = p
	v[i], v[i+1], v[i+2] = c, d, p
	v[j], v[j+1], v[j+2] = d, a, p
	tw[i], tw[ti] = ti, i
	tw[j], tw[tj] = tj, j
	tw[h+1], tw[i+2] = i+2, h+1
	tw[i+1], tw[j+2] = j+2, i+1
	tw[j+1], tw[h+2] = h+2, j+1

	// Round p, h runs over the edges opposite; spokes, once made, stay.
	for {
		hn := Next(h)
		g := tw[h]
		if b.conflict(p, v[h], v[hn], v[Prev(g)]) {
			flip(v, tw, h, g)
			continue
		}
		if v[hn] == a {
			return h / 3
		}
		h = Next(tw[hn])
	}
}

// flip turns the edge h, whose twin is g, within its quadrilateral. After it h is the edge
// of the quadrilateral that came after g, and g the one that came after h.
func flip(v, tw []int32, h, g int32) {
	hn, gn := Next(h), Next(g)
	p, d := v[Prev(h)], v[Prev(g)]
	ti, tj := tw[gn], tw[hn]
	v[hn], v[gn] = d, p
	tw[h], tw[ti] = ti, h
	tw[g], tw[tj] = tj, g
	tw[hn], tw[gn] = gn, hn
}

// conflict reports whether p is inside the circle of the triangle v, u, d, which shares the
// edge from u to v with the triangle p, u, v.
//
// A ghost's circle is the open half-plane beyond its hull edge, plus the hull edge.
func (b *builder) conflict(p, u, v, d int32) bool {
	switch inf := b.inf; inf {
	case u:
		return orient(b.p[d], b.p[v], b.p[p]) > 0
	case v:
		return orient(b.p[u], b.p[d], b.p[p]) > 0
	case d:
		return orient(b.p[u], b.p[v], b.p[p]) == 0 // p split a triangle and is on the edge
	}
	pp, pu, pv, pd := b.p[p], b.p[u], b.p[v], b.p[d]
	s := inCircle(pp, pu, pv, pd)
	return s > 0 || s == 0 && pulled(pp, pd, pu, pv)
}

// pulled reports whether the westernmost, then southernmost of four places on a circle is
// one of a and c, opposite each other, and not of b and d.
func pulled(a, c, b, d place) bool {
	if c.less(a) {
		a = c
	}
	return a.less(b) && a.less(d)
}

package delaunay

import (
	"math"
	"math/bits"
	"runtime"

	"pourplane/surface/internal/exact"
)

type place struct{ x, y float64 }

func (a place) less(b place) bool { return exact.Less(a.x, a.y, b.x, b.y) }

// builder holds the triangulation while it grows. Its vertices are numbered along the curve
// of [curveOrder]; those of a range lo:hi are triangulated in the triangles 2·lo to 2·hi-3,
// so that every part knows its own memory. A ghost is kept as far corner, near corner,
// infinity: its half-edges are the hull edge from outside, the way out, the way back.
type builder struct {
	p     []place
	order []visit // the vertices
	v, tw []int32
	start []int32 // per vertex on a hull: the ghost, by its first half-edge, of the hull edge that starts there
	inf   int32
	whole bool          // coordinates are whole numbers
	short bool          // and below 2^25: the side of a line is worked out without rounding
	idle  chan struct{} // one token for each processor without work
}

// extremes are the outermost vertices of a part. Ties go to the first by [exact.Less] in the
// west, to the last in the east, and to either in the other two.
type extremes struct{ west, east, south, north int32 }

// Triangulate returns the Delaunay triangulation of the places (x[i], y[i]), with ties
// decided as in the package comment. The slices are kept, not copied, and not changed. The
// triangles, their order and the first corner of each depend on the coordinates only.
//
// It returns the first that applies of [ErrLengths], [ErrTooMany], [FiniteError],
// [DuplicateError] and [ErrCollinear].
//
// Places are divided along a Z-shaped curve, by lines that run north and east in turn, and
// the halves are joined from one tangent of their hulls to the other (Guibas and Stolfi 1985,
// ACM Transactions on Graphics 4:74-123; with turning cuts, Dwyer 1987, Algorithmica
// 2:137-151). Halves are worked out side by side. The time is O(n log n) for places that no
// one has contrived.
func Triangulate(x, y []float64) (*Mesh, error) {
	n := len(x)
	switch {
	case len(y) != n:
		return nil, ErrLengths
	case n > MaxPoints:
		return nil, ErrTooMany
	}
	u, badX := axisOf(x)
	w, badY := axisOf(y)
	if bad := min(uint32(badX), uint32(badY)); int32(bad) >= 0 {
		return nil, &FiniteError{int32(bad)}
	}
	order, err := curveOrder(x, y, u, w)
	if err != nil {
		return nil, err
	}
	if n < 3 {
		return nil, ErrCollinear
	}
	// Euler: a sphere of n+1 vertices has 2(n+1)-4 triangles.
	v := make([]int32, 6*n-6)
	b := &builder{p: make([]place, n), order: order, v: v, tw: make([]int32, len(v)), start: make([]int32, n), inf: int32(n)}
	b.lay(x, y, u, w)
	b.idle = make(chan struct{}, runtime.GOMAXPROCS(0))
	for range cap(b.idle) - 1 {
		b.idle <- struct{}{}
	}
	b.solve(0, b.inf)
	if !b.area() {
		return nil, ErrCollinear
	}
	share(len(v), func(_, lo, hi int) {
		for i, o := range v[lo:hi] {
			if o < b.inf {
				v[lo+i] = order[o].place()
			}
		}
	})
	return &Mesh{X: x, Y: y, V: v, Twin: b.tw, Mark: make([]uint8, len(v))}, nil
}

// lay copies the places in their order. Places on a lattice, as surveys in whole millimetres
// or hundredths of a foot are, become whole numbers without a common divisor: then most
// predicates have no rounding at all. Neither a shift nor a change of scale changes a
// triangulation.
func (b *builder) lay(x, y []float64, u, w axis) {
	step := gcd(u.step, w.step)
	b.whole = step > 0 && (u.step > 0 || u.low == u.high) && (w.step > 0 || w.low == w.high)
	if !b.whole {
		share(len(x), func(_, lo, hi int) {
			for i := lo; i < hi; i++ {
				o := b.order[i].place()
				b.p[i] = place{x[o], y[o]}
			}
		})
		return
	}
	b.short = max(u.high-u.low, w.high-w.low) < step*(1<<25)
	inverse := 1 / step
	share(len(x), func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			o := b.order[i].place()
			b.p[i] = place{math.Trunc((x[o]-u.low)*inverse + 0.5), math.Trunc((y[o]-w.low)*inverse + 0.5)}
		}
	})
}

// area reports whether there is a triangle that is no ghost.
func (b *builder) area() bool {
	for h := 2; h < len(b.v); h += 3 {
		if b.v[h] != b.inf {
			return true
		}
	}
	return false
}

// solve triangulates the vertices from lo to hi, hi not included.
func (b *builder) solve(lo, hi int32) extremes {
	switch hi - lo {
	case 1:
		return extremes{lo, lo, lo, lo}
	case 2:
		return b.pair(lo)
	case 3:
		if s := b.orient(lo, lo+1, lo+2); s != 0 {
			return b.triple(lo, s)
		}
	}
	mid, upright := b.divide(lo, hi)
	var l, r extremes
	if hi-lo > 1<<13 {
		l, r = b.both(lo, mid, hi)
	} else {
		l, r = b.solve(lo, mid), b.solve(mid, hi)
	}
	if upright {
		b.merge(l.east, r.west, lo, mid, hi)
	} else {
		b.merge(l.north, r.south, lo, mid, hi)
	}
	return b.extremes(l, r)
}

// both triangulates two halves, side by side if a processor is idle.
func (b *builder) both(lo, mid, hi int32) (l, r extremes) {
	select {
	case <-b.idle:
	default:
		return b.solve(lo, mid), b.solve(mid, hi)
	}
	done := make(chan extremes)
	go func() {
		e := b.solve(lo, mid)
		b.idle <- struct{}{}
		done <- e
	}()
	r = b.solve(mid, hi)
	return <-done, r
}

// pair joins two vertices by an edge: two ghosts, back to back.
func (b *builder) pair(lo int32) extremes {
	h := 6 * lo
	*(*[6]int32)(b.v[h:]) = [6]int32{lo + 1, lo, b.inf, lo, lo + 1, b.inf}
	*(*[6]int32)(b.tw[h:]) = [6]int32{h + 3, h + 5, h + 4, h, h + 2, h + 1}
	b.start[lo], b.start[lo+1] = h, h+3
	return b.extremes(extremes{lo, lo, lo, lo}, extremes{lo + 1, lo + 1, lo + 1, lo + 1})
}

// triple makes a triangle of three vertices not in one row, with its three ghosts.
func (b *builder) triple(lo int32, side float64) extremes {
	i, j, k, inf := lo, lo+1, lo+2, b.inf
	e := b.extremes(b.extremes(extremes{i, i, i, i}, extremes{j, j, j, j}), extremes{k, k, k, k})
	if side < 0 {
		j, k = k, j
	}
	h := 6 * lo
	*(*[12]int32)(b.v[h:]) = [12]int32{i, j, k, j, i, inf, k, j, inf, i, k, inf}
	*(*[12]int32)(b.tw[h:]) = [12]int32{h + 3, h + 6, h + 9, h, h + 11, h + 7, h + 1, h + 5, h + 10, h + 2, h + 8, h + 4}
	b.start[i], b.start[j], b.start[k] = h+3, h+6, h+9
	return e
}

// divide returns the first vertex of the second half, and whether the line between the
// halves runs north: then the first half is west of it, else south.
func (b *builder) divide(lo, hi int32) (mid int32, upright bool) {
	first, last := b.order[lo].cell(), b.order[hi-1].cell()
	if first == last { // one cell of the curve: ordered by coordinates
		return (lo + hi) / 2, true
	}
	bit := bits.Len32(first^last) - 1
	cut := last >> bit << bit
	i, j := lo+1, hi-1
	for i < j {
		if k := (i + j) / 2; b.order[k].cell() < cut {
			i = k + 1
		} else {
			j = k
		}
	}
	return i, bit%2 == 1
}

func (b *builder) extremes(l, r extremes) extremes {
	p := b.p
	e := l
	if p[r.west].less(p[l.west]) {
		e.west = r.west
	}
	if p[l.east].less(p[r.east]) {
		e.east = r.east
	}
	if p[r.south].y < p[l.south].y {
		e.south = r.south
	}
	if p[r.north].y > p[l.north].y {
		e.north = r.north
	}
	return e
}

func (b *builder) link(h, g int32) { b.tw[h], b.tw[g] = g, h }

// merge joins two halves that a line parts, from their common tangent on the right of it
// going down to the one at the other end. ll and lr are their vertices nearest the line. The
// names are for halves left and right of an upright line.
func (b *builder) merge(ll, lr, lo, mid, hi int32) {
	v, tw, inf := b.v, b.tw, b.inf
	loneL, loneR := mid-lo == 1, hi-mid == 1
	// gl is the ghost of the hull edge that starts at ll, gr of the hull edge that ends at lr.
	var gl, gr int32
	if !loneL {
		gl = b.start[ll]
	}
	next := b.start[lr]
	for {
		if !loneL {
			g := tw[gl+1] - 2
			if u := v[g+1]; b.orient(ll, lr, u) < 0 {
				ll, gl = u, g
				continue
			}
		}
		if !loneR {
			if u := v[next]; b.orient(ll, lr, u) < 0 {
				lr, next = u, tw[next+2]-1
				continue
			}
		}
		break
	}
	bottom, top := 6*mid-6, 6*mid-3
	v[bottom], v[bottom+1], v[bottom+2] = lr, ll, inf
	if !loneL {
		b.link(bottom+1, tw[gl+1])
	}
	if !loneR {
		gr = tw[next+1] - 2
		b.link(bottom+2, next+1)
	}
	b.start[ll] = bottom
	base := bottom // from lr to ll, below the space still open
	for {
		left := !loneL && b.orient(ll, lr, v[gl]) > 0
		right := !loneR && b.orient(ll, lr, v[gr+1]) > 0
		if !left && !right {
			break
		}
		if left {
			b.clearLeft(gl, ll, lr)
		}
		if right {
			b.clearRight(gr, ll, lr)
		}
		// The ghost of the hull edge chosen becomes a triangle with the other end of base.
		if !left || right && b.inside(v[gr+1], ll, lr, v[gl]) {
			up := tw[gr+1] - 2
			v[gr+2] = ll
			b.link(gr+2, base)
			lr, base, gr = v[gr+1], gr+1, up
		} else {
			up := tw[gl+2] - 1
			v[gl+2] = lr
			b.link(gl+1, base)
			ll, base, gl = v[gl], gl+2, up
		}
	}
	v[top], v[top+1], v[top+2] = ll, lr, inf
	b.link(top, base)
	if loneR {
		b.link(top+1, bottom+2)
	} else {
		b.link(top+1, gr+2)
	}
	if loneL {
		b.link(top+2, bottom+1)
	} else {
		b.link(top+2, gl+1)
	}
	b.start[lr] = top
}

// clearLeft takes away the edges at ll that the circle through base and their far end proves
// wrong: each is flipped out to the hull, where the ghost g of the edge from ll moves on to
// the next.
func (b *builder) clearLeft(g, ll, lr int32) {
	v, tw := b.v, b.tw
	for {
		e := tw[g]
		ep := Prev(e)
		n := v[ep]
		if n == b.inf || !b.inside(n, lr, v[g], ll) {
			return
		}
		en := Next(e)
		t := e - e%3
		far, near, up := tw[en], tw[ep], tw[g+2]
		v[t], v[t+1], v[t+2] = v[g], n, b.inf
		v[g] = n
		b.link(g, near)
		b.link(t, far)
		b.link(t+2, up)
		b.link(g+2, t+1)
	}
}

// clearRight does for lr what clearLeft does for ll; g is the ghost of the edge to lr.
func (b *builder) clearRight(g, ll, lr int32) {
	v, tw := b.v, b.tw
	for {
		e := tw[g]
		ep := Prev(e)
		n := v[ep]
		if n == b.inf || !b.inside(n, ll, lr, v[g+1]) {
			return
		}
		en := Next(e)
		t := e - e%3
		near, far, up := tw[en], tw[ep], tw[g+1]
		v[t], v[t+1], v[t+2] = n, v[g+1], b.inf
		v[g+1] = n
		b.link(g, near)
		b.link(t, far)
		b.link(t+1, up)
		b.link(g+1, t+2)
	}
}

// orient has the sign of [exact.Orient].
func (b *builder) orient(i, j, k int32) float64 {
	p, q, r := b.p[i], b.p[j], b.p[k]
	if b.short {
		return float64((p.x-r.x)*(q.y-r.y)) - float64((p.y-r.y)*(q.x-r.x))
	}
	return float64(exact.Orient(p.x, p.y, q.x, q.y, r.x, r.y))
}

// inside reports whether d is inside the circle through a, u and w, counter-clockwise; on
// it, d comes between w and u, opposite a.
func (b *builder) inside(d, a, u, w int32) bool {
	pd, pa, pu, pw := b.p[d], b.p[a], b.p[u], b.p[w]
	var s float64
	if b.whole {
		s = exact.InCircleWhole(pa.x, pa.y, pu.x, pu.y, pw.x, pw.y, pd.x, pd.y)
	} else {
		s = float64(inCircle(pa, pu, pw, pd))
	}
	return s > 0 || s == 0 && pulled(pd, pa, pu, pw)
}

func inCircle(a, b, c, d place) int { return exact.InCircle(a.x, a.y, b.x, b.y, c.x, c.y, d.x, d.y) }

func orient(a, b, c place) int { return exact.Orient(a.x, a.y, b.x, b.y, c.x, c.y) }

// pulled reports whether the westernmost, then southernmost of four places on a circle is
// one of a and c, opposite each other, and not of b and d.
func pulled(a, c, b, d place) bool {
	if c.less(a) {
		a = c
	}
	return a.less(b) && a.less(d)
}

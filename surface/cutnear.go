package surface

import "math"

// nearby finds the triangles of a patch near a place or a segment. It divides the plan into square
// cells, about one per two triangles; each lists the triangles, as they were before the first cut,
// whose box overlaps it. The parts of each are a chain.
type nearby struct {
	p          *patch
	lo         Vec     // steps
	per        float64 // cells a step
	wide, high int
	first      []int32 // start of each cell's list in list
	list       []int32
	next       []int32 // per triangle: the next part of the same one, -1 after the last
	seen       []int32 // per triangle before the first cut: the last search that met it
	search     int32
	found      []int32
}

// besideLine is how far from a line, in steps, a triangle that it splits can be: more than
// nearLine by far more than rounding.
const besideLine = 4 * nearLine

func newNearby(p *patch) nearby {
	n := nearby{p: p, lo: p.k[0], next: make([]int32, p.t.Len()), seen: make([]int32, p.t.Len())}
	hi := p.k[0]
	for _, k := range p.k {
		n.lo = Vec{X: min(n.lo.X, k.X), Y: min(n.lo.Y, k.Y)}
		hi = Vec{X: max(hi.X, k.X), Y: max(hi.Y, k.Y)}
	}
	n.per = math.Sqrt(float64(p.t.Len()) / 2 / ((hi.X - n.lo.X) * (hi.Y - n.lo.Y)))
	n.wide, n.high = int((hi.X-n.lo.X)*n.per)+1, int((hi.Y-n.lo.Y)*n.per)+1
	n.first = make([]int32, n.wide*n.high+1)
	each := func(visit func(cell int, triangle int32)) {
		for t := range int32(p.t.Len()) {
			a, b, c := p.k[p.t.V[3*t]], p.k[p.t.V[3*t+1]], p.k[p.t.V[3*t+2]]
			i0, i1 := n.column(min(a.X, b.X, c.X)), n.column(max(a.X, b.X, c.X))
			for j := n.row(min(a.Y, b.Y, c.Y)); j <= n.row(max(a.Y, b.Y, c.Y)); j++ {
				for i := i0; i <= i1; i++ {
					visit(j*n.wide+i, t)
				}
			}
		}
	}
	each(func(cell int, _ int32) { n.first[cell+1]++ })
	for i := 1; i < len(n.first); i++ {
		n.first[i] += n.first[i-1]
	}
	n.list = make([]int32, n.first[len(n.first)-1])
	each(func(cell int, t int32) {
		n.first[cell+1]--
		n.list[n.first[cell+1]] = t
	})
	// Each start was moved back to that of the cell before it.
	copy(n.first, n.first[1:])
	n.first[len(n.first)-1] = int32(len(n.list))
	for t := range n.next {
		n.next[t] = -1
	}
	return n
}

func (n *nearby) column(x float64) int { return min(max(int((x-n.lo.X)*n.per), 0), n.wide-1) }

func (n *nearby) row(y float64) int { return min(max(int((y-n.lo.Y)*n.per), 0), n.high-1) }

// part adds a triangle to the chain of another that it was a part of.
func (n *nearby) part(of int32) {
	n.next = append(n.next, n.next[of])
	n.next[of] = int32(len(n.next)) - 1
}

// along returns the triangles near the segment from a to b, and perhaps a few others. The result
// is valid until the next call.
func (n *nearby) along(a, b Vec) []int32 {
	n.search++
	n.found = n.found[:0]
	if b.X < a.X {
		a, b = b, a
	}
	for i := n.column(a.X - besideLine); i <= n.column(b.X+besideLine); i++ {
		// The part of the segment in this column of cells, and a little more.
		y0, y1 := a.Y, b.Y
		if b.X > a.X {
			from, to := n.lo.X+float64(i)/n.per-besideLine, n.lo.X+float64(i+1)/n.per+besideLine
			y0 = a.Y + (b.Y-a.Y)*min(max((from-a.X)/(b.X-a.X), 0), 1)
			y1 = a.Y + (b.Y-a.Y)*min(max((to-a.X)/(b.X-a.X), 0), 1)
		}
		for j := n.row(min(y0, y1) - besideLine); j <= n.row(max(y0, y1)+besideLine); j++ {
			cell := j*n.wide + i
			for _, t := range n.list[n.first[cell]:n.first[cell+1]] {
				if n.seen[t] == n.search {
					continue
				}
				n.seen[t] = n.search
				for alone := n.next[t] < 0; t >= 0; t = n.next[t] {
					if alone || n.meets(t, a, b) {
						n.found = append(n.found, t)
					}
				}
			}
		}
	}
	return n.found
}

// meets reports whether the box of a triangle is near that of the segment from a to b, a in the
// west.
func (n *nearby) meets(t int32, a, b Vec) bool {
	k, v := n.p.k, n.p.t.V[3*t:3*t+3]
	p, q, r := &k[v[0]], &k[v[1]], &k[v[2]]
	return max(p.X, q.X, r.X) >= a.X-besideLine && min(p.X, q.X, r.X) <= b.X+besideLine &&
		max(p.Y, q.Y, r.Y) >= min(a.Y, b.Y)-besideLine && min(p.Y, q.Y, r.Y) <= max(a.Y, b.Y)+besideLine
}

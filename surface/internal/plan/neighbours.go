package plan

import (
	"cmp"
	"math"
	"slices"
)

// Neighbours finds the places nearest to a place, by square cells of about two
// places each.
type Neighbours struct {
	k      []Vec
	Of     []int32 // sorted by cell
	start  []int32
	lo     Vec
	cell   float64
	nx, ny int

	found []neighbour // scratch
	near  []int32     // scratch
}

// NewNeighbours returns a finder among the places k[of[…]].
func NewNeighbours(k []Vec, of []int32) *Neighbours {
	n := &Neighbours{k: k}
	lo, hi := k[of[0]], k[of[0]]
	for _, v := range of {
		lo = Vec{min(lo.X, k[v].X), min(lo.Y, k[v].Y)}
		hi = Vec{max(hi.X, k[v].X), max(hi.Y, k[v].Y)}
	}
	w, h := hi.X-lo.X, hi.Y-lo.Y
	n.lo = lo
	n.cell = max(math.Sqrt(2*w*h/float64(len(of))), max(w, h)/1e4, 1)
	n.nx, n.ny = int(w/n.cell)+1, int(h/n.cell)+1
	n.start = make([]int32, n.nx*n.ny+1)
	for _, v := range of {
		n.start[n.index(k[v])+1]++
	}
	for i := 1; i < len(n.start); i++ {
		n.start[i] += n.start[i-1]
	}
	n.Of = make([]int32, len(of))
	fill := slices.Clone(n.start)
	for _, v := range of {
		c := n.index(k[v])
		n.Of[fill[c]] = v
		fill[c]++
	}
	return n
}

// Share returns a finder of the same places for another goroutine.
func (n *Neighbours) Share() *Neighbours {
	other := *n
	other.found, other.near = nil, nil
	return &other
}

// Same reports whether two finders share their places.
func (n *Neighbours) Same(other *Neighbours) bool { return &n.Of[0] == &other.Of[0] }

// Thin returns one of n places per square of a grid of about that many squares: the one
// nearest to its middle. at returns place i, false to skip it.
func Thin(squares float64, n int, at func(i int) (Vec, bool)) []int32 {
	lo, hi := Vec{math.Inf(1), math.Inf(1)}, Vec{math.Inf(-1), math.Inf(-1)}
	for i := range n {
		if p, ok := at(i); ok {
			lo, hi = Vec{min(lo.X, p.X), min(lo.Y, p.Y)}, Vec{max(hi.X, p.X), max(hi.Y, p.Y)}
		}
	}
	if lo.X > hi.X {
		return nil
	}
	w, h := hi.X-lo.X, hi.Y-lo.Y
	side := max(math.Sqrt(w*h/squares), max(w, h)/squares)
	nx := int(w/side) + 1
	best := make([]int32, nx*(int(h/side)+1))
	for i := range best {
		best[i] = -1
	}
	for i := range n {
		p, ok := at(i)
		if !ok {
			continue
		}
		cx, cy := math.Floor((p.X-lo.X)/side), math.Floor((p.Y-lo.Y)/side)
		middle := Vec{lo.X + (cx+0.5)*side, lo.Y + (cy+0.5)*side}
		b := &best[int(cy)*nx+int(cx)]
		if *b >= 0 {
			q, _ := at(int(*b))
			if d, e := middle.Distance(p), middle.Distance(q); d > e || d == e && !p.Less(q) {
				continue
			}
		}
		*b = int32(i)
	}
	return slices.DeleteFunc(best, func(i int32) bool { return i < 0 })
}

func (n *Neighbours) column(p Vec) (i, j int) {
	i = min(max(int((p.X-n.lo.X)/n.cell), 0), n.nx-1)
	j = min(max(int((p.Y-n.lo.Y)/n.cell), 0), n.ny-1)
	return i, j
}

func (n *Neighbours) index(p Vec) int {
	i, j := n.column(p)
	return j*n.nx + i
}

// Alike returns how many of near, sorted by distance, count as the k nearest: also those as
// near as the k-th within rounding. On a grid there are many, and which of them count must
// not depend on the last bit.
func (n *Neighbours) Alike(p Vec, near []int32, k int) int {
	take := min(k, len(near))
	for last := p.Distance(n.k[near[take-1]]); take < len(near) && p.Distance(n.k[near[take]]) <= last*(1+1e-9); {
		take++
	}
	return take
}

// ring returns the places in the cells that are ring cells away from (ci, cj). The result is
// valid until the next call.
func (n *Neighbours) ring(ci, cj, ring int) []int32 {
	n.near = n.near[:0]
	for j := max(cj-ring, 0); j <= min(cj+ring, n.ny-1); j++ {
		step := 1
		if j != cj-ring && j != cj+ring {
			step = max(1, 2*ring)
		}
		for i := ci - ring; i <= ci+ring; i += step {
			if i >= 0 && i < n.nx {
				c := j*n.nx + i
				n.near = append(n.near, n.Of[n.start[c]:n.start[c+1]]...)
			}
		}
	}
	return n.near
}

// Nearer reports whether at least count places with want true are nearer to p than reach.
// After limit calls of want it looks at no more rings of cells, and all is false.
func (n *Neighbours) Nearer(p Vec, reach float64, count, limit int, want func(v int32) bool) (enough, all bool) {
	ci, cj := n.column(p)
	asked := 0
	// No place beyond a ring of cells is nearer than its inner edge, see Around.
	for ring := 0; ring <= max(n.nx, n.ny) && float64(ring-1)*n.cell < reach; ring++ {
		if asked >= limit {
			return false, false
		}
		for _, v := range n.ring(ci, cj, ring) {
			if p.Distance(n.k[v]) >= reach {
				continue
			}
			asked++
			if want(v) {
				if count--; count == 0 {
					return true, true
				}
			}
		}
	}
	return false, true
}

// Around returns the k places nearest to p, nearest first, and all others as near as the
// k-th. The result is valid until the next call.
func (n *Neighbours) Around(p Vec, k int) []int32 {
	ci, cj := n.column(p)
	found := n.found[:0]
	most := math.Inf(1) // square of the max distance of those that may count
	within := 0         // of found: these come first
	for ring := 0; ring <= max(n.nx, n.ny); ring++ {
		for _, v := range n.ring(ci, cj, ring) {
			dx, dy := n.k[v].X-p.X, n.k[v].Y-p.Y
			found = append(found, neighbour{dx*dx + dy*dy, v})
		}
		// No place beyond this ring of cells is nearer than its inner edge. A place outside
		// the cells is farther from all of them, so this is true there too.
		reach := float64(ring) * n.cell
		for i := within; i < len(found); i++ {
			if found[i].square*(1+1e-8) <= reach*reach {
				found[i], found[within] = found[within], found[i]
				within++
			}
		}
		if within >= k {
			most = reach * reach
			break
		}
	}
	n.found = found
	found = slices.DeleteFunc(found, func(f neighbour) bool { return f.square > most })
	slices.SortFunc(found, func(a, b neighbour) int {
		if c := cmp.Compare(a.square, b.square); c != 0 {
			return c
		}
		if n.k[a.v].Less(n.k[b.v]) {
			return -1
		}
		return 1
	})
	take := min(k, len(found))
	for last := found[take-1].square; take < len(found) && found[take].square <= last*(1+1e-8); {
		take++
	}
	n.near = n.near[:0]
	for _, f := range found[:take] {
		n.near = append(n.near, f.v)
	}
	return n.near
}

type neighbour struct {
	square float64 // of the distance
	v      int32
}

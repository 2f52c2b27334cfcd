package surface

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sort"
	"sync"
	"sync/atomic"
)

// Contour is a line of equal depth. A closed line does not repeat its first place. Depth
// increases to the left of its direction.
type Contour struct {
	Level  float64
	Line   []Vec // on the grid of the survey
	Closed bool
}

// Contours traces the lines along which depth equals each of levels, on the triangles
// themselves: within a triangle a line is straight and exact. depth has one value per
// vertex, see [TIN.Depths].
//
// A vertex exactly on a level counts as above it, so every line is closed or ends at an edge
// of the floor, and none branches.
func (t *TIN) Contours(depth, levels []float64) []Contour {
	traced := make([][]Contour, 0, len(levels))
	for some := range slices.Chunk(levels, math.MaxInt16) {
		traced = append(traced, t.contours(depth, some)...)
	}
	return slices.Concat(traced...)
}

// contours returns the lines of each of up to [math.MaxInt16] levels.
func (t *TIN) contours(depth, levels []float64) [][]Contour {
	ranks, reached := rank(depth, levels)
	ways := t.waysIn(reached, len(levels))
	traced := make([][]Contour, len(levels))
	var next atomic.Int64
	trace := func() {
		l := tracer{TIN: t, depth: depth}
		for i := int(next.Add(1)) - 1; i < len(levels); i = int(next.Add(1)) - 1 {
			if w := ways[ranks[i]]; len(w) > 0 {
				traced[i] = l.trace(levels[i], w)
			}
		}
	}
	if t.Len() <= chunk {
		trace()
		return traced
	}
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(levels)) {
		all.Go(trace)
	}
	all.Wait()
	return traced
}

// rank returns for each level the number of levels before it in ascending order, and for
// each depth how many levels it reaches; -1 for no depth, which reaches none.
func rank(depth, levels []float64) (ranks, reached []int16) {
	order := make([]int16, len(levels))
	for i := range order {
		order[i] = int16(i)
	}
	slices.SortStableFunc(order, func(i, j int16) int { return cmp.Compare(levels[i], levels[j]) })
	ranks, sorted := make([]int16, len(levels)), make([]float64, len(levels))
	for r, i := range order {
		ranks[i], sorted[r] = int16(r), levels[i]
	}
	reached = make([]int16, len(depth))
	inChunks(len(depth), func(from, to int) {
		// Most vertices are between the same two levels as the one before.
		below, over, n := math.Inf(1), math.Inf(-1), int16(0)
		for i, d := range depth[from:to] {
			if !(d >= below && d < over) {
				if math.IsNaN(d) {
					reached[from+i] = -1
					continue
				}
				n = int16(sort.Search(len(sorted), func(r int) bool { return sorted[r] > d }))
				below, over = math.Inf(-1), math.Inf(1)
				if n > 0 {
					below = sorted[n-1]
				}
				if int(n) < len(sorted) {
					over = sorted[n]
				}
			}
			reached[from+i] = n
		}
	})
	return ranks, reached
}

// waysIn returns for each of n levels, by rank, the half-edges through which its line enters
// triangles, from above to below: one in each triangle that it crosses, in their order.
func (t *TIN) waysIn(reached []int16, n int) [][]int32 {
	type wayIn struct {
		half int32
		rank int16
	}
	found := make([][]wayIn, (t.Len()+chunk-1)/chunk)
	inChunks(t.Len(), func(from, to int) {
		in := make([]wayIn, 0, (to-from)/8)
		h := int32(3 * from)
		for v := t.V[3*from : 3*to]; len(v) >= 3; v, h = v[3:], h+3 {
			a, b, c := reached[v[0]], reached[v[1]], reached[v[2]]
			if a == b && b == c {
				continue
			}
			low, high := min(a, b, c), max(a, b, c)
			if low < 0 {
				continue
			}
			for r := low; r < high; r++ {
				e := h + 2
				if a > r && b <= r {
					e = h
				} else if b > r && c <= r {
					e = h + 1
				}
				in = append(in, wayIn{e, r})
			}
		}
		found[from/chunk] = in
	})
	count := make([]int, n)
	for _, in := range found {
		for _, w := range in {
			count[w.rank]++
		}
	}
	ways := make([][]int32, n)
	for r, k := range count {
		ways[r] = make([]int32, 0, k)
	}
	for _, in := range found {
		for _, w := range in {
			ways[w.rank] = append(ways[w.rank], w.half)
		}
	}
	return ways
}

// tracer traces the lines of one level after another.
type tracer struct {
	*TIN
	depth []float64
	done  []uint8 // per triangle, the number of the level that last went through it
	this  uint8   // number of the level

	level  float64
	places []Vec // of the lines so far
	before []Vec // of the line, before its first triangle in the order of triangles
}

// traced is a line of a level.
type traced struct {
	from, n int   // its places
	in      int32 // the half-edge where it begins
	closed  bool
}

// trace returns the lines of a level: those that end at an edge of the floor by the triangle
// they begin in, then closed ones, which begin in the first of their triangles.
func (l *tracer) trace(level float64, ways []int32) []Contour {
	if l.this++; l.this == 0 || l.done == nil {
		l.done, l.this = make([]uint8, l.Len()), 1
	}
	l.level, l.places = level, l.places[:0]
	var open, closed []traced
	for _, in := range ways {
		if l.done[in/3] == l.this {
			continue
		}
		from := len(l.places)
		c := traced{from: from, in: in, closed: l.follow(in)}
		if !c.closed {
			c.in = l.back(in, from)
		}
		switch c.n = len(l.places) - from; {
		case c.n < 2 || c.n == 2 && c.closed:
			l.places = l.places[:from]
		case c.closed:
			closed = append(closed, c)
		default:
			open = append(open, c)
		}
	}
	slices.SortFunc(open, func(a, b traced) int { return cmp.Compare(a.in, b.in) })
	places := slices.Clone(l.places) // of all lines, one after the other
	out := make([]Contour, 0, len(open)+len(closed))
	for _, some := range [][]traced{open, closed} {
		for _, c := range some {
			to := c.from + c.n
			out = append(out, Contour{Level: level, Line: places[c.from:to:to], Closed: c.closed})
		}
	}
	return out
}

// follow appends the places of the line from where it enters through a half-edge. They are
// computed from the upper end of each edge, so that both triangles get the same bits.
func (l *tracer) follow(first int32) (closed bool) {
	up, down := l.V[first], l.V[Next(first)]
	from := len(l.places)
	line := append(l.places, l.between(up, down))
	for in := first; ; {
		l.done[in/3] = l.this
		out := Next(in)
		if v := l.V[Next(out)]; l.depth[v] >= l.level {
			up = v
		} else {
			out, down = Next(out), v
		}
		twin := l.Twin[out]
		if closed = twin == first; closed {
			break
		}
		if p := l.between(up, down); p != line[len(line)-1] {
			line = append(line, p)
		}
		if twin < 0 {
			break
		}
		in = twin
	}
	if n := len(line); closed && n-from > 1 && line[from] == line[n-1] {
		line = line[:n-1]
	}
	l.places = line
	return closed
}

// back inserts at from the places of an open line before it enters through a half-edge, and
// returns the half-edge where it begins.
func (l *tracer) back(in int32, from int) int32 {
	l.before = l.before[:0]
	last := l.places[from]
	for out := l.Twin[in]; out >= 0; out = l.Twin[in] {
		l.done[out/3] = l.this
		down, up := l.V[out], l.V[Next(out)]
		in = Next(out)
		if v := l.V[Next(in)]; l.depth[v] >= l.level {
			in, up = Next(in), v
		} else {
			down = v
		}
		if p := l.between(up, down); p != last {
			l.before = append(l.before, p)
			last = p
		}
	}
	slices.Reverse(l.before)
	l.places = slices.Insert(l.places, from, l.before...)
	return in
}

// between returns the place between two vertices where the depth is the level.
func (l *tracer) between(up, down int32) Vec {
	s := (l.level - l.depth[up]) / (l.depth[down] - l.depth[up])
	return Vec{
		X: l.Origin.X + l.X[up] + float64(s*(l.X[down]-l.X[up])),
		Y: l.Origin.Y + l.Y[up] + float64(s*(l.Y[down]-l.Y[up])),
	}
}

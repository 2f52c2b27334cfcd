package surface

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface/internal/delaunay"
	"pourplane/surface/internal/plan"
)

// creasing splits the triangles of a patch along lines that meet at their ends only, all at once:
// each triangle is filled anew between its corners, the places where lines cross its edges, and the
// ends of lines inside it. Split line by line, as [patch.cut] does, triangles between lines that fan
// out from one place would be many times as many.
//
// A place within nearLine of a corner is that corner; one as near to an edge is on that edge.
type creasing struct {
	p       *patch
	twin    []int32 // of the triangles before they are split
	edgeOf  []int32 // per half-edge, the first of two: its number in edges, -1 for none
	edges   []creased
	innerOf []int32 // per triangle: its number in inner, -1 for none
	inner   []inner
	host    map[int32]int32      // the triangle that an end of a line is inside
	ends    map[[2]int64][]int32 // corners at ends of lines by place, in squares of nearLine
}

// creased is an edge with new corners on it, from the first of its ends in the order of [Vec.Less].
type creased struct {
	stops []stop
	last  int // the course that was last followed over it
}

// inner is what is inside a triangle: ends of lines, and pieces of lines between two corners.
type inner struct {
	ends   []int32
	pieces [][2]int32
}

// stop is a corner, and how far along an edge or a course it is.
type stop struct {
	v  int32
	at float64
}

// splitAlong splits the triangles of p along segments. If some are so close to each other that they
// cross by rounding, it returns the triangle where they do, and p is of no more use.
func (p *patch) splitAlong(segments []segment) (t int32, ok bool) {
	g := &creasing{p: p, twin: p.twins(), host: map[int32]int32{}, ends: map[[2]int64][]int32{}}
	g.edgeOf, g.innerOf = make([]int32, len(p.t.V)), make([]int32, p.t.Len())
	for h := range g.edgeOf {
		g.edgeOf[h] = -1
	}
	for t := range g.innerOf {
		g.innerOf[t] = -1
	}
	var courses []course
	at := map[Vec]int32{}
	corner := func(e *Vec) int32 {
		v, ok := at[*e]
		if !ok {
			v = g.cornerAt(*e)
			at[*e] = v
		}
		if v >= 0 {
			*e = p.k[v]
		}
		return v
	}
	for _, s := range segments {
		c := course{segment: s}
		c.corner = [2]int32{corner(&c.A), corner(&c.B)}
		if c.length = c.A.Distance(c.B); c.length > 0 {
			courses = append(courses, c)
		}
	}
	for i := range courses {
		g.follow(&courses[i], i+1)
	}
	return g.fill()
}

// cornerAt returns the corner at place e, a new one if there was none, or -1 if e is outside the
// patch.
func (g *creasing) cornerAt(e Vec) int32 {
	p := g.p
	v, gap := int32(-1), float64(nearLine)
	nearer := func(w int32) {
		if d := p.k[w].Distance(e); d < gap || d == gap && (v < 0 || p.k[w].Less(p.k[v])) {
			v, gap = w, d
		}
	}
	around := p.near.along(e, e)
	for _, t := range around {
		for _, w := range p.t.V[3*t : 3*t+3] {
			nearer(w)
		}
	}
	square := nearSquare(e)
	for i := square[0] - 1; i <= square[0]+1; i++ {
		for j := square[1] - 1; j <= square[1]+1; j++ {
			for _, w := range g.ends[[2]int64{i, j}] {
				nearer(w)
			}
		}
	}
	if v >= 0 {
		return v
	}
	if u, v := p.edgeAt(e, around); u >= 0 {
		s := segment{Edge: plan.Edge{A: p.k[u], B: p.k[v]}, length: p.k[u].Distance(p.k[v])}
		w := p.between(u, v, s.along(e)/s.length)
		g.addEnd(w)
		for _, t := range around {
			for h := 3 * t; h < 3*t+3; h++ {
				if a, b := p.t.V[h], p.t.V[Next(h)]; a == u && b == v || a == v && b == u {
					c := g.edge(h)
					c.stops = append(c.stops, stop{w, s.along(e)})
					return w
				}
			}
		}
	}
	for _, t := range around {
		a, b, d := p.k[p.t.V[3*t]], p.k[p.t.V[3*t+1]], p.k[p.t.V[3*t+2]]
		if plan.Orient(a, b, e) > 0 && plan.Orient(b, d, e) > 0 && plan.Orient(d, a, e) > 0 {
			w := p.within(3*t, e)
			g.addEnd(w)
			n := g.within(t)
			n.ends, g.host[w] = append(n.ends, w), t
			return w
		}
	}
	return -1
}

func nearSquare(k Vec) [2]int64 {
	return [2]int64{int64(math.Floor(k.X / nearLine)), int64(math.Floor(k.Y / nearLine))}
}

// addEnd enters a new corner at an end of a line by its place.
func (g *creasing) addEnd(w int32) {
	square := nearSquare(g.p.k[w])
	g.ends[square] = append(g.ends[square], w)
}

// edge returns the edge of half-edge h.
func (g *creasing) edge(h int32) *creased {
	if w := g.twin[h]; w >= 0 && w < h {
		h = w
	}
	if g.edgeOf[h] < 0 {
		g.edgeOf[h] = int32(len(g.edges))
		g.edges = append(g.edges, creased{})
	}
	return &g.edges[g.edgeOf[h]]
}

// within returns what is inside triangle t.
func (g *creasing) within(t int32) *inner {
	if g.innerOf[t] < 0 {
		g.innerOf[t] = int32(len(g.inner))
		g.inner = append(g.inner, inner{})
	}
	return &g.inner[g.innerOf[t]]
}

// follow makes corners where course number n crosses edges, and notes its pieces in each triangle.
func (g *creasing) follow(s *course, n int) {
	p := g.p
	p.turn++
	var room [8]stop
	for _, t := range p.near.along(s.A, s.B) {
		on := room[:0]
		for i := range int32(3) {
			v := p.t.V[3*t+i]
			if p.side(s, v) == 0 {
				if d := p.station(s, v); d >= -nearLine && d <= s.length+nearLine {
					on = append(on, stop{v, d})
				}
			}
		}
		for i := range int32(3) {
			if c, ok := g.crossing(s, n, 3*t+i); ok {
				on = append(on, c)
			}
		}
		for i, w := range s.corner {
			if host, ok := g.host[w]; ok && host == t {
				on = append(on, stop{w, float64(i) * s.length})
			}
		}
		slices.SortFunc(on, func(a, b stop) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.v, b.v)) })
		for i := 1; i < len(on); i++ {
			if a, b := on[i-1].v, on[i].v; a != b && !g.sameEdge(t, a, b) {
				in := g.within(t)
				in.pieces = append(in.pieces, [2]int32{a, b})
			}
		}
	}
}

// sameEdge reports whether two corners are on one edge of triangle t.
func (g *creasing) sameEdge(t, a, b int32) bool {
	p := g.p
	on := func(w, u, v int32) bool {
		return w == u || w == v || p.ends[w] == [2]int32{u, v} || p.ends[w] == [2]int32{v, u}
	}
	for h := 3 * t; h < 3*t+3; h++ {
		if u, v := p.t.V[h], p.t.V[Next(h)]; on(a, u, v) && on(b, u, v) {
			return true
		}
	}
	return false
}

// crossing returns the corner where course s, number n, crosses the inside of half-edge h, and how
// far along s it is.
func (g *creasing) crossing(s *course, n int, h int32) (stop, bool) {
	p := g.p
	u, v := p.t.V[h], p.t.V[Next(h)]
	// An end of the course on the edge is where they cross.
	for i, w := range s.corner {
		if w >= 0 && (p.ends[w] == [2]int32{u, v} || p.ends[w] == [2]int32{v, u}) {
			return stop{w, float64(i) * s.length}, true
		}
	}
	switch offs := p.side(s, u) * p.side(s, v); {
	case offs > 0:
		return stop{}, false
	case offs == 0:
		return g.besideEnd(s, u, v)
	}
	if p.k[v].Less(p.k[u]) {
		u, v = v, u
	}
	f := p.off[u] / (p.off[u] - p.off[v])
	a, b := s.along(p.k[u]), s.along(p.k[v])
	d := a + float64(f*(b-a))
	if !(d > 0 && d < s.length) {
		return stop{}, false
	}
	c := g.edge(h)
	if c.last == n { // from the triangle on the other side
		return stop{c.stops[len(c.stops)-1].v, d}, true
	}
	along := f * p.k[u].Distance(p.k[v])
	for i, q := range c.stops {
		if math.Abs(q.at-along) <= nearLine {
			c.last = n
			last := len(c.stops) - 1
			c.stops[i], c.stops[last] = c.stops[last], c.stops[i]
			return stop{q.v, d}, true
		}
	}
	w := p.between(u, v, f)
	// A line along an axis stays on it to the last bit.
	if s.A.X == s.B.X {
		p.k[w].X = s.A.X
	}
	if s.A.Y == s.B.Y {
		p.k[w].Y = s.A.Y
	}
	c.stops, c.last = append(c.stops, stop{w, along}), n
	return stop{w, d}, true
}

// besideEnd returns the end of the edge from u to v that counts as on the line through course s, if it
// is beyond an end of s where s itself crosses the edge, and how far along s that is.
func (g *creasing) besideEnd(s *course, u, v int32) (stop, bool) {
	p := g.p
	on, other := u, v
	if p.off[u] != 0 {
		on, other = v, u
	}
	if d := p.station(s, on); p.off[other] == 0 || d >= -nearLine && d <= s.length+nearLine {
		return stop{}, false
	}
	a, b := s.left(p.k[on]), s.left(p.k[other])
	if a*b >= 0 {
		return stop{}, false
	}
	x, y := s.along(p.k[on]), s.along(p.k[other])
	d := x + float64(a/(a-b)*(y-x))
	return stop{on, d}, d > 0 && d < s.length
}

// fill fills the triangles that have new corners. Its results are those of [patch.splitAlong].
func (g *creasing) fill() (t int32, ok bool) {
	for i := range g.edges {
		slices.SortFunc(g.edges[i].stops, func(a, b stop) int { return cmp.Compare(a.at, b.at) })
	}
	var ring []int32
	for t := range int32(len(g.innerOf)) {
		ring = g.ring(t, ring[:0])
		if len(ring) == 3 && (g.innerOf[t] < 0 || len(g.inner[g.innerOf[t]].ends) == 0) {
			continue
		}
		in := &inner{}
		if n := g.innerOf[t]; n >= 0 {
			in = &g.inner[n]
		}
		if !g.refill(t, ring, in) {
			return t, false
		}
	}
	return 0, true
}

// ring appends the corners on the edge of triangle t to out, counter-clockwise.
func (g *creasing) ring(t int32, out []int32) []int32 {
	p := g.p
	for h := 3 * t; h < 3*t+3; h++ {
		u, v := p.t.V[h], p.t.V[Next(h)]
		out = append(out, u)
		first := h
		if w := g.twin[h]; w >= 0 && w < h {
			first = w
		}
		if g.edgeOf[first] < 0 {
			continue
		}
		stops := g.edges[g.edgeOf[first]].stops
		for i := range stops {
			if p.k[u].Less(p.k[v]) {
				out = append(out, stops[i].v)
			} else {
				out = append(out, stops[len(stops)-1-i].v)
			}
		}
	}
	return out
}

// refill fills triangle t, with the corners of ring round its edge. It reports whether it could.
func (g *creasing) refill(t int32, ring []int32, in *inner) bool {
	p := g.p
	if len(in.ends) == 0 && len(ring) <= 5 {
		mid, count := [3]int32{-1, -1, -1}, 0
		for i := range int32(3) {
			u := p.t.V[3*t+i]
			if next := ring[(slices.Index(ring, u)+1)%len(ring)]; next != p.t.V[Next(3*t+i)] {
				mid[i] = next
				count++
			}
		}
		// With two new corners, a piece from one to the corner opposite needs one of the two ways to
		// split what has four corners.
		between := !slices.ContainsFunc(in.pieces, func(q [2]int32) bool {
			return !slices.Contains(mid[:], q[0]) || !slices.Contains(mid[:], q[1])
		})
		if count == len(ring)-3 && (count == 1 || between) {
			p.divide(3*t, mid, count)
			return true
		}
	}
	corners := append(slices.Clone(ring), in.ends...)
	number := numbers(corners)
	x, y := make([]float64, len(corners)), make([]float64, len(corners))
	for i, v := range corners {
		x[i], y[i] = p.k[v].X, p.k[v].Y
	}
	m, err := delaunay.Triangulate(x, y)
	if err != nil {
		return false
	}
	for i := range ring {
		if m.Constrain(int32(i), int32((i+1)%len(ring)), delaunay.Toggle) != nil {
			return false
		}
	}
	for _, q := range in.pieces {
		if m.Constrain(number(q[0]), number(q[1]), 0) != nil {
			return false
		}
	}
	first := true
	for k, inside := range m.Inside(delaunay.Toggle) {
		if !inside {
			continue
		}
		v := [3]int32{corners[m.V[3*k]], corners[m.V[3*k+1]], corners[m.V[3*k+2]]}
		if first {
			copy(p.t.V[3*t:], v[:])
			first = false
			continue
		}
		p.t.V = append(p.t.V, v[:]...)
		p.near.part(t)
	}
	return !first
}

// numbers returns a function that gives the number of each of some corners.
func numbers(corners []int32) func(v int32) int32 {
	const few = 32
	if len(corners) <= few {
		return func(v int32) int32 { return int32(slices.Index(corners, v)) }
	}
	of := make(map[int32]int32, len(corners))
	for i, v := range corners {
		of[v] = int32(i)
	}
	return func(v int32) int32 { return of[v] }
}

package surface

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface/internal/plan"
)

// course is a segment on one patch, from corner to corner: each place where a line ends or
// turns is made a corner of the patch before anything is split. A place within nearLine of a
// corner is that corner; one that near to an edge is a corner on that edge.
type course struct {
	segment
	number int32    // of the segment
	corner [2]int32 // at a and at b, -1 for a place outside the patch
}

// noEdge stands for the ends of no edge.
var noEdge = [2]int32{-1, -1}

// courses makes corners at the ends of the segments for which mine is true.
func (p *patch) courses(segments []segment, mine func(segment) bool) []course {
	var out []course
	corners := map[Vec]int32{}
	at := func(e *Vec) int32 {
		v, ok := corners[*e]
		if !ok {
			v = p.cornerAt(*e)
			corners[*e] = v
		}
		if v >= 0 {
			*e = p.k[v]
		}
		return v
	}
	for i, s := range segments {
		if !mine(s) {
			continue
		}
		c := course{segment: s, number: int32(i)}
		c.corner = [2]int32{at(&c.A), at(&c.B)}
		if c.length = c.A.Distance(c.B); c.length > 0 {
			out = append(out, c)
		}
	}
	return out
}

// cornerAt returns the corner of p at place e, a new one if there was none, or -1 if e is
// outside p.
func (p *patch) cornerAt(e Vec) int32 {
	v, gap := int32(-1), float64(nearLine)
	around := p.near.along(e, e)
	for _, t := range around {
		for _, w := range p.t.V[3*t : 3*t+3] {
			k := p.k[w]
			if math.Abs(k.X-e.X) > gap || math.Abs(k.Y-e.Y) > gap {
				continue
			}
			if d := k.Distance(e); d < gap || d == gap && (v < 0 || k.Less(p.k[v])) {
				v, gap = w, d
			}
		}
	}
	if v >= 0 {
		return v
	}
	if u, v := p.edgeAt(e, around); u >= 0 {
		return p.splitEdge(u, v, e, around)
	}
	for _, t := range around {
		h := 3 * t
		a, b, d := p.k[p.t.V[h]], p.k[p.t.V[h+1]], p.k[p.t.V[h+2]]
		if plan.Orient(a, b, e) > 0 && plan.Orient(b, d, e) > 0 && plan.Orient(d, a, e) > 0 {
			return p.splitTriangle(h, e)
		}
	}
	return -1
}

// edgeAt returns the ends of the edge nearest to e of the triangles around it, in the order of
// [Vec.less], or -1 and -1 if none is within nearLine.
func (p *patch) edgeAt(e Vec, around []int32) (u, v int32) {
	u, v = -1, -1
	gap := float64(nearLine)
	const clear = 2 * nearLine // more than nearLine by far more than rounding
	for i := range 3 * len(around) {
		h := 3*around[i/3] + int32(i%3)
		a, b := p.t.V[h], p.t.V[Next(h)]
		if s, t := &p.k[a], &p.k[b]; s.X > e.X+clear && t.X > e.X+clear || s.X < e.X-clear && t.X < e.X-clear ||
			s.Y > e.Y+clear && t.Y > e.Y+clear || s.Y < e.Y-clear && t.Y < e.Y-clear {
			continue
		}
		if p.k[b].Less(p.k[a]) {
			a, b = b, a
		}
		d := plan.Edge{A: p.k[a], B: p.k[b]}.Distance(e)
		if d < gap || d == gap && (u < 0 || p.k[a].Less(p.k[u]) || a == u && p.k[b].Less(p.k[v])) {
			u, v, gap = a, b, d
		}
	}
	return u, v
}

// splitEdge adds a corner near e on the edge from u to v of the triangles around it.
func (p *patch) splitEdge(u, v int32, e Vec, around []int32) int32 {
	s := segment{Edge: plan.Edge{A: p.k[u], B: p.k[v]}, length: p.k[u].Distance(p.k[v])}
	w := p.between(u, v, s.along(e)/s.length)
	for _, t := range around {
		for i := range int32(3) {
			a, b := p.t.V[3*t+i], p.t.V[Next(3*t+i)]
			if a == u && b == v || a == v && b == u {
				mid := [3]int32{-1, -1, -1}
				mid[i] = w
				p.divide(3*t, mid, 1)
				break
			}
		}
	}
	return w
}

// splitTriangle adds a corner at e in the triangle at half-edge h.
func (p *patch) splitTriangle(h int32, e Vec) int32 {
	w := p.within(h, e)
	v := p.fromWest(h)
	copy(p.t.V[h:], []int32{v[0], v[1], w})
	p.t.V = append(p.t.V, v[1], v[2], w, v[2], v[0], w)
	p.near.part(h / 3)
	p.near.part(h / 3)
	return w
}

// fromWest returns the corners of the triangle at half-edge h, the first in place order first.
func (p *patch) fromWest(h int32) [3]int32 {
	v := [3]int32(p.t.V[h : h+3])
	for !p.k[v[0]].Less(p.k[v[1]]) || !p.k[v[0]].Less(p.k[v[2]]) {
		v = [3]int32{v[1], v[2], v[0]}
	}
	return v
}

// within adds a corner at e, on the surface of the triangle at half-edge h and in no triangle yet.
func (p *patch) within(h int32, e Vec) int32 {
	// From the first corner in place order, so that the elevation does not depend on row
	// order.
	v := p.fromWest(h)
	a, b, c := p.k[v[0]], p.k[v[1]], p.k[v[2]]
	twice := func(p, q Vec) float64 { return float64((p.X-a.X)*(q.Y-a.Y)) - float64((q.X-a.X)*(p.Y-a.Y)) }
	whole := twice(b, c)
	z := p.t.Z
	at := z[v[0]] + float64(twice(e, c)/whole*(z[v[1]]-z[v[0]])) + float64(twice(b, e)/whole*(z[v[2]]-z[v[0]]))
	w := p.add(e, at, p.t.Fitted != nil && (p.t.Fitted[v[0]] || p.t.Fitted[v[1]] || p.t.Fitted[v[2]]), noEdge)
	if p.t.top.of != nil {
		top := p.t.top.z
		p.t.top.z = append(top, top[v[0]]+float64(twice(e, c)/whole*(top[v[1]]-top[v[0]]))+float64(twice(b, e)/whole*(top[v[2]]-top[v[0]])))
	}
	return w
}

// between adds a corner at the fraction t along the edge from u to v.
func (p *patch) between(u, v int32, t float64) int32 {
	a, b := p.k[u], p.k[v]
	k := Vec{X: a.X + float64(t*(b.X-a.X)), Y: a.Y + float64(t*(b.Y-a.Y))}
	// So every part of a triangle with a fitted corner has a fitted corner.
	fitted := p.t.Fitted != nil && (p.t.Fitted[u] || p.t.Fitted[v])
	if p.t.top.of != nil {
		top := p.t.top.z
		p.t.top.z = append(top, top[u]+float64(t*(top[v]-top[u])))
	}
	return p.add(k, p.t.Z[u]+float64(t*(p.t.Z[v]-p.t.Z[u])), fitted, [2]int32{u, v})
}

// add adds a corner that is not yet in any triangle.
func (p *patch) add(k Vec, z float64, fitted bool, ends [2]int32) int32 {
	p.k, p.ends = append(p.k, k), append(p.ends, ends)
	p.off, p.at = append(p.off, 0), append(p.at, 0)
	p.t.Z, p.t.Shot = append(p.t.Z, z), append(p.t.Shot, -1)
	if p.t.Fitted != nil {
		p.t.Fitted = append(p.t.Fitted, fitted)
	}
	return int32(len(p.k)) - 1
}

// side returns how far corner v of p is to the left of the line through s, in steps; 0 on it. A
// corner that splits an edge along the line is on the line, however its place is rounded.
func (p *patch) side(s *course, v int32) float64 {
	if p.at[v] == p.turn {
		return p.off[v]
	}
	p.at[v], p.off[v] = p.turn, 0
	if e := p.ends[v]; e == noEdge || p.side(s, e[0]) != 0 || p.side(s, e[1]) != 0 {
		p.off[v] = s.off(p.k[v])
	}
	return p.off[v]
}

// station returns the distance of corner v along s, in steps.
func (p *patch) station(s *course, v int32) float64 {
	switch v {
	case s.corner[0]:
		return 0
	case s.corner[1]:
		return s.length
	}
	return s.along(p.k[v])
}

// cut splits the triangles of p that s crosses. A triangle beyond an end of s, next to a
// split edge, is split in two.
func (p *patch) cut(s *course) {
	p.turn++
	split := map[[2]int32]int32{}
	crosses := func(h int32) bool { return p.off[p.t.V[h]]*p.off[p.t.V[Next(h)]] < 0 }
	crossed := p.crossed[:0] // triangles, by their first half-edge
	for _, t := range p.near.along(s.A, s.B) {
		h := 3 * t
		for _, v := range p.t.V[h : h+3] {
			p.side(s, v)
		}
		if !crosses(h) && !crosses(h+1) && !crosses(h+2) {
			continue
		}
		crossed = append(crossed, h)
		if !p.reaches(s, h) {
			continue
		}
		for g := h; g < h+3; g++ {
			u, v := p.leftFirst(g)
			if _, done := split[[2]int32{u, v}]; crosses(g) && !done {
				w := p.between(u, v, p.off[u]/(p.off[u]-p.off[v]))
				// A line along an axis stays on it to the last bit.
				if s.A.X == s.B.X {
					p.k[w].X = s.A.X
				}
				if s.A.Y == s.B.Y {
					p.k[w].Y = s.A.Y
				}
				split[[2]int32{u, v}] = w
			}
		}
	}
	p.crossed = crossed
	for _, h := range crossed {
		var mid [3]int32
		count := 0
		for i := range int32(3) {
			mid[i] = -1
			if !crosses(h + i) {
				continue
			}
			u, v := p.leftFirst(h + i)
			if w, ok := split[[2]int32{u, v}]; ok {
				mid[i] = w
				count++
			}
		}
		p.divide(h, mid, count)
	}
}

// leftFirst returns the ends of half-edge h from left to right, so that both its triangles
// agree.
func (p *patch) leftFirst(h int32) (u, v int32) {
	u, v = p.t.V[h], p.t.V[Next(h)]
	if p.off[v] > p.off[u] {
		u, v = v, u
	}
	return u, v
}

// reaches reports whether s itself, not only the line through it, crosses the triangle at
// half-edge h, given that the line crosses it.
func (p *patch) reaches(s *course, h int32) bool {
	// Rounding moves a station by less than nearLine. In a triangle with a corner at an end
	// of s, that corner decides.
	from, to := float64(-nearLine), s.length+nearLine
	var room [6]float64
	stations, off := room[:0], p.off
	for g := h; g < h+3; g++ {
		u, v := p.t.V[g], p.t.V[Next(g)]
		switch {
		case u == s.corner[0]:
			from = 0
		case u == s.corner[1]:
			to = s.length
		}
		if off[u] == 0 {
			stations = append(stations, p.station(s, u))
		} else if off[u]*off[v] < 0 {
			a, b := s.along(p.k[u]), s.along(p.k[v])
			stations = append(stations, a+float64(off[u]/(off[u]-off[v])*(b-a)))
		}
	}
	return slices.Max(stations) > from && slices.Min(stations) < to
}

// divide splits the triangle at half-edge h; mid holds the new corners on its edges, count
// of them.
func (p *patch) divide(h int32, mid [3]int32, count int) {
	set := func(g, a, b, c int32) { p.t.V[g], p.t.V[g+1], p.t.V[g+2] = a, b, c }
	add := func(a, b, c int32) {
		p.t.V = append(p.t.V, a, b, c)
		p.near.part(h / 3)
	}
	corner := func(i int) int32 { return p.t.V[h+int32(i%3)] }
	switch count {
	case 1:
		i := slices.IndexFunc(mid[:], func(m int32) bool { return m >= 0 })
		a, b, c := corner(i), corner(i+1), corner(i+2)
		set(h, a, mid[i], c)
		add(mid[i], b, c)
	case 2:
		// The corner alone on its side is between the two edges. The rest has four corners
		// and is split along its shorter diagonal.
		i := (slices.Index(mid[:], -1) + 2) % 3
		w, u, v := corner(i), corner(i+1), corner(i+2)
		m, q := mid[i], mid[(i+2)%3]
		set(h, w, m, q)
		if p.k[m].Distance(p.k[v]) <= p.k[u].Distance(p.k[q]) {
			add(m, u, v)
			add(m, v, q)
		} else {
			add(m, u, q)
			add(u, v, q)
		}
	}
}

// bar marks the edges of p that are the dam along each course: a chain of edges from corner
// to corner of the line and from wall to wall. The dam then has no gap, however its corners
// are rounded.
//
// Such a chain exists. Where s crosses a triangle, the corners on one side are all on s, or
// the triangle would have been split. Two triangles that s crosses one after the other share
// an edge, so one end of it is on s, and the corners of a triangle are joined by edges.
func (p *patch) bar(courses []course) {
	p.dam = make([]int32, len(p.t.V))
	for h := range p.dam {
		p.dam[h] = -1
	}
	for i := range courses {
		s := &courses[i]
		b := p.bandOf(s)
		for _, stops := range b.stops() {
			for j := 1; j < len(stops); j++ {
				if p.station(s, stops[j]) > 0 && p.station(s, stops[j-1]) < s.length {
					b.chain(stops[j-1], stops[j])
				}
			}
		}
	}
}

// band is the edges of a patch with both ends on a course.
type band struct {
	p    *patch
	s    *course
	ways map[int32][]way // per corner
	ends []int32         // corners at walls and at the ends of the course
}

// way is an edge to a corner of a band.
type way struct{ to, h int32 }

func (p *patch) bandOf(s *course) band {
	b := band{p: p, s: s, ways: map[int32][]way{}}
	p.turn++
	for v := range int32(len(p.k)) {
		p.side(s, v)
	}
	off := p.off
	for h := range int32(len(p.t.V)) {
		u, v := p.t.V[h], p.t.V[Next(h)]
		wall := p.t.Twin[h] < 0
		if off[u] == 0 && (wall || u == s.corner[0] || u == s.corner[1]) && !slices.Contains(b.ends, u) {
			b.ends = append(b.ends, u)
		}
		if off[u] != 0 || off[v] != 0 {
			continue
		}
		b.ways[u] = append(b.ways[u], way{v, h})
		if wall {
			b.ways[v] = append(b.ways[v], way{u, h})
		}
	}
	return b
}

// stops returns the ends in each connected part of the band, in order along the course.
func (b band) stops() [][]int32 {
	slices.SortFunc(b.ends, func(u, v int32) int {
		k, l := b.p.k[u], b.p.k[v]
		return cmp.Or(cmp.Compare(b.p.station(b.s, u), b.p.station(b.s, v)), cmp.Compare(k.X, l.X), cmp.Compare(k.Y, l.Y))
	})
	var out [][]int32
	done := map[int32]bool{}
	for _, u := range b.ends {
		if done[u] {
			continue
		}
		hops := b.hops(u, -1)
		var part []int32
		for _, v := range b.ends {
			if _, ok := hops[v]; ok {
				part, done[v] = append(part, v), true
			}
		}
		out = append(out, part)
	}
	return out
}

// hops returns, for corners of the band up to corner u, how many edges they are from corner
// v.
func (b band) hops(v, u int32) map[int32]int {
	hops := map[int32]int{v: 0}
	for queue := []int32{v}; len(queue) > 0 && queue[0] != u; queue = queue[1:] {
		for _, w := range b.ways[queue[0]] {
			if _, ok := hops[w.to]; !ok {
				hops[w.to] = hops[queue[0]] + 1
				queue = append(queue, w.to)
			}
		}
	}
	return hops
}

// chain makes a dam of the fewest edges of the band from u to v. Of several such dams it
// takes the one with the first places in the order of [Vec.less].
func (b band) chain(u, v int32) {
	hops := b.hops(v, u)
	for u != v {
		best := way{-1, -1}
		for _, w := range b.ways[u] {
			if n, ok := hops[w.to]; ok && n == hops[u]-1 && (best.h < 0 || b.p.k[w.to].Less(b.p.k[best.to])) {
				best = w
			}
		}
		for _, h := range []int32{best.h, b.p.t.Twin[best.h]} {
			if h >= 0 && b.p.dam[h] < 0 {
				b.p.dam[h] = b.s.number
			}
		}
		u = best.to
	}
}

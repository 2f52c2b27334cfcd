package falls

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/plan"
	"pourplane/survey"
)

// tolerance is how far, m, the triangles may be below the surface that they follow; they are
// nowhere above it.
const tolerance = 0.045e-3

// sameVertex is how far apart, m, places may be to count as one vertex. Where three parts
// meet, each gives the place with its own rounding.
const sameVertex = 1e-7

// vertex is a place of the surface.
type vertex struct {
	at    vec
	level float64 // m
	fixed bool    // drains and inner corners: not lowered
	low   float64 // how far it is lowered
}

// mesh are the lines of the surface, which meet only at their ends.
type mesh struct {
	*cells
	shape
	high     float64 // m above elevation 0: only the surface below it is of interest; 0: all of it
	vertices []vertex
	near     map[[2]int64][]int32
	lines    map[[2]int32]bool   // from the lower number
	order    [][2]int32          // the same
	apex     []int32             // per source that is a point
	inner    []map[int32][]int32 // per source and vertex: corners on the way there
	feet     [][]int32           // per side of a channel: where its lines start
	arcs     [][]int32           // per piece between two parts, its vertices
	arcOf    [][2]int            // their sources
}

func (m *mesh) cell(p vec) [2]int64 {
	const wide = 1e-6
	return [2]int64{int64(math.Floor(p.X / wide)), int64(math.Floor(p.Y / wide))}
}

// vertex returns the vertex at p, made if there is none.
func (m *mesh) vertex(p vec, level float64) int32 {
	k := m.cell(p)
	for i := k[0] - 1; i <= k[0]+1; i++ {
		for j := k[1] - 1; j <= k[1]+1; j++ {
			for _, v := range m.near[[2]int64{i, j}] {
				if m.vertices[v].at.Distance(p) <= sameVertex {
					if !m.vertices[v].fixed {
						m.vertices[v].level = min(m.vertices[v].level, level)
					}
					return v
				}
			}
		}
	}
	v := int32(len(m.vertices))
	m.vertices = append(m.vertices, vertex{at: p, level: level})
	m.near[k] = append(m.near[k], v)
	return v
}

func (m *mesh) line(a, b int32) {
	if a == b {
		return
	}
	k := [2]int32{min(a, b), max(a, b)}
	if !m.lines[k] {
		m.lines[k] = true
		m.order = append(m.order, k)
	}
}

// shape is what the elevations of the surface are.
type shape interface {
	// up returns the elevation at distance r along a line of source i that ends at distance end.
	up(i int, r, end float64) float64
	// plane reports whether the surface is one plane between all lines of source i.
	plane(i int) bool
}

// newMesh makes the lines of c.
func newMesh(c *cells, up shape, high float64) *mesh {
	m := &mesh{cells: c, shape: up, high: high, near: map[[2]int64][]int32{},
		lines: map[[2]int32]bool{}, apex: make([]int32, len(c.sources)), inner: make([]map[int32][]int32, len(c.sources)), feet: make([][]int32, len(c.sources))}
	corners := make([]float64, len(c.corners))
	for i := range corners {
		corners[i] = math.Inf(1)
	}
	for i := range c.sources {
		s := &c.sources[i]
		m.inner[i] = map[int32][]int32{}
		m.apex[i] = -1
		if !s.strip {
			m.apex[i] = m.vertex(s.at, m.up(i, 0, 1))
			m.vertices[m.apex[i]].fixed = true
		}
	}
	for i := range c.corners {
		m.vertex(c.corners[i].at, math.Inf(1))
	}
	for i := range c.sources {
		m.addChains(i)
	}
	for i := range c.sources {
		for _, p := range c.pieces[i] {
			m.addPiece(i, p)
		}
	}
	m.drawChannels()
	return m
}

// ends returns the vertices at the ends of a piece round the part of source i.
func (m *mesh) ends(i int, p piece) (v0, v1 int32) {
	s := &m.sources[i]
	end := func(q float64) int32 {
		r := p.at(s, q)
		at := s.place(q, r)
		if p.by < 0 && p.by != noLength {
			a, b := m.walls.ends(^p.by)
			for _, c := range [2]vec{a, b} {
				if c.Distance(at) <= sameVertex {
					at = c
				}
			}
		}
		return m.vertex(at, m.up(i, r, r))
	}
	return end(p.q0), end(p.q1)
}

// addChains finds, for source i, the lines that pass corners on their way, and draws them
// beyond the first.
func (m *mesh) addChains(i int) {
	s := &m.sources[i]
	all := m.pieces[i]
	for k := range all {
		before, after := -1, k
		switch {
		case k > 0:
			before = k - 1
		case !s.strip && s.wide >= 2*math.Pi:
			before = len(all) - 1
		}
		m.chain(i, all[k].q0, before, after)
	}
	if n := len(all); n > 0 && (s.strip || s.wide < 2*math.Pi) {
		m.chain(i, all[n-1].q1, n-1, -1)
	}
}

// chain draws the line of parameter q of source i from the nearer to the farther of its ends,
// those of the pieces before and after it, -1 for none.
func (m *mesh) chain(i int, q float64, before, after int) {
	s := &m.sources[i]
	var ends []int32
	if before >= 0 {
		_, v := m.ends(i, m.pieces[i][before])
		ends = append(ends, v)
	}
	if after >= 0 {
		v, _ := m.ends(i, m.pieces[i][after])
		ends = append(ends, v)
	}
	foot, _ := s.line(q)
	far := func(v int32) float64 { return foot.Distance(m.vertices[v].at) }
	least, most := math.Inf(1), 0.0
	for _, v := range ends {
		least, most = min(least, far(v)), max(most, far(v))
	}
	if len(ends) < 2 {
		least = 0
	}
	if k, ok := slices.BinarySearch(s.breaks, q); ok && most-least > sameVertex {
		for _, c := range s.corners[k] {
			v := m.vertex(m.corners[c].at, math.Inf(1))
			if r := far(v); r > close && r >= least-sameVertex && r <= most+sameVertex {
				m.vertices[v].level = min(m.vertices[v].level, m.up(i, r, r))
				ends = append(ends, v)
			}
		}
	}
	slices.SortFunc(ends, func(a, b int32) int { return cmp.Or(cmp.Compare(far(a), far(b)), cmp.Compare(a, b)) })
	ends = slices.Compact(ends)
	for k := 1; k < len(ends); k++ {
		m.line(ends[k-1], ends[k])
		m.inner[i][ends[k]] = slices.Clone(ends[:k])
	}
}

// ray draws the line from source i to v, and returns where it starts. One plane needs none.
func (m *mesh) ray(i int, v int32) int32 {
	from := m.apex[i]
	if s := &m.sources[i]; s.strip {
		if m.plane(i) {
			return -1
		}
		q, _, _ := s.param(m.vertices[v].at)
		from = m.vertex(s.place(q, 0), m.up(i, 0, 1))
		m.vertices[from].fixed = true
		m.feet[i] = append(m.feet[i], from)
	}
	to := v
	if c := m.inner[i][v]; len(c) > 0 {
		to = c[0]
	}
	m.line(from, to)
	return from
}

// addPiece draws a piece round the part of source i, cut as finely as the surface asks for,
// and the lines to its places. A piece between two parts is drawn once.
func (m *mesh) addPiece(i int, p piece) {
	v0, v1 := m.ends(i, p)
	if v0 == v1 || p.by == noLength || p.by >= 0 && p.by < i {
		return
	}
	of := []int{i}
	if p.by >= 0 {
		of = append(of, p.by)
	}
	all := []int32{v0}
	m.cut(of, p, p.q0, p.q1, v0, v1, &all, 0)
	last := make([]int32, len(of))
	for k, v := range all {
		for n, j := range of {
			foot := m.ray(j, v)
			if k > 0 && foot >= 0 && m.sources[j].strip {
				m.brace(last[n], all[k-1], foot, v)
			}
			last[n] = foot
		}
		if p.by >= 0 && k > 0 {
			m.line(all[k-1], v)
		}
	}
	if p.by >= 0 {
		m.arcs = append(m.arcs, all)
		m.arcOf = append(m.arcOf, [2]int{i, p.by})
	}
}

// brace divides the twisted piece of surface between two lines to the side of a channel, of which
// the feet are f0 and f1, so that its facets are below it: from the foot of the shorter.
func (m *mesh) brace(f0, v0, f1, v1 int32) {
	r0, r1 := m.vertices[f0].at.Distance(m.vertices[v0].at), m.vertices[f1].at.Distance(m.vertices[v1].at)
	switch {
	case r0 < r1-sameVertex:
		m.line(f0, v1)
	case r1 < r0-sameVertex:
		m.line(f1, v0)
	}
}

// drawChannels draws the channels through all feet of lines on both sides.
func (m *mesh) drawChannels() {
	for i := range m.sources {
		s := &m.sources[i]
		if !s.strip {
			continue
		}
		z := m.up(i, 0, 1)
		all := append(m.feet[i], m.vertex(s.at, z), m.vertex(plus(s.at, times(s.long, s.along)), z))
		if i+1 < len(m.sources) && m.sources[i+1].strip && m.sources[i+1].drain == s.drain {
			all = append(all, m.feet[i+1]...)
		} else if i > 0 && m.sources[i-1].strip && m.sources[i-1].drain == s.drain {
			continue
		}
		line := plan.Edge{A: s.at, B: plus(s.at, times(s.long, s.along))}
		for _, c := range m.corners {
			if line.Distance(c.at) <= close {
				all = append(all, m.vertex(c.at, z))
			}
		}
		slices.SortFunc(all, func(a, b int32) int {
			return cmp.Or(cmp.Compare(s.at.Distance(m.vertices[a].at), s.at.Distance(m.vertices[b].at)), cmp.Compare(a, b))
		})
		all = slices.Compact(all)
		for k, v := range all {
			m.vertices[v].fixed = true
			if k > 0 {
				m.line(all[k-1], v)
			}
		}
	}
}

// cut appends to out the places of a piece from v0, not included, to v1.
func (m *mesh) cut(of []int, p piece, q0, q1 float64, v0, v1 int32, out *[]int32, depth int) {
	const deepest = 24
	fits := m.fits(of, p, q0, q1, v0, v1)
	if mid := (q0 + q1) / 2; !fits && depth < deepest {
		s := &m.sources[of[0]]
		r := p.at(s, mid)
		v := m.vertex(s.place(mid, r), m.up(of[0], r, r))
		if v != v0 && v != v1 {
			m.cut(of, p, q0, mid, v0, v, out, depth+1)
			m.cut(of, p, mid, q1, v, v1, out, depth+1)
			return
		}
	}
	*out = append(*out, v1)
}

// fits reports whether the facets between the lines to v0 and v1 follow the surface. If so it
// lowers their corners so that they are nowhere above it.
func (m *mesh) fits(of []int, p piece, q0, q1 float64, v0, v1 int32) bool {
	type chord struct {
		a, b int32
		by   float64
	}
	var all []chord
	add := func(a, b int32, of []int) bool {
		over := m.over(of, p, a, b)
		if over < 1e-12 {
			return true
		}
		if m.vertices[a].fixed && m.vertices[b].fixed {
			return false
		}
		all = append(all, chord{a, b, over})
		for _, i := range of {
			for _, v := range [2]int32{a, b} {
				// Lowered, it must still fall to the source.
				if x := &m.vertices[v]; !x.fixed && over > (x.level-m.up(i, 0, 1))/2 {
					return false
				}
			}
		}
		return over <= m.slack(a, b)
	}
	if p.by >= 0 || !m.plane(of[0]) {
		if !add(v0, v1, of) {
			return false
		}
	}
	for k, i := range of {
		if m.plane(i) {
			continue
		}
		if s := &m.sources[i]; s.strip {
			// The surface is ruled. Twisted facets differ from it by up to a quarter of this.
			r0, r1 := p.at(s, q0), p.at(s, q1)
			if k > 0 {
				_, r0, _ = s.param(m.vertices[v0].at)
				_, r1, _ = s.param(m.vertices[v1].at)
			}
			if rise := m.up(i, 1, 1) - m.up(i, 0, 1); rise*math.Abs(r1-r0) > 4*tolerance*min(r0, r1) {
				return false
			}
			continue
		}
		left, right := append(slices.Clone(m.inner[i][v0]), v0), append(slices.Clone(m.inner[i][v1]), v1)
		for _, a := range left {
			for _, b := range right {
				if (a != v0 || b != v1) && !add(a, b, []int{i}) {
					return false
				}
			}
		}
	}
	for _, c := range all {
		for _, v := range [2]int32{c.a, c.b} {
			if x := &m.vertices[v]; !x.fixed {
				x.low = max(x.low, c.by)
			}
		}
	}
	return true
}

// slack returns how far the line from a to b may be off the surface: on facets from one place
// the error grows with the distance from it, and what is above m.high is cut off.
func (m *mesh) slack(a, b int32) float64 {
	if m.high == 0 {
		return tolerance
	}
	return tolerance * max(1, min(m.vertices[a].level, m.vertices[b].level)/m.high)
}

// over returns how far the ends of the line from a to b must be lowered, those that are not
// fixed, so that it is nowhere above the surface of the parts at the piece p.
func (m *mesh) over(of []int, p piece, a, b int32) float64 {
	const margin = 1.05 // the line is compared at some places only
	u, v := &m.vertices[a], &m.vertices[b]
	most := 0.0
	for k, i := range of {
		s := &m.sources[i]
		end := p.bound
		if k > 0 {
			end, _ = boundBy(s, &m.sources[of[0]], of[0], math.Inf(1))
		}
		for _, t := range [...]float64{1. / 64, 1. / 8, 1. / 4, 3. / 8, 1. / 2, 5. / 8, 3. / 4, 7. / 8, 63. / 64} {
			at := between(u.at, v.at, t)
			q, r, _ := s.param(at)
			far := math.Inf(1)
			if q >= 0 && q <= s.most() {
				far = end.at(s, q)
			}
			over := u.level + float64(t*(v.level-u.level)) - m.up(i, r, far)
			share := 1.0
			switch {
			case u.fixed && !v.fixed:
				share = t
			case v.fixed && !u.fixed:
				share = 1 - t
			}
			if over > 1e-12 {
				most = max(most, margin*over/share)
			}
		}
	}
	return most
}

// simple divides a closed line that meets itself at vertices into closed lines that do not.
func simple(line []int32) [][]int32 {
	var out [][]int32
	var open []int32
	for _, v := range line {
		if k := slices.Index(open, v); k >= 0 {
			out = append(out, slices.Clone(open[k:]))
			open = open[:k]
		}
		open = append(open, v)
	}
	return append(out, open)
}

// along returns the vertices on edge e, without its last.
func (m *mesh) along(e int) []int32 {
	a, b := m.walls.ends(e)
	wall := plan.Edge{A: a, B: b}
	first, last := m.vertex(a, math.Inf(1)), m.vertex(b, math.Inf(1))
	out := []int32{first}
	west, east, south, north := min(a.X, b.X)-sameVertex, max(a.X, b.X)+sameVertex, min(a.Y, b.Y)-sameVertex, max(a.Y, b.Y)+sameVertex
	for i := range m.vertices {
		p, v := m.vertices[i].at, int32(i)
		if p.X < west || p.X > east || p.Y < south || p.Y > north || v == first || v == last {
			continue
		}
		if wall.Distance(p) <= sameVertex {
			out = append(out, v)
		}
	}
	slices.SortFunc(out, func(u, v int32) int {
		return cmp.Or(cmp.Compare(a.Distance(m.vertices[u].at), a.Distance(m.vertices[v].at)), cmp.Compare(u, v))
	})
	return out
}

// floor triangulates the lines.
func (m *mesh) floor() (*surface.Floor, error) {
	point := func(v int32) survey.Point {
		x := &m.vertices[v]
		at := m.site(x.at)
		return survey.Point{X: at.X, Y: at.Y, Z: x.level - x.low}
	}
	var d surface.Data
	for _, ring := range m.rings {
		var all []int32
		for _, c := range ring {
			all = append(all, m.along(m.corners[c].out)...)
		}
		for _, loop := range simple(all) {
			var r survey.Ring
			var area float64
			for i, v := range loop {
				next := loop[(i+1)%len(loop)]
				r.Points = append(r.Points, point(v))
				area += cross(m.vertices[v].at, m.vertices[next].at)
				m.line(v, next)
			}
			if area < 0 {
				r.Kind = survey.Hole
			}
			d.Rings = append(d.Rings, r)
		}
	}
	for _, l := range m.order {
		d.Lines = append(d.Lines, survey.Breakline{Points: []survey.Point{point(l[0]), point(l[1])}})
	}
	f, err := surface.NewFloor(d)
	if err == nil {
		f.Notes = nil // they speak of shots
	}
	return f, err
}

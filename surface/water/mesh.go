package water

import (
	"math"

	"pourplane/surface"
	"pourplane/surface/internal/exact"
)

// mesh is the triangles of all regions of a floor, with outlets and the places along steps as
// vertices.
type mesh struct {
	origin  surface.Vec
	x, y, z []float64
	v, twin []int32
	step    []int32 // per half-edge, the one at the same place across a step, -1 for none; nil without steps
	pairs   map[int32][]int32

	first, list []int32   // half-edges that leave each vertex
	across      []float64 // per corner of a triangle: where it is across the fall of the triangle, times twice its area
}

// newMesh copies the triangles of f, without steps.
func newMesh(f *surface.Floor) *mesh {
	m := &mesh{}
	vertices, corners := 0, 0
	for i, r := range f.Regions {
		vertices += len(r.TIN.Z)
		corners += len(r.TIN.V)
		if i == 0 || r.TIN.Origin.Less(m.origin) {
			m.origin = r.TIN.Origin
		}
	}
	m.x, m.y, m.z = make([]float64, 0, vertices+8), make([]float64, 0, vertices+8), make([]float64, 0, vertices+8)
	m.v, m.twin = make([]int32, 0, corners+24), make([]int32, 0, corners+24)
	for _, r := range f.Regions {
		t := r.TIN
		from, half := int32(len(m.x)), int32(len(m.v))
		dx, dy := t.Origin.X-m.origin.X, t.Origin.Y-m.origin.Y
		for i := range t.X {
			m.x, m.y = append(m.x, t.X[i]+dx), append(m.y, t.Y[i]+dy)
		}
		m.z = append(m.z, t.Z...)
		for i, v := range t.V {
			w := t.Twin[i]
			if w >= 0 {
				w += half
			}
			m.v, m.twin = append(m.v, v+from), append(m.twin, w)
		}
	}
	return m
}

func (m *mesh) len() int { return len(m.v) / 3 }

func next(h int32) int32 { return surface.Next(h) }

// local returns vertex v, m from the origin.
func (m *mesh) local(v int32) surface.Vec { return surface.Vec{X: m.x[v], Y: m.y[v]} }

// at returns vertex v on the grid of the survey.
func (m *mesh) at(v int32) surface.Vec { return m.site(m.local(v)) }

func (m *mesh) site(p surface.Vec) surface.Vec {
	return surface.Vec{X: m.origin.X + p.X, Y: m.origin.Y + p.Y}
}

// before orders vertices by place, then elevation.
func (m *mesh) before(a, b int32) bool {
	if m.x[a] != m.x[b] {
		return m.x[a] < m.x[b]
	}
	if m.y[a] != m.y[b] {
		return m.y[a] < m.y[b]
	}
	return m.z[a] < m.z[b]
}

// fromWest returns the corners of triangle t, the first by place first.
func (m *mesh) fromWest(t int) (a, b, c int32) {
	a, b, c = m.v[3*t], m.v[3*t+1], m.v[3*t+2]
	for range 2 {
		if m.before(b, a) || m.before(c, a) {
			a, b, c = b, c, a
		}
	}
	return a, b, c
}

// area returns the plan area of triangle t, m².
func (m *mesh) area(t int) float64 {
	a, b, c := m.fromWest(t)
	return (float64((m.x[b]-m.x[a])*(m.y[c]-m.y[a])) - float64((m.x[c]-m.x[a])*(m.y[b]-m.y[a]))) / 2
}

// middle returns the centroid of triangle t.
func (m *mesh) middle(t int) surface.Vec {
	a, b, c := m.fromWest(t)
	return m.site(surface.Vec{X: (m.x[a] + m.x[b] + m.x[c]) / 3, Y: (m.y[a] + m.y[b] + m.y[c]) / 3})
}

// descent returns the direction in which triangle t falls, times its fall and twice its area.
func (m *mesh) descent(t int) (x, y, twice float64) {
	a, b, c := m.fromWest(t)
	bx, by, bz := m.x[b]-m.x[a], m.y[b]-m.y[a], m.z[b]-m.z[a]
	cx, cy, cz := m.x[c]-m.x[a], m.y[c]-m.y[a], m.z[c]-m.z[a]
	return float64(cz*by) - float64(bz*cy), float64(bz*cx) - float64(cz*bx), float64(bx*cy) - float64(cx*by)
}

// fall returns the fall of triangle t, rise over run.
func (m *mesh) fall(t int) float64 {
	x, y, twice := m.descent(t)
	if x == 0 && y == 0 {
		return 0
	}
	return math.Hypot(x, y) / twice
}

// split puts a vertex on the edge of half-edge h, and returns it.
func (m *mesh) split(h int32, p surface.Vec, z float64) int32 {
	v := m.add(p, z)
	w := m.twin[h]
	k := m.halve(h, v)
	if w >= 0 {
		l := m.halve(w, v)
		m.twin[h], m.twin[l] = l, h
		m.twin[w], m.twin[k] = k, w
	}
	return v
}

func (m *mesh) add(p surface.Vec, z float64) int32 {
	m.x, m.y, m.z = append(m.x, p.X), append(m.y, p.Y), append(m.z, z)
	return int32(len(m.x) - 1)
}

// halve divides the triangle of half-edge h, which then ends at v, and returns the half-edge
// of the other half that starts there.
func (m *mesh) halve(h, v int32) (k int32) {
	n := next(h)
	k = int32(len(m.v))
	m.v = append(m.v, v, m.v[n], m.v[next(n)])
	m.twin = append(m.twin, -1, m.twin[n], n)
	if w := m.twin[n]; w >= 0 {
		m.twin[w] = k + 1
	}
	m.v[n], m.twin[n] = v, k+2
	return k
}

// pierce puts a vertex inside triangle t.
func (m *mesh) pierce(t int32, p surface.Vec, z float64) int32 {
	v := m.add(p, z)
	h := 3 * t
	a, b, c := m.v[h], m.v[h+1], m.v[h+2]
	k := int32(len(m.v))
	m.v = append(m.v, b, c, v, c, a, v)
	m.twin = append(m.twin, m.twin[h+1], k+5, h+1, m.twin[h+2], h+2, k+1)
	for i, e := range [2]int32{h + 1, h + 2} {
		if w := m.twin[e]; w >= 0 {
			m.twin[w] = k + 3*int32(i)
		}
	}
	m.v[h+2] = v
	m.twin[h+1], m.twin[h+2] = k+2, k+4
	return v
}

// onEdge returns the place on the edge of h that is nearest to p, how far along it is, and the
// elevation there.
func (m *mesh) onEdge(h int32, p surface.Vec) (q surface.Vec, along, z float64) {
	a, b := m.v[h], m.v[next(h)]
	if m.before(b, a) {
		a, b = b, a
	}
	along = p.Along(m.local(a), m.local(b))
	q = p.NearestOn(m.local(a), m.local(b))
	switch along { // exactly, at the ends
	case 0:
		q = m.local(a)
	case 1:
		q = m.local(b)
	}
	return q, along, between(m.z[a], m.z[b], along)
}

// between returns the value a share s of the way from a to b, never beyond them.
func between(a, b, s float64) float64 {
	return min(max(a+float64(s*(b-a)), min(a, b)), max(a, b))
}

// place makes an outlet a vertex. steps are those of the floor.
func (m *mesh) place(o Outlet, steps [][2]surface.Vec) (int32, *OffFloor) {
	p := surface.Vec{X: o.At.X - m.origin.X, Y: o.At.Y - m.origin.Y}
	if !o.Open {
		if t, on := m.triangleAt(p); on {
			return m.inTriangle(t, p, o.Z), nil
		}
	}
	best, away, where := int32(-1), math.Inf(1), surface.Vec{}
	for h, w := range m.twin {
		if w >= 0 {
			continue
		}
		q, _, _ := m.onEdge(int32(h), p)
		if d := p.Distance(q); (d < away || d == away && q.Less(where)) && !m.atStep(int32(h), steps) {
			best, away, where = int32(h), d, q
		}
	}
	if best < 0 || !o.Open && away > AtDrain {
		return 0, &OffFloor{Away: away}
	}
	return m.alongEdge(best, where, o.Z, !o.Open), nil
}

// sameVertex is how near to a vertex an outlet is that vertex, m: a tenth of a millimetre, less
// than any survey resolves.
const sameVertex = 1e-4

// alongEdge returns the vertex at a place on the edge of h. A rim that is lower than the floor
// lowers it.
func (m *mesh) alongEdge(h int32, p surface.Vec, rim float64, dished bool) int32 {
	for _, v := range [2]int32{m.v[h], m.v[next(h)]} {
		if p.Distance(m.local(v)) <= sameVertex {
			m.dish(v, rim, dished)
			return v
		}
	}
	q, _, z := m.onEdge(h, p)
	v := m.split(h, q, z)
	m.dish(v, rim, dished)
	return v
}

func (m *mesh) dish(v int32, rim float64, dished bool) {
	if dished && rim < m.z[v] {
		m.z[v] = rim
	}
}

// triangleAt returns the triangle that holds a place, m from the origin: of several the one
// with the first corners.
func (m *mesh) triangleAt(p surface.Vec) (int, bool) {
	best := -1
	for t := range m.len() {
		a, b, c := m.v[3*t], m.v[3*t+1], m.v[3*t+2]
		if p.X < min(m.x[a], m.x[b], m.x[c]) || p.X > max(m.x[a], m.x[b], m.x[c]) || p.Y < min(m.y[a], m.y[b], m.y[c]) || p.Y > max(m.y[a], m.y[b], m.y[c]) {
			continue
		}
		if m.side(a, b, p) < 0 || m.side(b, c, p) < 0 || m.side(c, a, p) < 0 {
			continue
		}
		if best < 0 || m.firstBy(t, best) {
			best = t
		}
	}
	return best, best >= 0
}

func (m *mesh) side(a, b int32, p surface.Vec) int {
	return exact.Orient(m.x[a], m.y[a], m.x[b], m.y[b], p.X, p.Y)
}

// firstBy reports whether triangle t comes before u by the places and elevations of its corners.
func (m *mesh) firstBy(t, u int) bool {
	a, b, c := m.fromWest(t)
	d, e, f := m.fromWest(u)
	for _, k := range [3][2]int32{{a, d}, {b, e}, {c, f}} {
		if m.before(k[0], k[1]) || m.before(k[1], k[0]) {
			return m.before(k[0], k[1])
		}
	}
	return false
}

// inTriangle returns the vertex at a place in triangle t.
func (m *mesh) inTriangle(t int, p surface.Vec, rim float64) int32 {
	near, away := int32(-1), math.Inf(1)
	for h := int32(3 * t); h < int32(3*t+3); h++ {
		if q, _, _ := m.onEdge(h, p); p.Distance(q) < away {
			near, away = h, p.Distance(q)
		}
	}
	if away <= sameVertex {
		q, _, _ := m.onEdge(near, p)
		return m.alongEdge(near, q, rim, true)
	}
	v := m.pierce(int32(t), p, m.heightIn(t, p))
	m.dish(v, rim, true)
	return v
}

// heightIn returns the elevation at a place in triangle t, m.
func (m *mesh) heightIn(t int, p surface.Vec) float64 {
	a, b, c := m.fromWest(t)
	twice := func(a, b int32) float64 {
		return float64((m.x[a]-p.X)*(m.y[b]-p.Y)) - float64((m.x[b]-p.X)*(m.y[a]-p.Y))
	}
	ofB, ofC := twice(c, a), twice(a, b)
	whole := twice(b, c) + ofB + ofC
	z := m.z[a] + float64(ofB/whole*(m.z[b]-m.z[a])) + float64(ofC/whole*(m.z[c]-m.z[a]))
	return min(max(z, min(m.z[a], m.z[b], m.z[c])), max(m.z[a], m.z[b], m.z[c]))
}

// index finds the half-edges that leave each vertex and how each triangle falls. The mesh must
// not change afterwards.
func (m *mesh) index() {
	m.first = make([]int32, len(m.x)+1)
	for _, v := range m.v {
		m.first[v+1]++
	}
	for v := 1; v < len(m.first); v++ {
		m.first[v] += m.first[v-1]
	}
	m.list = make([]int32, len(m.v))
	at := make([]int32, len(m.x))
	for h, v := range m.v {
		m.list[m.first[v]+at[v]] = int32(h)
		at[v]++
	}
	m.across = make([]float64, len(m.v))
	for t := range m.len() {
		m.spread(t)
	}
}

// spread works out where the corners of triangle t are across its fall.
func (m *mesh) spread(t int) {
	dx, dy, _ := m.descent(t)
	if dx == 0 && dy == 0 {
		return // level
	}
	o, _, _ := m.fromWest(t)
	for h := 3 * t; h < 3*t+3; h++ {
		v := m.v[h]
		m.across[h] = float64(dx*(m.y[v]-m.y[o])) - float64(dy*(m.x[v]-m.x[o]))
	}
}

// leaving returns the half-edges that leave v.
func (m *mesh) leaving(v int32) []int32 { return m.list[m.first[v]:m.first[v+1]] }

// neighbours calls see for each vertex that an edge or a step connects with v.
func (m *mesh) neighbours(v int32, see func(w int32)) {
	for _, h := range m.leaving(v) {
		see(m.v[next(h)])
		if before := next(next(h)); m.twin[before] < 0 {
			see(m.v[before])
		}
	}
	if m.pairs != nil {
		for _, w := range m.pairs[v] {
			see(w)
		}
	}
}

package water

import (
	"cmp"
	"slices"

	"pourplane/surface"
)

// onStep is how far from the line of a step its sides may be, and how far apart two places on
// it are one, m: places are whole nanometres.
const onStep = 5e-9

// bankOf returns a step as a line of the mesh, from its first end by place.
func (m *mesh) bankOf(step [2]surface.Vec) bank {
	a := surface.Vec{X: step[0].X - m.origin.X, Y: step[0].Y - m.origin.Y}
	b := surface.Vec{X: step[1].X - m.origin.X, Y: step[1].Y - m.origin.Y}
	if b.Less(a) {
		a, b = b, a
	}
	return bank{m, a, b}
}

// atStep reports whether an edge of the floor is at one of its steps, and no wall.
func (m *mesh) atStep(h int32, steps [][2]surface.Vec) bool {
	return slices.ContainsFunc(steps, func(s [2]surface.Vec) bool { return m.bankOf(s).holds(h) })
}

// holds reports whether both ends of a half-edge are on the line of the step.
func (s bank) holds(h int32) bool {
	p, q := s.m.local(s.m.v[h]), s.m.local(s.m.v[next(h)])
	return p.Distance(p.NearestOn(s.a, s.b)) <= onStep && q.Distance(q.NearestOn(s.a, s.b)) <= onStep
}

// linkSteps makes the same places vertices on both sides of each step, and links the sides.
func (m *mesh) linkSteps(steps [][2]surface.Vec) {
	if len(steps) == 0 {
		return
	}
	m.pairs = map[int32][]int32{}
	var linked [][2]int32
	for _, s := range steps {
		if b := m.bankOf(s); b.a != b.b {
			linked = append(linked, m.linkStep(b)...)
		}
	}
	m.step = make([]int32, len(m.v))
	for i := range m.step {
		m.step[i] = -1
	}
	for _, p := range linked {
		m.step[p[0]], m.step[p[1]] = p[1], p[0]
		m.pair(m.v[p[0]], m.v[next(p[1])])
		m.pair(m.v[next(p[0])], m.v[p[1]])
	}
}

func (m *mesh) pair(v, w int32) {
	if !slices.Contains(m.pairs[v], w) {
		m.pairs[v], m.pairs[w] = append(m.pairs[v], w), append(m.pairs[w], v)
	}
}

// bank is the line of a step, m from the origin of the mesh.
type bank struct {
	m    *mesh
	a, b surface.Vec
}

// along returns how far along the step vertex v is, m.
func (s bank) along(v int32) float64 {
	p := s.m.local(v)
	return p.Along(s.a, s.b) * s.a.Distance(s.b)
}

// linkStep returns the pairs of half-edges that face each other across a step, after cutting
// both sides at each other's vertices and where they cross.
func (m *mesh) linkStep(s bank) (linked [][2]int32) {
	var sides [2][]int32 // half-edges in the direction of the step, and against it
	for h, w := range m.twin {
		if w >= 0 || !s.holds(int32(h)) {
			continue
		}
		if s.along(m.v[h]) < s.along(m.v[next(int32(h))]) {
			sides[0] = append(sides[0], int32(h))
		} else {
			sides[1] = append(sides[1], int32(h))
		}
	}
	far := [2][]int32{s.cutAt(sides[0], m.ends(sides[1])), s.cutAt(sides[1], m.ends(sides[0]))}
	from := func(h int32) float64 { return min(s.along(m.v[h]), s.along(m.v[next(h)])) }
	for _, side := range far {
		slices.SortFunc(side, func(g, h int32) int { return cmp.Compare(from(g), from(h)) })
	}
	for i, j := 0, 0; i < len(far[0]) && j < len(far[1]); {
		g, h := far[0][i], far[1][j]
		switch d := from(g) - from(h); {
		case d < -onStep:
			i++
		case d > onStep:
			j++
		default:
			linked = append(linked, m.cross(g, h)...)
			i, j = i+1, j+1
		}
	}
	return linked
}

// ends returns the vertices of half-edges.
func (m *mesh) ends(edges []int32) (out []int32) {
	for _, h := range edges {
		out = append(out, m.v[h], m.v[next(h)])
	}
	return out
}

// cutAt cuts edges at the places of vertices, and returns all their pieces.
func (s bank) cutAt(edges, vertices []int32) []int32 {
	m := s.m
	slices.SortFunc(vertices, func(u, v int32) int { return cmp.Compare(s.along(u), s.along(v)) })
	back := slices.Clone(vertices)
	slices.Reverse(back)
	var out []int32
	for _, h := range edges {
		stops := vertices
		if s.along(m.v[h]) > s.along(m.v[next(h)]) {
			stops = back
		}
		for _, v := range stops {
			lo, hi := s.along(m.v[h]), s.along(m.v[next(h)])
			if at := s.along(v); at <= min(lo, hi)+onStep || at >= max(lo, hi)-onStep {
				continue
			}
			_, _, z := m.onEdge(h, m.local(v))
			out = append(out, h)
			h = m.cut(h, m.local(v), z)
		}
		out = append(out, h)
	}
	return out
}

// cut cuts an edge of the floor and returns the half-edge of its far piece.
func (m *mesh) cut(h int32, p surface.Vec, z float64) int32 {
	k := int32(len(m.v))
	m.split(h, p, z)
	return k
}

// cross links two half-edges that face each other, in two pieces if the elevations of the two
// sides cross between their ends.
func (m *mesh) cross(g, h int32) [][2]int32 {
	a, b := m.v[g], m.v[next(g)]
	c, d := m.v[next(h)], m.v[h] // at the places of a and b
	from, to := m.z[a]-m.z[c], m.z[b]-m.z[d]
	if !(from < 0 && to > 0 || from > 0 && to < 0) {
		return [][2]int32{{g, h}}
	}
	s := from / (from - to)
	p := surface.Vec{X: between(m.x[a], m.x[b], s), Y: between(m.y[a], m.y[b], s)}
	z := between(m.z[a], m.z[b], s)
	z = min(max(z, min(m.z[c], m.z[d])), max(m.z[c], m.z[d])) // and between those of the other side
	k, l := m.cut(g, p, z), m.cut(h, p, z)
	return [][2]int32{{g, l}, {k, h}}
}

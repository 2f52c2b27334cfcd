package delaunay

// piece is the part of a forced edge between two vertices on it, with none between.
type piece struct {
	a, b   int32
	edge   int32 // the half-edge from a to b, -1 if there is none yet
	lo, hi int   // if there is none: what the piece crosses, Mesh.crossed[lo:hi], from a to b
}

// link is a vertex on the rim of the space cleared for a piece, and the rim's edge from it
// to the next vertex.
type link struct {
	v     int32
	mark  uint8
	outer int32 // the half-edge beyond; if that is rim too, ^index of its link, until that link is filled
}

// Constrain forces an edge from vertex a to vertex b, in pieces if vertices are exactly on
// it, and adds mark to the pieces: [Toggle] is inverted, the other bits are set, [Fixed]
// always. The result is the constrained Delaunay triangulation, in which every free edge is
// Delaunay among the vertices visible from it. Its triangles do not depend on the order of
// forced edges.
//
// An edge that crosses an earlier forced one inside both is refused with a [CrossingError],
// one between invalid vertices with an [EdgeError]. The mesh is then unchanged.
//
// The crossed triangles are removed and each side of the gap is filled again by the Delaunay
// rule: Anglada 1997, Computers & Graphics 21:215-223. Triangles not crossed stay (Chew
// 1989, Algorithmica 4:97-108).
func (m *Mesh) Constrain(a, b int32, mark uint8) error {
	if n := m.Inf(); a == b || a < 0 || b < 0 || a >= n || b >= n {
		return &EdgeError{a, b}
	}
	if m.out == nil {
		m.out = make([]int32, len(m.X))
		for h, v := range m.V {
			if v < m.Inf() {
				m.out[v] = int32(h)
			}
		}
	}
	// From west to east, so that both directions give the same result.
	from, to := a, b
	if m.less(b, a) {
		from, to = b, a
	}
	if h := m.trace(from, to); h >= 0 {
		return &CrossingError{a, b, m.V[h], m.V[Next(h)]}
	}
	for _, p := range m.pieces {
		h := p.edge
		if h < 0 {
			h = m.force(p)
		}
		s := m.Mark[h] ^ mark&Toggle | mark&^Toggle | Fixed
		m.Mark[h], m.Mark[m.Twin[h]] = s, s
	}
	return nil
}

// trace lists the pieces of the edge from a east to b, and what they cross. It returns a
// forced half-edge that it crosses, or -1.
func (m *Mesh) trace(a, b int32) int32 {
	m.pieces, m.crossed = m.pieces[:0], m.crossed[:0]
	for s := a; s != b; {
		h, along := m.leave(s, a, b)
		if along {
			w := m.V[Next(h)]
			m.pieces = append(m.pieces, piece{a: s, b: w, edge: h})
			s = w
			continue
		}
		lo := len(m.crossed)
		for w := int32(-1); w < 0; { // h runs from right to left across the edge
			if m.Mark[h] != 0 {
				return h
			}
			m.crossed = append(m.crossed, h)
			g := m.Twin[h]
			far := m.V[Prev(g)]
			switch m.side(a, b, far) {
			case +1:
				h = Next(g)
			case -1:
				h = Prev(g)
			default:
				w = far
			}
			if w >= 0 {
				m.pieces = append(m.pieces, piece{a: s, b: w, edge: -1, lo: lo, hi: len(m.crossed)})
				s = w
			}
		}
	}
	return -1
}

// leave finds where the edge from a east to b continues from vertex s on it: along the
// returned half-edge, which starts at s, or across it, opposite s.
func (m *Mesh) leave(s, a, b int32) (h int32, along bool) {
	inf := m.Inf()
	h = m.out[s]
	for {
		n, p := Next(h), Prev(h)
		if u := m.V[n]; u != inf {
			o := m.side(a, b, u)
			if o == 0 && m.less(s, u) {
				return h, true
			}
			if v := m.V[p]; o < 0 && v != inf && m.side(a, b, v) > 0 {
				return n, false
			}
		}
		h = m.Twin[p]
	}
}

// force removes the triangles that p crosses, fills both sides and returns the half-edge
// between them, from p.a to p.b.
func (m *Mesh) force(p piece) int32 {
	crossed := m.crossed[p.lo:p.hi]
	k := len(crossed) - 1
	m.slots = append(m.slots[:0], crossed[0]/3)
	for _, h := range crossed {
		m.slots = append(m.slots, m.Twin[h]/3)
	}

	// The rim left of the piece from a to b, then right of it from b to a. The cleared
	// half-edges at the rim run the opposite way.
	m.chain = m.chain[:0]
	m.rim(p.a, Next(crossed[0]))
	for i, h := range crossed {
		if g := m.Twin[h]; i == k || crossed[i+1] == Next(g) {
			m.rim(m.V[Next(h)], Prev(g))
		}
	}
	m.rim(p.b, -1)
	right := len(m.chain)
	m.rim(p.b, Next(m.Twin[crossed[k]]))
	for i := k; i > 0; i-- {
		if g := m.Twin[crossed[i-1]]; crossed[i] == Prev(g) {
			m.rim(m.V[crossed[i]], Next(g))
		}
	}
	m.rim(m.V[crossed[0]], Prev(crossed[0]))
	m.rim(p.a, -1)

	// An edge that sticks out into the space is rim on both sides. Write the link number at
	// each cleared half-edge, and see which have such a twin.
	for i, l := range m.chain {
		if l.outer >= 0 {
			m.chain[i].outer = m.Twin[l.outer]
			m.Twin[l.outer] = ^int32(i)
		}
	}
	for i, l := range m.chain {
		if l.outer >= 0 && m.Twin[l.outer] < 0 {
			m.chain[i].outer = m.Twin[l.outer]
		}
	}

	h := m.fill(0, right-1)
	m.join(h, m.fill(right, len(m.chain)-1))
	return h
}

// rim appends a vertex and, unless it is the last, the cleared half-edge from the next
// vertex to it.
func (m *Mesh) rim(v, h int32) {
	l := link{v: v, outer: h}
	if h >= 0 {
		l.mark = m.Mark[h]
	}
	m.chain = append(m.chain, l)
}

func (m *Mesh) join(h, g int32) { m.Twin[h], m.Twin[g] = g, h }

// fill triangulates between the rim from link lo to link hi, which is left of the line
// between them, and that line. It returns the half-edge along it.
func (m *Mesh) fill(lo, hi int) int32 {
	c := m.apex(lo, hi)
	last := len(m.slots) - 1
	h := 3 * m.slots[last]
	m.slots = m.slots[:last]
	for i, l := range [3]int{lo, hi, c} {
		g, v := h+int32(i), m.chain[l].v
		m.V[g], m.Mark[g], m.out[v] = v, 0, g
	}
	m.hang(h+1, c, hi)
	m.hang(h+2, lo, c)
	return h
}

// hang joins half-edge h, from link hi to link lo, to its neighbour beyond.
func (m *Mesh) hang(h int32, lo, hi int) {
	if hi > lo+1 {
		m.join(h, m.fill(lo, hi))
		return
	}
	l := m.chain[lo]
	m.Mark[h] = l.mark
	if l.outer < 0 {
		m.chain[^l.outer].outer = h
		return
	}
	m.join(h, l.outer)
}

// apex returns the link between lo and hi whose circle with them contains no other. Each was
// joined across the line from lo to hi, so all of them are left of it, and an empty circle
// means a triangle clear of the rim.
func (m *Mesh) apex(lo, hi int) int {
	c := lo + 1
	a, b := m.place(m.chain[lo].v), m.place(m.chain[hi].v)
	pc := m.place(m.chain[c].v)
	for i := c + 1; i < hi; i++ {
		if m.chain[i].v == m.chain[c].v {
			continue // met again on the other side of an edge that sticks out
		}
		p := m.place(m.chain[i].v)
		s := inCircle(a, b, pc, p)
		if s == 0 {
			// Which of the two corners beside p on the circle are a, b or c?
			if orient(b, pc, p) < 0 && pulled(a, p, b, pc) || orient(pc, a, p) < 0 && pulled(b, p, pc, a) {
				s = 1
			}
		}
		if s > 0 {
			c, pc = i, p
		}
	}
	return c
}

func (m *Mesh) place(v int32) place { return place{m.X[v], m.Y[v]} }

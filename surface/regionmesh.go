package surface

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface/internal/delaunay"
	"pourplane/surface/internal/plan"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// regionMesh is one region on its way to a TIN: its vertices, each at a different place, and the
// edges that the triangles must keep.
type regionMesh struct {
	b *builder
	r *region

	plan.Vertices
	z       []float64            // NaN until fitted
	shot    []int32              // index among all shots, -1 for none
	given   map[int32]survey.Pos // source of each elevation that is not a shot's
	fitted  []bool
	fits    map[int32]wallFit // per fitted vertex
	several map[int32][]int32 // all shots at a vertex, if they differ

	walls          [][2]int32     // edges of the region between corners, shots and breaklines
	border, crease [][2]int32     // the same in pieces, and the pieces of lines
	pitch          float64        // max length of the pieces, see [regionMesh.spacing]
	longWalls      [][2]int32     // walls that are cut although both ends are measured
	onLong         map[int32]bool // the places between those ends
}

// vertexAt returns the vertex at k; a new one has no elevation.
func (s *regionMesh) vertexAt(k Vec) int32 {
	v, made := s.Add(k)
	if made {
		s.z = append(s.z, math.NaN())
		s.shot = append(s.shot, -1)
	}
	return v
}

// at returns where the elevation of vertex v was read.
func (s *regionMesh) at(v int32) survey.Pos {
	if i := s.shot[v]; i >= 0 {
		return s.b.data.Shots[i].At()
	}
	return s.given[v]
}

func (s *regionMesh) addShots() error {
	b := s.b
	n := len(s.r.shots)
	if b.byLine == nil {
		s.Reserve(n + 4*len(s.r.edge))
	}
	// Room for the shots, and for walls cut at about their spacing.
	s.K = make([]Vec, 0, n+16*int(math.Sqrt(float64(n)))+8*len(s.r.edge))
	s.z = make([]float64, 0, cap(s.K))
	s.shot = make([]int32, 0, cap(s.K))
	for _, i := range s.r.shots {
		p := &b.data.Shots[i]
		if b.byLine != nil && !b.byLine[i] {
			s.K, s.z, s.shot = append(s.K, b.shot[i]), append(s.z, p.Z), append(s.shot, i)
			continue
		}
		v := s.vertexAt(b.shot[i])
		if s.shot[v] < 0 {
			s.z[v], s.shot[v] = p.Z, i
			continue
		}
		if math.Abs(s.z[v]-p.Z) <= sameElevation {
			b.drop(i, "same place and elevation as %s", s.at(v))
			continue
		}
		// A repeated row counts once in a mean, whichever of several it repeats.
		if k := slices.IndexFunc(s.several[v], func(j int32) bool { return math.Abs(b.data.Shots[j].Z-p.Z) <= sameElevation }); k >= 0 {
			b.drop(i, "same place and elevation as %s", b.data.Shots[s.several[v][k]].At())
			continue
		}
		switch b.data.Duplicates {
		case Refuse:
			return b.twoElevations(b.shot[i], s.at(v), s.z[v], p.At(), p.Z)
		case First:
			b.drop(i, "another elevation at the place of %s, %s apart; the first is used", s.at(v), unit.FineDepth(math.Abs(s.z[v]-p.Z)))
		case Last:
			b.drop(s.shot[v], "another elevation at the place of %s, %s apart; the last is used", p.At(), unit.FineDepth(math.Abs(s.z[v]-p.Z)))
			s.z[v], s.shot[v] = p.Z, i
		case Mean:
			if s.several == nil {
				s.several = map[int32][]int32{}
			}
			if s.several[v] == nil {
				s.several[v] = []int32{s.shot[v]}
			}
			s.several[v] = append(s.several[v], i)
		}
	}
	for v := range int32(len(s.K)) {
		same := s.several[v]
		if same == nil {
			continue
		}
		var z []float64
		for _, i := range same {
			z = append(z, b.data.Shots[i].Z)
		}
		slices.Sort(z) // so that the mean does not depend on row order
		var total sum.Sum
		for _, x := range z {
			total.Add(x)
		}
		s.z[v] = total.Value() / float64(len(z))
		b.note(survey.Assumed, s.at(v), "mean of %d elevations at one place, %s apart", len(z), unit.FineDepth(z[len(z)-1]-z[0]))
	}
	return nil
}

// give sets the elevation of vertex v to that of vertex w of the plan, from an outline or
// line.
func (s *regionMesh) give(v, w int32) error {
	z, at := s.b.elevationIn(s.r, w)
	switch {
	case math.IsNaN(z):
	case math.IsNaN(s.z[v]):
		s.z[v] = z
		s.given[v] = at
	case math.Abs(s.z[v]-z) > sameElevation && s.b.data.Duplicates == Refuse:
		return s.b.twoElevations(s.K[v], s.at(v), s.z[v], at, z)
	}
	return nil
}

// addBorder adds the edges of the region, cut at shots and at breaklines that meet them. If
// an end has no elevation the edge is cut further, into pieces up to the usual spacing of
// the shots, so that a long wall follows the floor and not the straight line from corner to
// corner. Edges with both ends measured are left to [regionMesh.cutLongWalls].
func (s *regionMesh) addBorder() error {
	s.pitch = s.spacing()
	for i := range s.r.edge {
		e := &s.r.edge[i]
		var v []int32
		for _, w := range s.b.Between(e.a, e.b, e.splits) {
			u := s.vertexAt(s.b.K[w])
			if err := s.give(u, w); err != nil {
				return err
			}
			v = append(v, u)
		}
		for _, j := range e.shots {
			v = append(v, s.vertexAt(s.b.shot[j]))
		}
		from := s.b.K[e.a]
		slices.SortFunc(v, func(i, j int32) int {
			return cmp.Compare(from.Distance(s.K[i]), from.Distance(s.K[j]))
		})
		v = slices.Compact(v)
		for j := 1; j < len(v); j++ {
			s.walls = append(s.walls, [2]int32{v[j-1], v[j]})
			s.addWall(v[j-1], v[j])
		}
	}
	return nil
}

func (s *regionMesh) addWall(u, w int32) {
	n := 1
	if math.IsNaN(s.z[u]) || math.IsNaN(s.z[w]) {
		n = s.piecesOf(u, w)
	}
	s.border = append(s.border, s.cutWall(u, w, n)...)
}

// piecesOf returns the number of pieces of the usual spacing in the wall from u to w.
func (s *regionMesh) piecesOf(u, w int32) int {
	return max(1, int(math.Ceil(s.K[u].Distance(s.K[w])/s.pitch)))
}

// cutWall returns the wall from u to w as n equal pieces.
func (s *regionMesh) cutWall(u, w int32, n int) [][2]int32 {
	a, c := s.K[u], s.K[w]
	pieces := make([][2]int32, 0, n)
	for j := 1; j <= n; j++ {
		v := w
		if j < n {
			t := float64(j) / float64(n)
			v = s.vertexAt(Vec{X: math.Round(a.X + float64(t*(c.X-a.X))), Y: math.Round(a.Y + float64(t*(c.Y-a.Y)))})
		}
		pieces = append(pieces, [2]int32{u, v})
		u = v
	}
	return pieces
}

// spacing returns the max length of the pieces of a wall, in steps: the side of the square
// that each known elevation represents, but at least a two-thousandth of all walls, which is
// finer than the unevenness of any wall.
func (s *regionMesh) spacing() float64 {
	var twice, walls sum.Sum
	o := s.b.K[s.r.edge[0].a]
	for _, e := range s.r.edge {
		a, c := s.b.K[e.a], s.b.K[e.b]
		twice.Add((a.X - o.X) * (c.Y - o.Y))
		twice.Add(-(a.Y - o.Y) * (c.X - o.X))
		walls.Add(a.Distance(c))
	}
	return max(math.Sqrt(twice.Value()/2/float64(max(1, len(s.K)))), walls.Value()/2000)
}

// addCreases adds the pieces of lines inside the region.
func (s *regionMesh) addCreases() error {
	if len(s.b.creases) == 0 {
		return nil
	}
	// In doubled coordinates the middle of a piece is whole.
	doubled := slices.Clone(s.r.tree.All)
	for i := range doubled {
		e := &doubled[i]
		e.A, e.B = e.A.Times(2), e.B.Times(2)
	}
	where := plan.NewEdgeTree(doubled)
	for _, c := range s.b.creases {
		for i := 1; i < len(c.v); i++ {
			a, d := c.v[i-1], c.v[i]
			ka, kd := s.b.K[a], s.b.K[d]
			if where.Side(Vec{X: ka.X + kd.X, Y: ka.Y + kd.Y}) == plan.Outside {
				continue
			}
			u, w := s.vertexAt(ka), s.vertexAt(kd)
			for _, g := range [][2]int32{{u, a}, {w, d}} {
				if err := s.give(g[0], g[1]); err != nil {
					return err
				}
			}
			s.crease = append(s.crease, [2]int32{u, w})
		}
	}
	return nil
}

// constrain forces edges into m.
func (s *regionMesh) constrain(m *delaunay.Mesh, edges [][2]int32, mark uint8) error {
	for _, e := range edges {
		if err := m.Constrain(e[0], e[1], mark); err != nil {
			g := s.b.Site(Vec{X: m.X[e[0]], Y: m.Y[e[0]]})
			return (&survey.Error{Element: ringName(survey.Ring{Name: s.r.name}), Want: "lines that cross clearly or meet at a common place", Err: err}).
				Saw("two lines that pass within a nanometre of each other near %s", s.b.beside(g))
		}
	}
	return nil
}

// keepShots forces the edges of the area spanned by the shots alone, so that elevations
// fitted at the walls only affect the strip beyond the outermost shots, nowhere between
// shots. m is the region with its walls.
//
// Those edges are found among the shots next to fitted places, triangulated without the
// fitted places: any edge that a fitted place can displace has both ends there.
func (s *regionMesh) keepShots(m *delaunay.Mesh) error {
	// The strip beside a long wall is not spanned by shots either: its triangles have one of
	// the wall's ends.
	beyond := slices.Clone(s.fitted)
	for _, e := range s.longWalls {
		beyond[e[0]], beyond[e[1]] = true, true
	}
	take := make([]bool, len(s.K))
	first, inf := int32(slices.Index(s.fitted, true)), m.Inf() // most fitted vertices come after all shots
	for h, u := range m.V {
		if u < first || u == inf || !s.fitted[u] {
			continue
		}
		if t := int32(h / 3); !m.Ghost(t) {
			for _, v := range m.V[3*t : 3*t+3] {
				take[v] = !s.fitted[v]
			}
		}
	}
	for _, set := range [][][2]int32{s.walls, s.crease} {
		for _, e := range set {
			take[e[0]], take[e[1]] = true, true
		}
	}
	var some []int32
	var k []Vec
	id := make([]int32, len(s.K))
	for v, ok := range take {
		if ok {
			id[v] = int32(len(some))
			some = append(some, int32(v))
			k = append(k, s.K[v])
		}
	}
	few, err := plan.Triangulate(k)
	if err != nil {
		return err
	}
	for _, set := range []struct {
		edges [][2]int32
		mark  uint8
	}{{s.walls, wall}, {s.crease, crease}} {
		local := make([][2]int32, len(set.edges))
		for i, e := range set.edges {
			local[i] = [2]int32{id[e[0]], id[e[1]]}
		}
		if err := s.constrain(few, local, set.mark); err != nil {
			return err
		}
	}
	in := few.Inside(wall)
	shots := make([]bool, len(in))
	for t, ok := range in {
		v := few.V[3*t : 3*t+3]
		shots[t] = ok && !beyond[some[v[0]]] && !beyond[some[v[1]]] && !beyond[some[v[2]]]
	}
	var edges [][2]int32
	for h := range int32(len(few.V)) {
		if shots[h/3] && !shots[few.Twin[h]/3] {
			edges = append(edges, [2]int32{some[few.V[h]], some[few.V[Next(h)]]})
		}
	}
	return s.constrain(m, edges, crease)
}

// tin triangulates the region.
func (s *regionMesh) tin() (*TIN, error) {
	m := s.b.mesh
	s.b.mesh = nil // the walls go into it
	if n := len(s.b.shot); m == nil || len(s.r.shots) != n || len(s.K) != n {
		var err error
		if m, err = plan.Triangulate(s.K); err != nil {
			return nil, err
		}
	}
	if err := s.constrain(m, s.border, wall); err != nil {
		return nil, err
	}
	if err := s.constrain(m, s.crease, crease); err != nil {
		return nil, err
	}
	if slices.Contains(s.fitted, true) {
		if err := s.keepShots(m); err != nil {
			return nil, err
		}
	}
	return s.cut(m), nil
}

// cut makes a TIN from the triangles of m inside the walls. It reuses the arrays of m and s,
// keeping their order and closing gaps: fresh memory for millions of triangles costs more
// than the work itself.
func (s *regionMesh) cut(m *delaunay.Mesh) *TIN {
	in := m.InsideOf(wall, s.border)
	s.judgeWalls(m, in)
	down := make([]int32, len(in)) // how far the half-edges of each triangle move; -1: it is not kept
	used := make([]bool, len(s.K))
	gone := int32(0)
	for t, ok := range in {
		if !ok {
			down[t] = -1
			gone += 3
			continue
		}
		down[t] = gone
		v := m.V[3*t : 3*t+3 : 3*t+3]
		used[v[0]], used[v[1]], used[v[2]] = true, true, true
	}
	number, vertices := s.numbered(used) // of each vertex kept
	for v, ok := range used {
		if !ok {
			continue
		}
		w := v
		if number != nil {
			w = int(number[v])
		}
		at := s.b.Metres(s.K[v])
		m.X[w], m.Y[w] = at.X, at.Y
		s.z[w], s.fitted[w], s.shot[w] = s.z[v], s.fitted[v], s.shot[v]
	}
	for t, d := range down {
		if d < 0 {
			continue
		}
		h := int32(3 * t)
		for g := h; g < h+3; g++ {
			v, w := m.V[g], m.Twin[g]
			if number != nil {
				v = number[v]
			}
			if by := down[w/3]; by >= 0 {
				w -= by
			} else {
				w = -1
			}
			m.V[g-d], m.Twin[g-d] = v, w
		}
	}
	n := int32(len(m.V)) - gone
	return &TIN{Origin: s.b.Origin,
		X: m.X[:vertices], Y: m.Y[:vertices], Z: s.z[:vertices],
		V: m.V[:n], Twin: m.Twin[:n],
		Fitted: s.fitted[:vertices], Shot: s.shot[:vertices],
		shares: s.sharesBy(used, number)}
}

// sharesBy returns the shares of the shots in the elevations at walls, with the vertices numbered
// anew if number is not nil. A shot that is no vertex has no share.
func (s *regionMesh) sharesBy(used []bool, number []int32) map[int32][]Share {
	out := make(map[int32][]Share, len(s.fits))
	for v, f := range s.fits {
		if !used[v] {
			continue
		}
		if number != nil {
			v = number[v]
			kept := f.shares[:0]
			for _, share := range f.shares {
				if used[share.Vertex] {
					share.Vertex = number[share.Vertex]
					kept = append(kept, share)
				}
			}
			f.shares = kept
		}
		out[v] = f.shares
	}
	return out
}

// numbered numbers the vertices used and reports shots at others. number is nil if all are
// used, each with its own number.
func (s *regionMesh) numbered(used []bool) (number []int32, n int) {
	if !slices.Contains(used, false) {
		return nil, len(used)
	}
	number = make([]int32, len(used))
	for v, ok := range used {
		switch {
		case ok:
			number[v] = int32(n)
			n++
		case s.shot[v] >= 0:
			s.b.drop(s.shot[v], "is within a nanometre of the outline, outside it")
		}
	}
	return number, n
}

package plan

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface/internal/delaunay"
)

// Vertices numbers places, each place once. It finds them in an open-addressed table of
// numbers, because a survey of a million shots is looked up once per shot. Places appended
// to K directly are not found.
type Vertices struct {
	K     []Vec
	slot  []int32 // number + 1; 0 is free
	taken int     // slots
}

// Reserve makes the table large enough for n places to find.
func (v *Vertices) Reserve(n int) {
	size := 16
	for size < 2*n {
		size *= 2
	}
	old := v.slot
	v.slot = make([]int32, size)
	for _, i := range old {
		if i > 0 {
			v.slot[v.search(v.K[i-1])] = i
		}
	}
}

// search returns the slot of k, or the free one where it belongs.
func (v *Vertices) search(k Vec) int {
	// Adding 0 makes -0, which is the same place, +0.
	h := math.Float64bits(k.X+0)*0x9e3779b97f4a7c15 ^ math.Float64bits(k.Y+0)*0xc2b2ae3d27d4eb4f
	h ^= h >> 29
	h *= 0xbf58476d1ce4e5b9
	at := int(h>>32) & (len(v.slot) - 1)
	for v.slot[at] != 0 && v.K[v.slot[at]-1] != k {
		at = (at + 1) & (len(v.slot) - 1)
	}
	return at
}

// Find returns the number of the vertex at k; false if there is none.
func (v *Vertices) Find(k Vec) (int32, bool) {
	if len(v.slot) == 0 {
		return -1, false
	}
	i := v.slot[v.search(k)]
	return i - 1, i > 0
}

// Add returns the number of the vertex at k, and whether it is new.
func (v *Vertices) Add(k Vec) (i int32, made bool) {
	if 2*v.taken >= len(v.slot) {
		v.Reserve(2 * (v.taken + 8))
	}
	at := v.search(k)
	if v.slot[at] != 0 {
		return v.slot[at] - 1, false
	}
	v.K = append(v.K, k)
	v.slot[at] = int32(len(v.K))
	v.taken++
	return int32(len(v.K)) - 1, true
}

// Triangulate returns the triangulation of places.
func Triangulate(k []Vec) (*delaunay.Mesh, error) {
	x, y := make([]float64, len(k)), make([]float64, len(k))
	for i, p := range k {
		x[i], y[i] = p.X, p.Y
	}
	return delaunay.Triangulate(x, y)
}

// Splits collects the edges of lines and the vertices where each is split.
type Splits struct {
	Edges []Edge    // At is the number of the edge here
	On    [][]int32 // per edge
}

// AddLine adds the edges of a line from vertex to vertex, back to the first if it is closed.
func (s *Splits) AddLine(of *Vertices, owner int, line []int32, closed bool) {
	n := len(line) - 1
	if closed {
		n = len(line)
	}
	for i := range n {
		s.AddEdge(of, owner, line[i], line[(i+1)%len(line)])
	}
}

// AddEdge adds an edge.
func (s *Splits) AddEdge(of *Vertices, owner int, a, b int32) {
	s.Edges = append(s.Edges, Edge{of.K[a], of.K[b], owner, len(s.Edges)})
	s.On = append(s.On, nil)
}

// Touch splits e at an end of f that is on it. Not if e is also crossed: its pieces then
// have rounded ends, and that end would no longer be on them.
func (s *Splits) Touch(of *Vertices, e, f *Edge) {
	for _, k := range []Vec{f.A, f.B} {
		if e.Passes(k) {
			if v, ok := of.Find(k); ok {
				s.On[e.At] = append(s.On[e.At], v)
			}
		}
	}
}

// Cross splits e and f at vertex v.
func (s *Splits) Cross(e, f *Edge, v int32) {
	s.On[e.At] = append(s.On[e.At], v)
	s.On[f.At] = append(s.On[f.At], v)
}

// Line returns a line that was added, with the vertices that split it; a closed one ends where
// it starts. Its first edge is number first, that of the line added after it is next.
func (s *Splits) Line(of *Vertices, line []int32, closed bool, first int) (out []int32, next int) {
	n, last := len(line)-1, line[len(line)-1]
	if closed {
		n, last = len(line), line[0]
	}
	for i := range n {
		part := of.Between(line[i], line[(i+1)%len(line)], s.On[first+i])
		out = append(out, part[:len(part)-1]...)
	}
	return append(out, last), first + n
}

// Between returns the vertices of the edge from a to c that splits divide, both ends
// included.
func (v *Vertices) Between(a, c int32, splits []int32) []int32 {
	s := slices.Clone(splits)
	from := v.K[a]
	slices.SortFunc(s, func(i, j int32) int {
		return cmp.Compare(from.Distance(v.K[i]), from.Distance(v.K[j]))
	})
	return slices.Compact(append(append([]int32{a}, s...), c))
}

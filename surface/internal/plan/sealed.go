package plan

import (
	"errors"

	"pourplane/surface/internal/delaunay"
	"pourplane/surface/internal/exact"
)

// Sealed reports whether triangles certainly do not overlap, from their outer edges alone. v
// has the corners of each, in k, counter-clockwise; twin the opposite of each half-edge, -1
// for an outer edge. False means that nothing is known: see [Overlap].
//
// How many triangles cover a place is how often the outer edges wind round it, as all other
// edges cancel out. Where outer edges meet at their ends only, it is enough that they wind
// once round the places just left of them: then they wind once or not at all round any place.
func Sealed(v, twin []int32, k []Vec) bool {
	o := outer{from: map[Vec][]int{}, left: 1 << 26}
	for h, w := range twin {
		if w < 0 {
			e := Edge{A: k[v[h]], B: k[v[delaunay.Next(int32(h))]]}
			o.from[e.A] = append(o.from[e.A], len(o.edges))
			o.edges = append(o.edges, e)
		}
	}
	apart := EachPair(o.edges, func(e, f *Edge) error {
		ends := e.A == f.A || e.A == f.B || e.B == f.A || e.B == f.B
		if !ends || Meet(e.A, e.B, f.A, f.B) != exact.Touch {
			return errors.New("outer edges meet")
		}
		return nil
	}) == nil
	o.seen = make([]bool, len(o.edges))
	// First the chains between places where several edges start, then the loops without such.
	for _, forked := range []bool{true, false} {
		for i, e := range o.edges {
			apart = apart && (o.seen[i] || forked != (len(o.from[e.A]) > 1) || o.once(i))
		}
	}
	return apart
}

// outer are outer edges with the triangles on their left.
type outer struct {
	edges []Edge
	from  map[Vec][]int // by where they start
	seen  []bool
	left  int // looks at an edge that may still be taken: with more, Overlap is faster
}

// once reports whether the edges wind once round the places left of the chain from edge i on,
// up to a place where several start. No other edge comes between them, so one edge decides for
// all. It must not run due east or west.
func (o *outer) once(i int) bool {
	done := false
	for j := i; !o.seen[j]; {
		o.seen[j] = true
		e := o.edges[j]
		if !done && e.A.Y != e.B.Y {
			done = true
			if o.left -= len(o.edges); o.left < 0 || o.winding(j) != 1 {
				return false
			}
		}
		next := o.from[e.B]
		if len(next) != 1 {
			break
		}
		j = next[0]
	}
	return done
}

// winding returns how often the edges wind round the place just left of the middle of edge i,
// by those that cross a line from there to the west.
func (o *outer) winding(i int) int {
	middle := Vec{o.edges[i].A.X + o.edges[i].B.X, o.edges[i].A.Y + o.edges[i].B.Y} // doubled
	n := 0
	for j, e := range o.edges {
		down := e.A.Y > e.B.Y
		switch {
		case j == i:
			if down { // left of it is east of it
				n++
			}
		case (2*e.A.Y <= middle.Y) == (2*e.B.Y <= middle.Y):
		case down && Orient(e.A.Times(2), e.B.Times(2), middle) > 0:
			n++
		case !down && Orient(e.A.Times(2), e.B.Times(2), middle) < 0:
			n--
		}
	}
	return n
}

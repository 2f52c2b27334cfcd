package plan

import (
	"errors"

	"pourplane/surface/internal/exact"
	"pourplane/surface/internal/sum"
)

// RingFault is a pair of edges of a ring that touch or cross, numbered by their first corners.
type RingFault struct {
	E, F    int // E < F
	Crosses bool
	Near    Vec // where they meet, about
}

var errFault = errors.New("a fault of the ring")

// CheckRing returns the first pair of edges of a ring that touch or cross, in the order of
// [EachPair]; neighbours may touch at their common corner. It returns nil for none. k are at
// least three corners, none twice in a row.
func CheckRing(k []Vec) (fault *RingFault) {
	n := len(k)
	_ = EachPair(RingEdges(k, 0), func(e, f *Edge) error {
		m := Meet(e.A, e.B, f.A, f.B)
		if e.At > f.At {
			e, f = f, e
		}
		next := f.At == e.At+1 || e.At == 0 && f.At == n-1
		if m == exact.Apart || m == exact.Touch && next {
			return nil
		}
		fault = &RingFault{e.At, f.At, m == exact.Cross, nearMeeting(e, f)}
		return errFault
	})
	return fault
}

// nearMeeting returns a place near where two edges meet, for messages.
func nearMeeting(e, f *Edge) Vec {
	if p, ok := Intersection(e.A, e.B, f.A, f.B); ok {
		return p
	}
	for _, p := range []Vec{f.A, f.B} {
		if Orient(e.A, e.B, p) == 0 && Within(e.A, e.B, p) {
			return p
		}
	}
	return e.A
}

// RingEdges returns the edges of a ring; At is the number of the first corner.
func RingEdges(k []Vec, owner int) []Edge {
	out := make([]Edge, len(k))
	for i := range k {
		out[i] = Edge{k[i], k[(i+1)%len(k)], owner, i}
	}
	return out
}

// TwiceArea returns twice the area of a ring, positive when it runs counter-clockwise.
func TwiceArea(k []Vec) float64 {
	var twice sum.Sum
	o := k[0]
	for i, p := range k {
		q := k[(i+1)%len(k)]
		twice.Add((p.X - o.X) * (q.Y - o.Y))
		twice.Add(-(p.Y - o.Y) * (q.X - o.X))
	}
	return twice.Value()
}

// Rings reports which rings are around a place. Places are given times three: the middle of a
// triangle is whole then, so the answer is exact.
type Rings struct{ tripled []*EdgeTree }

// NewRings returns the rings with those corners.
func NewRings(rings [][]Vec) Rings {
	var out Rings
	for _, k := range rings {
		e := RingEdges(k, 0)
		for i := range e {
			e[i].A, e[i].B = e[i].A.Times(3), e[i].B.Times(3)
		}
		out.tripled = append(out.tripled, NewEdgeTree(e))
	}
	return out
}

// Around returns the numbers of the rings that a place, given times three, is inside of.
func (r Rings) Around(tripled Vec) []int {
	var out []int
	for i, t := range r.tripled {
		if t.Side(tripled) == Inside {
			out = append(out, i)
		}
	}
	return out
}

// Holds reports whether all of k are inside ring i or on it.
func (r Rings) Holds(i int, k []Vec) bool {
	for _, p := range k {
		if r.tripled[i].Side(p.Times(3)) == Outside {
			return false
		}
	}
	return true
}

// Package delaunay triangulates places in plan and forces edges into the result. Every
// decision is exact, and no result depends on row order: equal surveys give equal triangles.
//
// # Ties
//
// If four or more places are on one circle, several triangulations are Delaunay. The
// westernmost corner, and of those the southernmost, is then treated as pulled down by an
// infinitesimal on the paraboloid z = x²+y², whose lower hull is the triangulation. The
// farther east a corner, the infinitely smaller its pull. So of two diagonals, the edge is
// the one that ends in the westernmost, then southernmost of the four corners, and every
// polygon of places on one circle is a fan from that corner. The triangulation is then
// unique for its places and forced edges: a pulling triangulation in the sense of Lee 1991,
// in Applied Geometry and Discrete Mathematics, DIMACS 4:443-456.
package delaunay

import (
	"errors"
	"fmt"
	"math"

	"pourplane/surface/internal/exact"
)

// Mesh is a triangulation of the convex hull of its vertices in flat arrays. Half-edges 3t,
// 3t+1, 3t+2 run counter-clockwise round triangle t. A ghost vertex at infinity, number
// len(X), closes the hull: each hull edge has a ghost triangle outside, so every half-edge
// has a twin. There are 2·len(X)-2 triangles, ghosts included. Their order depends on the
// coordinates only.
type Mesh struct {
	X, Y    []float64 // the places given; vertex i is the caller's place i
	V, Twin []int32   // V[h] is the start of half-edge h, Twin[h] its opposite
	Mark    []uint8   // purpose of a forced edge, equal on both twins; 0 is a free edge

	out     []int32 // per vertex: a half-edge that starts there; nil until an edge is forced
	crossed []int32 // scratch: half-edges that a forced edge crosses
	pieces  []piece // scratch: the parts of a forced edge between vertices on it
	chain   []link  // scratch: one side of the space cleared for a piece
	slots   []int32 // scratch: the triangles of that space not yet filled
}

// Bits of [Mesh.Mark].
const (
	// Toggle is exclusive: an edge forced twice with it does not have it, because two rings
	// that share an edge bound nothing there.
	Toggle uint8 = 1 << 0
	// Fixed is set on every forced edge. Bits between Toggle and Fixed belong to the caller
	// and stay set.
	Fixed uint8 = 1 << 7
)

// MaxPoints is the max number of places whose half-edges fit an int32.
const MaxPoints = (math.MaxInt32 + 6) / 6

var (
	// ErrCollinear: all places are in one row, or there are fewer than three.
	ErrCollinear = errors.New("all places are in one row; want three that form a triangle")
	// ErrTooMany: there are more than MaxPoints places.
	ErrTooMany = fmt.Errorf("more than %d places", MaxPoints)
	// ErrLengths: x and y have different lengths.
	ErrLengths = errors.New("x and y differ in length")
)

// DuplicateError: two vertices are at one place. J is the first in the caller's order that
// repeats an earlier one, I the first at that place.
type DuplicateError struct{ I, J int32 }

func (e *DuplicateError) Error() string {
	return fmt.Sprintf("places %d and %d are the same", e.I, e.J)
}

// FiniteError: vertex I, the first such in the caller's order, has an infinite or NaN
// coordinate.
type FiniteError struct{ I int32 }

func (e *FiniteError) Error() string {
	return fmt.Sprintf("place %d is not finite", e.I)
}

// EdgeError: there can be no edge from A to B, because they are one vertex or one of them
// does not exist.
type EdgeError struct{ A, B int32 }

func (e *EdgeError) Error() string {
	return fmt.Sprintf("no edge can run from vertex %d to vertex %d", e.A, e.B)
}

// CrossingError: the edge A–B crosses the earlier forced edge C–D, inside both. C–D may be
// one piece of a longer edge with vertices on it.
type CrossingError struct{ A, B, C, D int32 }

func (e *CrossingError) Error() string {
	return fmt.Sprintf("edge %d-%d crosses edge %d-%d", e.A, e.B, e.C, e.D)
}

// Next returns the half-edge after h in its triangle.
func Next(h int32) int32 {
	if h%3 == 2 {
		return h - 2
	}
	return h + 1
}

// Prev returns the half-edge before h in its triangle.
func Prev(h int32) int32 {
	if h%3 == 0 {
		return h + 2
	}
	return h - 1
}

// Len returns the number of triangles, ghosts included.
func (m *Mesh) Len() int { return len(m.V) / 3 }

// Inf returns the number of the ghost vertex.
func (m *Mesh) Inf() int32 { return int32(len(m.X)) }

// Ghost reports whether triangle t is outside the hull.
func (m *Mesh) Ghost(t int32) bool {
	inf := m.Inf()
	return m.V[3*t] == inf || m.V[3*t+1] == inf || m.V[3*t+2] == inf
}

// less orders vertices from west to east, then from south to north.
func (m *Mesh) less(a, b int32) bool {
	return exact.Less(m.X[a], m.Y[a], m.X[b], m.Y[b])
}

// side reports the side of vertex p of the line from vertex a to vertex b.
func (m *Mesh) side(a, b, p int32) int {
	return exact.Orient(m.X[a], m.Y[a], m.X[b], m.Y[b], m.X[p], m.Y[p])
}

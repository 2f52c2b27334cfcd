// Package surface is what follows from a survey: outlines proven simple, triangulations,
// target planes, depths, volumes and contours. Everything is in metres; x is east, y is
// north, z is up.
package surface

import (
	"pourplane/surface/internal/delaunay"
	"pourplane/surface/internal/plan"
)

// Vec is a place in plan. Less orders places from west to east, then from south to north;
// Distance and NearestOn measure in plan.
type Vec = plan.Vec

// TIN is a surface of triangles in flat arrays. Invariants: corners run counter-clockwise
// seen from above, no triangle has zero area in plan, no two overlap in plan, and Twin is
// symmetric.
//
// X and Y count from Origin, a whole number of metres, so that floors far out on a site grid
// lose no digits. [TIN.At] gives the place on the grid.
type TIN struct {
	Origin Vec
	X, Y   []float64 // m from Origin
	Z      []float64 // m
	V      []int32   // corners, three a triangle
	Twin   []int32   // half-edge 3t+i runs from V[3t+i]; its twin in the next triangle, -1 at an edge of the floor
	Fitted []bool    // per vertex: the elevation was fitted at the wall, not measured
	Shot   []int32   // per vertex: index of the shot in the points given, -1 if none

	shares map[int32][]Share // of each vertex fitted at a wall; see [TIN.Shares]
	top    top               // of the target that the triangles were split for
}

// Len returns the number of triangles.
func (t *TIN) Len() int { return len(t.V) / 3 }

// At returns the place of vertex v on the grid of the survey.
func (t *TIN) At(v int32) Vec { return Vec{X: t.Origin.X + t.X[v], Y: t.Origin.Y + t.Y[v]} }

// Next returns the half-edge after h in its triangle.
func Next(h int32) int32 { return delaunay.Next(h) }

package plan

import (
	"math"
	"pourplane/surface/internal/exact"
)

// Orient reports the side of p, seen along the line from a to b with north up: +1 left, -1
// right, 0 on it.
func Orient(a, b, p Vec) int { return exact.Orient(a.X, a.Y, b.X, b.Y, p.X, p.Y) }

// Within reports whether p, known to be on the line through a and b, is between them or at
// one of them.
func Within(a, b, p Vec) bool {
	return min(a.X, b.X) <= p.X && p.X <= max(a.X, b.X) && min(a.Y, b.Y) <= p.Y && p.Y <= max(a.Y, b.Y)
}

// Meet reports how the segments a–b and c–d touch or cross.
func Meet(a, b, c, d Vec) exact.Crossing {
	return exact.SegmentsCross(a.X, a.Y, b.X, b.Y, c.X, c.Y, d.X, d.Y)
}

// Edge is a straight piece of a ring or line, on the grid.
type Edge struct {
	A, B      Vec
	Owner, At int // which ring or line, and which piece of it
}

// Intersection returns where the lines through a, b and c, d cross, rounded to a whole
// step; false if they are parallel.
func Intersection(a, b, c, d Vec) (Vec, bool) {
	rx, ry := b.X-a.X, b.Y-a.Y
	sx, sy := d.X-c.X, d.Y-c.Y
	det := float64(rx*sy) - float64(ry*sx)
	if det == 0 {
		return Vec{}, false
	}
	t := (float64((c.X-a.X)*sy) - float64((c.Y-a.Y)*sx)) / det
	return Vec{math.Round(a.X + float64(t*rx)), math.Round(a.Y + float64(t*ry))}, true
}

// Side is where a place is: inside, outside or on the border.
type Side int8

const (
	Outside Side = iota - 1
	OnBorder
	Inside
)

// Passes reports whether k is on e, between its ends.
func (e Edge) Passes(k Vec) bool {
	return k != e.A && k != e.B && Within(e.A, e.B, k) && Orient(e.A, e.B, k) == 0
}

// Nearest returns the place on e that is nearest to p.
func (e Edge) Nearest(p Vec) Vec {
	return p.NearestOn(e.A, e.B)
}

// Distance returns the distance from p to e, in steps.
func (e Edge) Distance(p Vec) float64 { return e.Nearest(p).Distance(p) }

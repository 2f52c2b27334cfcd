package survey

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Limits of coordinates; own choice. No floor exceeds them.
const (
	farthestShot = 100_000_000 // m from 0; grid coordinates with a zone number in front are below it
	widestFloor  = 100_000     // m from the middle shot to any other, along x and along y
)

// IsFar reports whether a coordinate or elevation, m, is beyond the limit.
func IsFar(v float64) bool { return math.Abs(v) > farthestShot }

// CheckNear refuses points that are farther than the limit from 0.
func (s *Survey) CheckNear() error {
	for _, pts := range [][]Point{s.Points, s.Finished, s.Control} {
		for _, p := range pts {
			if IsFar(p.X) || IsFar(p.Y) || IsFar(p.Z) {
				return &Error{Pos: p.At(), Found: fmt.Sprintf("%g, %g, %g m", p.X, p.Y, p.Z), Want: wantNear}
			}
		}
	}
	for _, u := range s.Surfaces {
		for _, p := range u.Vertices {
			if IsFar(p.X) || IsFar(p.Y) || IsFar(p.Z) {
				return &Error{Pos: p.At(), Found: fmt.Sprintf("%g, %g, %g m", p.X, p.Y, p.Z), Want: wantNear}
			}
		}
	}
	return nil
}

// ErrFar is the cause when a length is beyond the limit of [IsFar].
var ErrFar = errors.New(wantNear)

// wantNear is the wanted text for a coordinate that is too far out.
const wantNear = "a length within 100,000 km of 0"

// CheckWide refuses a shot that is farther from the others than any floor is wide.
func (s *Survey) CheckWide() error {
	if len(s.Points) == 0 {
		return nil
	}
	lo, hi := s.Points[0], s.Points[0]
	for i := range s.Points {
		x, y := s.Points[i].X, s.Points[i].Y
		lo.X, hi.X, lo.Y, hi.Y = min(lo.X, x), max(hi.X, x), min(lo.Y, y), max(hi.Y, y)
	}
	if max(hi.X-lo.X, hi.Y-lo.Y) <= widestFloor {
		return nil
	}
	xs, ys := make([]float64, len(s.Points)), make([]float64, len(s.Points))
	for i := range s.Points {
		xs[i], ys[i] = s.Points[i].X, s.Points[i].Y
	}
	slices.Sort(xs)
	slices.Sort(ys)
	x, y := xs[len(xs)/2], ys[len(ys)/2]
	for _, p := range s.Points {
		if d := max(math.Abs(p.X-x), math.Abs(p.Y-y)); d > widestFloor {
			return &Error{Pos: p.At(), Found: fmt.Sprintf("%sa shot %.0f km from the others", Label(p), d/1000), Want: "shots of one floor, within 100 km of one another", Hint: "correct x and y of the shot, or put # before its row"}
		}
	}
	return nil
}

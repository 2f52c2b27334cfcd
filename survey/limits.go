package survey

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
)

// Limits of coordinates; own choice. No floor exceeds them.
const (
	farthestShot = 100_000_000 // m from 0; grid coordinates with a zone number in front are below it
	widestFloor  = 100_000     // m from the middle shot to any other, along x and along y
)

// IsFar reports whether a coordinate or elevation, m, is beyond the limit.
func IsFar(v float64) bool { return math.Abs(v) > farthestShot }

// CheckNear refuses points that are farther than the limit from 0. of is the extent of s.Points.
func (s *Survey) CheckNear(of Extent) error {
	far := false
	for k := range of.Lo {
		far = far || of.Lo[k] < -farthestShot || of.Hi[k] > farthestShot
	}
	pts := s.Points
	if !far {
		pts = nil
	}
	for _, pts := range [][]Point{pts, s.Finished, s.Control} {
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

// Extent is the least and the largest x, y and z of some points. NaN is neither, and lo is
// above hi where there is nothing else.
type Extent struct{ Lo, Hi [3]float64 }

// Wide returns the larger of the widths along x and y.
func (e Extent) Wide() float64 { return max(e.Hi[0]-e.Lo[0], e.Hi[1]-e.Lo[1]) }

// NoExtent is the extent of no points.
func NoExtent() Extent {
	inf := math.Inf(1)
	return Extent{[3]float64{inf, inf, inf}, [3]float64{-inf, -inf, -inf}}
}

func (e *Extent) see(k int, v float64) {
	if v < e.Lo[k] {
		e.Lo[k] = v
	}
	if v > e.Hi[k] {
		e.Hi[k] = v
	}
}

// See extends e to a point.
func (e *Extent) See(p *Point) {
	e.see(0, p.X)
	e.see(1, p.Y)
	e.see(2, p.Z)
}

// Join extends e to all points of o.
func (e *Extent) Join(o Extent) {
	for k := range e.Lo {
		e.Lo[k], e.Hi[k] = min(e.Lo[k], o.Lo[k]), max(e.Hi[k], o.Hi[k])
	}
}

// ExtentOf returns the extent of points.
func ExtentOf(pts []Point) Extent {
	const few = 1 << 16
	parts := make([]Extent, min(runtime.GOMAXPROCS(0), 1+len(pts)/few))
	var wait sync.WaitGroup
	for k := range parts {
		wait.Go(func() {
			e := NoExtent()
			share := pts[len(pts)*k/len(parts) : len(pts)*(k+1)/len(parts)]
			for i := range share {
				e.See(&share[i])
			}
			parts[k] = e
		})
	}
	wait.Wait()
	all := NoExtent()
	for _, e := range parts {
		all.Join(e)
	}
	return all
}

// CheckWide refuses a shot that is farther from the others than any floor is wide. e is the
// extent of the shots.
func (s *Survey) CheckWide(e Extent) error {
	if !(e.Wide() > widestFloor) {
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

package survey

import (
	"math"
	"slices"

	"pourplane/survey/unit"
)

// LostPoints warns of shots whose x or y is too large by a power of ten compared with
// all others, such as 125 for 12.5: the decimal point was lost. Without an outline the
// floor is the hull of the shots, and such a shot enlarges it. Each warning gives the
// row, the coordinate that would fit, and the area that depends on it.
func (s *Survey) LostPoints() []Note {
	const least, most, listed = 6, 20_000, 5 // fewer have no extent, more are a scan
	if len(s.Points) < least || len(s.Points) > most {
		return nil
	}
	pts := slices.Clone(s.Points)
	var out []Note
	for range listed {
		i, axis, fits := lostPoint(pts)
		if i < 0 {
			break
		}
		p := pts[i]
		rest := slices.Delete(slices.Clone(pts), i, i+1)
		with, without := hullArea(pts), hullArea(rest)
		is := p.X
		if axis == "y" {
			is = p.Y
		}
		out = append(out, Notef(Warning, p.At(), "%s%s is %s, far from all other shots; %s would fit: a lost decimal point? Without this shot the floor is %s, with it %s",
			Label(p), axis, unit.Distance(is), unit.Distance(fits), unit.Area(without), unit.Area(with)).About(AboutOrder))
		pts = rest
	}
	return out
}

// lostPoint returns the shot that a lost decimal point puts farthest out along x or y,
// its axis, and the coordinate that would fit. The index is -1 if there is none.
func lostPoint(pts []Point) (at int, axis string, fits float64) {
	for _, a := range []struct {
		name string
		of   func(Point) float64
	}{{"x", func(p Point) float64 { return p.X }}, {"y", func(p Point) float64 { return p.Y }}} {
		order := make([]int, len(pts))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(i, j int) int {
			u, v := a.of(pts[i]), a.of(pts[j])
			switch {
			case u < v:
				return -1
			case u > v:
				return 1
			}
			return 0
		})
		n := len(order)
		v := func(k int) float64 { return a.of(pts[order[k]]) }
		for _, end := range []struct {
			i      int
			lo, hi float64
		}{{order[n-1], v(0), v(n - 2)}, {order[0], v(1), v(n - 1)}} {
			is, reach := a.of(pts[end.i]), end.hi-end.lo
			if !(reach > 0) || is <= end.hi+reach && is >= end.lo-reach {
				continue
			}
			for _, ten := range []float64{10, 100, 1000} {
				if fit := is / ten; fit >= end.lo-reach/10 && fit <= end.hi+reach/10 {
					return end.i, a.name, fit
				}
			}
		}
	}
	return -1, "", 0
}

// hullArea returns the area of the convex hull, m².
func hullArea(pts []Point) float64 {
	sorted := slices.Clone(pts)
	slices.SortFunc(sorted, func(p, q Point) int {
		if p.X != q.X {
			return int(math.Copysign(1, p.X-q.X))
		}
		if p.Y != q.Y {
			return int(math.Copysign(1, p.Y-q.Y))
		}
		return 0
	})
	left := func(a, b, c Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }
	var twice float64
	for _, backward := range []bool{false, true} {
		if backward {
			slices.Reverse(sorted)
		}
		var chain []Point
		for _, p := range sorted {
			for len(chain) > 1 && left(chain[len(chain)-2], chain[len(chain)-1], p) <= 0 {
				chain = chain[:len(chain)-1]
			}
			chain = append(chain, p)
		}
		o := sorted[0]
		for i := 1; i < len(chain); i++ {
			a, b := chain[i-1], chain[i]
			twice += (a.X-o.X)*(b.Y-o.Y) - (b.X-o.X)*(a.Y-o.Y)
		}
	}
	return math.Abs(twice) / 2
}

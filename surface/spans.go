package surface

import (
	"cmp"
	"math"
	"slices"
)

// Span is a stretch of a line parallel to the x axis, m.
type Span struct{ Lo, Hi float64 }

// Segment has the two ends of a straight piece of wall or joint.
type Segment interface{ Ends() (a, b Vec) }

// Across returns the stretches of the line at y inside closed rings, from west to east. A
// wall has its lower end and not its upper one.
func Across[S Segment](rings []S, y float64) []Span {
	var x []float64
	for _, s := range rings {
		if a, b := s.Ends(); (a.Y <= y) != (b.Y <= y) {
			x = append(x, a.X+(y-a.Y)/(b.Y-a.Y)*(b.X-a.X))
		}
	}
	slices.Sort(x)
	var out []Span
	for i := 1; i < len(x); i += 2 {
		out = append(out, Span{x[i-1], x[i]})
	}
	return out
}

// Near returns where the line at y is within r of a segment. The places within r of it are a
// convex figure, a strip with round ends, so they are one stretch: own derivation.
func Near(s Segment, y, r float64) (Span, bool) {
	from, to := s.Ends()
	out := Span{math.Inf(1), math.Inf(-1)}
	add := func(x float64) { out = Span{min(out.Lo, x), max(out.Hi, x)} }
	for _, p := range [...]Vec{from, to} {
		if d := y - p.Y; math.Abs(d) <= r {
			half := math.Sqrt((r - d) * (r + d))
			add(p.X - half)
			add(p.X + half)
		}
	}
	length := from.Distance(to)
	if length == 0 {
		return out, out.Lo <= out.Hi
	}
	nx, ny := r*(from.Y-to.Y)/length, r*(to.X-from.X)/length
	for _, side := range [...]float64{-1, 1} {
		a := Vec{X: from.X + side*nx, Y: from.Y + side*ny}
		b := Vec{X: to.X + side*nx, Y: to.Y + side*ny}
		if (a.Y <= y) != (b.Y <= y) {
			add(a.X + (y-a.Y)/(b.Y-a.Y)*(b.X-a.X))
		}
	}
	return out, out.Lo <= out.Hi
}

// Free returns what shut leaves of the stretches open, which do not meet, from west to east.
// It puts shut in order.
func Free(open, shut []Span) []Span {
	slices.SortFunc(shut, func(a, b Span) int { return cmp.Or(cmp.Compare(a.Lo, b.Lo), cmp.Compare(a.Hi, b.Hi)) })
	var out []Span
	for _, f := range open {
		for _, n := range shut {
			if n.Hi < f.Lo || n.Lo > f.Hi {
				continue
			}
			if n.Lo > f.Lo {
				out = append(out, Span{f.Lo, n.Lo})
			}
			f.Lo = max(f.Lo, n.Hi)
		}
		if f.Hi > f.Lo {
			out = append(out, f)
		}
	}
	return out
}

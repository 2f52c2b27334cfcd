package flatness

import (
	"math"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
)

// Deviations is how far a floor is from a plane, positive above it. Areas are in plan.
type Deviations struct {
	Highest, Lowest     float64 // m
	HighestAt, LowestAt surface.Vec
	AtWall              [2]bool // the elevation at the highest, and at the lowest, is estimated at a wall: no shot is there
	Mean                float64 // m, over the area
	RMS                 float64 // m, over the area
	Within              float64 // share of the area, 0 to 1, within the tolerance of the plane
}

// DeviationsFrom measures f against target, exactly on the triangles. The mean square of a
// linear function with corner values a, b, c over a triangle is
// ((a + b + c)² + a² + b² + c²)/12 (own derivation). tolerance is in metres, ≥ 0.
func DeviationsFrom(f *surface.Floor, target surface.Target, tolerance float64) Deviations {
	if split, err := f.Under(target); err == nil {
		f = split
	}
	fill := f.FillTo(target, []float64{-tolerance, tolerance})
	out := Deviations{Highest: -fill.Least, Lowest: -fill.Greatest, HighestAt: fill.LeastAt, LowestAt: fill.GreatestAt, Mean: -fill.Mean}
	out.AtWall = [2]bool{estimated(f, out.HighestAt), estimated(f, out.LowestAt)}
	for _, b := range fill.Bands {
		if b.From >= -tolerance && b.To <= tolerance {
			out.Within += b.Area / fill.Area
		}
	}
	out.Within = min(1, out.Within) // by rounding
	var squares sum.Sum
	for _, r := range f.Regions {
		t := r.TIN
		d := t.Depths(target)
		for k := range t.Len() {
			va, vb, vc := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
			place := func(v int32) surface.Vec { return surface.Vec{X: t.X[v], Y: t.Y[v]} }
			a, b, c := d[va], d[vb], d[vc]
			s := a + b + c
			squares.Add(left(place(va), place(vb), place(vc)) / 24 * (s*s + a*a + b*b + c*c))
		}
	}
	out.RMS = math.Sqrt(squares.Value() / fill.Area)
	return out
}

// estimated reports whether the elevation of f at a corner of its triangles was estimated at a
// wall.
func estimated(f *surface.Floor, at surface.Vec) bool {
	for _, r := range f.Regions {
		for v, fitted := range r.TIN.Fitted {
			if fitted && r.TIN.At(int32(v)) == at {
				return true
			}
		}
	}
	return false
}

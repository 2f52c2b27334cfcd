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
	out := Deviations{-fill.Least, -fill.Greatest, fill.LeastAt, fill.GreatestAt, -fill.Mean, 0, 0}
	for _, b := range fill.Bands {
		if b.From >= -tolerance && b.To <= tolerance {
			out.Within += b.Area / fill.Area
		}
	}
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

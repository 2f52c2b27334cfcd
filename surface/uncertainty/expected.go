package uncertainty

import (
	"math"

	"pourplane/surface"
)

// Fields of the usual kinds of floor, for a survey that is still to come. Own choice: they are like
// the floors of the study.
var (
	EvenFloor  = Field{Smooth: Bent, Reach: 3, SD: 0.003, Own: 0.0005}
	UsualFloor = Field{Smooth: Bent, Reach: 2.5, SD: 0.006, Own: 0.0007}
	RoughFloor = Field{Smooth: Bent, Reach: 1, SD: 0.006, Own: 0.002}
)

// Expected returns how far the volume over the whole of a floor will be known from a survey of
// shots at the places of its shots, read with errors e, if the floor is like field. The elevations
// of f do not matter. It is the variance of the triangulated volume about the true one: no
// interpolation by kriging is involved.
func Expected(f *surface.Floor, field Field, e Errors) Parts {
	c := candidate{smooth: field.Smooth, reach: field.Reach}
	var out Parts
	whole, squares := 0.0, 0.0
	for i, r := range f.Regions {
		top := surface.Horizontal(1 + r.TIN.Z[0])
		for _, z := range r.TIN.Z {
			top.Z = max(top.Z, 1+z)
		}
		x := newExtractor(r, r.TIN, top, nil)
		pieces, each := x.pieces()
		for _, p := range pieces {
			k := &kriging{p: p, c: c}
			inner := make([]float64, len(p.weight))
			for j := range inner {
				inner[j] = p.weight[j] - p.ofWalls[j]
			}
			walls := k.errorOf(p.ofWalls, p.areas(func(c cell) bool { return c.wall }))
			between := k.errorOf(inner, p.areas(func(c cell) bool { return !c.wall }))
			both := k.errorOf(p.weight, p.areas(nil))
			if walls+between > 0 {
				out.Walls += each * square(field.SD) * both * walls / (walls + between)
				out.Sampling += each * square(field.SD) * both * between / (walls + between)
			}
		}
		by, sum := x.weights(f.FillWeights(f, top, i))
		squares += sum
		for _, w := range by {
			whole += w
		}
	}
	out.Sampling = math.Sqrt(out.Sampling + square(field.Own)*squares)
	out.Walls = math.Sqrt(out.Walls)
	out.Reading = e.Reading * math.Sqrt(squares)
	out.Setup = e.Setup * whole
	out.Total = math.Sqrt(square(out.Reading) + square(out.Setup) + square(out.Sampling) + square(out.Walls))
	return out
}

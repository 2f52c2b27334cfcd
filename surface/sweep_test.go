package surface

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A wedge of depth 0.01·x over 10 m by 4 m: the fill up to c is 0.02·c², so a volume
// v is passed at √(v/0.02).
func TestSweepOverAWedge(t *testing.T) {
	f := build(t, Data{Shots: shotsOn(100, 50, 110, 54, 1, func(x, y float64) float64 { return 10 - 0.01*(x-100) })})
	s := f.Sweep(Horizontal(10), Vec{X: 3, Y: 0})
	near(t, "length", s.Length(), 10, 1e-12)
	for _, c := range []float64{-1, 0, 0.3, 1, 2.5, 7, 9.999, 10, 12} {
		near(t, "fill", s.Fill(c), 0.02*math.Pow(min(max(c, 0), 10), 2), 1e-13)
	}
	for _, v := range []float64{0.1, 0.5, 1.9} {
		near(t, "place of a volume", s.Find(v), math.Sqrt(v/0.02), 1e-9)
	}
	near(t, "more than there is", s.Find(3), 10, 1e-12)
	near(t, "east of the line", s.At(2.5).X, 102.5, 1e-12)
	near(t, "how far", s.Of(Vec{X: 104, Y: 99}), 4, 1e-12)
	// In the other direction the deep end comes first.
	near(t, "from the east", f.Sweep(Horizontal(10), Vec{X: -1, Y: 0}).Fill(4), 2-0.02*36, 1e-13)
}

// The line of a sweep and a cut along it must agree.
func TestSweepAgreesWithTheCut(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	f := build(t, Data{Shots: wavy(rng, 0.9)})
	target := Plane{Z: 10.005, SlopeY: 0.002}
	for range 20 {
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		s := f.Sweep(target, Vec{X: cos, Y: sin})
		d := s.Length() * (0.1 + 0.8*rng.Float64())
		a := s.At(d)
		p := cutInto(t, f, target, []Vec{{X: a.X - 99*sin, Y: a.Y + 99*cos}, {X: a.X + 99*sin, Y: a.Y - 99*cos}})
		fill := 0.0
		for _, piece := range p.Pieces {
			before := true
			for _, c := range piece.Regions[0].Rings[0] {
				before = before && s.Of(c) < d+1e-6
			}
			if before {
				fill += piece.FillTo(target, nil).Fill
			}
		}
		near(t, "fill", s.Fill(d), fill, 1e-9)
	}
}

package surface

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface/internal/plan"
	"pourplane/survey"
)

// The triangle found is the one that a search through all finds. The elevation is that of
// the plane through its corners, solved by Cramer's rule.
func TestLocatorFindsTheTriangle(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 8))
	var points []survey.Point
	for range 300 {
		points = append(points, survey.Point{X: 1000 + 12*rnd.Float64(), Y: -500 + 7*rnd.Float64(), Z: 10 + 0.02*rnd.Float64()})
	}
	f := build(t, Data{Shots: points})
	tin := f.Regions[0].TIN
	g := f.Locators()
	lo, hi := f.Bounds()
	on, off := 0, 0
	for range 5000 {
		p := Vec{X: lo.X - 0.5 + (hi.X-lo.X+1)*rnd.Float64(), Y: lo.Y - 0.5 + (hi.Y-lo.Y+1)*rnd.Float64()}
		z, _, ok := g.At(p)
		var want []float64
		for k := range tin.Len() {
			a, b, c := tin.At(tin.V[3*k]), tin.At(tin.V[3*k+1]), tin.At(tin.V[3*k+2])
			if plan.Orient(a, b, p) < 0 || plan.Orient(b, c, p) < 0 || plan.Orient(c, a, p) < 0 {
				continue
			}
			za, zb, zc := tin.Z[tin.V[3*k]], tin.Z[tin.V[3*k+1]], tin.Z[tin.V[3*k+2]]
			ux, uy, vx, vy := b.X-a.X, b.Y-a.Y, c.X-a.X, c.Y-a.Y
			det := ux*vy - uy*vx
			sx, sy := ((zb-za)*vy-(zc-za)*uy)/det, (ux*(zc-za)-vx*(zb-za))/det
			want = append(want, za+sx*(p.X-a.X)+sy*(p.Y-a.Y))
		}
		if ok != (len(want) > 0) {
			t.Fatalf("%v: found %v, %d triangles hold it", p, ok, len(want))
		}
		if !ok {
			off++
			continue
		}
		on++
		if math.Abs(z-want[0]) > 1e-9 {
			t.Errorf("%v: elevation %.12f, want %.12f", p, z, want[0])
		}
	}
	if on < 1000 || off < 500 {
		t.Errorf("%d places on the floor, %d off it", on, off)
	}
	for v := range tin.Z { // every vertex is on the surface, at its own elevation
		if z, _, ok := g.At(tin.At(int32(v))); !ok || math.Abs(z-tin.Z[v]) > 1e-9 {
			t.Errorf("vertex %d: %.12f, %v; want %.12f", v, z, ok, tin.Z[v])
		}
	}
	if _, _, ok := g.At(Vec{X: math.NaN(), Y: 0}); ok {
		t.Error("NaN lies on the floor")
	}
}

// Far out on a site grid, in a turned room, places on the wall are on the floor although
// they are rounded, and places a millimetre outside are not.
func TestLocatorAtTheWall(t *testing.T) {
	var xy []float64
	var corner []Vec
	s, c := math.Sincos(0.7)
	for _, p := range []Vec{{X: 0, Y: 0}, {X: 8, Y: 0}, {X: 8, Y: 5}, {X: 0, Y: 5}} {
		q := Vec{X: 350_000 + c*p.X - s*p.Y, Y: 5_800_000 + s*p.X + c*p.Y}
		corner, xy = append(corner, q), append(xy, q.X, q.Y)
	}
	mid := Vec{X: (corner[0].X + corner[2].X) / 2, Y: (corner[0].Y + corner[2].Y) / 2}
	f := build(t, Data{Shots: []survey.Point{{X: mid.X, Y: mid.Y, Z: 3}, {X: mid.X + 1, Y: mid.Y, Z: 3}, {X: mid.X, Y: mid.Y + 1, Z: 3}},
		Rings: []survey.Ring{ringOf("", survey.Outer, xy...)}})
	g := f.Locators()
	for i, a := range corner {
		b := corner[(i+1)%4]
		for j := range 101 {
			u := float64(j) / 100
			p := Vec{X: a.X + u*(b.X-a.X), Y: a.Y + u*(b.Y-a.Y)}
			if z, _, ok := g.At(p); !ok || z != 3 {
				t.Errorf("%v on the wall: %g, %v", p, z, ok)
			}
			l := a.Distance(b)
			out := Vec{X: p.X + 0.001*(b.Y-a.Y)/l, Y: p.Y - 0.001*(b.X-a.X)/l}
			if _, _, ok := g.At(out); ok {
				t.Errorf("%v outside is on the floor", out)
			}
		}
	}
}

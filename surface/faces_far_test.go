package surface

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface/internal/delaunay"
	"pourplane/survey"
)

// meshed returns the triangulated surface of places in whole steps from origin: valid by
// construction, however small its triangles.
func meshed(t *testing.T, origin Vec, step float64, x, y []float64) survey.Surface {
	t.Helper()
	m, err := delaunay.Triangulate(x, y)
	if err != nil {
		t.Fatal(err)
	}
	s := survey.Surface{Name: "s", Declared: undeclared}
	for i := range x {
		s.Vertices = append(s.Vertices, survey.Point{X: origin.X + x[i]*step, Y: origin.Y + y[i]*step, Z: 0.01 * float64(i%7)})
	}
	for k := range m.Len() {
		if !m.Ghost(int32(k)) {
			s.Faces = append(s.Faces, [3]int32(m.V[3*k:3*k+3]))
		}
	}
	return s
}

// Far from the origin, clusters of corners a few units in the last place apart make
// triangles that rounding to decimal steps would turn over. The surface is valid as given,
// and no face is left out.
func TestTinyFacesFarFromTheOrigin(t *testing.T) {
	for _, origin := range []Vec{{X: 0, Y: 0}, {X: 4_800_000, Y: 5_300_000}, {X: 500_000, Y: 9_900_000}, {X: -20_000_000, Y: 12_000_000}, {X: 20_000_000, Y: -70_000_000}} {
		far := max(math.Abs(origin.X), math.Abs(origin.Y))
		step := max(math.Nextafter(far*1.001, math.Inf(1))-far*1.001, 0x1p-31)
		size := math.Round(10 / step)
		rng := rand.New(rand.NewPCG(1, uint64(far)))
		x, y := []float64{0, size, size, 0}, []float64{0, 0, size, size}
		have := map[Vec]bool{}
		for range 40 {
			cx, cy := math.Round(size*(0.1+0.8*rng.Float64())), math.Round(size*(0.1+0.8*rng.Float64()))
			for range 6 {
				if p := (Vec{X: cx + float64(rng.IntN(12)), Y: cy + float64(rng.IntN(12))}); !have[p] {
					have[p] = true
					x, y = append(x, p.X), append(y, p.Y)
				}
			}
		}
		s := meshed(t, origin, step, x, y)
		f, err := FromFaces(s)
		if err != nil {
			t.Errorf("at %v: %v", origin, err)
			continue
		}
		if n := f.Regions[0].TIN.Len(); far > 0 && n != len(s.Faces) {
			t.Errorf("at %v: %d of %d faces kept: %v", origin, n, len(s.Faces), f.Notes[:1])
		}
		near(t, fmt.Sprint("area at ", origin), f.FillTo(Horizontal(1), nil).Area, size*size*step*step, 1e-7)
		if far > 0 {
			near(t, fmt.Sprint("perimeter at ", origin), f.Perimeter, 4*size*step, 1e-7)
		}
	}
}

// A corner on the edge of another face, in decimals: in binary it is over the edge by half a
// unit in the last place, which is not an overlap. A corner over it by a millimetre is.
func TestCornerOnTheEdgeOfAnotherFace(t *testing.T) {
	for _, at := range []float64{0, 1000, 400_000, 5_200_000, 7_900_000, 9_900_000, 1.2e7} {
		for i := 1; i < 30; i++ {
			for _, over := range []float64{0, 0.001} {
				u := float64(i) / 10
				p := []survey.Point{{X: 0, Y: 0}, {X: 3, Y: 1}, {X: 0, Y: 4}, {X: u, Y: u/3 + over}, {X: 3, Y: -2}}
				if i%3 != 0 {
					p[3].X, p[3].Y = 0.3*float64(i), 0.1*float64(i)+over
					if i > 9 {
						continue
					}
				}
				for k := range p {
					p[k].X, p[k].Y = at+math.Round(p[k].X*1e4)/1e4, at+math.Round(p[k].Y*1e4)/1e4
				}
				s := survey.Surface{Name: "s", Vertices: p, Faces: [][3]int32{{0, 1, 2}, {0, 4, 3}, {3, 4, 1}}, Declared: undeclared}
				if _, err := FromFaces(s); (err == nil) != (over == 0) {
					t.Errorf("at %g, corner %d, over by %g: %v", at, i, over, err)
				}
			}
		}
	}
}

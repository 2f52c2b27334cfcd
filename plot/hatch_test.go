package plot

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/plot/vg"

	"pourplane/surface"
	"pourplane/survey"
)

// partsBelow returns the part of each triangle where depth is less than level.
func partsBelow(t *surface.TIN, depth []float64, at []vg.Point, level float64) [][]vg.Point {
	var out [][]vg.Point
	for k := range t.Len() {
		v := t.V[3*k : 3*k+3]
		var poly []vg.Point
		for i := range 3 {
			a, b := v[i], v[(i+1)%3]
			if depth[a] < level {
				poly = append(poly, at[a])
			}
			if depth[a] < level != (depth[b] < level) {
				s := vg.Length((depth[a] - level) / (depth[a] - depth[b]))
				poly = append(poly, at[a].Add(at[b].Sub(at[a]).Scale(s)))
			}
		}
		out = append(out, poly)
	}
	return out
}

// The hatching of a part as one border with holes is that of its triangles.
func TestHatchOfAPartIsThatOfItsTriangles(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for range 20 {
		var shots []survey.Point
		for range 200 {
			x, y := 10*rng.Float64(), 7*rng.Float64()
			shots = append(shots, survey.Point{X: x, Y: y, Z: math.Sin(2*x)*math.Cos(2*y) + 0.3*rng.Float64()})
		}
		f, err := surface.NewFloor(surface.Data{Shots: shots})
		if err != nil {
			t.Fatal(err)
		}
		r := f.Regions[0].TIN
		depth, at := r.Depths(surface.Horizontal(0.2)), frame{scale: 40}.vertices(r)
		border := rings(below(r, depth, at, 0))
		if len(border) < 3 {
			t.Fatalf("%d rings, want a part with holes", len(border))
		}
		for _, slope := range []vg.Length{1, -1, 0} {
			want, got := hatch(partsBelow(r, depth, at, 0), slope, 4.5), hatchAreas([][][]vg.Point{border}, slope, 4.5)
			if len(got) != len(want) || len(got) < 20 {
				t.Fatalf("%d pieces, want %d", len(got), len(want))
			}
			for i, g := range got {
				for end := range g {
					if d := g[end].Sub(want[i][end]); math.Hypot(float64(d.X), float64(d.Y)) > 1e-9 {
						t.Fatalf("piece %d is from %v to %v, want %v to %v", i, g[0], g[1], want[i][0], want[i][1])
					}
				}
			}
		}
	}
}

// Lines of the hatching that no polygon meets cost nothing, and few are met by small ones.
func BenchmarkHatch(b *testing.B) {
	rng := rand.New(rand.NewPCG(8, 8))
	var shots []survey.Point
	for range 100000 {
		x, y := 40*rng.Float64(), 25*rng.Float64()
		shots = append(shots, survey.Point{X: x, Y: y, Z: 0.02*math.Sin(x/5)*math.Cos(y/4) + 0.0005*rng.NormFloat64()})
	}
	f, err := surface.NewFloor(surface.Data{Shots: shots})
	if err != nil {
		b.Fatal(err)
	}
	r := f.Regions[0].TIN
	depth, at := r.Depths(surface.Horizontal(0.005)), frame{scale: 15}.vertices(r)
	b.ReportAllocs()
	for b.Loop() {
		hatchAreas([][][]vg.Point{rings(below(r, depth, at, 0))}, 1, 4.5)
	}
}

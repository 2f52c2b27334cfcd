package uncertainty

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// Floors that grow with their shots, one to about 2.5 m² as in a survey by
// hand, or to 0.0025 m² as in a thinned scan.
func BenchmarkVolume(b *testing.B) {
	for _, c := range []struct {
		shots int
		side  float64 // m, between shots
	}{{30, 1.6}, {100, 1.6}, {200, 1.6}, {1000, 1.6}, {100_000, 0.05}} {
		b.Run(fmt.Sprintf("shots=%d", c.shots), func(b *testing.B) {
			side := c.side * math.Sqrt(float64(c.shots))
			rng := rand.New(rand.NewPCG(1, 2))
			var shots []survey.Point
			for range c.shots {
				x, y := side*rng.Float64(), side*rng.Float64()
				z := 0.004*math.Sin(x/1.3) + 0.005*math.Cos(y/1.9+x/3) + 0.001*rng.NormFloat64()
				shots = append(shots, survey.Point{X: x, Y: y, Z: z})
			}
			f := floorOf(b, shots, rectangle(side, side))
			target := surface.Horizontal(0.02)
			fill := f.FillTo(target, nil).Fill
			in := Input{Floor: f, Split: f, Target: target, Errors: Errors{Reading: 0.001, Setup: 0.001}}
			b.ReportAllocs()
			for b.Loop() {
				New(in).Volume(fill)
			}
		})
	}
}

// Where to read next, floors drawn, and a map of the ±, on the largest region that is one piece and on
// one of tiles.
func BenchmarkJoint(b *testing.B) {
	f := dish(b, 200)
	m, fill := modelOf(f, 0.05, Errors{Reading: 0.001})
	v := m.Volume(fill)
	total := v.Parts
	b.Run("next", func(b *testing.B) {
		for b.Loop() {
			m.Next(5, total)
		}
	})
	b.Run("spread", func(b *testing.B) {
		for b.Loop() {
			m.Spread(v, 100, func(cells [][]Cell, each []float64) []float64 { return []float64{cells[0][0].Depth} })
		}
	})
	b.Run("cells", func(b *testing.B) {
		for b.Loop() {
			m.Cells()
		}
	})
	places := along(f.Regions[0], 0.02) // as many as a map has corners
	b.Run(fmt.Sprintf("depths=%d", len(places)), func(b *testing.B) {
		for b.Loop() {
			m.Depths(0, places)
		}
	})
	tiles, fill := modelOf(dish(b, 500), 0.05, Errors{Reading: 0.001})
	ofTiles := tiles.Volume(fill)
	total = ofTiles.Parts
	b.Run("next of tiles", func(b *testing.B) {
		for b.Loop() {
			tiles.Next(5, total)
		}
	})
	b.Run("spread of tiles", func(b *testing.B) {
		for b.Loop() {
			tiles.Spread(ofTiles, 400, func(cells [][]Cell, each []float64) []float64 { return []float64{cells[0][0].Depth} })
		}
	})
}

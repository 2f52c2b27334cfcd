package water

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// A floor with low spots, smooth and with the noise of a scanner, of a million triangles.
func BenchmarkFind(b *testing.B) {
	side := 707
	if testing.Short() {
		side = 70
	}
	for _, noise := range []float64{0, 0.0003} {
		b.Run(fmt.Sprintf("triangles=%dk/noise=%gmm", 2*side*side/1000, noise*1000), func(b *testing.B) {
			rng := rand.New(rand.NewPCG(1, 2))
			f := gridFloor(b, side, side, 30/float64(side), func(x, y float64) float64 {
				return 10 + 0.005*x + 0.006*math.Sin(x/2)*math.Sin(y/1.5) + noise*rng.NormFloat64()
			})
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Find(f, []Outlet{drain(1, 1), drain(3, 20), door(0, 15, 10)}, Options{Shallow: 0.001, Falls: []float64{0.01, 0.02}}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

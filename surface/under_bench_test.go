package surface

import (
	"fmt"
	"math"
	"testing"
)

// The fill between two surfaces of triangles against the fill to a plane: a floor of a million
// triangles, and targets of a thousand and of ten thousand.
func BenchmarkFillToASurface(b *testing.B) {
	if testing.Short() {
		b.Skip("a million triangles take a second; not in short runs")
	}
	rough := func(x, y float64) float64 { return 0.02 * math.Sin(x) * math.Cos(y/2) }
	floor := floorOf(b, 1, 0, 0, 40, 25, 500_000, rough)
	levels := []float64{0.06, 0.08, 0.1, 0.12, 0.14}
	b.Run("plane", func(b *testing.B) {
		for b.Loop() {
			floor.FillTo(Horizontal(0.1), levels)
		}
	})
	for _, n := range []int{500, 5000} {
		target := NewShape(floorOf(b, 2, 0, 0, 40, 25, n, func(x, y float64) float64 { return 0.1 + 0.01*math.Sin(x/3+y) }), nil)
		b.Run(fmt.Sprintf("triangles=%d", 2*n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				floor.FillTo(target, levels)
			}
		})
	}
}

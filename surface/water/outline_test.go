package water

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface"
)

// The loops round the water enclose the area of the ponds, with elevations of few values, so
// that water's edges run through vertices, and with many; and the volume is the integral of
// the area over depth.
func TestUnderEnclosesThePonds(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	enclosed := func(w *Water, depth float64) float64 {
		area := 0.0
		for _, loop := range w.Under(depth) {
			area += surface.RingArea(loop)
		}
		return area
	}
	for n := range 200 {
		f := gridFloor(t, 3+rng.IntN(8), 3+rng.IntN(8), 0.5, func(x, y float64) float64 {
			if n%2 == 0 {
				return float64(rng.IntN(6)) / 8
			}
			return rng.Float64()
		})
		w := find(t, f, Options{}, door(0, 0, math.NaN()))
		var area, volume, deepest float64
		for _, p := range w.Ponds {
			area, volume, deepest = area+p.Area, volume+p.Volume, max(deepest, p.Depth)
		}
		near(t, "area enclosed", enclosed(w, 0), area, 1e-9)
		near(t, "area deeper", enclosed(w, deepest/3), w.Deeper(deepest/3), 1e-9)
		const steps = 400
		sum := 0.0
		for i := range steps {
			sum += enclosed(w, (float64(i)+0.5)/steps*deepest) * deepest / steps
		}
		near(t, "volume by layers", sum, volume, 0.01*volume+1e-12)
	}
}

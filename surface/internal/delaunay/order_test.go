package delaunay

import (
	"math"
	"testing"

	"pourplane/surface/internal/exact"
)

// TestSpread checks each bit alone and all of them.
func TestSpread(t *testing.T) {
	for i := range uint32(16) {
		if got := spread(1 << i); got != 1<<(2*i) {
			t.Errorf("spread(1<<%d) = %#x", i, got)
		}
	}
	if got := spread(0xffff); got != 0x55555555 {
		t.Errorf("spread(0xffff) = %#x", got)
	}
}

// TestSidesOfWholePlaces takes triangles of area 1/2 between the origin and consecutive
// Fibonacci numbers, as long as can be, up to where products lose the difference.
func TestSidesOfWholePlaces(t *testing.T) {
	f, g := 1.0, 1.0
	for g < 1<<48 {
		f, g = g, f+g
		x, y := []float64{0, f, g}, []float64{0, g, f + g}
		u, _ := axisOf(x)
		w, _ := axisOf(y)
		order, err := curveOrder(x, y, u, w)
		if err != nil {
			t.Fatal(err)
		}
		b := &builder{p: make([]place, 3), order: order}
		b.lay(x, y, u, w)
		i, j, k := order[0].place(), order[1].place(), order[2].place()
		want := exact.Orient(x[i], y[i], x[j], y[j], x[k], y[k])
		if got := b.orient(0, 1, 2); !b.whole || got*float64(want) <= 0 {
			t.Fatalf("%g and %g: side %g, want the sign of %d", f, g, got, want)
		}
	}
}

func TestAxisOf(t *testing.T) {
	for _, c := range []struct {
		v    []float64
		want axis
		bad  int
	}{
		{[]float64{30, 12, 48}, axis{12, 48, 18}, -1},
		{[]float64{-7, 5, 5, 9}, axis{-7, 9, 4}, -1},
		{[]float64{3, 3}, axis{3, 3, 0}, -1},
		{[]float64{1, 2.5}, axis{1, 2.5, 0}, -1},
		{[]float64{-(1 << 50), 0.1}, axis{-(1 << 50), 0.1, 0}, -1},
		{[]float64{0, 1 << 50}, axis{0, 1 << 50, 0}, -1}, // a sum with a half could round
		{[]float64{0, 1<<50 - 1}, axis{0, 1<<50 - 1, 1<<50 - 1}, -1},
		{[]float64{0, 3, 1<<50 - 1}, axis{0, 1<<50 - 1, 3}, -1},
		{[]float64{-math.MaxFloat64, math.MaxFloat64}, axis{-math.MaxFloat64, math.MaxFloat64, 0}, -1},
	} {
		if got, bad := axisOf(c.v); got != c.want || bad != c.bad {
			t.Errorf("axisOf(%v) = %v, %d; want %v, %d", c.v, got, bad, c.want, c.bad)
		}
	}
	if _, bad := axisOf([]float64{0, math.NaN(), math.Inf(1)}); bad != 1 {
		t.Errorf("first coordinate that is not finite: %d, want 1", bad)
	}
}

package text

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"pourplane/survey"
)

// Points of one place and elevation are found among any number of others, on any number of
// processors, each with the line of the first. 0 and -0 are one place.
func TestRepeats(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	r := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{0, 1, 2, 300, 20_000, 60_000} {
		pts := make([]survey.Point, n)
		first := map[[3]float64]int{}
		var want []repeat
		for i := range pts {
			p := &pts[i]
			p.X, p.Y, p.Z = float64(r.IntN(n)), float64(r.IntN(3)), math.Copysign(0, float64(r.IntN(2))-0.5)
			*p = p.OnLine(i + 2)
			key := [3]float64{p.X, p.Y, 0}
			if line, known := first[key]; known {
				want = append(want, repeat{i, line})
			} else {
				first[key] = p.At().Line
			}
		}
		for _, k := range []int{1, 2, 5} {
			runtime.GOMAXPROCS(k)
			if got := repeats(pts, hashesOf(pts)); !slices.Equal(got, want) {
				t.Errorf("%d points on %d processors: %d repeats, want %d", n, k, len(got), len(want))
			}
		}
	}
}

func TestNth(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for n := 1; n < 200; n++ {
		zs := make([]float64, n)
		for i := range zs {
			zs[i] = float64(r.IntN(1 + r.IntN(n)))
		}
		sorted := slices.Sorted(slices.Values(zs))
		for k := range n {
			if got := nth(zs, k); got != sorted[k] {
				t.Fatalf("%d of %v: %g, want %g", k, sorted, got, sorted[k])
			}
		}
	}
}

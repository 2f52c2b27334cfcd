package delaunay

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

func BenchmarkTriangulate(b *testing.B) {
	for _, n := range []int{1000, 100_000, 1_000_000} {
		size := map[int]string{1000: "1k", 100_000: "100k", 1_000_000: "1M"}[n]
		for _, f := range []floor{
			{"random", random},
			{"grid", func(_ *rand.Rand, n int) (x, y []float64) { return lattice(n, 25e6, 25e6) }},
			{"scan", scan},
		} {
			b.Run(fmt.Sprintf("points=%s/floor=%s", size, f.name), func(b *testing.B) {
				x, y := f.lay(rand.New(rand.NewPCG(1, 2)), n)
				b.ReportAllocs()
				for b.Loop() {
					if _, err := Triangulate(x, y); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// BenchmarkConstrain forces 500 edges across 100,000 places.
func BenchmarkConstrain(b *testing.B) {
	x, y := random(rand.New(rand.NewPCG(1, 2)), 100_000)
	for i := range 500 {
		x, y = append(x, 0, 40), append(y, 0.05*float64(i), 0.05*float64(i)+0.03)
	}
	n := int32(len(x)) - 1000
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		m := mustTriangulate(b, x, y)
		b.StartTimer()
		for i := n; i < n+1000; i += 2 {
			if err := m.Constrain(i, i+1, Toggle); err != nil {
				b.Fatal(err)
			}
		}
	}
}

package delaunay

import (
	"math"
	"math/rand/v2"
)

// floor is an arrangement of about n places.
type floor struct {
	name string
	lay  func(r *rand.Rand, n int) (x, y []float64)
}

func lattice(n int, dx, dy float64) (x, y []float64) {
	w := int(math.Sqrt(float64(n)))
	for j := range w {
		for i := range w {
			x, y = append(x, dx*float64(i)), append(y, dy*float64(j))
		}
	}
	return x, y
}

func each(n int, f func(i int) (float64, float64)) (x, y []float64) {
	seen := make(map[[2]float64]bool)
	for i := range n {
		a, b := f(i)
		if !seen[[2]float64{a, b}] {
			seen[[2]float64{a, b}] = true
			x, y = append(x, a), append(y, b)
		}
	}
	return x, y
}

func times(s float64, f func(*rand.Rand, int) ([]float64, []float64)) func(*rand.Rand, int) ([]float64, []float64) {
	return func(r *rand.Rand, n int) ([]float64, []float64) {
		x, y := f(r, n)
		for i := range x {
			x[i], y[i] = s*x[i], s*y[i]
		}
		return x, y
	}
}

func random(r *rand.Rand, n int) (x, y []float64) {
	return each(n, func(int) (float64, float64) { return 40 * r.Float64(), 25 * r.Float64() })
}

// scan makes rings round three set-ups, as from a spinning scanner.
func scan(r *rand.Rand, n int) (x, y []float64) {
	return each(n, func(i int) (float64, float64) {
		station := [][2]float64{{5, 5}, {20, 18}, {35, 6}}[i%3]
		ring := 1 + (i/3)%40
		s, c := math.Sincos(2 * math.Pi * float64(i/120) * 120 / float64(n))
		d := 0.3*math.Tan(float64(ring)*math.Pi/90) + 0.001*r.NormFloat64()
		return math.Round(1e4*(station[0]+d*c)) / 1e4, math.Round(1e4*(station[1]+d*s)) / 1e4
	})
}

func tenths(_ *rand.Rand, n int) (x, y []float64) { return lattice(n, 0.1, 0.1) }

var floors = []floor{
	{"random", random},
	{"random times 1e9", times(1e9, random)},
	{"random times 1e-9", times(1e-9, random)},
	{"millimetres far from the origin", func(r *rand.Rand, n int) (x, y []float64) {
		return each(n, func(int) (float64, float64) {
			return 5e5 + float64(r.IntN(9000))/1000, 4.5e6 + float64(r.IntN(6000))/1000
		})
	}},
	{"whole numbers up to the limit of products", func(r *rand.Rand, n int) (x, y []float64) {
		return each(n, func(i int) (float64, float64) {
			return float64(r.IntN(1 << 26)), math.Floor(float64(i) / float64(n) * (1 << 26))
		})
	}},
	{"grid of 1", func(_ *rand.Rand, n int) (x, y []float64) { return lattice(n, 1, 1) }},
	{"grid of 0.1", tenths},
	{"grid of 0.1 times 1e9", times(1e9, tenths)},
	{"grid of 0.1 times 1e-9", times(1e-9, tenths)},
	{"grid of a foot", func(_ *rand.Rand, n int) (x, y []float64) { return lattice(n, 0.3048, 0.3048) }},
	{"grid of 25 mm in whole nanometres", func(_ *rand.Rand, n int) (x, y []float64) { return lattice(n, 25e6, 25e6) }},
	{"grid of oblongs", func(_ *rand.Rand, n int) (x, y []float64) { return lattice(n, 3, 0.25) }},
	{"hexagons", func(_ *rand.Rand, n int) (x, y []float64) {
		// Whole numbers cannot make a regular hexagon; corners of (±5, ±12), (±13, 0) are on
		// a circle, and so are those of every copy.
		return each(n, func(i int) (float64, float64) {
			c := [][2]float64{{13, 0}, {5, 12}, {-5, 12}, {-13, 0}, {-5, -12}, {5, -12}}[i%6]
			k := i / 6
			return c[0] + 36*float64(k%20) + 18*float64(k/20%2), c[1] + 24*float64(k/20)
		})
	}},
	{"a circle rounded", func(_ *rand.Rand, n int) (x, y []float64) {
		return each(n, func(i int) (float64, float64) {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			return 10 * c, 10 * s
		})
	}},
	{"a circle exactly", func(_ *rand.Rand, n int) (x, y []float64) {
		// All places of whole numbers 5·13·17·29·37 from the origin: 972.
		const r = 5 * 13 * 17 * 29 * 37
		for a := -r; a <= r && len(x) < n; a++ {
			b := int(math.Sqrt(float64(r*r - a*a)))
			if a*a+b*b != r*r {
				continue
			}
			x, y = append(x, float64(a)), append(y, float64(b))
			if b != 0 {
				x, y = append(x, float64(a)), append(y, float64(-b))
			}
		}
		return x, y
	}},
	{"scan", scan},
	{"nearly one row", func(_ *rand.Rand, n int) (x, y []float64) {
		return each(n, func(i int) (float64, float64) { return 0.1 * float64(i), 0.3 * float64(i) })
	}},
	{"one row and one beside it", func(_ *rand.Rand, n int) (x, y []float64) {
		return each(n, func(i int) (float64, float64) {
			if i == n/2 {
				return 3, 1
			}
			return float64(i), 0
		})
	}},
	{"two rows", func(_ *rand.Rand, n int) (x, y []float64) {
		return each(n, func(i int) (float64, float64) { return float64(i / 2), float64(i % 2) })
	}},
	{"clusters", func(r *rand.Rand, n int) (x, y []float64) {
		return each(n, func(i int) (float64, float64) {
			return float64(i%5) + 1e-6*r.NormFloat64(), float64(i%3) + 1e-6*r.NormFloat64()
		})
	}},
	{"pairs one bit apart", func(r *rand.Rand, n int) (x, y []float64) {
		var a, b float64
		return each(n, func(i int) (float64, float64) {
			if i%2 == 0 {
				a, b = r.Float64(), r.Float64()
				return a, b
			}
			return math.Nextafter(a, 2), b
		})
	}},
	{"one far away", func(r *rand.Rand, n int) (x, y []float64) {
		x, y = random(r, n-1)
		return append(x, 1e12), append(y, -1e12)
	}},
	{"huge and tiny", func(r *rand.Rand, n int) (x, y []float64) {
		return each(min(n, 300), func(int) (float64, float64) {
			return math.Ldexp(r.Float64()-0.5, r.IntN(2000)-1000), math.Ldexp(r.Float64()-0.5, r.IntN(2000)-1000)
		})
	}},
	{"one triangle", func(_ *rand.Rand, _ int) (x, y []float64) { return []float64{0, 4, 0}, []float64{0, 0, 3} }},
	{"four places", func(_ *rand.Rand, _ int) (x, y []float64) { return []float64{0, 1, 1, 0}, []float64{0, 0, 1, 1} }},
	{"four places, one inside", func(_ *rand.Rand, _ int) (x, y []float64) {
		return []float64{0, 4, 0, 1}, []float64{0, 0, 4, 1}
	}},
}

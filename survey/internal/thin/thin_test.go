package thin

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
)

func TestEachSquareGivesOnePoint(t *testing.T) {
	// Two squares of 0.5 m, one west of 0,0: four points in one, two in the other.
	in := []Shot{{0.1, 0.1, 1.3, 1}, {0.4, 0.2, 1.1, 2}, {0.2, 0.3, 1.1, 3}, {-0.1, 0.1, 2, 4}, {0.3, 0.4, 1.5, 5}, {-0.3, 0.3, 4, 6}}
	for _, c := range []struct {
		keep survey.Kept
		want []Shot
	}{
		{survey.Mean, []Shot{{-0.2, 0.2, 3, 0}, {0.25, 0.25, 1.25, 0}}},
		{survey.Lowest, []Shot{{-0.1, 0.1, 2, 4}, {0.2, 0.3, 1.1, 3}}}, // of two at 1.1 the more western
		{survey.Median, []Shot{{-0.1, 0.1, 2, 4}, {0.4, 0.2, 1.1, 2}}}, // the lower of two
	} {
		t.Run(c.keep.String(), func(t *testing.T) {
			g := New(survey.Thin{Cell: 0.5, Keep: c.keep}, "f")
			for _, p := range in {
				if !g.Add(p.X, p.Y, p.Z, p.Line) {
					t.Fatalf("%v is not taken", p)
				}
			}
			var got []Shot
			for _, p := range g.Points() {
				got = append(got, Shot{p.X, p.Y, p.Z, p.At().Line})
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("%v, want %v", got, c.want)
			}
		})
	}
}

// A square includes its south and west edges. Decimal edges are met exactly: in binary,
// 0.3/0.1 is below 3.
func TestEdgesBelongToTheSquareNorthEast(t *testing.T) {
	for _, c := range []struct{ x, cell, col float64 }{{0.3, 0.1, 3}, {0.29999999, 0.1, 2}, {-0.3, 0.1, -3}, {-0.30000001, 0.1, -4}, {0, 0.1, 0}, {6783020.1, 0.1, 67830201}, {0.0508, 0.0254, 2}} {
		g := New(survey.Thin{Cell: c.cell}, "f")
		g.Add(c.x, 0, 0, 0)
		if got := firstSquare(g); got != (square{0, int64(c.col)}) {
			t.Errorf("%g in squares of %g: %v, want column %g", c.x, c.cell, got, c.col)
		}
	}
}

// The mean of decimals is exact, even far from 0: 6783020.064 + 0.001·k has the mean
// 6783020.0645 for k = 0, 1.
func TestMeanIsThatOfTheDecimals(t *testing.T) {
	g := New(survey.Thin{Cell: 10}, "f")
	for i := range 1000 {
		g.Add(6783020.064+float64(i%2)*0.001, 21530666.426, 17.4-float64(i%2)*0.003, 0)
	}
	p := g.Points()[0]
	if p.X != 6783020.0645 || p.Y != 21530666.426 || p.Z != 17.3985 {
		t.Errorf("%v, %v, %v", p.X, p.Y, p.Z)
	}
}

func TestWideMeans(t *testing.T) {
	big := int64(999_999_999_999_999_999)
	for _, c := range []struct {
		v    []int64
		want int64
	}{{[]int64{1, 2}, 2}, {[]int64{-1, -2}, -2}, {[]int64{1, 1, 2}, 1}, {[]int64{-1, -1, -2}, -1}, {[]int64{5, -5}, 0}, {slices.Repeat([]int64{big}, 1000), big}, {slices.Repeat([]int64{-big}, 1000), -big}} {
		var w wide
		for _, v := range c.v {
			w.add(v)
		}
		if got := w.mean(uint64(len(c.v))); got != c.want {
			t.Errorf("mean of %d numbers from %d: %d, want %d", len(c.v), c.v[0], got, c.want)
		}
	}
}

func TestThinningDoesNotDependOnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Custom(func(t *rapid.T) float64 {
			return float64(rapid.IntRange(-3000, 3000).Draw(t, "mm"))/1000 + rapid.SampledFrom([]float64{0, 500000, 6783020.123}).Draw(t, "from")
		})
		pts := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Shot {
			return Shot{number.Draw(t, "x"), number.Draw(t, "y"), number.Draw(t, "z"), 0}
		}), 1, 60).Draw(t, "points")
		thin := survey.Thin{Cell: rapid.SampledFrom([]float64{0.05, 0.5, 3}).Draw(t, "cell"), Keep: survey.Kept(rapid.IntRange(0, 2).Draw(t, "keep"))}
		run := func(pts []Shot) []survey.Point {
			g := New(thin, "f")
			for _, p := range pts {
				g.Add(p.X, p.Y, p.Z, p.Line)
			}
			return g.Points()
		}
		want := run(pts)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		for range 3 {
			r.Shuffle(len(pts), func(i, j int) { pts[i], pts[j] = pts[j], pts[i] })
			if got := run(pts); !slices.Equal(got, want) {
				t.Fatalf("%v\nafter a shuffle %v", want, got)
			}
		}
	})
}

func firstSquare(g *Grid) square {
	for at := range g.means.each() {
		return at
	}
	return square{math.MinInt64, math.MinInt64}
}

// A decimal of up to nanometres is met exactly wherever a float64 tells it from the next,
// up to 8388 km from 0. Between 4194 and 4503 km the product with 1e9 is rounded to halves.
func TestNanometresOfDecimals(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for _, most := range []int64{1 << 40, 1 << 51, 4_503_599_627_370_496, 8_388_607_999_999_999} {
		for range 20_000 {
			n := most/8*7 + r.Int64N(most/8)
			if got := Nanometres(float64(n) / 1e9); got != n {
				t.Fatalf("%d nm is read as %d", n, got)
			}
			if got := Nanometres(-float64(n) / 1e9); got != -n {
				t.Fatalf("%d nm is read as %d", -n, got)
			}
		}
	}
}

// Memory grows with the squares that have a point, however far apart they are.
func TestSparseGridIsSmall(t *testing.T) {
	for _, apart := range []float64{1, 0.1, 0.05} { // one, 16 and 64 squares of a tile
		const n = 20_000
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		g := New(survey.Thin{Cell: 0.025}, "f")
		for i := range n {
			g.Add(float64(i%200)*apart, float64(i/200)*apart, 0, 0)
		}
		runtime.GC()
		runtime.ReadMemStats(&after)
		if each := (int64(after.HeapAlloc) - int64(before.HeapAlloc)) / n; each > 700 || g.Squares() != n {
			t.Errorf("%g m apart: %d squares, %d bytes each", apart, g.Squares(), each)
		}
	}
}

// Of -0 and 0 neither is lower: whatever their order, the lowest point has 0.
func TestMinusZeroIsZero(t *testing.T) {
	minus := math.Copysign(0, -1)
	for _, keep := range []survey.Kept{survey.Lowest, survey.Median} {
		for _, pts := range [][]Shot{{{minus, 0, minus, 0}, {0, minus, 0, 0}}, {{0, minus, 0, 0}, {minus, 0, minus, 0}}} {
			at, one := New(survey.Thin{Cell: 1, Keep: keep}, "f"), New(survey.Thin{Cell: 1, Keep: keep}, "f")
			at.AddAll(pts)
			for _, p := range pts {
				one.Add(p.X, p.Y, p.Z, 0)
			}
			for _, p := range append(at.Points(), one.Points()...) {
				if math.Signbit(p.X) || math.Signbit(p.Y) || math.Signbit(p.Z) {
					t.Errorf("%s: %v", keep, p)
				}
			}
		}
	}
}

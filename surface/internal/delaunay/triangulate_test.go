package delaunay

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestEveryFloorIsDelaunay(t *testing.T) {
	for _, f := range floors {
		for _, n := range []int{9, 100, 4000} {
			t.Run(fmt.Sprintf("%s/%d", f.name, n), func(t *testing.T) {
				x, y := f.lay(rand.New(rand.NewPCG(1, uint64(n))), n)
				keepX, keepY := slices.Clone(x), slices.Clone(y)
				m := mustTriangulate(t, x, y)
				if !slices.Equal(x, keepX) || !slices.Equal(y, keepY) {
					t.Fatal("the caller's places were changed")
				}
				mustVerify(t, m)
			})
		}
	}
}

// shuffled returns the places in another order, and the original number of each.
func shuffled(r *rand.Rand, x, y []float64) (sx, sy []float64, from []int) {
	from = r.Perm(len(x))
	for _, i := range from {
		sx, sy = append(sx, x[i]), append(sy, y[i])
	}
	return sx, sy, from
}

// TestOrderOfRowsChangesNothing requires equal arrays: equal triangles in equal order with
// equal first corners.
func TestOrderOfRowsChangesNothing(t *testing.T) {
	for _, f := range floors {
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(3, 4))
			x, y := f.lay(r, 900)
			m := mustTriangulate(t, x, y)
			for range 5 {
				sx, sy, from := shuffled(r, x, y)
				s := mustTriangulate(t, sx, sy)
				if !slices.Equal(s.Twin, m.Twin) {
					t.Fatal("twins differ")
				}
				for h, v := range s.V {
					if v != s.Inf() {
						v = int32(from[v])
					}
					if v != m.V[h] {
						t.Fatalf("half-edge %d starts at %d, want %d", h, v, m.V[h])
					}
				}
			}
		})
	}
}

// TestProcessorsChangeNothing requires equal arrays from one processor and from four.
func TestProcessorsChangeNothing(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	for _, f := range floors {
		runtime.GOMAXPROCS(1)
		x, y := f.lay(rand.New(rand.NewPCG(7, 8)), 70_000)
		one := mustTriangulate(t, x, y)
		runtime.GOMAXPROCS(4)
		four := mustTriangulate(t, x, y)
		if !slices.Equal(one.V, four.V) || !slices.Equal(one.Twin, four.Twin) {
			t.Errorf("%s: the meshes differ", f.name)
		}
	}
	// The same place three times, in parts of different processors.
	x, y := random(rand.New(rand.NewPCG(7, 8)), 70_000)
	x[69_999], y[69_999], x[40_000], y[40_000] = x[20_000], y[20_000], x[20_000], y[20_000]
	_, err := Triangulate(x, y)
	if want := (&DuplicateError{20_000, 40_000}).Error(); err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// bruteForce returns the triangles of up to a few dozen places of small whole coordinates
// whose circles contain no other place: lower facets of places lifted to the paraboloid,
// minus a pull that is a number here.
func bruteForce(x, y []float64) [][3]int32 {
	n := int32(len(x))
	rank := make([]int32, n)
	for i := range rank {
		rank[i] = int32(i)
	}
	slices.SortFunc(rank, planOf(x, y).compare)
	// Determinants of three places are whole numbers below 2^20 here, so each pull, 2^24
	// times the next, outweighs all later ones together, and 2^-24 times the first is less
	// than 1.
	z := make([]*big.Int, n)
	unit := uint(24 * (n + 1))
	for k, v := range rank {
		z[v] = big.NewInt(int64(x[v]*x[v] + y[v]*y[v]))
		z[v].Lsh(z[v], unit)
		z[v].Sub(z[v], new(big.Int).Lsh(big.NewInt(1), unit-24*uint(k+1)))
	}
	area := func(a, b, c int32) int64 {
		return int64((x[b]-x[a])*(y[c]-y[a]) - (y[b]-y[a])*(x[c]-x[a]))
	}
	var out [][3]int32
	for a := range n {
		for b := range n {
			for c := range n {
				if a >= b || a >= c || area(a, b, c) <= 0 {
					continue
				}
				empty := true
				for d := int32(0); d < n && empty; d++ {
					if d == a || d == b || d == c {
						continue
					}
					// Height of d above the plane through a, b and c, times area(a,b,c).
					s := new(big.Int).Mul(big.NewInt(area(a, b, c)), z[d])
					s.Sub(s, new(big.Int).Mul(big.NewInt(area(d, b, c)), z[a]))
					s.Sub(s, new(big.Int).Mul(big.NewInt(area(a, d, c)), z[b]))
					s.Sub(s, new(big.Int).Mul(big.NewInt(area(a, b, d)), z[c]))
					empty = s.Sign() > 0
				}
				if empty {
					out = append(out, [3]int32{a, b, c})
				}
			}
		}
	}
	return out
}

func sameTriangles(m *Mesh, want [][3]int32) error {
	set := make(map[[3]int32]bool)
	for _, w := range want {
		set[w] = true
	}
	n := 0
	for t := range int32(m.Len()) {
		if m.Ghost(t) {
			continue
		}
		n++
		a, b, c := m.V[3*t], m.V[3*t+1], m.V[3*t+2]
		for a > b || a > c {
			a, b, c = b, c, a
		}
		if !set[[3]int32{a, b, c}] {
			return fmt.Errorf("triangle %d-%d-%d is not among those found by brute force", a, b, c)
		}
	}
	if n != len(want) {
		return fmt.Errorf("%d triangles, brute force finds %d", n, len(want))
	}
	return nil
}

func TestAgreesWithBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	ties := [][2]int{{13, 0}, {5, 12}, {-5, 12}, {-13, 0}, {-5, -12}, {5, -12}, {12, 5}, {12, -5}, {-12, 5}, {-12, -5}, {0, 13}, {0, -13}}
	for i := range 400 {
		var x, y []float64
		switch i % 4 {
		case 0: // a grid with gaps
			x, y = each(20, func(int) (float64, float64) { return float64(r.IntN(5)), float64(r.IntN(5)) })
		case 1: // twelve on a circle, and some in it
			x, y = each(18, func(k int) (float64, float64) {
				if k < len(ties) {
					return float64(ties[k][0]), float64(ties[k][1])
				}
				return float64(r.IntN(27) - 13), float64(r.IntN(27) - 13)
			})
		case 2:
			x, y = each(16, func(int) (float64, float64) { return float64(r.IntN(200)), float64(r.IntN(200)) })
		case 3: // two circles that share places
			x, y = each(24, func(k int) (float64, float64) {
				return float64(ties[k%12][0] + 10*(k/12)), float64(ties[k%12][1])
			})
		}
		x, y, _ = shuffled(r, x, y)
		m, err := Triangulate(x, y)
		if errors.Is(err, ErrCollinear) {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		if err := sameTriangles(m, bruteForce(x, y)); err != nil {
			t.Fatalf("case %d: %v\nx %v\ny %v", i, err, x, y)
		}
	}
}

// TestPolygonOnCircleIsFan checks the tie rule by its result.
func TestPolygonOnCircleIsFan(t *testing.T) {
	for _, c := range []struct {
		name         string
		x, y         []float64
		fromX, fromY float64
	}{
		{"most western", []float64{5, 4, 3, -3, -4, -5, -4, -3, 3, 4}, []float64{0, 3, 4, 4, 3, 0, -3, -4, -4, -3}, -5, 0},
		{"of two most western the southern", []float64{4, 3, -3, -4, -4, -3, 3, 4}, []float64{3, 4, 4, 3, -3, -4, -4, -3}, -4, -3},
	} {
		m := mustTriangulate(t, c.x, c.y)
		for k := range int32(m.Len()) {
			if m.Ghost(k) {
				continue
			}
			if v := m.corners(k)[0]; m.X[v] != c.fromX || m.Y[v] != c.fromY {
				t.Errorf("%s: a triangle's first corner is (%g, %g), want (%g, %g)", c.name, m.X[v], m.Y[v], c.fromX, c.fromY)
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name string
		x, y []float64
		want string
	}{
		{"nothing", nil, nil, ErrCollinear.Error()},
		{"one", []float64{1}, []float64{2}, ErrCollinear.Error()},
		{"two", []float64{1, 2}, []float64{2, 2}, ErrCollinear.Error()},
		{"three in a row", []float64{1, 2, 3}, []float64{1, 2, 3}, ErrCollinear.Error()},
		{"many in a row", []float64{0, 7, 3, 9, 4, 1, 2}, []float64{0, 14, 6, 18, 8, 2, 4}, ErrCollinear.Error()},
		{"lengths", []float64{1, 2, 3}, []float64{1, 2}, ErrLengths.Error()},
		{"twice", []float64{0, 1, 0, 1}, []float64{0, 0, 1, 0}, "places 1 and 3 are the same"},
		{"twice, first pair", []float64{5, 0, 1, 0, 1, 0}, []float64{5, 0, 0, 0, 0, 0}, "places 1 and 3 are the same"},
		{"twice, with either zero", []float64{0, 1, math.Copysign(0, -1), 1}, []float64{0, 0, 0, 1}, "places 0 and 2 are the same"},
		{"two, one place", []float64{1, 1}, []float64{2, 2}, "places 0 and 1 are the same"},
		{"not a number", []float64{0, 1, 0, nan}, []float64{0, 0, 1, 1}, "place 3 is not finite"},
		{"not a number in y", []float64{0, 1, 0, 1}, []float64{0, nan, 1, 1}, "place 1 is not finite"},
		{"infinite", []float64{0, -inf, 0, nan}, []float64{0, 0, 1, 1}, "place 1 is not finite"},
		{"infinite in y", []float64{0, 1, 0, 1}, []float64{0, 0, inf, 1}, "place 2 is not finite"},
	} {
		m, err := Triangulate(c.x, c.y)
		if err == nil || err.Error() != c.want || m != nil {
			t.Errorf("%s: got %v and mesh %v, want %q", c.name, err, m != nil, c.want)
		}
	}
}

func TestHalfEdgesFitNumbers(t *testing.T) {
	if n := int64(MaxPoints); 6*n-6 > math.MaxInt32 || 6*(n+1)-6 <= math.MaxInt32 {
		t.Errorf("MaxPoints = %d is not the most whose half-edges fit", n)
	}
}

// drawPlaces draws distinct places that often tie.
func drawPlaces(t *rapid.T) (x, y []float64) {
	step := rapid.SampledFrom([]float64{1, 0.1, 0.3048, 1e-9, 1e9, 25e6}).Draw(t, "step")
	side := rapid.IntRange(2, 12).Draw(t, "side")
	n := rapid.IntRange(0, 60).Draw(t, "n")
	cell := rapid.IntRange(0, side)
	return each(n, func(int) (float64, float64) {
		return step * float64(cell.Draw(t, "i")), step * float64(cell.Draw(t, "j"))
	})
}

func TestLawsOfTriangulate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawPlaces(t)
		m, err := Triangulate(x, y)
		row := true
		for i := range x {
			row = row && (i < 2 || planOf(x, y).orient(0, 1, int32(i)) == 0)
		}
		if row != errors.Is(err, ErrCollinear) || !row && err != nil {
			t.Fatalf("places in one row: %v, error: %v", row, err)
		}
		if row {
			return
		}
		if err := verify(m); err != nil {
			t.Fatal(err)
		}
	})
}

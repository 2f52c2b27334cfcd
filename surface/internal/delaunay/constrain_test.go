package delaunay

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"pourplane/surface/internal/exact"
)

type edge struct {
	a, b int32
	mark uint8
}

func mustConstrain(t testing.TB, m *Mesh, edges []edge) {
	t.Helper()
	for _, e := range edges {
		if err := m.Constrain(e.a, e.b, e.mark); err != nil {
			t.Fatal(err)
		}
	}
}

// ring appends a closed line through corners to the places.
func ring(x, y []float64, edges []edge, mark uint8, corners ...[2]float64) ([]float64, []float64, []edge) {
	n := int32(len(x))
	for i, c := range corners {
		x, y = append(x, c[0]), append(y, c[1])
		edges = append(edges, edge{n + int32(i), n + int32((i+1)%len(corners)), mark})
	}
	return x, y, edges
}

const wall = 1 << 1 // a bit of the caller's

// rooms are places with edges to force, in an order that a test may change.
var rooms = []struct {
	name string
	lay  func(r *rand.Rand) (x, y []float64, edges []edge)
}{
	{"L", func(*rand.Rand) (x, y []float64, e []edge) {
		return ring(nil, nil, nil, Toggle, [2]float64{0, 0}, [2]float64{8, 0}, [2]float64{8, 3}, [2]float64{3, 3}, [2]float64{3, 6}, [2]float64{0, 6})
	}},
	{"L on a grid, along its lines", func(*rand.Rand) (x, y []float64, e []edge) {
		x, y = lattice(100, 1, 1)
		at := func(i, j int32) int32 { return 10*j + i }
		c := []int32{at(0, 0), at(9, 0), at(9, 4), at(5, 4), at(5, 9), at(0, 9)}
		for i := range c {
			e = append(e, edge{c[i], c[(i+1)%len(c)], Toggle})
		}
		return x, y, e
	}},
	{"slanting across a grid", func(*rand.Rand) (x, y []float64, e []edge) {
		x, y = lattice(400, 0.1, 0.1)
		for i := range int32(9) {
			e = append(e, edge{2 * i, 20*19 + 2*i + 3, wall}) // parallel, knight's moves up
		}
		return x, y, e
	}},
	{"diagonals of a whole grid", func(*rand.Rand) (x, y []float64, e []edge) {
		x, y = lattice(400, 1, 1)
		for i := range int32(19) {
			e = append(e, edge{i, 20*(19-i) + 19, wall}, edge{20 * (18 - i), 20*19 + i + 1, wall})
		}
		return x, y, e
	}},
	{"comb", func(r *rand.Rand) (x, y []float64, e []edge) {
		var c [][2]float64
		for i := range 12 {
			f := float64(i)
			c = append(c, [2]float64{f, 9}, [2]float64{f + 0.3, 0.5}, [2]float64{f + 0.6, 0.6})
		}
		c = append(c, [2]float64{12, 9}, [2]float64{12, 0}, [2]float64{0, 0})
		slices.Reverse(c)
		x, y, e = ring(nil, nil, nil, Toggle, c...)
		for range 100 {
			x, y = append(x, 12*r.Float64()), append(y, 9*r.Float64())
		}
		return x, y, e
	}},
	{"a star of long edges", func(r *rand.Rand) (x, y []float64, e []edge) {
		x, y = []float64{0}, []float64{0}
		for i := range int32(40) {
			s, c := math.Sincos(float64(i) * math.Pi / 20)
			x, y = append(x, 50*c), append(y, 50*s)
			e = append(e, edge{0, i + 1, wall})
		}
		for range 2000 {
			x, y = append(x, 100*r.Float64()-50), append(y, 100*r.Float64()-50)
		}
		return x, y, e
	}},
	{"the hull", func(r *rand.Rand) (x, y []float64, e []edge) {
		x, y = lattice(64, 1, 1)
		for _, c := range [][2]int32{{0, 7}, {7, 63}, {63, 56}, {56, 0}} {
			e = append(e, edge{c[0], c[1], Toggle})
		}
		return x, y, e
	}},
	{"long edges through ten thousand", func(r *rand.Rand) (x, y []float64, e []edge) {
		for i := range int32(30) {
			f := float64(i) + 0.123
			x, y = append(x, 0, 40), append(y, f*0.8, f*0.8+0.1*r.Float64())
			e = append(e, edge{2 * i, 2*i + 1, wall})
		}
		px, py := random(r, 10000)
		return append(x, px...), append(y, py...), e
	}},
	{"through many in its row", func(*rand.Rand) (x, y []float64, e []edge) {
		for i := range 50 {
			x, y = append(x, float64(i)), append(y, 2*float64(i))
		}
		for i := range 49 {
			x, y = append(x, float64(i), float64(i)), append(y, 2*float64(i)+1, 2*float64(i)-1.5)
		}
		return x, y, []edge{{49, 0, wall}, {10, 30, Toggle}, {20, 40, Toggle}}
	}},
	{"edges that stick out into the gap of the last", func(*rand.Rand) (x, y []float64, e []edge) {
		x, y = []float64{-100, 100}, []float64{0, 0}
		for i := range int32(15) {
			f := 10 * float64(i-7)
			x, y = append(x, f, f+3, f+20), append(y, 0.5+float64(i%3), 40, -1-float64(i%2))
			e = append(e, edge{3*i + 2, 3*i + 3, wall})
		}
		return x, y, append(e, edge{0, 1, wall})
	}},
}

func TestForcedEdges(t *testing.T) {
	for _, room := range rooms {
		t.Run(room.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(9, 10))
			x, y, edges := room.lay(r)
			m := mustTriangulate(t, x, y)
			mustConstrain(t, m, edges)
			mustVerify(t, m)
			for _, e := range edges {
				if err := hasEdge(m, e.a, e.b, Fixed|e.mark&^Toggle); err != nil {
					t.Fatal(err)
				}
			}
			want := triangles(m)
			for range 6 {
				// Rows in another order, edges in another order, some reversed.
				sx, sy, from := shuffled(r, x, y)
				to := make([]int32, len(from))
				for i, f := range from {
					to[f] = int32(i)
				}
				other := slices.Clone(edges)
				r.Shuffle(len(other), func(i, j int) { other[i], other[j] = other[j], other[i] })
				for i, e := range other {
					other[i].a, other[i].b = to[e.a], to[e.b]
					if r.IntN(2) == 0 {
						other[i].a, other[i].b = other[i].b, other[i].a
					}
				}
				s := mustTriangulate(t, sx, sy)
				mustConstrain(t, s, other)
				if !slices.Equal(triangles(s), want) {
					t.Fatal("another order of rows or edges gives other triangles")
				}
			}
		})
	}
}

// randomEdges forces random edges into m and returns those accepted. Which are to be
// accepted is decided here, from the crossing of every pair.
func randomEdges(t interface {
	Helper()
	Fatalf(string, ...any)
}, m *Mesh, draw func() int, tries int) (taken []edge) {
	t.Helper()
	n := len(m.X)
	for range tries {
		e := edge{int32(draw() % n), int32(draw() % n), uint8(draw() % 128)}
		cross := func(f edge) bool {
			return exact.SegmentsCross(m.X[e.a], m.Y[e.a], m.X[e.b], m.Y[e.b], m.X[f.a], m.Y[f.a], m.X[f.b], m.Y[f.b]) == exact.Cross
		}
		// A vertex where two edges cross splits both.
		split := func(f edge) bool {
			for v := range int32(n) {
				if m.side(e.a, e.b, v) == 0 && m.side(f.a, f.b, v) == 0 {
					return true
				}
			}
			return false
		}
		want := slices.ContainsFunc(taken, func(f edge) bool { return cross(f) && !split(f) })
		before := Mesh{V: slices.Clone(m.V), Twin: slices.Clone(m.Twin), Mark: slices.Clone(m.Mark)}
		err := m.Constrain(e.a, e.b, e.mark)
		var crossing *CrossingError
		var none *EdgeError
		switch {
		case e.a == e.b:
			if !errors.As(err, &none) || none.A != e.a || none.B != e.b {
				t.Fatalf("edge %d-%d: %v, want it refused", e.a, e.b, err)
			}
		case want:
			if !errors.As(err, &crossing) || crossing.A != e.a || crossing.B != e.b || !cross(edge{crossing.C, crossing.D, 0}) {
				t.Fatalf("edge %d-%d: %v, want a crossing", e.a, e.b, err)
			}
			if !slices.Equal(m.V, before.V) || !slices.Equal(m.Twin, before.Twin) || !slices.Equal(m.Mark, before.Mark) {
				t.Fatalf("edge %d-%d was refused but changed the mesh", e.a, e.b)
			}
		case err != nil:
			t.Fatalf("edge %d-%d: %v", e.a, e.b, err)
		default:
			taken = append(taken, e)
		}
	}
	return taken
}

func TestRandomEdges(t *testing.T) {
	for _, f := range floors {
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(11, 12))
			for _, n := range []int{4, 16, 64, 300} {
				x, y := f.lay(r, n)
				m := mustTriangulate(t, x, y)
				taken := randomEdges(t, m, func() int { return r.IntN(1 << 20) }, 2*n)
				mustVerify(t, m)
				for _, e := range taken {
					if err := hasEdge(m, e.a, e.b, Fixed|e.mark&^Toggle); err != nil {
						t.Fatal(err)
					}
				}
				// Toggle is on the pieces of an odd number of edges.
				for h := range int32(len(m.V)) {
					a, b := m.V[h], m.V[Next(h)]
					if a == m.Inf() || b == m.Inf() {
						continue
					}
					odd, any := uint8(0), uint8(0)
					for _, e := range taken {
						if m.side(e.a, e.b, a) == 0 && m.side(e.a, e.b, b) == 0 &&
							exact.SegmentsCross(m.X[e.a], m.Y[e.a], m.X[e.b], m.Y[e.b], m.X[a], m.Y[a], m.X[b], m.Y[b]) == exact.Overlap {
							odd ^= e.mark & Toggle
							any |= e.mark&^Toggle | Fixed
						}
					}
					if m.Mark[h] != odd|any {
						t.Fatalf("edge %d-%d is marked %#x, want %#x", a, b, m.Mark[h], odd|any)
					}
				}
				s := mustTriangulate(t, x, y)
				r.Shuffle(len(taken), func(i, j int) { taken[i], taken[j] = taken[j], taken[i] })
				mustConstrain(t, s, taken)
				if !slices.Equal(triangles(s), triangles(m)) {
					t.Fatal("another order of edges gives other triangles")
				}
			}
		})
	}
}

func TestLawsOfConstrain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawPlaces(t)
		m, err := Triangulate(x, y)
		if err != nil {
			return // places in one row: TestLawsOfTriangulate
		}
		draw := rapid.IntRange(0, 1<<20)
		taken := randomEdges(t, m, func() int { return draw.Draw(t, "edge") }, 20)
		if err := verify(m); err != nil {
			t.Fatal(err)
		}
		for _, e := range taken {
			if err := hasEdge(m, e.a, e.b, Fixed|e.mark&^Toggle); err != nil {
				t.Fatal(err)
			}
		}
	})
}

func TestEdgesRefused(t *testing.T) {
	m := mustTriangulate(t, []float64{0, 2, 2, 0, 1, 3}, []float64{0, 0, 2, 2, 5, 1})
	mustConstrain(t, m, []edge{{0, 2, wall}})
	for _, c := range []struct {
		a, b int32
		want string
	}{
		{0, 0, "no edge can run from vertex 0 to vertex 0"},
		{-1, 0, "no edge can run from vertex -1 to vertex 0"},
		{0, 6, "no edge can run from vertex 0 to vertex 6"},
		{3, 1, "edge 3-1 crosses edge 0-2"},
		{1, 3, "edge 1-3 crosses edge 0-2"},
	} {
		if err := m.Constrain(c.a, c.b, wall); err == nil || err.Error() != c.want {
			t.Errorf("edge %d-%d: got %v, want %q", c.a, c.b, err, c.want)
		}
	}
	mustVerify(t, m)
}

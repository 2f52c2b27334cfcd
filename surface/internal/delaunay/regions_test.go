package delaunay

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/surface/internal/exact"
)

// centre returns a place inside triangle t.
func centre(m *Mesh, t int32) (x, y float64) {
	for h := 3 * t; h < 3*t+3; h++ {
		x, y = x+m.X[m.V[h]]/3, y+m.Y[m.V[h]]/3
	}
	return x, y
}

// area returns the area of the triangles for which is is true: whole numbers of quarters, so
// exact.
func area(m *Mesh, is func(t int32) bool) float64 {
	sum := 0.0
	for t := range int32(m.Len()) {
		if is(t) {
			a, b, c := m.V[3*t], m.V[3*t+1], m.V[3*t+2]
			sum += ((m.X[b]-m.X[a])*(m.Y[c]-m.Y[a]) - (m.Y[b]-m.Y[a])*(m.X[c]-m.X[a])) / 2
		}
	}
	return sum
}

func box(x0, y0, x1, y1 float64) [][2]float64 {
	return [][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

func TestInsideIsEvenOdd(t *testing.T) {
	// A floor, a pit in it, a column in the pit, a column outside the pit, and places all over.
	rings := [][][2]float64{
		{{0, 0}, {16, 0}, {16, 5}, {9, 5}, {9, 12}, {0, 12}},
		box(1, 1, 8, 9), box(3, 3, 6, 6), box(10, 1, 12, 3),
	}
	r := rand.New(rand.NewPCG(1, 2))
	var x, y []float64
	var edges []edge
	for _, c := range rings {
		x, y, edges = ring(x, y, edges, Toggle, c...)
	}
	for range 300 {
		x, y = append(x, 18*r.Float64()-1), append(y, 14*r.Float64()-1)
	}
	m := mustTriangulate(t, x, y)
	mustConstrain(t, m, edges)
	in := 0
	for k, got := range m.Inside(Toggle) {
		want := false
		if !m.Ghost(int32(k)) {
			px, py := centre(m, int32(k))
			for _, c := range rings {
				var rx, ry []float64
				for _, v := range c {
					rx, ry = append(rx, v[0]), append(ry, v[1])
				}
				want = want != (exact.InRing(rx, ry, px, py) > 0)
			}
		}
		if got != want {
			t.Fatalf("triangle %d inside: %v, want %v", k, got, want)
		}
		if got {
			in++
		}
	}
	if in == 0 {
		t.Fatal("nothing is inside")
	}
}

func TestEdgeOfTwoRingsBoundsNothing(t *testing.T) {
	// Two rooms that share a wall, each with its ring: areas 4×3 and 2×3.
	x := []float64{0, 4, 6, 6, 4, 0}
	y := []float64{0, 0, 0, 3, 3, 3}
	m := mustTriangulate(t, x, y)
	for _, c := range [][]int32{{0, 1, 4, 5}, {1, 2, 3, 4}} {
		for i := range c {
			mustConstrain(t, m, []edge{{c[i], c[(i+1)%len(c)], Toggle | wall}})
		}
	}
	inside := m.Inside(Toggle)
	if a := area(m, func(k int32) bool { return inside[k] }); a != 18 {
		t.Errorf("area inside = %g, want 4×3 + 2×3", a)
	}
	if _, n := m.Label(Toggle, inside); n != 1 {
		t.Errorf("%d parts, want 1: the shared wall bounds nothing", n)
	}
	label, n := m.Label(wall, inside)
	if n != 2 {
		t.Fatalf("%d rooms, want 2", n)
	}
	for i, want := range []float64{12, 6} { // from west to east
		if a := area(m, func(k int32) bool { return label[k] == int32(i) }); a != want {
			t.Errorf("room %d has area %g, want %g", i, a, want)
		}
	}
}

func TestPartsAreNumberedFromWestToEast(t *testing.T) {
	// Four bays round a cross of walls. The western two share their westernmost corner (0,
	// 2), and the eastern two share (3, 2).
	x := []float64{0, 3, 7, 0, 3, 7, 0, 3, 7, 1, 5, 2, 4}
	y := []float64{0, 0, 0, 2, 2, 2, 7, 7, 7, 1, 1, 4, 5}
	walls := []edge{{0, 2, Toggle}, {2, 8, Toggle}, {8, 6, Toggle}, {6, 0, Toggle}, {3, 5, wall}, {1, 7, wall}}
	want := []float64{6, 15, 8, 20} // south-west, north-west, south-east, north-east
	r := rand.New(rand.NewPCG(5, 6))
	for range 20 {
		sx, sy, from := shuffled(r, x, y)
		to := make([]int32, len(from))
		for i, f := range from {
			to[f] = int32(i)
		}
		m := mustTriangulate(t, sx, sy)
		for _, i := range r.Perm(len(walls)) {
			mustConstrain(t, m, []edge{{to[walls[i].a], to[walls[i].b], walls[i].mark}})
		}
		inside := m.Inside(Toggle)
		label, n := m.Label(wall, inside)
		if n != len(want) {
			t.Fatalf("%d bays, want %d", n, len(want))
		}
		for i, w := range want {
			if a := area(m, func(k int32) bool { return label[k] == int32(i) }); a != w {
				t.Fatalf("bay %d has area %g, want %g", i, a, w)
			}
		}
		for k, l := range label {
			if (l >= 0) != inside[k] {
				t.Fatalf("triangle %d inside: %v, part %d", k, inside[k], l)
			}
		}
		none, n := m.Label(0, make([]bool, m.Len()))
		if n != 0 || none[0] != -1 {
			t.Fatalf("nothing inside has %d parts", n)
		}
	}
}

// InsideOf is told where the inside is and Inside finds it: they agree on rings with openings,
// on an island in one, and where an edge is in pieces.
func TestInsideOf(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for n := range 40 {
		x := []float64{0, 100, 100, 0, 20, 20, 80, 80, 40, 60, 50}
		y := []float64{0, 0, 100, 100, 20, 80, 80, 20, 40, 40, 60}
		for range 5 * n {
			x = append(x, math.Floor(120*rng.Float64())-10)
			y = append(y, math.Floor(120*rng.Float64())-10)
		}
		if n%3 > 0 { // else places of the grid are on edges, and cut them
			for i := 11; i < len(x); i++ {
				x[i] += 0.123 + float64(i)*1e-3
				y[i] += 0.277 + float64(i)*1e-4
			}
		}
		m, err := Triangulate(x, y)
		var twice *DuplicateError
		if errors.As(err, &twice) {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		var edges [][2]int32
		for _, ring := range [][]int32{{0, 1, 2, 3}, {4, 5, 6, 7}, {8, 9, 10}} {
			for i, a := range ring {
				e := [2]int32{a, ring[(i+1)%len(ring)]}
				edges = append(edges, e)
				if err := m.Constrain(e[0], e[1], 2); err != nil {
					t.Fatal(err)
				}
			}
		}
		if want, got := m.Inside(2), m.InsideOf(2, edges); !slices.Equal(got, want) {
			t.Errorf("%d places: differs", len(x))
		}
	}
}

package delaunay

import (
	"cmp"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"
)

// plan is the places as whole numbers, after multiplication by a power of two: arithmetic
// that shares nothing with package exact.
type plan struct{ x, y []*big.Int }

func planOf(x, y []float64) plan {
	den := big.NewInt(1) // the largest denominator; all are powers of two
	for _, c := range [][]float64{x, y} {
		for _, v := range c {
			if d := new(big.Rat).SetFloat64(v).Denom(); d.Cmp(den) > 0 {
				den = new(big.Int).Set(d)
			}
		}
	}
	scaled := func(c []float64) []*big.Int {
		out := make([]*big.Int, len(c))
		for i, v := range c {
			r := new(big.Rat).SetFloat64(v)
			out[i] = new(big.Int).Mul(r.Num(), new(big.Int).Quo(den, r.Denom()))
		}
		return out
	}
	return plan{scaled(x), scaled(y)}
}

func (p plan) orient(a, b, c int32) int {
	sub := func(u, v *big.Int) *big.Int { return new(big.Int).Sub(u, v) }
	l := sub(p.x[b], p.x[a])
	l.Mul(l, sub(p.y[c], p.y[a]))
	r := sub(p.y[b], p.y[a])
	r.Mul(r, sub(p.x[c], p.x[a]))
	return l.Cmp(r)
}

func (p plan) inCircle(a, b, c, d int32) int {
	var m [3][3]*big.Int
	for i, v := range [3]int32{a, b, c} {
		x, y := new(big.Int).Sub(p.x[v], p.x[d]), new(big.Int).Sub(p.y[v], p.y[d])
		z := new(big.Int).Mul(x, x)
		m[i] = [3]*big.Int{x, y, z.Add(z, new(big.Int).Mul(y, y))}
	}
	det := new(big.Int)
	for i := range 3 {
		u, v := m[(i+1)%3], m[(i+2)%3]
		k := new(big.Int).Mul(u[0], v[1])
		k.Sub(k, new(big.Int).Mul(v[0], u[1]))
		det.Add(det, k.Mul(k, m[i][2]))
	}
	return det.Sign()
}

// pulledInCircle is inCircle with the pull of the package comment: a tie has the sign of the
// change of the determinant by the pull of the first of the four, by coordinates, which is
// the orientation of the other three.
func (p plan) pulledInCircle(a, b, c, d int32) int {
	if s := p.inCircle(a, b, c, d); s != 0 {
		return s
	}
	switch slices.MinFunc([]int32{a, b, c, d}, p.compare) {
	case d:
		return p.orient(a, b, c)
	case a:
		return -p.orient(d, b, c)
	case b:
		return -p.orient(a, d, c)
	}
	return -p.orient(a, b, d)
}

func (p plan) compare(a, b int32) int { return cmp.Or(p.x[a].Cmp(p.x[b]), p.y[a].Cmp(p.y[b])) }

// verify proves that m is a constrained Delaunay triangulation of the hull under the tie
// rule: closed and paired, every triangle counter-clockwise, the hull convex, counts as
// Euler's formula gives (so nothing overlaps), and every free edge Delaunay, which is enough
// by Lee and Lin 1986, Discrete & Computational Geometry 1:201-217.
func verify(m *Mesh) error {
	n, inf := int32(len(m.X)), m.Inf()
	if len(m.V) != int(6*n-6) || len(m.Twin) != len(m.V) || len(m.Mark) != len(m.V) {
		return fmt.Errorf("%d, %d and %d half-edges, want %d", len(m.V), len(m.Twin), len(m.Mark), 6*n-6)
	}
	p := planOf(m.X, m.Y)
	degree := make([]int, n+1)
	ghosts := 0
	for h := range int32(len(m.V)) {
		g := m.Twin[h]
		switch {
		case m.V[h] < 0 || m.V[h] > inf:
			return fmt.Errorf("half-edge %d starts at %d", h, m.V[h])
		case g < 0 || int(g) >= len(m.V) || g/3 == h/3 || m.Twin[g] != h:
			return fmt.Errorf("half-edge %d has twin %d", h, g)
		case m.V[g] != m.V[Next(h)]:
			return fmt.Errorf("half-edge %d ends at %d, its twin starts at %d", h, m.V[Next(h)], m.V[g])
		case m.Mark[h] != m.Mark[g]:
			return fmt.Errorf("half-edge %d is marked %d, its twin %d", h, m.Mark[h], m.Mark[g])
		}
		degree[m.V[h]]++
	}
	for v, d := range degree {
		if d == 0 {
			return fmt.Errorf("vertex %d is in no triangle", v)
		}
	}
	// Round each vertex one fan: a walk round it meets every half-edge from it.
	met := make([]int, n+1)
	for h := range int32(len(m.V)) {
		if v := m.V[h]; met[v] == 0 {
			for k := h; met[v] == 0 || k != h; k = m.Twin[Prev(k)] {
				met[v]++
			}
			if met[v] != degree[v] {
				return fmt.Errorf("around vertex %d a walk meets %d of %d triangles", v, met[v], degree[v])
			}
		}
	}
	for t := range int32(m.Len()) {
		a, b, c := m.V[3*t], m.V[3*t+1], m.V[3*t+2]
		if m.Ghost(t) {
			ghosts++
			for a != inf {
				a, b, c = b, c, a
			}
			// Hull edge c–b; the ghost across the edge from infinity to b is a, d, b.
			h := 3 * t
			for m.V[h] != inf {
				h = Next(h)
			}
			d := m.V[Prev(m.Twin[h])]
			if p.orient(c, b, d) < 0 {
				return fmt.Errorf("the hull turns outward at %d-%d-%d", c, b, d)
			}
			continue
		}
		if p.orient(a, b, c) <= 0 {
			return fmt.Errorf("triangle %d-%d-%d is not counter-clockwise", a, b, c)
		}
	}
	for t := range int32(m.Len()) {
		a, b, c := m.V[3*t], m.V[3*t+1], m.V[3*t+2]
		for h := 3 * t; h < 3*t+3 && !m.Ghost(t); h++ {
			d := m.V[Prev(m.Twin[h])]
			if m.Mark[h] == 0 && d != inf && h < m.Twin[h] && p.pulledInCircle(a, b, c, d) > 0 {
				return fmt.Errorf("edge %d-%d is not Delaunay: %d lies in the circle of %d-%d-%d",
					m.V[h], m.V[Next(h)], d, a, b, c)
			}
		}
	}
	if real := m.Len() - ghosts; real != int(2*n-2)-ghosts || degree[inf] != ghosts {
		return fmt.Errorf("%d triangles and %d on the hull for %d places", real, ghosts, n)
	}
	return nil
}

func mustTriangulate(t testing.TB, x, y []float64) *Mesh {
	t.Helper()
	m, err := Triangulate(x, y)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func mustVerify(t testing.TB, m *Mesh) {
	t.Helper()
	if err := verify(m); err != nil {
		t.Fatal(err)
	}
}

// triangles returns the triangles and the marks of their edges, sorted by coordinates, so
// that meshes of differently ordered rows can be compared.
func triangles(m *Mesh) []string {
	var out []string
	for t := range int32(m.Len()) {
		if m.Ghost(t) {
			continue
		}
		h := 3 * t
		for i := h; i < 3*t+3; i++ {
			if m.less(m.V[i], m.V[h]) {
				h = i
			}
		}
		var b strings.Builder
		for range 3 {
			fmt.Fprintf(&b, "(%g %g) %d ", m.X[m.V[h]], m.Y[m.V[h]], m.Mark[h])
			h = Next(h)
		}
		out = append(out, b.String())
	}
	slices.Sort(out)
	return out
}

// hasEdge reports whether a–b is a union of edges with all bits of mark.
func hasEdge(m *Mesh, a, b int32, mark uint8) error {
	p := planOf([]float64{m.X[a], m.X[b]}, []float64{m.Y[a], m.Y[b]})
	toward := p.compare(0, 1)
	for a != b {
		found := false
		for h := range int32(len(m.V)) {
			v := m.V[Next(h)]
			if m.V[h] != a || v == m.Inf() || m.Mark[h]&mark != mark {
				continue
			}
			p := planOf([]float64{m.X[a], m.X[v], m.X[b]}, []float64{m.Y[a], m.Y[v], m.Y[b]})
			if p.orient(0, 1, 2) == 0 && p.compare(0, 1) == toward && p.compare(1, 2) != -toward {
				a, found = v, true
				break
			}
		}
		if !found {
			return fmt.Errorf("the edge to %d is missing from %d on", b, a)
		}
	}
	return nil
}

// TestVerifyRejects gives the checks wrong meshes of each kind.
func TestVerifyRejects(t *testing.T) {
	square := func() *Mesh {
		return mustTriangulate(t, []float64{0, 4, 5, 0, 1, 3}, []float64{0, 0, 5, 4, 1.5, 2.5})
	}
	inner := func(m *Mesh) int32 {
		for h := range int32(len(m.V)) {
			if m.V[h] != m.Inf() && m.V[Next(h)] != m.Inf() && !m.Ghost(h/3) && !m.Ghost(m.Twin[h]/3) &&
				m.side(m.V[Prev(h)], m.V[h], m.V[Prev(m.Twin[h])]) > 0 && m.side(m.V[Prev(m.Twin[h])], m.V[Next(h)], m.V[Prev(h)]) > 0 {
				return h
			}
		}
		t.Fatal("no edge inside that can be flipped")
		return 0
	}
	for _, c := range []struct {
		name  string
		spoil func(m *Mesh)
		want  string
	}{
		{"a twin astray", func(m *Mesh) { m.Twin[0] = m.Twin[1] }, "has twin"},
		{"a corner astray", func(m *Mesh) { m.V[0] = (m.V[0] + 1) % 6 }, "its twin starts at"},
		{"a half-edge astray", func(m *Mesh) { m.V[0] = 77 }, "starts at 77"},
		{"one twin marked", func(m *Mesh) { m.Mark[0] = 1 }, "is marked"},
		{"an edge flipped", func(m *Mesh) { h := inner(m); flip(m.V, m.Twin, h, m.Twin[h]) }, "is not Delaunay"},
		{"a vertex moved out", func(m *Mesh) { m.X[4] = 50 }, "not counter-clockwise"},
		{"a half-edge short", func(m *Mesh) { m.Twin = m.Twin[1:] }, "half-edges"},
	} {
		m := square()
		mustVerify(t, m)
		c.spoil(m)
		if err := verify(m); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error with %q", c.name, err, c.want)
		}
	}
	m := mustTriangulate(t, []float64{0, 1, 1, 0}, []float64{0, 0, 1, 1})
	flip(m.V, m.Twin, diagonal(m), m.Twin[diagonal(m)])
	if err := verify(m); err == nil {
		t.Error("the other diagonal of a square passed")
	}
	if err := hasEdge(m, 0, 2, 0); err == nil {
		t.Error("an edge that is not there was found")
	}
}

func diagonal(m *Mesh) int32 {
	for h := range int32(len(m.V)) {
		if !m.Ghost(h/3) && !m.Ghost(m.Twin[h]/3) {
			return h
		}
	}
	panic(errors.New("two triangles share no edge"))
}

// flip turns the edge h, whose twin is g, within its quadrilateral.
func flip(v, tw []int32, h, g int32) {
	hn, gn := Next(h), Next(g)
	p, d := v[Prev(h)], v[Prev(g)]
	ti, tj := tw[gn], tw[hn]
	v[hn], v[gn] = d, p
	tw[h], tw[ti] = ti, h
	tw[g], tw[tj] = tj, g
	tw[hn], tw[gn] = gn, hn
}

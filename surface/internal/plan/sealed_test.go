package plan

import (
	"math/rand/v2"
	"testing"
)

// twins joins half-edges by their vertices.
func twins(v []int32) []int32 {
	by := map[[2]int32]int32{}
	end := func(h int) int32 {
		if h%3 == 2 {
			return v[h-2]
		}
		return v[h+1]
	}
	for h := range v {
		by[[2]int32{v[h], end(h)}] = int32(h)
	}
	out := make([]int32, len(v))
	for h := range v {
		out[h] = -1
		if g, ok := by[[2]int32{end(h), v[h]}]; ok {
			out[h] = g
		}
	}
	return out
}

// triangulated returns the triangles of some random places, each kept by chance.
func triangulated(rng *rand.Rand, at Vec, size int, chance float64) (v []int32, k []Vec) {
	var all Vertices
	for range 4 + rng.IntN(25) {
		all.Add(Vec{at.X + float64(rng.IntN(size)), at.Y + float64(rng.IntN(size))})
	}
	m, err := Triangulate(all.K)
	if err != nil {
		return nil, nil
	}
	for i := range int32(m.Len()) {
		if !m.Ghost(i) && rng.Float64() < chance {
			v = append(v, m.V[3*i:3*i+3]...)
		}
	}
	return v, all.K
}

// TestSealed puts two triangulations with gaps on one plan: one in a gap of the other, beside
// it, across it, or wholly on it. Never may Sealed hold for triangles that overlap, as
// Overlap, which knows nothing of edges, finds them; and it must hold for most that do not.
func TestSealed(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 32))
	var sealed, overlapping, open int
	for range 6000 {
		v, k := triangulated(rng, Vec{}, 12, []float64{1, 0.8, 0.3}[rng.IntN(3)])
		w, l := triangulated(rng, Vec{float64(rng.IntN(14)), float64(rng.IntN(14))}, 2+rng.IntN(9), 0.9)
		for _, c := range w {
			v = append(v, c+int32(len(k)))
		}
		k = append(k, l...)
		if len(v) == 0 {
			continue
		}
		_, _, overlap := Overlap(v, k)
		switch s := Sealed(v, twins(v), k); {
		case s && overlap:
			t.Fatalf("sealed, but triangles overlap: %v of %v", v, k)
		case s:
			sealed++
		case overlap:
			overlapping++
		default:
			open++
		}
	}
	t.Logf("%d sealed, %d overlap, %d neither", sealed, overlapping, open)
	if sealed < 1000 || overlapping < 1000 || open > sealed {
		t.Errorf("%d sealed, %d overlap, %d neither: want many of the first two", sealed, overlapping, open)
	}
}

// A floor on a floor has no outer edges that meet; only how often they wind tells.
func TestSealedOneInAnother(t *testing.T) {
	k := []Vec{{0, 0}, {30, 0}, {0, 30}, {5, 5}, {12, 5}, {5, 12}}
	for _, c := range []struct {
		v    []int32
		want bool
	}{
		{[]int32{0, 1, 2}, true},
		{[]int32{0, 1, 2, 3, 4, 5}, false},
		{[]int32{0, 1, 4, 0, 4, 3, 1, 2, 4, 2, 5, 4, 2, 0, 5, 0, 3, 5}, true},
		{[]int32{0, 1, 4, 0, 4, 3, 1, 2, 4, 2, 5, 4, 2, 0, 5, 0, 3, 5, 3, 4, 5}, true},
	} {
		if got := Sealed(c.v, twins(c.v), k); got != c.want {
			t.Errorf("%v: %v, want %v", c.v, got, c.want)
		}
	}
}

// Two squares that overlap in a corner, with corners of both where their sides cross: the
// sides meet at their ends only, and wind twice on a part of them alone.
func TestSealedCrossingAtCorners(t *testing.T) {
	k := []Vec{{1, 1}, {2, 4}, {0, 4}, {0, 0}, {4, 0}, {4, 2}, {4, 4}, {5, 5}, {2, 2}, {6, 2}, {6, 6}, {2, 6}}
	fans := []int32{0, 1, 2, 0, 2, 3, 0, 3, 4, 0, 4, 5, 0, 5, 6, 0, 6, 1, 7, 8, 5, 7, 5, 9, 7, 9, 10, 7, 10, 11, 7, 11, 1, 7, 1, 8}
	if Sealed(fans, twins(fans), k) {
		t.Error("sealed, but the squares overlap")
	}
	if one := fans[:18]; !Sealed(one, twins(one), k) {
		t.Error("one square alone is not sealed")
	}
}

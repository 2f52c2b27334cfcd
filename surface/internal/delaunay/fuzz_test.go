package delaunay

import (
	"errors"
	"testing"
)

// FuzzTriangulate reads places from pairs of bytes, in fifteenths of the floor so that ties
// are common, and edges to force from the bytes after a zero pair.
func FuzzTriangulate(f *testing.F) {
	f.Add([]byte{1, 1, 1, 9, 9, 1, 9, 9, 5, 5, 0, 0, 0, 3, 1, 2})
	f.Add([]byte{1, 1, 2, 1, 3, 1, 4, 1, 5, 1, 3, 2, 0, 0, 0, 4, 5, 1})
	f.Add([]byte{1, 1, 2, 2, 3, 3, 4, 4, 7, 7})
	f.Add([]byte{1, 1, 2, 2, 1, 1})
	f.Fuzz(func(t *testing.T, data []byte) {
		var x, y []float64
		for len(data) >= 2 && len(x) < 60 {
			a, b := data[0], data[1]
			data = data[2:]
			if a == 0 && b == 0 {
				break
			}
			x, y = append(x, float64(a%16)), append(y, float64(b%16))
		}
		m, err := Triangulate(x, y)
		if err != nil {
			seen := make(map[[2]float64]int32)
			var twice *DuplicateError
			for i := range x {
				c := [2]float64{x[i], y[i]}
				if first, ok := seen[c]; ok {
					twice = &DuplicateError{first, int32(i)}
					break
				}
				seen[c] = int32(i)
			}
			var got *DuplicateError
			if errors.As(err, &got) != (twice != nil) || twice != nil && *got != *twice {
				t.Fatalf("got %v, want %v", err, twice)
			}
			for i := range x {
				if twice == nil && i >= 2 && planOf(x, y).orient(0, 1, int32(i)) != 0 {
					t.Fatalf("%v, but place %d is not in the row of the first two", err, i)
				}
			}
			return
		}
		if err := verify(m); err != nil {
			t.Fatal(err)
		}
		if len(x) <= 12 {
			if err := sameTriangles(m, bruteForce(x, y)); err != nil {
				t.Fatal(err)
			}
		}
		i := 0
		taken := randomEdges(t, m, func() int { i++; return int(data[i-1]) }, len(data)/3)
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

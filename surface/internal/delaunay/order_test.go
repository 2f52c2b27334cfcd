package delaunay

import "testing"

// TestHilbertSteps checks what defines a Hilbert curve: each cell has a different number,
// and cells of consecutive numbers share a side.
func TestHilbertSteps(t *testing.T) {
	const side = 128 // a power of two: the curve fills this corner first
	at := make([][2]int, side*side)
	seen := make([]bool, side*side)
	for x := range side {
		for y := range side {
			d := hilbert(uint32(x), uint32(y))
			if d >= side*side || seen[d] {
				t.Fatalf("cell (%d, %d) has number %d, which is taken or too large", x, y, d)
			}
			seen[d], at[d] = true, [2]int{x, y}
		}
	}
	for d := 1; d < len(at); d++ {
		dx, dy := at[d][0]-at[d-1][0], at[d][1]-at[d-1][1]
		if dx*dx+dy*dy != 1 {
			t.Fatalf("step %d leads from %v to %v", d, at[d-1], at[d])
		}
	}
}

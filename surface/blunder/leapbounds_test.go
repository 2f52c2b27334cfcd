package blunder

import (
	"math"
	"testing"
)

// grid returns six rows of eight shots, walked to and fro 2 m apart, on a floor that waves by
// height m, in which all shots from one on are raised.
func grid(height float64, from int, by float64) []*shot {
	var out []*shot
	for n := range 48 {
		x, y := n%8, n/8
		if y%2 == 1 {
			x = 7 - x
		}
		s := &shot{x: 2 * float64(x), y: 2 * float64(y), z: height * float64((x*7+y*5)%3), reading: n}
		if n >= from {
			s.z += by
		}
		out = append(out, s)
	}
	return out
}

// TestLeapBounds: 15 mm and more are reported, from the row. Within the first or the last
// are before or after it nothing is. Shots that differ by up to 4 mm among themselves hide
func TestLeapBounds(t *testing.T) {
	for _, c := range []struct {
		from int
		by   float64
		seen bool
	}{
		{28, 0.016, true}, {28, -0.016, true}, {28, 0.014, false},
		{10, 0.1, true}, {38, 0.1, true}, {4, 0.1, false}, {44, 0.1, false},
		{24, 0.1, false}, // at the end of a row walked: a step of the floor explains it
	} {
		k, by := leapAt(grid(0.0001, c.from, c.by))
		if seen := k == c.from && math.Abs(by-c.by) < 0.001; seen != c.seen || !c.seen && k != 0 {
			t.Errorf("from %d by %g m: found %d, %g; want found: %v", c.from, c.by, k, by, c.seen)
		}
	}
}

// TestLeapScale: the shift must be 2.5 times what near shots differ by, here 0, 20 or 40 mm
// with the plane removed. A raise of 122 mm is then found as 98 mm, and one of 116 mm is not.
func TestLeapScale(t *testing.T) {
	for by, seen := range map[float64]bool{0.122: true, 0.116: false} {
		if k, _ := leapAt(grid(0.02, 28, by)); (k == 28) != seen {
			t.Errorf("%g m: found %d, want found: %v", by, k, seen)
		}
	}
}

package survey

import (
	"strings"
	"testing"
)

// A cell may hold megabytes. A message quotes 60 characters of it, and each part of a
// message has 480 characters max.
func TestLongPartsOfMessages(t *testing.T) {
	for n, want := range map[int]int{480: 480, 481: 481} { // the second ends in an ellipsis
		if got := []rune(Excerpt(strings.Repeat("x", n))); len(got) != want || (got[len(got)-1] == '…') != (n > 480) {
			t.Errorf("a part of %d characters has %d, ending in %q", n, len(got), got[len(got)-1])
		}
	}
	for n, shortened := range map[int]bool{58: false, 60: false, 61: true} {
		if got := Excerpt(`"` + strings.Repeat("x", n) + `"`); strings.Contains(got, "…") != shortened || strings.Count(got, "x") != min(n, 60) {
			t.Errorf("%d characters in quotes are written %q", n, got)
		}
	}
}

// The search for lost decimal points covers surveys of 6 to 20,000 shots and lists five.
func TestLostPointsAreFewAmongMany(t *testing.T) {
	lost := func(count int, x ...float64) int {
		s := &Survey{}
		for i := range count - len(x) {
			s.Points = append(s.Points, Point{X: float64(i % 4), Y: float64(i/4%4) + 1e-3*float64(i/16)})
		}
		for _, x := range x {
			s.Points = append(s.Points, Point{X: x, Y: 1})
		}
		return len(s.LostPoints())
	}
	for count, want := range map[int]int{5: 0, 6: 1, 20_000: 1, 20_001: 0} {
		if n := lost(count, 25); n != want {
			t.Errorf("%d shots: %d warnings, want %d", count, n, want)
		}
	}
	if n := lost(30, 20, 200, 2000, 2e4, 2e5, 2e6); n != 5 {
		t.Errorf("six lost points: %d warnings, want 5", n)
	}
}

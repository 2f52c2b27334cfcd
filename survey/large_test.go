package survey

import "testing"

// Pages asked for late are empty, and take what is written.
func TestInLargePages(t *testing.T) {
	for _, n := range []int{0, 1, 1 << 19} {
		a := make([]float64, 0, n)
		InLargePages(a)
		a = a[:n]
		for i, v := range a {
			if v != 0 {
				t.Fatalf("%d of %d: %g before it is written", i, n, v)
			}
			a[i] = float64(i)
		}
		for i, v := range a {
			if v != float64(i) {
				t.Fatalf("%d of %d: %g", i, n, v)
			}
		}
	}
}

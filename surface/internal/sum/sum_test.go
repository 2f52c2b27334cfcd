package sum

import (
	"math"
	"testing"
)

func TestSumKeepsSmallTerms(t *testing.T) {
	// Peters' example in Neumaier 1974: plain and Kahan sums give 0.
	var a Sum
	for _, x := range []float64{1, 1e100, 1, -1e100} {
		a.Add(x)
	}
	if a.Value() != 2 {
		t.Errorf("sum = %g, want 2", a.Value())
	}
}

func TestMergeEqualsOneSum(t *testing.T) {
	var whole, left, right Sum
	for i := range 10000 {
		x := math.Sin(float64(i)) * math.Pow(10, float64(i%17))
		whole.Add(x)
		if i < 5000 {
			left.Add(x)
		} else {
			right.Add(x)
		}
	}
	left.Merge(right)
	if d := math.Abs(left.Value() - whole.Value()); d > 1e-10*math.Abs(whole.Value()) {
		t.Errorf("merged sum differs by %g from %g", d, whole.Value())
	}
}

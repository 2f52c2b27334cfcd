package blunder

import "testing"

// The measuring books are not those that anything was tuned on.
const firstMeasured = 9_000_001

func TestRates(t *testing.T) {
	r := scenarios[0].measure(t, false, firstMeasured, 10)
	if r.named < 9 || r.false > 0 {
		t.Errorf("a foot out: %+v", r)
	}
}

package report

import (
	"testing"

	"pourplane/surface/settlement"
)

// A change of rate is shown with the strongest usual level.
func TestTrendHasItsLevel(t *testing.T) {
	for p, want := range map[float64]string{0.09: "slower (90 %)", 0.009: "slower (99 %)", 0.00006: "slower (99.9 %)"} {
		if got := trendText(settlement.Slower, p); got != want {
			t.Errorf("%g: %q, want %q", p, got, want)
		}
	}
}

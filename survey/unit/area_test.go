package unit

import (
	"math"
	"testing"
)

// A foot is 0.3048 m, exactly: 1 ft² is 0.09290304 m².
func TestParseArea(t *testing.T) {
	for text, want := range map[string]float64{"0.5ft2": 0.04645152, "1/2 ft²": 0.04645152, "0.05m2": 0.05, " 2 M² ": 2, "0": 0, "0m2": 0} {
		if got, err := ParseArea(text); err != nil || math.Abs(got-want) > 1e-12 {
			t.Errorf("%q: %g, %v, want %g m²", text, got, err, want)
		}
	}
	for _, text := range []string{"", "0.1", "1m", "1ft", "1m3", "-1m2", "small", "nan", "1e400m2"} {
		if got, err := ParseArea(text); err == nil {
			t.Errorf("%q is taken as %g m²", text, got)
		}
	}
}

package job

import "testing"

// Limits are round in metres; in feet and inches they have three digits that count, and no power of ten.
func TestLimitText(t *testing.T) {
	t.Parallel()
	for m, want := range map[float64]string{0.02: "20 mm (0.787 in)", 0.3: "300 mm (11.8 in)", 2: "2 m (6.56 ft)", 100: "100 m (328 ft)", 2000: "2000 m (6560 ft)", 10_000: "10000 m (32800 ft)"} {
		if got := limitText(m); got != want {
			t.Errorf("%v m is %q, want %q", m, got, want)
		}
	}
}

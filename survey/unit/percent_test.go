package unit

import "testing"

func TestPercentOfAllOnlyIfAll(t *testing.T) {
	for share, want := range map[float64]string{
		1: "100.0 %", 1 - 1e-12: "100.0 %", 0.99953: "more than 99.9 %", 0.9994: "99.9 %",
		0: "0.0 %", 0.0004: "less than 0.1 %", 0.0006: "0.1 %", 0.5: "50.0 %",
	} {
		if got := Percent(share); got != want {
			t.Errorf("%v is %q, want %q", share, got, want)
		}
	}
}

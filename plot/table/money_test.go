package table

import "testing"

// Money has two decimals whatever its column, and its thousands apart.
func TestMoneyIsGrouped(t *testing.T) {
	for v, want := range map[float64]string{0: "0.00", 96: "96.00", 1729: "1,729.00", -1234567.884: "-1,234,567.88", 999.995: "1,000.00"} {
		if got := (Column{Decimals: 3, Grouped: true}).Show(Number(v)); got != want {
			t.Errorf("%g is shown as %q, want %q", v, got, want)
		}
	}
}

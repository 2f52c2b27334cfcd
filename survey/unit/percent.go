package unit

import "fmt"

// Percent writes a share, 0 to 1, to a tenth of a percent. It is 100.0 % only if it is all, and 0.0 %
// only if it is nothing.
func Percent(share float64) string {
	const all = 1e-9 // by rounding
	switch {
	case share > 1-0.0005 && share < 1-all:
		return "more than 99.9 %"
	case share < 0.0005 && share > all:
		return "less than 0.1 %"
	}
	return fmt.Sprintf("%.1f %%", 100*share)
}

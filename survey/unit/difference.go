package unit

import (
	"math"
	"strconv"
	"strings"
)

// Difference writes a small difference, m, with its direction: `1/16" low`.
func Difference(style Style, d float64, up, down string) string {
	if math.Abs(d) < 1e-5 {
		return "no difference"
	}
	style.Denominator = 32
	word := up
	if d < 0 {
		word = down
	}
	size := style.Depth(math.Abs(d))
	if !style.Imperial {
		size = strconv.FormatFloat(math.Round(math.Abs(d)*1e4)/10, 'f', -1, 64) + " mm"
	}
	if strings.HasPrefix(size, "0") && style.Imperial {
		size = `less than 1/32"`
	}
	return strings.TrimSpace(size + " " + word)
}

package unit

import (
	"math"
	"strconv"
	"strings"
)

// Off is a small difference, m, with the words for its direction.
type Off struct {
	Metres   float64
	Up, Down string
}

func (v Off) In(s Style) string { return Difference(s, v.Metres, v.Up, v.Down) }

func (v Off) String() string { return v.In(Style{}) }

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

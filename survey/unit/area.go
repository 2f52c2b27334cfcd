package unit

import (
	"math"
	"strconv"
	"strings"
)

// ParseArea reads an area with its unit, such as "0.5 ft2" or "0.05m²", into m². Zero needs
// no unit.
func ParseArea(text string) (float64, error) {
	foot := Foot.Metres()
	per := map[string]float64{"m2": 1, "m²": 1, "ft2": foot * foot, "ft²": foot * foot}
	if v, rest, ok := volumeNumber(strings.TrimSpace(text)); ok && v >= 0 && !math.IsInf(v, 1) {
		rest = strings.ToLower(strings.TrimSpace(rest))
		if size, known := per[rest]; known || v == 0 && rest == "" {
			return v * size, nil
		}
	}
	return 0, Wanted{strconv.Quote(text), "an area of 0 or more with its unit, such as 0.5ft2 or 0.05m2"}
}

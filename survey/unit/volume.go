package unit

import (
	"fmt"
	"strings"
)

// ParseVolume reads a volume with its unit, such as "0.25 yd3", "0.1m3", "5 ft³"
// or "50 L", into m³.
func ParseVolume(text string) (float64, error) {
	t := strings.TrimSpace(text)
	d, rest, ok := scanDecimal(t)
	if ok {
		for word, per := range map[string]float64{
			"m3": 1, "m³": 1, "l": 0.001,
			"yd3": 0.764554857984, "yd³": 0.764554857984, "cy": 0.764554857984,
			"ft3": 0.028316846592, "ft³": 0.028316846592,
		} {
			if strings.EqualFold(strings.TrimSpace(rest), word) {
				return d.in(Metre) * per, nil
			}
		}
	}
	return 0, fmt.Errorf("found %q, want a volume with its unit, such as 0.25yd3 or 0.1m3", text)
}

package unit

import (
	"regexp"
	"strconv"
	"strings"
)

// volumes gives each unit of volume in m³.
var volumes = map[string]float64{
	"m3": 1, "m³": 1, "l": 0.001,
	"yd3": 0.764554857984, "yd³": 0.764554857984, "cy": 0.764554857984,
	"ft3": 0.028316846592, "ft³": 0.028316846592,
}

// parts matches an optional whole number, a fraction below 1, and the rest.
var parts = regexp.MustCompile(`^(?:([0-9]{1,6})[ -]+)?([0-9]{1,3})/([0-9]{1,3})(.*)$`)

// ParseVolume reads a volume with its unit, such as "0.25 yd3", "1/2 yd3", "0.1m3",
// "5 ft³" or "50 L", into m³.
func ParseVolume(text string) (float64, error) {
	t := strings.TrimSpace(text)
	if v, rest, ok := volumeNumber(t); ok {
		if per, known := volumes[strings.ToLower(strings.TrimSpace(rest))]; known {
			return v * per, nil
		}
	}
	found, want := VolumeWanted(text, "0.25yd3 or 0.1m3")
	return 0, Wanted{found, want}
}

// volumeNumber reads the number at the head of t: a decimal, or a fraction below 1 with or
// without a whole number.
func volumeNumber(t string) (v float64, rest string, ok bool) {
	if p := parts.FindStringSubmatch(t); p != nil {
		whole, _ := strconv.ParseFloat(p[1], 64) // 0 if there is no whole number
		above, errA := strconv.ParseFloat(p[2], 64)
		below, errB := strconv.ParseFloat(p[3], 64)
		return whole + above/below, p[4], errA == nil && errB == nil && above < below
	}
	d, rest, ok := scanDecimal(t)
	return d.in(Metre), rest, ok
}

// VolumeWanted returns found and want for a text that is no volume. For a length, such
// as 0.5yd, it names the volume that may be meant.
func VolumeWanted(text, usual string) (found, want string) {
	found, want = strconv.Quote(text), "a volume with its unit, such as "+usual
	t := strings.TrimSpace(text)
	if _, rest, ok := volumeNumber(t); ok {
		switch strings.ToLower(strings.TrimSpace(rest)) {
		case "yd", "ft", "m":
			return found + ", a length", "a volume such as " + strings.ReplaceAll(t, " ", "") + "3"
		}
	}
	return found, want
}

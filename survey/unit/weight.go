package unit

import (
	"fmt"
	"strconv"
	"strings"
)

// Wanted is the error for a text that is not what is wanted.
type Wanted struct {
	Found string // as it is shown; empty: the text as it was given
	Want  string
}

func (w Wanted) Error() string {
	if w.Found == "" {
		return "want " + w.Want
	}
	return "found " + w.Found + ", want " + w.Want
}

// ParseUnitWeight reads a unit weight such as "2400 kg/m3" or "150lb/ft3" into kg/m³. A
// bare number above 250 is kg/m³, since no concrete is that many lb/ft³ (the heaviest,
// with iron ore as aggregate, are about 240 lb/ft³; common practice, no source). A bare
// number up to 250 is refused: it may be either, and the two differ by a factor of 16.
func ParseUnitWeight(text string) (float64, error) {
	d, rest, ok := scanDecimal(strings.TrimSpace(text))
	if ok {
		v := d.in(Metre)
		switch word := strings.ToLower(strings.TrimSpace(rest)); word {
		case "kg/m3", "kg/m³":
			return v, nil
		case "lb/ft3", "lb/ft³", "pcf":
			return v * poundKg / (0.3048 * 0.3048 * 0.3048), nil
		case "":
			const poundsMost = 250
			if v > poundsMost {
				return v, nil
			}
			return 0, Wanted{strconv.Quote(text), fmt.Sprintf("it with its unit, %slb/ft3 or %skg/m3", strings.TrimSpace(text), strings.TrimSpace(text))}
		}
	}
	return 0, Wanted{strconv.Quote(text), "a unit weight such as 2400kg/m3 or 150lb/ft3"}
}

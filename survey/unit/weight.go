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
// bare number is kg/m³ where it cannot be a unit weight in lb/ft³: above 250 (the heaviest
// concretes in use are about 240 lb/ft³, with iron ore as aggregate; common practice, no
// source). Up to that it may be either, 16 times apart, and is refused.
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

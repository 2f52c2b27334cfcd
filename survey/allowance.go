package survey

import (
	"math"
)

// Rule is the quantity that an allowance grows with.
type Rule uint8

const (
	PerSetup     Rule = iota // times the number of set-ups
	PerRootSetup             // times the square root of that number
	PerRootKm                // times the square root of the length of the line in km
	Whole                    // for any line
)

// Allowance is the largest misclosure that a book may have. The zero value is 2 mm per
// set-up, or 1/16 in per set-up where the book is in feet: common practice for rooms, no
// source.
type Allowance struct {
	Each float64 // m
	Per  Rule
}

// Published allowances. Third order: 12 mm times the root of the length in km,
// 0.05 ft times the root of miles (from memory, FGCC). Construction: 24 mm (from
// memory, common practice). Third order by set-ups: 5 mm times the root of their
// number (from memory).
var (
	ThirdOrder       = Allowance{0.012, PerRootKm}
	Construction     = Allowance{0.024, PerRootKm}
	ThirdOrderSetups = Allowance{0.005, PerRootSetup}
)

// Of returns the largest misclosure, in m, of a line of n set-ups with sights of total
// length m. It is NaN if the rule needs a length and none is booked.
func (a Allowance) Of(n int, length float64, imperial bool) float64 {
	if a.Each == 0 {
		a = Allowance{0.002, PerSetup}
		if imperial {
			a.Each = 0.0254 / 16
		}
	}
	switch a.Per {
	case PerSetup:
		return a.Each * float64(n)
	case PerRootSetup:
		return a.Each * math.Sqrt(float64(n))
	case PerRootKm:
		return a.Each * math.Sqrt(length/1000)
	}
	return a.Each
}

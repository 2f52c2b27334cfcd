package order

import (
	"fmt"
	"math"

	"pourplane/survey"
	"pourplane/survey/unit"
)

const (
	hair  = 1e-9  // of a step, or m of depth: the max that rounding may add to a whole number or to a limit
	slack = 1e-6  // share by which sums of bands may differ from the whole
	litre = 0.001 // m³
	inch  = 0.0254
	foot  = 12 * inch
	foot3 = foot * foot * foot // m³
	pound = 0.45359237         // kg, exactly (Federal Register 24 FR 5348, 1959)
)

// quantity is a number as entered, with its bounds.
type quantity struct {
	name        string // a part, or words
	value       float64
	least, most float64
	want        string
}

// amount is a quantity of 0 or more, positive one above 0, share one from 0 to 1.
func amount(name string, v float64, what string) quantity {
	return quantity{name, v, 0, math.MaxFloat64, what + ", 0 or more"}
}

func positive(name string, v float64, what string) quantity {
	return quantity{name, v, math.SmallestNonzeroFloat64, math.MaxFloat64, what + ", more than 0"}
}

func share(name string, v float64) quantity {
	return quantity{name, v, 0, 1, "a share between 0 and 1"}
}

// check refuses the first quantity out of bounds and names it. NaN and infinity are always
// out of bounds.
func check(all ...quantity) error {
	for _, q := range all {
		if !(q.value >= q.least && q.value <= q.most) {
			return refuse(q.name, fmt.Sprintf("%g", q.value), q.want)
		}
	}
	return nil
}

// within refuses a length in m outside two others, in the reader's unit.
func within(name string, v, least, most float64, want unit.Either) error {
	err := check(quantity{name, v, least, most, want.Metric})
	if err == nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return err
	}
	return (&survey.Error{Part: name, Element: named(name)}).Measured(unit.Textf("%s", unit.Either{Metric: fmt.Sprintf("%g m", v), US: fmt.Sprintf("%.4g in", v/inch)}), unit.Textf("%s", want), unit.Text{})
}

// refuse refuses a part, or a thing by its name in words.
func refuse(name, found, want string) error {
	return &survey.Error{Part: name, Element: named(name), Found: found, Want: want}
}

// ofThe puts the name of a material before what a refusal is about.
func ofThe(material string, err error) error {
	return survey.Each(err, func(e *survey.Error) error {
		e.Of, e.Element = material, material+", "+e.Element
		return e
	})
}

// warning qualifies what is ordered.
func warning(format string, args ...any) survey.Note {
	return survey.Notef(survey.Warning, survey.Pos{}, format, args...).About(survey.AboutOrder)
}

// wholes returns how many whole units a number of units takes. It rounds up, but a number
// that is whole except for the last bits stays.
func wholes(units float64) float64 {
	return math.Max(0, math.Ceil(units-hair)) // 0, not −0
}

// stepsTo returns how many steps reach a depth, both m and above 0: at least one. A depth
// that exceeds whole steps by rounding of its decimals alone takes no step more.
func stepsTo(depth, step float64) float64 { return max(1, wholes((depth-hair)/step)) }

package setout

import (
	"fmt"
	"math"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

const (
	inch = 0.0254 // m
	foot = 0.3048 // m
)

// refuse refuses a part, or a thing by its name in words.
func refuse(element, found, want string) error {
	return &survey.Error{Part: element, Element: named(element), Found: found, Want: want}
}

// measured refuses what was found in quantities.
func measured(element string, found, want unit.Text) error {
	return (&survey.Error{Part: element, Element: named(element)}).Measured(found, want, unit.Text{})
}

// followed refuses what was found together with what follows from it.
func followed(element string, found, want unit.Text) error {
	return (&survey.Error{Part: element, Element: named(element), Follows: true}).Measured(found, want, unit.Text{})
}

func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// measure is a number that the user entered, with its bounds.
type measure struct {
	name        string // a part, or words
	value       float64
	least, most float64 // both allowed
	want        string
	us          string // the text in feet and inches, for a length; its bounds are whole figures within the metric ones
}

// length is a measure above 0 and up to a kilometre.
func length(name string, m float64) measure {
	return measure{name, m, 1e-6, 1000, "a length above 0, max 1000 m", "a length above 0, max 3280 ft"}
}

// depth is a length that may be 0.
func depth(name string, m float64) measure {
	return measure{name, m, 0, 1000, "a length from 0 to 1000 m", "a length from 0 to 3280 ft"}
}

// check refuses the first measure out of bounds, NaN included.
func check(all ...measure) error {
	for _, m := range all {
		if !(m.value >= m.least && m.value <= m.most) {
			if m.us == "" || !finite(m.value) {
				return refuse(m.name, fmt.Sprintf("%g", m.value), m.want)
			}
			return measured(m.name, unit.Textf("%s", unit.Either{Metric: fmt.Sprintf("%g m", m.value), US: fmt.Sprintf("%.4g in", m.value/inch)}), unit.Textf("%s", unit.Either{Metric: m.want, US: m.us}))
		}
	}
	return nil
}

func checkTarget(target surface.Target) error {
	p, ok := target.(surface.Plane)
	if !ok {
		return nil // of triangles, whose elevations have been checked
	}
	for _, v := range [...]float64{p.At.X, p.At.Y, p.Z, p.SlopeX, p.SlopeY} {
		if !finite(v) {
			return refuse("target", fmt.Sprintf("%g", v), "a plane in numbers")
		}
	}
	return nil
}

// usual returns the default for a crew: a whole figure in its unit.
func usual(us bool, metric, imperial float64) float64 {
	if us {
		return imperial
	}
	return metric
}

// hull notes that the walls of f are estimated.
func hull(f *surface.Floor) []survey.Note {
	if !f.Hull {
		return nil
	}
	return []survey.Note{survey.Notef(survey.Assumed, survey.Pos{}, "no outline: the outermost shots are used as the walls")}
}

// letters returns A, B, …, Z, AA, AB, … for 0, 1, ….
func letters(n int) string {
	if n < 26 {
		return string(rune('A' + n))
	}
	return letters(n/26-1) + string(rune('A'+n%26))
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// some lists the first few names.
func some(names []string) string {
	const most = 12
	if len(names) > most {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
	}
	return strings.Join(names, ", ")
}

// and lists names as "a, b and c".
func and(names []string) string {
	last := len(names) - 1
	if last < 1 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// atLeast is a spacing that is allowed, rounded up to a whole 10 mm or half an inch.
type atLeast float64

func (v atLeast) In(s unit.Style) string {
	step := usual(s.Imperial, 0.01, inch/2)
	return "min " + s.Length(unit.Up(float64(v), step))
}

func (v atLeast) String() string { return v.In(unit.Style{}) }

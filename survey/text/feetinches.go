package text

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

var (
	// sureFeet is feet and inches beyond doubt, by a foot mark or by a fraction of an
	// inch: 20'-0", 4 ft 5, 4-4 7/8.
	sureFeet = regexp.MustCompile(`(?i)^[-+]?\d+\s*(?:['’‘′` + "`" + `´]([^'’‘′` + "`" + `´]|$)|f(?:ee)?t\b|foot\b)|^[-+]?\d+-\d{1,2}[- ]?(?:\d+[/⁄]\d+|[¼½¾⅛⅜⅝⅞])`)
	// dashed is two figures with a hyphen: feet and inches in a column of such.
	dashed = regexp.MustCompile(`^[-+]?\d+-(?:\d|1[01])(?:\.\d+)?"?$`)
	whole  = regexp.MustCompile(`^[-+]?\d+$`)
)

// byCells says what a column of feet and inches takes bare numbers for, where its
// cells and no header made it one.
type byCells struct {
	bare   unit.Length // of a bare number: from header or options; None: whole feet
	lo, hi float64     // m, of the cells that are feet and inches
	strays int         // whole numbers that are no height among those as feet
	found  bool        // by the cells
	read   []string    // bare numbers and hyphened figures that were read so
	more   int         // of them, past the first few
	at     survey.Pos  // of the first
}

// feetAndInches finds columns in which most cells are feet and inches, so that 4-5
// and 20 among 4-4 7/8 and 20'-0" are feet and inches too. 4-5 alone is where the unit
// is the foot. A bare 0 counts for nothing. rows yields the cells.
func (f *dialect) feetAndInches(rows [][]string, columns []*column) {
	var left []*column
	some := false
	for _, c := range columns {
		if c.stated && !c.unit.Imperial() || c.stated && c.unit == unit.Inch {
			continue
		}
		sure, hyphened, n := 0, 0, 0
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, cells := range rows {
			if c.index >= len(cells) || missing(cells[c.index]) || isBareZero(cells[c.index]) {
				continue
			}
			n++
			t := strings.TrimSpace(signs.Replace(cells[c.index]))
			v, err := unit.ParseFeetInches(t, 0)
			switch {
			case err != nil: // 1'000, say
				continue
			case sureFeet.MatchString(t):
				sure++
			case dashed.MatchString(t):
				hyphened++
			default:
				continue
			}
			lo, hi = min(lo, v), max(hi, v)
		}
		c.cells.lo, c.cells.hi = lo, hi
		if c.role != isX && c.role != isY {
			c.cells.strays = c.straysAsFeet(rows)
		}
		switch {
		case c.feetInches:
			some = true
		case sure > 0 && 2*(sure+hyphened) > n:
			some = true
			f.isFeetInches(c)
		case n > 0 && hyphened == n:
			left = append(left, c)
		}
	}
	for _, c := range left {
		if some || c.stated || f.o.Unit == unit.Foot || f.o.Unit == unit.SurveyFoot {
			f.isFeetInches(c)
		}
	}
}

// isBareZero reports whether a cell is 0 without a unit, which is 0 in any.
func isBareZero(text string) bool {
	t := strings.TrimSpace(text)
	return strings.Contains(t, "0") && strings.Trim(t, "0.+-") == "" && plainNumber(t) && !dashed.MatchString(t)
}

func (f *dialect) isFeetInches(c *column) {
	c.cells.found, c.cells.bare = true, f.o.Unit
	if c.stated {
		c.cells.bare = c.unit
	}
	c.feetInches = true
	if c.unit = c.cells.bare; c.unit != unit.SurveyFoot {
		c.unit = unit.Foot
	}
}

// feetInches reads a cell of a column of feet and inches. A bare number is in the
// unit of the header or of the options; without either a whole number is feet where
// that comes within a foot of the other cells, and 0 is 0.
func (c *column) readFeetInches(t string) (float64, error) {
	v, err := unit.ParseFeetInches(t, c.last)
	if err == nil || !errors.Is(err, unit.ErrNoUnit) || !plainNumber(t) {
		return v, err
	}
	if isBareZero(t) {
		return 0, nil
	}
	if c.cells.bare != unit.None {
		return unit.Parse(t, c.cells.bare)
	}
	feet, errFeet := unit.Parse(t, unit.Foot)
	if errFeet != nil || !whole.MatchString(t) {
		return 0, err
	}
	const few = 1 // a stray is a suspect reading; more of them hide one another
	near := unit.Foot.Metres()
	if c.cells.strays > few && c.isStray(feet) {
		near = -1
	}
	if feet >= c.cells.lo-near && feet <= c.cells.hi+near {
		return feet, nil
	}
	return 0, fmt.Errorf("feet-inches such as 4-5 3/8, or a number with ' or \"; %s feet are far from the other cells: %w", t, unit.ErrNoUnit)
}

// isStray reports whether a height is farther from those in feet and inches than they are
// from one another.
func (c *column) isStray(feet float64) bool {
	near := max(c.cells.hi-c.cells.lo, unit.Inch.Metres())
	return feet < c.cells.lo-near || feet > c.cells.hi+near
}

// straysAsFeet counts the bare whole numbers that would be strays as feet.
func (c *column) straysAsFeet(rows [][]string) int {
	n := 0
	for _, cells := range rows {
		if c.index >= len(cells) || !whole.MatchString(strings.TrimSpace(signs.Replace(cells[c.index]))) {
			continue
		}
		if v, err := unit.Parse(strings.TrimSpace(signs.Replace(cells[c.index])), unit.Foot); err == nil && v != 0 && c.isStray(v) {
			n++
		}
	}
	return n
}

// askMarks is the hint for a bare number that may be feet or inches: far from the other
// cells as feet it may lie among them as inches, so that neither is taken.
func askMarks(c *column, t string) unit.Text {
	hint := unit.Textf(`write %s' where it is feet, %s" where it is inches`, t, t)
	if c.cells.found {
		hint = unit.Textf("%s; or %s (or in) for all bare numbers of the file", hint, unit.Ask("units", "ft"))
	}
	return hint
}

// takenAsFeet remembers a cell that only its column makes feet and inches.
func (f *cursor) takenAsFeet(c *column, text string) {
	t := strings.TrimSpace(text)
	if !plainNumber(t) || !c.cells.found && !whole.MatchString(t) || isBareZero(t) {
		return
	}
	const few = 8
	if c.cells.at.Line == 0 {
		c.cells.at = f.at(f.line)
	}
	if len(c.cells.read) == few {
		c.cells.more++
		return
	}
	c.cells.read = append(c.cells.read, fmt.Sprintf("%s on line %d", t, f.line))
}

// tellFeet lists those cells.
func (f *dialect) tellFeet(columns []*column) {
	for _, c := range columns {
		if len(c.cells.read) == 0 {
			continue
		}
		list := strings.Join(c.cells.read, ", ")
		if c.cells.more > 0 {
			list += fmt.Sprintf(" and %d more", c.cells.more)
		}
		bare := "a whole number is feet"
		if c.cells.bare != unit.None {
			bare = "a bare number is in " + c.cells.bare.String()
		}
		f.note(survey.Assumed, c.cells.at, "%s is in feet and inches; read so too, %s: %s", c, bare, list)
	}
}

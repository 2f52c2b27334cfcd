package text

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

var (
	// sureFeet matches text that is certainly feet and inches, by a foot mark or by a
	// fraction of an inch: 20'-0", 4 ft 5, 4-4 7/8.
	sureFeet = regexp.MustCompile(`(?i)^[-+]?\d+\s*(?:['’‘′` + "`" + `´]([^'’‘′` + "`" + `´]|$)|f(?:ee)?t\b|foot\b)|^[-+]?\d+-\d{1,2}[- ]?(?:\d+[/⁄]\d+|[¼½¾⅛⅜⅝⅞])`)
	// dashed matches two numbers with a hyphen. They are feet and inches in a column of
	// such.
	dashed = regexp.MustCompile(`^[-+]?\d+-(?:\d|1[01])(?:\.\d+)?"?$`)
	whole  = regexp.MustCompile(`^[-+]?\d+$`)
)

// byCells is how a column of feet and inches reads bare numbers, where its cells and not
// its header made it one.
type byCells struct {
	bare   unit.Length // unit of a bare number, from header or options; None: whole feet
	lo, hi float64     // m, range of the cells that are feet and inches
	strays int         // whole numbers that as feet are far from that range
	found  bool        // the cells, not the header, show feet and inches
	read   []string    // the first bare numbers and hyphened figures read as feet and inches
	more   int         // number of the others
	at     survey.Pos  // of the first of them
}

// feetAndInches finds columns in which most cells are feet and inches. There 4-5 and 20
// among 4-4 7/8 and 20'-0" are feet and inches too. A column in which every cell is like
// 4-5 is one if its unit is the foot or another column is one. A bare 0 is not counted.
// rows holds the cells of each row.
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
			case err != nil: // for example 1'000
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
			f.setFeetInches(c)
		case n > 0 && hyphened == n:
			left = append(left, c)
		}
	}
	for _, c := range left {
		if some || c.stated || f.o.Unit == unit.Foot || f.o.Unit == unit.SurveyFoot {
			f.setFeetInches(c)
		}
	}
}

// isBareZero reports whether a cell is 0 without a unit: 0 is the same in every unit.
func isBareZero(text string) bool {
	t := strings.TrimSpace(text)
	return strings.Contains(t, "0") && strings.Trim(t, "0.+-") == "" && plainNumber(t) && !dashed.MatchString(t)
}

// setFeetInches makes c a column of feet and inches, because of its cells.
func (f *dialect) setFeetInches(c *column) {
	c.cells.found, c.cells.bare = true, f.o.Unit
	if c.stated {
		c.cells.bare = c.unit
	}
	c.feetInches = true
	if c.unit = c.cells.bare; c.unit != unit.SurveyFoot {
		c.unit = unit.Foot
	}
}

// readFeetInches parses a cell of a column of feet and inches and returns metres. A bare
// number has the unit of the header or of the options. Without either, a whole number is
// feet if that is within a foot of the other cells. A bare 0 is 0.
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
	const few = 1 // one stray is a suspect reading; several hide one another
	near := unit.Foot.Metres()
	if c.cells.strays > few && c.isStray(feet) {
		near = -1
	}
	if feet >= c.cells.lo-near && feet <= c.cells.hi+near {
		return feet, nil
	}
	return 0, unit.NoUnit(fmt.Sprintf("feet-inches such as 4-5 3/8, or a number with ' or \"; %s feet are far from the other cells", t))
}

// isStray reports whether a height of feet, in m, is farther from the range of the
// feet-inches cells than that range is wide. The width counts as at least 1 inch.
func (c *column) isStray(feet float64) bool {
	near := max(c.cells.hi-c.cells.lo, unit.Inch.Metres())
	return feet < c.cells.lo-near || feet > c.cells.hi+near
}

// straysAsFeet counts the bare whole numbers that are strays if they are feet.
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

// askMarks is the hint for a bare number that can be feet or inches: as feet it is far
// from the other cells, as inches it may be near them.
func askMarks(c *column, t string) unit.Text {
	hint := unit.Textf(`write %s' where it is feet, %s" where it is inches`, t, t)
	if c.cells.found {
		hint = unit.Textf("%s; or %s (or in) for all bare numbers of the file", hint, unit.Ask("units", "ft"))
	}
	return hint
}

// takenAsFeet remembers a cell that is feet and inches only because its column is.
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

// noteFeet notes the cells that takenAsFeet remembers.
func (f *dialect) noteFeet(columns []*column) {
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

// third is the question about feet-inches-fractions whose last figure does not say what it
// counts.
type third struct {
	asked *survey.Error // the first cell; nil: none
	found string        // it alone
	more  int           // number of the others
	above int           // the greatest last figure
}

// footHead matches the unit in the head of a column of feet and inches.
var footHead = regexp.MustCompile(`(?i)[\s_]*[([{]?\s*\b_?(?:ft|feet|foot)\b.*$|[\s_]*[([{].*$|_ft.*$`)

// askThird asks once a column what the last figures count. One above 7 shows that they are
// not eighths.
func (c *column) askThird(e *survey.Error, text string) (first bool) {
	t := &c.third
	if first = t.asked == nil; first {
		t.asked, t.found = e, e.Found
	} else {
		t.more++
		t.asked.Found = fmt.Sprintf("%s and %s like it", t.found, survey.Plural(t.more, "cell"))
	}
	plain := signs.Replace(text)
	if n, err := strconv.Atoi(strings.TrimSpace(plain[strings.LastIndex(plain, "-")+1:])); err == nil {
		t.above = max(t.above, n)
	}
	head := cmp.Or(strings.TrimSpace(footHead.ReplaceAllString(c.head, "")), "rod")
	switch {
	case t.above > 15:
		t.asked.Hint = fmt.Sprintf("the last figures go up to %d, so they count neither: write fractions, such as 4-5 3/8", t.above)
	case t.above > 7:
		t.asked.Hint = fmt.Sprintf("the last figures go up to %d, so they are no eighths. If they are sixteenths, make the head of the column %s (ft-in-16ths)", t.above, head)
	default:
		t.asked.Hint = fmt.Sprintf("if they are sixteenths, make the head of the column %s (ft-in-16ths); if eighths, %s (ft-in-8ths)", head, head)
	}
	return first
}

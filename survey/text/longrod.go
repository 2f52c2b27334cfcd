package text

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// farthestDown is the maximum reading of a tape that hangs down to the floor, m. Own choice:
// beyond [longestRod], with room for readings down from a roof.
const farthestDown = 30

// tapeWords head readings that need no rod: of a tape or a laser meter, down to the floor.
var tapeWords = set("dip|dips|below string|below string line|tape down")

// longRods counts the rod readings, and those that no rod has.
type longRods struct {
	all, long int
	column    *column
	found     string // the first, as written
	at        survey.Pos
	element   string
	least     float64 // of the long ones, m
	most      float64
}

// headAlone returns the head of c without its unit in brackets.
func (c *column) headAlone() string {
	return strings.TrimSpace(inBrackets.ReplaceAllString(c.head, ""))
}

// byTape reports whether the readings of c are those of a tape.
func (c *column) byTape() bool {
	return tapeWords[headForm(c.headAlone())]
}

// longest returns the largest reading that c can have, m.
func (c *column) longest() float64 {
	if c.byTape() {
		return farthestDown
	}
	return longestRod
}

// see takes a reading, m, of column c and reports whether it is the first that no rod has.
// A number for no data is no reading.
func (l *longRods) see(c *column, v float64) bool {
	v = math.Abs(v) // upside down on a benchmark overhead
	if isMarker(v, c.unit) {
		return false
	}
	l.all++
	if v <= c.longest() {
		return false
	}
	l.long++
	if l.long > 1 {
		l.least, l.most = min(l.least, v), max(l.most, v)
		return false
	}
	l.column, l.least, l.most = c, v, v
	return true
}

// rodLength is [cursor.length] of a rod reading.
func (f *cursor) rodLength(c *column, cell *cell) (float64, bool) {
	v, ok := f.length(c, cell)
	if ok && f.rodsSeen.see(c, v) {
		f.rodsSeen.found, f.rodsSeen.at, f.rodsSeen.element = cell.text, f.cellPos(c), c.String()
	}
	return v, ok
}

// refuse refuses rod readings that no rod has. If most are so long, their unit is wrong, or
// no rod was used; tape tells whether that is offered. It returns nil if there are none.
func (l *longRods) refuse(tape bool) *survey.Error {
	if l.long == 0 {
		return nil
	}
	c := l.column
	u, limit := unit.Metre, fmt.Sprintf("%g m", c.longest())
	if c.unit.Imperial() {
		u, limit = unit.Foot, fmt.Sprintf("%g ft", math.Floor(c.longest()/unit.Foot.Metres()*10)/10)
	}
	found := fmt.Sprintf("%s (%.4g to %.4g %s)", strconv.Quote(strings.TrimSpace(l.found)), l.least/u.Metres(), l.most/u.Metres(), u)
	if l.least == l.most {
		found = fmt.Sprintf("%s (%.4g %s)", strconv.Quote(strings.TrimSpace(l.found)), l.most/u.Metres(), u)
	}
	if l.long > 1 {
		found += fmt.Sprintf(", the first of %d such readings in %d", l.long, l.all)
	}
	e := &survey.Error{Pos: l.at, Element: l.element, Found: found, Want: "rod readings of " + limit + " or less: no rod is longer"}
	if c.byTape() {
		e.Want = "readings of " + limit + " or less"
	}
	head := c.headAlone()
	switch {
	case 2*l.long <= l.all:
		e.Hint = "correct the reading, or put # before its row"
		return e
	case c.stated:
		e.Hint = "the unit in the head of that column is wrong"
	case head == "":
		e.Hint = "if they have a unit of their own, write a header with it, such as rod (mm)"
	default:
		e.Hint = fmt.Sprintf("if they have a unit of their own, write it into the head of that column: %s (mm), %s (cm) or %s (in)", head, head, head)
	}
	if tape && !c.byTape() && l.most <= farthestDown {
		e.Hint += "; if a tape or laser meter measured down to the floor, head the column dip"
	}
	return e
}

// negativeRod refuses a rod reading below zero on the floor: a rod has none. A benchmark
// overhead may have one, read with the rod upside down.
func (f *cursor) negativeRod(at survey.Pos, element, text string) {
	f.fail(&survey.Error{Pos: at, Element: element, Found: strconv.Quote(strings.TrimSpace(text)), Want: "a rod reading of 0 or more on the floor",
		Hint: "take the minus away if it is a slip; if the column is heights above or below the laser, head it elevation"})
}

package text

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
)

// farthestDown is the maximum rod reading of a floor, m. Own choice: beyond [longestRod],
// with room for readings down from a roof.
const farthestDown = 30

// refuseLongRods refuses rod readings if their median is above farthestDown: their unit
// is not the unit of x and y.
func (f *shots) refuseLongRods() error {
	if f.x == nil {
		return nil // a book of levels alone
	}
	var all []float64
	for _, v := range f.rods {
		if !math.IsNaN(v) {
			all = append(all, math.Abs(v))
		}
	}
	if len(all) == 0 {
		return nil
	}
	slices.Sort(all)
	middle := all[len(all)/2]
	c := f.of[isRod]
	if middle <= farthestDown || c == nil {
		return nil
	}
	head := strings.TrimSpace(inBrackets.ReplaceAllString(c.head, ""))
	e := &survey.Error{Pos: f.pos, Element: c.String(), Found: fmt.Sprintf("readings such as %.6g %s", middle/c.unit.Metres(), c.unit), Want: fmt.Sprintf("rod readings of %d m or less", farthestDown),
		Hint: "the unit in the head of that column is wrong"}
	if !c.stated {
		e.Hint = fmt.Sprintf("if they have a unit of their own, write it into the head of that column: %s (mm), %s (cm) or %s (in)", head, head, head)
	}
	return e
}

// negativeRod refuses a rod reading below zero on the floor: a rod has none. A benchmark
// overhead may have one, read with the rod upside down.
func (f *cursor) negativeRod(at survey.Pos, element, text string) {
	f.fail(&survey.Error{Pos: at, Element: element, Found: strconv.Quote(strings.TrimSpace(text)), Want: "a rod reading of 0 or more on the floor",
		Hint: "take the minus away if it is a slip; if the column is heights above or below the laser, head it elevation"})
}

package text

import (
	"slices"
	"strconv"
	"strings"
)

// shotColumn decides whether a column headed "shot" holds names of points or readings. It
// holds names if its cells count up. It also holds names if another column has heights,
// no other has names, and no cell has decimals, feet and inches or a unit. Otherwise it
// holds readings.
func (f *dialect) shotColumn(columns []*column) {
	at := slices.IndexFunc(columns, func(c *column) bool {
		return c.role == isRod && !c.stated && headForm(inBrackets.ReplaceAllString(c.head, " ")) == "shot"
	})
	if at < 0 {
		return
	}
	named, heights := false, false
	for i, c := range columns {
		switch c.role {
		case isName:
			named = true
		case isZ, isRod, isBS, isIS, isFS, isDiff, isLow, isHigh, isEllipsoid:
			heights = heights || i != at
		}
	}
	if counts, fine := f.countsIn(columns[at]); counts || heights && !named && !fine {
		columns[at].role = isName
	}
}

// countsIn reports in counts whether the cells of a column count up: whole numbers, none
// twice, most of them one more than the one before. It reports in fine whether a cell has
// decimals, a fraction or a unit, which no number of a point has.
func (f *dialect) countsIn(c *column) (counts, fine bool) {
	seen, steps := map[int]bool{}, 0
	last, whole := 0, true
	for _, l := range f.form.content {
		cells := split(l.text, f.form.sep)
		if c.index >= len(cells) || missing(cells[c.index]) {
			continue
		}
		cell := strings.TrimSpace(cells[c.index])
		n, err := strconv.Atoi(cell)
		if err != nil || seen[n] {
			whole = false
			fine = fine || err != nil && looksNumeric(cell)
			continue
		}
		if len(seen) > 0 && n == last+1 {
			steps++
		}
		last, seen[n] = n, true
	}
	return whole && len(seen) > 1 && 2*steps > len(seen)-1, fine
}

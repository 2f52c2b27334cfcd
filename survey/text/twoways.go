package text

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Readings whose text has two meanings.

var (
	wholeCell  = regexp.MustCompile(`^[+-]?\d+$`)
	fineNumber = regexp.MustCompile(`^[+-]?\d\.\d{2,}$`)
)

// cutDecimals refuses a comma file in which a decimal comma may have cut a height: the
// height is whole, and the next cell holds the digits of a fraction and nothing else. A
// height with a decimal point is not cut. In a last column of text one such row is
// enough. Another column may hold numbers of its own, such as codes: there the heights
// must be whole, and the digits must vary as readings do.
func (f *table) cutDecimals() error {
	if f.form.sep != ',' || f.cells != nil || f.up == nil {
		return nil
	}
	free, lengths := f.freeText(), f.lengths()
	for i := 1; i < len(f.layout.columns); i++ {
		c, next := f.layout.columns[i-1], f.layout.columns[i]
		if !f.isHeight(c) || slices.Contains(lengths, next) || next.role == isDesign {
			continue
		}
		cuts, whole := f.cuts(c)
		if len(cuts) == 0 || i != free && (whole < minCut || float64(len(cuts)) < shareCut*float64(whole) || !varies(cuts)) {
			continue
		}
		value, rest := cuts[0].value, cuts[0].rest
		return &survey.Error{Pos: f.at(cuts[0].line), Element: c.String(), Found: fmt.Sprintf("%q and %q behind it", value, rest),
			Want: fmt.Sprintf("to know whether it is %s.%s: a decimal comma would be the same sign as the separator", value, rest),
			Hint: fmt.Sprintf("save the file with semicolons between fields or with decimal points; where %s is a remark, write %s.0 before it", rest, value)}
	}
	return nil
}

// In a column that may hold numbers of its own, cuts are refused from minCut whole
// heights on, if shareCut of them have the digits of a fraction after them. Own choice: a
// height of 2.000 may be written 2.
const (
	minCut   = 3
	shareCut = 0.8
)

// cutHeight is a whole height and the digits in the next cell.
type cutHeight struct {
	line        int
	value, rest string
}

// endInSeparators reports whether most rows have empty cells past the last column. A
// single row with such cells may have slid.
func (f *table) endInSeparators() bool {
	n := 0
	for _, l := range f.form.content {
		if cells := split(l.text, f.form.sep); len(cells) > len(f.layout.columns) && strings.TrimSpace(cells[len(cells)-1]) == "" {
			n++
		}
	}
	return 2*n > len(f.form.content)
}

// cuts returns the heights of a column that a decimal comma may have cut. whole is the
// number of its heights, 0 if one of them has decimals.
func (f *table) cuts(c *column) (out []cutHeight, whole int) {
	fewest, most := fractionDigits(c.unit)
	if most == 0 {
		return nil, 0
	}
	decimals, ended := false, f.endInSeparators()
	for _, l := range f.form.content {
		cells := split(l.text, f.form.sep)
		for n := len(f.layout.columns); ended && len(cells) > n && strings.TrimSpace(cells[len(cells)-1]) == ""; {
			cells = cells[:len(cells)-1]
		}
		if len(cells) <= c.index || len(cells) > len(f.layout.columns) || missing(cells[c.index]) { // a longer row has slid
			continue
		}
		value := signs.Replace(cells[c.index])
		if !wholeCell.MatchString(value) {
			decimals = true
			continue
		}
		whole++
		if len(cells) == c.index+1 {
			continue
		}
		rest := cells[c.index+1]
		if n := len(rest); n >= fewest && n <= most && strings.Trim(rest, "0123456789") == "" {
			out = append(out, cutHeight{l.n, value, rest})
		}
	}
	if decimals {
		whole = 0
	}
	return out, whole
}

// varies reports whether the digits after whole heights vary as readings do: they change
// from row to row more often than not, or some begin with 0, and they do not count up.
func varies(cuts []cutHeight) bool {
	changes, counts, zeros := 0, 0, 0
	for i, c := range cuts {
		if c.rest[0] == '0' && strings.Trim(c.rest, "0") != "" {
			zeros++
		}
		if i == 0 {
			continue
		}
		if c.rest != cuts[i-1].rest {
			changes++
		}
		if parsed(c.rest) == parsed(cuts[i-1].rest)+1 {
			counts++
		}
	}
	n := len(cuts) - 1
	return counts < n && (zeros > 0 || 2*changes > n)
}

// fractionDigits returns how many digits, min and max, crews write after the decimal sign
// in a unit. Both are 0 for units that are read whole or with fractions. Common practice,
// no source.
func fractionDigits(u unit.Length) (fewest, most int) {
	switch u {
	case unit.Millimetre, unit.Inch:
		return 0, 0
	case unit.Centimetre:
		return 1, 2
	}
	return 2, 4
}

// isHeight reports whether a column holds readings of heights.
func (f *table) isHeight(c *column) bool {
	switch c.role {
	case isZ, isRod, isGrade, isHI, isBS, isIS, isFS, isRise, isFall, isDiff, isLow, isHigh:
		return f.of[c.role] == c
	}
	return false
}

// aboutZero reports whether n readings, below of them negative and none larger than most, are up and down
// about zero, and by more than a floor is uneven in metres. A rod has no negative numbers: those are
// deviations in mm. One of a hundred may be a slip, a quarter is not. Own choice, no source.
func aboutZero(below, n int, most float64) bool {
	const uneven = 0.5 // m
	return 4*below >= n && 4*below <= 3*n && most >= uneven
}

// metresInMillimetres refuses a column of readings or elevations in mm or cm whose
// numbers can only be metres: all are less than 10, with two or more decimals.
func (f *table) metresInMillimetres() error {
	for _, c := range f.lengths() {
		switch c.role {
		case isZ, isRod, isGrade, isHI, isBS, isIS, isFS:
		default:
			continue
		}
		if c.unit != unit.Millimetre && c.unit != unit.Centimetre {
			continue
		}
		n, first, at := 0, "", survey.Pos{}
		below, most := 0, 0.0
		for _, l := range f.form.content {
			cells := split(l.text, f.form.sep)
			if c.index >= len(cells) || !plainNumber(cells[c.index]) || missing(cells[c.index]) {
				continue
			}
			t, err := f.num.ascii(cells[c.index])
			if err != nil || !fineNumber.MatchString(t) || math.Abs(parsed(t)) == 0 {
				n = 0
				break
			}
			if n++; n == 1 {
				first, at = cells[c.index], f.at(l.n)
			}
			v := parsed(t)
			if most = max(most, math.Abs(v)); v < 0 {
				below++
			}
		}
		if n == 0 || c.role == isRod && aboutZero(below, n, most) {
			continue
		}
		name := inBrackets.ReplaceAllString(cmp.Or(c.head, string(c.role)), "")
		return &survey.Error{Pos: at, Element: c.String(), Found: fmt.Sprintf("%q, and all others less than 10 with decimals", first), Want: fmt.Sprintf("readings in %s, such as %g; these look like metres", c.unit, math.Round(parsed(strings.Replace(first, ",", ".", 1))/c.unit.Metres())),
			Hint: fmt.Sprintf("where they are metres head the column %q; where they are %s write them with one decimal", strings.TrimSpace(name)+" (m)", c.unit)}
	}
	return nil
}

// parsed returns the value of a plain number, 0 for other text.
func parsed(t string) float64 {
	v, _ := strconv.ParseFloat(t, 64)
	return v
}

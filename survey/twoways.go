package survey

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"pourplane/survey/unit"
)

// Readings that can be read two ways by how they are written.

var (
	wholeCell  = regexp.MustCompile(`^[+-]?\d+$`)
	fineNumber = regexp.MustCompile(`^[+-]?\d\.\d{2,}$`)
)

// cutDecimals refuses a comma file in which a decimal comma may have cut a height: it is
// whole, and the text behind it holds the figures of a fraction and no more. Heights with
// a decimal point cannot be cut.
func (f *textReader) cutDecimals() error {
	i := f.freeText()
	if f.form.sep != ',' || f.o.cells != nil || i < 1 || f.up == nil {
		return nil
	}
	c := f.layout.columns[i-1]
	fewest, most := fractionDigits(c.unit)
	if !f.isHeight(c) || most == 0 {
		return nil
	}
	for _, l := range f.form.content {
		cells := split(l.text, f.form.sep)
		if len(cells) <= i || len(cells) > len(f.layout.columns) { // a longer row has slid
			continue
		}
		value, rest := signs.Replace(cells[i-1]), cells[i]
		if n := len(rest); n < fewest || n > most || strings.Trim(rest, "0123456789") != "" || !wholeCell.MatchString(value) {
			continue
		}
		return &Error{Pos: f.at(l.n), Element: c.String(), Found: fmt.Sprintf("%q and %q behind it", value, rest),
			Want: fmt.Sprintf("to know whether it is %s.%s: a decimal comma would be the same sign as the separator", value, rest),
			Hint: fmt.Sprintf("save the file with semicolons between fields or with decimal points; where %s is a remark, write %s.0 before it", rest, value)}
	}
	return nil
}

// fractionDigits is how many figures crews write behind the decimal sign in a unit; 0 for
// units that are read whole or with fractions. Common practice, no source.
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
func (f *textReader) isHeight(c *column) bool {
	switch c.role {
	case isZ, isRod, isGrade, isHI, isBS, isIS, isFS, isRise, isFall, isDiff, isLow, isHigh:
		return f.of[c.role] == c
	}
	return false
}

// metresInMillimetres refuses a column of readings or elevations in mm or cm whose
// figures can be metres only: all are less than 10, with two decimals or more.
func (f *textReader) metresInMillimetres() error {
	for _, c := range f.lengths() {
		switch c.role {
		case isZ, isRod, isGrade, isHI, isBS, isIS, isFS:
		default:
			continue
		}
		if c.unit != unit.Millimetre && c.unit != unit.Centimetre {
			continue
		}
		n, first, at := 0, "", Pos{}
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
		}
		if n == 0 {
			continue
		}
		name := inBrackets.ReplaceAllString(cmpOr(c.head, string(c.role)), "")
		return &Error{Pos: at, Element: c.String(), Found: fmt.Sprintf("%q, and all others less than 10 with decimals", first), Want: fmt.Sprintf("readings in %s, such as %g; these look like metres", c.unit, math.Round(parsed(strings.Replace(first, ",", ".", 1))/c.unit.Metres())),
			Hint: fmt.Sprintf("where they are metres head the column %q; where they are %s write them with one decimal", strings.TrimSpace(name)+" (m)", c.unit)}
	}
	return nil
}

// parsed is a plain number, 0 where it is none.
func parsed(t string) float64 {
	v, _ := strconv.ParseFloat(t, 64)
	return v
}

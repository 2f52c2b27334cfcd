package text

import (
	"errors"
	"regexp"
	"strings"
	"unicode"

	"pourplane/survey/unit"
)

// cell is one field of a row: its text as written, and whether the row reached it.
// Numbers are parsed later, when the unit of the column and the decimal sign of the file
// are known.
type cell struct {
	text string
	seen bool
}

// UnmarshalCSV stores the field as written. It never fails.
func (c *cell) UnmarshalCSV(s string) error {
	c.text, c.seen = s, true
	return nil
}

// surplus holds the fields past the last column of the header, each after a
// unitSeparator.
type surplus string

// UnmarshalCSV appends one field, trimmed. It never fails.
func (s *surplus) UnmarshalCSV(field string) error {
	*s += surplus(string(unitSeparator) + strings.TrimSpace(field))
	return nil
}

// blank reports whether all fields are blank.
func (s surplus) blank() bool { return strings.Trim(string(s), string(unitSeparator)) == "" }

// fields returns the number of fields.
func (s surplus) fields() int { return strings.Count(string(s), string(unitSeparator)) }

// first returns the first field that is not blank, empty if all are.
func (s surplus) first() string {
	t, _, _ := strings.Cut(strings.TrimLeft(string(s), string(unitSeparator)), string(unitSeparator))
	return t
}

// after returns text with the fields of s appended, separated by sep as in the file.
func (s surplus) after(text string, sep rune) string {
	glue := string(sep)
	if sep == ',' || sep == ';' {
		glue += " "
	}
	return text + strings.ReplaceAll(strings.TrimRight(string(s), string(unitSeparator)), string(unitSeparator), glue)
}

// scanRow is a row of a plain list of points, the form of most large files. The decoder
// allocates every row, so a small row is faster.
type scanRow struct {
	Name cell `csv:"name"`
	X    cell `csv:"x"`
	Y    cell `csv:"y"`
	Z    cell `csv:"z"`
	Code cell `csv:"code"`
	Free cell `csv:"free"`

	Remark cell    `csv:"remark"`
	Extra  surplus `csv:"extra"`
}

// scanRoles are the roles that a scanRow has fields for.
var scanRoles = map[role]bool{isName: true, isX: true, isY: true, isZ: true, isCode: true, isRemark: true, isIgnored: true, isDesign: true, "": true}

// row is one data row. The tags are the roles of columns.
type row struct {
	Name   cell    `csv:"name"`
	X      cell    `csv:"x"`
	Y      cell    `csv:"y"`
	Z      cell    `csv:"z"`
	Code   cell    `csv:"code"`
	Remark cell    `csv:"remark"`
	Part   cell    `csv:"part"`
	Rod    cell    `csv:"rod"`
	Free   cell    `csv:"free"`
	Extra  surplus `csv:"extra"`

	Grade cell `csv:"grade"`
	HI    cell `csv:"hi"`
	BS    cell `csv:"bs"`
	IS    cell `csv:"is"`
	FS    cell `csv:"fs"`
	Rise  cell `csv:"rise"`
	Fall  cell `csv:"fall"`
	Diff  cell `csv:"diff"`
	Sign  cell `csv:"sign"`
	Low   cell `csv:"low"`
	High  cell `csv:"high"`
	Ring  cell `csv:"ring"`
	Seq   cell `csv:"seq"`
	Wall  cell `csv:"wall"`
	Setup cell `csv:"setup"`
	Sight cell `csv:"sight"`

	Run     cell `csv:"run"`
	X0      cell `csv:"x0"`
	Y0      cell `csv:"y0"`
	X1      cell `csv:"x1"`
	Y1      cell `csv:"y1"`
	Bearing cell `csv:"bearing"`
	Step    cell `csv:"step"`

	Dist     cell `csv:"dist"`
	BackDist cell `csv:"bsdist"`
	ForeDist cell `csv:"fsdist"`
}

// numbers is how a file writes numbers.
type numbers struct {
	comma     bool // decimal comma
	thousands bool // the other sign groups thousands: at least one cell proves it
}

var (
	commaGroups = regexp.MustCompile(`^[+-]?\d{1,3}(,\d{3})+(\.\d*)?$`)
	pointGroups = regexp.MustCompile(`^[+-]?\d{1,3}(\.\d{3})+(,\d*)?$`)
	blankGroups = regexp.MustCompile(`^[+-]?\d{1,3}([ '\x{2019}\x{00a0}\x{2009}\x{202f}]\d{3})+([.,]\d*)?(\D.*)?$`)
	dateLike    = regexp.MustCompile(`(?i)^\d{1,2}[-./ ](jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?([-./ ]\d{2,4})?$|^\d{4}-\d{2}-\d{2}|^(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*[-./ ]\d{1,4}$`)
	dateNumber  = regexp.MustCompile(`^[345]\d{4}$`)
	accountant  = regexp.MustCompile(`^\(\d+([.,]\d+)?\)$|^\d+([.,]\d+)?[-\x{2212}\x{2013}]$`)
	signs       = strings.NewReplacer("−", "-", "–", "-")
)

// length parses a cell of column c and returns metres.
func (n numbers) length(c *column, text string) (float64, error) {
	if !n.comma && !c.feetInches {
		// Nearly every cell of a large file is a plain decimal: try that first.
		if v, err := unit.Parse(text, c.unit); err == nil {
			if c.unit == unit.Inch && dateNumber.MatchString(text) {
				return 0, errDate
			}
			return v, nil
		}
	}
	if c.unit.Imperial() && feetOrThousands.MatchString(strings.TrimSpace(text)) {
		return 0, errGrouped
	}
	t, err := n.ascii(text)
	if err != nil {
		return 0, err
	}
	if c.feetInches {
		if dateNumber.MatchString(t) {
			return 0, errDate
		}
		return c.readFeetInches(t)
	}
	return unit.Parse(t, c.unit)
}

// feetOrThousands matches text that can be feet and inches or a number with grouped
// thousands, such as 1'006. Inches after feet are below 12, so 1'012 is a number.
var feetOrThousands = regexp.MustCompile(`^[+-]?\d{1,3}['\x{2018}\x{2019}]0(0\d|1[01])(\D|$)`)

var errGrouped = errors.New("feet and inches such as 1'-0, or a number without a sign between its thousands; this may be either")

var errDate = errors.New("a length; this looks like a date that a spreadsheet made of a fraction, and the reading is lost: type it again")

// ascii returns a cell in the form that package unit parses: decimal point, no grouped
// thousands, sign in front.
func (n numbers) ascii(text string) (string, error) {
	t := strings.TrimFunc(text, unicode.IsSpace)
	if strings.HasPrefix(t, "=") {
		return "", errors.New("the value of this formula, not the formula")
	}
	if dateLike.MatchString(t) {
		return "", errDate
	}
	if len(t) > 1 && t[0] == '\'' && t[1] >= '0' && t[1] <= '9' {
		t = t[1:] // a spreadsheet's mark for text
	}
	if !strings.ContainsAny(t, "0123456789") {
		return t, nil // words: the error is not about the comma
	}
	if accountant.MatchString(t) {
		t = "-" + strings.Trim(t, "()-−–")
	}
	t = ungrouped(signs.Replace(t))
	if n.comma {
		switch number := strings.TrimRight(t, " mcfti'\""); {
		case !strings.Contains(t, ","):
			if pointGroups.MatchString(number) && n.thousands {
				t = strings.ReplaceAll(t, ".", "")
			} else if strings.Contains(t, ".") {
				return "", errors.New("a number with a decimal comma, as elsewhere in this file")
			}
		case pointGroups.MatchString(number):
			t = strings.Replace(strings.ReplaceAll(t, ".", ""), ",", ".", 1)
		case strings.Contains(t, ".") || strings.Count(t, ",") > 1:
			return "", errors.New("a number with one decimal comma")
		default:
			t = strings.Replace(t, ",", ".", 1)
		}
		return t, nil
	}
	if strings.Contains(t, ",") {
		if number := strings.TrimRight(t, " mcfti'\""); !n.thousands || !commaGroups.MatchString(number) {
			return "", errors.New("a number with a decimal point, as elsewhere in this file")
		}
		t = strings.ReplaceAll(t, ",", "")
	}
	return t, nil
}

// ownUnit returns the unit that a length is written in: the foot for feet and inches,
// None for a bare number.
func ownUnit(text string) unit.Length {
	t := strings.TrimRightFunc(text, unicode.IsSpace)
	if strings.ContainsAny(t, "'’′`\"”″/") || strings.Contains(strings.ToLower(t), "ft ") {
		return unit.Foot
	}
	u, _ := unit.ParseLength(strings.TrimLeft(signs.Replace(t), "+-0123456789., \u00a0\u2009\u202f"))
	return u
}

// ungrouped returns a cell without outer blanks, and without the blanks and apostrophes
// that group its thousands.
func ungrouped(text string) string {
	t := strings.TrimSpace(text)
	if blankGroups.MatchString(t) {
		return ungroup(t)
	}
	return t
}

// ungroup removes blanks and apostrophes between groups of three digits.
func ungroup(t string) string {
	var b strings.Builder
	rs := []rune(t)
	digit := func(i int) bool { return i >= 0 && i < len(rs) && rs[i] >= '0' && rs[i] <= '9' }
	for i, r := range rs {
		if strings.ContainsRune(" '’\u00a0\u2009\u202f", r) && digit(i-1) && digit(i+1) && digit(i+2) && digit(i+3) && !digit(i+4) {
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

// missing reports whether a cell means no value: empty, a dash, n/a and the like.
func missing(text string) bool {
	t := strings.TrimFunc(text, unicode.IsSpace)
	if t == "" {
		return true
	}
	if c := t[0]; c >= '0' && c <= '9' || len(t) > 14 {
		return false
	}
	switch strings.ToLower(strings.TrimSuffix(t, ".")) {
	case "n/a", "na", "n.a", "#n/a", "#value!", "#ref!", "#div/0!", "#name?", "null", "nil", "none", "x", "?", "col", "under plant", "no access", "blocked", "missing":
		return true
	}
	return strings.Trim(t, "-–—−_.?") == ""
}

// looksNumeric reports whether a cell is a number, with or without a unit, in any form
// that is read. Its decimal sign may be either.
func looksNumeric(text string) bool {
	if text != "" && text[0] >= '0' && text[0] <= '9' && strings.Trim(text, "0123456789.") == "" {
		return true
	}
	t := strings.TrimFunc(text, unicode.IsSpace)
	t = strings.TrimLeft(signs.Replace(t), "+-('")
	if t == "" || !(t[0] >= '0' && t[0] <= '9' || t[0] == '.' && len(t) > 1) {
		return false
	}
	if dateLike.MatchString(t) || strings.Count(t, "-") > 2 || strings.ContainsAny(t, ":;|") {
		return false
	}
	// "000 0" is two numbers.
	if f := strings.Fields(t); len(f) > 1 && plainNumber(f[0]) && plainNumber(f[1]) && !blankGroups.MatchString(t) {
		return false
	}
	letters := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, t)
	switch letters {
	case "", "m", "mm", "cm", "ft", "in", "ftin", "e", "d", "feet", "foot", "inch", "inches":
		return true
	}
	return false
}

func plainNumber(t string) bool { return strings.Trim(t, "0123456789.,+-") == "" }

// decimalSigns counts the evidence for each decimal sign in the cells of a file.
type decimalSigns struct {
	comma, point           int    // certain
	groupComma, groupPoint int    // groups of thousands, certain
	maybeComma, maybePoint int    // 1,204 can be 1.204 or 1204
	example                string // the first ambiguous cell
}

// see counts one cell.
func (d *decimalSigns) see(text string) {
	t := strings.TrimLeft(strings.TrimFunc(signs.Replace(text), unicode.IsSpace), "+-('")
	if i := strings.IndexFunc(t, func(r rune) bool {
		return !(r >= '0' && r <= '9' || r == '.' || r == ',' || r == '\'' || r == '’' || unicode.IsSpace(r))
	}); i >= 0 {
		t = t[:i]
	}
	t = strings.TrimRight(t, "' ")
	commas, points := strings.Count(t, ","), strings.Count(t, ".")
	lone := func(sign string, sure, maybe *int) {
		before, after, _ := strings.Cut(t, sign)
		if len(after) != 3 || strings.TrimLeft(before, "0") == "" || len(before) > 3 {
			*sure++
			return
		}
		*maybe++
		if d.example == "" {
			d.example = text
		}
	}
	switch {
	case commas > 0 && points > 0 && strings.LastIndex(t, ",") > strings.LastIndex(t, "."):
		d.comma++
		d.groupPoint++
	case commas > 0 && points > 0:
		d.point++
		d.groupComma++
	case commas > 1:
		d.point++
		d.groupComma++
	case points > 1:
		d.comma++
		d.groupPoint++
	case commas == 1:
		lone(",", &d.comma, &d.maybeComma)
	case points == 1:
		lone(".", &d.point, &d.maybePoint)
	}
}

// decide returns how the file writes numbers, and false if its cells do not show it. sep
// is the separator of the file. In a comma file every cell with a comma is quoted, so a
// comma there can be decimal or group thousands.
func (d decimalSigns) decide(sep rune) (numbers, bool) {
	switch {
	case d.comma > d.point:
		return numbers{comma: true, thousands: d.groupPoint > 0}, true
	case d.point > 0:
		return numbers{thousands: d.groupComma > 0}, true
	case d.maybeComma > 0 && d.maybePoint > 0, d.maybeComma > 0 && sep == ',':
		return numbers{}, false
	}
	return numbers{comma: d.maybeComma > 0}, true
}

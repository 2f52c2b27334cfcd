package table

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"

	textwidth "golang.org/x/text/width"
)

const (
	gap      = 2     // spaces between columns
	tick     = "[ ]" // an empty box on a terminal
	leastCol = 8     // a column is not narrowed further to fit
)

// WriteText writes t for a terminal: the heads above a rule, columns aligned, numbers and
// columns with Right to the right, notes below. Width is the width of the terminal in
// characters; 0 or less is no limit. If the columns are too wide together, the widest texts
// are wrapped at their spaces. If that is not enough, each row is written as a list, one
// head and value per line. Nothing is cut off. Control characters become spaces, so that a
// text from a file cannot control the terminal.
func WriteText(w io.Writer, t Table, width int) error {
	if err := t.Check(); err != nil {
		return err
	}
	t = t.Headed()
	out := bufio.NewWriter(w)
	line := func(s string) { out.WriteString(strings.TrimRight(s, " ") + "\n") }

	if t.Title != "" {
		for _, s := range fold(printable(t.Title), width) {
			line(s)
		}
		line("")
	}
	heads, rows := t.shown()
	if wide, fits := columnWidths(heads, rows, width); fits {
		for _, s := range t.lay(heads, wide, gap, nil) {
			line(s)
		}
		rules := make([]string, len(wide))
		for j, n := range wide {
			rules[j] = strings.Repeat("-", n)
		}
		if len(rules) > 0 {
			line(strings.Join(rules, strings.Repeat(" ", gap)))
		}
		for i, row := range rows {
			for _, s := range t.lay(row, wide, gap, t.Rows[i]) {
				line(s)
			}
		}
	} else {
		for i, row := range rows {
			if i > 0 {
				line("")
			}
			for j, s := range row {
				if s != "" {
					for _, f := range fold(heads[j]+": "+s, width) {
						line(f)
					}
				}
			}
		}
	}
	if len(t.Notes) > 0 {
		line("")
	}
	for _, n := range t.Notes {
		for _, s := range fold(printable(n), width) {
			line(s)
		}
	}
	return out.Flush()
}

// Plain returns the lines of t between other lines of a terminal: the heads, unless none has
// a name, and the rows, with some space between columns. There is no rule, and nothing is
// wrapped. Title and notes are not among the lines.
func Plain(t Table, space int) []string {
	t = t.Headed()
	heads, rows := t.shown()
	cells := [][]Cell{nil}
	all := append([][]string{heads}, rows...)
	cells = append(cells, t.Rows...)
	if strings.Join(heads, "") == "" {
		all, cells = all[1:], cells[1:]
	}
	wide, _ := columnWidths(heads, rows, 0)
	var lines []string
	for i, row := range all {
		for _, s := range t.lay(row, wide, space, cells[i]) {
			lines = append(lines, strings.TrimRight(s, " "))
		}
	}
	return lines
}

// shown returns the heads and the rows as text, every row as long as the heads.
func (t Table) shown() (heads []string, rows [][]string) {
	for _, c := range t.Columns {
		heads = append(heads, printable(c.Name))
	}
	for _, row := range t.Rows {
		shown := make([]string, len(heads))
		for j, cell := range row {
			shown[j] = printable(t.Columns[j].Show(cell))
			if cell.Tick {
				shown[j] = strings.TrimSpace(tick + " " + shown[j])
			}
		}
		rows = append(rows, shown)
	}
	return heads, rows
}

// lay returns the lines of one row in columns of the given widths, with some space
// between them. Cells is nil for the heads.
func (t Table) lay(row []string, wide []int, space int, cells []Cell) []string {
	folded := make([][]string, len(row))
	tall := 0
	for j, s := range row {
		folded[j] = fold(s, wide[j])
		tall = max(tall, len(folded[j]))
	}
	lines := make([]string, tall)
	for k := range lines {
		var b strings.Builder
		for j, f := range folded {
			if j > 0 {
				b.WriteString(strings.Repeat(" ", space))
			}
			var s string
			if k < len(f) {
				s = f[k]
			}
			pad := strings.Repeat(" ", max(0, wide[j]-cellsWide(s)))
			if t.Columns[j].Right || j < len(cells) && cells[j].Number {
				b.WriteString(pad + s)
			} else {
				b.WriteString(s + pad)
			}
		}
		lines[k] = b.String()
	}
	return lines
}

// columnWidths returns the width of every column. The widest are narrowed, one after the
// other, until all fit into width, but none below its longest word or leastCol. Fits is
// false if they still do not fit.
func columnWidths(heads []string, rows [][]string, width int) (wide []int, fits bool) {
	least := make([]int, len(heads))
	wide = make([]int, len(heads))
	total := gap * max(0, len(heads)-1)
	measure := func(j int, s string) {
		wide[j] = max(wide[j], cellsWide(s))
		for word := range strings.FieldsSeq(s) {
			least[j] = max(least[j], cellsWide(word))
		}
	}
	for j, h := range heads {
		measure(j, h)
		for _, row := range rows {
			measure(j, row[j])
		}
		least[j] = max(least[j], min(leastCol, wide[j]))
		total += wide[j]
	}
	for width > 0 && total > width {
		widest := -1
		for j := range wide {
			if wide[j] > least[j] && (widest < 0 || wide[j] > wide[widest]) {
				widest = j
			}
		}
		if widest < 0 {
			return nil, false
		}
		wide[widest]--
		total--
	}
	return wide, true
}

// fold returns s in lines up to width characters, wrapped at spaces; a longer word has its
// own line. Width 0 or less is no limit.
func fold(s string, width int) []string {
	if width <= 0 || cellsWide(s) <= width {
		return []string{s}
	}
	var lines []string
	var now string
	for word := range strings.FieldsSeq(s) {
		switch {
		case now == "":
			now = word
		case cellsWide(now)+1+cellsWide(word) <= width:
			now += " " + word
		default:
			lines = append(lines, now)
			now = word
		}
	}
	return append(lines, now)
}

// Hang returns head followed by text in lines up to width characters, wrapped at spaces;
// lines after the first begin under the text. A word wider than a line is broken.
func Hang(head, text string, width int) []string {
	indent := strings.Repeat(" ", cellsWide(head))
	room := max(1, width-len(indent))
	var parts []string
	for _, line := range fold(text, room) {
		for cellsWide(line) > room {
			first := Cut(line, room+1) // one more, for the dots of the cut
			first = strings.TrimSuffix(first, "…")
			parts, line = append(parts, first), line[len(first):]
		}
		parts = append(parts, line)
	}
	for i := range parts {
		if i == 0 {
			parts[i] = head + parts[i]
		} else {
			parts[i] = indent + parts[i]
		}
	}
	return parts
}

// Cut returns s if it takes up to width characters, else as much of it as fits before three
// dots.
func Cut(s string, width int) string {
	if cellsWide(s) <= width {
		return s
	}
	wide := 0
	for i, r := range s {
		if wide += cellsWide(string(r)); wide > width-1 {
			return s[:i] + "…"
		}
	}
	return s
}

// printable returns s with a space for every control character.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029' {
			return ' '
		}
		return r
	}, s)
}

// cellsWide returns the width of s on a terminal: two for the wide characters of Unicode
// Standard Annex 11, zero for a mark on the letter before it, one for all others.
func cellsWide(s string) int {
	n := 0
	for _, r := range s {
		switch {
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case r >= 0x1100 && isWide(r):
			n += 2
		default:
			n++
		}
	}
	return n
}

func isWide(r rune) bool {
	k := textwidth.LookupRune(r).Kind()
	return k == textwidth.EastAsianWide || k == textwidth.EastAsianFullwidth
}

// WriteCSV writes the heads and the rows of t by RFC 4180: commas, CR LF, quotes doubled,
// the same number of fields in every line. Numbers have a point and all their digits, in the
// unit of the head, whatever t shows; a box to tick is an empty field. Title and notes are
// not records and are not written.
//
// A spreadsheet that opens the file would take a text such as "=1+1" as a formula. Such a
// text gets an apostrophe before it: one that begins with =, @, a tab or a carriage return,
// or with + or - followed by more than a number. So does a text that begins like that after
// apostrophes of its own, so that a reader who removes one apostrophe from all of these gets
// every text back. Signed numbers such as "-3 1/2" are unchanged.
func WriteCSV(w io.Writer, t Table) error {
	if err := t.Check(); err != nil {
		return err
	}
	if len(t.Columns) == 0 {
		return fmt.Errorf("table %q: found no column, want at least one", t.Title)
	}
	t = t.Figures()
	out := bufio.NewWriter(w)
	record := func(fields []string) {
		if len(fields) == 1 && fields[0] == "" {
			out.WriteString(`""`) // an empty line would be no record to many readers
		}
		for j, f := range fields {
			if j > 0 {
				out.WriteByte(',')
			}
			if strings.ContainsAny(f, "\",\r\n") || strings.TrimSpace(f) != f {
				f = `"` + strings.ReplaceAll(f, `"`, `""`) + `"`
			}
			out.WriteString(f)
		}
		out.WriteString("\r\n")
	}
	fields := make([]string, len(t.Columns))
	for j, c := range t.Columns {
		fields[j] = guarded(c.Name)
	}
	record(fields)
	for _, row := range t.Rows {
		clear(fields)
		for j, cell := range row {
			if cell.Number {
				fields[j] = strconv.FormatFloat(cell.Value+0, 'f', -1, 64) // -0 + 0 is 0
			} else {
				fields[j] = guarded(cell.Text)
			}
		}
		record(fields)
	}
	return out.Flush()
}

// guarded returns s with an apostrophe before it if a spreadsheet would take it as a
// formula, or if it would look guarded without being so.
func guarded(s string) string {
	if isFormula(strings.TrimLeft(s, "'")) {
		return "'" + s
	}
	return s
}

// isFormula reports whether a spreadsheet may take s as a formula. A sign before a number
// alone calls nothing.
func isFormula(s string) bool {
	if s == "" {
		return false
	}
	switch s[0] {
	case '=', '@', '\t', '\r':
		return true
	case '+', '-':
		figure := strings.ReplaceAll(s[1:], "'-", "'") // feet and inches: -5'-3 1/2"
		return strings.Trim(figure, "0123456789.,/ '\"′″") != ""
	}
	return false
}

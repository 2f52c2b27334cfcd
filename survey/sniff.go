package survey

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"pourplane/survey/unit"
)

// sampleLines is how many lines are looked at to learn how a file is written.
const sampleLines = 2000

type line struct {
	n    int
	text string
}

// form is how a file is written, as far as its lines show.
type form struct {
	sep      rune
	start    int // bytes of body before the first data line
	first    int // number of the first data line
	head     []string
	headLine int
	strange  bool     // the header has no words enough that are known
	units    []string // the unit row, nil without one
	content  []line   // sampled data lines
	comments []line
	preamble []line
	count    int // points promised by the first line; -1 without such
	fields   int // on most data lines
	grid     bool
	indented bool         // a grid sheet has an empty column on its left
	banners  map[int]bool // lines that begin a set-up: no rows
}

var sepLine = regexp.MustCompile(`^"?sep=(.)"?$`)

// commentMark returns what follows a comment mark at the start of a line.
func commentMark(t string) (string, bool) {
	for _, m := range []string{"#", "//", "!", "%", "*", ";"} {
		if rest, ok := strings.CutPrefix(t, m); ok {
			return rest, true
		}
	}
	if len(t) > 3 && strings.EqualFold(t[:4], "rem ") {
		return t[4:], true
	}
	return "", false
}

// isComment reports whether a line is a comment. A line that begins with a mark
// but holds as many fields and numbers as a point is a point whose name begins
// so, and a semicolon marks nothing where it separates fields.
func isComment(t string, sep rune, fields int) bool {
	rest, ok := commentMark(t)
	if !ok || sep == ';' && t[0] == ';' {
		return false
	}
	if strings.HasPrefix(t, "//") || t[0] == ';' {
		return true
	}
	cells := split(rest, sep)
	if len(cells) < 3 || len(cells) < fields-1 {
		return true
	}
	numeric := 0
	for _, c := range cells[1:] {
		if looksNumeric(c) {
			numeric++
		}
	}
	return numeric < 2
}

// isRule reports whether a line is drawn: dashes and separators only.
func isRule(t string) bool {
	return strings.Trim(t, "-=_+|,;: \t") == "" && strings.Count(t, "-")+strings.Count(t, "=")+strings.Count(t, "_") >= 3
}

// learn works out how body is written; cells: as a sheet is, with tabs.
func learn(name string, body []byte, cells bool) (*form, error) {
	f := &form{count: -1}
	if cells {
		f.sep = '\t'
	}
	var all []line
	lines(body, func(n int, t string) bool {
		// Tabs at the start of a line may stand for empty fields.
		if t = strings.Trim(t, " \f\v"); strings.TrimSpace(t) != "" && !isRule(t) {
			all = append(all, line{n, t})
		}
		return len(all) < sampleLines
	})
	if len(all) == 0 {
		return nil, &Error{Pos: Pos{File: name}, Found: "nothing", Want: "a list of points, one a line"}
	}
	if m := sepLine.FindStringSubmatch(all[0].text); m != nil && !cells {
		f.sep = []rune(m[1])[0]
		f.preamble = append(f.preamble, all[0])
		all = all[1:]
		if f.sep == ' ' {
			f.sep = blanks
		}
		if f.sep == '"' {
			f.sep = 0
		}
	}
	if f.sep == 0 {
		f.sep = separator(all)
	}
	f.fields = modal(all, f.sep)
	var rest []line
	for _, l := range all {
		if isComment(l.text, f.sep, f.fields) {
			f.comments = append(f.comments, l)
			continue
		}
		rest = append(rest, l)
	}
	if len(rest) == 0 {
		return nil, &Error{Pos: Pos{File: name}, Found: "comments only", Want: "a list of points, one a line"}
	}
	f.findHead(rest)
	if f.head == nil {
		if f.grid = f.looksGrid(rest); !f.grid {
			f.findStrangeHead(rest)
		}
	}
	f.start = offsetOf(body, f.first)
	return f, nil
}

// findHead looks for the header among the first lines of content.
func (f *form) findHead(rest []line) {
	const deep = 60
	for i, l := range rest[:min(deep, len(rest))] {
		cells := split(l.text, f.sep)
		if f.sep == blanks {
			if wide := regexp.MustCompile(`\s{2,}|\t`).Split(l.text, -1); len(wide) < len(cells) && len(wide) == f.fields {
				cells = wide
			}
		}
		if !headLike(cells) {
			if dataLike(cells, f.fields) && i > 0 && f.count < 0 && len(f.preamble) == 0 {
				break
			}
			continue
		}
		f.head, f.headLine, f.first = cells, l.n, l.n+1
		f.preamble = append(f.preamble, rest[:i]...)
		f.content = rest[i+1:]
		if len(f.content) > 0 {
			next := split(f.content[0].text, f.sep)
			if unitRow(next) {
				f.units, f.first = next, f.content[0].n+1
				f.content = f.content[1:]
			}
		}
		return
	}
	f.content, f.first = rest, rest[0].n
	if n, err := strconv.Atoi(rest[0].text); err == nil && n >= 0 && f.fields >= 3 && len(rest) > 1 {
		f.count = n
		f.content, f.first = rest[1:], rest[1].n
	}
	// Some scans keep their header inside a comment.
	for _, c := range f.comments {
		inside, _ := commentMark(c.text)
		inside = strings.Trim(inside, " /#!%*")
		for _, sep := range []rune{f.sep, blanks, ','} {
			cells := split(inside, sep)
			if len(cells) <= f.fields && headLike(cells) {
				f.head, f.headLine = cells, c.n
				return
			}
		}
	}
}

// findStrangeHead takes a row of words before the first row of numbers for the
// header, although its words name no columns that are known.
func (f *form) findStrangeHead(rest []line) {
	const deep = 10
	for i, l := range rest[:min(deep, len(rest)-1)] {
		cells := split(l.text, f.sep)
		if dataLike(cells, f.fields) || f.count >= 0 {
			return
		}
		words := 0
		for _, c := range cells {
			if c != "" && (looksNumeric(c) || missing(c)) {
				words = -len(cells)
			}
			if c != "" {
				words++
			}
		}
		if words < 2 || len(cells) != f.fields || !dataLike(split(rest[i+1].text, f.sep), f.fields) {
			continue
		}
		f.head, f.headLine, f.first, f.strange = cells, l.n, l.n+1, true
		f.preamble = append(f.preamble, rest[:i]...)
		f.content = rest[i+1:]
		return
	}
}

// dataLike reports whether cells are a row of mostly numbers.
func dataLike(cells []string, fields int) bool {
	numeric := 0
	for _, c := range cells {
		if looksNumeric(c) {
			numeric++
		}
	}
	return len(cells) >= min(fields, 3) && numeric >= 2 && numeric*2 >= len(cells)
}

// unitRow reports whether cells are units only, at least one.
func unitRow(cells []string) bool {
	some := false
	for _, c := range cells {
		if c = strings.Trim(c, "()[] "); c == "" || c == "-" {
			continue
		}
		if _, _, _, ok := unitWords(c); !ok {
			return false
		}
		some = true
	}
	return some
}

// offsetOf returns where line n of body begins.
func offsetOf(body []byte, n int) int {
	at := 0
	for ; n > 1; n-- {
		i := bytes.IndexByte(body[at:], '\n')
		if i < 0 {
			return len(body)
		}
		at += i + 1
	}
	return at
}

// quotedCell is a field in quotes with blanks inside, beside another separator.
var quotedCell = regexp.MustCompile(`[,;|\t]\s*"[^"]* [^"]*"\s*(?:[,;|\t]|$)`)

// separator returns what separates the fields: what cuts most lines into the
// same number of fields, at least three if any does, and leaves numbers whole.
func separator(all []line) rune {
	best, bestScore := rune(','), -1.0
	quoted := 0
	for _, l := range all {
		if quotedCell.MatchString(l.text) {
			quoted++
		}
	}
	for _, sep := range []rune{'\t', ';', '|', ',', blanks} {
		if sep == blanks && 2*quoted >= len(all) {
			continue
		}
		count := map[int]int{}
		cells, numeric, n := 0, 0, 0
		for _, l := range all {
			if _, ok := commentMark(l.text); ok && !(sep == ';' && l.text[0] == ';') {
				continue
			}
			fs := split(l.text, sep)
			count[len(fs)]++
			n++
			if len(fs) > 1 {
				for _, c := range fs {
					if c == "" {
						continue
					}
					cells++
					if looksNumeric(c) {
						numeric++
					}
				}
			}
		}
		m, most := 0, 0
		for k, v := range count {
			if k > 1 && (v > most || v == most && k > m) {
				m, most = k, v
			}
		}
		if m < 2 || n == 0 {
			continue
		}
		score := float64(most) / float64(n)
		if cells > 0 {
			score *= 0.1 + float64(numeric)/float64(cells)
		}
		if m < 3 {
			score /= 10
		}
		if sep == blanks {
			score *= 0.7 // blanks stand inside names, remarks and feet-inches too
		}
		if score > bestScore+1e-9 {
			best, bestScore = sep, score
		}
	}
	return best
}

// modal returns how many fields most lines have, the greater number of two that
// are as frequent.
func modal(all []line, sep rune) int {
	count := map[int]int{}
	m := 0
	for _, l := range all {
		if _, ok := commentMark(l.text); ok && l.text[0] != ';' {
			continue
		}
		k := len(split(l.text, sep))
		count[k]++
		if count[k] > count[m] || count[k] == count[m] && k > m {
			m = k
		}
	}
	return m
}

// looksGrid reports whether the lines are a plan-like table: letters, numbers of
// lines or growing distances across, one row of readings a line.
func (f *form) looksGrid(rest []line) bool {
	for _, f.indented = range []bool{false, true} {
		for i, l := range rest[:min(12, len(rest))] {
			cells := f.gridCells(l.text)
			s, ok := sheetHead(cells, l.n, l.text)
			if !ok || i+1 >= len(rest) {
				continue
			}
			k := i + 1
			for k+1 < len(rest) && isMark(f.gridCells(rest[k].text)[0]) { // a reading on a benchmark
				k++
			}
			next := f.gridCells(rest[k].text)
			_, isUnit := unit.ParseLength(cells[0])
			switch {
			case s.letters && looksNumeric(next[0]),
				s.numbers && regexpLetters.MatchString(next[0]),
				!s.letters && looksNumeric(next[0]) && (isUnit || cells[0] == ""):
				return true
			}
		}
	}
	f.indented = false
	return false
}

// commaTrouble reports whether the lines look like decimal commas in a comma
// file: no point anywhere, and columns that hold nothing but three digits.
func (f *form) commaTrouble() bool {
	if f.sep != ',' || f.fields < 5 || len(f.content) == 0 {
		return false
	}
	groups := make([]int, f.fields)
	n := 0
	for _, l := range f.content {
		if strings.Contains(l.text, ".") {
			return false
		}
		cells := split(l.text, f.sep)
		if len(cells) != f.fields {
			continue
		}
		n++
		for i, c := range cells {
			if len(c) == 3 && strings.Trim(c, "0123456789") == "" {
				groups[i]++
			}
		}
	}
	whole := 0
	for i := 2; i < len(groups); i++ {
		if groups[i] == n && groups[i-1] < n {
			whole++
		}
	}
	return n > 0 && whole >= 2
}

var (
	unitsLine = regexp.MustCompile(`(?i)^\W*(?:units?|lengths?)\b\W*(.+)$`)
	hiLine    = regexp.MustCompile(`(?i)(?:^|[\s,;(])(?:h\.?i\.?|hpc|hoc|height of instrument|height of collimation|plane of collimation|instrument height)[\s:=,;]+([-+−]?\d.*)$`)
)

// statedUnit reads a line such as "Units:,metres,,".
func statedUnit(t string) (u unit.Length, feetInches bool, last int, ok bool) {
	m := unitsLine.FindStringSubmatch(t)
	if m == nil {
		return
	}
	return unitWords(strings.Trim(m[1], ` ,;|"=:`))
}

// statedHI reads a line such as "# HI = 11.500".
func statedHI(t string) (string, bool) {
	m := hiLine.FindStringSubmatch(t)
	if m == nil {
		return "", false
	}
	return strings.TrimRight(m[1], " ,;|)"), true
}

// separatorName names sep in notes.
func separatorName(sep rune) string {
	switch sep {
	case '\t':
		return "tab"
	case blanks:
		return "blanks"
	}
	return string(sep)
}

// prepare returns the data lines as the row decoder takes them, with the same
// number of lines: comments and rules are emptied, fields that blanks separate
// are joined by unitSeparator. It tells where the lines can be cut into chunks
// without cutting a row, and counts what it passed over.
func (f *form) prepare(name string, body []byte, columns int, lastIsText bool) (out []byte, cuts []cut, passed passedOver, err error) {
	data := body[f.start:]
	cuts = []cut{{0, f.first}}
	quotes := bytes.IndexByte(data, '"') >= 0 && f.sep != blanks
	copied := false
	n := f.first
	open, openLine := false, 0
	for at := 0; at < len(data); n++ {
		end := bytes.IndexByte(data[at:], '\n')
		if end < 0 {
			end = len(data)
		} else {
			end += at
		}
		l := data[at:end]
		drop := false
		here := at
		if copied {
			here = len(out)
		}
		if !open && here-cuts[len(cuts)-1].at > chunkSize {
			cuts = append(cuts, cut{here, n})
		}
		if !open {
			drop = (passed.look(n, l, f) || f.banners[n]) && len(l) > 0
		}
		if quotes && !drop {
			was := open
			if open = quoteOpen(l, f.sep, open); open && !was {
				openLine = n
			}
			if open && n-openLine > 20 {
				break
			}
		}
		if (drop || f.sep == blanks) && !copied {
			out = append(make([]byte, 0, len(data)+1), data[:at]...)
			copied = true
		}
		if copied {
			switch {
			case drop:
			case f.sep == blanks:
				out = joinFields(out, l, columns, lastIsText)
			default:
				out = append(out, l...)
			}
			if end < len(data) {
				out = append(out, '\n')
			}
		}
		at = end + 1
	}
	if open {
		return nil, nil, passed, &Error{Pos: Pos{File: name, Line: openLine}, Found: "a quotation mark that is not closed",
			Want: `fields with their quotes closed, and inch marks doubled inside quotes ("5' 3-3/8""")`}
	}
	if !copied {
		out = data
	}
	return out, cuts, passed, nil
}

// chunkSize is about how many bytes are decoded at a time.
const chunkSize = 1 << 19

// cut is a place in the prepared lines where a row begins: offset and line of
// the file.
type cut struct{ at, line int }

// passedOver counts the lines that hold no row.
type passedOver struct {
	comments, blank, rules int

	gaps []gap // the first of the blank lines and rules among the rows
}

// look is over for line n, and remembers it where it is blank or a rule.
func (p *passedOver) look(n int, l []byte, f *form) bool {
	const most = 1000 // own choice
	was := *p
	if !p.over(l, f) {
		return false
	}
	if p.comments == was.comments && len(p.gaps) < most {
		p.gaps = append(p.gaps, gap{line: n, rule: p.rules > was.rules})
	}
	return true
}

// over reports whether line l holds no row, and counts it then.
func (p *passedOver) over(l []byte, f *form) bool {
	t := bytes.TrimLeft(l, " \t")
	if len(t) == 0 {
		p.blank++
		return true
	}
	switch t[0] {
	case '#', '/', '!', '%', '*', ';', 'R', 'r':
		if isComment(string(t), f.sep, f.fields) {
			p.comments++
			return true
		}
	case '-', '=', '_', '+', '|', ',', ':':
		if isRule(string(t)) {
			p.rules++
			return true
		}
	}
	return false
}

func (p passedOver) String() string {
	return fmt.Sprintf("%s, %s and %s passed over", many(p.comments, "comment"), many(p.blank, "blank line"), many(p.rules, "rule"))
}

// before counts what stands before the data lines.
func (p *passedOver) before(f *form, body []byte) {
	for _, c := range f.comments {
		if c.n < f.first && c.n != f.headLine {
			p.comments++
		}
	}
	lines(body[:f.start], func(_ int, t string) bool {
		switch {
		case strings.TrimSpace(t) == "":
			p.blank++
		case isRule(t):
			p.rules++
		}
		return true
	})
}

// unitSeparator joins the fields of files that blanks separate; it has no business
// in a text file.
const unitSeparator = '\x1f'

// joinFields appends the fields of l to out; the last column takes the rest of
// the line if it is text.
func joinFields(out, l []byte, columns int, lastIsText bool) []byte {
	l = bytes.TrimSpace(l)
	for i := 1; len(l) > 0; i++ {
		end := bytes.IndexAny(l, " \t")
		if end < 0 || i == columns && lastIsText {
			end = len(l)
		}
		field := l[:end]
		if field[0] == '"' { // quotes stand for nothing here
			field = bytes.Trim(field, `"`)
		}
		if i > 1 {
			out = append(out, unitSeparator)
		}
		if bytes.IndexByte(field, unitSeparator) >= 0 { // or it would cut the field
			field = bytes.ReplaceAll(field, []byte{unitSeparator}, []byte{'?'})
		}
		out = append(out, field...)
		l = bytes.TrimLeft(l[end:], " \t")
	}
	return out
}

// quoteOpen reports whether a quoted field is open at the end of line l, by the
// rules of the row decoder: quotes count at the start of a field only.
func quoteOpen(l []byte, sep rune, open bool) bool {
	sepBytes := []byte(string(sep))
	if !open && bytes.IndexByte(l, '"') < 0 {
		return false
	}
	i := 0
	for {
		if !open {
			if i < len(l) && l[i] == '"' {
				open = true
				i++
				continue
			}
			next := bytes.Index(l[min(i, len(l)):], sepBytes)
			if next < 0 {
				return false
			}
			i += next + len(sepBytes)
			continue
		}
		q := bytes.IndexByte(l[min(i, len(l)):], '"')
		if q < 0 {
			return true
		}
		i += q + 1
		switch {
		case i < len(l) && l[i] == '"':
			i++
		case i >= len(l):
			return false
		case bytes.HasPrefix(l[i:], sepBytes):
			open = false
			i += len(sepBytes)
		}
	}
}

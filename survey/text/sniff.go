package text

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// sampleLines and sampleBytes limit the part of a file that shows how it is written.
const (
	sampleLines = 2000
	sampleBytes = 4 << 20
)

type line struct {
	n    int
	text string
}

// form is how a file is written, as its first lines show.
type form struct {
	sep      rune
	start    int // bytes of body before the first data line
	first    int // number of the first data line
	head     []string
	headLine int
	strange  bool     // too few words of the header are known
	units    []string // the unit row, nil without one
	content  []line   // sampled data lines
	comments []line
	preamble []line
	count    int // number of points that the first line states; -1 without one
	fields   int // number of fields on most data lines
	grid     bool
	full     bool         // there are more lines than were looked at
	listed   bool         // one row a run, its readings in one cell
	indented bool         // a grid sheet has an empty column on its left
	banners  map[int]bool // lines that begin a set-up, not rows
}

var sepLine = regexp.MustCompile(`^"?sep=(.)"?$`)

// commentMark returns the text after a comment mark at the start of t, and reports
// whether there is a mark.
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

// isComment reports whether a line is a comment. A line that begins with a mark other
// than // and ; can be a point with such a name: it then has the fields and numbers of
// one. A semicolon is no mark where it separates fields.
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

// learn finds how body is written. cells is true for the text of a workbook sheet, which
// has tabs between fields.
func learn(name string, body []byte, cells bool) (*form, error) {
	f := &form{count: -1}
	if cells {
		f.sep = '\t'
	}
	var all []line
	size := 0
	lines(body, func(n int, t string) bool {
		// Tabs at the start of a line may be empty fields.
		if t = strings.Trim(t, " \f\v"); strings.TrimSpace(t) != "" && !isRule(t) {
			all = append(all, line{n, t})
		}
		size += len(t)
		return len(all) < sampleLines && size < sampleBytes
	})
	f.full = len(all) >= sampleLines || size >= sampleBytes
	if len(all) == 0 {
		return nil, &survey.Error{Pos: survey.Pos{File: name}, Found: "nothing", Want: "a list of points, one a line"}
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
	if sep := runList(all, f.sep); sep != 0 {
		f.sep, f.listed = sep, true
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
		return nil, &survey.Error{Pos: survey.Pos{File: name}, Found: "comments only", Want: "a list of points, one a line"}
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

// findHead looks for the header among the first lines.
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
	// Some scans have their header inside a comment.
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

// findStrangeHead takes a row of words before the first row of numbers as the header,
// although its words are not known.
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

// unitRow reports whether cells are units or empty, with at least one unit.
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

// offsetOf returns the byte offset in body at which line n begins.
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

// separator returns the separator of the fields. It divides most lines into the same
// number of fields, three or more if possible, and leaves numbers whole.
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
		// Corners with decimal commas are two numbers a row: 0,00;4,20.
		corners := sep == ';' && cells == 2*most && numeric > 0 && numeric+2 >= cells
		if m < 3 && !corners {
			score /= 10
		}
		if sep == blanks {
			score *= 0.7 // blanks also occur inside names, remarks and feet-inches
		}
		if score > bestScore+1e-9 {
			best, bestScore = sep, score
		}
	}
	return best
}

// modal returns the number of fields that most lines have, the larger of two that are as
// frequent.
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

// looksGrid reports whether the lines are a grid sheet: letters, line numbers or
// increasing distances head the columns, and each line below is a row of readings. It
// sets f.indented.
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
			case s.named && namedRow.MatchString(next[0]),
				s.letters && looksNumeric(next[0]),
				s.numbers && regexpLetters.MatchString(next[0]),
				!s.letters && looksNumeric(next[0]) && (isUnit || cells[0] == ""):
				return true
			}
		}
	}
	f.indented = false
	return false
}

// commaTrouble reports whether the lines look like decimal commas in a comma file: no
// point anywhere, and two or more columns of three digits only.
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

// statedUnit parses the unit in a line such as "Units:,metres,,".
func statedUnit(t string) (u unit.Length, feetInches bool, last int, ok bool) {
	m := unitsLine.FindStringSubmatch(t)
	if m == nil {
		return
	}
	return unitWords(strings.Trim(m[1], ` ,;|"=:`))
}

// statedHI returns the text of the height in a line such as "# HI = 11.500".
func statedHI(t string) (string, bool) {
	m := hiLine.FindStringSubmatch(t)
	if m == nil {
		return "", false
	}
	return strings.TrimRight(m[1], " ,;|)"), true
}

// separatorName returns the name of sep for notes.
func separatorName(sep rune) string {
	switch sep {
	case '\t':
		return "tab"
	case blanks:
		return "blanks"
	}
	return string(sep)
}

package text

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"

	"pourplane/survey"
)

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
		return nil, nil, passed, &survey.Error{Pos: survey.Pos{File: name, Line: openLine}, Found: "a quotation mark that is not closed",
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
	return fmt.Sprintf("%s, %s and %s skipped", survey.Plural(p.comments, "comment"), survey.Plural(p.blank, "blank line"), survey.Plural(p.rules, "rule"))
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
// the line if it is text. Where a line has more fields than columns, or may have a remark, a fraction belongs to
// the number before it: 4-5 3/8 is one reading.
func joinFields(out, l []byte, columns int, lastIsText bool) []byte {
	l = bytes.TrimSpace(l)
	fractions := bytes.IndexByte(l, '/') >= 0 && (lastIsText || len(bytes.Fields(l)) > columns)
	for i := 1; len(l) > 0; i++ {
		end := bytes.IndexAny(l, " \t")
		if end > 0 && fractions {
			end = afterFraction(l, end)
		}
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

// fraction is a part of an inch in a field of its own.
var fraction = regexp.MustCompile(`^[ \t]+\d{1,2}/(2|4|8|16|32|64)"?([ \t]|$)`)

// afterFraction returns where a field that ends at end does end: after the fraction that
// follows its number, if one does.
func afterFraction(l []byte, end int) int {
	if last := l[end-1]; last < '0' || last > '9' {
		return end
	}
	m := fraction.FindSubmatchIndex(l[end:])
	if m == nil {
		return end
	}
	return end + m[4]
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

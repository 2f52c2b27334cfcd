package text

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"

	"pourplane/survey"
)

// chunks divides the data lines into chunks without dividing a row. cuts are the starts of
// the chunks, and the end.
func (f *form) chunks(name string, data []byte) (cuts []cut, err error) {
	if f.sep != blanks && bytes.IndexByte(data, '"') >= 0 {
		return f.quotedChunks(name, data)
	}
	for at := 0; at < len(data); {
		cuts = append(cuts, cut{at: at})
		next := bytes.IndexByte(data[min(at+chunkSize, len(data)):], '\n')
		if next < 0 {
			break
		}
		at += chunkSize + next + 1
	}
	cuts = append(cuts, cut{at: len(data)})
	end := len(cuts) - 1
	each(end, func(k int) {
		chunk := data[cuts[k].at:cuts[k+1].at]
		cuts[k+1].rows = bytes.Count(chunk, []byte("\n"))
		if chunk[len(chunk)-1] != '\n' {
			cuts[k+1].rows++
		}
	})
	cuts[0].line = f.first
	for k := range end {
		cuts[k+1].rows += cuts[k].rows
		cuts[k+1].line = f.first + cuts[k+1].rows
	}
	return cuts, nil
}

// quotedChunks is chunks for lines with quotes, in which a line need not end a row.
func (f *form) quotedChunks(name string, data []byte) (cuts []cut, err error) {
	cuts = []cut{{0, f.first, 0}}
	n := f.first
	open, openLine := false, 0
	var passed passedOver
	for at := 0; at < len(data); n++ {
		if !open && at-cuts[len(cuts)-1].at > chunkSize {
			cuts = append(cuts, cut{at, n, n - f.first})
		}
		l := data[at:]
		if end := bytes.IndexByte(l, '\n'); end >= 0 {
			l = l[:end]
		}
		if open || !passed.over(l, f) && !f.banners[n] {
			was := open
			if open = quoteOpen(l, f.sep, open); open && !was {
				openLine = n
			}
			if open && n-openLine > 20 {
				break
			}
		}
		at += len(l) + 1
	}
	if open {
		return nil, &survey.Error{Pos: survey.Pos{File: name, Line: openLine}, Found: "a quotation mark that is not closed",
			Want: `fields with their quotes closed, and inch marks doubled inside quotes ("5' 3-3/8""")`}
	}
	return append(cuts, cut{len(data), n, n - f.first}), nil
}

// prepare returns the lines of a chunk in the form of the row decoder, with the same number
// of lines; n is the number of the first. Comments and rules become empty lines, and fields
// divided by blanks are joined by unitSeparator. passed counts the skipped lines.
func (f *form) prepare(data []byte, n, columns int, lastIsText bool) (out []byte, passed passedOver) {
	quotes := bytes.IndexByte(data, '"') >= 0 && f.sep != blanks
	copied, open := false, false
	for at := 0; at < len(data); n++ {
		end := bytes.IndexByte(data[at:], '\n')
		if end < 0 {
			end = len(data)
		} else {
			end += at
		}
		l := data[at:end]
		drop := !open && (passed.look(n, l, f) || f.banners[n]) && len(l) > 0
		if quotes && !drop {
			open = quoteOpen(l, f.sep, open)
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
	if !copied {
		out = data
	}
	return out, passed
}

// chunkSize is about the number of bytes decoded at a time.
var chunkSize = 1 << 19 // changed by tests only

// cut is the start of a row among the data lines: byte offset, line of the file, and the
// number of lines before it, at least that of rows.
type cut struct{ at, line, rows int }

// passedOver counts the lines that hold no row.
type passedOver struct {
	comments, blank, rules int

	gaps []gap // the first of the blank lines and rules among the rows
}

// mostPassed is the maximum number of gaps that are remembered; own choice.
const mostPassed = 1000

// join adds what lines behind these hold.
func (p *passedOver) join(q passedOver) {
	p.comments, p.blank, p.rules = p.comments+q.comments, p.blank+q.blank, p.rules+q.rules
	p.gaps = append(p.gaps, q.gaps[:min(len(q.gaps), mostPassed-len(p.gaps))]...)
}

// look calls over for line n, and remembers a blank line or a rule as a gap.
func (p *passedOver) look(n int, l []byte, f *form) bool {
	was := *p
	if !p.over(l, f) {
		return false
	}
	if p.comments == was.comments && len(p.gaps) < mostPassed {
		p.gaps = append(p.gaps, gap{line: n, rule: p.rules > was.rules})
	}
	return true
}

// over reports whether line l holds no row, and counts such a line.
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
		if len(t) > 1 && t[1] >= '0' && t[1] <= '9' {
			return false
		}
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

// before counts the lines without a row before the data lines.
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

// unitSeparator joins the fields of files that blanks separate. It has no use in a text
// file.
const unitSeparator = '\x1f'

// joinFields appends the fields of l to out. The last column takes the rest of the line
// if it is text. If a line has more fields than columns, or may have a remark, a fraction
// belongs to the number before it: 4-5 3/8 is one reading.
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
		if field[0] == '"' { // quotes have no meaning here
			field = bytes.Trim(field, `"`)
		}
		if i > 1 {
			out = append(out, unitSeparator)
		}
		if bytes.IndexByte(field, unitSeparator) >= 0 { // it would divide the field
			field = bytes.ReplaceAll(field, []byte{unitSeparator}, []byte{'?'})
		}
		out = append(out, field...)
		l = bytes.TrimLeft(l[end:], " \t")
	}
	return out
}

// fraction is a part of an inch in a field of its own.
var fraction = regexp.MustCompile(`^[ \t]+\d{1,2}/(2|4|8|16|32|64)"?([ \t]|$)`)

// afterFraction returns the end of the field whose number ends at end: after the fraction
// that follows the number, if there is one.
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

// quoteOpen reports whether a quoted field is open at the end of line l. As in the row
// decoder, quotes count only at the start of a field.
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

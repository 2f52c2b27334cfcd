package text

import (
	"bytes"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"pourplane/survey"
)

// text is a file as UTF-8 with LF line ends.
type text struct {
	body     []byte
	encoding string
}

// decode converts a file to UTF-8 with LF line ends. Positions then count lines of the
// file and bytes of its text. It may change b.
func decode(name string, b []byte) (text, error) {
	if k := Sniff(b); k.what != "" {
		return text{}, (&survey.Error{Pos: survey.Pos{File: name}, Found: k.what, Want: "delimited text"}).Hinted(k.saveAs, k.with...)
	}
	t := text{encoding: "UTF-8"}
	m := bytesOf(b)
	var enc encoding.Encoding
	switch {
	case bytes.HasPrefix(b, []byte("\xef\xbb\xbf")):
		b = b[3:]
	case bytes.HasPrefix(b, []byte("\xff\xfe")):
		enc, t.encoding = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), "UTF-16LE"
		b = b[2:]
	case bytes.HasPrefix(b, []byte("\xfe\xff")):
		enc, t.encoding = unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM), "UTF-16BE"
		b = b[2:]
	default:
		switch even, odd := zeros(b); {
		case even && !odd:
			enc, t.encoding = unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM), "UTF-16BE"
		case odd && !even:
			enc, t.encoding = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), "UTF-16LE"
		case !m.valid && !utf8.Valid(b):
			enc, t.encoding = charmap.Windows1252, "Windows-1252"
		}
	}
	if enc != nil {
		var err error
		if b, err = enc.NewDecoder().Bytes(b); err != nil {
			return t, &survey.Error{Pos: survey.Pos{File: name}, Found: "text that is not " + t.encoding, Want: "delimited text", Err: err}
		}
		m = bytesOf(b)
	}
	// Ctrl-Z ended files on old systems; what follows it is padding.
	if m.sub {
		if i := bytes.IndexByte(b, 0x1a); i >= 0 && len(bytes.Trim(b[i:], "\x00\x1a\r\n ")) == 0 {
			b = b[:i]
		}
	}
	control := 0
	for i, c := range b[:min(len(b), 1<<16)] {
		if c == 0 {
			return t, notText(name, 1+bytes.Count(b[:i], []byte("\n")), b[i])
		}
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' {
			if control++; control > 2+i/50 {
				return t, notText(name, 1+bytes.Count(b[:i], []byte("\n")), b[i])
			}
		}
	}
	if m.nul {
		if i := bytes.IndexByte(b, 0); i >= 0 {
			return t, notText(name, 1+bytes.Count(b[:i], []byte("\n")), b[i])
		}
	}
	if m.cr {
		b = lineEnds(b)
	}
	t.body = b
	return t, nil
}

// byteMarks are the bytes that a text has of those that matter. valid is set if it is
// certainly UTF-8.
type byteMarks struct{ nul, sub, cr, valid bool }

// bytesOf looks through a text once, on all processors.
func bytesOf(b []byte) byteMarks {
	const size = 1 << 18 // stays in the cache of a processor
	parts := make([]byteMarks, min(runtime.GOMAXPROCS(0), 1+len(b)/size))
	each(len(parts), func(k int) {
		m := byteMarks{valid: true}
		for part := range slices.Chunk(b[len(b)*k/len(parts):len(b)*(k+1)/len(parts)], size) {
			m.nul = m.nul || bytes.IndexByte(part, 0) >= 0
			m.sub = m.sub || bytes.IndexByte(part, 0x1a) >= 0
			m.cr = m.cr || bytes.IndexByte(part, '\r') >= 0
			m.valid = m.valid && utf8.Valid(part)
		}
		parts[k] = m
	})
	all := parts[0]
	for _, m := range parts[1:] {
		all = byteMarks{all.nul || m.nul, all.sub || m.sub, all.cr || m.cr, all.valid && m.valid}
	}
	return all
}

func notText(name string, line int, c byte) error {
	return &survey.Error{Pos: survey.Pos{File: name, Line: line},
		Found: fmt.Sprintf("byte %02X", c), Want: "delimited text; this is not a text file",
		Hint: "save it as delimited text (CSV)"}
}

// zeros reports whether more than 70 % of the even or of the odd bytes at the start of b
// are zero, as in UTF-16 of Western text. It looks at the first 256 bytes.
func zeros(b []byte) (even, odd bool) {
	n := min(len(b), 256) &^ 1
	if n < 4 {
		return false, false
	}
	var count [2]int
	for i, c := range b[:n] {
		if c == 0 {
			count[i&1]++
		}
	}
	return count[0] > n/2*7/10, count[1] > n/2*7/10
}

// lineEnds replaces CR LF and lone CR by LF. It works in place.
func lineEnds(b []byte) []byte {
	if bytes.IndexByte(b, '\r') < 0 { // lines of a list that is streamed
		return b
	}
	out := b[:0]
	for i, c := range b {
		if c != '\r' {
			out = append(out, c)
		} else if i+1 >= len(b) || b[i+1] != '\n' {
			out = append(out, '\n')
		}
	}
	return out
}

// lines calls f with the number, from 1, and the text of each line of b, until f returns
// false.
func lines(b []byte, f func(n int, line string) bool) {
	for n := 1; len(b) > 0; n++ {
		line := b
		if i := bytes.IndexByte(b, '\n'); i >= 0 {
			line, b = b[:i], b[i+1:]
		} else {
			b = nil
		}
		if !f(n, string(line)) {
			return
		}
	}
}

// blanks is the separator of fields divided by runs of blanks. The other separators are
// single characters.
const blanks = ' '

// split cuts one line into fields and removes their quotes.
func split(line string, sep rune) []string {
	cells, _ := splitAt(line, sep)
	return cells
}

// splitAt is split with the byte offset in the line at which each field begins.
func splitAt(line string, sep rune) (fields []string, at []int) {
	whole := len(line)
	add := func(field, rest string) {
		fields = append(fields, field)
		at = append(at, whole-len(rest))
	}
	if sep == blanks {
		for _, field := range strings.Fields(line) {
			i := strings.Index(line, field)
			add(field, line[i:])
			line = line[i+len(field):]
		}
		return fields, at
	}
	for {
		t := strings.TrimLeft(line, " ")
		if strings.HasPrefix(t, `"`) {
			if field, rest, ok := unquote(t, sep); ok {
				add(field, t)
				if rest == "" {
					return fields, at
				}
				line = rest[len(string(sep)):]
				continue
			}
		}
		i := strings.IndexRune(line, sep)
		if i < 0 {
			add(strings.TrimSpace(line), t)
			return fields, at
		}
		add(strings.TrimSpace(line[:i]), line[min(i, len(line)-len(t)):])
		line = line[i+len(string(sep)):]
	}
}

// unquote reads the quoted field at the start of t. ok is false if the quote is not
// closed before a separator.
func unquote(t string, sep rune) (field, rest string, ok bool) {
	var b strings.Builder
	for i := 1; i < len(t); i++ {
		if t[i] != '"' {
			b.WriteByte(t[i])
			continue
		}
		if i+1 < len(t) && t[i+1] == '"' {
			b.WriteByte('"')
			i++
			continue
		}
		rest = strings.TrimLeft(t[i+1:], " ")
		return b.String(), rest, rest == "" || strings.HasPrefix(rest, string(sep))
	}
	return "", "", false
}

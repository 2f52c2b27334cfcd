package landxml

import (
	"bytes"
	"encoding/xml"
	"io"
	"slices"
	"strings"

	"pourplane/survey/internal/input"
)

const (
	xmlBuffer  = 1 << 16 // bytes read at a time
	xmlElement = 1 << 12 // a longer P or F goes through the decoder
	xmlBehind  = 2       // bytes kept before the next one, to see how a tag ended
)

// xmlSource gives the decoder its bytes one by one. Between two tokens the decoder has
// read one byte ahead max, so plain elements can be read without it. xmlSource knows the
// place of the next byte.
type xmlSource struct {
	r    io.Reader // UTF-8
	buf  []byte
	lo   int // next byte
	hi   int // end of the data
	err  error
	took int64 // bytes given to the decoder

	mark      int // line and col are the place of buf[mark]
	line, col int
}

func newXMLSource(r io.Reader) *xmlSource {
	return &xmlSource{r: r, buf: make([]byte, xmlBuffer), line: 1, col: 1}
}

// fill reads more. Afterwards there is more between lo and hi, or err is set.
func (s *xmlSource) fill() {
	if cut := s.lo - xmlBehind; cut > 0 {
		s.count(s.lo)
		copy(s.buf, s.buf[cut:s.hi])
		s.lo, s.hi, s.mark = s.lo-cut, s.hi-cut, s.mark-cut
	}
	for n := 0; n == 0 && s.err == nil; s.hi += n {
		n, s.err = s.r.Read(s.buf[s.hi:])
	}
}

// count moves the mark to buf[to].
func (s *xmlSource) count(to int) {
	b := s.buf[s.mark:to]
	if n := bytes.Count(b, []byte{'\n'}); n > 0 {
		s.line += n
		s.col = 1
		b = b[bytes.LastIndexByte(b, '\n')+1:]
	}
	s.col += len(b)
	s.mark = to
}

// place returns line and column of the next byte.
func (s *xmlSource) place() (line, col int) {
	s.count(s.lo)
	return s.line, s.col
}

// ReadByte implements [io.ByteReader], for the decoder.
func (s *xmlSource) ReadByte() (byte, error) {
	if s.lo == s.hi {
		if s.fill(); s.lo == s.hi {
			return 0, s.err
		}
	}
	c := s.buf[s.lo]
	s.lo++
	s.took++
	return c, nil
}

// Read implements [io.Reader], which the decoder requires but does not call.
func (s *xmlSource) Read(p []byte) (int, error) {
	if len(p) == 0 {
		return 0, nil
	}
	c, err := s.ReadByte()
	if err != nil {
		return 0, err
	}
	p[0] = c
	return 1, nil
}

// window returns the next bytes from the first that is not blank: an element's length or
// more, unless the file ends before.
func (s *xmlSource) window() []byte {
	for {
		for s.hi-s.lo < xmlElement && s.err == nil {
			s.fill()
		}
		w := trimBlanks(s.buf[s.lo:s.hi])
		s.lo = s.hi - len(w)
		if s.err != nil || len(w) >= xmlElement {
			return w
		}
	}
}

// selfClosed reports whether the tag just read ended in "/>".
func (s *xmlSource) selfClosed() bool { return s.lo > 1 && s.buf[s.lo-2] == '/' }

func trimBlanks(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\n' || b[0] == '\r' || b[0] == '\t') {
		b = b[1:]
	}
	return b
}

// plainPoint reads a point of the simplest form, <P id="1">1.5 2.5 3.5</P>, with the
// tags given. rest is what follows. ok is false for any other or faulty form, which the
// decoder must read.
func plainPoint(b, begin, end []byte) (id int32, c [3]float64, rest []byte, ok bool) {
	if !bytes.HasPrefix(b, begin) {
		return 0, c, nil, false
	}
	rest = b[len(begin):]
	n := bytes.IndexByte(rest, '"')
	if n < 0 || n+1 == len(rest) || rest[n+1] != '>' {
		return 0, c, nil, false
	}
	if id, ok = wholeNumber(rest[:n]); !ok {
		return 0, c, nil, false
	}
	rest = rest[n+2:]
	for k := range c {
		rest = trimBlanks(rest)
		n := 0
		for n < len(rest) && rest[n] > ' ' && rest[n] != '<' {
			n++
		}
		v, err := input.Number(rest[:n])
		if err != nil {
			return 0, c, nil, false
		}
		c[k], rest = v, rest[n:]
	}
	rest = trimBlanks(rest)
	if !bytes.HasPrefix(rest, end) {
		return 0, c, nil, false
	}
	return id, c, rest[len(end):], true
}

// plainFace reads a face of n ids, with or without the attributes of the schema, as
// [plainPoint] does.
func plainFace(b, begin, end []byte, n int) (ids [4]int32, hidden bool, rest []byte, ok bool) {
	if !bytes.HasPrefix(b, begin) {
		return ids, false, nil, false
	}
	rest, hidden, ok = plainAttributes(b[len(begin):])
	for k := 0; ok && k < n; k++ {
		rest = trimBlanks(rest)
		m := 0
		for m < len(rest) && rest[m] > ' ' && rest[m] != '<' {
			m++
		}
		ids[k], ok = wholeNumber(rest[:m])
		rest = rest[m:]
	}
	rest = trimBlanks(rest)
	if !ok || !bytes.HasPrefix(rest, end) {
		return ids, false, nil, false
	}
	return ids, hidden, rest[len(end):], true
}

// plainAttributes reads the attributes of an F to the end of its tag. Their names have
// one letter each.
func plainAttributes(b []byte) (rest []byte, hidden, ok bool) {
	var seen uint64
	for {
		if len(b) > 0 && b[0] == '>' {
			return b[1:], hidden, true
		}
		t := trimBlanks(b)
		if len(t) == len(b) || len(t) < 4 || t[1] != '=' || t[2] != '"' {
			return nil, false, false
		}
		name := t[0]
		if seen&(1<<(name&63)) != 0 { // an attribute twice, or i and I
			return nil, false, false
		}
		seen |= 1 << (name & 63)
		end := bytes.IndexByte(t[3:], '"')
		if end < 0 {
			return nil, false, false
		}
		v := t[3 : 3+end]
		b = t[4+end:]
		switch name {
		case 'i':
			if hidden = string(v) == "1"; !hidden && string(v) != "0" {
				return nil, false, false
			}
		case 'n', 'b', 'm', 'M':
			if bytes.ContainsAny(v, "<&") {
				return nil, false, false
			}
		default:
			return nil, false, false
		}
	}
}

// plainElement reads an element of text and attributes without entities, with the tags
// given, and appends its attributes to attr. Their strings share the memory of the whole
// element. As with [plainPoint], ok is false for any other form.
func plainElement(b, begin, end []byte, attr []xml.Attr) (attrs []xml.Attr, text, rest []byte, ok bool) {
	if !bytes.HasPrefix(b, begin) {
		return attr, nil, nil, false
	}
	head := bytes.IndexByte(b, '>')
	if head < 0 {
		return attr, nil, nil, false
	}
	tag := string(b[len(begin):head])
	for tag != "" {
		t := strings.TrimLeft(tag, " \t\r\n")
		name, value, found := strings.Cut(t, "=")
		if len(t) == len(tag) || !found || len(value) < 2 || value[0] != '"' && value[0] != '\'' || !plainName(name) {
			return attr, nil, nil, false
		}
		n := strings.IndexByte(value[1:], value[0])
		if n < 0 || !plainValue(value[1:1+n]) || slices.ContainsFunc(attr, func(a xml.Attr) bool { return a.Name.Local == name }) {
			return attr, nil, nil, false
		}
		attr = append(attr, xml.Attr{Name: xml.Name{Local: name}, Value: value[1 : 1+n]})
		tag = value[2+n:]
	}
	text = b[head+1:]
	n := bytes.IndexByte(text, '<')
	if n < 0 || !bytes.HasPrefix(text[n:], end) {
		return attr, nil, nil, false
	}
	return attr, text[:n], text[n+len(end):], true
}

// plainName reports whether s is a name of letters that declares no namespace.
func plainName(s string) bool {
	for i := range len(s) {
		if c := s[i] | 0x20; c < 'a' || c > 'z' {
			return false
		}
	}
	return s != "" && s != "xmlns"
}

// plainValue reports whether s is the same to the decoder as written.
func plainValue(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' || s[i] == '<' || s[i] == '&' {
			return false
		}
	}
	return true
}

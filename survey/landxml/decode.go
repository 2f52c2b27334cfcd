// Package landxml reads and writes LandXML.
package landxml

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"pourplane/survey"
	"pourplane/survey/internal/input"
)

// xmlReader walks an XML document element by element, without a tree. Elements are known
// by local name and position. Elements of namespaces other than the root's are skipped
// whole.
type xmlReader struct {
	d    *xml.Decoder
	src  *xmlSource
	name string
	enc  string // encoding found

	open     []string // qualified names of the open elements
	prefixes []prefix
	home     string     // namespace of the root element
	at       survey.Pos // start of the last token
	closing  bool       // the decoder has still to return the end of an empty element

	read     *counter
	progress func(done, total int64)
	reported int64
}

// Limits of a document. Elements of LandXML are about a dozen deep and have up to about
// thirty attributes. The namespace of each element is looked up in the open elements,
// and each attribute is compared with those before it, so without limits time grows with
// the square.
const (
	xmlDepth      = 100
	xmlAttributes = 250
	xmlPrefixes   = 100
)

type prefix struct {
	depth     int
	name, uri string
}

// counter counts the bytes read.
type counter struct {
	r io.Reader
	n int64
}

func (c *counter) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.n += int64(n)
	return n, err
}

// element is a start tag.
type element struct {
	name string // local name
	attr []xml.Attr
	at   survey.Pos
}

// get returns an attribute, "" if missing. No attribute of LandXML has a prefix.
func (e *element) get(name string) string {
	for _, a := range e.attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}

// newXMLReader finds the encoding of r from the byte order mark, the pattern of NUL
// bytes or the declaration, and converts it to UTF-8. Invalid bytes in UTF-8, declared
// or not, are read as Windows-1252, with a note.
func newXMLReader(r io.Reader, name string, note func(survey.NoteKind, string, ...any)) (*xmlReader, error) {
	c := &counter{r: r}
	b := bufio.NewReaderSize(c, 1<<16)
	head, err := b.Peek(1024)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, input.Unreadable(name, err)
	}
	x := &xmlReader{name: name, enc: "UTF-8", read: c}
	var in io.Reader = b
	decode := func(enc encoding.Encoding, what string) {
		x.enc = what
		in = transform.NewReader(b, enc.NewDecoder())
	}
	if v := declaration(head, "version"); v != "" && v != "1.0" {
		return nil, &survey.Error{Pos: survey.Pos{File: name, Line: 1, Col: 1}, Element: "XML declaration", Found: "version " + strconv.Quote(v), Want: "XML 1.0", Hint: `change the first line to <?xml version="1.0"?>`}
	}
	declared := declaration(head, "encoding")
	switch {
	case bytes.HasPrefix(head, []byte("\xff\xfe")), len(head) > 3 && head[0] == '<' && head[1] == 0:
		decode(unicode.UTF16(unicode.LittleEndian, unicode.UseBOM), "UTF-16, little endian")
	case bytes.HasPrefix(head, []byte("\xfe\xff")), len(head) > 3 && head[0] == 0 && head[1] == '<':
		decode(unicode.UTF16(unicode.BigEndian, unicode.UseBOM), "UTF-16, big endian")
	case bytes.HasPrefix(head, []byte("\xef\xbb\xbf")):
		if _, err := b.Discard(3); err != nil {
			return nil, input.Unreadable(name, err)
		}
		x.enc = "UTF-8 with mark"
	case strings.HasPrefix(declared, "utf-16"):
		note(survey.Assumed, "declared as %s, but written byte by byte: read as UTF-8", declared)
	case declared != "" && declared != "utf-8" && declared != "us-ascii":
		enc, err := encodingOf(declared)
		if err != nil {
			return nil, &survey.Error{Pos: survey.Pos{File: name, Line: 1, Col: 1}, Element: "XML declaration", Found: fmt.Sprintf("encoding %q", declared), Want: "an encoding that is known, such as UTF-8", Err: err}
		}
		decode(enc, strings.ToUpper(declared))
	}
	if x.enc == "UTF-8" {
		in = transform.NewReader(in, &mixedUTF8{warn: func() {
			note(survey.Assumed, "bytes that are not UTF-8 are read as Windows-1252")
		}})
	}
	x.src = newXMLSource(in)
	x.d = xml.NewDecoder(x.src)
	x.d.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil } // already converted to UTF-8
	return x, nil
}

// declaration returns an attribute of the XML declaration, in lower case.
func declaration(head []byte, attribute string) string {
	end := bytes.Index(head, []byte("?>"))
	if end < 0 || !bytes.HasPrefix(bytes.TrimLeft(head, " \t\r\n"), []byte("<?xml")) {
		return ""
	}
	_, rest, ok := strings.Cut(string(head[:end]), attribute)
	if !ok {
		return ""
	}
	rest = strings.TrimLeft(rest, " \t\r\n=")
	if rest == "" || rest[0] != '"' && rest[0] != '\'' {
		return ""
	}
	value, _, _ := strings.Cut(rest[1:], rest[:1])
	return strings.ToLower(strings.TrimSpace(value))
}

// mixedUTF8 passes UTF-8 through and reads every invalid byte as Windows-1252.
type mixedUTF8 struct {
	transform.NopResetter
	warn func()
}

func (m *mixedUTF8) Transform(dst, src []byte, atEOF bool) (nDst, nSrc int, err error) {
	for nSrc < len(src) {
		if src[nSrc] < utf8.RuneSelf {
			if nDst == len(dst) {
				return nDst, nSrc, transform.ErrShortDst
			}
			dst[nDst] = src[nSrc]
			nDst++
			nSrc++
			continue
		}
		r, size := utf8.DecodeRune(src[nSrc:])
		if r == utf8.RuneError && size == 1 {
			if !atEOF && !utf8.FullRune(src[nSrc:]) {
				return nDst, nSrc, transform.ErrShortSrc
			}
			r = charmap.Windows1252.DecodeByte(src[nSrc])
			if m.warn != nil {
				m.warn()
				m.warn = nil
			}
		}
		if nDst+utf8.RuneLen(r) > len(dst) {
			return nDst, nSrc, transform.ErrShortDst
		}
		nDst += utf8.EncodeRune(dst[nDst:], r)
		nSrc += size
	}
	return nDst, nSrc, nil
}

// token returns the next token. It checks that end tags match start tags.
func (x *xmlReader) token() (xml.Token, error) {
	x.at = x.here()
	t, err := x.d.RawToken()
	x.report()
	if err != nil {
		at := x.here()
		var syntax *xml.SyntaxError
		var own *survey.Error
		switch {
		case errors.As(err, &own):
			return nil, err
		case errors.Is(err, io.EOF) && len(x.open) > 0, errors.As(err, &syntax) && strings.Contains(syntax.Msg, "unexpected EOF"):
			where := "before the root element"
			if n := len(x.open); n > 0 {
				where = "inside " + x.open[n-1]
			}
			return nil, &survey.Error{Pos: at, Found: "the end of the file " + where, Want: "a whole file; this one is cut short", Err: err}
		case errors.Is(err, io.EOF):
			return nil, &survey.Error{Pos: at, Found: "no element", Want: "a LandXML document", Err: err}
		case errors.As(err, &syntax):
			return nil, &survey.Error{Pos: at, Found: syntax.Msg, Want: "well-formed XML", Err: err}
		}
		return nil, &survey.Error{Pos: at, Want: "a file that can be read: " + err.Error(), Err: err}
	}
	switch t := t.(type) {
	case xml.StartElement:
		x.closing = x.src.selfClosed()
		x.open = append(x.open, qualified(t.Name))
		switch {
		case len(x.open) > xmlDepth:
			return nil, &survey.Error{Pos: x.at, Element: "<" + qualified(t.Name) + ">", Found: fmt.Sprintf("elements nested more than %d deep", xmlDepth), Want: "a LandXML document, whose elements are a dozen deep"}
		case len(t.Attr) > xmlAttributes:
			return nil, &survey.Error{Pos: x.at, Element: "<" + qualified(t.Name) + ">", Found: fmt.Sprintf("%d attributes", len(t.Attr)), Want: fmt.Sprintf("up to %d", xmlAttributes)}
		}
		for i, a := range t.Attr {
			if slices.ContainsFunc(t.Attr[:i], func(b xml.Attr) bool { return a.Name == b.Name }) {
				return nil, &survey.Error{Pos: x.at, Element: "<" + qualified(t.Name) + ">", Found: "attribute " + qualified(a.Name) + " twice", Want: "well-formed XML"}
			}
			switch {
			case a.Name.Space == "xmlns":
				x.prefixes = append(x.prefixes, prefix{len(x.open), a.Name.Local, a.Value})
			case a.Name.Space == "" && a.Name.Local == "xmlns":
				x.prefixes = append(x.prefixes, prefix{len(x.open), "", a.Value})
			}
		}
		if len(x.prefixes) > xmlPrefixes {
			return nil, &survey.Error{Pos: x.at, Element: "<" + qualified(t.Name) + ">", Found: fmt.Sprintf("more than %d namespaces at once", xmlPrefixes), Want: "a LandXML document, which has one or two"}
		}
	case xml.EndElement:
		x.closing = false
		n := len(x.open)
		if n == 0 || x.open[n-1] != qualified(t.Name) {
			found := "</" + qualified(t.Name) + ">"
			if n == 0 {
				return nil, &survey.Error{Pos: x.at, Found: found, Want: "no end tag outside every element"}
			}
			return nil, &survey.Error{Pos: x.at, Found: found, Want: "</" + x.open[n-1] + ">"}
		}
		x.open = x.open[:n-1]
		for k := len(x.prefixes); k > 0 && x.prefixes[k-1].depth > n-1; k-- {
			x.prefixes = x.prefixes[:k-1]
		}
	}
	return t, nil
}

// report gives the progress, once per megabyte max.
func (x *xmlReader) report() {
	if x.progress != nil && x.read.n-x.reported > 1<<20 {
		x.reported = x.read.n
		x.progress(x.reported, 0)
	}
}

// ahead is 1 if the decoder has already read a byte of the next token, else 0.
func (x *xmlReader) ahead() int { return int(x.src.took - x.d.InputOffset()) }

// here returns the start of the next token. A byte already read is never a line end.
func (x *xmlReader) here() survey.Pos {
	line, col := x.src.place()
	return survey.Pos{File: x.name, Line: line, Col: max(1, col-x.ahead())}
}

// tags returns the start and end tags of a child of the element just opened, written
// with the same prefix.
func (x *xmlReader) tags(child string) (begin, end []byte) {
	if p, _, ok := strings.Cut(x.open[len(x.open)-1], ":"); ok {
		child = p + ":" + child
	}
	return []byte("<" + child), []byte("</" + child + ">")
}

func qualified(n xml.Name) string {
	if n.Space == "" {
		return n.Local
	}
	return n.Space + ":" + n.Local
}

// namespace returns the namespace of a prefix, or the prefix itself if it is not
// declared.
func (x *xmlReader) namespace(p string) string {
	for k := len(x.prefixes) - 1; k >= 0; k-- {
		if x.prefixes[k].name == p {
			return x.prefixes[k].uri
		}
	}
	return p
}

// root returns the root element.
func (x *xmlReader) root() (*element, error) {
	for {
		t, err := x.token()
		if err != nil {
			return nil, err
		}
		if s, ok := t.(xml.StartElement); ok {
			x.home = x.namespace(s.Name.Space)
			return &element{s.Name.Local, s.Attr, x.at}, nil
		}
	}
}

// another reports whether a second element begins after the root, as in two joined
// files. Other data there (a NUL, an end-of-file mark) does no harm.
func (x *xmlReader) another() bool {
	for {
		t, err := x.token()
		if err != nil {
			return false
		}
		if _, ok := t.(xml.StartElement); ok {
			return true
		}
	}
}

// each calls f for every child of the element just opened, up to its end. f must read
// its child to the end, with each, text or skip.
func (x *xmlReader) each(f func(e *element) error) error {
	return x.eachBut(nil, f)
}

// eachBut is each, except that plain may read whole children directly from src before
// the decoder does.
func (x *xmlReader) eachBut(plain func(), f func(e *element) error) error {
	e := new(element) // one value for all children: f does not keep it
	for {
		if plain != nil && !x.closing && x.ahead() == 0 {
			plain()
			x.report()
		}
		t, err := x.token()
		if err != nil {
			return err
		}
		switch t := t.(type) {
		case xml.EndElement:
			return nil
		case xml.StartElement:
			if x.namespace(t.Name.Space) != x.home {
				err = x.skip()
			} else {
				*e = element{t.Name.Local, t.Attr, x.at}
				err = f(e)
			}
			if err != nil {
				return err
			}
		}
	}
}

// text appends the text of the element just opened, up to its end, without the text of
// its children.
func (x *xmlReader) text(into []byte) ([]byte, error) {
	for {
		t, err := x.token()
		if err != nil {
			return into, err
		}
		switch t := t.(type) {
		case xml.CharData:
			into = append(into, t...)
		case xml.StartElement:
			into = append(into, ' ')
			if err := x.skip(); err != nil {
				return into, err
			}
		case xml.EndElement:
			return into, nil
		}
	}
}

// skip reads the element just opened to its end.
func (x *xmlReader) skip() error {
	for depth := len(x.open); len(x.open) >= depth; {
		if _, err := x.token(); err != nil {
			return err
		}
	}
	return nil
}

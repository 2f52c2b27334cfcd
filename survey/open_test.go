package survey

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pourplane/survey/unit"
)

// pipe serves text under any name, once, as a pipe does: it has no size and cannot
// be read again.
func pipe(text string) Options {
	left := strings.NewReader(text)
	return Options{Unit: unit.Metre, Open: func(string) (io.ReadCloser, error) {
		return io.NopCloser(struct{ io.Reader }{left}), nil
	}}
}

// What a pipe gives is read from its first byte to its last, in each way of
// reading text.
func TestPipeIsReadFromItsFirstByte(t *testing.T) {
	var b strings.Builder
	b.WriteString("x,y,z\n")
	for i := range 500 { // some 10 kB, many times what is looked at
		fmt.Fprintf(&b, "%d.25,%d.5,9.%03d\n", i%25, i/25, i)
	}
	for _, thin := range []Thin{{}, {Cell: 0.1}} {
		o := pipe(b.String())
		o.Thin = thin
		s, err := Open("fifo", o)
		if err != nil {
			t.Fatal(err)
		}
		if s.Rows != 500 || len(s.Points) != 500 {
			t.Errorf("thin %v: %d rows, %d points, want 500", thin, s.Rows, len(s.Points))
		}
		if p := s.Points[0]; thin.Cell == 0 && (p.X != 0.25 || p.Y != 0.5 || p.Z != 9) {
			t.Errorf("first point %v", p)
		}
	}
	edge, err := OpenOutline("fifo", pipe("x,y\n0,0\n4,0\n4,3\n"))
	if err != nil || len(edge.Rings[0].Points) != 3 {
		t.Errorf("outline: %v, %v", edge, err)
	}
}

func TestStandardInputIsNamedInMessages(t *testing.T) {
	o := pipe("x,y,z\n1,2,3\n4,five,6\n7,8,9\n1,1,1\n")
	_, err := Open(Stdin, o)
	if err == nil || !strings.HasPrefix(err.Error(), "standard input:3:3: ") {
		t.Errorf("got %v", err)
	}
	if _, err := OpenAll([]string{Stdin, Stdin}, o); err == nil || !strings.HasPrefix(err.Error(), "standard input: found the file twice") {
		t.Errorf("got %v", err)
	}
}

// forever repeats a text without end.
type forever struct {
	text string
	gave int64
}

func (f *forever) Read(p []byte) (int, error) {
	n := copy(p, f.text[f.gave%int64(len(f.text)):])
	f.gave += int64(n)
	return n, nil
}

func TestEndlessInputIsRefused(t *testing.T) {
	const limit = 1 << 20
	point := `<CgPoint name="1">1 2 3</CgPoint>`
	vertex := "0 0 0\n"
	for _, c := range []struct {
		name, head, text string
		thin             Thin
	}{
		{"text", "x,y,z\n", "1.5,2.5,3.5\n", Thin{}},
		{"thinned text", "x,y,z\n", "1.5,2.5,3.5\n", Thin{Cell: 1}},
		{"LandXML", `<LandXML version="1.2"><Units><Metric linearUnit="meter"/></Units><CgPoints>`, point, Thin{}},
		{"thinned LandXML", `<LandXML version="1.2"><Units><Metric linearUnit="meter"/></Units><CgPoints>`, point, Thin{Cell: 1}},
		{"PLY", "ply\nformat ascii 1.0\nelement vertex 999999999\nproperty float x\nproperty float y\nproperty float z\nend_header\n", vertex, Thin{Cell: 1}},
	} {
		endless := &forever{text: c.text}
		o := Options{Unit: unit.Metre, MaxSize: limit, Thin: c.thin, Open: func(string) (io.ReadCloser, error) {
			return io.NopCloser(io.MultiReader(strings.NewReader(c.head), endless)), nil
		}}
		_, err := Open("fifo", o)
		var e *Error
		if !errors.As(err, &e) || e.File != "fifo" || e.Found != "more than 1.049 MB" || e.Hint != "--max-size 4.194MB, or --thin 50mm for a scan in a file" {
			t.Errorf("%s: %v", c.name, err)
		}
		if endless.gave > limit+scanBuffer {
			t.Errorf("%s: %d bytes read before the refusal, want hardly more than %d", c.name, endless.gave, limit)
		}
	}
}

// Of what is no text by its first bytes no more is read.
func TestBytesThatAreNoTextAreRefusedAtOnce(t *testing.T) {
	zeros := &forever{text: "\x00"}
	_, err := Open("zero", Options{Open: func(string) (io.ReadCloser, error) { return io.NopCloser(zeros), nil }})
	if err == nil || !strings.HasPrefix(err.Error(), "zero:1: found byte 00, want delimited text") {
		t.Errorf("got %v", err)
	}
	if zeros.gave > 1<<16 {
		t.Errorf("%d bytes read", zeros.gave)
	}
}

// The limit is on what is held: a file of exactly as many bytes passes, and one
// that is thinned while it is read may have any size.
func TestSizeLimit(t *testing.T) {
	const list = "x,y,z\n1,2,3\n4,5,6\n7,8,10\n"
	name := filepath.Join(t.TempDir(), "floor.csv")
	if err := os.WriteFile(name, []byte(list), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		limit   int64
		thin    Thin
		refused bool
	}{
		{int64(len(list)), Thin{}, false},
		{int64(len(list)) - 1, Thin{}, true},
		{10, Thin{Cell: 1}, false},
	} {
		o := Options{Unit: unit.Metre, MaxSize: c.limit, Thin: c.thin}
		if _, err := Open(name, o); (err != nil) != c.refused {
			t.Errorf("limit %d, thin %v: %v", c.limit, c.thin, err)
		}
		if c.thin.Cell == 0 {
			if _, err := ReadText(bytes.NewBufferString(list), "f.csv", o); (err != nil) != c.refused {
				t.Errorf("limit %d: %v", c.limit, err)
			}
		}
	}
	if (Options{}).maxSize() != 256e6 {
		t.Errorf("default %d bytes, want the 256 MB of the help", (Options{}).maxSize())
	}
}

func TestLandXMLLimits(t *testing.T) {
	nested := func(n int) string {
		return `<LandXML version="1.2"><Units><Metric linearUnit="meter"/></Units>` + strings.Repeat("<CgPoints>", n) +
			`<CgPoint name="1">1 2 3</CgPoint>` + strings.Repeat("</CgPoints>", n) + "</LandXML>"
	}
	with := func(attributes string) string {
		return "<LandXML version=\"1.2\"><Units><Metric linearUnit=\"meter\"/></Units>\n<CgPoints" + attributes + `><CgPoint name="1">1 2 3</CgPoint></CgPoints></LandXML>`
	}
	many := func(format string, n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, format, i)
		}
		return b.String()
	}
	for _, c := range []struct{ name, doc, want string }{
		{"as deep as may be", nested(98), ""},
		{"too deep", nested(99), `x.xml:1:1057: <CgPoint>: found elements nested more than 100 deep, want a LandXML document, whose elements are a dozen deep`},
		{"a million deep", nested(1e6), `x.xml:1:1057: <CgPoints>: found elements nested more than 100 deep, want a LandXML document, whose elements are a dozen deep`},
		{"as many attributes as may be", with(many(` a%d=""`, 250)), ""},
		{"too many", with(many(` a%d=""`, 251)), `x.xml:2:1: <CgPoints>: found 251 attributes, want up to 250`},
		{"a million", with(many(` a%d=""`, 1e6)), `x.xml:2:1: <CgPoints>: found 1000000 attributes, want up to 250`},
		{"as many namespaces as may be", with(many(` xmlns:a%d="u"`, 100)), ""},
		{"too many namespaces", with(many(` xmlns:a%d="u"`, 101)), `x.xml:2:1: <CgPoints>: found more than 100 namespaces at once, want a LandXML document, which has one or two`},
	} {
		_, err := ReadLandXML(strings.NewReader(c.doc), "x.xml", Options{})
		got := ""
		if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

// A refusal names the file, whatever breaks off.
func TestFailingInputNamesItsFile(t *testing.T) {
	broken := errors.New("the line is dead")
	for _, head := range []string{"", "x,y,z\n1,2,3\n", "<LandXML>", "\xef\xbb\xbf<LandXML>" + strings.Repeat(" ", 2000), "LASF", "ply\nformat ascii 1.0\n"} {
		for _, thin := range []Thin{{}, {Cell: 1}} {
			_, err := Open("dead.in", Options{Unit: unit.Metre, Thin: thin, Open: func(string) (io.ReadCloser, error) {
				return io.NopCloser(io.MultiReader(strings.NewReader(head), errorReader{broken})), nil
			}})
			if err == nil || !strings.HasPrefix(err.Error(), "dead.in") || !strings.Contains(err.Error(), "the line is dead") {
				t.Errorf("%q: %v", head, err)
			}
		}
	}
}

type errorReader struct{ err error }

func (e errorReader) Read([]byte) (int, error) { return 0, e.err }

package file

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/internal/input"
	"pourplane/survey/text"
	"pourplane/survey/unit"
)

// The share of the file read needs its size.
func TestOpenTellsProgressOfTheWholeFile(t *testing.T) {
	name := filepath.Join(t.TempDir(), "long.xml")
	var doc bytes.Buffer
	doc.WriteString(`<LandXML version="1.2"><Units><Metric linearUnit="meter"/></Units><CgPoints>`)
	for i := range 100_000 { // 4 MB; progress is reported once per megabyte
		fmt.Fprintf(&doc, `<CgPoint name="%d">%d %d 9.975</CgPoint>`, i, i/400, i%400)
	}
	doc.WriteString("</CgPoints></LandXML>")
	if err := os.WriteFile(name, doc.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	calls := 0
	o := survey.Options{Progress: func(done, total int64) {
		calls++
		if total != int64(doc.Len()) || done > total {
			t.Errorf("%d of %d bytes; the file has %d", done, total, doc.Len())
		}
	}}
	if _, err := Open(name, o); err != nil || calls < 2 {
		t.Errorf("%d calls, error %v", calls, err)
	}
}

// pipe opens text under any name, once. Like a pipe it has no size and cannot be read
// again.
func pipe(text string) survey.Options {
	left := strings.NewReader(text)
	return survey.Options{Unit: unit.Metre, Open: func(string) (io.ReadCloser, error) {
		return io.NopCloser(struct{ io.Reader }{left}), nil
	}}
}

// A pipe is read from its first byte to its last, however text is read.
func TestPipeIsReadFromItsFirstByte(t *testing.T) {
	var b strings.Builder
	b.WriteString("x,y,z\n")
	for i := range 500 { // about 10 kB, many times the bytes used to find the format
		fmt.Fprintf(&b, "%d.25,%d.5,9.%03d\n", i%25, i/25, i)
	}
	for _, thin := range []survey.Thin{{}, {Cell: 0.1}} {
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

// forever repeats a text endlessly.
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
		thin             survey.Thin
	}{
		{"text", "x,y,z\n", "1.5,2.5,3.5\n", survey.Thin{}},
		{"thinned text", "x,y,z\n", "1.5,2.5,3.5\n", survey.Thin{Cell: 1}},
		{"LandXML", `<LandXML version="1.2"><Units><Metric linearUnit="meter"/></Units><CgPoints>`, point, survey.Thin{}},
		{"thinned LandXML", `<LandXML version="1.2"><Units><Metric linearUnit="meter"/></Units><CgPoints>`, point, survey.Thin{Cell: 1}},
		{"PLY", "ply\nformat ascii 1.0\nelement vertex 999999999\nproperty float x\nproperty float y\nproperty float z\nend_header\n", vertex, survey.Thin{Cell: 1}},
	} {
		endless := &forever{text: c.text}
		o := survey.Options{Unit: unit.Metre, MaxSize: limit, Thin: c.thin, Open: func(string) (io.ReadCloser, error) {
			return io.NopCloser(io.MultiReader(strings.NewReader(c.head), endless)), nil
		}}
		_, err := Open("fifo", o)
		var e *survey.Error
		if !errors.As(err, &e) || e.File != "fifo" || e.Found != "more than 1.049 MB" || e.Hint != "--max-size 4.194MB, or --thin 50mm for a scan in a file" {
			t.Errorf("%s: %v", c.name, err)
		}
		if endless.gave > limit+input.BufferSize {
			t.Errorf("%s: %d bytes read before the refusal, want hardly more than %d", c.name, endless.gave, limit)
		}
	}
}

// If the first bytes are not text, no more is read.
func TestBytesThatAreNoTextAreRefusedAtOnce(t *testing.T) {
	zeros := &forever{text: "\x00"}
	_, err := Open("zero", survey.Options{Open: func(string) (io.ReadCloser, error) { return io.NopCloser(zeros), nil }})
	if err == nil || !strings.HasPrefix(err.Error(), "zero:1: found byte 00, want delimited text") {
		t.Errorf("got %v", err)
	}
	if zeros.gave > 1<<16 {
		t.Errorf("%d bytes read", zeros.gave)
	}
}

// The limit applies to what is kept in memory: a file of exactly the limit passes, and a
// file that is thinned while it is read may have any size.
func TestSizeLimit(t *testing.T) {
	const list = "x,y,z\n1,2,3\n4,5,6\n7,8,10\n"
	name := filepath.Join(t.TempDir(), "floor.csv")
	if err := os.WriteFile(name, []byte(list), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		limit   int64
		thin    survey.Thin
		refused bool
	}{
		{int64(len(list)), survey.Thin{}, false},
		{int64(len(list)) - 1, survey.Thin{}, true},
		{10, survey.Thin{Cell: 1}, false},
	} {
		o := survey.Options{Unit: unit.Metre, MaxSize: c.limit, Thin: c.thin}
		if _, err := Open(name, o); (err != nil) != c.refused {
			t.Errorf("limit %d, thin %v: %v", c.limit, c.thin, err)
		}
		if c.thin.Cell == 0 {
			if _, err := text.Read(bytes.NewBufferString(list), "f.csv", o); (err != nil) != c.refused {
				t.Errorf("limit %d: %v", c.limit, err)
			}
		}
	}
	if (survey.Options{}).Limit() != 256e6 {
		t.Errorf("default %d bytes, want the 256 MB of the help", (survey.Options{}).Limit())
	}
}

// A refusal names the file, whatever fails.
func TestFailingInputNamesItsFile(t *testing.T) {
	broken := errors.New("the line is dead")
	for _, head := range []string{"", "x,y,z\n1,2,3\n", "<LandXML>", "\xef\xbb\xbf<LandXML>" + strings.Repeat(" ", 2000), "LASF", "ply\nformat ascii 1.0\n"} {
		for _, thin := range []survey.Thin{{}, {Cell: 1}} {
			_, err := Open("dead.in", survey.Options{Unit: unit.Metre, Thin: thin, Open: func(string) (io.ReadCloser, error) {
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

func TestOpenNamesMissingFiles(t *testing.T) {
	name := filepath.Join(t.TempDir(), "none.csv")
	_, err := Open(name, survey.Options{})
	check.Errors(t, err, []string{name + ": found no file of this name, want a file that can be read"})
	_, err = OpenOutline(name, survey.Options{})
	check.Errors(t, err, []string{"found no file of this name"})
	_, err = Open(t.TempDir(), survey.Options{})
	check.Errors(t, err, []string{"a file that can be read"})
}

func TestOpenReadsXMLAsLandXML(t *testing.T) {
	for _, text := range []string{"<?xml version=\"1.0\"?>\n<Garden/>", "\xef\xbb\xbf  <Garden/>", "\xff\xfe<\x00?\x00x\x00m\x00l\x00 \x00v\x00e\x00r\x00s\x00i\x00o\x00n\x00=\x00'\x001\x00.\x000\x00'\x00?\x00>\x00<\x00G\x00a\x00r\x00d\x00e\x00n\x00/\x00>\x00"} {
		name := filepath.Join(t.TempDir(), "x.csv")
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := Open(name, survey.Options{})
		check.Errors(t, err, []string{"<Garden>, want <LandXML>"})
		_, err = OpenOutline(name, survey.Options{})
		check.Errors(t, err, []string{"<Garden>, want <LandXML>"})
	}
}

// Blanks at the ends of lines, the first included, have no meaning.
func TestPLYWithTrailingBlanks(t *testing.T) {
	for _, first := range []string{"ply\n", "ply \n", "ply\t \r\n", "ply\r\n"} {
		doc := first + "format ascii 1.0 \nelement vertex 3 \nproperty float x\t\nproperty float y\nproperty float z\nend_header \n0 0 1 \n4 0 1\n0 3 1\n"
		s, err := Open("f.ply", pipe(doc))
		if err != nil || len(s.Points) != 3 || s.Format != "PLY ascii" {
			t.Errorf("%q: %v", first, err)
		}
	}
}

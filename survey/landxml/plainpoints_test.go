package landxml

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"pourplane/survey"
)

// A point in the simplest form is read without the decoder. An entity in an attribute
// leads through the decoder, and must give the same points, places, notes and errors.
func TestPlainPointsAreReadAsByTheDecoder(t *testing.T) {
	for _, c := range []struct{ tag, rest string }{
		{`<CgPoint`, `>1 2 3</CgPoint>`},
		{`<CgPoint name="7"`, `>1 2 3</CgPoint>`},
		{`<CgPoint name="7" oID="8"`, `>1 2 3</CgPoint>`},
		{`<CgPoint oID="8"`, `>1 2 3</CgPoint>`},
		{`<CgPoint name="" oID="8"`, `>1 2 3</CgPoint>`},
		{`<CgPoint name='a "b"' code='FL'`, `>1.25 -2e-3 .5</CgPoint>`},
		{`<CgPoint name="it's > 3" code="FL"`, `>1 2 3</CgPoint>`},
		{"<CgPoint\n\tname=\"7\"\r\n code=\"DRAIN\"", ">\n 1\t2\n3 \n</CgPoint>"},
		{"<CgPoint name=\"a\tb\"", ">1 2 3</CgPoint>"},
		{"<CgPoint name=\"a\nb\"", ">1 2 3</CgPoint>"},
		{`<CgPoint name="é"`, `>1 2 3</CgPoint>`},
		{`<CgPoint name="&lt;7>"`, `>1 2 3</CgPoint>`},
		{`<CgPoint name = "7"`, `>1 2 3</CgPoint>`},
		{`<CgPoint name="7"code="FL"`, `>1 2 3</CgPoint>`},
		{`<CgPoint name="7" name="8"`, `>1 2 3</CgPoint>`},
		{`<CgPoint name=7`, `>1 2 3</CgPoint>`},
		{`<CgPoint name="7" bare`, `>1 2 3</CgPoint>`},
		{`<CgPoint name="7" x:code="FL"`, `>1 2 3</CgPoint>`},
		{`<CgPoint name="7" xmlns="http://www.example.org/other"`, `>1 2 3</CgPoint>`},
		{`<CgPoint name="7" pntRef="1"`, `></CgPoint>`},
		{`<CgPoint name="7" pntRef="1"`, `/>`},
		{`<CgPoint name="7" DTMAttribute="donotinclude"`, `>1 2 3</CgPoint>`},
		{`<CgPoint name="7"`, `>1 2</CgPoint>`},
		{`<CgPoint name="7"`, `>1</CgPoint>`},
		{`<CgPoint name="7"`, `>1 2 3 4</CgPoint>`},
		{`<CgPoint name="7"`, `>1 2 x</CgPoint>`},
		{`<CgPoint name="7"`, `>1 2 NaN</CgPoint>`},
		{`<CgPoint name="7"`, `>1 2 3</CgPoint  >`},
		{`<CgPoint name="7"`, `>1 2 3</CgPoints>`},
		{`<CgPoint name="7"`, `>1 2 <Feature/>3</CgPoint>`},
		{`<CgPoint name="7"`, `>1 2 <!-- up -->3</CgPoint>`},
		{`<CgPoint name="7"`, `>1 2 &#51;</CgPoint>`},
		{`<CgPoint name="7"`, `>1 2 3`},
		{`<CgPoint name="` + strings.Repeat("n", 5000) + `"`, `>1 2 3</CgPoint>`},
		{`<CgPointer name="7"`, `>1 2 3</CgPointer>`},
	} {
		read := func(more string) (*survey.Survey, error) {
			const first = `<CgPoints><CgPoint name="1">8 9 7</CgPoint>`
			doc := head + metr + first + "\n" + c.tag + more + c.rest + "\n</CgPoints>" + end
			return Read(strings.NewReader(doc), "x.xml", survey.Options{})
		}
		plain, err := read(` desc="plain"`)
		decoded, want := read(` desc="&amp;"`)
		if got, want := fmt.Sprint(err), fmt.Sprint(want); got != want {
			t.Errorf("%s%.40s: error %s\nby the decoder %s", c.tag, c.rest, got, want)
		}
		if got, want := fmt.Sprintf("%+v", plain), fmt.Sprintf("%+v", decoded); got != want {
			t.Errorf("%s%.40s: %s\nby the decoder %s", c.tag, c.rest, got, want)
		}
	}
}

// The points of a file that are written with a prefix are read as those without.
func TestPlainPointsWithAPrefix(t *testing.T) {
	doc := head + metr + `<CgPoints><CgPoint name="1" code="FL">8 9 7</CgPoint><CgPoint name="2">6 5 4</CgPoint></CgPoints>` + end
	plain, err := Read(strings.NewReader(doc), "x.xml", survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	doc = strings.NewReplacer("xmlns=", "xmlns:q=", "</", "</q:", "<?", "<?", "<", "<q:").Replace(doc)
	prefixed, err := Read(strings.NewReader(doc), "x.xml", survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range plain.Points {
		q, tag := prefixed.Points[i], p.Tag()
		if tag.At = q.At(); q.String() != p.With(tag).String() {
			t.Errorf("%v with a prefix, %v without", q, p)
		}
	}
	if len(prefixed.Points) != 2 || len(plain.Points) != 2 {
		t.Error("not two points")
	}
}

func BenchmarkReadCgPoints(b *testing.B) {
	n := 1_000_000
	if testing.Short() {
		n = 100_000
	}
	var doc bytes.Buffer
	doc.WriteString(head + metr + "<CgPoints>")
	for i := range n {
		fmt.Fprintf(&doc, "<CgPoint name=\"%d\" code=\"FL\">%d.125 %d.250 9.%03d</CgPoint>\n", i+1, i/1000, i%1000, i%997)
	}
	doc.WriteString("</CgPoints>" + end)
	b.SetBytes(int64(doc.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(bytes.NewReader(doc.Bytes()), "x.xml", survey.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

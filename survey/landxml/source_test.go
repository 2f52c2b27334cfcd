package landxml

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"pourplane/survey"
)

// shape prints every surface bit by bit, without columns.
func shape(s *survey.Survey) string {
	var b strings.Builder
	for _, u := range s.Surfaces {
		fmt.Fprintln(&b, u.Name, u.Faces, u.FaceLine)
		for _, v := range u.Vertices {
			fmt.Fprintln(&b, math.Float64bits(v.X), math.Float64bits(v.Y), math.Float64bits(v.Z), v.At().Line)
		}
	}
	return b.String()
}

// An extra blank in every tag sends points and faces through the decoder. Both paths
// must read the same, however the bytes arrive.
func TestPlainElementsReadAsTheDecoderReadsThem(t *testing.T) {
	files, err := filepath.Glob("../../testdata/landxml/*/*.xml")
	if err != nil {
		t.Fatal(err)
	}
	faces := 0
	for _, name := range files {
		doc, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		plain, err := Read(bytes.NewReader(doc), "x.xml", survey.Options{})
		slow := doc
		for _, tag := range []string{"P ", "F>", "F "} {
			for _, p := range []string{"<", "<lx:"} {
				wide := strings.Replace(tag, ">", " >", 1)
				if strings.HasSuffix(tag, " ") {
					wide = tag + " "
				}
				slow = bytes.ReplaceAll(slow, []byte(p+tag), []byte(p+wide))
			}
		}
		decoded, slowErr := Read(bytes.NewReader(slow), "x.xml", survey.Options{})
		if (err == nil) != (slowErr == nil) {
			t.Errorf("%s: plain %v, decoded %v", name, err, slowErr)
		}
		if err != nil || slowErr != nil {
			continue
		}
		dribble, err := Read(iotest.HalfReader(bytes.NewReader(doc)), "x.xml", survey.Options{})
		if err != nil {
			t.Fatalf("%s in halves: %v", name, err)
		}
		if shape(plain) != shape(decoded) || shape(plain) != shape(dribble) {
			t.Errorf("%s: read differently past the decoder, through it, or in pieces", name)
		}
		for _, u := range plain.Surfaces {
			faces += len(u.Faces)
		}
	}
	if faces < 10_000 {
		t.Errorf("only %d faces compared", faces)
	}
}

// Places stay correct after elements that are read without the decoder: each marked
// element is found at its place in the text.
func TestPlacesBehindPlainElements(t *testing.T) {
	rows := "<P id=\"7\">0 0 1</P>\n  "
	for i := range 5000 {
		rows += fmt.Sprintf("<P id=\"%d\">%d.5 0 1</P>\r\n\t", i+10, i)
	}
	doc := func(bad string) string {
		return head + metr + `<Surfaces><Surface name="s"><Definition surfType="TIN"><Pnts>` + rows + bad + `</Pnts><Faces><F>7 10 11</F></Faces></Definition></Surface></Surfaces>` + end
	}
	for _, bad := range []string{`<P id="6">0 x 1</P>`, `<P id="7">0 1 1</P>`, `<P id="1" >1,5 0 1</P>`, `<P id="q">1 0 1</P>`} {
		text := doc(bad)
		before := text[:strings.Index(text, bad)]
		want := fmt.Sprintf("x.xml:%d:%d: ", strings.Count(before, "\n")+1, len(before)-strings.LastIndex(before, "\n"))
		_, err := Read(strings.NewReader(text), "x.xml", survey.Options{})
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s: error %v, want it at %s", bad, err, want)
		}
	}
}

func TestPlainForms(t *testing.T) {
	begin, end := []byte(`<P id="`), []byte("</P>")
	for _, c := range []struct {
		text string
		ok   bool
	}{
		{`<P id="12">1.5 -2 3e0</P>`, true},
		{"<P id=\"12\">\r\n\t1.5  -2\n3 </P><P", true},
		{`<P id="12">1.5 -2</P>`, false},
		{`<P id="12">1.5 -2 3 4</P>`, false},
		{`<P id="12" name="a">1.5 -2 3</P>`, false},
		{`<P id="a">1.5 -2 3</P>`, false},
		{`<P id="12">1.5 -2 <!-- no --> 3</P>`, false},
		{`<P id="12">1.5 -2 &#51;</P>`, false},
		{`<P id="12">1.5 -2 3</Q>`, false},
		{`<P id="12">1.5 -2 3`, false},
		{`<P id="12`, false},
		{``, false},
	} {
		id, xyz, _, ok := plainPoint([]byte(c.text), begin, end)
		if ok != c.ok || ok && (id != 12 || xyz != [3]float64{1.5, -2, 3}) {
			t.Errorf("%q: id %d, %v, %v; want %v", c.text, id, xyz, ok, c.ok)
		}
	}
	begin, end = []byte("<F"), []byte("</F>")
	for _, c := range []struct {
		text       string
		hidden, ok bool
	}{
		{`<F>1 22 3</F>`, false, true},
		{`<F i="1">1 22 3</F>`, true, true},
		{`<F i="0" n="0 2 3">  1 22 3 </F>`, false, true},
		{`<F n="0 2 3" b="4" i="1" M="2">1 22 3</F>`, true, true},
		{`<F i="true">1 22 3</F>`, false, false},
		{`<F n="&lt;">1 22 3</F>`, false, false},
		{`<F i="1" i="0">1 22 3</F>`, false, false},
		{`<F q="1">1 22 3</F>`, false, false},
		{`<F i='1'>1 22 3</F>`, false, false},
		{`<Feature>1 22 3</Feature>`, false, false},
		{`<F>1 22</F>`, false, false},
		{`<F>1 22 3 4</F>`, false, false},
		{`<F i="1`, false, false},
	} {
		ids, hidden, _, ok := plainFace([]byte(c.text), begin, end, 3)
		if ok != c.ok || hidden != c.hidden || ok && [3]int32(ids[:3]) != [3]int32{1, 22, 3} {
			t.Errorf("%q: %v, hidden %v, %v; want hidden %v, %v", c.text, ids, hidden, ok, c.hidden, c.ok)
		}
	}
}

// The error of a failing reader is reported, not a file cut short.
func TestSourceKeepsTheErrorOfItsReader(t *testing.T) {
	broken := io.ErrClosedPipe
	doc := io.MultiReader(strings.NewReader(head+metr+`<Surfaces><Surface name="s"><Definition surfType="TIN"><Pnts><P id="1">0 0 1</P>`), iotest.ErrReader(broken))
	_, err := Read(doc, "x.xml", survey.Options{})
	if !errors.Is(err, broken) {
		t.Errorf("error %v, want %v", err, broken)
	}
}

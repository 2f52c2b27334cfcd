package landxml

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
)

// bulk makes a document of n points and 2n faces in rows, after padding that no reader
// needs to keep.
func bulk(n, padding int) io.Reader {
	var parts []io.Reader
	add := func(s string) { parts = append(parts, strings.NewReader(s)) }
	add(head + metr)
	for range padding {
		add(`<Alignments><Alignment name="a" length="1" staStart="0"><CoordGeom>`)
		const line = `<Line><Start>1 2 3</Start><End>4 5 6</End></Line>`
		parts = append(parts, io.LimitReader(&repeater{text: line}, int64(len(line)*20000)))
		add(`</CoordGeom></Alignment></Alignments>`)
	}
	if n == 0 {
		add(tri + end)
		return io.MultiReader(parts...)
	}
	var b bytes.Buffer
	b.WriteString(`<Surfaces><Surface name="s"><Definition surfType="TIN"><Pnts>`)
	wide := min(1000, n/10)
	for i := range n {
		fmt.Fprintf(&b, "<P id=\"%d\">%d.125 %d.250 9.%03d</P>\n", i+1, i/wide, i%wide, i%997)
	}
	b.WriteString("</Pnts><Faces>")
	for i := 0; i+wide+1 < n; i++ {
		if i%wide != wide-1 {
			fmt.Fprintf(&b, "<F>%d %d %d</F>\n<F>%d %d %d</F>\n", i+1, i+2, i+wide+2, i+1, i+wide+2, i+wide+1)
		}
	}
	b.WriteString(`</Faces></Definition></Surface></Surfaces>` + end)
	parts = append(parts, &b)
	return io.MultiReader(parts...)
}

// repeater yields text again and again.
type repeater struct {
	text string
	at   int
}

func (r *repeater) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = r.text[r.at]
		r.at = (r.at + 1) % len(r.text)
	}
	return len(p), nil
}

// 60 MB of elements that are not used must not be kept in memory.
func TestLandXMLIsStreamed(t *testing.T) {
	var before, peak runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	o := survey.Options{Progress: func(_, _ int64) {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		if m.HeapInuse > peak.HeapInuse {
			peak = m
		}
	}}
	if _, err := Read(bulk(0, 60), "x.xml", o); err != nil {
		t.Fatal(err)
	}
	if peak.HeapInuse == 0 {
		t.Fatal("no progress was shown")
	}
	if grown := int64(peak.HeapInuse) - int64(before.HeapInuse); grown > 16<<20 {
		t.Errorf("the heap grew by %d MB while 60 MB passed through", grown>>20)
	}
}

func FuzzReadLandXML(f *testing.F) {
	files, err := filepath.Glob("../../testdata/landxml/[mt]*/*.xml") // made, traps
	if err != nil || len(files) < 100 {
		f.Fatal("no seeds", err)
	}
	for _, name := range append(files, "../../testdata/landxml/samples/lx11-planfeature.xml", "../../testdata/landxml/samples/broken-faces.xml") {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := Read(bytes.NewReader(b), "x.xml", survey.Options{})
		if err == nil {
			soundLandXML(t, s)
			return
		}
		var e *survey.Error
		if !errors.As(err, &e) {
			t.Fatalf("an error of another kind: %v", err)
		}
		if lines := bytes.Count(b, []byte("\n")) + 1; e.Line > lines && !bytes.Contains(b, []byte{0}) {
			t.Fatalf("error on line %d of %d: %v", e.Line, lines, e)
		}
	})
}

// soundLandXML checks that every number is finite, and that the corners of each face
// exist and are at different places.
func soundLandXML(t *testing.T, s *survey.Survey) {
	t.Helper()
	check := func(what string, points []survey.Point, needZ bool) {
		for i, p := range points {
			if !check.Finite(p.X) || !check.Finite(p.Y) || math.IsInf(p.Z, 0) || needZ && !p.HasZ() {
				t.Fatalf("%s %d: %+v", what, i, p)
			}
		}
	}
	check("point", s.Points, true)
	check("control", s.Control, true)
	for _, r := range s.Outlines {
		check("outline", r.Points, false)
	}
	for _, u := range s.Surfaces {
		check("vertex", u.Vertices, true)
		check("data point", u.Points, true)
		places := map[[3]float64]bool{}
		for _, p := range u.Vertices {
			places[[3]float64{p.X, p.Y, p.Z}] = true
		}
		if len(places) != len(u.Vertices) {
			t.Fatalf("%d vertices at %d places", len(u.Vertices), len(places))
		}
		for _, face := range u.Faces {
			for _, v := range face {
				if v < 0 || int(v) >= len(u.Vertices) {
					t.Fatalf("face %v of %d vertices", face, len(u.Vertices))
				}
			}
		}
		for _, r := range u.Rings {
			check("corner", r.Points, false)
		}
		for _, b := range u.Breaklines {
			check("breakline", b.Points, false)
		}
	}
}

func BenchmarkRead(b *testing.B) {
	for _, c := range []struct {
		name string
		n    int
	}{{"1k", 1000}, {"100k", 100_000}, {"1M", 1_000_000}} {
		b.Run("points="+c.name, func(b *testing.B) {
			if c.n > 100_000 && testing.Short() {
				b.Skip("a million points take a second; not in short runs")
			}
			var doc bytes.Buffer
			if _, err := doc.ReadFrom(bulk(c.n, 0)); err != nil {
				b.Fatal(err)
			}
			b.SetBytes(int64(doc.Len()))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read(bytes.NewReader(doc.Bytes()), "x.xml", survey.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

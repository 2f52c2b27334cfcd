package landxml

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pourplane/survey"
)

// validate skips the test if xmllint or the schema is missing.
func validate(t *testing.T, files ...string) {
	t.Helper()
	xsd := os.Getenv("POURPLANE_LANDXML_XSD")
	lint, err := exec.LookPath("xmllint")
	if xsd == "" || err != nil {
		t.Skip("needs xmllint and the schema of LandXML 1.2 named by POURPLANE_LANDXML_XSD")
	}
	args := append([]string{"--nonet", "--noout", "--schema", xsd}, files...)
	if out, err := exec.Command(lint, args...).CombinedOutput(); err != nil {
		t.Errorf("not valid: %v\n%s", err, out)
	}
}

// place is a point as bits: -0 differs from 0, and all points without elevation are
// equal.
type place [3]uint64

func placeOf(p survey.Point) place {
	if !p.HasZ() {
		p.Z = math.NaN()
	}
	return place{math.Float64bits(p.X), math.Float64bits(p.Y), math.Float64bits(p.Z)}
}

func placesOf(points []survey.Point) []place {
	out := make([]place, 0, len(points))
	for _, p := range points {
		out = append(out, placeOf(p))
	}
	return out
}

// content is what must be read back from a written document.
type content struct {
	points   []namedPlace
	planOnly int
	surfaces []surfaceContent
}

type namedPlace struct {
	name, code string
	at         place
}

type surfaceContent struct {
	name   string
	faces  [][3]place
	source []place
	lines  []writtenLine
}

type writtenLine struct {
	name string
	kind string
	at   []place
}

func contentOf(points []survey.Point, surfaces []survey.Surface) content {
	var c content
	for _, p := range points {
		if p.HasZ() {
			c.points = append(c.points, namedPlace{p.Name(), p.Code(), placeOf(p)})
		} else {
			c.planOnly++
		}
	}
	for i := range surfaces {
		s := &surfaces[i]
		u := surfaceContent{name: s.Name, source: placesOf(s.Points)}
		for _, f := range s.Faces {
			u.faces = append(u.faces, [3]place{placeOf(s.Vertices[f[0]]), placeOf(s.Vertices[f[1]]), placeOf(s.Vertices[f[2]])})
		}
		for _, r := range s.Rings {
			u.lines = append(u.lines, writtenLine{r.Name, fmt.Sprint("ring ", r.Kind), placesOf(r.Points)})
		}
		for _, b := range s.Breaklines {
			u.lines = append(u.lines, writtenLine{b.Name, "breakline", placesOf(b.Points)})
		}
		c.surfaces = append(c.surfaces, u)
	}
	return c
}

// drawDocument draws any document that may be written. Its vertices are at different
// places.
func drawDocument(t *rapid.T) Document {
	number := rapid.OneOf(
		rapid.Float64Range(-1e7, 1e7),
		rapid.Float64Range(-1e-6, 1e-6),
		rapid.Float64Range(-1e140, 1e140),
		rapid.SampledFrom([]float64{0, math.Copysign(0, -1), math.SmallestNonzeroFloat64, 0.1, 1.0 / 3, 6783020.064, 21530666.426, 1 << 53, 123456789012345678}),
	)
	height := number.Filter(func(z float64) bool { return z != 0 }) // a point at 0 among others counts as not levelled
	text := rapid.StringOfN(rapid.RuneFrom([]rune("aZ09 <&>\"'\t\r\né€床")), 0, 8, -1)
	point := func(z *rapid.Generator[float64]) *rapid.Generator[survey.Point] {
		return rapid.Custom(func(t *rapid.T) survey.Point {
			p := survey.Point{X: number.Draw(t, "x"), Y: number.Draw(t, "y"), Z: math.NaN()}
			if z != nil {
				p.Z = z.Draw(t, "z")
			}
			return p
		})
	}
	d := Document{
		Project: text.Draw(t, "project"),
		Date:    time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "date"), 0),
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "points") {
		z := height
		if rapid.Bool().Draw(t, "plan only") {
			z = nil
		}
		p := point(z).Draw(t, "point")
		tag := survey.Tag{Code: text.Draw(t, "code")}
		if rapid.Bool().Draw(t, "named") {
			tag.Name = fmt.Sprint(text.Draw(t, "name"), i)
		}
		d.Points = append(d.Points, p.With(tag))
	}
	for i := range rapid.IntRange(1, 2).Draw(t, "surfaces") {
		s := survey.Surface{
			Name:     fmt.Sprint(text.Draw(t, "name"), i),
			Vertices: rapid.SliceOfNDistinct(point(number), 3, 9, func(p survey.Point) [3]float64 { return [3]float64{p.X, p.Y, p.Z} }).Draw(t, "vertices"),
			Points:   rapid.SliceOfN(point(number), 0, 4).Draw(t, "data points"),
		}
		n := int32(len(s.Vertices))
		for k := range n { // so that each vertex is used
			s.Faces = append(s.Faces, [3]int32{(k + 2) % n, k, (k + 1) % n})
		}
		for k := range rapid.IntRange(0, 3).Draw(t, "rings") {
			s.Rings = append(s.Rings, survey.Ring{Name: text.Draw(t, "ring"), Kind: survey.RingKind(min(k, 1)), Points: rapid.SliceOfN(point(nil), 3, 6).Draw(t, "corners")})
		}
		for range rapid.IntRange(0, 3).Draw(t, "breaklines") {
			z := number
			if rapid.Bool().Draw(t, "step") {
				z = nil
			}
			s.Breaklines = append(s.Breaklines, survey.Breakline{Name: text.Draw(t, "breakline"), Points: rapid.SliceOfN(point(z), 2, 5).Draw(t, "line")})
		}
		d.Surfaces = append(d.Surfaces, s)
	}
	return d
}

// Any document reads back to the same bits and is valid.
func TestWrittenLandXMLReadsBackToTheSameBits(t *testing.T) {
	dir := t.TempDir()
	var files []string
	rapid.Check(t, func(t *rapid.T) {
		d := drawDocument(t)
		var b bytes.Buffer
		if err := Write(&b, d); err != nil {
			t.Fatal(err)
		}
		s, err := Read(bytes.NewReader(b.Bytes()), "x.xml", survey.Options{})
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		want, got := contentOf(d.Points, d.Surfaces), contentOf(s.Points, s.Surfaces)
		got.planOnly = len(s.LeftOut())
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("read    %v\nwritten %v\n%s", got, want, b.String())
		}
		for i := range s.Surfaces {
			u, v := &s.Surfaces[i], &d.Surfaces[i]
			if _, _, lo, hi, _ := sizes(u); u.Declared.ElevMin != lo || u.Declared.ElevMax != hi || len(u.Vertices) != len(v.Vertices) {
				t.Fatalf("declared %+v, lowest %g, highest %g; %d vertices of %d", u.Declared, lo, hi, len(u.Vertices), len(v.Vertices))
			}
		}
		if len(files) < 40 {
			name := filepath.Join(dir, fmt.Sprintf("%d.xml", len(files)))
			files = append(files, name)
			if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	})
	t.Run("schema", func(t *testing.T) { validate(t, files...) })
}

// The comparison above detects one bit of one number, a reversed face and a ring of
// another kind.
func TestContentTellsDocumentsApart(t *testing.T) {
	surface := func() []survey.Surface {
		return []survey.Surface{{
			Name: "s", Vertices: []survey.Point{{Z: 1}, {X: 6, Z: 1}, {Y: 4, Z: 1}}, Faces: [][3]int32{{0, 1, 2}},
			Points: []survey.Point{{Z: 2}}, Rings: []survey.Ring{{Points: []survey.Point{{X: 1}}}}, Breaklines: []survey.Breakline{{Points: []survey.Point{{Z: math.NaN()}}}},
		}}
	}
	for _, c := range []struct {
		name   string
		change func(*survey.Surface)
	}{
		{"elevation", func(s *survey.Surface) { s.Vertices[1].Z = math.Nextafter(1, 2) }},
		{"north for east", func(s *survey.Surface) { s.Vertices[1] = survey.Point{Y: 6, Z: 1} }},
		{"sign of zero", func(s *survey.Surface) { s.Points[0].X = math.Copysign(0, -1) }},
		{"face", func(s *survey.Surface) { s.Faces[0] = [3]int32{0, 2, 1} }},
		{"kind", func(s *survey.Surface) { s.Rings[0].Kind = survey.Hole }},
		{"step", func(s *survey.Surface) { s.Breaklines[0].Points[0].Z = 0 }},
		{"name", func(s *survey.Surface) { s.Breaklines[0].Name = " " }},
	} {
		other := surface()
		c.change(&other[0])
		if reflect.DeepEqual(contentOf(nil, other), contentOf(nil, surface())) {
			t.Errorf("%s: no difference seen", c.name)
		}
	}
	if !reflect.DeepEqual(contentOf(nil, surface()), contentOf(nil, surface())) {
		t.Error("a document differs from itself")
	}
}

func BenchmarkWrite(b *testing.B) {
	for _, c := range []struct {
		name string
		n    int
	}{{"1k", 1000}, {"100k", 100_000}, {"1M", 1_000_000}} {
		b.Run("points="+c.name, func(b *testing.B) {
			if c.n > 100_000 && testing.Short() {
				b.Skip("a million points take a second; not in short runs")
			}
			s, err := Read(bulk(c.n, 0), "x.xml", survey.Options{})
			if err != nil {
				b.Fatal(err)
			}
			out := &byteCounter{}
			b.ReportAllocs()
			for b.Loop() {
				out.n = 0
				if err := Write(out, Document{Surfaces: s.Surfaces}); err != nil {
					b.Fatal(err)
				}
			}
			b.SetBytes(out.n)
		})
	}
}

type byteCounter struct{ n int64 }

func (c *byteCounter) Write(p []byte) (int, error) {
	c.n += int64(len(p))
	return io.Discard.Write(p)
}

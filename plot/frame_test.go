package plot

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// walls returns the corners of the lines of walls in a map as SVG, points from the upper
// left corner.
func walls(t *testing.T, svg []byte) [][2]float64 {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		tok, err := d.Token()
		if err == io.EOF {
			t.Fatal("no walls are drawn")
		}
		if err != nil {
			t.Fatal(err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok || e.Name.Local != "path" {
			continue
		}
		attr := map[string]string{}
		for _, a := range e.Attr {
			attr[a.Name.Local] = a.Value
		}
		if attr["stroke-width"] != "1.3" {
			continue
		}
		var out [][2]float64
		for _, part := range strings.FieldsFunc(attr["d"], func(r rune) bool { return strings.ContainsRune("MLZ", r) }) {
			var p [2]float64
			if _, err := fmt.Sscan(part, &p[0], &p[1]); err != nil {
				t.Fatal(err)
			}
			out = append(out, p)
		}
		return out
	}
}

// A corner in the frame is where the drawing has it, to the 1/100 pt that the drawing is
// written to, also far out on a grid.
func TestFrameIsThatOfTheDrawing(t *testing.T) {
	t.Parallel()
	for _, by := range []surface.Vec{{}, {X: 512_345.25, Y: 5_212_345.5}} {
		for _, u := range []unit.Style{{}, {Imperial: true}} {
			for _, width := range []vg.Length{DefaultWidth, 300, 700} {
				m := &DepthMap{Title: "A title that takes two lines on a picture as narrow as the least of these", Floor: hall(1, by), Target: surface.Horizontal(30.5), Finished: doors(by), Units: u}
				var b bytes.Buffer
				if err := Write(&b, m, Output{Format: "svg", Width: width}); err != nil {
					t.Fatal(err)
				}
				f, err := m.Frame(width)
				if err != nil {
					t.Fatal(err)
				}
				if f.Width != width.Points() || f.Height != m.Height(width).Points() {
					t.Errorf("found a picture of %g by %g, want %g by %g", f.Width, f.Height, width, m.Height(width))
				}
				var corners []surface.Vec
				for _, r := range m.Floor.Regions {
					for _, ring := range r.Rings {
						corners = append(corners, ring...)
					}
				}
				drawn := walls(t, b.Bytes())
				for i, c := range corners {
					if got := f.Place(drawn[i][0], drawn[i][1]); math.Abs(got.X-c.X) > 0.006*f.Metres || math.Abs(got.Y-c.Y) > 0.006*f.Metres {
						t.Errorf("width %g: the corner %v is drawn at %v, which the frame calls %v", width, c, drawn[i], got)
					}
				}
			}
		}
	}
	if _, err := (&DepthMap{}).Frame(300); err != ErrNoFloor {
		t.Errorf("without a floor found %v, want %v", err, ErrNoFloor)
	}
	for _, width := range []vg.Length{0, -1, vg.Length(math.NaN())} {
		if _, err := cutHall(1).Frame(width); err == nil {
			t.Errorf("a width of %g points was taken", width)
		}
	}
}

func TestWordsOfADepth(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		m     DepthMap
		depth float64
		want  string
	}{
		{DepthMap{}, 0.0684, "68 mm"},
		{DepthMap{}, -0.0252, "cut 25 mm"},
		{DepthMap{}, -0.0002, "0 mm"},
		{DepthMap{}, math.NaN(), "—"},
		{DepthMap{Units: unit.Style{Imperial: true}}, -0.0254 / 16, `cut 1/16"`},
		{DepthMap{Departure: true}, 0.00213, "2.1 mm below"},
		{DepthMap{Departure: true}, -0.00213, "2.1 mm above"},
		{DepthMap{Departure: true}, math.Copysign(0, -1), "0.0 mm"},
		{DepthMap{Departure: true, Units: unit.Style{Imperial: true}}, -3 * 0.0254 / 64, `3/64" above`},
	} {
		if got := c.m.Words(c.depth); got != c.want {
			t.Errorf("a depth of %g is worded %q, want %q", c.depth, got, c.want)
		}
	}
}

package plot

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

func written(t *testing.T, d Drawing, format string) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, d, Output{Format: format}); err != nil {
		t.Fatalf("%s: %v", format, err)
	}
	return b.Bytes()
}

// texts returns the lettering of an SVG, which must be valid XML.
func texts(t *testing.T, svg []byte) []string {
	t.Helper()
	var out []string
	in := false
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := tok.(type) {
		case xml.StartElement:
			in = e.Name.Local == "text"
		case xml.CharData:
			if in {
				out = append(out, string(e))
			}
		case xml.EndElement:
			in = false
		}
	}
}

func has(all []string, want string) bool {
	for _, s := range all {
		if s == want {
			return true
		}
	}
	return false
}

func cutHall(step float64) *DepthMap {
	return &DepthMap{
		Title: "Hall & store", Summary: "Fill 4.1 m³", Note: "Level ½ in below the sill.",
		Floor: hall(step, surface.Vec{}), Target: surface.Horizontal(99.83 * foot),
		Finished: doors(surface.Vec{}), Shots: true,
	}
}

func TestDepthMapSaysWhatItShows(t *testing.T) {
	t.Parallel()
	m := cutHall(1)
	got := texts(t, written(t, m, "svg"))
	for _, want := range []string{
		"Hall & store", "Fill 4.1 m³", "Level ½ in below the sill.",
		"Depth of fill, mm (cut: −)", "−30", "0", "90", // limits
		"highest: cut 25 mm", "max 81 mm",
		"A1 +52 mm", "C2 +59 mm", // 100.000 and 100.023 ft against 99.830
		"not poured", "step in the floor", "x, m", "y, m", "y of the survey",
		"44", // depth at the shot (16, 13) ft
		"20", // contour
		"in the bar: share of the area",
	} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
	m.Units = unit.Style{Imperial: true}
	got = texts(t, written(t, m, "svg"))
	for _, want := range []string{"Depth of fill, inches (cut: −)", `max 3 3/16"`, `highest: cut 1"`, "x, ft", `A1 +2 1/16"`} {
		if !has(got, want) {
			t.Errorf("imperial: no %q among %q", want, got)
		}
	}
}

// A shot to check again has a red ring and its name, in colour and in lines. Without such a
// shot the legend does not mention one.
func TestDoubtfulShotsAreRinged(t *testing.T) {
	t.Parallel()
	m := cutHall(1)
	const legend = "ringed in red: look at this reading again"
	rings := func(svg []byte) int { return bytes.Count(svg, []byte("#B3261E")) + bytes.Count(svg, []byte("#b3261e")) }
	plain := written(t, m, "svg")
	if has(texts(t, plain), legend) {
		t.Error("a ring in the legend and none on the map")
	}
	m.Ringed = []survey.Point{survey.Point{X: 16 * foot, Y: 13 * foot}.Named("113"), {X: 2 * foot, Y: 3 * foot}}
	lines := ContourMap(*m)
	for _, d := range []Drawing{m, &lines} {
		svg := written(t, d, "svg")
		if got := texts(t, svg); !has(got, "113") || !has(got, legend) {
			t.Errorf("not shown: %q", got)
		}
		if n := rings(svg); n < 3 { // two on the map, one in the legend
			t.Errorf("%d strokes in red", n)
		}
	}
}

// The number of depths written is the number stated.
func TestSkippedDepthsAreCounted(t *testing.T) {
	t.Parallel()
	m := cutHall(1)
	m.Finished = nil
	for i := range m.Floor.Regions {
		r := &m.Floor.Regions[i]
		for k := range 300 {
			r.Shots = append(r.Shots, survey.Point{X: 0.1 + 0.01*float64(k%15), Y: r.Rings[0][0].Y + 0.5 + 0.01*float64(k/15), Z: 30.4})
		}
	}
	s := texts(t, written(t, m, "svg"))
	stated := regexp.MustCompile(`^680 shots; depth, mm, written at (\d+) of them$`)
	n := -1
	for _, line := range s {
		if f := stated.FindStringSubmatch(line); f != nil {
			n, _ = strconv.Atoi(f[1])
		}
	}
	// Depths of shots are upright in black or white; so is the 0 of the scale bar.
	small := regexp.MustCompile(`font-size="8" textLength="[^"]*" lengthAdjust="[^"]*" fill="#(000000|ffffff)">−?[0-9]+</text>`)
	if got := len(small.FindAll(written(t, m, "svg"), -1)) - 1; n < 20 || got != n {
		t.Errorf("stated %d, drawn %d", n, got)
	}
}

// pathArea returns the area enclosed by the straight-sided path d, pt².
func pathArea(t *testing.T, d string) float64 {
	t.Helper()
	area := 0.0
	for _, loop := range strings.Split(strings.TrimSuffix(d, "Z"), "Z") {
		var p [][2]float64
		for _, pair := range strings.FieldsFunc(loop, func(r rune) bool { return r == 'M' || r == 'L' }) {
			var x, y float64
			if _, err := fmt.Sscan(pair, &x, &y); err != nil {
				t.Fatalf("%q: %v", pair, err)
			}
			p = append(p, [2]float64{x, y})
		}
		for i, a := range p {
			b := p[(i+1)%len(p)]
			area -= (a[0]*b[1] - b[0]*a[1]) / 2 // y runs down the page
		}
	}
	return area
}

// Each layer is everything at least as deep: its area is the sum of its band and the deeper
// ones, as surface computes them.
func TestBandsCoverTheirAreas(t *testing.T) {
	t.Parallel()
	m := cutHall(1)
	s := newSheet(m, true)
	svg := string(written(t, m, "svg"))
	mToPt := scaleOf(t, svg)
	for i := s.bands.first; i <= s.bands.last; i++ {
		k := s.bands.colors[i]
		find := regexp.MustCompile(fmt.Sprintf(`<path fill="#%02x%02x%02x" d="([^"]*)"`, k.R, k.G, k.B))
		f := find.FindStringSubmatch(svg)
		if f == nil {
			t.Fatalf("band %d is not drawn", i)
		}
		want := 0.0
		for _, b := range s.fill.Bands[i-s.bands.first:] {
			want += b.Area
		}
		got := pathArea(t, f[1]) / (mToPt * mToPt)
		// Places are written to 0.01 pt = 0.3 mm of floor: over a border of 25 m, max 0.008
		// m².
		if math.Abs(got-want) > 0.008 {
			t.Errorf("band %d: %.4f m² drawn, %.4f m² reckoned", i, got, want)
		}
	}
}

// scaleOf returns points to the metre from the outline, 36 ft wide.
func scaleOf(t *testing.T, svg string) float64 {
	t.Helper()
	f := regexp.MustCompile(`stroke-width="1.3" d="M([\d.]+) ([\d.]+)L([\d.]+) `).FindStringSubmatch(svg)
	if f == nil {
		t.Fatal("no outline")
	}
	x0, _ := strconv.ParseFloat(f[1], 64)
	x1, _ := strconv.ParseFloat(f[3], 64)
	return (x1 - x0) / (36 * foot)
}

// A metre has the same length along y as along x, for any floor and page.
func TestOneScaleOnBothAxes(t *testing.T) {
	t.Parallel()
	for name, f := range awkward() {
		for _, page := range [][2]vg.Length{{460, 500}, {700, 300}, {250, 800}} {
			m := &DepthMap{Floor: f, Target: surface.Horizontal(10.05)}
			s := newSheet(m, true)
			p := newAxes()
			lo, hi := s.reach()
			p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = 0, hi.X-lo.X, 0, hi.Y-lo.Y
			p.X.Label.Text, p.Y.Label.Text = "x", "y"
			c := draw.NewCanvas(newSVG(page[0], page[1], ""), page[0], page[1])
			equalAspect(p, c, 0)
			data := p.DataCanvas(c)
			x, y := p.Transforms(&data)
			sx := float64(x(p.X.Max)-x(p.X.Min)) / (p.X.Max - p.X.Min)
			sy := float64(y(p.Y.Max)-y(p.Y.Min)) / (p.Y.Max - p.Y.Min)
			if math.Abs(sx/sy-1) > 1e-6 {
				t.Errorf("%s on %v: %g pt a unit along x, %g along y", name, page, sx, sy)
			}
		}
	}
}

func awkward() map[string]*surface.Floor {
	triangle := &surface.TIN{X: []float64{0, 3, 0}, Y: []float64{0, 0, 2}, Z: []float64{10, 10.01, 10.03}, V: []int32{0, 1, 2}}
	twins(triangle)
	return map[string]*surface.Floor{
		"dead level":   rectangle(6, 4, 3, 2, func(x, y float64) float64 { return 10 }),
		"on target":    rectangle(6, 4, 3, 2, func(x, y float64) float64 { return 10.05 }),
		"above target": rectangle(6, 4, 3, 2, func(x, y float64) float64 { return 10.1 + 0.01*x }),
		"a triangle":   single(triangle, []surface.Vec{{}, {X: 3}, {Y: 2}}),
		"corridor":     rectangle(1000, 1, 400, 1, func(x, y float64) float64 { return 10 + 0.02*y }),
		"shaft":        rectangle(1, 1000, 1, 400, func(x, y float64) float64 { return 10 + 0.02*x }),
		"pinhead":      rectangle(4e-9, 4e-9, 2, 2, func(x, y float64) float64 { return 10 + x }),
		"continent":    rectangle(4e6, 4e6, 2, 2, func(x, y float64) float64 { return 10 + 1e-3*x }),
		"far out":      hall(4, surface.Vec{X: 6783020, Y: 4512340}),
	}
}

func TestAwkwardFloorsPlot(t *testing.T) {
	t.Parallel()
	for name, f := range awkward() {
		t.Run(name, func(t *testing.T) {
			lo, hi := f.Bounds()
			for _, u := range []unit.Style{{}, {Imperial: true}} {
				for _, d := range []Drawing{
					&DepthMap{Floor: f, Target: surface.Horizontal(10.05), Units: u, Shots: true},
					&ContourMap{Floor: f, Target: surface.Horizontal(10.05), Units: u},
					&Profile{Floor: f, Target: surface.Horizontal(10.05), Units: u, From: lo, To: surface.Vec{X: hi.X, Y: (lo.Y + hi.Y) / 2}},
				} {
					svg := written(t, d, "svg")
					texts(t, svg)
					if bytes.Contains(svg, []byte("NaN")) || bytes.Contains(svg, []byte("Inf")) {
						t.Errorf("%T: a place is not a number", d)
					}
				}
			}
		})
	}
}

func TestFarOutAxesStateWhereTheyStart(t *testing.T) {
	t.Parallel()
	m := &DepthMap{Floor: hall(2, surface.Vec{X: 6783020, Y: 4512340}), Target: surface.Horizontal(30.5)}
	got := texts(t, written(t, m, "svg"))
	for _, want := range []string{"x, m from 6,783,000", "y, m from 4,512,000", "22", "344"} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
	// The same floor near the origin gives the same drawing except for the axes.
	near := &DepthMap{Floor: hall(2, surface.Vec{X: 20, Y: 340}), Target: surface.Horizontal(30.5)}
	if a, b := scaleOf(t, string(written(t, near, "svg"))), scaleOf(t, string(written(t, m, "svg"))); math.Abs(a/b-1) > 1e-3 {
		t.Errorf("scale %g near, %g far out", a, b)
	}
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	one := rectangle(6, 4, 3, 2, func(x, y float64) float64 { return 10 })
	for _, c := range []struct {
		name string
		d    Drawing
		o    Output
		want error
		text string
	}{
		{"no floor", &DepthMap{}, Output{Format: "png"}, ErrNoFloor, ""},
		{"region without triangles", &ContourMap{Floor: single(&surface.TIN{}, nil)}, Output{Format: "svg"}, ErrNoFloor, ""},
		{"profile of nothing", &Profile{}, Output{Format: "svg"}, ErrNoFloor, ""},
		{"profile beside the floor", &Profile{Floor: one, Target: surface.Plane{}, From: surface.Vec{Y: 9}, To: surface.Vec{X: 5, Y: 9}}, Output{Format: "pdf"}, ErrOffFloor, ""},
		{"profile of no length", &Profile{Floor: one, Target: surface.Plane{}}, Output{Format: "pdf"}, ErrOffFloor, ""},
		{"format", &DepthMap{Floor: one, Target: surface.Plane{}}, Output{Format: "gif"}, nil, `found format "gif", want png, svg or pdf`},
		{"no room", &DepthMap{Floor: one, Target: surface.Plane{}}, Output{Format: "png", Width: -1}, nil, "a drawing of -1 by"},
	} {
		err := Write(io.Discard, c.d, c.o)
		if err == nil || c.want != nil && !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.text) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// The colour of a place is that of its band, both in the image drawn pixel by pixel (fine
// grid) and in the one filled by paths.
func TestColoursMatchTheBands(t *testing.T) {
	t.Parallel()
	for _, step := range []float64{2, 0.25} {
		m := cutHall(step)
		m.Finished, m.Shots = nil, false
		s := newSheet(m, true)
		img, err := png.Decode(bytes.NewReader(written(t, m, "png")))
		if err != nil {
			t.Fatal(err)
		}
		if w := img.Bounds().Dx(); w != 1600 {
			t.Errorf("%d pixels wide", w)
		}
		svg := string(written(t, m, "svg"))
		f := regexp.MustCompile(`stroke-width="1.3" d="M([\d.]+) ([\d.]+)L`).FindStringSubmatch(svg)
		x0, _ := strconv.ParseFloat(f[1], 64)
		y0, _ := strconv.ParseFloat(f[2], 64)
		scale := scaleOf(t, svg)
		for _, at := range [][2]float64{{2.2, 2.2}, {10, 3.2}, {21, 10}, {34.5, 2}, {2.2, 29.4}, {20, 2.4}} {
			depth := (99.83 - hallFt(at[0], at[1])) * foot
			px := int((x0 + at[0]*foot*scale) * defaultDPI / 72)
			py := int((y0 - at[1]*foot*scale) * defaultDPI / 72)
			got := color.NRGBAModel.Convert(img.At(px, py)).(color.NRGBA)
			if want := s.bands.color(depth); got != want {
				t.Errorf("grid %g ft, place %v: %v drawn, %v for %.1f mm", step, at, got, want, depth*1000)
			}
		}
	}
}

// Deeper is darker by a step visible in grey print; cut differs by hue.
func TestColoursFallEvenlyInLightness(t *testing.T) {
	t.Parallel()
	for n := 2; n <= surface.MostBands; n++ {
		last := 101.0
		for i := range n {
			l := lightness(ramp(fillInks, i, n))
			if last-l < 3.5 {
				t.Errorf("band %d of %d: lightness %.1f after %.1f", i, n, l, last)
			}
			last = l
		}
	}
	for i := range 5 {
		if c := ramp(cutInks, i, 5); int(c.R)-int(c.B) < 50 {
			t.Errorf("cut %v is not brown", c)
		}
	}
}

func TestLevelsAreRoundAndTakeAllIn(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		least, greatest float64
		u               unit.Style
		first, last     float64
		n               int
	}{
		{0.008, 0.117, unit.Style{}, 0, 0.120, 7},                                                       // 20 mm
		{-0.025, 0.081, unit.Style{}, -0.04, 0.1, 8},                                                    // 20 mm
		{0.05, 0.05, unit.Style{}, 0.05, 0.051, 2},                                                      // dead level
		{0, 0, unit.Style{}, 0, 0.001, 2},                                                               //
		{0.3 * 0.0254, 4.6 * 0.0254, unit.Style{Imperial: true}, 0, 5 * 0.0254, 11},                     // 1/2 in
		{0.01 * 0.0254, 0.3 * 0.0254, unit.Style{Imperial: true, Denominator: 8}, 0, 0.375 * 0.0254, 4}, // none finer than shown
		{-3, 900, unit.Style{}, -100, 900, 11},
	} {
		l := stepsOf(c.u).Levels(c.least, c.greatest)
		if len(l) != c.n || math.Abs(l[0]-c.first) > 1e-9 || math.Abs(l[len(l)-1]-c.last) > 1e-9 {
			t.Errorf("%g to %g: %v", c.least, c.greatest, l)
		}
	}
}

// Equal drawings are equal files.
func TestWrittenTwiceIsTheSame(t *testing.T) {
	t.Parallel()
	for _, step := range []float64{2, 0.25} {
		for _, format := range []string{"png", "svg", "pdf"} {
			if !bytes.Equal(written(t, cutHall(step), format), written(t, cutHall(step), format)) {
				t.Errorf("%s: two runs differ", format)
			}
		}
	}
}

func TestPDFTextCanBeRead(t *testing.T) {
	t.Parallel()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed")
	}
	file := filepath.Join(t.TempDir(), "map.pdf")
	if err := os.WriteFile(file, written(t, cutHall(1), "pdf"), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(tool, "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Hall & store", "4.1 m³", "½ in", "highest: cut 25 mm", "−30"} {
		if !strings.Contains(string(out), want) {
			t.Errorf("no %q in %s", want, out)
		}
	}
}

func TestProfileSaysWhatItShows(t *testing.T) {
	t.Parallel()
	m := &Profile{
		Title: "Through the drain", Floor: hall(1, surface.Vec{}), Target: surface.Horizontal(99.93 * foot),
		From: feet(8, 1)[0], To: feet(8, 31)[0], Units: unit.Style{Imperial: true},
	}
	got := texts(t, written(t, m, "svg"))
	for _, want := range []string{
		"Through the drain", `max 4 3/8"`, "2 1/4", "target", "elevation, ft",
		"From x 8.00, y 1.00 to x 8.00, y 31.00 ft. Heights drawn 20 times larger than lengths.",
	} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
	m = &Profile{Floor: hall(1, surface.Vec{}), Target: surface.Horizontal(99.83 * foot), From: feet(16, 9)[0], To: feet(36, 9)[0]}
	if got := texts(t, written(t, m, "svg")); !has(got, "no floor") {
		t.Errorf("the column is not named among %q", got)
	}
}

func BenchmarkDepthMap(b *testing.B) {
	for _, n := range []int{1_000, 100_000} {
		side := math.Sqrt(float64(n)) - 1
		f := rectangle(40, 30, int(side), int(side), func(x, y float64) float64 {
			return 10 + 0.02*math.Sin(x/3)*math.Cos(y/4) + 0.001*math.Sin(40*x+17*y)
		})
		m := &DepthMap{Title: "Hall", Floor: f, Target: surface.Horizontal(10.03)}
		for _, format := range []string{"png", "svg", "pdf"} {
			b.Run(fmt.Sprintf("points=%dk/format=%s", n/1000, format), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if err := Write(io.Discard, m, Output{Format: format}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// The signs match the text beside the map: + is above the plane.
func TestDeparturesAreAboveWithPlus(t *testing.T) {
	t.Parallel()
	f := hall(4, surface.Vec{})
	plane := surface.Horizontal(99.7 * foot)
	m := &DepthMap{Floor: f, Target: plane, Departure: true, Shots: true, Levels: []float64{-0.05, 0, 0.05}}
	got := texts(t, written(t, m, "svg"))
	for _, want := range []string{"Above the plane, mm (below: −)", "+50", "−50", "hatched: above the plane"} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
	// The lettering does not contain the place of a shot, so all of one sign are counted.
	above, below := 0, 0
	for _, r := range f.Regions {
		for _, q := range r.Shots {
			switch off := math.Round(1000 * (q.Z - plane.Elevation(surface.Vec{X: q.X, Y: q.Y}))); {
			case off > 0:
				above++
			case off < 0:
				below++
			}
		}
	}
	m.Levels, m.Contours = []float64{-10, 10}, []surface.Contour{} // only the shots
	plus, minus := 0, 0
	for _, s := range texts(t, written(t, m, "svg")) {
		switch {
		case len(s) < 6 && strings.HasPrefix(s, "+"):
			plus++
		case len(s) < 8 && strings.HasPrefix(s, "−"):
			minus++
		}
	}
	if plus == 0 || minus == 0 || plus > above || minus > below || (plus > minus) != (above > below) {
		t.Errorf("%d with + and %d with −, of %d above and %d below", plus, minus, above, below)
	}
	d := &ContourMap{Floor: f, Target: plane, Departure: true}
	if got := strings.Join(texts(t, written(t, d, "svg")), "\n"); !strings.Contains(got, "above the plane, dashed and +") {
		t.Errorf("no word of the sign in %q", got)
	}
}

// Numbers of places, even many at one spot, and the extremes do not overlap.
func TestNumbersOfPlacesKeepClear(t *testing.T) {
	t.Parallel()
	f := hall(1, surface.Vec{})
	for _, width := range []vg.Length{355, DefaultWidth} {
		m := &DepthMap{Floor: f, Target: surface.Horizontal(99.7 * foot), Departure: true}
		s := newSheet(m, true)
		for i, e := range s.extremes() {
			m.Spots = append(m.Spots, Spot{Name: strconv.Itoa(i+1) + ": 1.8 mm", At: e.v}, Spot{Name: strconv.Itoa(i+3) + ": 1.2 mm", At: surface.Vec{X: e.v.X + 0.1, Y: e.v.Y}})
		}
		g := newGround(vg.Rectangle{Max: vg.Point{X: width, Y: width}})
		lo, hi := s.reach()
		s.frame = frame{base: lo, origin: vg.Point{X: 20, Y: 20}, scale: (width.Points() - 60) / (hi.X - lo.X)}
		all, names := s.placeLettering(g)
		for _, n := range names {
			all = append(all, n.plate)
		}
		if len(all) != 6 {
			t.Fatalf("%d labels, want 6", len(all))
		}
		for i, a := range all {
			for _, b := range all[:i] {
				d := a.centre.Sub(b.centre)
				if math.Abs(float64(d.X)) < float64(a.w+b.w)/2-0.5 && math.Abs(float64(d.Y)) < float64(a.h+b.h)/2-0.5 {
					t.Errorf("%g pt wide: labels at %v and %v overlap", width.Points(), a.centre, b.centre)
				}
			}
		}
	}
}

// The number of a place is beside its mark however little room there is, and the name of an
// extreme is off the other places.
func TestNumbersStayBesideTheirMarks(t *testing.T) {
	t.Parallel()
	f := hall(1, surface.Vec{})
	for _, width := range []vg.Length{236, 355, DefaultWidth} {
		m := &DepthMap{Floor: f, Target: surface.Horizontal(99.7 * foot), Departure: true, Units: unit.Style{Imperial: true}}
		s := newSheet(m, true)
		lo, hi := s.reach()
		scale := (width.Points() - 60) / (hi.X - lo.X)
		square := func(v surface.Vec, half float64) [][]surface.Vec {
			return [][]surface.Vec{{{X: v.X - half, Y: v.Y - half}, {X: v.X + half, Y: v.Y - half}, {X: v.X + half, Y: v.Y + half}, {X: v.X - half, Y: v.Y + half}}}
		}
		for i, e := range s.extremes() {
			m.Spots = append(m.Spots, Spot{Name: "H" + strconv.Itoa(i+1), At: e.v, Rings: square(e.v, 7/scale)})
		}
		// Another one beside the first, where the name of the extreme would be.
		v := s.extremes()[0].v
		beside := surface.Vec{X: v.X + 24/scale, Y: v.Y + 4/scale}
		m.Spots = append(m.Spots, Spot{Name: "H3", At: beside, Rings: square(beside, 8/scale)})
		// And shots to check again, whose names need the room too.
		for _, by := range [][2]float64{{-22, 13}, {-22, -13}, {-14, 0}} {
			m.Ringed = append(m.Ringed, survey.Point{X: v.X + by[0]/scale, Y: v.Y + by[1]/scale}.Named("reading in doubt"))
		}
		g := newGround(vg.Rectangle{Max: vg.Point{X: width, Y: width}})
		s.owners(g)
		s.frame = frame{base: lo, origin: vg.Point{X: 20, Y: 20}, scale: scale}
		plates, names := s.placeLettering(g)
		for i, b := range plates {
			if _, led := b.leadEnd(s.frame.at(m.Spots[i].At)); led {
				t.Errorf("%g pt wide: %s is away from its mark", width.Points(), m.Spots[i].Name)
			}
		}
		for _, n := range names {
			for _, spot := range m.Spots {
				if !n.ring {
					break
				}
				other := box{centre: s.frame.at(spot.At), w: 14, h: 14}
				d := n.plate.centre.Sub(other.centre)
				if s.frame.at(spot.At) != n.mark && math.Abs(float64(d.X)) < float64(n.plate.w+other.w)/2 && math.Abs(float64(d.Y)) < float64(n.plate.h+other.h)/2 {
					t.Errorf("%g pt wide: %q is on %s", width.Points(), n.text, spot.Name)
				}
			}
		}
	}
}

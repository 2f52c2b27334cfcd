package plot

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image/color"
	"io"
	"math"
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

// onHall reports whether a place in feet is in the hall.
func onHall(x, y float64) bool {
	return x > 0 && y > 0 && (y < 18 && x < 36 || x < 16 && y < 32) && !(x > 23.8 && x < 25.7 && y > 8 && y < 10)
}

// pinned is the hall with pins every step feet and a few at the walls.
func pinned(step float64) *SetOutMap {
	m := &SetOutMap{Title: "Hall & store", Summary: "Set-out", Floor: hall(1, surface.Vec{}), Target: surface.Horizontal(99.83 * foot), Thin: 0.012}
	add := func(name string, x, y float64, wall bool) {
		depth := (99.83 - hallFt(x, y)) * foot
		p := SetOutPin{At: feet(x, y)[0], Name: name, Text: fmt.Sprintf("%.0f", math.Floor(depth*1000)), Wall: wall}
		if depth < 0 {
			p.Kind, p.Text = PinNothing, "−"+p.Text[1:]
		}
		m.Pins = append(m.Pins, p)
	}
	row := 0
	for y := 2.0; y < 32; y += step {
		row++
		col := 0
		for x := 2.0; x < 36; x += step {
			col++
			if onHall(x, y) {
				add(fmt.Sprintf("%d.%d", row, col), x, y, false)
			}
		}
	}
	for i, x := range []float64{3.7, 11.7, 19.7, 27.7} {
		add(fmt.Sprintf("W%d", i+1), x, 0.3, true)
	}
	m.Pins[0].Kind = PinStart
	return m
}

// set is a piece of lettering of an SVG, y downward.
type set struct {
	x0, y0, x1, y1 float64
	text           string
	bold           bool
}

// lettered returns the level lettering of an SVG with its capitals' boxes.
func lettered(t *testing.T, svg []byte) []set {
	t.Helper()
	var out []set
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok || e.Name.Local != "text" {
			continue
		}
		at := map[string]string{}
		for _, a := range e.Attr {
			at[a.Name.Local] = a.Value
		}
		text, _ := d.Token()
		if at["transform"] != "" {
			continue
		}
		number := func(key string) float64 {
			v, err := strconv.ParseFloat(at[key], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		s := set{x0: number("x"), y1: number("y"), text: string(text.(xml.CharData)), bold: at["font-weight"] == "bold"}
		style := lettering(vg.Length(number("font-size")), s.bold, black)
		s.x1 = s.x0 + style.Width(s.text).Points()
		s.y0 = s.y1 - capHeight(style).Points()
		out = append(out, s)
	}
}

// overlaps returns a pair of letterings that overlap.
func overlaps(all []set) string {
	for i, a := range all {
		for _, b := range all[:i] {
			if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
				return a.text + " and " + b.text
			}
		}
	}
	return ""
}

func TestSetOutMapSaysWhatItShows(t *testing.T) {
	t.Parallel()
	m := pinned(4)
	m.Levels = []float64{0, 0.02, 0.04, 0.06, 0.08}
	m.Finished = doors(surface.Vec{})
	m.Exit = &feet(1, 6)[0]
	m.Dams = [][]surface.Vec{feet(16, 0, 16, 18)}
	m.Bays = []Bay{
		{Name: "Bay 1", Text: "2.4 m³", At: feet(8, 9)[0], Rings: [][]surface.Vec{feet(0, 0, 16, 0, 16, 20, 0, 20)}},
		{Name: "Bay 2", Text: "1.6 m³", At: feet(28, 8)[0], Rings: [][]surface.Vec{feet(16, 0, 36, 0, 36, 18, 16, 18)}},
	}
	m.Bars = [][2]surface.Vec{{feet(1, 1)[0], feet(15, 1)[0]}, {feet(1, 2)[0], feet(15, 2)[0]}, {feet(1, 1)[0], feet(1, 19)[0]}}
	m.Chairs = feet(5, 5, 9, 5)
	svg := written(t, m, "svg")
	got := texts(t, svg)
	want := []string{
		"Hall & store", "Set-out", "A1", "C2", "Bay 1", "2.4 m³", "Bay 2", "1.6 m³",
		fmt.Sprintf("%d pins: name, and height of the mark in bold, mm", len(m.Pins)),
		"4 of them at walls", "nothing to pour at 1 of them", "start placing here", "2 bars one way", "1 bar the other way", "2 chairs",
		"dam", "2 bays", "exit", "hatched: fill thinner than 12 mm", "hatched closely: floor above the target, nothing to pour",
		"lines of equal depth, every 20 mm", "not poured", "step in the floor", "adjoining finished floor",
	}
	for _, p := range m.Pins {
		want = append(want, p.Name)
	}
	for _, w := range want {
		if !has(got, w) {
			t.Errorf("no %q among %q", w, got)
		}
	}
	if pair := overlaps(lettered(t, svg)); pair != "" {
		t.Errorf("%s run into each other", pair)
	}
	m.Units = unit.Style{Imperial: true}
	for i := range m.Pins {
		m.Pins[i].Text = "2 " + strconv.Itoa(2*(i%8)+1) + "/16"
	}
	svg = written(t, m, "svg")
	if pair := overlaps(lettered(t, svg)); pair != "" {
		t.Errorf("imperial: %s run into each other", pair)
	}
	if got := texts(t, svg); !has(got, "x, ft") || !has(got, `hatched: fill thinner than 1/2"`) {
		t.Errorf("imperial: %q", got)
	}
}

// At 1:50 a metre is 20 mm, on any page that is large enough; a smaller one is refused.
func TestSetOutMapTrueToScale(t *testing.T) {
	t.Parallel()
	m := pinned(4)
	for _, scale := range []float64{20, 50, 100} {
		m.Scale = scale
		w, h := m.PlanSize()
		for _, more := range []vg.Length{0, 120} {
			var b bytes.Buffer
			if err := Write(&b, m, Output{Format: "svg", Width: w + more, Height: h + more}); err != nil {
				t.Fatal(err)
			}
			// The outline is written to 0.01 pt: two ends, 11 m apart.
			if got, want := scaleOf(t, b.String()), 1000/scale/25.4*72; math.Abs(got-want) > 0.02/10.9 {
				t.Errorf("1:%g: %g pt a metre, want %g", scale, got, want)
			}
			if got := texts(t, b.Bytes()); !has(got, fmt.Sprintf("Plan view, 1:%g on a print at full size; x and y as in the survey file", scale)) {
				t.Errorf("the scale is not given: %q", got)
			}
		}
	}
	m.Scale = 20
	w, h := m.PlanSize()
	for _, o := range []Output{{Format: "svg", Width: 0.8 * w, Height: h}, {Format: "svg", Width: w, Height: 0.8 * h}} {
		var e *survey.Error
		if err := Write(io.Discard, m, o); !errors.As(err, &e) || e.Element != "drawing at 1:20" {
			t.Errorf("too small a page: %v", err)
		}
	}
	for name, f := range awkward() {
		if name == "pinhead" || name == "continent" {
			continue // no page for them
		}
		m := &SetOutMap{Floor: f, Target: surface.Horizontal(10.05), Scale: 100, Title: name}
		w, h := m.PlanSize()
		if err := Write(io.Discard, m, Output{Format: "svg", Width: w, Height: h}); err != nil {
			t.Errorf("%s on a page of its size: %v", name, err)
		}
	}
}

func TestAwkwardFloorsAreSetOut(t *testing.T) {
	t.Parallel()
	for name, f := range awkward() {
		lo, hi := f.Bounds()
		mid := surface.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2}
		m := &SetOutMap{Floor: f, Target: surface.Horizontal(10.05), Levels: []float64{0, 0.05}, Thin: 0.01, Exit: &lo,
			Pins: []SetOutPin{{At: mid, Name: "1", Text: "9"}, {At: mid, Name: "2", Text: "9"}, {At: mid}},
			Bars: [][2]surface.Vec{{lo, hi}, {mid, mid}}, Dams: [][]surface.Vec{{lo, mid}, {hi}, nil}, Bays: []Bay{{Name: "1", At: mid}}}
		svg := written(t, m, "svg")
		if bytes.Contains(svg, []byte("NaN")) || bytes.Contains(svg, []byte("Inf")) {
			t.Errorf("%s: a place is not a number", name)
		}
	}
}

func TestSetOutMapRefuses(t *testing.T) {
	t.Parallel()
	if err := Write(io.Discard, &SetOutMap{}, Output{Format: "png"}); !errors.Is(err, ErrNoFloor) {
		t.Errorf("no floor: %v", err)
	}
	nan := surface.Vec{X: math.NaN()}
	for want, change := range map[string]func(m *SetOutMap){
		`pin "B7"`:     func(m *SetOutMap) { m.Pins = append(m.Pins, SetOutPin{Name: "B7", At: nan}) },
		"bar 2":        func(m *SetOutMap) { m.Bars = [][2]surface.Vec{{}, {{X: 1}, {Y: math.Inf(1)}}} },
		"chair 1":      func(m *SetOutMap) { m.Chairs = []surface.Vec{nan} },
		"dam 1":        func(m *SetOutMap) { m.Dams = [][]surface.Vec{{nan}} },
		`bay "East"`:   func(m *SetOutMap) { m.Bays = []Bay{{Name: "East", Rings: [][]surface.Vec{{nan}}}} },
		"the exit":     func(m *SetOutMap) { m.Exit = &nan },
		"scale":        func(m *SetOutMap) { m.Scale = -50 },
		"min depth":    func(m *SetOutMap) { m.Thin = math.NaN() },
		"scale, again": func(m *SetOutMap) { m.Scale = math.NaN() },
	} {
		m := pinned(9)
		change(m)
		var e *survey.Error
		if err := Write(io.Discard, m, Output{Format: "svg"}); !errors.As(err, &e) || e.Element != strings.TrimSuffix(want, ", again") {
			t.Errorf("%s: %v", want, err)
		}
	}
}

// Neighbouring bays differ, in grey print too.
func TestBayTints(t *testing.T) {
	t.Parallel()
	for i, a := range tints {
		for _, b := range tints[:i] {
			if d := math.Abs(lightness(a) - lightness(b)); d < 3.5 {
				t.Errorf("tints %v and %v differ by %.1f in lightness", a, b, d)
			}
		}
		if lightness(a) < 70 {
			t.Errorf("tint %v is not pale", a)
		}
	}
	m := &SetOutMap{}
	for i := range 35 {
		x, y := float64(i%7), float64(i/7)
		m.Bays = append(m.Bays, Bay{Rings: [][]surface.Vec{{{X: x, Y: y}, {X: x + 1, Y: y}, {X: x + 1, Y: y + 1}, {X: x, Y: y + 1}}}})
	}
	tint := m.bayTints()
	for i := range 35 {
		if i%7 < 6 && tint[i] == tint[i+1] || i+7 < 35 && tint[i] == tint[i+7] {
			t.Errorf("bay %d has the tint of a neighbour", i)
		}
	}
}

// Bars too close to distinguish are thinned by whole lines, and the legend gives how many are drawn.
func TestBarsOnALargeFloor(t *testing.T) {
	t.Parallel()
	f := rectangle(55, 55, 5, 5, func(x, y float64) float64 { return 10 })
	m := &SetOutMap{Floor: f, Target: surface.Horizontal(10.05)}
	for i := range 183 {
		d := 0.2 + 0.3*float64(i)
		m.Bars = append(m.Bars, [2]surface.Vec{{X: 0.1, Y: d}, {X: 28, Y: d}}, [2]surface.Vec{{X: 27.5, Y: d}, {X: 54.9, Y: d}}, [2]surface.Vec{{X: d, Y: 0.1}, {X: d, Y: 54.9}})
	}
	svg := written(t, m, "svg")
	if got := texts(t, svg); !has(got, "366 bars one way, one line in 2 drawn") || !has(got, "183 bars the other way, one line in 2 drawn") {
		t.Errorf("%q", got)
	}
	for way, want := range []int{2 * 92, 92} {
		k := barInks[way]
		path := regexp.MustCompile(fmt.Sprintf(`stroke="#%02x%02x%02x" stroke-width="0.6"[^>]* d="([^"]*)"`, k.R, k.G, k.B)).FindSubmatch(svg)
		if path == nil || bytes.Count(path[1], []byte("M")) != want {
			t.Errorf("way %d: want %d bars drawn", way, want)
		}
	}
}

// The tint covers the thin part, the hatching the part that is not poured: its length times
// its spacing is the area.
func TestThinFillIsTinted(t *testing.T) {
	t.Parallel()
	m := pinned(9)
	m.Pins = nil
	svg := written(t, m, "svg")
	scale := scaleOf(t, string(svg))
	path := func(pattern string, ink color.NRGBA) [][][2]float64 {
		t.Helper()
		found := regexp.MustCompile(fmt.Sprintf(pattern, ink.R, ink.G, ink.B)).FindSubmatch(svg)
		if found == nil {
			t.Fatalf("no path of %v", ink)
		}
		var out [][][2]float64
		for _, piece := range strings.Split(string(found[1]), "M")[1:] {
			f := strings.Fields(strings.NewReplacer("L", " ", "Z", " ").Replace(piece))
			var line [][2]float64
			for k := 0; k+1 < len(f); k += 2 {
				x, _ := strconv.ParseFloat(f[k], 64)
				y, _ := strconv.ParseFloat(f[k+1], 64)
				line = append(line, [2]float64{x, y})
			}
			out = append(out, line)
		}
		return out
	}
	thin := 0.0
	for _, b := range m.Floor.FillTo(m.Target, []float64{0, m.Thin}).Bands[:2] {
		thin += b.Area
	}
	tinted := 0.0
	for _, p := range path(`<path fill="#%02x%02x%02x"[^>]* d="([^"]*)"`, thinTint) {
		twice := 0.0
		for k, a := range p {
			b := p[(k+1)%len(p)]
			twice += a[0]*b[1] - b[0]*a[1]
		}
		tinted += math.Abs(twice) / 2 / (scale * scale)
	}
	if math.Abs(tinted/thin-1) > 0.01 {
		t.Errorf("%.3f m² are tinted, want %.3f", tinted, thin)
	}
	long := 0.0
	for _, l := range path(`stroke="#%02x%02x%02x" stroke-width="0.45" d="([^"]*)"`, cutLine) {
		long += math.Hypot(l[1][0]-l[0][0], l[1][1]-l[0][1])
	}
	// Spacing is measured upward, so lines at 45° are closer by the root of 2. A line counts
	// as a strip as wide as the spacing: good to some percent of an area many lines across.
	got, want := long*cutSpacing/math.Sqrt2/(scale*scale), m.Floor.FillTo(m.Target, nil).CutArea
	if math.Abs(got/want-1) > 0.06 {
		t.Errorf("hatching covers %.3f m², want %.3f", got, want)
	}
}

// Each run of neighbours with one mark is lettered once; laps and sheets are in the legend.
func TestBarMarksLapsAndSheets(t *testing.T) {
	t.Parallel()
	m := &SetOutMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(31), Levels: []float64{}}
	for i := range 6 {
		y := float64(2 + 2*i)
		m.Bars = append(m.Bars, [2]surface.Vec{feet(1, y)[0], feet(20, y)[0]}, [2]surface.Vec{feet(18, y)[0], feet(35, y)[0]})
		m.BarMarks = append(m.BarMarks, "X1", "X2")
	}
	m.Bars = append(m.Bars, [2]surface.Vec{feet(3, 1)[0], feet(3, 19)[0]})
	m.BarMarks = append(m.BarMarks, "Y1")
	m.Sheets = [][]surface.Vec{feet(1, 1, 11, 1, 11, 6, 1, 6), feet(10, 1, 20, 1, 20, 6, 10, 6)}
	got := texts(t, written(t, m, "svg"))
	counts := map[string]int{}
	for _, s := range got {
		counts[s]++
	}
	for _, want := range []string{"X1", "X2", "Y1", "12 bars one way", "1 bar the other way", "lap of two bars", "2 sheets of mesh"} {
		if counts[want] != 1 {
			t.Errorf("%q stands %d times, want once, among %q", want, counts[want], got)
		}
	}
	if s := newSetOutSheet(m); len(s.laps) != 6 {
		t.Errorf("%d laps, want 6", len(s.laps))
	}
	m.BarMarks = m.BarMarks[1:]
	var e *survey.Error
	if err := m.Draw(draw.Canvas{}); !errors.As(err, &e) || e.Element != "marks of bars" {
		t.Errorf("marks that do not go with the bars: %v", err)
	}
}

func BenchmarkSetOutMap(b *testing.B) {
	for _, step := range []float64{4, 1.75, 0.4} {
		m := pinned(step)
		b.Run(fmt.Sprintf("pins=%d", len(m.Pins)), func(b *testing.B) {
			for b.Loop() {
				if err := Write(io.Discard, m, Output{Format: "svg"}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func TestSetOutMapTwiceIsTheSame(t *testing.T) {
	t.Parallel()
	for _, format := range []string{"png", "svg", "pdf"} {
		if !bytes.Equal(written(t, pinned(3), format), written(t, pinned(3), format)) {
			t.Errorf("%s: two runs differ", format)
		}
	}
}

// A pin is in a window with mark, name and height, or not at all.
func TestWindowShowsWholePins(t *testing.T) {
	t.Parallel()
	m := pinned(4)
	m.Scale, m.Bare = 50, true
	whole := laid(t, m)
	boxes := whole.PinBoxes()
	w, h := m.PlanSize()
	in, cut := 0, 0
	for left := vg.Length(60); left < w-200; left += 7 {
		window := vg.Rectangle{Min: vg.Point{X: left, Y: 60}, Max: vg.Point{X: left + 150, Y: h - 130}}
		part := whole.Part(window)
		var b bytes.Buffer
		if err := Write(&b, part, Output{Format: "svg", Width: w, Height: h}); err != nil {
			t.Fatal(err)
		}
		got := texts(t, b.Bytes())
		for i, p := range m.Pins {
			want := Holds(window, boxes[i])
			if has(got, p.Name) != want {
				t.Errorf("from %g: pin %s is shown %t", left.Points(), p.Name, !want)
			}
			if want {
				in++
			} else if boxes[i].Min.X < window.Min.X && boxes[i].Max.X > window.Min.X {
				cut++
			}
		}
		if names, heights := part.Unwritten(); names+heights > 0 {
			t.Errorf("from %g: %d names and %d heights count as unwritten", left.Points(), names, heights)
		}
	}
	if in == 0 || cut == 0 {
		t.Errorf("%d pins in windows and %d at their edges", in, cut)
	}
}

// In a box much wider than the floor the axis does not go far past the floor.
func TestAxisKeepsToTheFloor(t *testing.T) {
	t.Parallel()
	m := &DepthMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(99.83 * foot)}
	for _, high := range []vg.Length{220, 260, 400} {
		var b bytes.Buffer
		if err := Write(&b, m, Output{Format: "svg", Width: 512, Height: high}); err != nil {
			t.Fatal(err)
		}
		ticks := 0
		for _, l := range lettered(t, b.Bytes()) {
			if v, err := strconv.ParseFloat(l.text, 64); err == nil && !l.bold {
				ticks++
				if v < -9 || v > 20 { // m; the hall reaches from 0 to 11
					t.Errorf("%g pt high: the axis counts to %g", high.Points(), v)
				}
			}
		}
		if ticks < 3 {
			t.Errorf("%g pt high: %d figures", high.Points(), ticks)
		}
	}
}

// The plan for setting pins shows drains and the direction of the target's fall, clear of
// the lettering of pins. If there is no room for the arrow the legend still shows the
// direction.
func TestSetOutShowsDrains(t *testing.T) {
	t.Parallel()
	m := pinned(4)
	drain := feet(30, 6)[0]
	m.Drains = []survey.Point{survey.Point{X: drain.X, Y: drain.Y}.Named("D1")}
	level := texts(t, written(t, m, "svg"))
	if !has(level, drainText) || has(level, "the target falls this way, by 1.5 %") {
		t.Errorf("a level target: %q", level)
	}
	m.Target = surface.Plane{At: m.Target.(surface.Plane).At, Z: m.Target.(surface.Plane).Z, SlopeX: -0.015} // rises to the west, so falls to the east
	if got := texts(t, written(t, m, "svg")); !has(got, "the target falls this way, by 1.5 %") || !has(got, "1.5 %") || !has(got, drainText) {
		t.Errorf("a target that falls: %q", got)
	}
	m.Scale = 100
	s := laid(t, m).placed
	if turn := s.fallTurn(); math.Abs(turn) > 1e-12 {
		t.Errorf("the arrow is turned by %g, want 0 for the east", turn)
	}
	at := s.frame.at(drain)
	for _, l := range s.labels {
		r := l.bounds()
		if at.X > r.Min.X-drainRadius && at.X < r.Max.X+drainRadius && at.Y > r.Min.Y-drainRadius && at.Y < r.Max.Y+drainRadius {
			t.Errorf("%q lies on the drain", l.text)
		}
	}
	lo, hi := s.frame.at(surface.Vec{}), s.frame.at(feet(36, 18)[0])
	full := newGround(vg.Rectangle{Min: lo, Max: hi})
	s.owners(full)
	full.mark(box{centre: lo.Add(hi).Scale(0.5), w: 2 * (hi.X - lo.X), h: 2 * (hi.Y - lo.Y)}, taken)
	if a := s.placeFall(full, false, nil); a != nil {
		t.Errorf("an arrow at %v where all is taken", a.centre)
	}
	if a := s.placeFall(full, true, nil); a == nil {
		t.Error("no arrow on a map of depths where all is taken")
	}
}

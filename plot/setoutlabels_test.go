package plot

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

// The text on what is left out names the list that has it.
func TestLeftOutNamesTheList(t *testing.T) {
	t.Parallel()
	m := pinned(1.2)
	for list, want := range map[string]string{"": "the list has all", "pins.pdf": "pins.pdf has all"} {
		m.List = list
		if got := strings.Join(texts(t, written(t, m, "svg")), "\n"); !strings.Contains(got, " not shown, no room; "+want) {
			t.Errorf("list %q: no %q in %q", list, want, got)
		}
	}
}

// However many pins there are, no lettering overlaps another or covers a mark. Written and
// reported as left out make up all of them.
func TestPinsAreWrittenOrCounted(t *testing.T) {
	t.Parallel()
	shown := regexp.MustCompile(`^(?:([\d,]+) heights?)?(?: and )?(?:([\d,]+) names?)? not shown, no room; the list has all$`)
	name, height := regexp.MustCompile(`^(\d+\.\d+|W\d)$`), regexp.MustCompile(`^−?\d+$`)
	for _, step := range []float64{9, 4, 1.75, 1.2, 0.7} {
		m := pinned(step)
		svg := written(t, m, "svg")
		all := lettered(t, svg)
		if pair := overlaps(all); pair != "" {
			t.Errorf("%d pins: %s run into each other", len(m.Pins), pair)
		}
		f := regexp.MustCompile(`stroke-width="1.3" d="M([\d.]+) ([\d.]+)L`).FindSubmatch(svg)
		x0, _ := strconv.ParseFloat(string(f[1]), 64)
		y0, _ := strconv.ParseFloat(string(f[2]), 64)
		scale := scaleOf(t, string(svg))
		names, heights := map[string]bool{}, 0
		left := [2]int{}
		for _, s := range all {
			for _, p := range m.Pins {
				if x, y := x0+p.At.X*scale, y0-p.At.Y*scale; x > s.x0-1.5 && x < s.x1+1.5 && y > s.y0-1.5 && y < s.y1+1.5 {
					t.Errorf("%d pins: %q covers the mark of %s", len(m.Pins), s.text, p.Name)
				}
			}
			if f := shown.FindStringSubmatch(s.text); f != nil {
				for i := range left {
					left[i], _ = strconv.Atoi(strings.ReplaceAll(f[i+1], ",", ""))
				}
			}
			if name.MatchString(s.text) && !s.bold {
				names[s.text] = true
			}
			if height.MatchString(s.text) && s.bold {
				heights++
			}
		}
		if heights+left[0] != len(m.Pins) || len(names)+left[1] != len(m.Pins) {
			t.Errorf("%d pins: %d heights and %d left out, %d names and %d left out", len(m.Pins), heights, left[0], len(names), left[1])
		}
		if few := len(m.Pins) < 40; few && left != [2]int{} {
			t.Errorf("%d pins and no room for %v", len(m.Pins), left)
		}
	}
}

// Names and heights can be read on paper and stay in the region of their pin: a label in the
// next room would seem to belong to that floor.
func TestPinsAreLetteredInTheirRegion(t *testing.T) {
	t.Parallel()
	m := pinned(4)
	for i, x := range []float64{2, 6, 10, 14} { // on both sides of the step
		m.Pins = append(m.Pins, SetOutPin{At: feet(x, 19.5)[0], Name: fmt.Sprint("S", i), Text: "44", Wall: true}, SetOutPin{At: feet(x, 20.5)[0], Name: fmt.Sprint("N", i), Text: "55", Wall: true})
	}
	m.Scale = 50
	full := func() []byte { // on a page of the plan's size
		t.Helper()
		var b bytes.Buffer
		w, h := m.PlanSize()
		if err := Write(&b, m, Output{Format: "svg", Width: w, Height: h}); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	names, heights := laid(t, m).Unwritten()
	if names+heights != 0 {
		t.Fatalf("%d names and %d heights find no room", names, heights)
	}
	w, h := m.PlanSize()
	frame := laid(t, m).Frame()
	if math.Abs(frame.Width-w.Points()) > 1e-9 || math.Abs(frame.Height-h.Points()) > 1e-9 || math.Abs(frame.Metres*72/0.0254-50) > 1e-6 {
		t.Fatal(frame)
	}
	s := newSetOutSheet(m)
	checked := 0
	for _, l := range lettered(t, full()) {
		i := slices.IndexFunc(m.Pins, func(p SetOutPin) bool { return p.Name == l.text })
		if i < 0 && l.text != "44" && l.text != "55" {
			continue
		}
		region := int32(0)
		switch {
		case i >= 0:
			region = s.regionAt(m.Pins[i].At)
		case l.text == "44" && l.bold && l.y0 > 0:
			region = 1
		case l.text == "55":
			region = 2
		}
		if l.text == "44" {
			continue // depths of the room include that figure too
		}
		checked++
		for _, p := range [][2]float64{{l.x0 + 1, l.y0 + 1}, {l.x1 - 1, l.y0 + 1}, {l.x0 + 1, l.y1 - 1}, {l.x1 - 1, l.y1 - 1}} {
			if got := s.regionAt(frame.Place(p[0], p[1])); got != region {
				t.Errorf("%q of region %d reaches into %d", l.text, region, got)
			}
		}
	}
	if checked < len(m.Pins) {
		t.Errorf("%d letterings of %d pins found", checked, len(m.Pins))
	}
	for _, size := range append(slices.Clone(pinSizes[:]), nameSize(pinSizes[0]), nameSize(pinSizes[len(pinSizes)-1])) {
		if size < 9 {
			t.Errorf("lettering of %g pt", size.Points())
		}
	}
	m.Scale = 400
	if names, heights = laid(t, m).Unwritten(); names+heights == 0 {
		t.Errorf("at 1:400 %d names and %d heights find no room", names, heights)
	}
	// A bare plan is the floor only; its windows are framed and lettered.
	m.Scale, m.Bare = 50, true
	m.Title, m.Summary = "title", "summary"
	m.Windows = []PlanWindow{{Name: "A", Lo: feet(0, 0)[0], Hi: feet(18, 18)[0]}}
	got := texts(t, full())
	for _, w := range []string{"title", "summary", "step in the floor"} {
		if has(got, w) {
			t.Errorf("a bare plan has %q", w)
		}
	}
	if !has(got, "A") {
		t.Error("the window has no letter")
	}
}

// However narrow bays are, the text of a bay is inside it, and every dam has its name.
func TestNamesOfNarrowBaysStayInside(t *testing.T) {
	t.Parallel()
	for _, n := range []int{2, 6, 12, 24, 60} {
		m := &SetOutMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(31), Levels: []float64{}}
		step := 36 / float64(n)
		for i := range n {
			x := float64(i) * step
			m.Bays = append(m.Bays, Bay{Name: strconv.Itoa(i + 1), Text: "0.61 yd³", At: feet(x+step/2, 1)[0], Rings: [][]surface.Vec{feet(x, 0, x+step, 0, x+step, 18, x, 18)}})
			if i > 0 {
				m.Dams, m.DamNames = append(m.Dams, feet(x, 0, x, 18)), append(m.DamNames, "D"+strconv.Itoa(i))
			}
		}
		s := newSetOutSheet(m)
		lo, hi := s.reach()
		c := draw.New(newSVG(DefaultWidth, m.Height(DefaultWidth), ""))
		drawPlan(c, lo, hi, plan{legend: 100, x: "x", y: "y"}, s)
		if n <= 24 && s.titled < n || n <= 12 && (s.titled != n || len(s.dams) != n-1 || s.textless+s.nameless > 0) {
			t.Errorf("%d bays: %d named, %d of them without volume; %d dams named", n, s.titled, s.textless, len(s.dams))
		}
		for _, l := range s.bays {
			var at int
			var whole bool
			half := vg.Point{X: l.w / 2, Y: l.h / 2}
			if l.turn != 0 {
				half.X, half.Y = half.Y, half.X
			}
			for i, b := range m.Bays {
				p, q := s.frame.at(b.Rings[0][0]), s.frame.at(b.Rings[0][2])
				if l.centre.X > p.X && l.centre.X < q.X {
					at, whole = i, l.centre.X-half.X >= p.X && l.centre.X+half.X <= q.X && l.centre.Y-half.Y >= p.Y && l.centre.Y+half.Y <= q.Y
				}
			}
			if !whole || l.text != m.Bays[at].Text && l.text != m.Bays[at].Name {
				t.Errorf("%d bays: %q does not stand inside its bay but at %v, in bay %s", n, l.text, l.centre, m.Bays[at].Name)
			}
		}
		if want := "60 bays, " + strconv.Itoa(60-s.titled) + " without room for its name"; n == 60 && s.titled < n && !has(texts(t, written(t, m, "svg")), want) {
			t.Errorf("no %q in the legend", want)
		}
	}
}

// If there is room inside, no lettering of a pin at a wall is on the wall, and the way out
// leaves its threshold visible.
func TestPinsKeepOffWalls(t *testing.T) {
	t.Parallel()
	m := &SetOutMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(31), Levels: []float64{}}
	for i, xy := range [][2]float64{{0.5, 0.5}, {12, 0.5}, {24, 0.5}, {35.5, 0.5}, {35.5, 9}, {35.5, 17.5}, {26, 17.5}, {18, 17.5}, {15.5, 24}, {15.5, 31.5}, {0.5, 31.5}, {0.5, 22}, {0.5, 9}} {
		m.Pins = append(m.Pins, SetOutPin{At: feet(xy[0], xy[1])[0], Name: "W" + strconv.Itoa(i+1), Text: "2 13/16", Wall: true})
	}
	m.Finished = doors(surface.Vec{})
	door := surface.Vec{X: m.Finished[0].X, Y: m.Finished[0].Y}
	m.Exit = &door
	for _, width := range []vg.Length{355, DefaultWidth} {
		s := newSetOutSheet(m)
		lo, hi := s.reach()
		drawPlan(draw.New(newSVG(width, m.Height(width), "")), lo, hi, plan{legend: 100, x: "x", y: "y"}, s)
		if s.named != len(m.Pins) || s.heights != len(m.Pins) {
			t.Errorf("%g pt wide: %d names and %d heights of %d", width.Points(), s.named, s.heights, len(m.Pins))
		}
		for _, l := range s.labels {
			if !strings.HasPrefix(l.text, "W") && l.text != "2 13/16" {
				continue
			}
			half := vg.Point{X: l.w/2 - 1, Y: l.h/2 - 1} // without the margin of every label
			for _, r := range m.Floor.Regions {
				for _, ring := range r.Rings {
					for i, v := range ring {
						p, q := s.frame.at(v), s.frame.at(ring[(i+1)%len(ring)])
						a, b := l.centre.Sub(half), l.centre.Add(half) // the hall's walls are parallel to the axes
						if min(p.X, q.X) < b.X && max(p.X, q.X) > a.X && min(p.Y, q.Y) < b.Y && max(p.Y, q.Y) > a.Y {
							t.Errorf("%g pt wide: %q at %v lies on a wall from %v to %v", width.Points(), l.text, l.centre, p, q)
						}
					}
				}
			}
		}
		d := s.exit.Sub(s.frame.at(door))
		if far := math.Hypot(float64(d.X), float64(d.Y)); far < 8 || far > 31 {
			t.Errorf("%g pt wide: the way out is drawn %.1f pt from the door", width.Points(), far)
		}
	}
}

// If not all fits, the kind that comes first is written at more pins.
func TestHeightsBeforeNames(t *testing.T) {
	t.Parallel()
	m := pinned(2)
	m.Scale = 110
	names, heights := laid(t, m).Unwritten()
	if names >= heights {
		t.Fatalf("%d names and %d heights find no room", names, heights)
	}
	m.HeightsFirst = true
	n, h := laid(t, m).Unwritten()
	if h >= n || h >= heights {
		t.Errorf("heights first: %d names and %d heights find no room, else %d and %d", n, h, names, heights)
	}
}

// The sign of the way out takes no room from a pin.
func TestWayOutGivesWay(t *testing.T) {
	t.Parallel()
	m := pinned(3)
	m.Scale = 96
	names, heights := laid(t, m).Unwritten()
	for _, p := range m.Pins {
		m.Exit = &p.At
		if n, h := laid(t, m).Unwritten(); n+h > names+heights {
			t.Errorf("way out at %s: %d names and %d heights find no room, without it %d and %d", p.Name, n, h, names, heights)
		}
	}
}

// The sign of the way out covers no lettering, and no more does the line to its place, even
// if a pin's lettering would be there.
func TestWayOutIsClearOfLettering(t *testing.T) {
	t.Parallel()
	m := pinned(5)
	m.Scale = 96
	for _, p := range m.Pins[:12] {
		door := surface.Vec{X: p.At.X + 0.2, Y: p.At.Y - 0.2}
		if !onHall(door.X/foot, door.Y/foot) {
			continue
		}
		m.Exit = &door
		s := laid(t, m).placed
		at := s.frame.at(door)
		for _, l := range s.labels {
			inner := box{centre: l.centre, w: l.w - 2, h: l.h - 2} // without the margin of every label
			lo, hi := s.exit.Sub(vg.Point{X: 5, Y: 5}), s.exit.Add(vg.Point{X: 5, Y: 5})
			if inner.meets(lo, hi) || inner.meets(vg.Point{X: lo.X, Y: hi.Y}, vg.Point{X: hi.X, Y: lo.Y}) || inner.meets(s.exit, at) {
				t.Errorf("way out by %s: its sign or line is on %q", p.Name, l.text)
			}
		}
	}
}

// The height of a pin is unmistakably its own where there is room: far from every other mark
// and every other height, and all heights are of one size. A grid pin stands 3.5 ft from a pin
// at the wall, as on a narrow floor, and another beside a column.
func TestHeightsAreApart(t *testing.T) {
	t.Parallel()
	for _, scale := range []float64{40, 48, 56} {
		m := pinned(100)
		m.Scale, m.Pins = scale, nil
		for i, xy := range [][2]float64{{5, 5}, {32, 5}, {32, 15}, {5, 15}, {20, 9.5}, {35.5, 5}, {35.5, 15}, {35.5, 0.5}, {32, 0.5}, {23, 10.5}} {
			m.Pins = append(m.Pins, SetOutPin{At: feet(xy[0], xy[1])[0], Name: "W" + strconv.Itoa(i+1), Text: "2 13/16", Wall: i > 4})
		}
		s := laid(t, m).placed
		if s.named != len(m.Pins) || s.heights != len(m.Pins) {
			t.Fatalf("1:%g: %d names and %d heights of %d", scale, s.named, s.heights, len(m.Pins))
		}
		gap := func(a, b box) float64 {
			dx, dy := math.Abs(float64(a.centre.X-b.centre.X))-float64(a.w+b.w)/2, math.Abs(float64(a.centre.Y-b.centre.Y))-float64(a.h+b.h)/2
			return math.Hypot(max(dx, 0), max(dy, 0))
		}
		for i, l := range s.labels {
			if l.of < 1 || !l.bold {
				continue
			}
			if l.size != s.labels[1].size {
				t.Errorf("1:%g: heights of %g and %g pt", scale, l.size, s.labels[1].size)
			}
			for k, q := range m.Pins {
				if d := gap(l.box, box{centre: s.frame.at(q.At)}); k+1 != l.of && d < 5 {
					t.Errorf("1:%g: the height of %s is %.1f pt from %s", scale, m.Pins[l.of-1].Name, d, q.Name)
				}
			}
			for _, o := range s.labels[i+1:] {
				if d := gap(l.box, o.box); o.of > 0 && o.of != l.of && o.bold && math.Abs(float64(l.centre.Y-o.centre.Y)) < float64(l.h) && d < 0.75*float64(l.size) {
					t.Errorf("1:%g: the heights of %s and %s are %.1f pt apart", scale, m.Pins[l.of-1].Name, m.Pins[o.of-1].Name, d)
				}
			}
		}
	}
}

// Pins that a reading in doubt changes by less than a step have no mark; the legend counts
// them, if there are any.
func TestLegendCountsPinsWithoutMark(t *testing.T) {
	t.Parallel()
	m := pinned(4)
	const want = "without \"!\": 2 pins that a shot in doubt changes by less than a step of the rule"
	if strings.Contains(strings.Join(texts(t, written(t, m, "svg")), " "), "without") {
		t.Error("the legend speaks of pins without a mark and there is none")
	}
	m.Pins[0].Slight, m.Pins[1].Slight = true, true
	if got := strings.Join(texts(t, written(t, m, "svg")), " "); !strings.Contains(got, want) {
		t.Errorf("no %q in %q", want, got)
	}
}

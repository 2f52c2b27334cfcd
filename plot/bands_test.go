package plot

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
)

// flatWithPit is a floor of 10 × 10 m that falls evenly from 10.000 to 9.980 m, and a pit
// of 1 × 1 m in it that falls from 9.600 to 9.595 m: one per cent of the area.
func flatWithPit() *surface.Floor {
	all := steps(0, 10, 1)
	room := surface.Region{
		Name:  "room",
		Rings: [][]surface.Vec{{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 0, Y: 10}}, {{X: 4, Y: 4}, {X: 4, Y: 5}, {X: 5, Y: 5}, {X: 5, Y: 4}}},
		TIN: lattice(surface.Vec{}, all, all, func(x, y float64) bool { return !(x > 4 && x < 5 && y > 4 && y < 5) },
			func(x, _ float64) float64 { return 10 - 0.002*x }),
	}
	in := []float64{4, 5}
	pit := surface.Region{
		Name:  "pit",
		Rings: [][]surface.Vec{{{X: 4, Y: 4}, {X: 5, Y: 4}, {X: 5, Y: 5}, {X: 4, Y: 5}}},
		TIN:   lattice(surface.Vec{}, in, in, func(x, y float64) bool { return true }, func(x, _ float64) float64 { return 9.6 - 0.005*(x-4) }),
	}
	return &surface.Floor{Regions: []surface.Region{room, pit}}
}

// A small pit does not leave the floor round it in one colour. Derived by hand: the room
// falls evenly, so every step of 2 mm has a tenth of it, and the pit is a hundredth of the
// whole.
func TestBandsShowFloorAndPit(t *testing.T) {
	t.Parallel()
	f := flatWithPit()
	target := surface.Horizontal(10.010)
	got := surface.Steps{}.Limits(f, target)
	// Depths of the room 10 to 30 mm, of the pit 410 to 415 mm: ten bands of 2 mm would
	// leave none for the pit, so the step is 5 mm.
	want := []float64{0.010, 0.015, 0.020, 0.025, 0.030, 0.410, 0.415}
	if len(got) != len(want) {
		t.Fatalf("limits %v, want %v", got, want)
	}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-12 {
			t.Fatalf("limits %v, want %v", got, want)
		}
	}
	most := 0.0
	for _, b := range f.FillTo(target, got).Bands {
		most = max(most, b.Area/100)
	}
	if most > 0.26 {
		t.Errorf("%.0f %% of the floor in one band", 100*most)
	}
	// The empty stretch between the two is not a band of the legend.
	m := &DepthMap{Floor: f, Target: target}
	all := strings.Join(texts(t, written(t, m, "svg")), "|")
	for _, want := range []string{"10|15|20|25|30", "410|415"} {
		if !strings.Contains(all, want) {
			t.Errorf("no limits %s in %s", want, all)
		}
	}
	if regexp.MustCompile(`\|0%\|`).MatchString(all) {
		t.Errorf("a band without area is listed: %s", all)
	}
}

// If the target divides the floor it is a limit, however small one side is.
func TestTargetIsALimit(t *testing.T) {
	t.Parallel()
	f := flatWithPit()
	for _, z := range []float64{9.9999, 9.985, 9.9805, 9.597} {
		target := surface.Horizontal(z)
		least, greatest := f.Depths(target)
		for _, u := range []surface.Steps{{}, {US: true}} {
			got := u.Limits(f, target)
			if least < 0 && greatest > 0 && !containsNear(got, 0) {
				t.Errorf("target %g: no limit at 0 in %v", z, got)
			}
			if got[0] > least+1e-9 || got[len(got)-1] < greatest-1e-9 {
				t.Errorf("target %g: %v does not take in %g to %g", z, got, least, greatest)
			}
			n := 0
			for _, b := range f.FillTo(target, got).Bands {
				if b.Area > 1e-9 {
					n++
				}
			}
			if n > surface.MostBands {
				t.Errorf("target %g: %d bands with area", z, n)
			}
		}
	}
}

func containsNear(all []float64, v float64) bool {
	for _, a := range all {
		if math.Abs(a-v) < 1e-12 {
			return true
		}
	}
	return false
}

// A dead level floor at a limit has one band, the band of its depth.
func TestLevelFloorHasOneBand(t *testing.T) {
	t.Parallel()
	xs := []float64{0, 5}
	f := &surface.Floor{Regions: []surface.Region{{
		Rings: [][]surface.Vec{{{X: 0, Y: 0}, {X: 5, Y: 0}, {X: 5, Y: 5}, {X: 0, Y: 5}}},
		TIN:   lattice(surface.Vec{}, xs, xs, func(x, y float64) bool { return true }, func(x, y float64) float64 { return 9.96 }),
	}}}
	for _, depth := range []float64{0.04, 0.0400000001, 0.0399999999, 0.043} {
		got := surface.Steps{}.Limits(f, surface.Horizontal(9.96+depth))
		if len(got) != 2 || got[1]-got[0] > 0.0011 || depth < got[0]-1e-6 || depth > got[1]+1e-6 {
			t.Errorf("depth %g: %v", depth, got)
		}
	}
}

// The depths of a small region stay inside it, and no depth of the room is in it.
func TestDepthsStayInTheirRegion(t *testing.T) {
	t.Parallel()
	f := flatWithPit()
	f.Openings = nil
	room, pit := &f.Regions[0], &f.Regions[1]
	// Shots of the room are dense round the pit, and one is in the pit.
	for k := range 12 {
		s := 3.95 + 0.1*float64(k)
		for _, p := range [][2]float64{{s, 3.97}, {s, 5.03}, {3.97, s}, {5.03, s}} {
			room.Shots = append(room.Shots, survey.Point{X: p[0], Y: p[1], Z: 9.99})
		}
	}
	pit.Shots = append(pit.Shots, survey.Point{X: 4.5, Y: 4.5, Z: 9.5975})
	m := &DepthMap{Floor: f, Target: surface.Horizontal(10.010), Shots: true, Contours: []surface.Contour{}}
	frame, err := m.Frame(DefaultWidth)
	if err != nil {
		t.Fatal(err)
	}
	in, out := 0, 0
	for _, l := range lettered(t, written(t, m, "svg")) {
		lo, hi := frame.Place(l.x0, l.y1), frame.Place(l.x1, l.y0)
		overlaps := hi.X > 4 && lo.X < 5 && hi.Y > 4 && lo.Y < 5
		switch {
		case l.text == "20" && overlaps:
			t.Errorf("a depth of the room at (%.2f, %.2f) stands in the pit", lo.X, lo.Y)
		case l.text == "20":
			out++
		case l.text == "413" && overlaps:
			in++
		}
	}
	if in != 1 || out == 0 {
		t.Errorf("%d depths in the pit, %d about it", in, out)
	}
}

// A falling target is marked with an arrow down the fall and its amount, a drain with its
// sign. A level target has neither.
func TestFallIsDrawn(t *testing.T) {
	t.Parallel()
	m := cutHall(1)
	level := strings.Join(texts(t, written(t, m, "svg")), "|")
	if strings.Contains(level, "falls") || strings.Contains(level, "drain") {
		t.Error("a level target falls")
	}
	m.Target = surface.Plane{Z: 30.43, SlopeX: -0.012, SlopeY: 0.009}
	m.Drains = []survey.Point{survey.Point{X: 16 * foot, Y: 9 * foot}.Named("D1"), {X: 900, Y: 900}}
	svg := written(t, m, "svg")
	got := texts(t, svg)
	for _, want := range []string{"1.5 %", "the target falls this way, by 1.5 %", "drain, or low end of the fall"} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
	s := newSheet(m, true)
	c := newSVG(460, 500, "")
	lo, hi := s.reach()
	drawPlan(draw.New(c), lo, hi, plan{units: m.Units, legend: 80, x: "x", y: "y"}, s)
	g := newGround(draw.New(c).Rectangle)
	s.owners(g)
	a := s.placeFall(g, true, nil)
	// The fall is the direction in which the target goes down: +x and −y here.
	if math.Abs(a.turn-math.Atan2(-0.009, 0.012)) > 1e-12 {
		t.Errorf("the arrow points to %.1f°", a.turn*180/math.Pi)
	}
	sin, cos := math.Sincos(a.turn)
	for _, end := range []float64{-0.5, 0.5} {
		p := a.centre
		p.X += a.length * vg.Length(end*cos)
		p.Y += a.length * vg.Length(end*sin)
		if !g.onFloor(p) {
			t.Errorf("the arrow leaves the floor at %v", p)
		}
	}
	if n := len(s.drains()); n != 1 {
		t.Errorf("%d drains on the floor, want 1", n)
	}
}

// On a map of departures the plane itself is a line like any other.
func TestPlaneIsNoThickLineOnDepartures(t *testing.T) {
	t.Parallel()
	m := cutHall(1)
	thick := func() int { return strings.Count(string(written(t, m, "svg")), `stroke-width="1.6"`) }
	if thick() == 0 {
		t.Fatal("no thick line where the target meets the floor")
	}
	m.Departure = true
	if n := thick(); n != 0 {
		t.Errorf("%d thick lines", n)
	}
}

// Lettering of SVG is fitted to its measured room, and none is too small to read on a phone.
func TestLetteringIsFitted(t *testing.T) {
	t.Parallel()
	m := cutHall(1)
	svg := string(written(t, m, "svg"))
	all := regexp.MustCompile(`<text [^>]*>`).FindAllString(svg, -1)
	size := regexp.MustCompile(`font-size="([\d.]+)"`)
	for _, l := range all {
		if !strings.Contains(l, ` textLength="`) || !strings.Contains(l, ` lengthAdjust="spacingAndGlyphs"`) {
			t.Fatalf("not fitted: %s", l)
		}
		var pt float64
		if _, err := fmt.Sscan(size.FindStringSubmatch(l)[1], &pt); err != nil || pt < 8 {
			t.Errorf("lettering of %g pt: %s", pt, l)
		}
	}
	if len(all) < 50 {
		t.Fatalf("%d texts", len(all))
	}
}

// On a map of changes the band of no change is one, grey and not hatched; places that moved are
// ringed, and nothing is called a plane.
func TestChangeIsGreyWhereItIsNotShown(t *testing.T) {
	t.Parallel()
	f := hall(4, surface.Vec{})
	middle := surface.Horizontal(99.7 * foot) // the change of this floor is its height above it
	least, greatest := f.Depths(middle)
	m := &DepthMap{Floor: f, Target: middle, Departure: true, Change: true, Shots: true, Levels: []float64{-0.02, 0.02, 0.04},
		Ringed: []survey.Point{survey.Point{X: 2 * foot, Y: 3 * foot}.Named("A1 61 mm lower")}}
	if least > -0.02 || greatest < 0.02 {
		t.Fatalf("changes from %g to %g, want some on both sides", least, greatest)
	}
	b := newSheet(m, true).bands
	if slices.Contains(b.limits, 0) || b.color(-0.01) != notShown || b.color(0.01) != notShown || b.color(0.03) == notShown || b.color(-0.03) == notShown {
		t.Errorf("limits %v with colours %v, want one grey band from -0.02 to 0.02", b.limits, b.colors)
	}
	got := texts(t, written(t, m, "svg"))
	for _, want := range []string{"Change, mm (lower: −)", "grey: not shown to have moved, but where ringed", "ringed in red: shown to have moved, as written", "A1 61 mm lower", "−20", "+20"} {
		if !has(got, want) {
			t.Errorf("no %q among %q", want, got)
		}
	}
	for _, text := range got {
		if strings.Contains(text, "plane") || strings.Contains(text, "hatched") || strings.Contains(text, "departure") {
			t.Errorf("%q on a map of changes", text)
		}
	}
	// The label of a line is black on a light plate: half of it may be on grey, half on a dark band.
	label := regexp.MustCompile(`<path fill="#ffffff" fill-opacity="0\.902" [^>]*/>\s*<text [^>]* fill="#000000" transform="[^>]*>\+20<`)
	if svg := written(t, m, "svg"); !label.Match(svg) {
		t.Errorf("no plate under +20 in an SVG of %d bytes", len(svg))
	}
}

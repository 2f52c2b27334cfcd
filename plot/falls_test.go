package plot

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// On a target with a valley along x = 6 arrows on either side point to it, by hand to the east or to
// the west, and none is across it.
func TestArrowsOfATargetThatBends(t *testing.T) {
	t.Parallel()
	at := func(x, y, z float64) survey.Point { return survey.Point{X: x, Y: y, Z: z} }
	ring := survey.Ring{Points: []survey.Point{at(0, 0, 30.06), at(6, 0, 30), at(12, 0, 30.06), at(12, 8, 30.06), at(6, 8, 30), at(0, 8, 30.06)}}
	valley, err := surface.NewFloor(surface.Data{Rings: []survey.Ring{ring}, Lines: []survey.Breakline{{Points: []survey.Point{at(6, 0, 30), at(6, 8, 30)}}}})
	if err != nil {
		t.Fatal(err)
	}
	floor, err := valley.Finished(surface.Horizontal(29.9))
	if err != nil {
		t.Fatal(err)
	}
	m := &DepthMap{Floor: floor, Target: surface.NewShape(valley, nil), Units: unit.Style{}}
	s := newSheet(m, true)
	c := newSVG(460, 500, "")
	lo, hi := s.reach()
	drawPlan(draw.New(c), lo, hi, plan{units: m.Units, legend: 80, x: "x", y: "y"}, s)
	g := newGround(draw.New(c).Rectangle)
	s.owners(g)
	all := s.placeFalls(g, nil)
	if len(all) < 8 {
		t.Fatalf("%d arrows", len(all))
	}
	for _, a := range all {
		p, want := s.frame.place(a.centre), 0.0
		if p.X > 6 {
			want = math.Pi
		}
		if off := math.Abs(math.Remainder(a.turn-want, 2*math.Pi)); off > 1e-9 || math.Abs(p.X-6) < fallLong/2/s.frame.scale {
			t.Errorf("at %v it points to %.1f°, by hand %.0f°", p, a.turn*180/math.Pi, want*180/math.Pi)
		}
	}
	if entries := s.fallEntries(""); len(entries) != 1 || entries[0].text != "the target falls this way, by 1 %" {
		t.Errorf("legend %v", entries)
	}
	before := strings.Count(string(written(t, m, "svg")), "<path")
	m.Channels = [][2]surface.Vec{{{X: 6, Y: 2}, {X: 6, Y: 6}}}
	if n := strings.Count(string(written(t, m, "svg")), "<path") - before; n != 2 {
		t.Errorf("a channel has %d strokes, want an edge and its inside", n)
	}
	m.Drains = []survey.Point{survey.Point{X: 6, Y: 2}.Named("gate"), survey.Point{X: 6, Y: 6}.Named("gate"), survey.Point{X: 2, Y: 2}.Named("gate")}
	if n := strings.Count(string(written(t, m, "svg")), ">gate<"); n != 2 {
		t.Errorf("%d names, want those of a channel, once, and of a drain", n)
	}
	on := &SetOutMap{Floor: m.Floor, Target: m.Target, Drains: m.Drains, Channels: m.Channels}
	bare := string(written(t, on, "svg"))
	on.Ramps = [][]surface.Vec{{{X: 1, Y: 0}, {X: 3, Y: 0}, {X: 2, Y: 1}}}
	ramped := string(written(t, on, "svg"))
	if n := strings.Count(bare, ">gate<"); n != 2 {
		t.Errorf("%d names on a plan of set-out", n)
	}
	if n := strings.Count(ramped, "<path") - strings.Count(bare, "<path"); n != 4 || !strings.Contains(ramped, "edge of a ramp") {
		t.Errorf("a ramp has %d strokes on a plan of set-out, want two, and two in the legend", n)
	}
	wet := &WaterMap{Floor: m.Floor}
	lineless := string(written(t, wet, "svg"))
	wet.Channels = m.Channels
	if n := strings.Count(string(written(t, wet, "svg")), "<path") - strings.Count(lineless, "<path"); n != 2 {
		t.Errorf("a channel has %d strokes on the map of water, want two", n)
	}
	wet.Drains = m.Drains
	if n := strings.Count(string(written(t, wet, "svg")), ">gate<"); n != 2 {
		t.Errorf("%d names on the map of water, want those of a channel, once, and of a drain", n)
	}
	if m.Departure = true; newSheet(m, true).bends() {
		t.Error("a map of departures has arrows")
	}
}

// A cone of triangles is up to 0.1 mm deeper than the fall it follows: the band that this alone
// reaches is not shown. By hand 0.028 m² of 59.95 mm beside 5.26 m² of 60 to 70 mm.
func TestNoBandOfFacets(t *testing.T) {
	next := surface.Band{From: 0.06, To: 0.07, Area: 5.26, Volume: 0.345}
	for _, c := range []struct {
		area, mean float64
		want       bool
	}{{0.028, 0.05995, true}, {0.028, 0.0597, false}, {1, 0.05995, false}, {0, 0, true}} {
		end := surface.Band{From: 0.05, To: 0.06, Area: c.area, Volume: c.area * c.mean}
		if got := Sliver(end, next, unit.Style{}); got != c.want {
			t.Errorf("%g m² of %g m: %v", c.area, c.mean, got)
		}
	}
}

package plot

import (
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey"
)

// The name of a dam that ends at other dams is nearest to its own dam, not in the bay
// behind. The legend counts names without room and refers to the list.
func TestDamsAreNamedBesideThemselves(t *testing.T) {
	t.Parallel()
	m := &SetOutMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(31), Levels: []float64{},
		Dams:     [][]surface.Vec{feet(12, 0, 12, 18), feet(24, 0, 24, 18), feet(12, 9, 24, 9), feet(24, 6, 25, 6)},
		DamNames: []string{"P", "Q", "R", "S"}}
	s := newSetOutSheet(m)
	lo, hi := s.reach()
	drawPlan(draw.New(newSVG(DefaultWidth, m.Height(DefaultWidth), "")), lo, hi, plan{legend: 100, x: "x", y: "y"}, s)
	if len(s.dams) < 3 || len(s.dams)+s.nameless != len(m.Dams) {
		t.Fatalf("%d dams named, %d counted without room, of %d", len(s.dams), s.nameless, len(m.Dams))
	}
	for _, l := range s.dams {
		own := strings.Index("PQRS", l.text)
		far := fromLine(s.onPage(m.Dams[own]), l.centre)
		for k, d := range m.Dams {
			if other := fromLine(s.onPage(d), l.centre); k != own && other <= far {
				t.Errorf("%s is %.1f pt from its dam and %.1f from %s", l.text, far, other, m.DamNames[k])
			}
		}
		if far > 20 {
			t.Errorf("%s is %.1f pt from its dam", l.text, far)
		}
	}
	s.nameless = 2
	if text := s.entries()[0].text; text != "dam, 2 without room for the name; the list of bays has all" {
		t.Errorf("legend: %q", text)
	}
}

// A drain has its name on both maps, once, even if it is given twice.
func TestDrainsAreNamed(t *testing.T) {
	t.Parallel()
	d := survey.Point{X: feet(9, 9)[0].X, Y: feet(9, 9)[0].Y}.Named("D1")
	both := []survey.Point{d, d}
	for what, m := range map[string]Drawing{
		"depth":   &DepthMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(31), Drains: both},
		"set-out": &SetOutMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(31), Levels: []float64{}, Drains: both},
	} {
		if n := strings.Count(string(written(t, m, "svg")), ">D1<"); n != 1 {
			t.Errorf("%s map: the name of the drain is there %d times", what, n)
		}
	}
}

// A drain or a door whose name has no room is counted: in the legend, and on each sheet that
// shows its mark, even if an edge cuts the name.
func TestNamesWithoutRoomAreCounted(t *testing.T) {
	t.Parallel()
	at := feet(9, 9)[0]
	m := &SetOutMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(31), Levels: []float64{}, Scale: 96}
	const legend = "drain, or low end of the fall"
	for _, c := range []struct {
		drain, door string
		count       int
		want        []string
	}{
		{"D1", "A1", 0, []string{legend, "adjoining finished floor"}},
		{strings.Repeat("long ", 60), "A1", 1, []string{legend + "; 1 without room for the name"}},
		{"D1", strings.Repeat("long ", 60), 1, []string{"adjoining finished floor; 1 without room for the name"}},
	} {
		m.Drains = []survey.Point{survey.Point{X: at.X, Y: at.Y}.Named(c.drain)}
		m.Finished = []survey.Point{survey.Point{X: feet(0, 9)[0].X, Y: at.Y}.Named(c.door)}
		plan := laid(t, m)
		if n := plan.Unnamed(); n != c.count {
			t.Errorf("%d names without room are counted, want %d", n, c.count)
		}
		all := texts(t, written(t, m, "svg"))
		for _, want := range c.want {
			if !has(all, want) {
				t.Errorf("no %q among %q", want, all)
			}
		}
	}
	m.Drains[0], m.Finished[0] = m.Drains[0].Named("a drain with a name"), m.Finished[0].Named("A1")
	plan := laid(t, m)
	mark := plan.placed.frame.at(at).Sub(plan.page.Min)
	half := vg.Point{X: drainRadius + 1, Y: drainRadius + 1}
	if n := plan.Part(vg.Rectangle{Min: mark.Sub(half), Max: mark.Add(half)}).Unnamed(); n != 1 {
		t.Errorf("%d names that an edge cuts are counted, want 1", n)
	}
	if n := plan.Part(vg.Rectangle{Min: mark.Add(half), Max: mark.Add(half.Scale(9))}).Unnamed(); n != 0 {
		t.Errorf("%d names of marks beside the sheet are counted", n)
	}
}

// The frame of a sheet ends at the axes: it crosses no title above them.
func TestSheetFrameStaysBetweenTheAxes(t *testing.T) {
	t.Parallel()
	m := &SetOutMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(31), Levels: []float64{},
		Windows: []PlanWindow{{Name: "A", Lo: feet(-30, -30)[0], Hi: feet(70, 70)[0]}}}
	wide := written(t, m, "svg")
	s := newSetOutSheet(m)
	lo, hi := s.reach()
	m.Windows[0].Lo, m.Windows[0].Hi = lo, hi
	far := func(svg []byte) (least float64) {
		least = 1e9
		for _, l := range strings.Split(string(svg), "\n") {
			if i := strings.Index(l, `y="`); strings.Contains(l, ">A<") && i >= 0 {
				least = number(t, strings.SplitN(l[i+3:], `"`, 2)[0])
			}
		}
		return least
	}
	if a, b := far(wide), far(written(t, m, "svg")); a > b+0.1 || a < b-20 {
		t.Errorf("the letter of a sheet larger than the plan is %.1f pt down, of one as large %.1f", a, b)
	}
}

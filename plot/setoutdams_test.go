package plot

import (
	"strings"
	"testing"

	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

// The name of a dam that ends at other dams is nearest to its own, not in the bay behind;
// the legend counts names without room and refers to the list.
func TestDamsAreNamedBesideThemselves(t *testing.T) {
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

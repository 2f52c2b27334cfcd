package plot

import (
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
)

// Each material has its name, area and volume in its area, or beside it with a line that ends
// there, on paper and on a phone; the border is where the next begins.
func TestMaterialsAreNamedInTheirAreas(t *testing.T) {
	t.Parallel()
	for _, width := range []vg.Length{DefaultWidth, 236} {
		const from = 0.04 // m: the hump is mortar
		m := &SetOutMap{Summary: "Materials in plan", Floor: hall(2, surface.Vec{}), Target: surface.Horizontal(99.93 * foot), Finished: doors(surface.Vec{}),
			Materials: []PlanMaterial{{Name: "repair mortar", Text: "2.51 m², 0.08 m³"}, {Name: "topping concrete", Text: "78.30 m², 5.52 m³", From: from}}}
		s := newSetOutSheet(m)
		lo, hi := s.reach()
		drawPlan(draw.New(newSVG(width, m.Height(width), "")), lo, hi, plan{legend: s.legendHeight(width), x: "x", y: "y"}, s)
		if len(s.materials) != 2 {
			t.Fatalf("%d materials are lettered %g pt wide, want 2", len(s.materials), width.Points())
		}
		for _, spot := range s.materials {
			at := spot.labels[0].centre
			if spot.led {
				at = spot.leader.from
			}
			v := surface.Vec{X: s.frame.base.X + float64(at.X-s.frame.origin.X)/s.frame.scale, Y: s.frame.base.Y + float64(at.Y-s.frame.origin.Y)/s.frame.scale}
			depth := 99.93*foot - hallFt(v.X/foot, v.Y/foot)*foot
			if mortar := spot.labels[0].text == "repair mortar"; mortar != (depth < from) {
				t.Errorf("%q is at a depth of %.3f m, the border at %g", spot.labels[0].text, depth, from)
			}
		}
		var b strings.Builder
		if err := Write(&b, m, Output{Format: "svg", Width: width}); err != nil {
			t.Fatal(err)
		}
		svg := []byte(b.String())
		for _, want := range []string{"repair mortar", "2.51 m², 0.08 m³", "topping concrete", "78.30 m², 5.52 m³"} {
			if !has(texts(t, svg), want) {
				t.Errorf("no %q %g pt wide", want, width.Points())
			}
		}
		if pair := overlaps(lettered(t, svg)); pair != "" {
			t.Errorf("%s run into each other %g pt wide", pair, width.Points())
		}
		if n := strings.Count(b.String(), `stroke-dasharray="7 2 1.5 2"`); n != 2 { // in plan and in the legend
			t.Errorf("%d border lines, want 2", n)
		}
		if legend := strings.Join(texts(t, svg), " "); !strings.Contains(legend, "40 mm deep; thinner: repair mortar, deeper: topping concrete") || !strings.Contains(legend, "which material first: product label, or your own sequence") {
			t.Errorf("the legend does not say which side is which: %q", legend)
		}
	}
}

// Materials take no room from pins.
func TestMaterialsLeavePinsTheirRoom(t *testing.T) {
	t.Parallel()
	m := pinned(4)
	height := m.Height(DefaultWidth)
	bare := newSetOutSheet(m)
	place := func(s *setOutSheet) {
		lo, hi := s.reach()
		drawPlan(draw.New(newSVG(DefaultWidth, height, "")), lo, hi, plan{legend: 150, x: "x", y: "y"}, s)
	}
	place(bare)
	m.Materials = []PlanMaterial{{Name: "mortar", Text: "2.51 m²"}, {Name: "concrete", Text: "78.30 m²", From: 0.03}}
	both := newSetOutSheet(m)
	place(both)
	if bare.named != both.named || bare.heights != both.heights {
		t.Errorf("%d names and %d heights with materials, %d and %d without", both.named, both.heights, bare.named, bare.heights)
	}
	if len(both.materials) == 0 {
		t.Error("no material is lettered")
	}
}

// Ranges out of order would tint the wrong part of a floor.
func TestMaterialsAreInOrder(t *testing.T) {
	t.Parallel()
	m := &SetOutMap{Floor: hall(4, surface.Vec{}), Target: surface.Horizontal(31), Materials: []PlanMaterial{{Name: "a", From: 0.05}, {Name: "b", From: 0.02}}}
	if err := m.Draw(draw.New(newSVG(300, 300, ""))); err == nil || !strings.Contains(err.Error(), `depths of "b"`) {
		t.Errorf("error %v", err)
	}
}

package plot

import (
	"bytes"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// On a page wider than the floor the plan is larger with the legend beside it, and nothing of
// the legend is left out.
func TestWideMapUsesTheWidthOfThePage(t *testing.T) {
	t.Parallel()
	m := &DepthMap{Floor: hall(1, surface.Vec{}), Target: surface.Horizontal(99.93 * foot), Shots: true, Units: unit.Style{Imperial: true}}
	const width, height = 512, 333
	s := newSheet(m, true)
	c := draw.NewCanvas(newSVG(width, height, ""), width, height)
	side := s.sideRoom(c)
	if side == 0 {
		t.Fatal("the legend is below the plan")
	}
	lo, hi := s.reach()
	scale := func(right, legend vg.Length) float64 {
		on := framed{units: m.Units}
		drawPlan(draw.Crop(c, 0, -right, 0, 0), lo, hi, plan{units: m.Units, legend: legend, x: "x", y: "y"}, &on)
		return on.frame.scale
	}
	if beside, below := scale(side, barRoom), scale(0, s.legendHeight(width)); beside < 1.15*below {
		t.Errorf("%.0f pt/m with the legend beside the plan, %.0f below it", beside, below)
	}
	at := func(d Drawing) map[string]bool {
		var b bytes.Buffer
		if err := Write(&b, d, Output{Format: "svg", Width: width, Height: height}); err != nil {
			t.Fatal(err)
		}
		found := map[string]bool{}
		for _, line := range texts(t, b.Bytes()) {
			found[line] = true
		}
		return found
	}
	wide := at((*WideMap)(m))
	for _, want := range []string{"not poured", "step in the floor", "Depth of fill, inches", "y of the survey"} {
		if !wide[want] {
			t.Errorf("no %q on the wide map", want)
		}
	}
	corridor := newSheet(&DepthMap{Floor: hall(1, surface.Vec{}), Target: m.Target}, true)
	if side := corridor.sideRoom(draw.NewCanvas(newSVG(236, 600, ""), 236, 600)); side != 0 {
		t.Errorf("on a tall page the legend is %g pt wide beside the plan, want it below", side.Points())
	}
}

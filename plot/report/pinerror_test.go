package report

import (
	"math"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/survey/unit"
)

// Each pin has the ± of its place, in pins.csv too, and one that is less deep than that is named on
// the sheet.
func TestPinsHaveTheirError(t *testing.T) {
	t.Parallel()
	h := hall(t)
	model, ground := h.Filled.Sure().Model, h.Old.Locators()
	for _, p := range h.Pins.Pins {
		_, region, _ := ground.At(p.At)
		if want := model.Depths(region, []surface.Vec{p.At})[0].Within; !(want > 0) || math.Abs(p.Within-want) > 1e-12 {
			t.Errorf("pin %s: ±%g m, want %g", p.Name, p.Within, want)
		}
	}
	list := h.pinTable(false)
	last := len(list.Columns) - 1
	for i, row := range list.Rows { // in inches, to 0.005
		if got, want := row[last].Value, h.Pins.Pins[i].Within/0.0254; math.Abs(got-want) > 0.0025+1e-9 || math.Abs(200*got-math.Round(200*got)) > 1e-9 {
			t.Errorf("pin %s: ±%g in listed, want %g to 0.005", h.Pins.Pins[i].Name, got, want)
		}
	}
	if got := measuresOf(unit.Style{}).plusMinus(0.0012345).Value; got != 1.2 {
		t.Errorf("±%g mm, want 1.2", got)
	}
	if c := list.Columns[last].Name; !strings.HasPrefix(c, "depth ± 90 %") {
		t.Errorf("last column %q", c)
	}
	if got := h.unsurePins(); got != nil {
		t.Errorf("%q, want none", got)
	}
	few := *h.Pins
	few.Pins = []setout.Pin{{Name: "P1", Depth: 0.003, Within: 0.004}, {Name: "P2", Depth: 0.005, Within: 0.004}, {Name: "P3", Depth: -0.001, Within: 0.004}, {Name: "P4", Depth: 0.003}}
	h.Pins = &few
	if got := h.unsurePins(); len(got) != 1 || got[0] != "The ± is larger than the depth at P1: read the floor there before you set it." {
		t.Errorf("%q", got)
	}
}

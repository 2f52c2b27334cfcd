package plot

import (
	"math"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// A benchmark at the floor has its sign, its name and its elevation on the plan and in the legend. One
// far off would shrink the plan: the legend says where it is. One without a place is neither.
func TestBenchmarksAreOnThePlan(t *testing.T) {
	t.Parallel()
	mark := func(name string, x, y float64) survey.Point { return survey.Point{X: x, Y: y, Z: 10}.Named(name) }
	m := &SetOutMap{Floor: rectangle(6, 4, 7, 5, func(float64, float64) float64 { return 0 }), Target: surface.Horizontal(0.1), Levels: []float64{}}
	m.Marks = []survey.Point{mark("BM1", -0.3, 1), mark("BM2", 40, 1), mark("BM3", math.NaN(), math.NaN())}
	plan := string(written(t, m, "svg"))
	for _, want := range []string{">BM1 10.000 m<", ">benchmark: BM1 10.000 m<", ">benchmark BM2 10.000 m: outside the plan, at (40.000, 1.000) m<"} {
		if strings.Count(plan, want) != 1 {
			t.Errorf("%d of %q on the plan", strings.Count(plan, want), want)
		}
	}
	if strings.Contains(plan, "BM3") {
		t.Error("a benchmark without a place is on the plan")
	}
	if lo, hi := newSetOutSheet(m).reach(); lo.X > -0.3 || hi.X > 8 {
		t.Errorf("the plan reaches from %.2f to %.2f m", lo.X, hi.X)
	}
}

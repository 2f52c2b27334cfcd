package plot

import (
	"strings"
	"testing"

	"pourplane/surface"
)

// Each chair has a letter for its height, which the legend explains; where two would touch, dots
// stay. A place without room for a chair has a cross.
func TestChairsHaveTheirHeights(t *testing.T) {
	t.Parallel()
	m := &SetOutMap{Floor: rectangle(6, 4, 7, 5, func(float64, float64) float64 { return 0 }), Target: surface.Horizontal(0.1), Levels: []float64{},
		Bars: [][2]surface.Vec{{{X: 0.1, Y: 1}, {X: 5.9, Y: 1}}, {{X: 1, Y: 0.1}, {X: 1, Y: 3.9}}}, Ways: [2]string{"X: along south wall, the first 100 mm from it", ""},
		Chairs: []surface.Vec{{X: 1.5, Y: 1}, {X: 3, Y: 1}, {X: 4.5, Y: 1}}, Heights: []string{"20 mm", "25 mm", "25 mm"}, NoChair: []surface.Vec{{X: 5.5, Y: 1}}}
	plan := string(written(t, m, "svg"))
	for text, n := range map[string]int{">a<": 2, ">b<": 2, "1 bar X: along south wall, the first 100 mm from it": 1, "1 bar the other way": 1,
		"3 chairs, a letter each for the height": 1, "a\u00a020\u00a0mm": 1, "b\u00a025\u00a0mm": 1, "1 place without room for a chair": 1} {
		if got := strings.Count(plan, text); got != n {
			t.Errorf("%q is there %d times, want %d", text, got, n)
		}
	}
	m.Chairs[1].X = 1.51
	if plan := string(written(t, m, "svg")); strings.Contains(plan, ">b<") || !strings.Contains(plan, "3 chairs; no room for their heights") {
		t.Error("letters of two chairs that touch")
	}
	m.Heights = m.Heights[:2]
	if err := m.check(); err == nil || !strings.Contains(err.Error(), "heights of chairs") {
		t.Errorf("two heights for three chairs: %v", err)
	}
}

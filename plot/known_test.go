package plot

import (
	"math"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// A map that is drawn, changed and drawn again is the map that was changed before it was ever
// drawn.
func TestMapDrawnAgain(t *testing.T) {
	var shots []survey.Point
	for i := range 100 {
		x, y := float64(i%10), float64(i/10)
		shots = append(shots, survey.Point{X: x, Y: y, Z: 0.02 * math.Sin(x) * math.Cos(y)})
	}
	f, err := surface.NewFloor(surface.Data{Shots: shots})
	if err != nil {
		t.Fatal(err)
	}
	svg := func(d Drawing) string { return string(written(t, d, "svg")) }
	fresh := func() *DepthMap {
		return &DepthMap{Floor: f, Target: surface.Horizontal(0.03), Levels: []float64{0.01, 0.02, 0.03, 0.04}}
	}
	m := fresh()
	first := svg(m)
	for name, change := range map[string]func(*DepthMap){
		"nothing":  func(*DepthMap) {},
		"target":   func(m *DepthMap) { m.Target = surface.Horizontal(0.035) },
		"a level":  func(m *DepthMap) { m.Levels[1] = 0.025 },
		"levels":   func(m *DepthMap) { m.Levels = nil },
		"finished": func(m *DepthMap) { m.Finished = []survey.Point{{X: -0.5, Y: 3, Z: 0.03}} },
		"contours": func(m *DepthMap) { m.Contours = []surface.Contour{} },
		"units":    func(m *DepthMap) { m.Units.Imperial = true },
	} {
		m, other := fresh(), fresh()
		svg(m)
		change(m)
		change(other)
		got, want := svg(m), svg(other)
		if got != want {
			t.Errorf("after a change of %s: not the map with that change", name)
		}
		if (got == first) != (name == "nothing") {
			t.Errorf("a change of %s: same drawing %t", name, got == first)
		}
	}
	if svg((*ContourMap)(m)) == first || svg(m) != first {
		t.Error("contour drawing and depth map of one map are mixed up")
	}
}

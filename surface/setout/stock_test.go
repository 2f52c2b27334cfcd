package setout_test

import (
	"math"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// The defaults of a crew in feet are whole feet and inches; the notes can be read in them.
func TestImperialDefaults(t *testing.T) {
	style := unit.Style{Imperial: true, Denominator: 8}
	rings := lShaped()
	f := build(t, shots(rings[0], tilted), rings...)
	b, err := setout.LayBars(f, surface.Horizontal(10.1), setout.BarRules{Size: sized(t, "#4"), Spacing: foot, US: true})
	if err != nil {
		t.Fatal(err)
	}
	p, err := setout.SetPins(f, surface.Horizontal(10.1), setout.PinRules{US: true})
	if err != nil {
		t.Fatal(err)
	}
	if r := b.Rules; r.Stock != 20*foot || r.Edge != 0.25*foot || math.Abs(r.Lap-40*0.0127) > 1e-15 || p.Rules.Spacing != 5*foot || p.Rules.Step != 0.0254/16 {
		t.Errorf("%+v, %+v", r, p.Rules)
	}
	for _, n := range append(b.Notes, p.Notes...) {
		if text := n.Text.In(style); strings.Contains(text, " m ") || strings.Contains(text, "mm") || strings.Contains(text, "m²") {
			t.Errorf("a note in metres: %s", text)
		}
	}
	text := noteText(b.Notes)
	for _, want := range []string{"upper third", "kept 76 mm from walls", "inside corners", "designer"} {
		if !strings.Contains(text, want) {
			t.Errorf("notes do not tell %q: %s", want, text)
		}
	}
}

// By hand: 7.8 × 4.2 m, 10 mm bars at 0.5 m, 0.1 m at the walls, laps of 40 × 10 = 400
// mm. Along: 9 lines of 7.6 m, 6 m and 7.6 − 5.6 = 2 m. Across: 17 bars of 4 m, each
// from a stock bar that leaves 2 m: 9 of them give the 2 m pieces. 9 + 17 = 26 stock
// bars.
func TestStockIsCutLongestFirst(t *testing.T) {
	b, err := setout.LayBars(rectangle(t, 7.8, 4.2, level), surface.Horizontal(10.1), setout.BarRules{Size: sized(t, "10"), Spacing: 0.5, Edge: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	if b.Stock != 26 || math.Abs(b.StockMass-26*6*0.617) > 1e-9 {
		t.Errorf("%d stock bars of %.3f kg, want 26 of %.3f: %+v", b.Stock, b.StockMass, 26*6*0.617, b.Cuts)
	}
}

// By hand: 6 × 4 m, bars at 0.45 m, 75 mm at the walls. Lines: 3.85 / 0.45 → 9 gaps of 0.428
// m; chairs at 1 m are under every second line and the last: 6 of the 10. Along 5.85 m there
// are 6, the first half of 0.975 m in.
func TestPlacesOfChairs(t *testing.T) {
	b, err := setout.LayBars(rectangle(t, 6, 4, level), surface.Horizontal(10.1), setout.BarRules{Size: sized(t, "10"), Spacing: 0.45})
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Chairs) != 36 || b.Chairs[0].At.Distance(surface.Vec{X: 0.5625, Y: 0.075}) > 1e-6 || b.Chairs[35].At.Distance(surface.Vec{X: 5.4375, Y: 3.925}) > 1e-6 {
		t.Errorf("%d chairs from %v to %v", len(b.Chairs), b.Chairs[0].At, b.Chairs[len(b.Chairs)-1].At)
	}
}

// A valley one row of shots wide separates two thin places.
func TestThinPlacesPartedByARow(t *testing.T) {
	var points []survey.Point
	for i := range 3 {
		for j := range 3 {
			points = append(points, survey.Point{X: float64(i), Y: float64(j), Z: 0.01 * math.Abs(float64(i-1))})
		}
	}
	r := closed(survey.Outer, 0, 0, 2, 0, 2, 2, 0, 2)
	s, err := setout.Shallow(build(t, points, r), surface.Horizontal(0.03), 0.025)
	if err != nil {
		t.Fatal(err)
	}
	// Depth 30 − 10 |x − 1| mm is below 25 mm where |x − 1| > 0.5: 0.5 × 2 m on either side.
	if len(s.Places) != 2 || math.Abs(s.Places[0].Area-1) > 1e-9 || math.Abs(s.Places[1].Area-1) > 1e-9 || math.Abs(s.Area-2) > 1e-9 {
		t.Errorf("%+v", s)
	}
}

// Mesh laid minus mesh doubled is the covered area, counted on a fine grid.
func TestMeshLapsOnAnL(t *testing.T) {
	r := closed(survey.Outer, 0, 0, 3, 0, 3, 2.1, 7, 2.1, 7, 6, 0, 6)
	m, err := setout.LayMesh(build(t, shots(r, level), r), surface.Horizontal(10.1), setout.MeshRules{Length: 2.5, Width: 1.3, Mass: 2})
	if err != nil {
		t.Fatal(err)
	}
	const step = 0.01
	covered := 0.0
	for x := step / 2; x < 7; x += step {
		for y := step / 2; y < 6; y += step {
			for _, s := range m.Sheets {
				if a, c := s.Corners[0], s.Corners[2]; (x-a.X)*(x-c.X) < 0 && (y-a.Y)*(y-c.Y) < 0 {
					covered += step * step
					break
				}
			}
		}
	}
	if math.Abs(m.Area-m.Lapped-covered) > 0.05 {
		t.Errorf("%.3f m² laid, %.3f double, %.3f covered", m.Area, m.Lapped, covered)
	}
}

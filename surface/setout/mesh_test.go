package setout_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/surface/setout"
)

// By hand: 9.9 × 3.9 m, sheets of 4.8 × 2.4 m, laps of 0.2 m, 50 mm at the walls. Rows: 3.8
// m, 2.4 + 2.2 ≥ 3.8: 2. In a row 9.8 m: 4.8 + 4.6 + 4.6 ≥ 9.8: 3. 6 sheets of 11.52 m²
// at 3.02 kg/m². Laid: each row 9.8 + 2 × 0.2 long and 2.4 and 1.6 wide: 10.2 × 4.0 =
// 40.8 m²; covered 9.8 × 3.8 = 37.24. Lapped: across 2 × 0.2 × 4.0 = 1.6, along 9.8 ×
// 0.2 = 1.96; 40.8 − 37.24 = 3.56 = 1.6 + 1.96.
func TestMeshOfASlab(t *testing.T) {
	m, err := setout.LayMesh(rectangle(t, 9.9, 3.9, level), surface.Horizontal(10.1), setout.MeshRules{Length: 4.8, Width: 2.4, Mass: 3.02})
	if err != nil {
		t.Fatal(err)
	}
	if m.Count != 6 || math.Abs(m.Area-40.8) > 1e-6 || math.Abs(m.Lapped-3.56) > 1e-6 || math.Abs(m.Mass-6*11.52*3.02) > 1e-6 {
		t.Errorf("%d sheets, %.6f m² laid, %.6f lapped, %.3f kg; want 6, 40.8, 3.56, %.3f", m.Count, m.Area, m.Lapped, m.Mass, 6*11.52*3.02)
	}
}

// By hand: the ramp of 10 × 4 m, 60 − 10 x mm deep. Two covers of 20 mm have room up to x =
// 2 m: 32 m² have less, 16 m² of them nothing. With covers of 5 mm 20 m² have less.
func TestMeshOverThinFloor(t *testing.T) {
	f := rectangle(t, 10, 4, func(x, y float64) float64 { return 5 + 0.01*x })
	for cover, want := range map[float64]float64{0: 32, 0.005: 20} {
		m, err := setout.LayMesh(f, surface.Horizontal(5.06), setout.MeshRules{Length: 4.8, Width: 2.4, Mass: 3.02, Cover: cover})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(m.Thin.Area-want) > 1e-6 || math.Abs(m.Thin.Dry-16) > 1e-6 {
			t.Errorf("cover %g: %+v, want %g m², 16 dry", cover, m.Thin, want)
		}
		text := noteText(m.Notes)
		if said := "before sheets are trimmed"; !strings.Contains(text, said) || strings.Contains(text, "depth") {
			t.Errorf("cover %g: notes do not tell %q alone: %s", cover, said, text)
		}
	}
	deep, err := setout.LayMesh(f, surface.Horizontal(5.2), setout.MeshRules{Length: 4.8, Width: 2.4, Mass: 3.02})
	if err != nil || deep.Thin.Area != 0 || strings.Contains(noteText(deep.Notes), "the depth is less") {
		t.Errorf("a fill of 100 mm and more: %+v, %v", deep.Thin, err)
	}
}

// Sheets cover every place that is 50 mm from the walls.
func TestMeshCovers(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 5))
	for n := range 25 {
		rings := star(rnd)
		f := build(t, shots(rings[0], level), rings...)
		m, err := setout.LayMesh(f, surface.Horizontal(10.1), setout.MeshRules{Length: 3, Width: 2, Mass: 2})
		if err != nil {
			t.Fatal(err)
		}
		lo, hi := f.Bounds()
		for range 300 {
			p := surface.Vec{X: lo.X + rnd.Float64()*(hi.X-lo.X), Y: lo.Y + rnd.Float64()*(hi.Y-lo.Y)}
			if !inRings(rings, p) || toWalls(rings, p) < 0.05 {
				continue
			}
			under := false
			for _, s := range m.Sheets {
				in := true
				for i, a := range s.Corners {
					b := s.Corners[(i+1)%4]
					in = in && (b.X-a.X)*(p.Y-a.Y)-(b.Y-a.Y)*(p.X-a.X) > -1e-6
				}
				under = under || in
			}
			if !under {
				t.Fatalf("floor %d: no sheet covers %v", n, p)
			}
		}
	}
}

package flatness

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// bumpy is a floor of 6 m × 4.8 m with shots every 300 mm, uneven by a few millimetres: four
// long waves in random directions and the noise of a rod.
func bumpy(tb testing.TB, seed uint64) *surface.Floor {
	rng := rand.New(rand.NewPCG(seed, 7))
	type wave struct{ x, y, phase, high float64 }
	var waves []wave
	for range 4 {
		a, k := 2*math.Pi*rng.Float64(), 1+3*rng.Float64()
		waves = append(waves, wave{k * math.Cos(a), k * math.Sin(a), 7 * rng.Float64(), 0.001 + 0.002*rng.Float64()})
	}
	return gridFloor(tb, 20, 16, 0.3, func(x, y float64) float64 {
		z := 10 + 0.0005*rng.NormFloat64()
		for _, w := range waves {
			z += w.high * math.Sin(w.x*x+w.y*y+w.phase)
		}
		return z
	})
}

// onLines returns the max gap on lines spacing metres and some degrees apart, without
// refinement between them.
func onLines(tb testing.TB, f *surface.Floor, length, spacing float64, directions int) float64 {
	tb.Helper()
	s := &search{Laying: Laying{Length: length, Spacing: spacing, Directions: directions, Worst: 1}}
	for _, degrees := range s.bearings(f) {
		d := newField(f.Regions[0].TIN).turn(degrees)
		if err := direction([]*search{s}, d, d.lines(spacing), &progress{}); err != nil {
			tb.Fatal(err)
		}
	}
	return s.result().Gap
}

// The max gap is that of lines ten times as close together in five times as many directions;
// the first lines miss it by up to 7 %.
func TestGapGrowsNoMore(t *testing.T) {
	missed := 0.0
	for seed := range uint64(6) {
		f := bumpy(t, seed)
		got := lay(t, f, Laying{Length: 2}).Gap
		want := onLines(t, f, 2, 0.015, 60)
		if got < 0.9995*want {
			t.Errorf("floor %d: gap %.4f mm, on close lines %.4f mm", seed, got*1e3, want*1e3)
		}
		missed = max(missed, 1-onLines(t, f, 2, 0.15, 12)/got)
	}
	if missed < 0.02 {
		t.Errorf("lines that are laid first miss %.1f %% at most: these floors show nothing", 100*missed)
	}
}

// A valley of two planes that rise by g on both sides, square to a line at 7.5° to the
// directions laid: across it the gap is g·L/2, by hand, and g·cos 7.5°·L/2 in the nearest of
// these.
func TestGapAcrossASkewValley(t *testing.T) {
	const g, L = 0.01, 2.0
	f := skewValley(t, g)
	if before := onLines(t, f, L, 0.15, 12); before > 0.992*g*L/2 {
		t.Errorf("%g mm on the lines laid first: they run across the valley", before*1e3)
	}
	e := lay(t, f, Laying{Length: L})
	near(t, "gap", e.Gap, g*L/2, 1e-3*g*L/2)
	near(t, "length", e.From.Distance(e.To), L, 1e-9)
	near(t, "gap of the first place", e.Worst[0].Gap, e.Gap, 0)

	// A place that is not the worst on the lines may be the worst of all.
	s := &search{Laying: Laying{Length: L, Spacing: 0.15, Worst: 1}, out: Straightedge{Directions: make([]float64, 12)}}
	s.found = []Place{
		{Gap: 0.995 * g * L / 2, From: surface.Vec{X: 1.5, Y: 4}, To: surface.Vec{X: 1.5, Y: 6}, LowAt: surface.Vec{X: 1.5, Y: 5}},
		{Gap: 0.9 * g * L / 2, From: surface.Vec{X: -1}, To: surface.Vec{X: 1}},
	}
	s.refine([]ground{{f.Regions[0].TIN, f.Regions[0].TIN.Locator()}})
	near(t, "gap of the second place", s.result().Gap, g*L/2, 1e-3*g*L/2)
}

func skewValley(t *testing.T, g float64) *surface.Floor {
	t.Helper()
	sin, cos := math.Sincos(7.5 * math.Pi / 180)
	s := survey.Surface{Declared: undeclared}
	for _, v := range [][2]float64{{0, -8}, {3, -8}, {3, 8}, {0, 8}, {-3, 8}, {-3, -8}} {
		s.Vertices = append(s.Vertices, survey.Point{X: v[0]*cos - v[1]*sin, Y: v[0]*sin + v[1]*cos, Z: g * math.Abs(v[0])})
	}
	s.Faces = [][3]int32{{0, 1, 2}, {0, 2, 3}, {5, 0, 3}, {5, 3, 4}}
	f, err := surface.FromFaces(s)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// The default spacing of lines: half that of the shots, from 25 to 150 mm.
func TestDefaultLines(t *testing.T) {
	flat := func(x, y float64) float64 { return 0 }
	for _, c := range []struct{ side, want float64 }{{0.5, 0.15}, {0.2, 0.1}, {0.04, 0.025}} {
		f := gridFloor(t, 30, 24, c.side, flat)
		e := lay(t, f, Laying{Length: 3 * c.side, Directions: 1})
		// A floor of n squares has n + 1 rows of shots: they are a little closer.
		if math.Abs(e.Spacing-c.want) > 0.04*c.want {
			t.Errorf("shots %g m apart: lines %g m apart, want %g", c.side, e.Spacing, c.want)
		}
		if lines := 30*c.side/c.want + 24*c.side/c.want; float64(e.Lines) < lines || float64(e.Lines) > 1.06*lines+4 {
			t.Errorf("shots %g m apart: %d lines, want about %.0f", c.side, e.Lines, lines)
		}
	}
	// So many shots that lines are farther apart: with twice the lengths twice as far.
	f := gridFloor(t, 300, 300, 0.05, flat)
	for lengths, want := range map[int]float64{40: 0.502, 80: 1.004} { // 1.5 × 180,000 triangles × 0.0498 m × 14 × 80 ÷ 15 million
		near(t, "lines of many shots", lineSpacing(f, 14, lengths), want, 0.002)
	}
}

// A reading of 9986 m for 9.986 m makes gaps of kilometres: the amount kept is bounded, and
// shares of gaps within the limits' range are those of the floor without it.
func TestSlippedReadingIsBounded(t *testing.T) {
	f := gridFloor(t, 4, 4, 0.75, func(x, y float64) float64 {
		if x == 1.5 && y == 1.5 {
			return 9986
		}
		return 9.986 + 0.001*math.Mod(3*x+5*y, 4)
	})
	e := lay(t, f, Laying{Length: 2})
	if e.Gap < 1000 || len(e.gaps) > 16_001 { // 100 mm in steps of 1/160 mm
		t.Errorf("gap %g m, %d bins", e.Gap, len(e.gaps))
	}
	within := e.Within(0.05)
	if within <= 0 || within >= 1 {
		t.Errorf("share %g", within)
	}
	last := within
	for _, tolerance := range []float64{0.0999, 0.11, 1, e.Gap / 2, e.Gap} {
		if now := e.Within(tolerance); now < last || now > 1 {
			t.Errorf("share within %g m: %g after %g", tolerance, now, last)
		} else {
			last = now
		}
	}
	near(t, "share within the largest gap", last, 1, 1e-9)
}

// For an edge shorter than two spacings of the shots the distribution of gaps is not kept,
// whatever the relief: it would only show the triangles. Candidates for the worst places are
// bounded.
func TestWideTriangles(t *testing.T) {
	f := gridFloor(t, 7, 6, 45, func(x, y float64) float64 { return 6*math.Sin(x/60) + 3*math.Cos(y/40) })
	all, err := LayAll(f, Laying{}, 3, 100)
	if err != nil {
		t.Fatal(err)
	}
	if !math.IsNaN(all[0].Within(0.003)) || len(all[0].gaps) != 0 || !(all[0].Gap > 0) || !all[0].Shareless {
		t.Errorf("%g m, share %g", all[0].Gap, all[0].Within(0.003))
	}
	if math.IsNaN(all[1].Within(0.003)) || all[1].Shareless {
		t.Errorf("share %g", all[1].Within(0.003))
	}
	s := &search{Laying: Laying{Length: 1}}
	one := tally{cells: make([]spot, mostFound/2)}
	for i := range one.cells {
		one.cells[i] = spot{value: 0.001, gap: 0.001 * float64(i+1)}
	}
	for range 9 {
		s.merge(&one, func(u, w float64) surface.Vec { return surface.Vec{} })
	}
	if len(s.found) > 2*mostFound {
		t.Errorf("%d candidates", len(s.found))
	}
	if g := slices.MaxFunc(s.found, func(a, b Place) int { return cmp.Compare(a.Gap, b.Gap) }).Gap; g != 0.001*mostFound/2 {
		t.Errorf("the largest of them %g m", g)
	}
}

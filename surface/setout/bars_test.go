package setout_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/survey"
)

func sized(t testing.TB, name string) setout.Size {
	t.Helper()
	s, err := setout.BarNamed(name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Inch sizes in pounds: ASTM A615 as printed in "Rebar size and weights", Concrete
// Construction (lb/ft). 8, 10 and 12 mm: 0.395, 0.617 and 0.888 kg/m as in EN 10080 tables
// (from memory; computed at 7850 kg/m³); 16, 20, 25, 32 and 40 mm: 1.578, 2.466, 3.853,
// 6.313 and 9.865 (from memory of BS 4449 tables).
func TestNominalSizes(t *testing.T) {
	const poundPerFoot = 1.48816394357 // kg/m, 0.45359237 kg over 0.3048 m
	for _, c := range []struct {
		name           string
		diameter, mass float64
	}{
		{"#3", 0.009525, 0.376 * poundPerFoot}, {"#4", 0.0127, 0.668 * poundPerFoot}, {"# 5", 0.015875, 1.043 * poundPerFoot},
		{"#6", 0.01905, 1.502 * poundPerFoot}, {"#8", 0.0254, 2.670 * poundPerFoot}, {"#18", 0.0573278, 13.60 * poundPerFoot},
		{"8", 0.008, 0.395}, {"T10", 0.010, 0.617}, {"12 mm", 0.012, 0.888}, {"Ø16", 0.016, 1.578},
		{"h20", 0.020, 2.466}, {"25", 0.025, 3.853}, {"32", 0.032, 6.313}, {"40mm", 0.040, 9.865},
	} {
		s := sized(t, c.name)
		if math.Abs(s.Diameter-c.diameter) > 1e-9 || math.Abs(s.Mass-c.mass) > 1e-9 {
			t.Errorf("%s: %g m and %g kg/m, want %g and %g", c.name, s.Diameter, s.Mass, c.diameter, c.mass)
		}
	}
	for _, name := range []string{"", "#", "#12", "#2", "T", "13", "-12", "12.5", "NaN"} {
		if s, err := setout.BarNamed(name); err == nil {
			t.Errorf("bar %q is read as %v", name, s)
		}
	}
}

// Every row against the tables. Inch bars: nominal diameter in mm and mass in kg/m of ASTM
// A615/A615M, table 1, in its SI columns, which round the pounds (from memory). Metric bars:
// nominal masses of EN 10080, table 6, and ISO 6935-2 (from memory), rounded as printed there.
func TestEveryBarAgainstTheTables(t *testing.T) {
	for _, c := range []struct {
		name     string
		mm, mass float64
		digits   float64 // half of the last printed one
	}{
		{"#3", 9.5, 0.560, 0.0005}, {"#4", 12.7, 0.994, 0.0005}, {"#5", 15.9, 1.552, 0.0005}, {"#6", 19.1, 2.235, 0.0005}, {"#7", 22.2, 3.042, 0.0005}, {"#8", 25.4, 3.973, 0.0005},
		{"#9", 28.7, 5.060, 0.0005}, {"#10", 32.3, 6.404, 0.0005}, {"#11", 35.8, 7.907, 0.0005}, {"#14", 43.0, 11.38, 0.005}, {"#18", 57.3, 20.24, 0.005},
		{"6", 6, 0.222, 0.0005}, {"8", 8, 0.395, 0.0005}, {"10", 10, 0.617, 0.0005}, {"12", 12, 0.888, 0.0005}, {"14", 14, 1.21, 0.005}, {"16", 16, 1.58, 0.005}, {"20", 20, 2.47, 0.005},
		{"25", 25, 3.85, 0.005}, {"28", 28, 4.83, 0.005}, {"32", 32, 6.31, 0.005}, {"40", 40, 9.86, 0.0051}, {"50", 50, 15.4, 0.05},
	} {
		s := sized(t, c.name)
		if math.Abs(s.Diameter*1000-c.mm) > 0.051 || math.Abs(s.Mass-c.mass) > c.digits {
			t.Errorf("%s: %g mm and %g kg/m, want %g and %g", c.name, s.Diameter*1000, s.Mass, c.mm, c.mass)
		}
	}
}

// By hand: 20 × 4 m, bars of 10 mm in 6 m with laps of 0.4 m, 75 mm from the walls. Along, 19.85 m
// take 1 + ceil(13.85/5.6) = 4 pieces, 3 laps, on 1 + ceil(3.85/0.2) = 21 lines: 63 laps. Across,
// 3.85 m take one bar on 1 + ceil(19.85/0.25) = 81 lines. Steel: 21 × (19.85 + 3 × 0.4) + 81 × 3.85 m.
func TestLapsByHand(t *testing.T) {
	b, err := setout.LayBars(rectangle(t, 20, 4, level), surface.Horizontal(10.2), setout.BarRules{Size: sized(t, "10"), Spacing: 0.2, SpacingY: 0.25, Edge: 0.075, Stock: 6, Lap: 0.4})
	if err != nil {
		t.Fatal(err)
	}
	if length := 21*(19.85+3*0.4) + 81*3.85; b.Laps != 63 || b.Count != 21*4+81 || math.Abs(b.Total-length) > 1e-6 || math.Abs(b.Mass-length*0.617) > 1e-6 {
		t.Errorf("%d laps, %d bars, %g m, %g kg; want 63, 165, %g and %g", b.Laps, b.Count, b.Total, b.Mass, length, length*0.617)
	}
}

// More than the max is refused with the number and with a spacing that is allowed.
func TestCountsThatAreTooMany(t *testing.T) {
	f := rectangle(t, 60, 40, level)
	target := surface.Horizontal(10.2)
	base := setout.BarRules{Size: sized(t, "10"), Spacing: 0.2, Stock: 6}
	for _, c := range []struct {
		name string
		set  func(*setout.BarRules)
		want string
		do   func(*setout.BarRules)
	}{
		// 59.85 m take 11 pieces on 799 lines, 39.85 m 8 on 1198.
		{"bars", func(r *setout.BarRules) { r.Spacing = 0.05 }, "spacing of bars along: found 0.050 m, 18373 bars", nil},
		{"bars of 3 mm", func(r *setout.BarRules) { r.Size, r.Spacing = sized(t, "6"), 0.007 }, "spacing of bars along: found 0.007 m, 10302 lines on a floor of 72.111 m, want min 0.020 m", nil},
		{"chairs", func(r *setout.BarRules) { r.ChairSpacing = 0.1 }, "chairs, want min 0.", func(r *setout.BarRules) { r.ChairSpacing = 0.6 }},
	} {
		r := base
		c.set(&r)
		_, err := setout.LayBars(f, target, r)
		if c.name == "bars" {
			if err != nil {
				t.Errorf("%s: %v; want them laid", c.name, err)
			}
			r.Spacing = 0.04
			if _, err = setout.LayBars(f, target, r); err == nil || !strings.Contains(err.Error(), "bars, want min 0.050 m") {
				t.Errorf("every 40 mm: %v; want a refusal with the number and 0.050 m", err)
			}
			continue
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
		if c.do != nil {
			c.do(&r)
			if _, err := setout.LayBars(f, target, r); err != nil {
				t.Errorf("%s: %v; want it to do", c.name, err)
			}
		}
	}
	// 60 × 40 m at 0.5 m are 9600; at 0.7 m 4898.
	if _, err := setout.SetPins(f, target, setout.PinRules{Spacing: 0.5}); err == nil || !strings.Contains(err.Error(), "spacing of pins: found 0.500 m, about 9600 pins on a floor of 60.000 m by 40.000 m, want min 0.700 m") {
		t.Errorf("pins: %v", err)
	}
	if _, err := setout.LayMesh(f, target, setout.MeshRules{Length: 0.5, Width: 0.4, Mass: 2}); err == nil || !strings.Contains(err.Error(), "about 40000 sheets") {
		t.Errorf("mesh: %v", err)
	}
}

// By hand: a slab of 20 × 15 ft, #4 at 18 in both ways, 3 in clear at the edges. Clear
// lengths 234 and 174 in: 234/18 = 13 and 174/18 = 9.67, so 14 and 11 bars, 203 + 214.5 =
// 417.5 ft at 0.668 lb/ft.
func TestBarsOfASlab(t *testing.T) {
	f := rectangle(t, 20*foot, 15*foot, level)
	b, err := setout.LayBars(f, surface.Horizontal(10.15), setout.BarRules{Size: sized(t, "#4"), Spacing: 1.5 * foot, Edge: 0.25 * foot, Stock: 20 * foot, US: true})
	if err != nil {
		t.Fatal(err)
	}
	want := []setout.Cut{{Mark: "X1", Length: 19.5 * foot, Count: 11}, {Mark: "Y1", Length: 14.5 * foot, Count: 14}}
	for i, w := range want {
		if got := b.Cuts[i]; len(b.Cuts) != 2 || got.Mark != w.Mark || got.Count != w.Count || math.Abs(got.Length-w.Length) > 1e-7 {
			t.Errorf("%+v, want %+v", b.Cuts, want)
		}
	}
	if math.Abs(b.Total-417.5*foot) > 1e-5 || math.Abs(b.Mass/0.45359237-417.5*0.668) > 1e-4 {
		t.Errorf("%.3f ft and %.2f lb, want 417.5 and %.2f", b.Total/foot, b.Mass/0.45359237, 417.5*0.668)
	}
	if b.Laps != 0 || b.Short != 0 || b.Count != 25 || b.Stock != b.Count {
		t.Errorf("%d laps, %d short, %d bars, %d stock bars", b.Laps, b.Short, b.Count, b.Stock)
	}
}

// By hand: 13 × 2 m, 12 mm bars at 0.5 m, 0.1 m at the edges, stock of 6 m, laps of 40 × 12
// = 480 mm. Along: 1.8/0.5 → 4 gaps, 5 lines of 12.8 m: 6 + 6 − 0.48 = 11.52 is too short,
// so a third bar of 12.8 − 2 × 5.52 = 1.76 m: 13.76 m a line, 68.8 m. Across: 12.8/0.5 → 26
// gaps, 27 bars of 1.8 m, 48.6 m. Together 117.4 m at 0.888 = 104.25 kg. Stock: 10 whole
// ones. Three of the 27 bars of 1.8 m are cut from each stock bar: 9 bars, 0.6 m left of
// each. 5 of 1.76 m, three from one bar: 2 more. 21.
func TestLaps(t *testing.T) {
	f := rectangle(t, 13, 2, level)
	b, err := setout.LayBars(f, surface.Horizontal(10.1), setout.BarRules{Size: sized(t, "12"), Spacing: 0.5, Edge: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	if b.Laps != 10 || b.Count != 42 || b.Stock != 21 || math.Abs(b.Total-117.4) > 1e-5 || math.Abs(b.Mass-104.25) > 0.005 {
		t.Errorf("%d laps, %d bars, %d stock bars, %.4f m, %.3f kg; want 10, 42, 21, 117.4, 104.25", b.Laps, b.Count, b.Stock, b.Total, b.Mass)
	}
	want := []setout.Cut{{"X1", 6, 10, 60}, {"X2", 1.76, 5, 8.8}, {"Y1", 1.8, 27, 48.6}}
	for i, w := range want {
		if g := b.Cuts[i]; g.Mark != w.Mark || g.Count != w.Count || math.Abs(g.Length-w.Length) > 1e-7 || math.Abs(g.Total-w.Total) > 1e-5 {
			t.Errorf("cut %+v, want %+v", g, w)
		}
	}
	// Laps of neighbouring lines are not side by side.
	if a, c := b.Bars[0], b.Bars[3]; math.Abs(a.From.X-0.1) > 1e-6 || math.Abs(c.From.X-12.9) > 1e-6 {
		t.Errorf("the first bars begin at x = %.3f and %.3f, want 0.1 and 12.9", a.From.X, c.From.X)
	}
}

// By hand: an L of 6 × 5 m with a column of 0.4 × 0.4 m from (1.6, 1.2); 0.1 m at the
// walls, bars at 0.5 m. Along x: 5 − 0.2 = 4.8 → 10 gaps of 0.48 m, y = 0.1, 0.58, …
// 4.9. The wide part ends at y = 2.5: lines 0.1 to 2.02 are 5 of 5.8 m; the line at 2.5
// is beside the corner: from 0.1 to 3.4, as are those above: 6 of 3.3 m. The column
// takes y from 1.1 to 1.7: lines at 1.54 only (1.06 is 0.14 off): broken from 1.5 to 2.1
// into 1.4 and 3.8 m. Sum 4 × 5.8 + 5.2 + 6 × 3.3 = 48.2 m.
func TestLShapedFloorWithAColumn(t *testing.T) {
	rings := lShaped()
	points := shots(rings[0], level)
	rules := setout.BarRules{Size: sized(t, "10"), Spacing: 0.5, Edge: 0.1, Stock: 6}
	f := build(t, points, rings...)
	b, err := setout.LayBars(f, surface.Horizontal(10.12), rules)
	if err != nil {
		t.Fatal(err)
	}
	x := map[string]int{}
	sum := 0.0
	for _, c := range b.Cuts {
		if c.Mark[0] == 'X' {
			x[fmt.Sprintf("%.3f", c.Length)] += c.Count
			sum += c.Total
		}
	}
	if want := map[string]int{"5.800": 4, "3.800": 1, "3.300": 6, "1.400": 1}; !reflect.DeepEqual(x, want) || math.Abs(sum-48.2) > 1e-5 {
		t.Errorf("bars along x: %v, %.4f m; want %v, 48.2 m", x, sum, want)
	}
	// A floor turned and shifted has the same bars.
	for _, angle := range []float64{0.3, 1.2, math.Pi / 2, 2.5, -2} {
		tr, tp := turned(angle, 350_000, 5_800_000, rings, points)
		g, err := setout.LayBars(build(t, tp, tr...), surface.Horizontal(10.12), rules)
		if err != nil {
			t.Fatal(err)
		}
		if g.Count != b.Count || g.Short != b.Short || g.Stock != b.Stock || len(g.Chairs) != len(b.Chairs) || math.Abs(g.Total-b.Total) > 1e-4 {
			t.Errorf("turned by %g: %d bars, %d short, %d stock, %d chairs, %.5f m; want %d, %d, %d, %d, %.5f", angle,
				g.Count, g.Short, g.Stock, len(g.Chairs), g.Total, b.Count, b.Short, b.Stock, len(b.Chairs), b.Total)
		}
	}
}

// Any place on any bar is over floor and keeps its distance from every wall; the cutting
// list sums to the total; every long piece is as long as its bars minus their laps.
func TestBarsKeepClear(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 11))
	for n := range 60 {
		rings := star(rnd)
		f := build(t, shots(rings[0], tilted), rings...)
		rules := setout.BarRules{Size: sized(t, "#4"), Spacing: 0.3 + rnd.Float64(), Edge: 0.03 + 0.3*rnd.Float64(), Stock: 2 + 4*rnd.Float64()}
		b, err := setout.LayBars(f, surface.Horizontal(10.4), rules)
		if err != nil {
			t.Fatal(err)
		}
		total, metres := 0.0, 0.0
		for _, c := range b.Cuts {
			total += c.Total
		}
		for _, bar := range b.Bars {
			metres += bar.Length()
			if bar.Length() > rules.Stock+1e-6 {
				t.Errorf("floor %d: a bar of %g m from stock of %g m", n, bar.Length(), rules.Stock)
			}
			for i := range 21 {
				s := float64(i) / 20
				p := surface.Vec{X: bar.From.X + s*(bar.To.X-bar.From.X), Y: bar.From.Y + s*(bar.To.Y-bar.From.Y)}
				if d := toWalls(rings, p); d < rules.Edge-2e-8 || !inRings(rings, p) {
					t.Fatalf("floor %d: bar %s is %.9f m from a wall, want %.9f; over floor: %v", n, bar.Mark, d, rules.Edge, inRings(rings, p))
				}
			}
		}
		if math.Abs(total-b.Total) > 1e-9 || math.Abs(metres-b.Total) > 1e-6*float64(b.Count) {
			t.Errorf("floor %d: cuts sum to %.9f, bars to %.9f, total %.9f", n, total, metres, b.Total)
		}
		if float64(b.Stock)*rules.Stock < b.Total-1e-6 {
			t.Errorf("floor %d: %d stock bars of %g m for %g m", n, b.Stock, rules.Stock, b.Total)
		}
		for _, c := range b.Chairs {
			if c.Height > c.Clear+1e-9 && c.Clear > 0 || c.Clear-c.Height > 0.005+1e-9 && c.Clear > 0 {
				t.Errorf("floor %d: a chair of %g m under a bar %g m up", n, c.Height, c.Clear)
			}
		}
	}
}

// A piece left out was too short: no line has room for a bar that is missing. Checked by
// walking the lines of a skew floor in small steps.
func TestBarsFillTheirLines(t *testing.T) {
	rings := []survey.Ring{closed(survey.Outer, 0, 0, 8, 0, 6.5, 4.2, 1, 5.1), closed(survey.Hole, 3, 1.5, 3.9, 2.1, 3.3, 2.6)}
	f := build(t, shots(rings[0], level), rings...)
	const edge = 0.12
	b, err := setout.LayBars(f, surface.Horizontal(10.2), setout.BarRules{Size: sized(t, "12"), Spacing: 0.4, Edge: edge, Stock: 12})
	if err != nil {
		t.Fatal(err)
	}
	length := map[float64]float64{}
	for _, bar := range b.Bars {
		if bar.Mark[0] == 'X' {
			length[math.Round(bar.From.Y*1e6)/1e6] += bar.Length()
		}
	}
	for y, have := range length {
		free, run := 0.0, 0.0
		const step = 1e-3
		for x := -1.0; x < 9; x += step {
			if p := (surface.Vec{X: x, Y: y}); inRings(rings, p) && toWalls(rings, p) >= edge-1e-6 {
				run += step
				continue
			}
			if run >= 0.3 {
				free += run
			}
			run = 0
		}
		if math.Abs(free-have) > 6*step {
			t.Errorf("line at y = %g: %.4f m of bar where %.4f m have room", y, have, free)
		}
	}
}

func TestShotsInAnyOrder(t *testing.T) {
	rings := lShaped()
	points := shots(rings[0], tilted)
	rules := setout.BarRules{Size: sized(t, "10"), Spacing: 0.4}
	var bars setout.Bars
	var pins setout.Pins
	for n := range 4 {
		f := build(t, points, rings...)
		b, err := setout.LayBars(f, surface.Horizontal(10.12), rules)
		if err != nil {
			t.Fatal(err)
		}
		p, err := setout.SetPins(f, surface.Horizontal(10.12), setout.PinRules{})
		if err != nil {
			t.Fatal(err)
		}
		if n == 0 {
			bars, pins = b, p
		}
		if !reflect.DeepEqual(b, bars) || !reflect.DeepEqual(p, pins) {
			t.Error("the order of shots changes bars or pins")
		}
		rand.New(rand.NewPCG(uint64(n), 1)).Shuffle(len(points), func(i, j int) { points[i], points[j] = points[j], points[i] })
	}
}

// By hand: a floor that rises by 10 mm a metre over 10 × 4 m, filled to 60 mm above its
// low end: depth 60 − 10x mm. Less than 30 mm from x = 3 on: 28 m²; above the target
// from 6 on: 16 m². Mix over the thin part: (0.03/2) × 3 × 4 = 0.18 m³.
func TestShallowOnARamp(t *testing.T) {
	r := closed(survey.Outer, 0, 0, 10, 0, 10, 4, 0, 4)
	f := build(t, shots(r, func(x, y float64) float64 { return 5 + 0.01*x }), r)
	s, err := setout.Shallow(f, surface.Horizontal(5.06), 0.03)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{{"area", s.Area, 28}, {"dry", s.Dry, 16}, {"volume", s.Volume, 0.18}, {"least", s.Places[0].Least, -0.04}, {"place", s.Places[0].Area, 28}} {
		if math.Abs(c.got-c.want) > 1e-8 {
			t.Errorf("%s %.9f, want %g", c.what, c.got, c.want)
		}
	}
	if len(s.Places) != 1 || len(s.Lines) != 1 {
		t.Fatalf("%d places, %d lines, want 1 and 1", len(s.Places), len(s.Lines))
	}
	for _, p := range s.Lines[0].Line {
		if math.Abs(p.X-3) > 1e-6 {
			t.Errorf("the line of 30 mm passes %v, want x = 3", p)
		}
	}
}

// Two humps: two places, whose areas sum to the whole.
func TestShallowPlacesSumUp(t *testing.T) {
	r := closed(survey.Outer, 0, 0, 12, 0, 12, 6, 0, 6)
	f := build(t, shots(r, func(x, y float64) float64 {
		return 0.08*math.Exp(-(math.Pow(x-3, 2)+math.Pow(y-3, 2))/1.2) + 0.06*math.Exp(-(math.Pow(x-9, 2)+math.Pow(y-3, 2))/1.2)
	}), r)
	s, err := setout.Shallow(f, surface.Horizontal(0.09), 0.05)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Places) != 2 || math.Abs(s.Places[0].Area+s.Places[1].Area-s.Area) > 1e-9 || s.Places[0].At.X > 6 {
		t.Errorf("places %+v of %.9f m² together", s.Places, s.Area)
	}
	if none, err := setout.Shallow(f, surface.Horizontal(0.2), 0.05); err != nil || none.Area != 0 || none.Places != nil {
		t.Errorf("a deep fill is shallow: %+v, %v", none, err)
	}
}

func TestRefusedRules(t *testing.T) {
	f := rectangle(t, 6, 4, level)
	nan, inf := math.NaN(), math.Inf(1)
	target := surface.Horizontal(10.1)
	size := sized(t, "12")
	bars := func(r setout.BarRules) error { _, err := setout.LayBars(f, target, r); return err }
	pins := func(r setout.PinRules) error { _, err := setout.SetPins(f, target, r); return err }
	_, narrow := setout.LayMesh(rectangle(t, 6, 0.09, level), target, setout.MeshRules{Length: 3, Width: 2, Mass: 2})
	mesh := func(r setout.MeshRules) error { _, err := setout.LayMesh(f, target, r); return err }
	at := func(p surface.Plane) error {
		_, err := setout.LayBars(f, p, setout.BarRules{Size: size, Spacing: 0.3})
		return err
	}
	thin := func(p surface.Plane, need float64) error { _, err := setout.Shallow(f, p, need); return err }
	for _, c := range []struct {
		what string
		err  error
	}{
		{"no size", bars(setout.BarRules{Spacing: 0.3})},
		{"no spacing", bars(setout.BarRules{Size: size})},
		{"negative spacing", bars(setout.BarRules{Size: size, Spacing: -0.3})},
		{"spacing that is no number", bars(setout.BarRules{Size: size, Spacing: nan})},
		{"endless spacing", bars(setout.BarRules{Size: size, Spacing: inf})},
		{"bars that touch", bars(setout.BarRules{Size: size, Spacing: 0.01})},
		{"spacing below a hair", bars(setout.BarRules{Size: setout.Size{Diameter: 0.001, Mass: 1}, Spacing: 0.0011, Edge: 0.1})},
		{"negative edge", bars(setout.BarRules{Size: size, Spacing: 0.3, Edge: -0.1})},
		{"edge inside the bar", bars(setout.BarRules{Size: size, Spacing: 0.3, Edge: 0.001})},
		{"lap as long as the stock", bars(setout.BarRules{Size: size, Spacing: 0.3, Lap: 6})},
		{"edge wider than the room", bars(setout.BarRules{Size: size, Spacing: 0.3, Edge: 2.5})},
		{"mat thicker than the fill", bars(setout.BarRules{Size: size, Spacing: 0.3, Top: 0.07})},
		{"negative cover", bars(setout.BarRules{Size: size, Spacing: 0.3, Top: -0.01})},
		{"target below the floor", at(surface.Horizontal(9.9))},
		{"target that is no number", at(surface.Horizontal(nan))},
		{"slope that is no number", at(surface.Plane{Z: 10, SlopeX: inf})},
		{"pins: spacing", pins(setout.PinRules{Spacing: -1})},
		{"pins: no number", pins(setout.PinRules{Spacing: nan})},
		{"pins: step", pins(setout.PinRules{Step: -0.001})},
		{"pins: far too many", pins(setout.PinRules{Spacing: 0.01})},
		{"pins: no room", pins(setout.PinRules{FromWall: 3})},
		{"pins: exit", pins(setout.PinRules{Exit: &surface.Vec{X: nan}})},
		{"mesh: no sheet", mesh(setout.MeshRules{Mass: 2})},
		{"mesh: lap", mesh(setout.MeshRules{Length: 3, Width: 2, Mass: 2, Lap: 2})},
		{"mesh: mass", mesh(setout.MeshRules{Length: 3, Width: 2, Mass: -2})},
		{"mesh: cover", mesh(setout.MeshRules{Length: 3, Width: 2, Mass: 2, Cover: -0.02})},
		{"mesh: no room", narrow},
		{"need", thin(target, -0.01)},
		{"need that is no number", thin(target, nan)},
		{"thin target", thin(surface.Horizontal(inf), 0.01)},
	} {
		var e *survey.Error
		if !errors.As(c.err, &e) || e.Element == "" || e.Want == "" {
			t.Errorf("%s: %v", c.what, c.err)
		}
	}
}

// Walls are never quite square: a far wall that runs 12 mm out over 6 m does not cut off the
// bars beside it; nor does a wall surveyed in many shots.
func TestWallsOutOfSquare(t *testing.T) {
	for _, r := range []survey.Ring{
		closed(survey.Outer, 0, 0, 6, 0, 6, 4.012, 0, 4),
		closed(survey.Outer, 0, 0, 2, -0.004, 4, 0.003, 6, 0, 6.005, 2, 5.998, 4, 4, 4.006, 2, 3.997, 0, 4.002),
	} {
		b, err := setout.LayBars(build(t, shots(r, level), r), surface.Horizontal(10.1), setout.BarRules{Size: sized(t, "12"), Spacing: 0.3, Edge: 0.1})
		if err != nil {
			t.Fatal(err)
		}
		n := map[byte]int{}
		for _, c := range b.Cuts {
			n[c.Mark[0]] += c.Count
			if full := map[byte]float64{'X': 5.8, 'Y': 3.8}[c.Mark[0]]; math.Abs(c.Length-full) > 0.025 {
				t.Errorf("a bar %s of %.4f m, where %g m is the whole", c.Mark, c.Length, full)
			}
		}
		// 3.8 / 0.3 → 13 gaps, 5.8 / 0.3 → 20: 14 and 21 bars.
		if n['X'] != 14 || n['Y'] != 21 || b.Short != 0 {
			t.Errorf("%d and %d bars, %d short; want 14 and 21, none short", n['X'], n['Y'], b.Short)
		}
	}
}

// A room whose east wall leans by 2 mm and whose north wall rises by 2 mm, and turned: a few
// marks cover all bars; list, plan and sums agree; bars are whole steps of the tape long;
// covers and laps are kept; and no bar is shorter than its room by more than two steps.
func TestLengthsWithinAStepAreOneMark(t *testing.T) {
	rings := []survey.Ring{closed(survey.Outer, 0, 0, 7, 0, 7.002, 4, 0, 4.002)}
	points := shots(rings[0], level)
	for us, step := range map[bool]float64{false: 0.001, true: 0.0254 / 16} {
		for _, angle := range []float64{0, 0.4} {
			tr, tp := turned(angle, 500_000, 5_000_000, rings, points)
			rules := setout.BarRules{Size: sized(t, "12"), Spacing: 0.3, Edge: 0.1, Stock: 5, Lap: 0.5, US: us}
			b, err := setout.LayBars(build(t, tp, tr...), surface.Horizontal(10.1), rules)
			if err != nil {
				t.Fatal(err)
			}
			// By hand: 3.8/0.3 → 14 lines along of 5 + 2.3 m and a millimetre or two, 6.8/0.3 → 24 across
			// of 3.8 m and a millimetre or two.
			if b.Count != 2*14+24 || b.Laps != 14 || len(b.Cuts) > 5 {
				t.Errorf("%d bars, %d laps, list %+v; want 52, 14 and no more than 5 marks", b.Count, b.Laps, b.Cuts)
			}
			list, metres := map[string]setout.Cut{}, 0.0
			for _, c := range b.Cuts {
				list[c.Mark] = c
			}
			drawn := map[string]int{}
			for i, bar := range b.Bars {
				c := list[bar.Mark]
				drawn[bar.Mark]++
				metres += bar.Length()
				if math.Abs(bar.Length()-c.Length) > 3e-9 || c.Length != rules.Stock && math.Abs(c.Length/step-math.Round(c.Length/step)) > 1e-9 {
					t.Errorf("a bar %s of %.10f m, in the list %.10f, want whole steps of %g m", bar.Mark, bar.Length(), c.Length, step)
				}
				for _, p := range []surface.Vec{bar.From, bar.To} {
					if d := toWalls(tr, p); d < 0.1-2e-8 {
						t.Errorf("bar %s ends %.9f m from a wall", bar.Mark, d)
					}
				}
				if bar.Mark[0] == 'Y' {
					if room := 3.8 + 0.0021; c.Length < 3.8-step || c.Length > room {
						t.Errorf("bar %s of %.4f m, want 3.8 less %g to %.4f", bar.Mark, c.Length, step, room)
					}
				} else if i%2 == 0 && bar.Length() > 4 {
					if lap := 5 + b.Bars[i+1].Length() - bar.From.Distance(b.Bars[i+1].To); math.Abs(lap-0.5) > 1e-8 {
						t.Errorf("a lap of %.9f m, want 0.5", lap)
					}
					if reach := bar.From.Distance(b.Bars[i+1].To); reach > 6.8021 || reach < 6.8-2*step-2e-8 {
						t.Errorf("a line of %.4f m, want 6.8", reach)
					}
				}
			}
			total := 0.0
			for _, c := range b.Cuts {
				total += c.Total
				if drawn[c.Mark] != c.Count {
					t.Errorf("%d bars %s drawn, %d in the list", drawn[c.Mark], c.Mark, c.Count)
				}
			}
			if math.Abs(total-b.Total) > 1e-9 || math.Abs(metres-total) > 1e-7 {
				t.Errorf("list %.9f m, bars %.9f, sum %.9f", total, metres, b.Total)
			}
			if !strings.Contains(noteText(b.Notes), "are cut alike, to the shortest of them") {
				t.Errorf("notes do not tell that bars are cut alike: %s", noteText(b.Notes))
			}
		}
	}
}

// By hand: the underside of the lower bars is 44 mm below a target 70 mm above the low wall
// of a floor that rises by 10 mm a metre.
func TestChairsWithoutRoomStandApart(t *testing.T) {
	f := rectangle(t, 6, 4, func(x, y float64) float64 { return 10 + 0.01*x })
	b, err := setout.LayBars(f, surface.Horizontal(10.07), setout.BarRules{Size: sized(t, "12"), Spacing: 0.5, Top: 0.02, Bottom: 0.005})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, c := range b.ChairCount {
		n += c.Count
	}
	// Room for 26 − 10 x mm: a step of 5 mm up to x = 2.1 m.
	for _, c := range b.Chairs {
		if c.At.X > 2.1 || c.Height < 0.005-1e-12 {
			t.Errorf("a chair %+v where there is no room for one", c)
		}
	}
	for _, at := range b.NoRoom {
		if at.X < 2.1 {
			t.Errorf("no chair at %v, where 5 mm have room", at)
		}
	}
	if n != len(b.Chairs) || n == 0 || len(b.NoRoom) == 0 {
		t.Errorf("%d chairs counted, %d drawn, %d without room", n, len(b.Chairs), len(b.NoRoom))
	}
	text := noteText(b.Notes)
	if want := fmt.Sprintf("%d chairs have no room: not counted", len(b.NoRoom)); !strings.Contains(text, want) {
		t.Errorf("notes do not tell %q: %s", want, text)
	}
}

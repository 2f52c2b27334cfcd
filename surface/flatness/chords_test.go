package flatness

import (
	"math"
	"slices"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// A sine of amplitude a and a whole number of readings N a wave departs from the
// middle of a chord of 2k steps by itself times 1 − cos(2πk/N): the root mean square
// is that times a/√2. Closed form, whole waves.
func TestChordsOfASine(t *testing.T) {
	const a, n = 0.004, 20
	for k := 1; k <= 5; k++ {
		var h []float64
		for i := range 30*n + 2*k {
			h = append(h, a*math.Sin(2*math.Pi*float64(i)/n))
		}
		c, err := Chords([]survey.Run{run("s", 0.3, 1, h...)})
		if err != nil || len(c) != 5 {
			t.Fatal(c, err)
		}
		near(t, "length", c[k-1].Length, 0.6*float64(k), 1e-12)
		near(t, "rms", c[k-1].RMS, (1-math.Cos(2*math.Pi*float64(k)/n))*a/math.Sqrt2, 1e-12)
	}
}

// With one step to each side a mid-chord departure is −q/2. For the slab of worked example
// 20b the max over 0.6, 1.2 and 3.0 m is given per line, mm.
func TestChordsOfTheSlab(t *testing.T) {
	for i, want := range [][3]float64{{0.978, 2.375, 5.182}, {1.461, 2.756, 2.527}, {1.016, 1.562, 3.137}, {1.791, 1.778, 1.257}, {1.016, 1.714, 3.022}} {
		h := slab[i]
		c, err := Chords(slabRuns()[i : i+1])
		if err != nil {
			t.Fatal(err)
		}
		for j, k := range []int{1, 2, 5} {
			near(t, "worst", 1000*math.Abs(c[k-1].Worst), want[j], 6e-4)
			if m := c[k-1].Middle - 1; math.Abs(MidChord(h, k)[m-k]-1000*c[k-1].Worst) > 1e-9 {
				t.Errorf("line %d: the worst is not at station %d", i, m+1)
			}
		}
		for j, q := range Curvatures(h) {
			near(t, "half of q", MidChord(h, 1)[j], -q/2, 1e-12)
		}
	}
}

func TestChordsTakeShortRunsAndGaps(t *testing.T) {
	r := run("A", 0.5, 0.001, 0, 4, 0, 0, math.NaN(), 0, 0, 0, 0, 0)
	c, err := Chords([]survey.Run{r})
	if err != nil {
		t.Fatal(err)
	}
	// One metre: 3 + 2 departures… of 4 readings 2, of 5 readings 3; two metres: 1.
	if len(c) != 2 || c[0].N != 5 || c[1].N != 1 {
		t.Fatalf("%+v", c)
	}
	near(t, "rms", c[0].RMS, 0.001*math.Sqrt((16.+4)/5), 1e-12)
	if c[0].Worst != 0.004 || c[0].Middle != 2 || c[0].Run != "A" {
		t.Errorf("%+v", c[0])
	}
	for want, runs := range map[string][]survey.Run{
		"run B: found a step of 300.0 mm, want 500.0 mm, as run A has": {r, run("B", 0.3, 1, 0, 0, 0)},
		"run C: found no step, want the step between readings":         {run("C", 0, 1, 0, 0, 0)},
	} {
		if _, err := Chords(runs); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

func TestFreeMovementF(t *testing.T) {
	p, err := FreeMovementF(slabRuns())
	if err != nil {
		t.Fatal(err)
	}
	var all []float64
	for _, q := range slabQ {
		for _, v := range q {
			all = append(all, math.Abs(v))
		}
	}
	slices.Sort(all)
	if len(p.Values) != 62 {
		t.Fatalf("%d values", len(p.Values))
	}
	for i := range all {
		near(t, "property F", p.Values[i]*1000, all[i], 0.0015)
	}
	// Counted in the published list.
	n := 0
	for _, v := range all {
		if v <= 2 {
			n++
		}
	}
	near(t, "share", p.Share(0.002), float64(n)/62, 1e-12)
	near(t, "95 %", p.Reached(0.95)*1000, all[58], 0.0015) // ⌈0.95·62⌉ = 59 of them
	near(t, "all", p.Share(1), 1, 0)
	v := judgeNamed(t, Measured{PropertyF: &p}, "tr34-fm2", Settings{})
	if v[1].Outcome != Fail || v[0].Outcome != NotMeasured || v[0].Note != "no 3 m grid was read" {
		t.Errorf("%+v", v)
	}
	if _, err := FreeMovementF([]survey.Run{lineA}); err == nil || err.Error() != "run A: found a step of 304.8 mm, want 300 mm to 1 % for Property F" {
		t.Error(err)
	}
}

// On a plane every difference over 3 m is the slope times 3 m, along or across.
func TestFreeMovementE(t *testing.T) {
	floor := hall(t, rectangle(20, 12.5), 0.5, 0.5, func(x, y float64) float64 { return 0.002*x - 0.001*y })
	p, err := FreeMovementE(floor)
	if err != nil {
		t.Fatal(err)
	}
	// 7 × 5 places: 6·5 differences along of 6 mm, 7·4 across of 3 mm.
	if len(p.Values) != 58 {
		t.Fatalf("%d values", len(p.Values))
	}
	for i, v := range p.Values {
		want := 0.003
		if i >= 28 {
			want = 0.006
		}
		near(t, "property E", v, want, 1e-8)
	}
	near(t, "share", p.Share(0.0045), 28./58, 1e-12)
	near(t, "places", p.From.Distance(p.To), 3, 1e-6)
	v := judgeNamed(t, Measured{PropertyE: &p}, "tr34-fm2", Settings{})
	if v[0].Outcome != Pass || v[0].Share != 1 || v[1].Outcome != NotMeasured {
		t.Errorf("%+v", v)
	}
	if _, err := FreeMovementE(hall(t, rectangle(2, 2), 0.5, 0, wavy)); err == nil || err.Error() != "Property E: found no value, want two places of a 3 m grid on the floor" {
		t.Error(err)
	}
	// Shots 5 m apart are too far apart for a grid of 3 m.
	if p, err := FreeMovementE(hall(t, rectangle(20, 20), 5, 0, wavy)); err == nil {
		t.Errorf("%d values from sparse shots", len(p.Values))
	}
}

// A floor of 30 by 30 m has 2·11·10 = 220 differences on its 3 m grid. Shots are every
// 500 mm but for a square in the middle: each grid place in it takes its four differences along, and
// a row of n places 3·n + 1.
func TestShareReadOfFreeMovementE(t *testing.T) {
	for _, c := range []struct {
		places int // in a row without shots near
		want   Outcome
		note   string
	}{{0, Pass, ""}, {3, Pass, "judged on 95 % of the floor: elsewhere shots are too far apart"}, {4, NotMeasured, "shots are close enough on 94 % of the floor, 95 % needed"}} {
		d := surface.Data{Rings: []survey.Ring{{Name: "hall", Points: []survey.Point{{Z: math.NaN()}, {X: 30, Z: math.NaN()}, {X: 30, Y: 30, Z: math.NaN()}, {Y: 30, Z: math.NaN()}}}}}
		for i := range 61 {
			for j := range 61 {
				p := survey.Point{X: float64(i) / 2, Y: float64(j) / 2, Z: 10}
				if c.places > 0 && p.X > 8 && p.X < 10+3*float64(c.places-1) && p.Y > 12.5 && p.Y < 17.5 {
					continue
				}
				d.Shots = append(d.Shots, p)
			}
		}
		floor, err := surface.NewFloor(d)
		if err != nil {
			t.Fatal(err)
		}
		p, err := FreeMovementE(floor)
		if err != nil {
			t.Fatal(err)
		}
		bare := 0
		if c.places > 0 {
			bare = 3*c.places + 1
		}
		near(t, "unread", p.Unread, float64(bare)/220, 1e-12)
		if n := len(p.Values); n != 220-bare {
			t.Errorf("%d places bare: %d values", c.places, n)
		}
		v := judgeNamed(t, Measured{PropertyE: &p}, "tr34-fm2", Settings{})
		if v[0].Outcome != c.want || v[0].Note != c.note {
			t.Errorf("%d places bare: %v, %q", c.places, v[0].Outcome, v[0].Note)
		}
	}
}

package flatness

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
)

// near fails unless got is within tol of want.
func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !close2(got, want, tol) {
		t.Errorf("%s = %.9g, want %.9g ± %.2g", what, got, want, tol)
	}
}

func close2(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

func TestComparisonRejects(t *testing.T) {
	if close2(1.01, 1, 0.001) || close2(math.NaN(), 1, 1) || close2(math.Inf(1), 1, 1e300) {
		t.Error("the comparison takes what it must reject")
	}
}

// run returns a run that is not placed; h in units of u metres.
func run(name string, step, u float64, h ...float64) survey.Run {
	nan := survey.Point{X: math.NaN(), Y: math.NaN(), Z: math.NaN()}
	r := survey.Run{Name: name, Step: step, Start: nan, End: nan}
	for _, v := range h {
		r.Stations = append(r.Stations, survey.Station{Z: v * u})
	}
	return r
}

// slab is a concrete test pad read every 300 mm along lines at 45°, mm. Stanford Linear
// Accelerator Center, Alignment Engineering Group, concrete test pad, results by the metric
// method, May 2003 (scribd document 382981185). By line, then point.
var slab = [][]float64{
	{418.617, 419.938, 421.894, 423.748, 425.221, 424.739, 423.799, 424.307, 425.425, 424.688, 423.164, 422.758, 420.472, 416.738},
	{418.592, 421.081, 422.072, 421.513, 420.040, 421.132, 420.675, 421.640, 421.894, 421.538, 421.183, 421.894, 419.684, 420.040, 417.982},
	{418.338, 419.659, 419.227, 419.227, 418.668, 418.186, 418.973, 419.379, 420.141, 419.532, 418.643, 418.719, 416.763, 414.782},
	{418.617, 418.973, 419.100, 420.878, 419.989, 419.227, 419.684, 420.751, 420.065, 421.259, 421.386, 418.846, 419.887, 418.363},
	{418.846, 418.135, 418.998, 419.405, 420.294, 420.370, 421.640, 421.259, 422.910, 423.926, 424.053, 423.164, 422.732, 422.834, 421.513},
}

// slabQ is the curvatures printed in the same report, mm.
var slabQ = [][]float64{
	{0.635, -0.102, -0.381, -1.956, -0.457, 1.448, 0.610, -1.854, -0.787, 1.118, -1.880, -1.448},
	{-1.499, -1.549, -0.914, 2.565, -1.549, 1.422, -0.711, -0.610, 0.000, 1.067, -2.921, 2.565, -2.413},
	{-1.753, 0.432, -0.559, 0.076, 1.270, -0.381, 0.356, -1.372, -0.279, 0.965, -2.032, -0.025},
	{-0.229, 1.651, -2.667, 0.127, 1.219, 0.610, -1.753, 1.880, -1.067, -2.667, 3.581, -2.565},
	{1.575, -0.457, 0.483, -0.813, 1.194, -1.651, 2.032, -0.635, -0.889, -1.016, 0.457, 0.533, -1.422},
}

func slabRuns() []survey.Run {
	var out []survey.Run
	for i, h := range slab {
		out = append(out, run(string(rune('0'+i)), 0.3, 0.001, h...))
	}
	return out
}

func TestPublishedCurvatures(t *testing.T) {
	n := 0
	for i, h := range slab {
		for k, q := range Curvatures(h) {
			near(t, "q", q, slabQ[i][k], 0.0015) // the print was rounded from more digits
			n++
		}
	}
	if n != 62 {
		t.Errorf("%d curvatures, the report prints 62", n)
	}
}

// The report's own F-numbers were not retrievable; these were computed with plain
// python from its elevations.
func TestSlab(t *testing.T) {
	want := []struct {
		meanQ, sdQ, ff, meanZ, sdZ, fl float64
		nq, nz                         int
	}{
		{-0.4212, 1.2012, 28.841, -0.2663, 5.1480, 20.210, 12, 4},
		{-0.3498, 1.7760, 20.444, -0.5030, 2.1341, 45.980, 13, 5},
		{-0.2752, 1.0256, 34.630, -1.8860, 2.0476, 39.545, 12, 4},
		{-0.1567, 2.0390, 18.502, 0.2285, 2.1924, 46.653, 12, 4},
		{-0.0469, 1.1753, 32.490, 3.7236, 1.6019, 37.224, 13, 5},
	}
	r, err := Measure(Section{Name: "pad", Runs: slabRuns(), Area: 20.53}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range r.Lines {
		w := want[i]
		near(t, "mean q", l.Q.Mean*1000, w.meanQ, 6e-5)
		near(t, "s q", l.Q.SD*1000, w.sdQ, 6e-5)
		near(t, "FF", float64(l.FF), w.ff, 6e-4)
		near(t, "mean z", l.Z.Mean*1000, w.meanZ, 6e-5)
		near(t, "s z", l.Z.SD*1000, w.sdZ, 6e-5)
		near(t, "FL", float64(l.FL), w.fl, 6e-4)
		if l.Q.N != w.nq || l.Z.N != w.nz {
			t.Errorf("line %d: %d q and %d z, want %d and %d", i, l.Q.N, l.Z.N, w.nq, w.nz)
		}
	}
	if r.Curvatures != 62 || r.Differences != 22 {
		t.Errorf("%d q and %d z, want 62 and 22", r.Curvatures, r.Differences)
	}
	for _, c := range []struct {
		name   string
		s      Settings
		ff, fl float64
	}{
		{"line by line", Settings{}, 24.546, 33.032},
		{"pooled", Settings{Pooled: true}, 25.199, 31.662},
		{"the rounder metric constant", Settings{MetricFF: 0.1158}, 24.487, 33.032},
		{"divisor n", Settings{DivideByN: true}, 25.543, 37.135},
	} {
		r, err := Measure(Section{Runs: slabRuns()}, c.s)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+": FF", float64(r.FF), c.ff, 6e-4)
		near(t, c.name+": FL", float64(r.FL), c.fl, 6e-4)
	}
}

var (
	lineA = run("A", atInch, inch, 0, .05, .12, .10, .06, .02, .03, .09, .15, .18, .16, .11, .07, .04, .06, .10)
	lineB = run("B", atInch, inch, 0, .03, .01, -.04, -.02, .05, .08, .04, -.01, -.06, -.05, 0, .06, .07, .03, -.02, -.03, .02, .06, .05, .01)
)

// Computed with plain python (worked example 10).
func TestLinesInInches(t *testing.T) {
	for _, c := range []struct {
		run                survey.Run
		meanQ, sdQ, ff     float64
		meanZ, sdZ, fl     float64
		readings, ofQ, ofZ int
	}{
		{lineA, -0.000714286, 0.0404711266, 37.4199, 0.0316666667, 0.0844787942, 43.8438, 16, 14, 6},
		{lineB, -0.003684211, 0.0448714864, 33.0444, 0.0154545455, 0.0747480617, 52.1488, 21, 19, 11},
	} {
		lines, notes, err := Lines(c.run, Settings{})
		if err != nil || len(lines) != 1 || len(notes) != 0 {
			t.Fatal(lines, notes, err)
		}
		l := lines[0]
		near(t, "mean q", l.Q.Mean/inch, c.meanQ, 1e-9)
		near(t, "s q", l.Q.SD/inch, c.sdQ, 1e-9)
		near(t, "FF", float64(l.FF), c.ff, 6e-5)
		near(t, "mean z", l.Z.Mean/inch, c.meanZ, 1e-9)
		near(t, "s z", l.Z.SD/inch, c.sdZ, 1e-9)
		near(t, "FL", float64(l.FL), c.fl, 6e-5)
		if l.Readings() != c.readings || l.Q.N != c.ofQ || l.Z.N != c.ofZ {
			t.Errorf("%d readings, %d q, %d z", l.Readings(), l.Q.N, l.Z.N)
		}
	}
	r, err := Measure(Section{Runs: []survey.Run{lineA, lineB}}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "FF of both", float64(r.FF), 34.7051, 6e-5)
	near(t, "FL of both", float64(r.FL), 48.7059, 6e-5)
	// Two sections, 30 over 1 000 ft² and 20 over 2 000 ft²: 22.156 by hand.
	w, err := Combine([]*Result{
		{Name: "a", Area: 1000 * sqFoot, FF: 30, FL: 30, Lines: []Line{{Step: atInch}}},
		{Name: "b", Area: 2000 * sqFoot, FF: 20, FL: 40, Lines: []Line{{Step: atInch}}},
	}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "FF by area", float64(w.FF), 22.156, 5e-4)
	if w.LocalFF != (Local{20, w.Sections[1]}) || w.LocalFL != (Local{30, w.Sections[0]}) {
		t.Errorf("least local values %v and %v", w.LocalFF, w.LocalFL)
	}
}

// The pairwise rule of the standard, folded in any order, equals the closed form.
func TestPairwiseRuleIsTheClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SliceOfN(rapid.Float64Range(5, 200), 2, 9).Draw(t, "F")
		fs, r := make([]F, len(f)), make([]float64, len(f))
		for i := range f {
			fs[i] = F(f[i])
			r[i] = float64(rapid.IntRange(2, 60).Draw(t, "r"))
		}
		folded, n := f[0], r[0]
		for i := 1; i < len(f); i++ {
			folded = folded * f[i] * math.Sqrt((n+r[i])/(r[i]*folded*folded+n*f[i]*f[i]))
			n += r[i]
		}
		if got := float64(weighted(fs, r)); math.Abs(got/folded-1) > 1e-12 {
			t.Errorf("closed form %v, folded %v", got, folded)
		}
	})
}

func TestDegenerateLines(t *testing.T) {
	inf := math.Inf(1)
	h := func(f func(i float64) float64) []float64 {
		out := make([]float64, 20)
		for i := range out {
			out[i] = f(float64(i))
		}
		return out
	}
	for _, c := range []struct {
		name   string
		h      []float64 // in
		ff, fl float64
	}{
		{"an even slope of 0.01 in per ft", h(func(i float64) float64 { return 0.01 * i }), inf, 125},
		{"dead level", h(func(float64) float64 { return 49000.12 }), inf, inf},
		{"constant curvature of 0.05 in", h(func(i float64) float64 { return 0.025 * i * i }), 91.4, 0},
		{"0 and 1/8 in in turn", h(func(i float64) float64 { return math.Mod(i, 2) / 8 }), 0, inf},
	} {
		t.Run(c.name, func(t *testing.T) {
			lines, _, err := Lines(run("d", atInch, inch, c.h...), Settings{})
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range []struct {
				got  F
				want float64
			}{{lines[0].FF, c.ff}, {lines[0].FL, c.fl}} {
				switch {
				case v.want == 0:
				case math.IsInf(v.want, 1):
					if !v.got.Infinite() || v.got.String() != "no departure measured" {
						t.Errorf("got %v, want no departure measured", v.got)
					}
					if b, err := json.Marshal(v.got); err != nil || string(b) != "null" {
						t.Errorf("JSON %s %v", b, err)
					}
				default:
					near(t, "F", float64(v.got), v.want, 1e-6*v.want)
				}
			}
			if c.name == "0 and 1/8 in in turn" {
				// q is ±1/4 in, 9 of each: mean 0, s = 1/4·√(18/17).
				near(t, "FF", float64(lines[0].FF), 4.57/(0.75*math.Sqrt(18./17)), 1e-9)
			}
		})
	}
	if b, _ := json.Marshal(F(24.5)); string(b) != "24.5" {
		t.Errorf("JSON %s", b)
	}
}

// NIST StRD univariate sets NumAcc1 to NumAcc4: certified mean and standard
// deviation. Asked: the digits that the data themselves hold.
func TestCertifiedMeanAndDeviation(t *testing.T) {
	pairs := func(base float64) []float64 {
		x := []float64{base + 0.2}
		for range 500 {
			x = append(x, base+0.1, base+0.3)
		}
		return x
	}
	for _, c := range []struct {
		name             string
		x                []float64
		mean, sd, digits float64
	}{
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 15},
		{"NumAcc2", pairs(1), 1.2, 0.1, 14},
		{"NumAcc3", pairs(1e6), 1000000.2, 0.1, 9},
		{"NumAcc4", pairs(1e7), 10000000.2, 0.1, 8},
	} {
		s := describe(c.x, false)
		near(t, c.name+" mean", s.Mean, c.mean, c.mean*1e-15)
		near(t, c.name+" st. dev.", s.SD, c.sd, c.sd*math.Pow(10, -c.digits))
	}
}

// A sine of amplitude a and a whole number of readings N a wave: q is the sine times
// −4·sin²(π/N), so that its root mean square is 4·sin²(π/N)·a/√2; over 3.0 m it is
// times 2·|sin(10π/N)|. Closed forms, whole waves.
func TestSineFloor(t *testing.T) {
	const a, n, waves = 0.004, 16, 50
	var h []float64
	for i := range n*waves + 2 {
		h = append(h, a*math.Sin(2*math.Pi*float64(i)/n))
	}
	q := describe(Curvatures(h), true)
	s := math.Sin(math.Pi / n)
	near(t, "rms q", q.SD, 4*s*s*a/math.Sqrt2, 1e-12)
	near(t, "mean q", q.Mean, 0, 1e-15)
	z := describe(Differences(h[:n*waves+overZ-n], overZ), true)
	near(t, "rms z", z.SD, 2*math.Abs(math.Sin(overZ*math.Pi/n))*a/math.Sqrt2, 1e-12)
}

// One step of height d in the middle: q is d and −d, the rest 0. One bump of height d
// at one reading: q is d, −2d, d.
func TestStepAndBump(t *testing.T) {
	const d, n = 0.003, 30
	step, bump := make([]float64, n), make([]float64, n)
	for i := n / 2; i < n; i++ {
		step[i] = d
	}
	bump[n/2] = d
	for _, c := range []struct {
		name    string
		h       []float64
		squares float64 // of q over d²
	}{{"step", step, 2}, {"bump", bump, 6}} {
		lines, _, err := Lines(run(c.name, 0.3, 1, c.h...), Settings{})
		if err != nil {
			t.Fatal(err)
		}
		want := 116.078e-3 / (3 * d * math.Sqrt(c.squares/(n-3)))
		near(t, c.name+" FF", float64(lines[0].FF), want, 1e-9*want)
	}
}

func TestFLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(12, 60).Draw(t, "n")
		heights := rapid.SliceOfN(rapid.IntRange(-8000, 8000), n, n) // µm
		read := func(name string) []float64 {
			h := make([]float64, n)
			for i, v := range heights.Draw(t, name) {
				h[i] = float64(v) * 1e-6
			}
			return h
		}
		a, b, c, d := read("a"), read("b"), read("c"), read("d")
		measure := func(runs ...survey.Run) *Result {
			r, err := Measure(Section{Runs: runs}, Settings{})
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
		same := func(what string, x, y F) {
			if x.Infinite() && y.Infinite() {
				return
			}
			if math.Abs(float64(x/y)-1) > 1e-7 {
				t.Errorf("%s: %v and %v", what, x, y)
			}
		}
		mk := func(h []float64) survey.Run { return run("r", 0.3, 1, h...) }
		r := measure(mk(a), mk(b), mk(c))

		back := slices.Clone(a)
		slices.Reverse(back)
		turned := measure(mk(back), mk(b), mk(c))
		same("FF of a run read backwards", r.FF, turned.FF)
		same("FL of a run read backwards", r.FL, turned.FL)

		order := measure(mk(c), mk(a), mk(b))
		same("FF in another order", r.FF, order.FF)
		four, other := measure(mk(a), mk(b), mk(c), mk(d)), measure(mk(c), mk(d), mk(a), mk(b))
		same("low FF in another order", four.FFRange.Low, other.FFRange.Low)
		same("high FF in another order", four.FFRange.High, other.FFRange.High)
		if four.FFRange.Why != other.FFRange.Why {
			t.Errorf("%q and %q", four.FFRange.Why, other.FFRange.Why)
		}

		tilted := slices.Clone(a)
		for i := range tilted {
			tilted[i] += 17.3 + 0.002*float64(i)
		}
		same("FF on a slope", r.FF, measure(mk(tilted), mk(b), mk(c)).FF)

		twice := func(h []float64) survey.Run { return run("r", 0.3, 2, h...) }
		double := measure(twice(a), twice(b), twice(c))
		same("FF of twice the heights", r.FF/2, double.FF)
		same("FL of twice the heights", r.FL/2, double.FL)
	})
}

func TestGapsSplitRuns(t *testing.T) {
	h := make([]float64, 40)
	rng := rand.New(rand.NewPCG(3, 3))
	for i := range h {
		h[i] = 0.002 * rng.NormFloat64()
	}
	h[12], h[20] = math.NaN(), math.NaN()
	lines, notes, err := Lines(run("g", 0.3, 1, h...), Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) != 2 || lines[0].First != 1 || lines[0].Last != 12 || lines[1].First != 22 || lines[1].Last != 40 {
		t.Errorf("lines %+v", lines)
	}
	if want := "run g, stations 14 to 20: 7 readings between gaps are not used, F-numbers want 12 in a row"; len(notes) != 1 || notes[0].Text.String() != want {
		t.Errorf("notes %v, want %q", notes, want)
	}
}

func TestRefusals(t *testing.T) {
	flat := make([]float64, 30)
	gaps := slices.Clone(flat)
	gaps[9], gaps[20] = math.NaN(), math.NaN()
	at := func(r survey.Run, line int) survey.Run {
		r.At = survey.Pos{File: "runs.csv", Line: line}
		return r
	}
	for _, c := range []struct {
		name string
		runs []survey.Run
		want string
	}{
		{"no run", nil, `section south: found no runs, want at least one run of 12 readings`},
		{"eleven readings", []survey.Run{at(run("A", 0.3, 1, flat[:11]...), 4)}, `runs.csv:4: run A: found 11 readings, want 12 or more for F-numbers`},
		{"gaps", []survey.Run{at(run("A", 0.3, 1, gaps...), 4)}, `runs.csv:4: run A: found at most 10 readings between missing ones, want 12 or more in a row for F-numbers`},
		{"half metre steps", []survey.Run{at(run("A", 0.5, 1, flat...), 4)}, `runs.csv:4: run A: found a step of 500.0 mm, want 12 in (304.8 mm) or 300 mm to 1 % for F-numbers`},
		{"no step", []survey.Run{at(run("A", 0, 1, flat...), 4)}, `runs.csv:4: run A: found no step, want the step between readings: 12 in or 300 mm for F-numbers`},
		{"mixed steps", []survey.Run{run("A", 0.3, 1, flat...), at(run("B", 0.3048, 1, flat...), 9)}, `runs.csv:9: run B: found readings every 12 in, want every 300 mm, as run A has: the two do not combine`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Measure(Section{Name: "south", Runs: c.runs}, Settings{})
			if err == nil || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
	for _, step := range []float64{0.2971, 0.3029, 0.3018, 0.3078} {
		if _, _, err := Lines(run("A", step, 1, flat...), Settings{}); err != nil {
			t.Errorf("step %v: %v", step, err)
		}
	}
	for _, step := range []float64{0.2969, 0.3079} {
		if _, _, err := Lines(run("A", step, 1, flat...), Settings{}); err == nil {
			t.Errorf("step %v is taken", step)
		}
	}
	// One bad run does not spoil the others.
	r, err := Measure(Section{Runs: []survey.Run{run("short", 0.3, 1, flat[:5]...), lineMetric()}}, Settings{})
	if err != nil || len(r.Lines) != 1 || len(r.Notes) != 1 || r.Notes[0].Text.String() != "not used: run short: found 5 readings, want 12 or more for F-numbers" || r.Notes[0].Kind != survey.Warning {
		t.Errorf("%+v %v", r, err)
	}
	if _, err := Combine(nil, Settings{}); err == nil || err.Error() != "found no section, want at least one that is measured" {
		t.Error(err)
	}
	if _, err := Combine([]*Result{{Name: "n"}, {Name: "s"}}, Settings{}); err == nil || err.Error() != "section n: found no area, want the area of each section: they are weighted by it" {
		t.Error(err)
	}
}

func lineMetric() survey.Run { return slabRuns()[0] }

// Worked example 24: 2√A to 1 600 ft², A/30 above.
func TestReadingsRequired(t *testing.T) {
	for _, c := range []struct {
		ft2       float64
		thirtieth bool
		want      int
	}{
		{400, false, 40}, {1000, false, 64}, {1600, false, 80},
		{2500, false, 84}, {3600, false, 120}, {10000, false, 334},
		{400, true, 14}, {1600, true, 54}, {3600, true, 120},
	} {
		if got := (Settings{Thirtieth: c.thirtieth}).required(c.ft2 * sqFoot); got != c.want {
			t.Errorf("%g ft²: %d, want %d", c.ft2, got, c.want)
		}
	}
}

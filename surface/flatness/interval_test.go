package flatness

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"pourplane/surface"
	"pourplane/survey"
)

// lineOf returns a line along a bearing in degrees, with a square departure in m² from n values.
func lineOf(name string, bearing, square float64, n int) Line {
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	s := Stat{N: n, SD: math.Sqrt(square) / 3}
	return Line{Run: name, Step: atInch, End: surface.Vec{X: 9 * cos, Y: 9 * sin}, Q: s, Z: s}
}

func ofQ(l Line) Stat { return l.Q }

// By hand: three runs along with the squares 9, 10 and 11, three across with 39, 40 and 41. The mean
// is 25. The mean of a direction has the variance 1/3, and half of each counts: 1/6 in all. Both
// directions are known as well, so there are 4 degrees of freedom, for which a table of t gives
// 2.132 at 95 %, 3.747 at 99 % and 1.533 at 90 %. Taken together, the squares would have 3.3 times
// that variance of the mean, 276/30 for 1/6.
func TestIntervalByHand(t *testing.T) {
	var lines []Line
	for i, square := range []float64{9, 10, 11, 39, 40, 41} {
		bearing := [...]float64{0, 180, 3, 90, 88, -90}[i]
		lines = append(lines, lineOf(string(rune('A'+i)), bearing, square, 20))
	}
	s := spreadOfRuns(lines, ofQ, 5)
	near(t, "square", s.square, 25, 1e-12)
	near(t, "variance", s.variance, 1./6, 1e-12)
	near(t, "freedom", s.freedom, 4, 1e-9)
	half := math.Sqrt(1./6) / 25 / 2
	i := Settings{}.interval(30, s, 6, tails{0.5, 0.5})
	near(t, "low", float64(i.Low), 30*(1-2.132*half), 1e-3)
	near(t, "high", float64(i.High), 30*(1+2.132*half), 1e-3)
	i = Settings{}.interval(30, s, 6, tails{0.1, 1})
	near(t, "low of 1 %", float64(i.Low), 30*(1-3.747*half), 1e-3)
	near(t, "high of 10 %", float64(i.High), 30*(1+1.533*half), 1e-3)

	for k := range lines {
		lines[k].Start = nowhere // not placed: one direction
	}
	s = spreadOfRuns(lines, ofQ, 5)
	near(t, "variance of runs not placed", s.variance, (6*15*15+4)/5./6, 1e-9)
	near(t, "freedom of runs not placed", s.freedom, 5, 1e-9)
}

// With as many readings in each run, the variance is that of the jackknife over runs (Efron 1982,
// section 3.1), in each direction and weighted by their shares.
func TestSpreadIsTheJackknife(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		along := rapid.SliceOfN(rapid.Float64Range(1, 100), 2, 7).Draw(t, "along")
		across := rapid.SliceOfN(rapid.Float64Range(1, 100), 2, 7).Draw(t, "across")
		var lines []Line
		for i, v := range slices.Concat(along, across) {
			bearing := 45.0
			if i >= len(along) {
				bearing = 135
			}
			lines = append(lines, lineOf(string(rune('A'+i)), bearing, v, 12))
		}
		want := 0.0
		for _, x := range [][]float64{along, across} {
			m := float64(len(x))
			total, squares := 0.0, 0.0
			for _, v := range x {
				total += v
			}
			for _, v := range x {
				squares += math.Pow((total-v)/(m-1)-total/m, 2)
			}
			want += (m - 1) / m * squares * math.Pow(m/float64(len(lines)), 2)
		}
		s := spreadOfRuns(lines, ofQ, 5)
		if math.Abs(s.variance-want) > 1e-9*want+1e-15 || s.runs != len(lines) {
			t.Errorf("variance %v of %d runs, by the jackknife %v", s.variance, s.runs, want)
		}
		most := float64(len(lines) - 2)
		if least := float64(min(len(along), len(across)) - 1); want > 0 && (s.freedom < least*(1-1e-9) || s.freedom > most*(1+1e-9)) {
			t.Errorf("freedom %v, want from %v to %v", s.freedom, least, most)
		}
	})
}

// The pieces of a run between gaps are one run; directions differ by less than Turn across north
// as anywhere; a direction with one run makes no stratum of its own.
func TestRunsOfASpread(t *testing.T) {
	pieces := []Line{lineOf("A", 0, 4, 12), lineOf("A", 0, 4, 12), lineOf("B", 0, 9, 12)}
	if s := spreadOfRuns(pieces, ofQ, 5); s.runs != 2 || s.freedom != 1 {
		t.Errorf("%+v, want 2 runs", s)
	}
	for _, c := range []struct {
		bearings []float64
		want     []int // runs of each stratum, sorted
	}{
		{[]float64{0, 90, 0, 90}, []int{2, 2}},
		{[]float64{178, 2, 88, 92}, []int{2, 2}},
		{[]float64{45, -135, -45, 135}, []int{2, 2}},
		{[]float64{0, 0, 0, 90}, []int{4}},
		{[]float64{0, 4, 8, 90, 91}, []int{2, 3}},
		{[]float64{10, 40, 70, 100}, []int{4}},
	} {
		var runs []cluster
		for _, b := range c.bearings {
			runs = append(runs, cluster{bearing: math.Mod(b+180, 180) * math.Pi / 180})
		}
		for range len(runs) {
			runs = append(runs[1:], runs[0])
			var got []int
			for _, s := range strata(runs, 5) {
				got = append(got, len(s))
			}
			slices.Sort(got)
			if !slices.Equal(got, c.want) {
				t.Errorf("%v: strata of %v runs, want %v", c.bearings, got, c.want)
			}
		}
	}
}

// uneven returns runs of n readings every 12 in, none like another.
func uneven(runs, n int) []survey.Run {
	var out []survey.Run
	for k := range runs {
		h := make([]float64, n)
		for i := range h {
			h[i] = math.Sin(float64(i*i+3*k)) + 0.2*float64(k)*math.Cos(float64(i))
		}
		out = append(out, run(string(rune('A'+k)), atInch, 0.001, h...))
	}
	return out
}

// FF has an interval from four runs on, FL from six with as many differences as the area requires;
// without one the reason is given. By hand: 900 ft² require 900/16 = 56.25 readings, and 2·√900 = 60
// differences, which 6 runs of 20 readings have.
func TestNoInterval(t *testing.T) {
	const area = 900 * sqFoot
	section := func(name string, runs, n int, area float64) *Result {
		r, err := Measure(Section{Name: name, Runs: uneven(runs, n), Area: area}, Settings{})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	const differ = "show how the floor differs from place to place"
	for _, c := range []struct {
		name     string
		sections []*Result
		ff, fl   string
	}{
		{"one run", []*Result{section("", 1, 40, area)}, "1 run; 4 or more " + differ, "1 run; 6 or more " + differ},
		{"three runs", []*Result{section("", 3, 40, area)}, "3 runs; 4 or more " + differ, "3 runs; 6 or more " + differ},
		{"five runs", []*Result{section("", 5, 40, area)}, "", "5 runs; 6 or more " + differ},
		{"six runs", []*Result{section("", 6, 20, area)}, "", ""},
		{"four short runs", []*Result{section("", 4, 14, area)}, "56 readings; 57 or more are needed on 900 ft²", "4 runs; 6 or more " + differ},
		{"six short runs", []*Result{section("", 6, 19, area)}, "", `54 differences over 10'-0"; 60 or more are needed on 900 ft²`},
		{"no area", []*Result{section("", 6, 40, 0)}, "", "without the area of the floor it is not known whether the runs reach all of it; an outline gives it"},
		{"two sections", []*Result{section("a", 3, 40, area), section("b", 3, 40, area)}, "", ""},
		{"a section with one run", []*Result{section("a", 5, 40, area), section("b", 1, 40, area)},
			"section b has 1 run; 2 or more show how it differs from place to place", "section b has 1 run; 2 or more show how it differs from place to place"},
		{"a section with few readings", []*Result{section("a", 4, 40, area), section("b", 2, 14, area)}, "28 readings; 57 or more are needed on 900 ft²", `8 differences over 10'-0"; 60 or more are needed on 900 ft²`},
	} {
		t.Run(c.name, func(t *testing.T) {
			w, err := Combine(c.sections, Settings{})
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range []struct {
				f    F
				i    Interval
				want string
			}{{w.FF, w.FFRange, c.ff}, {w.FL, w.FLRange, c.fl}} {
				if v.i.Why != v.want || v.i.Known() != (v.want == "") || v.i.Known() && (v.i.Low >= v.f || v.i.High <= v.f || v.i.Low < 0) {
					t.Errorf("%v: %+v, want %q", v.f, v.i, v.want)
				}
				if b, err := json.Marshal([2]F{v.i.Low, v.i.High}); err != nil || !v.i.Known() && string(b) != "[null,null]" {
					t.Errorf("JSON %s %v", b, err)
				}
			}
			if len(c.sections) == 1 && (w.FFRange.Why != c.sections[0].FFRange.Why || w.FLRange.Why != c.sections[0].FLRange.Why) {
				t.Errorf("section %+v %+v", c.sections[0].FFRange, c.sections[0].FLRange)
			}
		})
	}
	same := uneven(1, 40)[0]
	r, err := Measure(Section{Runs: []survey.Run{same, same, same, same}}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if r.FFRange.Known() {
		t.Errorf("four times the same readings: %+v", r.FFRange)
	}
}

// Two halves of a floor that are alike are known as well as the whole of it.
func TestSpreadOfSections(t *testing.T) {
	lines := []Line{lineOf("A", 0, 9, 20), lineOf("B", 0, 10, 20), lineOf("C", 0, 12, 20), lineOf("D", 0, 30, 20), lineOf("E", 0, 31, 20), lineOf("F", 0, 35, 20)}
	one := together([]spread{spreadOfRuns(lines, ofQ, 5)}, []float64{7})
	near(t, "square of one section", one.square, spreadOfRuns(lines, ofQ, 5).square, 1e-12)
	near(t, "variance of one section", one.variance, spreadOfRuns(lines, ofQ, 5).variance, 1e-12)
	near(t, "freedom of one section", one.freedom, spreadOfRuns(lines, ofQ, 5).freedom, 1e-9)
	a, b := spreadOfRuns(lines[:3], ofQ, 5), spreadOfRuns(lines[3:], ofQ, 5)
	two := together([]spread{a, b}, []float64{40, 40})
	near(t, "square", two.square, 127./6, 1e-12)
	// Of 9, 10, 12: 14/3 over 2·3; of 30, 31, 35: 14 over 2·3; a quarter of each.
	near(t, "variance", two.variance, (14./18+14./6)/4, 1e-12)
	near(t, "freedom", two.freedom, math.Pow(14./18+14./6, 2)/(math.Pow(14./18, 2)/2+math.Pow(14./6, 2)/2), 1e-9)
}

// The directions of runs are strata for the differences of FL, which change with a slope, not for
// the curvatures of FF.
func TestStrataOfNumbers(t *testing.T) {
	runs := uneven(6, 20)
	for i := range runs {
		at := float64(i)
		runs[i].Start, runs[i].End = survey.Point{Y: at}, survey.Point{X: 19 * atInch, Y: at}
		if i%2 == 1 {
			runs[i].Start, runs[i].End = survey.Point{X: at}, survey.Point{X: at, Y: 19 * atInch}
		}
	}
	r, err := Measure(Section{Runs: runs}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "freedom of FF, six runs in one stratum", r.q.freedom, 5, 1e-9)
	if r.z.freedom > 4 || r.z.freedom < 2 {
		t.Errorf("freedom of FL %v, want 2 to 4: two strata of three runs", r.z.freedom)
	}
}

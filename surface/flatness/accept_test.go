package flatness

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// DIN 18202 table 3 as expanded in a German screed trade handbook, mm. 89 of 91 cells follow
// from the five columns of the table; the two exceptions are named.
func TestPublishedInterpolation(t *testing.T) {
	lengths := []float64{0.1, 0.6, 1, 1.5, 2, 2.5, 3, 3.5, 4, 6, 8, 10, 15}
	cells := [][]float64{
		{10, 13, 15, 16, 17, 18, 18, 19, 20, 22, 23, 25, 30},
		{5, 7, 8, 9, 9, 10, 11, 12, 12, 13, 14, 15, 20},
		{2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 11, 12, 15},
		{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 15},
		{5, 8, 10, 11, 12, 13, 13, 14, 15, 18, 22, 25, 30},
		{3, 4, 5, 6, 7, 8, 8, 9, 10, 13, 17, 20, 25},
		{2, 2, 3, 4, 5, 6, 6, 7, 8, 10, 13, 15, 20},
	}
	odd := map[string]float64{"row 2 at 3.5 m": 11, "row 7 at 0.6 m": 3}
	agree := 0
	for i, row := range cells {
		rules, err := Choose(Limits(), fmt.Sprintf("din18202-%d", i+1))
		if err != nil || len(rules) != 1 {
			t.Fatal(rules, err)
		}
		for j, want := range row {
			where := fmt.Sprintf("row %d at %g m", i+1, lengths[j])
			got := math.Round(rules[0].LimitAt(lengths[j])*1e6) / 1e3
			if ours, is := odd[where]; is {
				if got != ours {
					t.Errorf("%s: %g, the straight line gives %g", where, got, ours)
				}
				continue
			}
			if got != want {
				t.Errorf("%s: %g, printed %g", where, got, want)
			}
			agree++
		}
	}
	if agree != 89 {
		t.Errorf("%d cells compared, want 89", agree)
	}
	if r, _ := Choose(Limits(), "din18202-3"); r[0].LimitAt(0.01) != 0.002 || r[0].LimitAt(40) != 0.015 {
		t.Error("the table does not hold beyond its ends")
	}
}

// Worked example 20c: ± 12 mm at 7 m by NF DTU 52.1, ± 20 mm at 8 m by NF DTU 13.3.
func TestLimitsThatGrow(t *testing.T) {
	for _, c := range []struct {
		name         string
		length, want float64
	}{{"dtu52.1", 7, 0.012}, {"dtu13.3", 8, 0.020}} {
		rows, err := Choose(Limits(), c.name)
		if err != nil {
			t.Fatal(err)
		}
		v := Judge(Measured{Datum: &Reading{Value: c.want, To: surface.Vec{X: c.length}}}, rows, Settings{})
		d := v[len(v)-1]
		near(t, c.name, d.Limit, c.want, 1e-12)
		if d.Row.Kind != ByDatum || d.Outcome != Pass {
			t.Errorf("%+v", d)
		}
	}
}

func TestTableIsWhole(t *testing.T) {
	kinds := map[Kind]bool{}
	for _, r := range Limits() {
		kinds[r.Kind] = true
		grows := len(r.Spans) > 0 || r.PerMetre > 0 || r.CubeRoot > 0
		if r.Name == "" || r.Standard == "" || r.Edition == "" || r.Class == "" || r.Source == "" || r.Known == "" || !(r.Limit > 0 || grows) {
			t.Errorf("a row lacks something: %+v", r)
		}
		if strings.ContainsAny(r.Name, " ,") || (r.Kind == ByStraightedge || r.Kind == ByStep) != (r.Length > 0) {
			t.Errorf("%+v", r)
		}
	}
	for k := ByFF; k <= ByThreshold; k++ {
		if !kinds[k] {
			t.Errorf("no row about %s", k)
		}
	}
}

func TestChooseRefusesUnknownRules(t *testing.T) {
	rows := append(Limits()[:2:2], Row{Name: "house"})
	if _, err := Choose(rows, "house", "din"); err == nil || err.Error() != `found "din", want one of aci117-conventional, house` {
		t.Error(err)
	}
	if got, err := Choose(rows, "house", "aci117-conventional"); err != nil || len(got) != 3 || got[0].Name != "house" {
		t.Error(got, err)
	}
}

func whole(ff, fl, localFF, localFL F) *Whole {
	line := func(run string, at float64) Line {
		return Line{Run: run, FF: localFF, FL: localFL, Start: surface.Vec{X: at}, End: surface.Vec{X: at, Y: 9}}
	}
	north, south := &Result{Name: "north", Lines: []Line{line("N1", 1)}}, &Result{Name: "south", Lines: []Line{line("S1", 2)}}
	return &Whole{Sections: []*Result{north, south}, FF: ff, FL: fl, FFRange: Interval{Low: ff * 0.9, High: ff * 1.1}, FLRange: Interval{Low: fl * 0.9, High: fl * 1.1},
		LocalFF: Local{localFF, north}, LocalFL: Local{localFL, south}}
}

func judgeNamed(t *testing.T, m Measured, name string, s Settings) []Verdict {
	t.Helper()
	rows, err := Choose(Limits(), name)
	if err != nil {
		t.Fatal(err)
	}
	return Judge(m, rows, s)
}

func TestFNumbersAgainstAClass(t *testing.T) {
	for _, c := range []struct {
		name string
		w    *Whole
		s    Settings
		want [4]Outcome
	}{
		{"all within", whole(27.2, 21, 16, 13), Settings{}, [4]Outcome{Pass, Pass, Pass, Pass}},
		// 24.88 against 25 once failed a floor; a specification is whole.
		{"a third digit", whole(24.88, 19.5, 14.6, 11.6), Settings{}, [4]Outcome{Pass, Pass, Pass, Pass}},
		{"below as rounded too", whole(24.4, 19.4, 14.4, 11.4), Settings{}, [4]Outcome{Fail, Fail, Fail, Fail}},
		// 0.67 × 25 = 16.75 and 0.67 × 20 = 13.4: rounding down fails nothing.
		{"two thirds", whole(30, 30, 16.8, 13.45), Settings{LocalRatio: 0.67}, [4]Outcome{Pass, Pass, Pass, Pass}},
		{"two thirds missed", whole(30, 30, 16.4, 12.4), Settings{LocalRatio: 0.67}, [4]Outcome{Pass, Pass, Fail, Fail}},
		{"no departure", whole(F(math.Inf(1)), F(math.Inf(1)), F(math.Inf(1)), F(math.Inf(1))), Settings{}, [4]Outcome{Pass, Pass, Pass, Pass}},
		{"nothing measured", nil, Settings{}, [4]Outcome{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := judgeNamed(t, Measured{F: c.w}, "aci117-moderate", c.s)
			if len(v) != 4 {
				t.Fatal(v)
			}
			for i := range v {
				if v[i].Outcome != c.want[i] {
					t.Errorf("%s: %s of %v against %v, want %s", v[i].Row.Kind, v[i].Outcome, v[i].Value, v[i].Limit, c.want[i])
				}
				if c.w != nil && (v[i].Rounding != "rounded to a whole number" || !strings.Contains(v[i].Note, Method)) {
					t.Errorf("%+v", v[i])
				}
			}
			if c.w != nil && !c.w.FF.Infinite() && (v[2].Where != "north run N1" || v[3].Where != "south run S1" || v[3].From.X != 2 || v[3].To.Y != 9) {
				t.Errorf("least local values at %q and %q", v[2].Where, v[3].Where)
			}
		})
	}
	v := judgeNamed(t, Measured{F: whole(24.88, 40, 24, 24)}, "aci117-moderate", Settings{})
	if want := "passes as rounded; the limit is inside the interval from 22.4 to 27.4; " + Method; v[0].Note != want || v[0].Value != 24.88 || v[0].Rounded != 25 {
		t.Errorf("%q, want %q", v[0].Note, want)
	}
}

// gaps is a straightedge with the same max gap at every length up to most.
func gaps(value, most float64, share func(float64) float64) func(float64) (Reading, bool) {
	return func(length float64) (Reading, bool) {
		return Reading{Value: value, From: surface.Vec{X: 1, Y: 2}, To: surface.Vec{X: 1, Y: 2 + length}, Share: share}, length <= most
	}
}

func TestGapsAgainstLimits(t *testing.T) {
	for _, c := range []struct {
		name, rule string
		gap        float64
		want       []Outcome
	}{
		{"large tile, good", "tile-large", 1.5e-3, []Outcome{Pass, Pass}},
		{"large tile, the long edge only", "tile-large", 3.1e-3, []Outcome{Pass, Fail}},
		{"large tile, bad", "tile-large", 3.6e-3, []Outcome{Fail, Fail}},
		{"1/8 in and a hair", "tile-large", inch/8 + inch/129, []Outcome{Pass, Fail}},
		{"SR1 at the limit", "bs8204-sr1", 3.04e-3, []Outcome{Pass}},
		{"SR1 above it", "bs8204-sr1", 3.06e-3, []Outcome{Fail}},
		{"a length that is not carried", "dtu13.3", 2e-3, []Outcome{Pass, NotMeasured, NotMeasured}},
	} {
		t.Run(c.name, func(t *testing.T) {
			at := func(length float64) (Reading, bool) {
				g, _ := gaps(c.gap, 9, nil)(length)
				return g, length >= 0.3
			}
			v := judgeNamed(t, Measured{GapAt: at}, c.rule, Settings{})
			if len(v) != len(c.want) {
				t.Fatalf("%d verdicts", len(v))
			}
			for i := range v {
				if v[i].Outcome != c.want[i] {
					t.Errorf("%v m: %s, want %s (%s)", v[i].Length, v[i].Outcome, c.want[i], v[i].Note)
				}
				if v[i].Outcome != NotMeasured && (v[i].From != surface.Vec{X: 1, Y: 2} || v[i].Rounding == "") {
					t.Errorf("%+v", v[i])
				}
			}
		})
	}
	if v := judgeNamed(t, Measured{}, "tile", Settings{}); v[0].Outcome != NotMeasured || v[0].Note != "no straightedge was laid" || !math.IsNaN(v[0].Value) {
		t.Errorf("%+v", v)
	}
}

func TestShareOfReadings(t *testing.T) {
	for _, c := range []struct {
		within  float64
		greater float64
		want    []Outcome
	}{
		{0.95, 0.010, []Outcome{Pass, Fail}},
		{0.85, 0.010, []Outcome{Fail, Fail}},
		{0.95, 0.009, []Outcome{Pass, Pass}}, // 3/8 in is 9.5 mm
		{1, 0.006, []Outcome{Pass, Pass}},
	} {
		v := judgeNamed(t, Measured{GapAt: gaps(c.greater, 9, func(float64) float64 { return c.within })}, "aci117-flat-gap", Settings{})
		for i := range v {
			if v[i].Outcome != c.want[i] {
				t.Errorf("%v within, greatest %v: %s, want %s", c.within, c.greater, v[i].Outcome, c.want[i])
			}
		}
	}
	// Each reading is rounded: slightly over 1/4 in counts as 1/4 in.
	hair := func(limit float64) float64 { return map[bool]float64{true: 0.95, false: 0.5}[limit > inch/4+inch/129] }
	v := judgeNamed(t, Measured{GapAt: gaps(0.008, 9, hair)}, "aci117-flat-gap", Settings{})
	if want := "50.0 % of the readings are within, 95.0 % when each is rounded to 1/64 in; 90 % must be"; v[0].Outcome != Pass || v[0].Note != want {
		t.Errorf("%s: %q", v[0].Outcome, v[0].Note)
	}
	v = judgeNamed(t, Measured{GapAt: gaps(0.008, 9, nil)}, "aci117-flat-gap", Settings{})
	if v[0].Outcome != NotMeasured || v[1].Outcome != Pass {
		t.Errorf("shares not known: %s and %s", v[0].Outcome, v[1].Outcome)
	}
}

// Each length is compared with the limit at the distance of its supports.
func TestSupportsPickTheLimit(t *testing.T) {
	at := func(length float64) (Reading, bool) {
		return Reading{Value: 0.005, To: surface.Vec{X: length / 2}}, length == 2 || length == 4
	}
	v := judgeNamed(t, Measured{GapAt: at}, "din18202-3", Settings{})
	if len(v) != 2 {
		t.Fatal(v)
	}
	// At 1 m 4 mm, at 2 m 6 mm.
	for i, want := range []struct {
		length, limit float64
		outcome       Outcome
		note          string
	}{{1, 0.004, Fail, "straightedge of 2 m, supports 1.00 m apart"}, {2, 0.006, Pass, "straightedge of 4 m, supports 2.00 m apart"}} {
		if v[i].Length != want.length || v[i].Limit != want.limit || v[i].Outcome != want.outcome || v[i].Note != want.note {
			t.Errorf("%+v, want %+v", v[i], want)
		}
	}
	if v := judgeNamed(t, Measured{GapAt: gaps(1, 0, nil)}, "din18202-3", Settings{}); len(v) != 1 || v[0].Outcome != NotMeasured {
		t.Error(v)
	}
}

func TestDatumAndShortStep(t *testing.T) {
	for _, c := range []struct {
		value float64
		want  Outcome
	}{{0.0150, Pass}, {0.0152, Fail}} {
		if v := judgeNamed(t, Measured{Datum: &Reading{Value: c.value}}, "bs8204-datum", Settings{}); v[0].Outcome != c.want {
			t.Errorf("%v: %s", c.value, v[0].Outcome)
		}
	}
	v := judgeNamed(t, Measured{StepAt: gaps(0.004, 1, nil), GapAt: gaps(0.004, 9, nil)}, "nzs3114", Settings{})
	if v[0].Outcome != Pass || v[1].Outcome != Fail || v[1].Row.Kind != ByStep {
		t.Errorf("%+v", v)
	}
	if v := judgeNamed(t, Measured{}, "bs8204-datum", Settings{}); v[0].Outcome != NotMeasured {
		t.Errorf("%+v", v)
	}
	nan := math.NaN()
	if v := judgeNamed(t, Measured{Datum: &Reading{Value: 0.001, To: surface.Vec{X: nan, Y: nan}}}, "dtu52.1", Settings{}); v[1].Outcome != NotMeasured {
		t.Errorf("%+v", v)
	}
}

func TestThresholds(t *testing.T) {
	door := func(name string, change float64) surface.Threshold {
		return surface.Threshold{Point: survey.Point{X: 1, Y: 2}.Named(name), Change: change}
	}
	v := judgeNamed(t, Measured{Thresholds: []surface.Threshold{
		door("flush", 0), door("low", -0.006), door("bevelled", 0.010), door("ramp", 0.020),
	}}, "ada", Settings{})
	for i, want := range []struct {
		outcome Outcome
		where   string
		note    string
	}{
		{Pass, "flush", ""},
		{Pass, "low", ""},
		{Pass, "bevelled", "bevel the part above the vertical limit 1:2"},
		{Fail, "ramp", "a ramp of 1:12 takes 0.24 m"},
	} {
		if v[i].Outcome != want.outcome || v[i].Where != want.where || v[i].Note != want.note || v[i].From != (surface.Vec{X: 1, Y: 2}) {
			t.Errorf("%+v, want %+v", v[i], want)
		}
	}
	// A ramp of 1:8 takes 35 mm and no more; a reading of 35.04 mm counts as 35.
	for i, want := range []string{"a ramp of 1:8 takes 0.28 m", "a ramp of 1:8 takes 0.28 m", "above the 35 mm that a ramp of 1:8 may take"} {
		change := []float64{0.035, 0.03504, 0.0352}[i]
		if v := judgeNamed(t, Measured{Thresholds: []surface.Threshold{door("d", change)}}, "au-threshold", Settings{}); v[0].Outcome != Fail || v[0].Note != want {
			t.Errorf("%g m: %s, %q, want %q", change, v[0].Outcome, v[0].Note, want)
		}
	}
	if v := judgeNamed(t, Measured{}, "ada", Settings{}); len(v) != 1 || v[0].Note != "no threshold was given" {
		t.Error(v)
	}
}

// A floor with one section has no min local value: the overall value is compared with that
// limit, and the note gives that.
func TestOneSectionHasNoLocalValue(t *testing.T) {
	w := whole(45, 42, 45, 42)
	for _, c := range []struct {
		sections []*Result
		want     bool
	}{{w.Sections, false}, {w.Sections[:1], true}} {
		one := *w
		one.Sections = c.sections
		for _, v := range judgeNamed(t, Measured{F: &one}, "ufgs-industrial", Settings{}) {
			local := v.Row.Kind == ByLocalFF || v.Row.Kind == ByLocalFL
			if v.Overall != (local && c.want) || strings.Contains(v.Note, "one section") != v.Overall {
				t.Errorf("%d sections, %s: %+v", len(c.sections), v.Row.Kind, v)
			}
		}
	}
}

func TestHouseRuleIsARow(t *testing.T) {
	house := Row{Name: "house", Standard: "ours", Class: "showroom", Kind: ByFF, Limit: 40, Source: "contract", Known: "contract"}
	v := Judge(Measured{F: whole(41, 30, 41, 30)}, []Row{house}, Settings{})
	if len(v) != 1 || v[0].Outcome != Pass {
		t.Error(v)
	}
}

func TestSettingsTableNamesSources(t *testing.T) {
	for _, step := range []float64{atInch, atMM} {
		for _, s := range []Settings{{}, {Pooled: true, DivideByN: true, Thirtieth: true, Diagonal: true}} {
			for _, row := range s.Table(step) {
				if row.Name == "" || row.Value == "" || row.Source == "" || row.Known == "" {
					t.Errorf("%+v", row)
				}
			}
		}
	}
	value := func(s Settings, step float64, name string) string {
		for _, row := range s.Table(step) {
			if row.Name == name {
				return row.Value
			}
		}
		return "none"
	}
	for _, c := range []struct {
		s          Settings
		step       float64
		name, want string
	}{
		{Settings{}, atInch, "band left out", "2'-0\""},
		{Settings{}, atMM, "band left out", "0.60 m"},
		{Settings{Band: 0.5}, atMM, "band left out", "0.50 m"},
		{Settings{}, atMM, "FF constant at 300 mm", "116.078 mm"},
		{Settings{MetricFF: 0.1158}, atMM, "FF constant at 300 mm", "115.800 mm"},
		{Settings{}, atInch, "variance divisor", "n − 1"},
		{Settings{DivideByN: true}, atInch, "variance divisor", "n"},
		{Settings{}, atMM, "reading step", "300.000 mm"},
		{Settings{Confidence: 0.8}, atMM, "confidence", "0.80"},
		{Settings{Pooled: true}, atInch, "lines into a section", "all readings pooled"},
		{Settings{}, atInch, "min area of a section", "320 ft²"},
	} {
		if got := value(c.s, c.step, c.name); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

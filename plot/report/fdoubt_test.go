package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/job"
)

// judgedUneven judges some runs of 18 readings on a square of 20 by 20 ft, half of them along and
// half across, none like another.
func judgedUneven(t *testing.T, runs int) *job.Judged {
	t.Helper()
	var b bytes.Buffer
	for k := range runs {
		for i := range 18 {
			along, across := 1+float64(i), 2+4*float64(k/2)
			if k%2 == 1 {
				along, across = across, along
			}
			fmt.Fprintf(&b, "R%d,%g,%g,%.4f\n", k+1, along, across, float64((i*i*(k+3))%7)/40)
		}
	}
	return judgedRuns(t, b.String(), westSquare)
}

// Without an interval the output gives the reason, and each result that depends on it says so. FF
// wants four runs and FL six; 400 ft² want 2·√400 = 40 differences, and six runs of 18 have 48.
func TestIntervalsNotKnown(t *testing.T) {
	const differ = " show how the floor differs from place to place"
	for _, c := range []struct {
		runs   int
		ff, fl string // the reasons
	}{
		{3, "3 runs; 4 or more" + differ, "3 runs; 6 or more" + differ},
		{5, "", "5 runs; 6 or more" + differ},
		{6, "", ""},
	} {
		t.Run(fmt.Sprint(c.runs), func(t *testing.T) {
			j := judgedUneven(t, c.runs)
			terminal := string(FlatnessText(j, feet, "", nil))
			var text facts
			addRuns(j, &text, feet)
			row := fmt.Sprint(text)
			section := NewFlat(j).Section
			for _, f := range []struct {
				name, why string
				i         flatness.Interval
				ci        [2]flatness.F
				inJSON    string
			}{{"FF", c.ff, j.Whole.FFRange, section.FFRange, section.WhyFF}, {"FL", c.fl, j.Whole.FLRange, section.FLRange, section.WhyFL}} {
				line := "90 % interval of " + f.name + " not known: " + f.why
				if has := strings.Contains(row, line+" "); has != (f.why != "") {
					t.Errorf("%q: %v in %s", line, has, row)
				}
				data, err := json.Marshal(f.ci)
				if null := string(data) == "[null,null]"; err != nil || null != (f.why != "") || f.inJSON != f.why {
					t.Errorf("%s in JSON: %s, %q", f.name, data, f.inJSON)
				}
				for _, v := range j.Verdicts {
					if v.Row.Kind.String() != f.name+" overall" {
						continue
					}
					if v.Unsure != f.why || strings.Contains(VerdictText(&v, feet), "(interval not known)") != (f.why != "") {
						t.Errorf("%s: %q, %q", v.Row.Name, v.Unsure, VerdictText(&v, feet))
					}
				}
			}
			if brackets := strings.Contains(row, "brackets: 90 % interval"); brackets != (c.ff == "" || c.fl == "") {
				t.Errorf("brackets %v: %s", brackets, row)
			}
			m := flatMaps{Judged: j, style: feet}.runs().Summary
			if n := strings.Count(m, "(interval not known)"); n != min(1, len(c.ff))+min(1, len(c.fl)) || strings.Contains(m, "brackets: 90 % interval") != (c.ff == "" || c.fl == "") {
				t.Errorf("on the map: %s", m)
			}
			for _, words := range []string{"Interval not known: nor is it whether", "90 % interval of F"} {
				if has := strings.Contains(terminal, words); has != (c.ff+c.fl != "") {
					t.Errorf("%q: %v in\n%s", words, has, terminal)
				}
			}
		})
	}
}

// By hand: of a pass, one limit inside an interval decides, then one value without an interval. Of a
// fail, one that is sure decides, then one without an interval.
func TestDoubtOfARule(t *testing.T) {
	pass, fail := flatness.Pass, flatness.Fail
	one := func(o flatness.Outcome, d doubt) flatness.Verdict {
		v := flatness.Verdict{Row: flatness.Row{Kind: flatness.ByFF}, Outcome: o, From: surface.Vec{X: math.NaN()}, InDoubt: d == inDoubt}
		if d == unsure {
			v.Unsure = "3 runs"
		}
		return v
	}
	j := judgedUneven(t, 6)
	for _, c := range []struct {
		verdicts []flatness.Verdict
		want     doubt
	}{
		{[]flatness.Verdict{one(pass, noDoubt), one(pass, unsure)}, unsure},
		{[]flatness.Verdict{one(pass, unsure), one(pass, inDoubt)}, inDoubt},
		{[]flatness.Verdict{one(pass, noDoubt), one(pass, noDoubt)}, noDoubt},
		{[]flatness.Verdict{one(fail, unsure), one(fail, inDoubt)}, unsure},
		{[]flatness.Verdict{one(fail, unsure), one(fail, noDoubt)}, noDoubt},
		{[]flatness.Verdict{one(fail, inDoubt), one(fail, inDoubt)}, inDoubt},
		{[]flatness.Verdict{one(pass, inDoubt), one(fail, unsure)}, unsure},
		{[]flatness.Verdict{one(fail, noDoubt), one(pass, inDoubt)}, noDoubt},
	} {
		for range len(c.verdicts) {
			c.verdicts[0], c.verdicts[1] = c.verdicts[1], c.verdicts[0]
			g := ruleGroup{ruling: ruling{outcome: pass.String()}}
			for i := range c.verdicts {
				g.measured(j, &c.verdicts[i], feet)
			}
			if g.doubt != c.want {
				t.Errorf("%v: %d, want %d", c.verdicts, g.doubt, c.want)
			}
		}
	}
}

// An interval that reaches 0 has one end.
func TestIntervalFromNothing(t *testing.T) {
	if got := ranged(20, flatness.Interval{High: 31.25}); got != "20.0 (up to 31.2)" {
		t.Error(got)
	}
}

package job

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// How a length of an option is read, for the units of the survey.
func TestLengths(t *testing.T) {
	const m, mm, cm, ft, us, in = unit.Metre, unit.Millimetre, unit.Centimetre, unit.Foot, unit.SurveyFoot, unit.Inch
	for _, c := range []struct {
		name          string
		asked         unit.Length
		show          string
		plan, up      unit.Length
		flag, text    string
		want          float64
		refused, hint string
		note          string
	}{
		// --units decides, whatever unit the file has.
		{"asked beside readings in mm", m, "", m, mm, "target", "-0.012", -0.012, "", "", "read in m, the unit of --units: --target -0.012"},
		{"asked, shown in feet", m, "feet", m, m, "target", "10", 10, "", "", "read in m, the unit of --units: --target 10"},
		// The only unit of the survey.
		{"one unit", 0, "", m, m, "target", "10.012", 10.012, "", "", "read in m, the unit of the survey: --target 10.012"},
		{"feet", 0, "", ft, ft, "target", "100", 30.48, "", "", "read in ft, the unit of the survey: --target 100"},
		{"heights alone", 0, "", 0, m, "target", "1", 1, "", "", "read in m, the unit of the survey: --target 1"},
		{"a thickness in metres", 0, "", m, m, "low", "0.002", 0.002, "", "", "read in m, the unit of the survey: --low 0.002"},
		// Two units, or results shown in another.
		{"plan and heights differ", 0, "", m, mm, "target", "-0.012", 0, `--target: found "-0.012" without a unit, and the survey has x and y in m and heights in mm`, "--target -0.012m or --target -0.012mm; or --units for every bare number", ""},
		{"shown in feet", 0, "feet", m, m, "target", "10", 0, `without a unit, and the survey is in m, while elevations are shown in ft`, "--target 10m or --target 10ft", ""},
		{"shown in metres", 0, "metric", ft, ft, "toward", "3,4", 0, `while places are shown in m`, "--toward 3ft,4ft or --toward 3m,4m", ""},
		{"all in mm", 0, "", mm, mm, "target", "10.012", 0, `the survey is in mm, while elevations are shown in m`, "--target 10.012mm or --target 10.012m", ""},
		{"half a foot or half an inch", 0, "", ft, ft, "buildup", "0.5", 0, `while thicknesses are shown in inches`, "--buildup 0.5ft or --buildup 0.5in", ""},
		{"two or twenty millimetres", 0, "", cm, cm, "low", "2", 0, `while thicknesses are shown in mm`, "--low 2cm or --low 2mm", ""},
		{"no unit at all", 0, "", 0, 0, "target", "1", 0, `--target: found "1" without a unit, and the survey states none`, "--units m", ""},
		// Lengths with a unit, and 0.
		{"a unit of its own", m, "", m, mm, "target", "-12mm", -0.012, "", "", ""},
		{"zero", 0, "", m, mm, "target", "0", 0, "", "", ""},
		// Lengths that no floor has.
		{"thinned to 50 m", m, "", m, m, "thin", "50", 0, `--thin: found "50", want max 2 m (6.56 ft)`, "--thin 50mm", ""},
		{"a covering as thick as the sky", 0, "", m, m, "covering", "1e9m", 0, `want max 300 mm (11.8 in)`, "--covering 10mm", ""},
		{"a negative thickness", 0, "", m, m, "low", "-1mm", 0, `want a length of 0 or more`, "", ""},
		{"no step", 0, "", m, m, "step", "0", 0, `want a length above 0`, "", ""},
		{"no number", 0, "", m, mm, "target", "high", 0, `--target: found "high", want`, "", ""},
		// Feet are the survey's: at 2,445,180 ft the two kinds differ by 4.9 ft
		// (factor 1.000002: Federal Register 85 FR 62698).
		{"US survey feet", 0, "", us, us, "target", "2445180ft", 2445180 * 1200.0 / 3937, "", "", "read in ftUS, the feet of the survey: --target 2445180ft"},
		{"US survey feet, asked as ft", ft, "", us, us, "target", "2445180", 2445180 * 1200.0 / 3937, "", "", "read in ftUS, the feet of the survey: --target 2445180"},
		{"feet in a survey in metres", 0, "", m, m, "target", "100ft", 30.48, "", "", ""},
		{"metres in a survey in US feet", 0, "", us, us, "target", "30m", 30, "", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := &Lengths{asked: c.asked, show: c.show}
			l.know(c.plan, c.up)
			var v float64
			var err error
			if strings.Contains(c.text, ",") {
				_, err = l.place(c.flag, c.text)
			} else {
				v, err = l.Parse(c.flag, c.text)
			}
			if c.refused != "" {
				if !survey.IsUsage(err) || !strings.Contains(err.Error(), c.refused) || !strings.HasPrefix(hintOf(err), c.hint) {
					t.Fatalf("%v (hint %q)\nwant a refusal with %s and the hint %s", err, hintOf(err), c.refused, c.hint)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(v-c.want) > 1e-9*max(1, math.Abs(c.want)) {
				t.Errorf("%s %s is %.12g m, want %.12g", c.flag, c.text, v, c.want)
			}
			var notes []string
			for _, n := range l.notes() {
				notes = append(notes, n.Text.String())
			}
			if got := strings.Join(notes, "; "); got != c.note {
				t.Errorf("notes %q, want %q", got, c.note)
			}
			if len(l.notes()) > 0 {
				t.Error("a note twice")
			}
		})
	}
}

func hintOf(err error) string { return strings.Join(survey.Hints(err), "; ") }

// With files in different units, or cells of one column in several, the unit of a bare
// number is open.
func TestLengthsOfSeveralUnits(t *testing.T) {
	l := &Lengths{}
	l.knowAll(&survey.Survey{Plan: unit.Metre, Unit: unit.Metre, Files: []survey.Source{{Plan: unit.Metre, Unit: unit.Metre}, {Plan: unit.Foot, Unit: unit.Foot}}})
	if _, err := l.Parse("target", "10"); err == nil || hintOf(err) != "--target 10m or --target 10ft; or --units for every bare number" {
		t.Errorf("%v, hint %q", err, hintOf(err))
	}
	l = &Lengths{}
	l.knowAll(&survey.Survey{Plan: unit.Metre, Unit: unit.Metre, MixedUnits: true})
	if _, err := l.Parse("target", "10"); err == nil || !strings.Contains(err.Error(), "the survey has cells in several units") {
		t.Error(err)
	}
	if got := withUnit("0, 36", unit.Foot); got != "0,36ft" {
		t.Errorf("%q", got)
	}
}

// The max length of each option, m, is accepted; one just above it is refused.
func TestLimitsOfLengths(t *testing.T) {
	limits := map[string]string{
		"grid-spacing": "100m", "step": "3m", "spacing": "100m", "line-length": "2000m", "thin": "2m", "buildup": "500mm", "low": "100mm", "covering": "300mm", "bed-least": "300mm", "bed-greatest": "300mm",
		"reading-sd": "50mm", "setup-sd": "50mm", "tolerance": "100mm", "grind-pass": "20mm", "allow": "300mm", "roughness": "20mm", "finish-high": "20mm", "line-bore": "300mm", "min-depth": "500mm", "max-depth": "2m", "trip": "300mm",
	}
	for name, o := range lengthOptions {
		text := limits[name]
		if text == "" {
			if o.Most != 0 {
				t.Errorf("%s has a limit of %g m", name, o.Most)
			}
			continue
		}
		l := &Lengths{}
		if _, err := l.Parse(name, text); err != nil {
			t.Error(err)
		}
		v, err := unit.Parse(text, unit.None)
		if err != nil {
			t.Fatal(err)
		}
		if o.Within(name, text, v*1.001) == nil {
			t.Errorf("%s takes more than %s", name, text)
		}
	}
}

// Lengths needed while a file is read wait for its unit and its kind of foot.
func TestLengthsThatWait(t *testing.T) {
	set := func(o *survey.Options, v float64) { o.Instrument = v }
	for _, c := range []struct {
		text     string
		plan, up unit.Length
		want     float64
	}{{"100ft", unit.SurveyFoot, unit.SurveyFoot, 100 * 1200.0 / 3937}, {"100ft", unit.Foot, unit.Foot, 30.48}, {"100", unit.Foot, unit.Foot, 30.48}, {"100", unit.SurveyFoot, unit.SurveyFoot, 100 * 1200.0 / 3937}, {"30m", unit.Foot, unit.Foot, 30}} {
		l, o := &Lengths{}, survey.Options{}
		if err := l.later(&o, "instrument-height", c.text, c.text, set); err != nil {
			t.Fatal(err)
		}
		if o.InUnit != nil {
			if !math.IsNaN(o.Instrument) {
				t.Errorf("%s is %g m before the unit is known", c.text, o.Instrument)
			}
			if err := o.InUnit(c.plan, c.up, &o); err != nil {
				t.Fatal(err)
			}
		}
		if math.Abs(o.Instrument-c.want) > 1e-12 {
			t.Errorf("%s in %s is %.15g m, want %.15g", c.text, c.up, o.Instrument, c.want)
		}
	}
}

// What a hint shows to type is accepted: for each option that takes a length, in surveys
// of each unit and of two, with numbers, fractions, lists and names.
func TestHintsOfLengthsAreTaken(t *testing.T) {
	units := []unit.Length{unit.Metre, unit.Millimetre, unit.Centimetre, unit.Foot, unit.SurveyFoot, unit.Inch}
	read := func(l *Lengths, flag, text string) error {
		if _, rest, named := strings.Cut(text, "="); named {
			text = rest
		}
		list := strings.TrimSuffix(text, "/setup")
		for _, part := range strings.Split(list, ",") {
			if _, err := l.part(flag, part, text); err != nil {
				return err
			}
		}
		return nil
	}
	refused, offered := map[string]int{}, 0
	for name, o := range lengthOptions {
		n := len(strings.Split(o.Metric, ","))
		for _, one := range []string{"1", "0.5", "-12", "50", "1/16", "-3/8", "5 3/8", "½", "100 1/2", "1e3"} {
			text := strings.Join(slices.Repeat([]string{one}, n), ",")
			flags, texts := []string{name}, []string{text}
			switch name {
			case "benchmark":
				flags = []string{"benchmark BM-A", "benchmark BM A"}
			case "grid-origin":
				texts = append(texts, "BAY 2="+text)
			case "allow":
				texts = append(texts, text+"/setup")
			}
			for _, flag := range flags {
				for _, text := range texts {
					for _, plan := range units {
						for _, up := range units {
							l := &Lengths{}
							l.know(plan, up)
							err := read(l, flag, text)
							if err == nil {
								continue
							}
							refused[name]++
							values := 0
							for _, o := range survey.Errors(err)[0].Asks() {
								if o.Value == "" { // unit of every bare number
									continue
								}
								offered, values = offered+1, values+1
								if o.Name != name {
									t.Fatalf("the hint of %s %s is for %s: %s", flag, text, o.Name, hintOf(err))
								}
								if name == "benchmark" && o.Value != "100ft" && !strings.HasPrefix(o.Value, strings.TrimPrefix(flag, "benchmark ")+"=") {
									t.Fatalf("the hint of %s=%s loses the name: %s", flag, text, hintOf(err))
								}
								again := &Lengths{}
								again.know(plan, up)
								if err := read(again, flag, o.Value); err != nil {
									t.Errorf("%s %s in %s and %s: the hint %s is refused: %v", flag, text, plan, up, o, err)
								}
							}
							if strings.Contains(err.Error(), "unit") && values == 0 {
								t.Errorf("%s %s in %s and %s: %v, without a hint", flag, text, plan, up, err)
							}
						}
					}
				}
			}
		}
		if refused[name] == 0 {
			t.Errorf("no value of %s was refused", name)
		}
	}
	if offered < 1000 {
		t.Errorf("%d hints", offered)
	}
}

// A refusal of a job names lengths with units that its keys accept.
func TestLengthsSuchAsJobsTake(t *testing.T) {
	for _, c := range []struct{ key, text, want string }{
		{"target.elevation", "9.93", "9.93m or 9.93ft"}, {"target.low", "1/16", "1/16in or 1/16ft"}, {"survey.thin", "50", "50mm or 50in"}, {"target.buildup", "12", "12mm or 12in"},
		{"survey.grid-origins", "0,36", "0,36m or 0,36ft"}, {"survey.after-instrument-height", "11.2", "11.2m or 11.2ft"}, {"plant.roughness", "500", "1mm"}, {"flatness.straightedges", "2", "2m or 2ft"},
	} {
		if got := suchAs(c.key, c.text, []unit.Length{unit.Metre, unit.Foot, unit.Millimetre, unit.Inch}, 2); got != c.want {
			t.Errorf("%s %s: %s, want %s", c.key, c.text, got, c.want)
		}
	}
}

// Each length of a job is among those that need a unit there, and the example of each option is within its limits.
func TestLengthsOfAJobNeedAUnit(t *testing.T) {
	keys := map[string]bool{}
	for _, l := range jobLengths(&Job{}) {
		keys[l.Key] = true
	}
	for name, o := range lengthOptions {
		if f, _ := ByFlag(name); f.Key != "" && !keys[f.Key] {
			t.Errorf("a job's %s may stand without a unit", f.Key)
		}
		for _, example := range []string{o.Metric, o.US} {
			for _, part := range strings.Split(example, ",") {
				v, err := unit.Parse(part, unit.None)
				if err == nil {
					err = o.Within(name, part, v)
				}
				if err != nil {
					t.Errorf("the example %s of --%s: %v", part, name, err)
				}
			}
		}
	}
}

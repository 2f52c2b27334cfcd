package job

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/uncertainty"
	"pourplane/survey"
)

// The reading error is the one given, or the usual one for what was measured, with the
// rounding of the readings.
func TestReadingErrors(t *testing.T) {
	t.Parallel()
	rods := "point,x (m),y (m),rod (m)\n1,0,0,1.450\n2,4,0,1.455\n3,4,3,1.440\n4,0,3,1.435\n5,2,1,1.440\n6,1,1,1.445\n7,3,1,1.450\n8,1,2,1.435\n9,3,2,1.445\n10,2,2,1.455\n"
	shots := strings.ReplaceAll(rods, "rod", "z")
	cells := "point,x (m),y (m),z (m)\n1,0,0,1.4501\n2,4,0,1.4552\n3,4,3,1.4403\n4,0,3,1.4354\n5,2,1,1.4405\n"
	for name, c := range map[string]struct {
		files                string
		survey               Survey
		way                  uncertainty.Way
		step, reading, setup float64
	}{
		"rods to 5 mm":       {rods, Survey{InstrumentHeight: "11m"}, uncertainty.ByRod, 0.005, math.Hypot(0.001, 0.005/math.Sqrt(12)), 0.001},
		"elevations to 5 mm": {shots, Survey{}, uncertainty.ByElevation, 0.005, math.Hypot(0.0015, 0.005/math.Sqrt(12)), 0.001},
		"a thinned scan":     {cells, Survey{Thin: "50mm"}, uncertainty.ByScan, 0.0001, math.Hypot(0.001, 0.0001/math.Sqrt(12)), 0.001},
		"given":              {rods, Survey{InstrumentHeight: "11m", ReadingSD: "3mm", SetupSD: "0"}, uncertainty.ByRod, 0.005, 0.003, 0},
	} {
		c.survey.Files = []string{"floor.csv"}
		j, err := Judge(&Job{Survey: c.survey, Target: Target{Elevation: "9.6m"}}, FlatOptions{LeastArea: LeastMark}, fstest.MapFS{"floor.csv": {Data: []byte(c.files)}}, nil)
		if err != nil && !strings.Contains(err.Error(), "target") {
			t.Errorf("%s: %v", name, err)
			continue
		}
		a := j.Accuracy
		if a.Way != c.way || a.Step != c.step || math.Abs(a.Reading-c.reading) > 1e-12 || math.Abs(a.Setup-c.setup) > 1e-12 {
			t.Errorf("%s: %+v", name, a)
		}
	}
}

// A stated error that no instrument has is used and doubted, in metric units or feet; a bare number is
// refused with what to type, whatever the unit of the survey.
func TestAbsurdErrorsAreDoubted(t *testing.T) {
	files := shotsOn(func(i, k int) float64 { return 10 + 0.001*math.Sin(float64(i*k)) })
	fill := func(reading, setup string) (*Filled, error) {
		j := &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv", ReadingSD: reading, SetupSD: setup}}
		j.Target.Elevation = "10.02m"
		return Fill(j, nil, files, nil)
	}
	for _, c := range []struct {
		reading, setup string
		want           []string
	}{
		{"", "", nil},
		{"10mm", "10mm", nil},
		{"3/8in", "0", nil},
		{"50mm", "", []string{"the reading error is given as 50.0 mm; usual is 1.5 mm, and no rod, laser or scan for floors has more than 10.0 mm"}},
		{"1/2in", "15mm", []string{"the reading error is given as 12.7 mm", "the set-up error is given as 15.0 mm; usual is 1.0 mm"}},
	} {
		w, err := fill(c.reading, c.setup)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, n := range w.Survey.Notes {
			if n.Kind == survey.Warning && strings.Contains(n.String(), "error is given as") {
				got = append(got, n.String())
			}
		}
		if len(got) != len(c.want) {
			t.Errorf("%+v: %q", c, got)
			continue
		}
		for i, want := range c.want {
			if !strings.Contains(got[i], want) {
				t.Errorf("%+v: %q", c, got[i])
			}
		}
	}
	for _, c := range [][2]string{{"2", ""}, {"0.0015", ""}, {"", "1"}, {"1/32", ""}} {
		_, err := fill(c[0], c[1])
		if err == nil || !strings.Contains(err.Error(), "without a unit, want a length such as 1mm") || !strings.Contains(strings.Join(survey.Hints(err), ""), "1mm or --") {
			t.Errorf("%q: %v %q", c, err, survey.Hints(err))
		}
	}
}

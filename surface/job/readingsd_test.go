package job

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/uncertainty"
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

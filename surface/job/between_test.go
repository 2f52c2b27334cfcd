package job

import (
	"fmt"
	"testing"
	"testing/fstest"

	"pourplane/surface/flatness"
)

// sparseShots are shots on a floor 6 by 5 m, apart metres from each other, with elevations spread over depth,
// m, from 10 m down.
func sparseShots(apart, depth float64) fstest.MapFS {
	text := "x (m),y (m),z (m)\n"
	n := 0
	for x := 0.1; x < 6; x += apart {
		for y := 0.1; y < 5; y += apart {
			text += fmt.Sprintf("%.3f,%.3f,%.4f\n", x, y, 10-depth*float64(n*7%5)/4)
			n++
		}
	}
	return fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": {Data: []byte("x_m,y_m\n0,0\n6,0\n6,5\n0,5\n")}}
}

// A dozen shots 2 m apart, all within 2 mm of the target, leave room for more between them: a pass at
// 5 mm could go either way, and the share of the floor within 3 mm has a range. What is read every 0.3 m
// and is as even leaves none. The range of each holds what was read.
func TestLevelHasWhatIsBetweenTheShots(t *testing.T) {
	for _, c := range []struct {
		apart float64
		doubt bool
	}{{1.9, true}, {0.3, false}} {
		j := judged(t, &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv", ReadingSD: "0.5mm", SetupSD: "0.5mm"}, Target: Target{Elevation: "9.999m"}}, FlatOptions{}, sparseShots(c.apart, 0.0025))
		seen := false
		for _, v := range j.Verdicts {
			if v.Row.Name == "nzs3109" && v.Row.Kind == flatness.ByDatum {
				seen = true
				if v.Outcome != flatness.Pass || v.InDoubt != c.doubt || v.High < v.Value {
					t.Errorf("shots %g m apart: %v, %.4f to %.4f m, doubt %v", c.apart, v.Outcome, v.Low, v.High, v.InDoubt)
				}
			}
		}
		low, high, known := j.WithinBetween()
		if !seen || !known || low > j.Off.Within || high < j.Off.Within || c.doubt && low > 0.99 {
			t.Errorf("shots %g m apart: %v, %.4f within, %.4f to %.4f", c.apart, known, j.Off.Within, low, high)
		}
	}
}

// Without what is known of the floor between the shots nothing passes; what the shots exceed fails.
func TestLevelUnknownBetweenTheShots(t *testing.T) {
	rows, _ := flatness.Choose(flatness.Limits(), "nzs3109")
	for value, want := range map[float64]flatness.Outcome{0.002: flatness.NotMeasured, 0.02: flatness.Fail} {
		for _, v := range flatness.Judge(flatness.Measured{Datum: &flatness.Reading{Value: value, Count: flatness.Count{N: 12}, Lack: flatness.BetweenNot}}, rows, flatness.Settings{}) {
			if v.Row.Kind == flatness.ByDatum && v.Outcome != want {
				t.Errorf("%g m: %v, want %v", value, v.Outcome, want)
			}
		}
	}
	// Nearly all floors that the shots allow exceed the limit: no pass.
	most := []float64{0.006, 0.007, 0.008, 0.009}
	for _, v := range flatness.Judge(flatness.Measured{Datum: &flatness.Reading{Value: 0.002, Between: &flatness.Between{Most: most}}}, rows, flatness.Settings{}) {
		if v.Row.Kind == flatness.ByDatum && (v.Outcome != flatness.NotMeasured || v.Lack != flatness.LikelyOut || v.High != 0.009) {
			t.Errorf("%v, %q, up to %g m", v.Outcome, v.Lack, v.High)
		}
	}
}

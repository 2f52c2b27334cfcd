package job

import (
	"fmt"
	"math"
	"testing"
	"testing/fstest"
)

// shotsOn writes shots of a room of 6 by 4 m every 0.3 m, with heights in m.
func shotsOn(z func(i, k int) float64) fstest.MapFS {
	text := "x (m),y (m),z (m)\n"
	for i := range 20 {
		for k := range 13 {
			text += fmt.Sprintf("%.3f,%.3f,%.4f\n", 0.15+0.3*float64(i), 0.2+0.3*float64(k), z(i, k))
		}
	}
	return fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": {Data: []byte("x_m,y_m\n0,0\n6,0\n6,4\n0,4\n")}}
}

// A stated error of the readings is used as stated, though they scatter less: the range of a
// value is at least that of one reading, here of three under an edge in the middle of it.
func TestStatedErrorIsUsed(t *testing.T) {
	const stated = 0.003
	files := shotsOn(func(i, k int) float64 {
		return 10 + 0.0008*math.Sin(2.4*float64(i*13+k)) + 0.0006*math.Cos(5.1*float64(i+7*k))
	})
	o := FlatOptions{Poured: true}
	of := func(sd string) *Judged {
		return judged(t, &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv", ReadingSD: sd}, Target: Target{Elevation: "10m"}}, o, files)
	}
	j := of("3mm")
	if j.ReadingSD != stated || j.scatter >= stated {
		t.Fatalf("used %g m, scatter %g m", j.ReadingSD, j.scatter)
	}
	e := j.Edges[0]
	if low, high := e.SureGap.Between(e.Gap); low != 0 || high < e.Gap+1.64*math.Sqrt(1.5)*stated {
		t.Errorf("gap %g m: %g to %g m", e.Gap, low, high)
	}
	for _, v := range j.Verdicts {
		if v.Row.Name == "bs8204-sr1" && !v.InDoubt {
			t.Errorf("%s: no doubt of a gap of %.4f m: %.4f to %.4f m", v.Row.Name, e.Gap, v.Low, v.High)
		}
	}
	assumed := of("")
	if assumed.ReadingSD >= assumed.Accuracy.Reading {
		t.Errorf("assumed: used %g m", assumed.ReadingSD)
	}
}

// Half of a floor 4.0 mm above its target and half as much below it, by readings with a stated
// error of 1 mm: a departure of 5 mm is not excluded.
func TestLevelHasTheStatedError(t *testing.T) {
	files := shotsOn(func(i, _ int) float64 { return 10.004 - 0.008*float64(i/10) })
	j := judged(t, &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv", ReadingSD: "1mm"}, Target: Target{Elevation: "10m"}}, FlatOptions{}, files)
	for _, v := range j.Verdicts {
		if v.Row.Name == "nzs3109" && (!v.InDoubt || v.High < v.Value+1.64*0.001) {
			t.Errorf("%.4f to %.4f m, doubt %v", v.Low, v.High, v.InDoubt)
		}
	}
}

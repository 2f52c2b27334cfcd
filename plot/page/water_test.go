package page

import (
	"math"
	"strings"
	"testing"
)

// A hollow of 20 mm in a level floor, a pyramid on a square whose corners are shots, is blue: half
// of 2 m × 2 m, to the drain at the level of the floor. A fall to another drain keeps no water.
func TestWaterWithoutTheKey(t *testing.T) {
	t.Parallel()
	bodies := [][]byte{
		[]byte("point,x (m),y (m),z (m),code\n1,0,0,9.9,\n2,4,0,9.9,\n3,4,3,9.9,\n4,0,3,9.9,\n5,2,1.5,9.88,\n6,1,1.5,9.9,\n7,3,1.5,9.9,\n8,2,0.5,9.9,\n9,2,2.5,9.9,\nD1,0.5,0.2,9.9,DRN\n"),
		[]byte("x_m,y_m\n0,0\n4,0\n4,3\n0,3\n"),
	}
	files := []File{{"room.csv", "room", int64(len(bodies[0]))}, {"walls.csv", "walls", int64(len(bodies[1]))}}
	for _, job := range []string{basin, strings.Split(basin, "[target]")[0]} {
		var e Engine
		r, _ := answered(t, &e, pack(Request{Ask: "water", Job: job, Files: files}, bodies))
		w := r.Water[0]
		if len(w.Shades) == 0 || len(w.Ponds) != 1 || w.Ponds[0].Text != "1: 20.0 mm" || w.Ponds[0].At != [2]float64{2, 1.5} || w.On != "Floor as surveyed" || w.Target {
			t.Fatalf("the water is %+v", w)
		}
		area := 0.0
		for _, loop := range w.Shades[0].Loops {
			for i, p := range loop {
				q := loop[(i+1)%len(loop)]
				area += (p[0]*q[1] - p[1]*q[0]) / 2
			}
		}
		if math.Abs(area-2) > 1e-3 {
			t.Errorf("%v m² are blue, want 2", area)
		}
		// A pyramid: a third of 2 m² × 20 mm.
		if row := strings.Join(w.Tables[0].Rows[0], "|"); !strings.Contains(row, "20.0 mm|2.00 m²|13 L|9.900 m|") {
			t.Errorf("the pond is %s", row)
		}
		if aimed := strings.Contains(job, "[target]"); aimed != (len(r.Water) == 2) || aimed && (!r.Water[1].Target || len(r.Water[1].Shades) != 0) {
			t.Errorf("the water is %+v", r.Water)
		}
	}
}

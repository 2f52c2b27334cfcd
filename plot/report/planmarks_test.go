package report

import (
	"math"
	"testing"
)

// Every plan of what is set out has the benchmark of the demo: BM1 at the west wall, 100 ft, 5'-9"
// from the south. BM2, whose elevation was read from BM1, is no benchmark.
func TestPlansHaveTheBenchmark(t *testing.T) {
	h := hall(t)
	for _, of := range [][3]bool{{true, false, false}, {false, true, false}, {false, false, true}} {
		marks := h.setOutMap(of[0], of[1], of[2]).Marks
		if len(marks) != 1 || marks[0].Name() != "BM1" || marks[0].X != 0 || math.Abs(marks[0].Y-5.75*0.3048) > 1e-9 || math.Abs(marks[0].Z-30.48) > 1e-9 {
			t.Errorf("%v: %v", of, marks)
		}
	}
}

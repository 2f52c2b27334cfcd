package delaunay

import "testing"

// Places within a few last bits of one line, on which a hull or a triangulation in plain
// floating point fails: the hull with a corner missing, a point in no triangle, an endless
// loop. Source: Kettner and others 2008, Classroom examples of robustness problems in
// geometric computations, Computational Geometry 40:61-78, section 4; coordinates from memory.
func TestClassroomExamples(t *testing.T) {
	for _, c := range [][][2]float64{
		{{7.3000000000000194, 7.3000000000000167}, {24.000000000000068, 24.000000000000071}, {24.00000000000005, 24.000000000000053},
			{0.50000000000001621, 0.50000000000001243}, {8, 4}, {4, 9}, {15, 27}, {25, 25}, {19, 11}},
		{{27.643564356435643, -21.881188118811881}, {83.366336633663366, 15.544554455445542}, {4, 4}, {73.415841584158414, 8.8613861386138595}},
		{{200, 49.200000000000003}, {100, 49.600000000000001}, {-233.33333333333334, 50.93333333333333}, {166.66666666666669, 49.333333333333336}},
		{{0.50000000000001243, 0.50000000000000189}, {0.50000000000001243, 0.50000000000000333}, {24.00000000000005, 24.000000000000053},
			{24.000000000000068, 24.000000000000071}, {17.300000000000001, 17.300000000000001}},
	} {
		var x, y []float64
		for _, p := range c {
			x, y = append(x, p[0]), append(y, p[1])
		}
		mustVerify(t, mustTriangulate(t, x, y))
	}
	const ulp = 0x1p-53
	x, y := []float64{12, 24}, []float64{12, 24}
	for i := range 64 {
		for j := range 64 {
			x, y = append(x, 0.5+float64(i)*ulp), append(y, 0.5+float64(j)*ulp)
		}
	}
	mustVerify(t, mustTriangulate(t, x, y))
}

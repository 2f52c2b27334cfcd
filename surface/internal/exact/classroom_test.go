package exact

import "testing"

// One point steps through 256 × 256 neighbouring float64 values beside a line through two
// others. Source: Kettner, Mehlhorn, Pion, Schirra, Yap 2008, Classroom examples of
// robustness problems in geometric computations, Computational Geometry 40:61-78, figure 2;
// the coordinates are from memory, the answers from fractions. As the article shows, plain
// floating point often gives the wrong side, here at a tenth of the places or more.
func TestClassroomExamplesOfOrient(t *testing.T) {
	const ulp = 0x1p-53 // of numbers from 0.5 to 1
	for _, c := range [][6]float64{
		{0.5, 0.5, 12, 12, 24, 24},
		{0.50000000000002531, 0.5000000000000171, 17.300000000000001, 17.300000000000001, 24.00000000000005, 24.0000000000000517765},
		{0.5, 0.5, 8.8000000000000007, 8.8000000000000007, 12.1, 12.1},
	} {
		plainWrong := 0
		for i := range 256 {
			for j := range 256 {
				p := c
				p[0] += float64(i) * ulp
				p[1] += float64(j) * ulp
				want := slowOrient(p)
				if got := Orient(p[0], p[1], p[2], p[3], p[4], p[5]); got != want {
					t.Fatalf("Orient(%v) = %d, want %d", p, got, want)
				}
				l := float64((p[2] - p[0]) * (p[5] - p[1]))
				if plain := sign(l - float64((p[3]-p[1])*(p[4]-p[0]))); plain != want {
					plainWrong++
				}
			}
		}
		if plainWrong < 256*256/10 {
			t.Errorf("from %v plain floating point is wrong at %d of %d places only", c, plainWrong, 256*256)
		}
	}
}

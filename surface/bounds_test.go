package surface

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"pourplane/survey"
)

// The share of a slope used at a wall, by the variance q that it adds there: all up to 9,
// none from 36, linear in between. For a scatter of 1 m² along each axis q is the square of
// the distance from its middle.
func TestSlopeUsed(t *testing.T) {
	s := scatter{w: 1, xx: 1, yy: 1}
	for _, c := range []struct{ q, used float64 }{{1, 1}, {9, 1}, {11.7, 0.9}, {22.5, 0.5}, {33.3, 0.1}, {36, 0}, {40, 0}} {
		if got := s.reach(Vec{X: math.Sqrt(c.q), Y: 0}).used[0]; math.Abs(got-c.used) > 1e-9 {
			t.Errorf("q %g: %g of the slope used, want %g", c.q, got, c.used)
		}
	}
}

// Two rows of 11 shots at y = ±0.1 m, and walls at ±w. By hand, the variance of the
// least-squares plane at a corner is 1/22 + 5²/220 + w²/(22·0.1²): 5.8² at w = 2.714 m and
// 6.2² at w = 2.902 m. From six times the uncertainty of a shot no plane is described.
func TestDescribeANarrowStrip(t *testing.T) {
	for _, c := range []struct {
		wall, times float64
		ok          bool
	}{{2.7139, 5.8, true}, {2.9016, 6.2, false}} {
		r := Region{Rings: [][]Vec{{{X: 0, Y: -c.wall}, {X: 10, Y: -c.wall}, {X: 10, Y: c.wall}, {X: 0, Y: c.wall}}}, TIN: &TIN{}}
		for i := range 22 {
			r.Shots = append(r.Shots, survey.Point{X: float64(i / 2), Y: 0.1 - 0.2*float64(i%2), Z: 10 + 0.001*float64(i%3)})
			r.TIN.Shot = append(r.TIN.Shot, int32(i))
		}
		if got := Uncertainty(r.Shots, r.Rings[0]); math.Abs(got-c.times) > 0.005 {
			t.Errorf("walls at %g m: %g times a shot, want %g", c.wall, got, c.times)
		}
		f := &Floor{Regions: []Region{r}, Used: 22}
		if _, err := f.Describe(); (err == nil) != c.ok || err != nil && !errors.Is(err, ErrNoPlane) {
			t.Errorf("walls at %g m: %v", c.wall, err)
		}
	}
}

// biweight returns the bound of Tukey's biweight, in standard deviations, for 95 %
// efficiency on normal errors: by its definition, (E ψ')² / E ψ² with ψ = x (1 − x²/c²)² up
// to c.
func biweight() float64 {
	efficiency := func(c float64) float64 {
		var slope, square float64
		const n = 2000
		for i := range n {
			x := c * (float64(i) + 0.5) / n
			u, p := x*x/c/c, math.Exp(-x*x/2)*2*c/n/math.Sqrt(2*math.Pi)
			slope += (1 - u) * (1 - 5*u) * p
			square += x * x * math.Pow(1-u, 4) * p
		}
		return slope * slope / square
	}
	lo, hi := 4.0, 6.0
	for range 50 {
		if c := (lo + hi) / 2; efficiency(c) < 0.95 {
			lo = c
		} else {
			hi = c
		}
	}
	return lo
}

// A shot has no weight in the robust plane from 4.685 standard deviations on (Holland and
// Welsch 1977, Communications in Statistics A6:813-827, from memory; by its definition
// here). Half of the other shots are 2 mm above the plane and half below, so the estimate
// from the median is 1.4826 times 2 mm.
func TestBoundOfTheRobustPlane(t *testing.T) {
	c := biweight()
	near(t, "bound for 95 %", c, 4.685, 5e-4)
	robust := func(d, at float64) float64 {
		var points []survey.Point
		for i := range 80 {
			points = append(points, survey.Point{X: float64(i % 8), Y: float64(i / 8), Z: d - 2*d*float64((i+i/8)%2)})
		}
		plane, _, err := RobustPlane(append(points, survey.Point{X: 3.5, Y: 4.5, Z: at}))
		if err != nil {
			t.Fatal(err)
		}
		return math.Abs(plane.Elevation(Vec{X: 3.5, Y: 4.5}))
	}
	bound := c * 1.4826 * 0.002
	if in, out := robust(0.002, 0.98*bound), robust(0.002, 1.01*bound); in < 1e-7 || out > 1e-9 {
		t.Errorf("a shot within %.5f m moves the plane by %g m, one beyond it by %g; want some and none", bound, in, out)
	}
	// If all others are exactly on a plane the bound is 0.1 mm.
	if in, out := robust(0, 0.00009), robust(0, 0.00011); in < 1e-8 || out > 1e-9 {
		t.Errorf("a shot within 0.1 mm moves the plane by %g m, one beyond it by %g; want some and none", in, out)
	}
}

// A wall's plane ignores a shot from 30 mm on.
func TestUnevenAtAWall(t *testing.T) {
	for z, counts := range map[float64]bool{0.029: true, 0.031: false} {
		var points []survey.Point
		for i := range 25 {
			points = append(points, survey.Point{X: float64(i % 5), Y: float64(i / 5)})
		}
		points[12].Z = z
		plane, _, _ := steadyPlane(Vec{X: 0, Y: 2}, points, slices.Repeat([]float64{1}, 25))
		if got := math.Abs(plane.Elevation(Vec{X: 2, Y: 2})); (got > 1e-8) != counts || !counts && got > 1e-12 {
			t.Errorf("a shot %g m high moves the plane by %g m; want it to count: %v", z, got, counts)
		}
	}
}

// Up to 100,000 shots are all fitted; of more, one per square of a grid.
func TestShotsThatAreFitted(t *testing.T) {
	for n, all := range map[int]bool{100_000: true, 100_001: false} {
		r := Region{Rings: [][]Vec{{{X: 0, Y: 0}, {X: 400, Y: 0}, {X: 400, Y: 251}, {X: 0, Y: 251}}}, TIN: &TIN{}}
		for i := range n {
			x, y := float64(i%400), float64(i/400)
			r.Shots = append(r.Shots, survey.Point{X: x, Y: y, Z: 0.01 * float64(i%3)})
			r.TIN.Shot = append(r.TIN.Shot, int32(i))
			r.TIN.X, r.TIN.Y, r.TIN.Z = append(r.TIN.X, x), append(r.TIN.Y, y), append(r.TIN.Z, 0)
		}
		d, err := (&Floor{Regions: []Region{r}, Used: n}).Describe()
		if err != nil || (d.Shots == n) != all || d.Shots < 1000 {
			t.Errorf("%d shots: fitted to %d, %v", n, d.Shots, err)
		}
	}
}

// A fit is refused if its equations are nearly singular, with a condition above 10⁷. Four
// shots at (±1, ±w) have columns at right angles: the condition is 1/w. For the second order
// it is found by singular values, which differ from the norm by up to a factor of 6.
func TestConditionOfFits(t *testing.T) {
	strip := func(w float64, at ...float64) []survey.Point {
		var points []survey.Point
		for _, x := range at {
			for _, y := range at {
				points = append(points, survey.Point{X: x, Y: w * y, Z: x * y})
			}
		}
		return points
	}
	for w, fits := range map[float64]bool{1.5e-7: true, 0.7e-7: false} {
		if _, _, err := FitPlane(strip(w, -1, 1)); (err == nil) != fits {
			t.Errorf("shots at 1 and %g m: %v", w, err)
		}
	}
	for w, fits := range map[float64]bool{1e-3: true, 3e-4: false} {
		points := strip(w, -1, 0, 1)
		a := mat.NewDense(len(points), 6, nil)
		for i, p := range points {
			a.SetRow(i, []float64{1, p.X, p.Y, p.X * p.X, p.X * p.Y, p.Y * p.Y})
		}
		var svd mat.SVD
		svd.Factorize(a, mat.SVDNone)
		cond := svd.Cond()
		if _, _, err := FitBowl(points); (err == nil) != fits || fits != (cond < 1e7) || cond < 1e6 || cond > 1e8 {
			t.Errorf("shots at 1 and %g m, condition %g: %v", w, cond, err)
		}
	}
}

// Cut lines reach up to 1000 km from the floor.
func TestFarthestCutLine(t *testing.T) {
	f := build(t, Data{Shots: shotsOn(0, 0, 9, 8, 0.75, sloped), Rings: []survey.Ring{room}})
	for y, cuts := range map[float64]bool{0.9999e6: true, 1.0001e6: false} {
		if _, err := f.Cut([][]Vec{line(1, -1, 1, y)}); (err == nil) != cuts || err != nil && !strings.Contains(err.Error(), "want places on or beside the floor") {
			t.Errorf("to y = %g m: %v", y, err)
		}
	}
}

// An edge has the name of the outline's wall if both its ends are within 0.1 mm of that
// wall.
func TestEdgesBesideANamedWall(t *testing.T) {
	wall := ringOf("", survey.Outer, 0, 0, 8, 0, 8, 6, 0, 6)
	wall.Walls = []string{"street", "", "", ""}
	f := &Floor{Data: Data{Rings: []survey.Ring{wall}}}
	for off, named := range map[float64]bool{0.00009: true, 0.00011: false} {
		for _, e := range [][2]Vec{{{X: 1, Y: off}, {X: 7, Y: 0}}, {{X: 1, Y: 0}, {X: 7, Y: -off}}, {{X: -off, Y: 0}, {X: 7, Y: 0}}, {{X: 1, Y: 0}, {X: 8 + off, Y: 0}}} {
			if got := f.wallName(e[0], e[1]); (got == "street") != named {
				t.Errorf("from %v to %v: %q", e[0], e[1], got)
			}
		}
	}
}

// A threshold is at a wall up to 0.4 m away, the reveal of a thick wall.
func TestThresholdsBesideAWall(t *testing.T) {
	for off, at := range map[float64]bool{0.39: true, 0.41: false} {
		for _, side := range []float64{1, -1} {
			f := &Floor{Thresholds: []survey.Point{survey.Point{X: 3, Y: side * off}.Named("D1")}}
			if got := f.doorsAt(Vec{X: 0, Y: 0}, Vec{X: 8, Y: 0}); slices.Contains(got, "D1") != at {
				t.Errorf("%g m from the wall: %v", side*off, got)
			}
		}
	}
}

package surface

import (
	"errors"
	"math"
	"testing"

	"pourplane/survey"
)

// norris is the data set of that name in the NIST Statistical Reference
// Datasets, linear regression: y, x.
var norris = [][2]float64{
	{0.1, 0.2}, {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1}, {228.1, 226.5},
	{668.5, 666.3}, {998.5, 996.3}, {449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4},
	{0.1, 0.6}, {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0}, {448.9, 447.5}, {10.8, 11.6},
	{557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3},
	{0.6, 0.3}, {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2}, {998.5, 999.0}, {778.9, 779.0},
	{10.2, 11.1}, {117.6, 118.3}, {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5},
}

// digits returns how many significant digits of certified got has.
func digits(got, certified float64) float64 {
	if got == certified {
		return 16
	}
	if certified == 0 {
		return -math.Log10(math.Abs(got))
	}
	return -math.Log10(math.Abs(got-certified) / math.Abs(certified))
}

func TestDigitsRejectsAWrongValue(t *testing.T) {
	if d := digits(1.0021168, 1.0021170); d > 7 || d < 6 {
		t.Errorf("digits = %g for a value wrong in the seventh, want 6 to 7", d)
	}
}

// Certified values: NIST StRD, linear regression, Norris, 15 digits. Every point is used
// twice, at north 0 and at north 1, so a plane must return the certified line and no slope
// to the north.
func TestFitPlaneAgainstCertifiedRegression(t *testing.T) {
	var points []survey.Point
	for _, p := range norris {
		points = append(points, survey.Point{X: p[1], Y: 0, Z: p[0]}, survey.Point{X: p[1], Y: 1, Z: p[0]})
	}
	plane, sd, err := FitPlane(points)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name           string
		got, certified float64
		digits         float64
	}{
		// The intercept is a difference of large terms and loses two digits.
		{"intercept", plane.Elevation(Vec{X: 0, Y: 0}), -0.262323073774029, 12},
		{"slope", plane.SlopeX, 1.00211681802045, 14},
		// 34 degrees of freedom certified, 69 here for the same residuals twice.
		{"residual standard deviation", sd * math.Sqrt(69.0/(2*34)), 0.884796396144373, 13},
	} {
		if d := digits(c.got, c.certified); d < c.digits {
			t.Errorf("%s = %.15g, certified %.15g: %.1f digits, want %g", c.name, c.got, c.certified, d, c.digits)
		}
	}
	if math.Abs(plane.SlopeY) > 1e-12 {
		t.Errorf("slope to the north = %g, want 0", plane.SlopeY)
	}
}

// Published plane: cement data of Hald in Draper and Smith, Applied Regression
// Analysis: z = 52.58 + 1.468 x1 + 0.662 x2, residual sum of squares 57.90. The
// data are from memory; that they give the published fit confirms them.
func TestFitPlaneAgainstPublishedRegression(t *testing.T) {
	x1 := []float64{7, 1, 11, 11, 7, 11, 3, 1, 2, 21, 1, 11, 10}
	x2 := []float64{26, 29, 56, 31, 52, 55, 71, 31, 54, 47, 40, 66, 68}
	z := []float64{78.5, 74.3, 104.3, 87.6, 95.9, 109.2, 102.7, 72.5, 93.1, 115.9, 83.8, 113.3, 109.4}
	var points []survey.Point
	for i := range z {
		points = append(points, survey.Point{X: x1[i], Y: x2[i], Z: z[i]})
	}
	plane, sd, err := FitPlane(points)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		got, want float64
		within    float64
	}{
		{"constant", plane.Elevation(Vec{X: 0, Y: 0}), 52.58, 0.005},
		{"x1", plane.SlopeX, 1.468, 0.0005},
		{"x2", plane.SlopeY, 0.662, 0.0005},
		{"residual sum of squares", sd * sd * 10, 57.90, 0.005},
	} {
		if math.Abs(c.got-c.want) > c.within {
			t.Errorf("%s = %.6f, published %g", c.name, c.got, c.want)
		}
	}
}

// Grid coordinates of 10⁸ m cost no accuracy: the same room there has the same plane. Normal
// equations on raw coordinates would be wrong by 0.5 m.
func TestFitPlaneFarOut(t *testing.T) {
	for _, far := range []float64{0, 5e5, 5e7} {
		var points []survey.Point
		for i := range 7 {
			for j := range 5 {
				x, y := float64(i)*8, float64(j)*8
				points = append(points, survey.Point{X: far + x, Y: 9*far + y, Z: 10 + x/1024 - y/512})
			}
		}
		plane, sd, err := FitPlane(points)
		if err != nil {
			t.Fatal(err)
		}
		if d := math.Abs(plane.Elevation(Vec{X: far + 48, Y: 9*far + 32}) - (10 + 48.0/1024 - 32.0/512)); d > 1e-12 || sd > 1e-12 {
			t.Errorf("at %g m: plane off by %g m, residuals %g m", far, d, sd)
		}
	}
}

func TestFitPlaneRefusesARow(t *testing.T) {
	row := []survey.Point{{X: 0, Y: 0, Z: 1}, {X: 1, Y: 2, Z: 1}, {X: 2, Y: 4, Z: 3}, {X: 5, Y: 10, Z: 2}}
	for n := range len(row) + 1 {
		if _, _, err := FitPlane(row[:n]); !errors.Is(err, ErrNoPlane) {
			t.Errorf("%d points in a row: error %v, want ErrNoPlane", n, err)
		}
	}
	same := []survey.Point{{X: 3, Y: 3}, {X: 3, Y: 3}, {X: 3, Y: 3}}
	if _, _, err := FitPlane(same); !errors.Is(err, ErrNoPlane) {
		t.Errorf("three points at one place: error %v, want ErrNoPlane", err)
	}
}

func TestFallingGoesDownTowardsTheDrain(t *testing.T) {
	p, err := Falling(10, 0.02, Vec{X: 0, Y: 0}, Vec{X: 0, Y: 0}, Vec{X: 3, Y: 4})
	if err != nil {
		t.Fatal(err)
	}
	if z := p.Elevation(Vec{X: 3, Y: 4}); math.Abs(z-9.9) > 1e-15 {
		t.Errorf("5 m along a 2 %% fall: %g m, want 9.9", z)
	}
	if z := p.Elevation(Vec{X: -4, Y: 3}); math.Abs(z-10) > 1e-15 {
		t.Errorf("across the fall: %g m, want 10", z)
	}
	if _, err := Falling(10, 0.02, Vec{}, Vec{X: 1, Y: 1}, Vec{X: 1, Y: 1}); err == nil {
		t.Error("a fall from a place to itself gave no error")
	}
}

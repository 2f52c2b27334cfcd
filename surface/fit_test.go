package surface

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/survey"
)

// Certified values: NIST StRD, linear regression, Pontius (quadratic, 40
// observations, x = 150 000 k). The data are from memory; that they give the
// certified values to ten digits confirms them. Each is taken at north −1, 0 and
// 1, so that a second-order surface must return the certified parabola.
func TestFitBowlAgainstCertifiedParabola(t *testing.T) {
	y := []float64{
		.11019, .21956, .32949, .43899, .54803, .65694, .76562, .87487, .98292, 1.09146,
		1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
		.11052, .22018, .32939, .43886, .54798, .65739, .76596, .87474, .98300, 1.09150,
		1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
	}
	const scale = 1e6 // the two axes must be of one size for a floor
	var points []survey.Point
	for i, z := range y {
		for v := -1.0; v <= 1; v++ {
			points = append(points, survey.Point{X: 150000 * float64(i%20+1) / scale, Y: v, Z: z})
		}
	}
	b, sd, err := FitBowl(points)
	if err != nil {
		t.Fatal(err)
	}
	at := func(x float64) float64 { return b.Elevation(Vec{X: x, Y: 0}) }
	c0 := at(0)
	c1 := (at(1) - at(-1)) / 2 / scale
	c2 := ((at(1)+at(-1))/2 - c0) / scale / scale
	for _, c := range []struct {
		name           string
		got, certified float64
		digits         float64
	}{
		{"constant", c0, 0.673565789473684e-3, 9},
		{"linear", c1, 0.732059160401003e-6, 12},
		{"quadratic", c2, -0.316081871345029e-14, 10},
		{"residual standard deviation", sd * math.Sqrt((120-6)/(3.0*37)), 0.205177424076185e-3, 10},
	} {
		if d := digits(c.got, c.certified); d < c.digits {
			t.Errorf("%s = %.15g, certified %.15g: %.1f digits, want %g", c.name, c.got, c.certified, d, c.digits)
		}
	}
	near(t, "slope across", b.Elevation(Vec{X: 1, Y: 1})-b.Elevation(Vec{X: 1, Y: -1}), 0, 1e-12)
	if _, _, err := FitBowl(points[:6]); !errors.Is(err, ErrNoPlane) {
		t.Errorf("six points: error %v", err)
	}
	if _, _, err := FitBowl(points[:3:3]); !errors.Is(err, ErrNoPlane) {
		t.Errorf("three points: error %v", err)
	}
}

// One rod reading a foot wrong tilts the least-squares plane but not the robust one.
func TestMisreadRodDoesNotTiltTheRobustPlane(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	shots := shotsOn(0, 0, 10, 8, 1, func(x, y float64) float64 { return sloped(x, y) + 0.002*rng.NormFloat64() })
	clean, _, err := FitPlane(shots)
	if err != nil {
		t.Fatal(err)
	}
	shots[10].Z -= 0.3048
	tilted, _, _ := FitPlane(shots)
	robust, spread, err := RobustPlane(shots)
	if err != nil {
		t.Fatal(err)
	}
	tilt := func(p Plane) float64 { return math.Hypot(p.SlopeX-clean.SlopeX, p.SlopeY-clean.SlopeY) }
	if tilt(robust) > 5e-5 || tilt(tilted) < 5e-4 {
		t.Errorf("robust plane tilted by %.6f, least squares by %.6f", tilt(robust), tilt(tilted))
	}
	near(t, "spread", spread, 0.002, 0.0006)
	exact := shotsOn(0, 0, 10, 8, 1, sloped)
	exact[40].Z += 1
	p, _, err := RobustPlane(exact)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope of a plane with one shot off it", p.SlopeX, 0.004, 1e-9)
}

// wavy makes an invented floor: a tilt, a broad dish and short waves, shot with a
// rod read to 1/16 in.
func wavy(rng *rand.Rand, step float64) []survey.Point {
	tilt, dish := 0.002*rng.NormFloat64(), 0.015*rng.Float64()
	type wave struct{ kx, ky, phase float64 }
	var waves []wave
	for range 40 {
		waves = append(waves, wave{rng.NormFloat64() / 1.2, rng.NormFloat64() / 1.2, 2 * math.Pi * rng.Float64()})
	}
	return shotsOn(0.1, 0.1, 10.9, 8.5, step, func(x, y float64) float64 {
		z := 10 + tilt*x - dish*math.Exp(-((x-6)*(x-6)+(y-4)*(y-4))/8)
		for _, w := range waves {
			z += 0.003 * math.Sqrt(2.0/40) * math.Cos(w.kx*x+w.ky*y+w.phase)
		}
		z += 0.0005 * rng.NormFloat64()
		const sixteenth = 0.0254 / 16
		return math.Round(z/sixteenth) * sixteenth
	})
}

func TestDescribeDoesNotDependOnTheOrderOfRows(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	shots := wavy(rng, 0.7)
	a, err := build(t, Data{Shots: slices.Clone(shots)}).Describe()
	if err != nil {
		t.Fatal(err)
	}
	rng.Shuffle(len(shots), func(i, j int) { shots[i], shots[j] = shots[j], shots[i] })
	b, err := build(t, Data{Shots: shots}).Describe()
	if err != nil {
		t.Fatal(err)
	}
	a.Worst, b.Worst = a.Worst.With(survey.Tag{}), b.Worst.With(survey.Tag{})
	if a != b {
		t.Errorf("%+v\n%+v", a, b)
	}
	if a.BowlSD >= a.PlaneSD {
		t.Errorf("a dish is fitted no better by a bowl (%g) than by a plane (%g)", a.BowlSD, a.PlaneSD)
	}
}

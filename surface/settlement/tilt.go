package settlement

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Tilt is the plane fitted to the changes: which way the floor as a whole leans more than
// before. No error of a set-up is in it.
type Tilt struct {
	East, North     float64 // rise per metre
	EastSD, NorthSD float64
	SlopeSD         float64 // of [Tilt.Slope], to first order in the errors; the greater of the two where there is no slope
	SlopeHalf       float64 // half the width of the 90 % interval of [Tilt.Slope]
	Scatter         float64 // m, standard deviation of the changes about the plane, or of the readings if that is more
	F               float64 // of both slopes together
	Alone           float64 // p-value of F, looked at alone
	P               float64 // corrected, as in [Comparison]
	Level           Level
}

// Slope returns the steepest rise per metre.
func (t *Tilt) Slope() float64 { return math.Hypot(t.East, t.North) }

// tiltOf fits the plane.
func tiltOf(places []Place, of []PlaceChange, reading float64) *Tilt {
	x, y, z := make([]float64, len(of)), make([]float64, len(of)), make([]float64, len(of))
	for i, p := range of {
		x[i], y[i], z[i] = places[p.Index].X, places[p.Index].Y, p.Total.Change
	}
	return FitTilt(x, y, z, reading)
}

// FitTilt fits z = c + East·x + North·y by least squares, with the standard deviations of
// the slopes and the F-test that both are 0. The scatter about the plane is taken as at
// least least. It returns nil for fewer than four places or places (nearly) in one line.
//
// Source: Draper and Smith, Applied Regression Analysis: F is the mean square of the
// regression, 2 degrees of freedom, over the mean square of the residuals, n − 3.
func FitTilt(x, y, z []float64, least float64) *Tilt {
	n := len(x)
	if n < 4 {
		return nil
	}
	mx, my, mz := mean(x), mean(y), mean(z)
	scale := 0.0
	for i := range x {
		scale = max(scale, math.Abs(x[i]-mx), math.Abs(y[i]-my))
	}
	if scale == 0 {
		return nil
	}
	a, b := mat.NewDense(n, 2, nil), mat.NewVecDense(n, nil)
	for i := range x {
		a.SetRow(i, []float64{(x[i] - mx) / scale, (y[i] - my) / scale})
		b.SetVec(i, z[i]-mz)
	}
	var qr mat.QR
	qr.Factorize(a)
	if cond := qr.Cond(); math.IsNaN(cond) || cond > 1e7 {
		return nil
	}
	var k mat.VecDense
	if err := qr.SolveVecTo(&k, false, b); err != nil {
		return nil
	}
	var squares, explained float64
	for i := range n {
		f := a.At(i, 0)*k.AtVec(0) + a.At(i, 1)*k.AtVec(1)
		squares += (b.AtVec(i) - f) * (b.AtVec(i) - f)
		explained += f * f
	}
	t := &Tilt{East: k.AtVec(0) / scale, North: k.AtVec(1) / scale}
	scatter := math.Sqrt(squares / float64(n-3))
	t.Scatter = max(scatter, least)
	var r mat.Dense
	qr.RTo(&r)
	r00, r01, r11 := r.At(0, 0), r.At(0, 1), r.At(1, 1)
	// (RᵀR)⁻¹ of two columns, written out.
	t.EastSD = t.Scatter * math.Hypot(1, r01/r11) / math.Abs(r00) / scale
	t.NorthSD = t.Scatter / math.Abs(r11) / scale
	t.SlopeSD = max(t.EastSD, t.NorthSD)
	if s := t.Slope(); s > 0 {
		u, v := t.East/s, t.North/s
		covariance := -t.Scatter * t.Scatter * r01 / (r00 * r11 * r11) / (scale * scale)
		t.SlopeSD = math.Sqrt(max(0, u*u*t.EastSD*t.EastSD+v*v*t.NorthSD*t.NorthSD+2*u*v*covariance))
	}
	// The scatter has n − 3 degrees of freedom; the least one is known.
	t.SlopeHalf = t.SlopeSD / t.Scatter * max(times90(float64(n-3))*scatter, Interval90*least)
	t.F = explained / 2 / (t.Scatter * t.Scatter)
	t.Alone = 1
	if !math.IsNaN(t.F) {
		t.Alone = distuv.F{D1: 2, D2: float64(n - 3)}.Survival(t.F)
	}
	return t
}

func mean(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s / float64(len(v))
}

package surface

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// Plane is z = Z + SlopeX·(x − At.X) + SlopeY·(y − At.Y): a target, or a fit.
type Plane struct {
	At     Vec
	Z      float64 // m, at At
	SlopeX float64 // rise per metre to the east
	SlopeY float64 // rise per metre to the north
}

// Horizontal returns the level plane at elevation z.
func Horizontal(z float64) Plane { return Plane{Z: z} }

// Level reports whether p has one elevation everywhere.
func (p Plane) Level() bool { return p.SlopeX == 0 && p.SlopeY == 0 }

// Elevation returns the elevation of the plane at a place, m. A level plane has one even if
// the place is not known (NaN).
func (p Plane) Elevation(at Vec) float64 {
	if p.Level() {
		return p.Z
	}
	return p.Z + float64(p.SlopeX*(at.X-p.At.X)) + float64(p.SlopeY*(at.Y-p.At.Y))
}

// Lowered returns p moved down by h metres.
func (p Plane) Lowered(h float64) Plane {
	p.Z -= h
	return p
}

// Falling returns the plane with elevation z at the place high that falls by fall (rise over
// run, ≥ 0) in the direction from one place toward another. The two places must differ.
func Falling(z, fall float64, high, from, toward Vec) (Plane, error) {
	d := from.Distance(toward)
	if d == 0 {
		return Plane{}, errors.New("the fall has no direction: it starts and ends at one place")
	}
	return Plane{
		At: high, Z: z,
		// From zero, so that no slope is −0.
		SlopeX: 0 - fall*(toward.X-from.X)/d,
		SlopeY: 0 - fall*(toward.Y-from.Y)/d,
	}, nil
}

// ErrNoPlane is returned by [FitPlane] when the points do not determine a plane: fewer than
// three, or all (nearly) on one line in plan.
var ErrNoPlane = errors.New("the points do not carry a plane: three are needed that are not on one line")

// FitPlane returns the least-squares plane through points: it minimises the sum of squared
// vertical distances. At is the mean place. The second result is the standard deviation of
// the residuals on n − 3 degrees of freedom, 0 for three points.
//
// The places are shifted to the first point, then to their mean, and scaled before the QR
// decomposition, so that grid coordinates of 10⁶ m cost no accuracy. A decomposition that
// gonum reports as ill-conditioned is refused.
func FitPlane(points []survey.Point) (Plane, float64, error) {
	return fitPlane(points, nil)
}

// Uncertainty returns how many times as uncertain as one point the least-squares plane
// through points is, at the worst of places: the root of 1/n + dᵀ S⁻¹ d, see [FitPlane]. It
// is infinite for points on one line.
//
// Source: Draper and Smith, Applied Regression Analysis, variance of a predicted mean.
func Uncertainty(points []survey.Point, places []Vec) float64 {
	weight := make([]float64, len(points))
	for i := range weight {
		weight[i] = 1
	}
	s := scatterOf(points, weight)
	worst := 0.0
	for _, p := range places {
		worst = max(worst, s.reach(p).variance())
	}
	return math.Sqrt(worst)
}

// fitPlane is [FitPlane] with a weight per point; nil weights all equally.
func fitPlane(points []survey.Point, weight []float64) (Plane, float64, error) {
	n := len(points)
	if n < 3 {
		return Plane{}, 0, ErrNoPlane
	}
	w := func(i int) float64 {
		if weight == nil {
			return 1
		}
		return weight[i]
	}
	first := points[0]
	var sw, sx, sy, sz sum.Sum
	for i, p := range points {
		sw.Add(w(i))
		sx.Add(w(i) * (p.X - first.X))
		sy.Add(w(i) * (p.Y - first.Y))
		sz.Add(w(i) * (p.Z - first.Z))
	}
	mx, my, mz := sx.Value()/sw.Value(), sy.Value()/sw.Value(), sz.Value()/sw.Value()
	scale := 0.0
	for _, p := range points {
		scale = max(scale, math.Abs(p.X-first.X-mx), math.Abs(p.Y-first.Y-my))
	}
	if scale == 0 {
		return Plane{}, 0, ErrNoPlane
	}
	a := mat.NewDense(n, 3, nil)
	b := mat.NewVecDense(n, nil)
	for i, p := range points {
		root := math.Sqrt(w(i))
		a.SetRow(i, []float64{root, root * (p.X - first.X - mx) / scale, root * (p.Y - first.Y - my) / scale})
		b.SetVec(i, root*(p.Z-first.Z-mz))
	}
	var qr mat.QR
	qr.Factorize(a)
	if cond := qr.Cond(); math.IsNaN(cond) || cond > 1e7 {
		return Plane{}, 0, ErrNoPlane
	}
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, b); err != nil {
		return Plane{}, 0, ErrNoPlane
	}
	plane := Plane{
		At: Vec{X: first.X + mx, Y: first.Y + my}, Z: first.Z + mz + x.AtVec(0),
		SlopeX: x.AtVec(1) / scale, SlopeY: x.AtVec(2) / scale,
	}
	var squares sum.Sum
	for i := range n {
		// Residuals from the centred system: with grid coordinates they would round.
		r := b.AtVec(i)
		for j := range 3 {
			r -= float64(a.At(i, j) * x.AtVec(j))
		}
		squares.Add(r * r)
	}
	if n == 3 {
		return plane, 0, nil
	}
	return plane, math.Sqrt(squares.Value() / float64(n-3)), nil
}

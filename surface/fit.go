package surface

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"pourplane/surface/internal/plan"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// SpreadOfMedian times the median residual is the standard deviation of normal errors.
const SpreadOfMedian = 1.4826

// RobustPlane returns the plane that most of the points are near, and a standard deviation,
// m. It is an M-estimate with Tukey's biweight, with a bound of 4.685 standard deviations;
// the standard deviation is estimated from the median residual (Huber and Ronchetti, Robust
// Statistics; the constants give 95 % efficiency on normal errors). A misread rod does not
// tilt the plane.
func RobustPlane(points []survey.Point) (Plane, float64, error) {
	plane, _, err := FitPlane(points)
	if err != nil {
		return plane, 0, err
	}
	w := make([]float64, len(points))
	off := make([]float64, len(points))
	spread := 0.0
	for range 30 {
		for i, p := range points {
			off[i] = math.Abs(p.Z - plane.Elevation(Vec{X: p.X, Y: p.Y}))
		}
		spread = SpreadOfMedian * median(off)
		bound := max(4.685*spread, 1e-4) // points that lie on a plane exactly have no spread
		for i, p := range points {
			r := (p.Z - plane.Elevation(Vec{X: p.X, Y: p.Y})) / bound
			w[i] = math.Pow(max(0, 1-r*r), 2)
		}
		again, ok := quickPlane(points, w)
		if !ok {
			break // the remaining points are in a row
		}
		moved := math.Abs(again.Elevation(plane.At)-plane.Z) + math.Hypot(again.SlopeX-plane.SlopeX, again.SlopeY-plane.SlopeY)
		plane = again
		if moved < 1e-9 {
			break
		}
	}
	return plane, spread, nil
}

// median returns the middle value of v, the mean of the two for an even count. It sorts v.
func median(v []float64) float64 {
	slices.Sort(v)
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}

// Bowl is a surface of second order: z = c0 + c1 u + c2 v + c3 u² + c4 uv + c5 v²
// with u = (x − At.X)/Scale and v = (y − At.Y)/Scale.
type Bowl struct {
	At    Vec
	Scale float64 // m
	Coef  [6]float64
}

// Elevation returns the elevation of b at a place, m.
func (b Bowl) Elevation(at Vec) float64 {
	u, v := (at.X-b.At.X)/b.Scale, (at.Y-b.At.Y)/b.Scale
	z := 0.0
	for i, t := range [6]float64{1, u, v, u * u, u * v, v * v} {
		z += float64(b.Coef[i] * t)
	}
	return z
}

// FitBowl returns the second-order least-squares surface through points and the standard
// deviation of the residuals on n − 6 degrees of freedom. The places are centred and scaled
// before the QR decomposition. The error is [ErrNoPlane] for fewer than seven points, or for
// points on one conic.
func FitBowl(points []survey.Point) (Bowl, float64, error) {
	n := len(points)
	if n < 7 {
		return Bowl{}, 0, ErrNoPlane
	}
	first := points[0]
	var sx, sy sum.Sum
	for _, p := range points {
		sx.Add(p.X - first.X)
		sy.Add(p.Y - first.Y)
	}
	b := Bowl{At: Vec{X: first.X + sx.Value()/float64(n), Y: first.Y + sy.Value()/float64(n)}}
	for _, p := range points {
		b.Scale = max(b.Scale, math.Abs(p.X-b.At.X), math.Abs(p.Y-b.At.Y))
	}
	if b.Scale == 0 {
		return Bowl{}, 0, ErrNoPlane
	}
	a := mat.NewDense(n, 6, nil)
	z := mat.NewVecDense(n, nil)
	for i, p := range points {
		u, v := (p.X-b.At.X)/b.Scale, (p.Y-b.At.Y)/b.Scale
		a.SetRow(i, []float64{1, u, v, u * u, u * v, v * v})
		z.SetVec(i, p.Z-first.Z)
	}
	var qr mat.QR
	qr.Factorize(a)
	if cond := qr.Cond(); math.IsNaN(cond) || cond > 1e7 {
		return Bowl{}, 0, ErrNoPlane
	}
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, z); err != nil {
		return Bowl{}, 0, ErrNoPlane
	}
	var squares sum.Sum
	for i := range n {
		r := z.AtVec(i)
		for j := range 6 {
			r -= float64(a.At(i, j) * x.AtVec(j))
		}
		squares.Add(r * r)
	}
	for j := range 6 {
		b.Coef[j] = x.AtVec(j)
	}
	b.Coef[0] += first.Z
	return b, math.Sqrt(squares.Value() / float64(n-6)), nil
}

// Found describes the shape of the floor as a whole, as it was found.
type Found struct {
	Shots   int // used for the fits; see Floor.Describe
	Plane   Plane
	PlaneSD float64 // m, of the residuals
	Robust  Plane
	Spread  float64 // m, standard deviation from the median residual from Robust
	Worst   survey.Point
	Off     float64 // m, height of Worst above Robust; negative below
	HasBowl bool
	Bowl    Bowl
	BowlSD  float64 // m
}

// mostFitted is the max number of shots used for the fits: more would not change them.
const mostFitted = 100_000

// Describe fits a plane, a robust plane and a second-order surface to the shots of f. From
// more than a hundred thousand shots it takes one per square of a coarse grid. The error is
// [ErrNoPlane], also for shots in a strip so narrow that the plane at a corner of the floor
// is more than six times as uncertain as a shot.
func (f *Floor) Describe() (Found, error) {
	var points []survey.Point
	if f.Used > mostFitted {
		points = f.thinned()
	} else {
		for _, r := range f.Regions {
			for _, i := range r.TIN.Shot {
				if i >= 0 {
					points = append(points, r.Shots[i])
				}
			}
		}
	}
	// The order of rows must not change the last bits.
	slices.SortFunc(points, func(a, b survey.Point) int {
		if (Vec{X: a.X, Y: a.Y}).Less(Vec{X: b.X, Y: b.Y}) {
			return -1
		}
		return 1
	})
	out := Found{Shots: len(points)}
	var corners []Vec
	for _, r := range f.Regions {
		corners = append(corners, r.Rings[0]...)
	}
	var err error
	if len(points) > 0 && Uncertainty(points, corners) > 6 {
		return out, ErrNoPlane
	}
	if out.Plane, out.PlaneSD, err = FitPlane(points); err != nil {
		return out, err
	}
	if out.Robust, out.Spread, err = RobustPlane(points); err != nil {
		return out, err
	}
	for i, p := range points {
		if d := p.Z - out.Robust.Elevation(Vec{X: p.X, Y: p.Y}); i == 0 || math.Abs(d) > math.Abs(out.Off) {
			out.Worst, out.Off = p, d
		}
	}
	out.Bowl, out.BowlSD, err = FitBowl(points)
	out.HasBowl = err == nil
	return out, nil
}

// thinned returns one shot per square of a coarse grid over each region.
func (f *Floor) thinned() []survey.Point {
	var out []survey.Point
	for _, r := range f.Regions {
		t := r.TIN
		for _, v := range plan.Thin(coarse, len(t.Z), func(v int) (Vec, bool) { return Vec{X: t.X[v], Y: t.Y[v]}, t.Shot[v] >= 0 }) {
			out = append(out, r.Shots[t.Shot[v]])
		}
	}
	return out
}

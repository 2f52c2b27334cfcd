package best

import (
	"math"
	"math/rand/v2"
)

// most is the max number of unknowns of a linear programme: a plane, and one more.
const most = 4

type point [most]float64

func (a *point) dot(b *point) float64 {
	return float64(a[0]*b[0]) + float64(a[1]*b[1]) + float64(a[2]*b[2]) + float64(a[3]*b[3])
}

// row is a linear limit: a·x ≤ b.
type row struct {
	a point
	b float64
}

const (
	// overLine is by how much a row may be missed, of a problem whose box is 1.
	overLine = 1e-14
	// parallel is how much of a row must be left after an unknown is eliminated.
	parallel = 1e-12
)

// maximise returns the x in the box |x_i| ≤ 1 with the greatest c·x that keeps all rows, and
// false if there is none. n is the number of unknowns.
//
// Method: Seidel 1991, Discrete & Computational Geometry 6:423-434. The rows are taken in an
// order drawn with a fixed seed, so the result is the same each time.
func maximise(n int, c point, rows []row) (point, bool) {
	mixed := make([]row, len(rows))
	for i, k := range rand.New(rand.NewPCG(1, 2)).Perm(len(rows)) {
		mixed[i] = rows[k]
	}
	return climb(n, c, mixed)
}

func climb(n int, c point, rows []row) (x point, ok bool) {
	if n == 1 {
		return alongLine(c, rows)
	}
	for i := range n {
		if c[i] != 0 {
			x[i] = math.Copysign(1, c[i])
		}
	}
	for i := range rows {
		r := &rows[i]
		if r.a.dot(&x) <= r.b+overLine {
			continue
		}
		j := 0
		for k := 1; k < n; k++ {
			if math.Abs(r.a[k]) > math.Abs(r.a[j]) {
				j = k
			}
		}
		if math.Abs(r.a[j]) < parallel {
			if r.b < -parallel {
				return x, false
			}
			continue
		}
		less := make([]row, 0, i+2)
		for _, side := range []float64{1, -1} {
			var b row
			b.a[j], b.b = side, 1
			less = append(less, b.without(r, j, n))
		}
		for k := range i {
			less = append(less, rows[k].without(r, j, n))
		}
		y, ok := climb(n-1, (&row{a: c}).without(r, j, n).a, less)
		if !ok {
			return x, false
		}
		left := r.b
		for k, m := 0, 0; k < n; k++ {
			if k == j {
				continue
			}
			x[k] = y[m]
			left -= float64(r.a[k] * y[m])
			m++
		}
		x[j] = left / r.a[j]
	}
	return x, true
}

// without returns r on the line of row by, from which unknown j is eliminated.
func (r *row) without(by *row, j, n int) (out row) {
	f := r.a[j] / by.a[j]
	for k, m := 0, 0; k < n; k++ {
		if k != j {
			out.a[m] = r.a[k] - float64(f*by.a[k])
			m++
		}
	}
	out.b = r.b - float64(f*by.b)
	return out
}

// alongLine solves a problem of one unknown.
func alongLine(c point, rows []row) (x point, ok bool) {
	lo, hi := -1.0, 1.0
	for i := range rows {
		switch a, b := rows[i].a[0], rows[i].b; {
		case a > parallel:
			hi = min(hi, b/a)
		case a < -parallel:
			lo = max(lo, b/a)
		case b < -parallel:
			return x, false
		}
	}
	if lo > hi+1e-11 {
		return x, false
	}
	switch {
	case c[0] > parallel:
		x[0] = hi
	case c[0] < -parallel:
		x[0] = lo
	default:
		x[0] = min(max(0, lo), hi)
	}
	return x, true
}

// linear solves a·x = b of n ≤ 4 unknowns by elimination with row exchange, and reports false for
// a matrix that is singular but for rounding.
func linear(n int, a [most]point, b point) (point, bool) {
	var x point
	top := 0.0
	for i := range n {
		for j := range n {
			top = max(top, math.Abs(a[i][j]))
		}
	}
	for i := range n {
		p := i
		for k := i + 1; k < n; k++ {
			if math.Abs(a[k][i]) > math.Abs(a[p][i]) {
				p = k
			}
		}
		if !(math.Abs(a[p][i]) > 1e-13*top) {
			return x, false
		}
		a[i], a[p] = a[p], a[i]
		b[i], b[p] = b[p], b[i]
		for k := i + 1; k < n; k++ {
			f := a[k][i] / a[i][i]
			for j := i; j < n; j++ {
				a[k][j] -= float64(f * a[i][j])
			}
			b[k] -= float64(f * b[i])
		}
	}
	for i := n - 1; i >= 0; i-- {
		v := b[i]
		for j := i + 1; j < n; j++ {
			v -= float64(a[i][j] * x[j])
		}
		x[i] = v / a[i][i]
	}
	return x, true
}

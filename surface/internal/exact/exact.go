// Package exact answers yes-or-no questions about places in plan without rounding errors:
// which side of a line, inside which circle, inside which ring, do two segments cross.
// Coordinates are any finite float64, in any one unit.
//
// Each question is answered by the cheapest arithmetic that is certain: plain floating point
// with an error bound, then 128-bit whole numbers if the coordinates allow it (whole
// nanometres do), then floating-point expansions, and only if those could overflow or
// underflow, math/big. Nothing is allocated before that last stage.
package exact

import (
	"math"
	"math/big"
)

// ulp is half the distance from 1 to the next float64: the largest relative error
// of one rounded operation.
const ulp = 0x1p-53

// twoSum returns the rounded sum and its error, which is exact.
// Knuth 1969, The Art of Computer Programming 2, section 4.2.2, theorem B.
func twoSum(a, b float64) (sum, tail float64) {
	sum = a + b
	v := sum - a
	return sum, (a - (sum - v)) + (b - v)
}

// exactDiff returns a-b and whether it is free of rounding.
func exactDiff(a, b float64) (float64, bool) {
	d, tail := twoSum(a, -b)
	return d, tail == 0
}

// twoProduct returns the rounded product and its error, which is exact unless it
// falls below the smallest float64.
func twoProduct(a, b float64) (product, tail float64) {
	product = float64(a * b)
	return product, math.FMA(a, b, -product)
}

// within reports whether v is zero or has a magnitude from lo to hi.
func within(v, lo, hi float64) bool {
	m := math.Abs(v)
	return m == 0 || lo <= m && m <= hi
}

func sign(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// An expansion is an exact sum of floats that do not overlap, the smallest first, none of
// them zero. The last has the sign of the sum. An empty expansion is 0. The operations are
// those of Shewchuk 1997, Discrete & Computational Geometry 18:305-363 (FAST-EXPANSION-SUM,
// SCALE-EXPANSION), without zeros. They write to h, which must have room: len(e)+len(f) for
// addition, 2·len(e) for scale.

// addition writes e+f.
func addition(h, e, f []float64) []float64 {
	h = h[:0]
	var q, tail float64
	for len(e) > 0 || len(f) > 0 {
		var x float64
		if len(f) == 0 || len(e) > 0 && math.Abs(e[0]) < math.Abs(f[0]) {
			x, e = e[0], e[1:]
		} else {
			x, f = f[0], f[1:]
		}
		if q, tail = twoSum(q, x); tail != 0 {
			h = append(h, tail)
		}
	}
	if q != 0 {
		h = append(h, q)
	}
	return h
}

// scale writes e·b.
func scale(h, e []float64, b float64) []float64 {
	h = h[:0]
	var q float64
	for _, x := range e {
		p, low := twoProduct(x, b)
		s, tail := twoSum(q, low)
		if tail != 0 {
			h = append(h, tail)
		}
		if q, tail = twoSum(p, s); tail != 0 {
			h = append(h, tail)
		}
	}
	if q != 0 {
		h = append(h, q)
	}
	return h
}

// minor writes ax·by - bx·ay, max four components.
func minor(h []float64, ax, ay, bx, by float64) []float64 {
	p, pt := twoProduct(ax, by)
	q, qt := twoProduct(bx, ay)
	return addition(h, []float64{pt, p}, []float64{-qt, -q})
}

// signOf returns the sign of an expansion.
func signOf(e []float64) int {
	if len(e) == 0 {
		return 0
	}
	return sign(e[len(e)-1])
}

// whole returns v·2^1074, a whole number for every finite v. A common factor does not change
// the sign of a determinant whose terms all have the same degree.
func whole(v float64) *big.Int {
	bits := math.Float64bits(v)
	exp := bits >> 52 & 0x7ff
	mant := bits & (1<<52 - 1)
	if exp > 0 {
		mant |= 1 << 52
		exp--
	}
	z := new(big.Int).SetUint64(mant)
	z.Lsh(z, uint(exp))
	if v < 0 {
		z.Neg(z)
	}
	return z
}

// bigDiff returns (a-b)·2^1074.
func bigDiff(a, b float64) *big.Int {
	z := whole(a)
	return z.Sub(z, whole(b))
}

// bigMinor returns ax·by - bx·ay.
func bigMinor(ax, ay, bx, by *big.Int) *big.Int {
	z := new(big.Int).Mul(ax, by)
	return z.Sub(z, new(big.Int).Mul(bx, ay))
}

package exact

import "math"

const (
	// Once |l-r| exceeds orientBound·(|l|+|r|) its sign is certain.
	// Shewchuk 1997, Discrete & Computational Geometry 18:305-363 (ccwerrboundA).
	orientBound = (3 + 16*ulp) * ulp

	// A product above productFloor has an error that is itself a float64:
	// 2^-969 is the smallest normal number times 2^53.
	productFloor = 0x1p-969

	// In this range of coordinates no product of two, nor its error, leaves the range of
	// float64: the last bit of 2^-450 is 2^-502.
	orientLo, orientHi = 0x1p-450, 0x1p+500
)

// Orient reports the side of p, seen along the line from a to b with x to the right
// and y up: +1 left, -1 right, 0 on it. It is exact for all finite input, so
// swapping two places flips it and rotating them keeps it.
func Orient(ax, ay, bx, by, px, py float64) int {
	l := float64((ax - px) * (by - py)) // float64(): no fused multiply-add, so
	r := float64((ay - py) * (bx - px)) // every machine takes the same branch
	d := l - r
	m := math.Abs(l) + math.Abs(r)
	if m > productFloor && math.Abs(d) > orientBound*m {
		if d > 0 {
			return 1
		}
		return -1
	}
	return orientTie(ax, ay, bx, by, px, py)
}

// orientTie decides if plain floating point could not.
func orientTie(ax, ay, bx, by, px, py float64) int {
	adx, ok1 := exactDiff(ax, px)
	ady, ok2 := exactDiff(ay, py)
	bdx, ok3 := exactDiff(bx, px)
	bdy, ok4 := exactDiff(by, py)
	if ok1 && ok2 && ok3 && ok4 {
		l, lt := twoProduct(adx, bdy)
		r, rt := twoProduct(ady, bdx)
		if sound(l, adx, bdy) && sound(r, ady, bdx) {
			// Rounding keeps the order, so unequal rounded values decide; for equal ones the
			// errors decide.
			if l != r {
				return sign(l - r)
			}
			return sign(lt - rt)
		}
	}
	for _, v := range [...]float64{ax, ay, bx, by, px, py} {
		if !within(v, orientLo, orientHi) {
			return orientBig(ax, ay, bx, by, px, py)
		}
	}
	var ab, bp, pa [4]float64
	var s [8]float64
	var t [12]float64
	return signOf(addition(t[:], addition(s[:],
		minor(ab[:], ax, ay, bx, by),
		minor(bp[:], bx, by, px, py)),
		minor(pa[:], px, py, ax, ay)))
}

// sound reports whether the product of a and b neither overflowed nor lost bits to
// underflow.
func sound(product, a, b float64) bool {
	if a == 0 || b == 0 {
		return true
	}
	m := math.Abs(product)
	return productFloor < m && m <= math.MaxFloat64
}

func orientBig(ax, ay, bx, by, px, py float64) int {
	return bigMinor(bigDiff(ax, px), bigDiff(ay, py), bigDiff(bx, px), bigDiff(by, py)).Sign()
}

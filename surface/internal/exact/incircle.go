package exact

import (
	"math"
	"math/big"
	"math/bits"
)

const (
	// Once the determinant exceeds circleBound times the sum of the magnitudes of its terms,
	// its sign is certain. Shewchuk 1997, Discrete & Computational Geometry 18:305-363
	// (iccerrboundA, with 96 there instead of 128; the difference covers underflow, see
	// circleFloor).
	circleBound = (10 + 128*ulp) * ulp

	// By Cauchy's inequality, and as a mean is no less than the root of a product, the sum of
	// the magnitudes is at most al·bl + bl·cl + cl·al, where al, bl, cl are the squares of the
	// distances from d. The rounding of that is far below the tenth that is added here.
	circleQuick = 11 * ulp

	// One underflow costs 2^-1075, times up to 2^500 later, and there are twenty: below
	// 2^-568. If the terms add up to more than circleFloor the bound is above 2^-490, so
	// underflow is less than 2^-78 of it.
	circleFloor = 0x1p-440
	liftCeiling = 0x1p+500

	// In this range of coordinates no product of four, nor its error, leaves the range of
	// float64: the last bit of 2^-200 is 2^-252, to the fourth power 2^-1008.
	circleLo, circleHi = 0x1p-200, 0x1p+240
)

// InCircle reports where d is relative to the circle through a, b and c, which must run
// counter-clockwise: +1 strictly inside, -1 outside, 0 on it. It is exact for all finite
// input. With a, b, c clockwise the sign is reversed. With the three in one row the circle
// is the half-plane right of the two outer ones, in the direction for which the middle one
// comes third.
func InCircle(ax, ay, bx, by, cx, cy, dx, dy float64) int {
	adx, ady := ax-dx, ay-dy
	bdx, bdy := bx-dx, by-dy
	cdx, cdy := cx-dx, cy-dy

	// float64(): no fused multiply-add, so every machine takes the same branch.
	al := float64(adx*adx) + float64(ady*ady)
	bl := float64(bdx*bdx) + float64(bdy*bdy)
	cl := float64(cdx*cdx) + float64(cdy*cdy)
	det := float64(al*(float64(bdx*cdy)-float64(cdx*bdy))) +
		float64(bl*(float64(cdx*ady)-float64(adx*cdy))) +
		float64(cl*(float64(adx*bdy)-float64(bdx*ady)))
	m := float64(al*bl) + float64(bl*cl) + float64(cl*al)
	if e := circleQuick * m; (det > e || -det > e) && m > circleFloor && al+bl+cl < liftCeiling {
		return sign(det)
	}
	return inCircleNear(ax, ay, bx, by, cx, cy, dx, dy)
}

// InCircleWhole has the sign of [InCircle], for places whose coordinates are whole numbers
// below 2^51: while all terms are below 2^53 nothing is rounded, not even where d is on the
// circle.
func InCircleWhole(ax, ay, bx, by, cx, cy, dx, dy float64) float64 {
	adx, ady := ax-dx, ay-dy
	bdx, bdy := bx-dx, by-dy
	cdx, cdy := cx-dx, cy-dy

	al := float64(adx*adx) + float64(ady*ady)
	bl := float64(bdx*bdx) + float64(bdy*bdy)
	cl := float64(cdx*cdx) + float64(cdy*cdy)
	det := float64(al*(float64(bdx*cdy)-float64(cdx*bdy))) +
		float64(bl*(float64(cdx*ady)-float64(adx*cdy))) +
		float64(cl*(float64(adx*bdy)-float64(bdx*ady)))
	m := float64(al*bl) + float64(bl*cl) + float64(cl*al)
	if e := circleQuick * m; m < 1<<52 || det > e || -det > e {
		return det
	}
	return float64(inCircleNear(ax, ay, bx, by, cx, cy, dx, dy))
}

// inCircleNear tries once more with the sum of the magnitudes of the terms themselves, which
// for a flat triangle is far less than the squares say.
func inCircleNear(ax, ay, bx, by, cx, cy, dx, dy float64) int {
	adx, ady := ax-dx, ay-dy
	bdx, bdy := bx-dx, by-dy
	cdx, cdy := cx-dx, cy-dy

	bc, cb := float64(bdx*cdy), float64(cdx*bdy)
	ca, ac := float64(cdx*ady), float64(adx*cdy)
	ab, ba := float64(adx*bdy), float64(bdx*ady)
	al := float64(adx*adx) + float64(ady*ady)
	bl := float64(bdx*bdx) + float64(bdy*bdy)
	cl := float64(cdx*cdx) + float64(cdy*cdy)

	det := float64(al*(bc-cb)) + float64(bl*(ca-ac)) + float64(cl*(ab-ba))
	m := float64(al*(math.Abs(bc)+math.Abs(cb))) +
		float64(bl*(math.Abs(ca)+math.Abs(ac))) +
		float64(cl*(math.Abs(ab)+math.Abs(ba)))
	if math.Abs(det) > circleBound*m && m > circleFloor && al+bl+cl < liftCeiling {
		return sign(det)
	}
	return inCircleTie(ax, ay, bx, by, cx, cy, dx, dy)
}

// inCircleTie decides if plain floating point could not.
func inCircleTie(ax, ay, bx, by, cx, cy, dx, dy float64) int {
	adx, ok1 := exactDiff(ax, dx)
	ady, ok2 := exactDiff(ay, dy)
	bdx, ok3 := exactDiff(bx, dx)
	bdy, ok4 := exactDiff(by, dy)
	cdx, ok5 := exactDiff(cx, dx)
	cdy, ok6 := exactDiff(cy, dy)
	shifted := ok1 && ok2 && ok3 && ok4 && ok5 && ok6
	if shifted {
		if s, ok := inCircleWhole(adx, ady, bdx, bdy, cdx, cdy); ok {
			return s
		}
	}
	for _, v := range [...]float64{ax, ay, bx, by, cx, cy, dx, dy} {
		if !within(v, circleLo, circleHi) {
			return inCircleBig(ax, ay, bx, by, cx, cy, dx, dy)
		}
	}
	if shifted {
		// With d at the origin half of the terms are zero.
		return inCircleExpansion(adx, ady, bdx, bdy, cdx, cdy, 0, 0)
	}
	return inCircleExpansion(ax, ay, bx, by, cx, cy, dx, dy)
}

// inCircleWhole decides with 128-bit whole numbers, with d as the origin, if the differences
// are whole and, without their common power of two, within 2^30: then each term stays within
// 2^122 and their sum within 2^124.
func inCircleWhole(ax, ay, bx, by, cx, cy float64) (sgn int, ok bool) {
	v := [6]float64{ax, ay, bx, by, cx, cy}
	var w [6]int64
	var all, top int64
	for i, f := range v {
		if !(math.Abs(f) < 1<<53) {
			return 0, false
		}
		n := int64(f)
		if float64(n) != f {
			return 0, false
		}
		w[i] = n
		all |= n
		top = max(top, n, -n)
	}
	shift := bits.TrailingZeros64(uint64(all)) & 63 // 64, all zeros, is harmless
	if top>>shift > 1<<30 {
		return 0, false
	}
	for i := range w {
		w[i] >>= shift
	}
	h1, l1 := mul(w[0]*w[0]+w[1]*w[1], w[2]*w[5]-w[4]*w[3])
	h2, l2 := mul(w[2]*w[2]+w[3]*w[3], w[4]*w[1]-w[0]*w[5])
	h3, l3 := mul(w[4]*w[4]+w[5]*w[5], w[0]*w[3]-w[2]*w[1])
	l, carry := bits.Add64(l1, l2, 0)
	h, _ := bits.Add64(h1, h2, carry)
	l, carry = bits.Add64(l, l3, 0)
	h, _ = bits.Add64(h, h3, carry)
	switch {
	case int64(h) < 0:
		return -1, true
	case h|l == 0:
		return 0, true
	}
	return 1, true
}

// mul returns a·b in two's complement of 128 bits; a is not negative.
func mul(a, b int64) (hi, lo uint64) {
	hi, lo = bits.Mul64(uint64(a), uint64(b))
	if b < 0 {
		hi -= uint64(a)
	}
	return hi, lo
}

// inCircleExpansion expands the determinant by its lifted column.
// Shewchuk 1997 (incircleexact).
func inCircleExpansion(ax, ay, bx, by, cx, cy, dx, dy float64) int {
	var room [6][4]float64
	ab := minor(room[0][:], ax, ay, bx, by)
	bc := minor(room[1][:], bx, by, cx, cy)
	cd := minor(room[2][:], cx, cy, dx, dy)
	da := minor(room[3][:], dx, dy, ax, ay)
	ac := minor(room[4][:], ax, ay, cx, cy)
	bd := minor(room[5][:], bx, by, dx, dy)

	var s [8]float64
	var t [4][12]float64
	cda := addition(t[1][:], addition(s[:], cd, da), ac)
	dab := addition(t[2][:], addition(s[:], da, ab), bd)
	negate(ac)
	negate(bd)
	bcd := addition(t[0][:], addition(s[:], bc, cd), bd)
	abc := addition(t[3][:], addition(s[:], ab, bc), ac)

	var u [4][96]float64
	a := lifted(u[0][:], bcd, ax, ay)
	b := lifted(u[1][:], cda, bx, by)
	c := lifted(u[2][:], dab, cx, cy)
	d := lifted(u[3][:], abc, dx, dy)
	negate(b)
	negate(d)

	var v [2][192]float64
	var w [384]float64
	return signOf(addition(w[:], addition(v[0][:], a, b), addition(v[1][:], c, d)))
}

// lifted writes e·(x²+y²); e has max twelve components.
func lifted(h, e []float64, x, y float64) []float64 {
	var p [24]float64
	var q, r [48]float64
	return addition(h,
		scale(q[:], scale(p[:], e, x), x),
		scale(r[:], scale(p[:], e, y), y))
}

func negate(e []float64) {
	for i := range e {
		e[i] = -e[i]
	}
}

func inCircleBig(ax, ay, bx, by, cx, cy, dx, dy float64) int {
	adx, ady := bigDiff(ax, dx), bigDiff(ay, dy)
	bdx, bdy := bigDiff(bx, dx), bigDiff(by, dy)
	cdx, cdy := bigDiff(cx, dx), bigDiff(cy, dy)
	term := func(x, y, m *big.Int) *big.Int {
		lift := new(big.Int).Mul(x, x)
		lift.Add(lift, new(big.Int).Mul(y, y))
		return lift.Mul(lift, m)
	}
	det := term(adx, ady, bigMinor(bdx, bdy, cdx, cdy))
	det.Add(det, term(bdx, bdy, bigMinor(cdx, cdy, adx, ady)))
	det.Add(det, term(cdx, cdy, bigMinor(adx, ady, bdx, bdy)))
	return det.Sign()
}

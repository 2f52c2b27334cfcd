package exact

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

func rat(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }

func sub(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
func mulRat(a, b *big.Rat) *big.Rat {
	return new(big.Rat).Mul(a, b)
}

// slowOrient is twice the signed area of a, b, p, in fractions.
func slowOrient(c [6]float64) int {
	var r [6]*big.Rat
	for i, v := range c {
		r[i] = rat(v)
	}
	return sub(mulRat(sub(r[2], r[0]), sub(r[5], r[1])), mulRat(sub(r[3], r[1]), sub(r[4], r[0]))).Sign()
}

// slowInCircle compares the power of d with the plane through the lifted a, b and
// c, in fractions; it eliminates a where InCircle eliminates d.
func slowInCircle(c [8]float64) int {
	ax, ay := rat(c[0]), rat(c[1])
	var m [3][3]*big.Rat
	for i := range 3 {
		x, y := sub(rat(c[2*i+2]), ax), sub(rat(c[2*i+3]), ay)
		m[i] = [3]*big.Rat{x, y, new(big.Rat).Add(mulRat(x, x), mulRat(y, y))}
	}
	det := func(i, j int) *big.Rat { return sub(mulRat(m[i][0], m[j][1]), mulRat(m[i][1], m[j][0])) }
	v := mulRat(m[0][2], det(1, 2))
	v.Sub(v, mulRat(m[1][2], det(0, 2)))
	v.Add(v, mulRat(m[2][2], det(0, 1)))
	return -v.Sign()
}

// families are ways of drawing one coordinate pair that make ties common.
var families = []struct {
	name string
	draw func(r *rand.Rand) (x, y float64)
}{
	{"small whole numbers", func(r *rand.Rand) (float64, float64) {
		return float64(r.IntN(7)), float64(r.IntN(7))
	}},
	{"millimetres far from the origin", func(r *rand.Rand) (float64, float64) {
		return 5e5 + float64(r.IntN(9))/1000, 4.5e6 + float64(r.IntN(9))/1000
	}},
	{"grid of 0.1", func(r *rand.Rand) (float64, float64) {
		return 0.1 * float64(r.IntN(20)), 0.1 * float64(r.IntN(20))
	}},
	{"grid of 0.3048", func(r *rand.Rand) (float64, float64) {
		return 0.3048 * float64(r.IntN(8)), 0.3048 * float64(r.IntN(8))
	}},
	{"whole nanometres", func(r *rand.Rand) (float64, float64) {
		return 25e6 * float64(r.IntN(9)), 25e6 * float64(r.IntN(9))
	}},
	{"whole nanometres, kilometres apart", func(r *rand.Rand) (float64, float64) {
		return 333333333333 * float64(r.IntN(9)), 333333333333 * float64(r.IntN(9))
	}},
	{"a line of slope three", func(r *rand.Rand) (float64, float64) {
		i := float64(r.IntN(1000))
		return 0.1 * i, 0.3 * i
	}},
	{"a circle", func(r *rand.Rand) (float64, float64) {
		s, c := math.Sincos(float64(r.IntN(360)) * math.Pi / 180)
		return c, s
	}},
	{"a circle of whole numbers", func(r *rand.Rand) (float64, float64) {
		p := [][2]float64{{25, 0}, {24, 7}, {20, 15}, {15, 20}, {7, 24}, {0, 25}}[r.IntN(6)]
		return p[0] * float64(1-2*r.IntN(2)), p[1] * float64(1-2*r.IntN(2))
	}},
	{"around one bit", func(r *rand.Rand) (float64, float64) {
		return 0.5 + float64(r.IntN(64))*0x1p-53, 0.5 + float64(r.IntN(64))*0x1p-53
	}},
	{"huge", func(r *rand.Rand) (float64, float64) {
		return 0x1p+1020 * float64(r.IntN(15)-7), 0x1p+1020 * float64(r.IntN(15)-7)
	}},
	{"tiny", func(r *rand.Rand) (float64, float64) {
		return 0x1p-1074 * float64(r.IntN(9)), 0x1p-1074 * float64(r.IntN(9))
	}},
	{"every magnitude", func(r *rand.Rand) (float64, float64) {
		p := func() float64 { return math.Ldexp(r.Float64()-0.5, r.IntN(2000)-1050) }
		return p(), p()
	}},
	{"magnitudes at the edge of the bounds", func(r *rand.Rand) (float64, float64) {
		p := func() float64 {
			return math.Ldexp(float64(r.IntN(5)-2), []int{-510, -450, -252, -200, -110, 0, 124, 240, 250, 500}[r.IntN(10)])
		}
		return p(), p()
	}},
	{"random", func(r *rand.Rand) (float64, float64) { return r.Float64(), r.Float64() }},
}

// TestAgreesWithFractions compares 13 degenerate families and 2 others, 12,000 cases per
// question each, with arithmetic in fractions.
func TestAgreesWithFractions(t *testing.T) {
	n := 12000
	if testing.Short() {
		n = 1000
	}
	for _, f := range families {
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(1, 2))
			var c [8]float64
			for range n {
				for i := 0; i < 8; i += 2 {
					c[i], c[i+1] = f.draw(r)
				}
				if got, want := Orient(c[0], c[1], c[2], c[3], c[4], c[5]), slowOrient([6]float64(c[:6])); got != want {
					t.Fatalf("Orient(%v) = %d, want %d", c[:6], got, want)
				}
				if got, want := InCircle(c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7]), slowInCircle(c); got != want {
					t.Fatalf("InCircle(%v) = %d, want %d", c, got, want)
				}
			}
		})
	}
}

// Four places so near to one circle that plain floating point is on the wrong side of it
// by 3.05 units in the last place of its terms: the worst of a search by hill climbing.
// Shewchuk's bound of 10 holds for it; a bound of 3 would not.
func TestWorstRoundingOfACircle(t *testing.T) {
	c := [8]float64{0x1.22744ae32abefp+01, -0x1.409f371d0b9bp-06, 0x1.163661ad67e97p+01, 0x1.76d58f4f0ffcfp+00,
		0x1.4ad7b0e7d815ep+00, 0x1.678fca67ee93ep+00, 0x1.9ecabd4c36d58p+00, -0x1.3b3a41aa81a4cp-03}
	if got, want := InCircle(c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7]), slowInCircle(c); got != want {
		t.Errorf("InCircle(%v) = %d, want %d", c, got, want)
	}
}

// TestEveryStageAgrees calls the slower stages directly, also for input that a faster one
// would have answered.
func TestEveryStageAgrees(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 5000 {
		var c [8]float64
		for i := range c {
			c[i] = float64(r.IntN(31)-15) * 1e6
		}
		want := slowInCircle(c)
		if got := inCircleExpansion(c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7]); got != want {
			t.Fatalf("inCircleExpansion(%v) = %d, want %d", c, got, want)
		}
		if got := inCircleBig(c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7]); got != want {
			t.Fatalf("inCircleBig(%v) = %d, want %d", c, got, want)
		}
		got, ok := inCircleWhole(c[0]-c[6], c[1]-c[7], c[2]-c[6], c[3]-c[7], c[4]-c[6], c[5]-c[7])
		if !ok || got != want {
			t.Fatalf("inCircleWhole(%v) = %d, %v, want %d", c, got, ok, want)
		}
		o := slowOrient([6]float64(c[:6]))
		if got := orientTie(c[0], c[1], c[2], c[3], c[4], c[5]); got != o {
			t.Fatalf("orientTie(%v) = %d, want %d", c[:6], got, o)
		}
		if got := orientBig(c[0], c[1], c[2], c[3], c[4], c[5]); got != o {
			t.Fatalf("orientBig(%v) = %d, want %d", c[:6], got, o)
		}
	}
}

// TestWholeNumbersAtTheirLimit puts the differences at ±2^30 and one bit either side, where
// a sum of 128 bits is nearest to overflow.
func TestWholeNumbersAtTheirLimit(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	const top = 1 << 30
	taken := 0
	for range 20000 {
		var c [8]float64
		for i := range 6 {
			c[i] = []float64{-top, top, 1 - top, top - 1, 0, 1}[r.IntN(6)]
		}
		got, ok := inCircleWhole(c[0], c[1], c[2], c[3], c[4], c[5])
		if ok {
			taken++
			if want := slowInCircle(c); got != want {
				t.Fatalf("inCircleWhole(%v) = %d, want %d", c, got, want)
			}
		}
	}
	if taken != 20000 {
		t.Errorf("whole numbers answered %d of 20000 within their limit", taken)
	}
	if _, ok := inCircleWhole(top+1, 1, 0, 3, 5, 7); ok {
		t.Error("a difference over 2^30 was taken")
	}
	if _, ok := inCircleWhole(0.5, 1, 0, 3, 5, 7); ok {
		t.Error("a fraction was taken")
	}
}

// TestWholePlaces goes from terms that have no rounding to terms that have, on circles and one
// unit off them.
func TestWholePlaces(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	ring := [][2]float64{{25, 0}, {24, 7}, {20, 15}, {15, 20}, {7, 24}, {0, 25}, {-7, 24}, {-25, 0}, {-15, -20}, {0, -25}, {24, -7}}
	for range 40000 {
		size := math.Floor(math.Exp2(44 * r.Float64()))
		var c [8]float64
		for i := 0; i < 8; i += 2 {
			p := ring[r.IntN(len(ring))]
			c[i], c[i+1] = size*p[0]+float64(r.IntN(2)), size*p[1]+float64(r.IntN(2))
		}
		got, want := InCircleWhole(c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7]), slowInCircle(c)
		if sign(got) != want {
			t.Fatalf("InCircleWhole(%v) = %g, want sign %d", c, got, want)
		}
		if got := inCircleNear(c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7]); got != want {
			t.Fatalf("inCircleNear(%v) = %d, want %d", c, got, want)
		}
	}
}

func TestNothingIsAllocated(t *testing.T) {
	s, c := math.Sincos(1)
	for name, f := range map[string]func(){
		"Orient":                   func() { Orient(0.1, 0.3, 0.2, 0.6, 0.3, 0.9) },
		"InCircle, whole":          func() { InCircle(0, 0, 1, 0, 1, 1, 0, 1) },
		"InCircle, exact shift":    func() { InCircle(0.1, 0.1, 0.2, 0.1, 0.2, 0.2, 0.1, 0.2) },
		"InCircle, rounding shift": func() { InCircle(1, 0, s, c, -c, s, -1, 1e-30) },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s allocates %g times", name, n)
		}
	}
}

// coordinate draws from values that meet often, and from all finite ones.
var coordinate = rapid.OneOf(
	rapid.Map(rapid.IntRange(-4, 4), func(i int) float64 { return float64(i) }),
	rapid.Map(rapid.IntRange(-40, 40), func(i int) float64 { return 0.1 * float64(i) }),
	rapid.Float64Range(-math.MaxFloat64, math.MaxFloat64),
)

func drawPlaces(t *rapid.T, n int) []float64 {
	return rapid.SliceOfN(coordinate, 2*n, 2*n).Draw(t, "places")
}

func TestLawsOfOrient(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlaces(t, 3)
		o := Orient(p[0], p[1], p[2], p[3], p[4], p[5])
		if o != slowOrient([6]float64(p)) {
			t.Fatalf("Orient = %d, fractions say %d", o, slowOrient([6]float64(p)))
		}
		if s := Orient(p[2], p[3], p[0], p[1], p[4], p[5]); s != -o {
			t.Fatalf("swapped %d, want %d", s, -o)
		}
		if s := Orient(p[2], p[3], p[4], p[5], p[0], p[1]); s != o {
			t.Fatalf("rotated %d, want %d", s, o)
		}
		if s := Orient(p[1], p[0], p[3], p[2], p[5], p[4]); s != -o {
			t.Fatalf("mirrored %d, want %d", s, -o)
		}
		if s := Orient(p[0], p[1], p[2], p[3], p[0], p[1]); s != 0 {
			t.Fatalf("an end lies %d of its line, want 0", s)
		}
	})
}

func TestLawsOfInCircle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlaces(t, 4)
		in := func(a, b, c, d int) int {
			return InCircle(p[2*a], p[2*a+1], p[2*b], p[2*b+1], p[2*c], p[2*c+1], p[2*d], p[2*d+1])
		}
		s := in(0, 1, 2, 3)
		if want := slowInCircle([8]float64(p)); s != want {
			t.Fatalf("InCircle = %d, fractions say %d", s, want)
		}
		for _, c := range []struct {
			got, want int
			law       string
		}{
			{in(1, 0, 2, 3), -s, "swapping the first two flips"},
			{in(0, 1, 3, 2), -s, "swapping the last two flips"},
			{in(1, 2, 0, 3), s, "rotating the first three keeps"},
			{in(1, 2, 3, 0), -s, "rotating all four flips"},
			{in(0, 1, 2, 1), 0, "a corner lies on the circle"},
		} {
			if c.got != c.want {
				t.Fatalf("%s: got %d, want %d", c.law, c.got, c.want)
			}
		}
	})
}

// TestCircleOfThreeInARow: own derivation, the limit of ever larger circles.
func TestCircleOfThreeInARow(t *testing.T) {
	for _, c := range []struct {
		dx, dy float64
		want   int
	}{{3, -2, 1}, {-5, -0.1, 1}, {3, 2, -1}, {7, 0, 0}} {
		if got := InCircle(0, 0, 4, 0, 1, 0, c.dx, c.dy); got != c.want {
			t.Errorf("(%g, %g) lies %d, want %d", c.dx, c.dy, got, c.want)
		}
	}
}

func TestSegmentsCross(t *testing.T) {
	for _, c := range []struct {
		name string
		s    [8]float64
		want Crossing
	}{
		{"an X", [8]float64{0, 0, 2, 2, 0, 2, 2, 0}, Cross},
		{"a T", [8]float64{0, 0, 2, 0, 1, 0, 1, 5}, Touch},
		{"an L", [8]float64{0, 0, 2, 0, 2, 0, 2, 2}, Touch},
		{"a T that falls short", [8]float64{0, 0, 2, 0, 1, 1e-300, 1, 5}, Apart},
		{"parallel", [8]float64{0, 0, 2, 0, 0, 1, 2, 1}, Apart},
		{"lines cross, segments do not", [8]float64{0, 0, 1, 0, 5, -1, 5, 1}, Apart},
		{"end on the other's line, beyond it", [8]float64{0, 0, 1, 0, 5, 0, 5, 1}, Apart},
		{"in one row, apart", [8]float64{0, 0, 1, 1, 2, 2, 3, 3}, Apart},
		{"in one row, end to end", [8]float64{0, 0, 1, 1, 2, 2, 1, 1}, Touch},
		{"in one row, overlapping", [8]float64{0, 0, 2, 2, 3, 3, 1, 1}, Overlap},
		{"one within the other", [8]float64{0, 0, 9, 0, 3, 0, 2, 0}, Overlap},
		{"the same", [8]float64{0, 0, 9, 1, 0, 0, 9, 1}, Overlap},
		{"the same, turned", [8]float64{0, 0, 9, 1, 9, 1, 0, 0}, Overlap},
		{"upright, overlapping", [8]float64{1, 0, 1, 2, 1, 1, 1, 3}, Overlap},
		{"a place on a segment", [8]float64{1, 0, 1, 0, 0, 0, 2, 0}, Touch},
		{"a place off a segment", [8]float64{1, 1, 1, 1, 0, 0, 2, 0}, Apart},
		{"a place beyond a segment", [8]float64{3, 0, 3, 0, 0, 0, 2, 0}, Apart},
		{"two places", [8]float64{0, 5, 0, 5, 1, 0, 1, 0}, Apart},
		{"one place twice", [8]float64{1, 5, 1, 5, 1, 5, 1, 5}, Touch},
	} {
		s := c.s
		for _, p := range [][8]float64{s,
			{s[2], s[3], s[0], s[1], s[4], s[5], s[6], s[7]},
			{s[0], s[1], s[2], s[3], s[6], s[7], s[4], s[5]},
			{s[4], s[5], s[6], s[7], s[0], s[1], s[2], s[3]},
			{s[1], s[0], s[3], s[2], s[5], s[4], s[7], s[6]},
		} {
			if got := SegmentsCross(p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7]); got != c.want {
				t.Errorf("%s: %v: got %d, want %d", c.name, p, got, c.want)
			}
		}
	}
}

// slowSegments finds the intersection of two segments by solving for it in fractions.
func slowSegments(s [8]float64) Crossing {
	type vec [2]*big.Rat
	v := func(i int) vec { return vec{rat(s[2*i]), rat(s[2*i+1])} }
	minus := func(a, b vec) vec { return vec{sub(a[0], b[0]), sub(a[1], b[1])} }
	wedge := func(a, b vec) *big.Rat { return sub(mulRat(a[0], b[1]), mulRat(a[1], b[0])) }
	zero, one := new(big.Rat), big.NewRat(1, 1)
	a, c := v(0), v(2)
	d, e, f := minus(v(1), a), minus(v(3), c), minus(c, a)
	if w := wedge(d, e); w.Sign() != 0 {
		t, u := new(big.Rat).Quo(wedge(f, e), w), new(big.Rat).Quo(wedge(f, d), w)
		for _, k := range []*big.Rat{t, u} {
			if k.Cmp(zero) < 0 || k.Cmp(one) > 0 {
				return Apart
			}
		}
		for _, k := range []*big.Rat{t, u} {
			if k.Cmp(zero) == 0 || k.Cmp(one) == 0 {
				return Touch
			}
		}
		return Cross
	}
	// Parallel: measure c and d along a–b, which callers keep longer than zero.
	if wedge(f, d).Sign() != 0 {
		return Apart
	}
	dot := func(a, b vec) *big.Rat { return new(big.Rat).Add(mulRat(a[0], b[0]), mulRat(a[1], b[1])) }
	l := dot(d, d)
	lo, hi := new(big.Rat).Quo(dot(f, d), l), new(big.Rat).Quo(dot(minus(v(3), a), d), l)
	if lo.Cmp(hi) > 0 {
		lo, hi = hi, lo
	}
	if lo.Cmp(zero) < 0 {
		lo = zero
	}
	if hi.Cmp(one) > 0 {
		hi = one
	}
	return [...]Crossing{Overlap, Touch, Apart}[lo.Cmp(hi)+1]
}

func TestSegmentsAgreeWithFractions(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	var seen [4]int
	for range 40000 {
		var s [8]float64
		step := []float64{1, 0.1, 0.3048, 1e300, 0x1p-1070}[r.IntN(5)]
		for i := range s {
			s[i] = step * float64(r.IntN(6))
		}
		if s[0] == s[2] && s[1] == s[3] {
			continue
		}
		want := slowSegments(s)
		seen[want]++
		if got := SegmentsCross(s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7]); got != want {
			t.Fatalf("SegmentsCross(%v) = %d, want %d", s, got, want)
		}
	}
	for c, n := range seen {
		if n < 100 {
			t.Errorf("only %d cases of kind %d", n, c)
		}
	}
}

func TestInRing(t *testing.T) {
	// A comb with tooth ends level with the places tested.
	x := []float64{0, 6, 6, 5, 4, 3, 2, 1, 0}
	y := []float64{0, 0, 4, 1, 4, 1, 4, 1, 4}
	for _, c := range []struct {
		name   string
		px, py float64
		want   int
	}{
		{"below the teeth", 3, 0.5, 1},
		{"level with the gaps' corners", 0.5, 1, 1},
		{"level with the gaps' corners, in a tooth", 4, 1, 1},
		{"in a tooth", 4, 2, 1},
		{"between teeth", 3, 2, -1},
		{"level with the tips", 1, 4, -1},
		{"west of the tips", -1, 4, -1},
		{"on a tip", 2, 4, 0},
		{"on a corner", 0, 0, 0},
		{"on the lower edge", 3, 0, 0},
		{"west of the lower edge", -3, 0, -1},
		{"east of the lower edge", 8, 0, -1},
		{"on a slope", 3.5, 2.5, 0},
		{"just off the slope", 3.5, math.Nextafter(2.5, 9), -1},
		{"just in from the slope", 3.5, math.Nextafter(2.5, 0), 1},
	} {
		for start := range x {
			var fx, fy, bx, by []float64
			for i := range x {
				j := (start + i) % len(x)
				fx, fy = append(fx, x[j]), append(fy, y[j])
				bx, by = append([]float64{x[j]}, bx...), append([]float64{y[j]}, by...)
			}
			closedX, closedY := append(fx[:len(fx):len(fx)], fx[0]), append(fy[:len(fy):len(fy)], fy[0])
			for _, g := range []int{InRing(fx, fy, c.px, c.py), InRing(bx, by, c.px, c.py), InRing(closedX, closedY, c.px, c.py)} {
				if g != c.want {
					t.Errorf("%s, from corner %d: got %d, want %d", c.name, start, g, c.want)
				}
			}
		}
	}
	if got := InRing(nil, nil, 0, 0); got != -1 {
		t.Errorf("inside no ring at all: %d, want -1", got)
	}
}

// TestInRingAgreesWithWinding compares with the winding number of a fan of
// triangles, counted in fractions: inside where it is odd.
func TestInRingAgreesWithWinding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "corners")
		small := rapid.Map(rapid.IntRange(0, 6), func(i int) float64 { return 0.1 * float64(i) })
		x := rapid.SliceOfN(small, n, n).Draw(t, "x")
		y := rapid.SliceOfN(small, n, n).Draw(t, "y")
		px, py := small.Draw(t, "px"), small.Draw(t, "py")
		want := -1
		for i := range x {
			j := (i + 1) % n
			if slowOrient([6]float64{x[i], y[i], x[j], y[j], px, py}) == 0 &&
				min(x[i], x[j]) <= px && px <= max(x[i], x[j]) && min(y[i], y[j]) <= py && py <= max(y[i], y[j]) {
				want = 0
			}
		}
		// Quarter of the plane round p that a place is in; a step over two quarters passes
		// left or right of p.
		quarter := func(i int) int {
			switch {
			case x[i] > px && y[i] >= py:
				return 0
			case x[i] <= px && y[i] > py:
				return 1
			case x[i] < px && y[i] <= py:
				return 2
			}
			return 3
		}
		if want != 0 {
			turn := 0
			for i := range x {
				j := (i + 1) % n
				switch (quarter(j) - quarter(i) + 4) % 4 {
				case 1:
					turn++
				case 3:
					turn--
				case 2:
					turn += 2 * slowOrient([6]float64{x[i], y[i], x[j], y[j], px, py})
				}
			}
			if turn/4%2 != 0 {
				want = 1
			}
		}
		if got := InRing(x, y, px, py); got != want {
			t.Fatalf("got %d, want %d", got, want)
		}
	})
}

var sink int

func BenchmarkExact(b *testing.B) {
	s1, c1 := math.Sincos(1)
	for _, c := range []struct {
		name string
		f    func() int
	}{
		{"orient=clear", func() int { return Orient(0.1, 0.2, 0.7, 0.3, 0.4, 0.9) }},
		{"orient=row", func() int { return Orient(0.1, 0.3, 0.2, 0.6, 0.3, 0.9) }},
		{"incircle=clear", func() int { return InCircle(0.1, 0.2, 0.7, 0.3, 0.4, 0.9, 0.5, 0.5) }},
		{"incircle=nanometres", func() int { return InCircle(0, 0, 25e6, 0, 25e6, 25e6, 0, 25e6) }},
		{"incircle=millimetres", func() int { return InCircle(500.1, 500.1, 500.2, 500.1, 500.2, 500.2, 500.1, 500.2) }},
		{"incircle=circle", func() int { return InCircle(1, 0, c1, s1, -s1, c1, -c1, -s1) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				sink += c.f()
			}
		})
	}
}

func ExampleOrient() {
	fmt.Println(Orient(0, 0, 1, 0, 0.5, 1), Orient(0, 0, 1, 0, 0.5, -1e-300), Orient(0, 0, 1, 0, 9, 0))
	// Output: 1 -1 0
}

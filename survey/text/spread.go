package text

import (
	"math"

	"pourplane/survey"
)

// spread is the range, m, of the heights that were certainly measured.
type spread struct {
	lo, hi float64
	n      int
}

// emptySpread returns a range without heights.
func emptySpread() spread { return spread{lo: math.Inf(1), hi: math.Inf(-1)} }

func (s *spread) see(z float64) { s.lo, s.hi, s.n = min(s.lo, z), max(s.hi, z), s.n+1 }

func (s *spread) join(o spread) { s.lo, s.hi, s.n = min(s.lo, o.lo), max(s.hi, o.hi), s.n+o.n }

// reach returns the width of the range, m, min 0.1 % of the largest height.
func (s spread) reach() float64 {
	return max(s.hi-s.lo, 1e-3*max(math.Abs(s.lo), math.Abs(s.hi)))
}

// near reports whether z, which may mean no data, is so near the range that it was
// measured.
func (s spread) near(z float64) bool {
	return s.n > 0 && z > s.lo-20*s.reach() && z < s.hi+20*s.reach()
}

// clear returns the distance of the range from 0, m.
func (s spread) clear() float64 { return max(s.lo, -s.hi, 0) }

// nearZero reports whether the range is so near 0 that 0 may be one of its heights.
// Further heights cannot change a true result.
func (s spread) nearZero() bool {
	return s.n > 0 && (s.clear() <= uneven || s.clear() <= 5*s.reach())
}

// flatDrawing is the minimum number of heights of exactly 0, without any other, that may
// be a drawing without heights: as many as make a surface. Own choice.
const flatDrawing = 3

// zeros returns what n shots of exactly 0 mean beside the heights of s. The option asked
// decides if it is set.
func (s spread) zeros(n int, asked survey.Zeros) survey.Zeros {
	rare := 4*n <= s.n || n == 1 && s.n >= 3
	switch {
	case asked != survey.ZerosByOthers:
		return asked
	case s.n == 0 && n >= flatDrawing: // a floor set out at 0, or a drawing without heights
	case s.n == 0, s.nearZero():
		return survey.ZerosMeasured
	case rare && s.clear() >= storey:
		return survey.ZerosMissing
	}
	return survey.ZerosByOthers
}

// nth returns the number that has k smaller or equal ones before it in the order of zs,
// which holds no NaN. It reorders zs.
func nth(zs []float64, k int) float64 {
	for len(zs) > 1 {
		a, b, c := zs[0], zs[len(zs)/2], zs[len(zs)-1]
		mid := max(min(a, b), min(max(a, b), c))
		i, j := 0, len(zs)-1
		for i <= j {
			for zs[i] < mid {
				i++
			}
			for zs[j] > mid {
				j--
			}
			if i <= j {
				zs[i], zs[j] = zs[j], zs[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			zs = zs[:j+1]
		case k >= i:
			zs, k = zs[i:], k-i
		default:
			return mid
		}
	}
	return zs[0]
}

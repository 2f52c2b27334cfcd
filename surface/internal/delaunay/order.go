package delaunay

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"

	"pourplane/surface/internal/exact"
)

const (
	curveBits = 16 // per axis
	digitBits = 11 // of the radix sort, three digits
	digits    = 1 << digitBits
)

// share divides the numbers below n among the processors. Each part is worked out by one call
// of do, and all are done when share returns.
func share(n int, do func(part, lo, hi int)) {
	parts := parts(n)
	var all sync.WaitGroup
	for p := 1; p < parts; p++ {
		all.Go(func() { do(p, p*n/parts, (p+1)*n/parts) })
	}
	do(0, 0, n/parts)
	all.Wait()
}

// parts returns how many parts share makes of n: none so small that the others wait for it.
func parts(n int) int { return min(runtime.GOMAXPROCS(0), n>>14+1) }

// visit is the number of a place and, above it, the cell of the curve that contains it.
type visit uint64

func (v visit) place() int32 { return int32(uint32(v)) }
func (v visit) cell() uint32 { return uint32(v >> 32) }

// curveOrder returns the places along a Z-shaped curve through the cells of a square grid, in
// each cell from west to east and south to north. The order depends on the coordinates only.
// Morton 1966, A computer oriented geodetic data base, IBM Ottawa.
func curveOrder(x, y []float64, u, w axis) ([]visit, error) {
	n := len(x)
	// Half of each coordinate, so that no extent overflows.
	lowX, lowY := float64(u.low*0.5), float64(w.low*0.5)
	size := max(float64(u.high*0.5)-lowX, float64(w.high*0.5)-lowY)
	cell := func(v, low float64) uint32 {
		if size == 0 {
			return 0
		}
		return min(uint32((float64(v*0.5)-low)/size*(1<<curveBits)), 1<<curveBits-1)
	}
	from, to := make([]visit, n), make([]visit, n)
	share(n, func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			k := spread(cell(x[i], lowX))<<1 | spread(cell(y[i], lowY))
			from[i] = visit(k)<<32 | visit(i)
		}
	})
	count := make([][digits]int32, parts(n))
	for digit := range 3 {
		shift := 32 + digit*digitBits
		share(n, func(part, lo, hi int) {
			c := &count[part]
			clear(c[:])
			for _, v := range from[lo:hi] {
				c[v>>shift%digits]++
			}
		})
		var start int32
		for d := range digits {
			for part := range count {
				c := &count[part][d]
				*c, start = start, start+*c
			}
		}
		share(n, func(part, lo, hi int) {
			c := &count[part]
			for _, v := range from[lo:hi] {
				d := v >> shift % digits
				to[c[d]] = v
				c[d]++
			}
		})
		from, to = to, from
	}
	return from, breakTies(from, x, y)
}

// spread puts a 0 before each of the lower 16 bits. Warren 2012, Hacker's Delight, section
// 7-2.
func spread(v uint32) uint32 {
	v = (v | v<<8) & 0x00ff00ff
	v = (v | v<<4) & 0x0f0f0f0f
	v = (v | v<<2) & 0x33333333
	return (v | v<<1) & 0x55555555
}

// breakTies orders places of one cell by coordinates. Equal places are in one cell, so it
// sees every pair of them.
func breakTies(order []visit, x, y []float64) error {
	n := parts(len(order))
	twice := make([]*DuplicateError, n)
	start := make([]int, n+1) // each part begins with a cell
	for p := range start {
		i := p * len(order) / n
		for 0 < i && i < len(order) && order[i].cell() == order[i-1].cell() {
			i++
		}
		start[p] = i
	}
	share(len(order), func(part, _, _ int) {
		end := start[part+1]
		for i := start[part]; i < end; {
			j := i + 1
			for j < end && order[j].cell() == order[i].cell() {
				j++
			}
			if j > i+1 {
				twice[part] = earlier(twice[part], sortCell(order[i:j], x, y))
			}
			i = j
		}
	})
	var first *DuplicateError
	for _, e := range twice {
		first = earlier(first, e)
	}
	if first != nil {
		return first
	}
	return nil
}

// earlier returns which of two errors, of which either may be nil, repeats a place first.
func earlier(a, b *DuplicateError) *DuplicateError {
	if a == nil || b != nil && b.J < a.J {
		return b
	}
	return a
}

func sortCell(run []visit, x, y []float64) *DuplicateError {
	slices.SortFunc(run, func(v, w visit) int {
		a, b := v.place(), w.place()
		switch {
		case exact.Less(x[a], y[a], x[b], y[b]):
			return -1
		case exact.Less(x[b], y[b], x[a], y[a]):
			return 1
		}
		return cmp.Compare(a, b)
	})
	var twice *DuplicateError
	first := run[0].place()
	for _, v := range run[1:] {
		b := v.place()
		if x[first] != x[b] || y[first] != y[b] {
			first = b
		} else if twice == nil || b < twice.J {
			twice = &DuplicateError{first, b}
		}
	}
	return twice
}

// axis describes the coordinates along one axis. If they are whole numbers, not too large for
// sums without rounding, step is their greatest common difference, else it is 0. It is 0 too
// if all are equal.
type axis struct{ low, high, step float64 }

// axisOf returns the index of the first coordinate that is not finite, or -1.
func axisOf(v []float64) (a axis, bad int) {
	all := make([]axis, parts(len(v)))
	share(len(v), func(part, lo, hi int) { all[part] = extent(v[lo:hi]) })
	a = all[0]
	for _, b := range all[1:] {
		a.low, a.high = min(a.low, b.low), max(a.high, b.high)
	}
	if d := a.high*0.5 - a.low*0.5; d-d != 0 {
		if i := slices.IndexFunc(v, func(f float64) bool { return f-f != 0 }); i >= 0 {
			return a, i
		}
	}
	if !(math.Abs(a.low) < 1<<50 && math.Abs(a.high) < 1<<50) {
		return a, -1
	}
	share(len(v), func(part, lo, hi int) { all[part].step = step(v[lo:hi], a.low) })
	for _, b := range all {
		if b.step < 0 {
			return a, -1
		}
		a.step = gcd(a.step, b.step)
	}
	return a, -1
}

// extent returns ends that are not finite if a coordinate is not.
func extent(v []float64) axis {
	low, high, sum := math.Inf(1), math.Inf(-1), 0.0
	for _, f := range v { // comparisons are faster than min and max
		if f < low {
			low = f
		}
		if f > high {
			high = f
		}
		sum += f - f // 0, or no number
	}
	return axis{low: low + sum, high: high}
}

// step returns the greatest common divisor of the differences from low, or -1 if a coordinate
// is not whole.
func step(v []float64, low float64) float64 {
	step, inverse := 0.0, 0.0
	for _, f := range v {
		if f != math.Trunc(f) {
			return -1
		}
		if d := f - low; math.Trunc(d*inverse+0.5)*step != d { // no rounding: d is below 2^51
			step = gcd(step, d)
			inverse = 1 / step
		}
	}
	return step
}

// gcd returns the greatest common divisor of two whole numbers that are not negative.
func gcd(a, b float64) float64 {
	for b != 0 {
		a, b = b, math.Mod(a, b)
	}
	return a
}

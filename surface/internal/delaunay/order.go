package delaunay

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"pourplane/surface/internal/exact"
)

// Keys of the insertion order: the round in the high bits, the place on the Hilbert curve in
// the low bits.
const (
	curveBits = 14 // per axis
	maxRound  = 15
	digitBits = 11 // of the radix sort, three digits
	digits    = 1 << digitBits
	// Of the places of one round and all earlier rounds, one in 2^thinning is not of that
	// round.
	thinning = 4
)

// insertionOrder writes to order the numbers of the places in the order to insert them,
// which depends on the coordinates only. Rounds of growing size are drawn by a hash of the
// coordinates; within a round the order is along a Hilbert curve. Rounds keep walks and
// flips few for any pattern of the survey (Amenta, Choi and Rote 2003, Proc. 19th Symp.
// Computational Geometry 211-219), and the curve keeps them in the cache. scratch has at
// least 3·len(x).
func insertionOrder(order, scratch []int32, x, y []float64) error {
	n := len(x)
	for i := range x {
		if d := (x[i] - x[i]) + (y[i] - y[i]); d != 0 { // Inf-Inf and NaN are not 0
			return &FiniteError{int32(i)}
		}
	}
	// Half of each coordinate, so that no extent overflows.
	lowX, highX := extent(x)
	lowY, highY := extent(y)
	lowX, lowY = float64(lowX*0.5), float64(lowY*0.5)
	size := max(float64(highX*0.5)-lowX, float64(highY*0.5)-lowY)
	cell := func(v, low float64) uint32 {
		if size == 0 {
			return 0
		}
		return min(uint32((float64(v*0.5)-low)/size*(1<<curveBits)), 1<<curveBits-1)
	}
	last := min(maxRound, max(0, bits.Len(uint(n))-4)/thinning)

	keyA, idxA, keyB := scratch[:n], scratch[n:2*n], scratch[2*n:3*n]
	var count [3][digits]int32
	for i := range x {
		round := last - min(last, bits.TrailingZeros64(hash(x[i], y[i]))/thinning)
		k := uint32(round)<<(2*curveBits) | hilbert(cell(x[i], lowX), cell(y[i], lowY))
		keyA[i] = int32(k)
		count[0][k%digits]++
		count[1][k>>digitBits%digits]++
		count[2][k>>(2*digitBits)]++
	}
	for i := range count {
		var start int32
		for j, c := range count[i] {
			count[i][j] = start
			start += c
		}
	}
	for i, k := range keyA {
		c := &count[0][uint32(k)%digits]
		keyB[*c], order[*c] = k, int32(i)
		*c++
	}
	for i, k := range keyB {
		c := &count[1][uint32(k)>>digitBits%digits]
		keyA[*c], idxA[*c] = k, order[i]
		*c++
	}
	for i, k := range keyA {
		c := &count[2][uint32(k)>>(2*digitBits)]
		keyB[*c], order[*c] = k, idxA[i]
		*c++
	}
	return breakTies(order, keyB, x, y)
}

// breakTies orders places of one key by coordinates. Equal places have equal keys, so it
// sees every pair of them.
func breakTies(order, key []int32, x, y []float64) error {
	var twice *DuplicateError
	for i := 0; i < len(key); {
		j := i + 1
		for j < len(key) && key[j] == key[i] {
			j++
		}
		if j > i+1 {
			run := order[i:j]
			slices.SortFunc(run, func(a, b int32) int {
				switch {
				case exact.Less(x[a], y[a], x[b], y[b]):
					return -1
				case exact.Less(x[b], y[b], x[a], y[a]):
					return 1
				}
				return cmp.Compare(a, b)
			})
			first := run[0]
			for _, b := range run[1:] {
				if x[first] != x[b] || y[first] != y[b] {
					first = b
				} else if twice == nil || b < twice.J {
					twice = &DuplicateError{first, b}
				}
			}
		}
		i = j
	}
	if twice != nil {
		return twice
	}
	return nil
}

func extent(v []float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, f := range v {
		low, high = min(low, f), max(high, f)
	}
	return low, high
}

// hash mixes a place into 64 bits. Steele, Lea and Flood 2014, OOPSLA 453-472 (SplitMix64),
// once per coordinate.
func hash(x, y float64) uint64 {
	// Adding 0 makes -0, which is the same place, +0.
	return mix(mix(math.Float64bits(x+0)+0x9e3779b97f4a7c15) + math.Float64bits(y+0))
}

func mix(z uint64) uint64 {
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// hilbert returns the position of the cell (x, y) along a Hilbert curve of 2^curveBits cells
// a side. Each level appends the quarter's number and turns the rest so that the next
// quarter starts where this one ends. Warren 2012, Hacker's Delight, section 16-2.
func hilbert(x, y uint32) uint32 {
	var d uint32
	for s := curveBits - 1; s >= 0; s-- {
		rx, ry := x>>s&1, y>>s&1
		d = d<<2 | (3*rx ^ ry)
		// In the lower two quarters the axes swap; in the right one of them both also
		// reverse. Masks instead of branches, which no processor could predict here.
		lower := ry - 1
		t := (x ^ y) & lower
		turn := -rx & lower
		x, y = x^t^turn, y^t^turn
	}
	return d
}

package thin

import "math/bits"

// wide is a signed number of 128 bits.
type wide struct {
	hi int64
	lo uint64
}

func (w *wide) add(v int64) {
	var carry uint64
	w.lo, carry = bits.Add64(w.lo, uint64(v), 0)
	w.hi += v>>63 + int64(carry)
}

// join adds another sum.
func (w *wide) join(o wide) {
	var carry uint64
	w.lo, carry = bits.Add64(w.lo, o.lo, 0)
	w.hi += o.hi + int64(carry)
}

// addProduct adds v·n.
func (w *wide) addProduct(v int64, n uint64) {
	neg := v < 0
	if neg {
		v = -v
	}
	hi, lo := bits.Mul64(uint64(v), n)
	var carry uint64
	if neg {
		w.lo, carry = bits.Sub64(w.lo, lo, 0)
		w.hi -= int64(hi) + int64(carry)
		return
	}
	w.join(wide{int64(hi), lo})
}

// mean returns w/n rounded to the nearest whole number, halves away from zero. w is the
// sum of n numbers of 64 bits, so the mean fits in 64 bits.
func (w wide) mean(n uint64) int64 {
	hi, lo := uint64(w.hi), w.lo
	if w.hi < 0 {
		var borrow uint64
		lo, borrow = bits.Sub64(0, lo, 0)
		hi, _ = bits.Sub64(0, hi, borrow)
	}
	q, r := bits.Div64(hi, lo, n)
	if r >= n-r {
		q++
	}
	if w.hi < 0 {
		return -int64(q)
	}
	return int64(q)
}

// size returns w without its sign.
func (w wide) size() wide {
	if w.hi >= 0 {
		return w
	}
	lo, borrow := bits.Sub64(0, w.lo, 0)
	hi, _ := bits.Sub64(0, uint64(w.hi), borrow)
	return wide{int64(hi), lo}
}

// past reports whether w is more than o.
func (w wide) past(o wide) bool { return w.hi > o.hi || w.hi == o.hi && w.lo > o.lo }

// short returns numbers that fit in 64 bits.
func short(w [3]wide) (x, y, z int64, ok bool) {
	for _, v := range w {
		if v.hi != int64(v.lo)>>63 {
			return 0, 0, 0, false
		}
	}
	return int64(w[0].lo), int64(w[1].lo), int64(w[2].lo), true
}

package text

import (
	"bytes"
	"encoding/binary"
	"math/bits"

	"pourplane/survey/internal/thin"
	"pourplane/survey/unit"
)

// A scan that is thinned has its numbers in whole nanometres: most are parsed into them
// without a float64 in between.

// farthestWhole is the farthest coordinate, nm, that is parsed so: up to it each float64
// in metres belongs to one whole number of nanometres, and both ways of reading a number agree.
const farthestWhole = 1 << 23 * 1_000_000_000

// mostDecimals is the greatest number of decimals of a metre that are whole nanometres.
const mostDecimals = 9

// wholes are the numbers of a column in nanometres: the factor of a number by its decimals,
// 0 if it is no whole number, and the greatest number.
type wholes [mostDecimals + 1]struct{ times, most uint64 }

// wholesOf returns the factors for a unit.
func wholesOf(u unit.Length) (w wholes) {
	one := uint64(thin.Nanometres(u.Metres()))
	if u == unit.SurveyFoot || u == unit.None {
		return w
	}
	for d := range w {
		w[d].times, w[d].most = one, farthestWhole/one
		if one%10 != 0 {
			break
		}
		one /= 10
	}
	return w
}

// number reads the decimal at b[at:]: a sign, up to 18 digits and a point. stop is its end;
// ok is false for anything else. b ends with a line end.
func number(b []byte, at int) (mant uint64, decimals uint, neg bool, stop int, ok bool) {
	if neg = b[at] == '-'; neg || b[at] == '+' {
		at++
	}
	// Most numbers have at most seven characters, which fit in one word with what follows.
	// The digits are found in it at once, the gap of the point is closed, and eight digits
	// are folded with three multiplications. A byte that is no digit is found right up to
	// the second one.
	if at+8 <= len(b) {
		const zeros, high = 0x3030303030303030, 0x8080808080808080
		w := binary.LittleEndian.Uint64(b[at:])
		t := w ^ zeros
		other := ((t + 0x7676767676767676) | t) & high
		first := uint(bits.TrailingZeros64(other)) &^ 7
		second := uint(bits.TrailingZeros64(other&(other-1))) &^ 7
		if second < 64 && byte(w>>first) == '.' && second > 8 {
			whole := uint64(1)<<first - 1
			digits := (t&whole | t>>8&^whole) << (72 - second)
			digits = digits*10 + digits>>8
			m := uint32((digits&0x000000FF000000FF*0x000F424000000064 + digits>>16&0x000000FF000000FF*0x0000271000000001) >> 32)
			return uint64(m), (second-first)/8 - 1, neg, at + int(second/8), true
		}
	}
	from, point := at, -1
	for ; at-from < 20; at++ {
		if c := b[at] - '0'; c <= 9 {
			mant = mant*10 + uint64(c)
		} else if b[at] == '.' && point < 0 {
			point = at
		} else {
			break
		}
	}
	digits := at - from
	if point >= 0 {
		digits--
		decimals = uint(at - point - 1)
	}
	return mant, decimals, neg, at, digits > 0 && digits <= 18
}

// whole reads the row at the start of b, which ends with a line end. n is its length with its
// line end. ok is false for a row that must be read with more care.
func (s *xyz) whole(b []byte) (p thin.Whole, n int, ok bool) {
	sep, at := byte(s.form.sep), 0
	spaces := s.form.sep == blanks
	var v [3]int64
	for k, slot := range s.slots {
		for b[at] == ' ' {
			at++
		}
		if slot < 0 {
			if k == 0 && bytes.IndexByte([]byte("#/!%*;Rr\t\n"), b[at]) >= 0 { // may be a comment
				return p, 0, false
			}
			for b[at] != '\n' && !(b[at] == sep && !spaces || spaces && (b[at] == ' ' || b[at] == '\t')) {
				at++
			}
		} else {
			mant, decimals, neg, stop, plain := number(b, at)
			if !plain || decimals > mostDecimals {
				return p, 0, false
			}
			if w := &s.wholes[slot][decimals]; mant > w.most || w.times == 0 {
				return p, 0, false
			} else if v[slot] = int64(mant * w.times); neg {
				v[slot] = -v[slot]
			}
			at = stop
		}
		// What is behind a field.
		gap := at
		for b[at] == ' ' || spaces && b[at] == '\t' {
			at++
		}
		switch {
		case b[at] == '\n':
			return thin.Whole{X: v[0], Y: v[1], Z: v[2]}, at + 1, k >= s.last
		case spaces && at > gap:
		case !spaces && b[at] == sep:
			at++
		default:
			return p, 0, false
		}
	}
	return p, 0, false // more fields than columns
}

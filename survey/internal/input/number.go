package input

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
)

// powers of ten that are exact in a float64.
var powers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// LargestNumber is the max number accepted: even in square kilometres it is a finite
// area in square metres.
const LargestNumber = 1e300

// Number parses one number of LandXML or PLY text. It is strict: sign, digits, one
// decimal point, an exponent; no infinities, no other notations. A number of up to 15
// digits with up to 22 decimals is one exact division; others use strconv.
func Number(b []byte) (float64, error) {
	i, neg := 0, false
	if i < len(b) && (b[i] == '-' || b[i] == '+') {
		neg = b[i] == '-'
		i++
	}
	var whole uint64
	digits, decimals, point := 0, 0, false
	for ; i < len(b); i++ {
		switch c := b[i]; {
		case c >= '0' && c <= '9':
			digits++
			if digits <= 15 {
				whole = whole*10 + uint64(c-'0')
			}
			if point {
				decimals++
			}
			continue
		case c == '.' && !point:
			point = true
			continue
		}
		break
	}
	if digits == 0 {
		return 0, badNumber(b)
	}
	if i == len(b) && digits <= 15 && decimals < len(powers) {
		v := float64(whole) / powers[decimals]
		if neg {
			v = -v
		}
		return v, nil
	}
	if i < len(b) { // an exponent, or an error
		if b[i] != 'e' && b[i] != 'E' {
			return 0, badNumber(b)
		}
		for j, c := range b[i+1:] {
			if !(c >= '0' && c <= '9' || j == 0 && (c == '-' || c == '+')) {
				return 0, badNumber(b)
			}
		}
	}
	v, err := strconv.ParseFloat(string(b), 64)
	if err != nil || math.Abs(v) > LargestNumber {
		return 0, badNumber(b)
	}
	return v, nil
}

// NumberError is the error for a text that is not a number.
type NumberError struct{ Found, Want string }

func (e *NumberError) Error() string { return fmt.Sprintf("found %s, want %s", e.Found, e.Want) }

func badNumber(b []byte) error {
	e := &NumberError{strconv.Quote(string(b[:min(len(b), 40)])), "a finite number such as -12.345"}
	if bytes.IndexByte(b, ',') >= 0 {
		e.Want = "a number with a decimal point; LandXML has no decimal comma"
	}
	return e
}

// Numbers parses the numbers of a text, separated by white space, and appends them to
// out.
func Numbers(text []byte, out []float64) ([]float64, error) {
	for i := 0; i < len(text); {
		if c := text[i]; c == ' ' || c == '\t' || c == '\n' || c == '\r' {
			i++
			continue
		}
		j := i
		for j < len(text) && text[j] > ' ' {
			j++
		}
		if j == i { // another control character
			return out, badNumber(text[i : i+1])
		}
		v, err := Number(text[i:j])
		if err != nil {
			return out, err
		}
		out = append(out, v)
		i = j
	}
	return out, nil
}

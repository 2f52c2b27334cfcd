package unit

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// scanner reads a length from left to right.
type scanner struct{ rest string }

func (s *scanner) blanks() { s.rest = strings.TrimLeft(s.rest, " \t") }

// joint skips blanks with one hyphen max among them. It reports whether it skipped
// anything.
func (s *scanner) joint() bool {
	before := len(s.rest)
	s.blanks()
	s.rest = strings.TrimPrefix(s.rest, "-")
	s.blanks()
	return len(s.rest) < before
}

func (s *scanner) integer() (int64, bool) {
	var n int64
	i := 0
	for i < len(s.rest) && i < 15 && s.rest[i] >= '0' && s.rest[i] <= '9' {
		n = n*10 + int64(s.rest[i]-'0')
		i++
	}
	if i == 0 || (i < len(s.rest) && s.rest[i] >= '0' && s.rest[i] <= '9') {
		return 0, false
	}
	s.rest = s.rest[i:]
	return n, true
}

// errGrouped is the error for 1'000 and 4-005.
var errGrouped = errors.New("inches of one or two figures after feet; three figures after an apostrophe are thousands, written 1000")

// inches reads what follows feet: decimal inches, whole inches with or without a
// fraction, or a fraction alone.
func (s *scanner) inches() (quantity, error) {
	if whole := len(s.rest) - len(strings.TrimLeft(s.rest, "0123456789")); whole > 2 && !strings.HasPrefix(s.rest[whole:], "/") {
		return quantity{}, errGrouped
	}
	if d, rest, ok := scanDecimal(s.rest); ok && d.pow10 != 0 {
		if d.pow10 < 0 {
			return quantity{}, errForm
		}
		s.rest = rest
		return quantity{inch: d}, nil
	}
	return s.fractional(quantity{})
}

// fractional reads "63 3/8", "63-3/8", "63" or "3/8" into q.
func (s *scanner) fractional(q quantity) (quantity, error) {
	n, ok := s.integer()
	if !ok {
		return q, errForm
	}
	if strings.HasPrefix(s.rest, "/") {
		return s.fraction(q, n)
	}
	q.inch = decimal{mant: n}
	ahead := *s
	if ahead.joint() {
		if n, ok := ahead.integer(); ok && strings.HasPrefix(ahead.rest, "/") {
			*s = ahead
			return s.fraction(q, n)
		}
	}
	return q, nil
}

// fraction reads "/8" after the numerator n into q.
func (s *scanner) fraction(q quantity, n int64) (quantity, error) {
	s.rest = s.rest[1:]
	d, ok := s.integer()
	if !ok {
		return q, errForm
	}
	switch d {
	case 2, 4, 8, 16, 32, 64:
	default:
		return q, fmt.Errorf("a fraction in halves, 4ths, 8ths, 16ths, 32nds or 64ths, not 1/%d", d)
	}
	if n >= d {
		return q, fmt.Errorf("a fraction below 1, not %d/%d", n, d)
	}
	q.num = n * (64 / d)
	return q, nil
}

// mark reads a unit word or mark, None if there is no such word.
func (s *scanner) mark() Length {
	end := 0
	if s.rest != "" && (s.rest[0] == '\'' || s.rest[0] == '"') {
		end = 1
	} else {
		for end < len(s.rest) && (s.rest[end]|0x20 >= 'a' && s.rest[end]|0x20 <= 'z') {
			end++
		}
		if end == 2 && strings.EqualFold(s.rest[:2], "us") {
			for end < len(s.rest) && (s.rest[end] == ' ' || s.rest[end]|0x20 >= 'a' && s.rest[end]|0x20 <= 'z') {
				end++
			}
		}
	}
	u, ok := ParseLength(s.rest[:end])
	if !ok {
		return None
	}
	s.rest = strings.TrimPrefix(s.rest[end:], ".")
	return u
}

// scanDecimal reads a decimal number: sign, digits, one point, an exponent with E or the
// D of old programs. ok is false if there is no number or it has more digits than a
// length can have.
func scanDecimal(t string) (d decimal, rest string, ok bool) {
	i := 0
	if i < len(t) && (t[i] == '-' || t[i] == '+') {
		d.neg = t[i] == '-'
		i++
	}
	digits, point := 0, false
	for ; i < len(t); i++ {
		c := t[i]
		if c >= '0' && c <= '9' {
			digits++
			if d.mant >= math.MaxInt64/10-1 || d.pow10 >= 40 {
				// A float64 cannot hold more digits, so digits after the point add
				// nothing.
				if !point {
					return d, t, false
				}
				continue
			}
			d.mant = d.mant*10 + int64(c-'0')
			if point {
				d.pow10++
			}
			continue
		}
		if c != '.' || point {
			break
		}
		point = true
	}
	if digits == 0 {
		return d, t, false
	}
	if i < len(t) && (t[i]|0x20 == 'e' || t[i]|0x20 == 'd') {
		j := i + 1
		neg := false
		if j < len(t) && (t[j] == '-' || t[j] == '+') {
			neg = t[j] == '-'
			j++
		}
		e, start := 0, j
		for j < len(t) && j < start+4 && t[j] >= '0' && t[j] <= '9' {
			e = e*10 + int(t[j]-'0')
			j++
		}
		if j > start {
			if e > 400 {
				return d, t, false
			}
			if neg {
				e = -e
			}
			d.pow10 -= e
			i = j
		}
	}
	return d, t[i:], true
}

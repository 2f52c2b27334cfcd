// Package unit reads and writes lengths as crews write them. Only this package knows the
// foot; everything above it holds metres.
package unit

import (
	"math/big"
	"strings"
)

// Length is a unit of length.
type Length uint8

const (
	None Length = iota
	Metre
	Centimetre
	Millimetre
	Foot       // international, 0.3048 m exactly
	SurveyFoot // US survey foot, 1200/3937 m
	Inch       // 25.4 mm exactly
)

// ratio is a unit as num/den metres. den is 10^pow10, times 3937 for the survey foot.
// Whole numbers keep conversions exact up to one division. Feet and inches: Federal
// Register 85 FR 62698 (2020).
var ratio = [...]struct {
	num   int64
	pow10 int
}{
	None:       {1, 0},
	Metre:      {1, 0},
	Centimetre: {1, 2},
	Millimetre: {1, 3},
	Foot:       {3048, 4},
	SurveyFoot: {1200, 0},
	Inch:       {254, 4},
}

// Metres returns the length of one unit in metres, 0 for None.
func (u Length) Metres() float64 {
	if u == None || int(u) >= len(ratio) {
		return 0
	}
	return decimal{mant: 1}.in(u)
}

// ToMetres returns v units in metres; u is not None. It multiplies and divides by whole
// numbers. The result is rounded once if the product is exact, as it is for numbers of
// up to 41 binary digits, and twice otherwise.
func (u Length) ToMetres(v float64) float64 {
	if u == SurveyFoot {
		return v * 1200 / 3937
	}
	return v * float64(ratio[u].num) / pow10s[ratio[u].pow10]
}

// Imperial reports whether u is a foot or an inch.
func (u Length) Imperial() bool { return u == Foot || u == SurveyFoot || u == Inch }

// IsFoot reports whether u is the foot or the US survey foot.
func (u Length) IsFoot() bool { return u == Foot || u == SurveyFoot }

// String returns the unit as written after a number, "" for None.
func (u Length) String() string {
	names := [...]string{"", "m", "cm", "mm", "ft", "ftUS", "in"}
	if int(u) >= len(names) {
		return ""
	}
	return names[u]
}

var words = map[string]Length{
	"m": Metre, "metre": Metre, "metres": Metre, "meter": Metre, "meters": Metre,
	"cm": Centimetre, "centimetre": Centimetre, "centimetres": Centimetre, "centimeter": Centimetre, "centimeters": Centimetre,
	"mm": Millimetre, "millimetre": Millimetre, "millimetres": Millimetre, "millimeter": Millimetre, "millimeters": Millimetre,
	"ft": Foot, "feet": Foot, "foot": Foot, "'": Foot, "ift": Foot, "international feet": Foot, "international foot": Foot,
	"ftus": SurveyFoot, "us ft": SurveyFoot, "usft": SurveyFoot, "sft": SurveyFoot, "ft us": SurveyFoot, "us survey feet": SurveyFoot, "us survey foot": SurveyFoot, "survey feet": SurveyFoot, "survey foot": SurveyFoot,
	"in": Inch, "ins": Inch, "inch": Inch, "inches": Inch, `"`: Inch,
}

// ParseLength returns the unit that word names, in any case, with or without a final
// full stop: m, mm, ft, feet, ', US ft, in, " and similar.
func ParseLength(word string) (Length, bool) {
	word = strings.ToLower(strings.TrimSpace(plain(word)))
	word = strings.TrimSuffix(strings.ReplaceAll(word, "_", " "), ".")
	u, ok := words[word]
	return u, ok
}

// decimal is mant / 10^pow10, negative when neg.
type decimal struct {
	mant  int64
	pow10 int // digits after the decimal point minus the exponent; may be negative
	neg   bool
}

// pow10s holds the powers of ten that a float64 holds exactly.
var pow10s = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

const exactInt = 1 << 53 // every whole number up to this is a float64

// in returns d of unit u in metres, rounded once. If a float64 holds both sides of the
// division exactly, the division is the only rounding. Otherwise big arithmetic is used.
func (d decimal) in(u Length) float64 {
	r := ratio[u]
	var v float64
	p := d.pow10 + r.pow10
	fits := d.mant <= exactInt/r.num
	switch {
	case fits && u != SurveyFoot && p >= 0 && p < len(pow10s):
		v = float64(d.mant*r.num) / pow10s[p]
	case fits && u == SurveyFoot && p >= 0 && p <= 12:
		v = float64(d.mant*r.num) / (3937 * pow10s[p])
	default:
		x := new(big.Rat).SetInt64(d.mant)
		x.Mul(x, big.NewRat(r.num, 1))
		ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(p, -p))), nil)
		if p >= 0 {
			x.Quo(x, new(big.Rat).SetInt(ten))
		} else {
			x.Mul(x, new(big.Rat).SetInt(ten))
		}
		if u == SurveyFoot {
			x.Quo(x, big.NewRat(3937, 1))
		}
		v, _ = x.Float64()
	}
	if d.neg {
		return -v
	}
	return v
}

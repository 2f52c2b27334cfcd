package unit

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"unicode/utf8"
)

// ErrNoUnit is the cause when a length has no unit and no default unit is known.
var ErrNoUnit = errors.New("a length with its unit")

// ErrHyphen is the cause when two numbers with a hyphen may be feet and inches.
var ErrHyphen = errors.New("feet and inches with their marks, such as 4'-5 3/8\"")

// ErrThird is the cause when feet, inches and a last figure do not say what that one counts.
var ErrThird = errors.New("feet-inches and a fraction: does the last figure count eighths or sixteenths of an inch?")

// noUnit is ErrNoUnit with other words.
type noUnit string

func (n noUnit) Error() string { return string(n) }

func (n noUnit) Unwrap() error { return ErrNoUnit }

// NoUnit returns an error that wraps [ErrNoUnit] and reads as want.
func NoUnit(want string) error { return noUnit(want) }

// Parse returns the length in text, in metres. A number with a unit is read in that
// unit, a bare number in def. With def None a bare number is an error that wraps
// [ErrNoUnit], except zero, which is zero in every unit.
//
// In addition to decimals with a unit ("20mm", "5.25 ft") it reads feet, inches and
// fractions as crews write them: 5' 3-3/8", 5'-3 3/8", 63 3/8", 3/4in, 5 ft 3.375 in,
// with straight, curly or prime marks and fraction characters. A hyphen after the first
// figure joins and is no minus. A sign in front applies to the whole length. 4-5 3/8 is
// read without marks, since it can only be feet, inches and a fraction. A word at the
// end for a hair over or under the mark (+, heavy, strong, full; -, light, scant, shy)
// is 1/32 in. The decimal sign is a point. The result is the float64 nearest to the
// written length.
//
// The text of an error is what was wanted, in a form that follows "want".
//
// Refused: NaN, infinities, hexadecimal, underscores; fractions of 1 or more or with a
// denominator other than 2, 4, 8, 16, 32 or 64; 12 inches or more after feet; inches of
// three figures after feet, since an apostrophe before three figures groups thousands
// (1'000); bare fractions where def is not the inch.
func Parse(text string, def Length) (float64, error) {
	if d, rest, ok := scanDecimal(text); ok && rest == "" {
		return bare(d, def)
	}
	t, hairs := hair(plain(text))
	v, err := parse(t, def)
	return byHair(v, hairs, err)
}

// hairWords are the words for a reading a hair over or under a mark of the rod: 1/32 in
// (common practice, no source).
var hairWords = []struct {
	word  string
	hairs int64
}{{"heavy", 1}, {"strong", 1}, {"full", 1}, {"plus", 1}, {"light", -1}, {"scant", -1}, {"shy", -1}, {"minus", -1}, {"+", 1}, {" -", -1}}

// hair splits a hair word from the end of a length in inches, such as 5 3/8 + or 4'-5
// 3/8" light.
func hair(text string) (rest string, hairs int64) {
	t := strings.TrimRight(text, " \t")
	if n := len(t); n < 3 || !strings.ContainsAny(t, "/\"") && !strings.Contains(t, "in") {
		return text, 0
	}
	for _, h := range hairWords {
		if rest, ok := strings.CutSuffix(strings.ToLower(t), h.word); ok {
			rest = strings.TrimRight(rest, " \t")
			if last := len(rest) - 1; last >= 0 && (rest[last] == '"' || rest[last] >= '0' && rest[last] <= '9' || strings.HasSuffix(rest, "in")) {
				return t[:len(rest)], h.hairs
			}
		}
	}
	return text, 0
}

// byHair returns v plus hairs of 1/32 in, still rounded once.
func byHair(v float64, hairs int64, err error) (float64, error) {
	if hairs == 0 || err != nil {
		return v, err
	}
	n := math.Round(v / (0.0254 / 64))
	if math.Abs(v-n*(0.0254/64)) > 1e-12 || math.Abs(n) > 1e12 {
		return 0, errors.New("inches in halves to 64ths before a word for a hair, such as 5 3/8\" +")
	}
	if v < 0 {
		return -decimal{mant: -int64(n) + 2*hairs, pow10: 9}.times(396875), nil
	}
	return decimal{mant: int64(n) + 2*hairs, pow10: 9}.times(396875), nil
}

// ParsePlain is [Parse] for the simplest form, which most numbers of a scan have: a
// sign, up to 18 digits and a decimal point, in def. It allocates no string. ok is false
// for any other form; use Parse for it.
func ParsePlain(text []byte, def Length) (metres float64, ok bool) {
	i := 0
	var d decimal
	if len(text) > 0 && (text[0] == '-' || text[0] == '+') {
		d.neg = text[0] == '-'
		i = 1
	}
	digits, point := 0, false
	for ; i < len(text); i++ {
		switch c := text[i]; {
		case c >= '0' && c <= '9':
			digits++
			d.mant = d.mant*10 + int64(c-'0')
			if point {
				d.pow10++
			}
		case c == '.' && !point:
			point = true
		default:
			return 0, false
		}
		if digits > 18 {
			return 0, false
		}
	}
	if digits == 0 || def == None {
		return 0, false
	}
	if def == Metre && d.mant > exactInt { // as d.in, without big numbers
		v, err := strconv.ParseFloat(string(text), 64)
		return v, err == nil
	}
	return d.in(def), true
}

// OfDecimal returns mant / 10^decimals of unit u in metres, rounded once, with a minus in
// front if neg is set.
func OfDecimal(mant int64, decimals int, neg bool, u Length) float64 {
	return decimal{mant, decimals, neg}.in(u)
}

// ParseFeetInches returns the length in a column of feet and inches, in metres: 4-5 3/8
// is 4 feet 5 3/8 inches, 4-6 is 4 feet 6 inches; marks are allowed. A bare number is an
// error, since it may be feet or inches, and so is a number with a fraction and no mark.
// Three numbers as in 5-3-6 are feet, inches and a count of 1/last inches if last is 8
// or 16, and an error if last is 0.
func ParseFeetInches(text string, last int) (float64, error) {
	t, hairs := hair(strings.TrimSpace(plain(text)))
	v, err := feetInches(t, last)
	return byHair(v, hairs, err)
}

func feetInches(t string, last int) (float64, error) {
	neg := strings.HasPrefix(t, "-")
	s := scanner{rest: strings.TrimLeft(t, "+- ")}
	feet, ok := s.integer()
	if !ok || !s.joint() {
		return markedOnly(t)
	}
	before := s
	inches, ok := s.integer()
	if !ok || strings.HasPrefix(s.rest, "/") {
		return markedOnly(t) // 53 3/8": inches without feet
	}
	if strings.HasPrefix(s.rest, "-") {
		third := s
		third.rest = third.rest[1:]
		if n, ok := third.integer(); ok && third.rest == "" {
			return threeFigures(neg, feet, inches, n, last)
		}
	}
	s = before
	q, err := s.inches()
	if err != nil {
		return 0, err
	}
	s.blanks()
	if s.mark() == Inch {
		s.blanks()
	}
	if s.rest != "" {
		return markedOnly(t)
	}
	q.neg, q.feet, q.hasFeet = neg, feet, true
	return q.metres(Foot)
}

// markedOnly reads a cell of a feet-inches column that has its own marks.
func markedOnly(t string) (float64, error) {
	v, err := parse(t, None)
	if errors.Is(err, ErrNoUnit) {
		return 0, NoUnit("feet-inches such as 4-5 3/8, or a number with ' or \"")
	}
	return v, err
}

func threeFigures(neg bool, feet, inches, n int64, last int) (float64, error) {
	switch {
	case last != 8 && last != 16:
		return 0, ErrThird
	case n >= int64(last):
		return 0, fmt.Errorf("last figures below %d, since they count 1/%d inches", last, last)
	}
	q := quantity{neg: neg, hasFeet: true, feet: feet, inch: decimal{mant: inches}, num: n * int64(64/last)}
	return q.metres(Foot)
}

// bare returns d, a number without a unit, in unit def.
func bare(d decimal, def Length) (float64, error) {
	if def == None {
		if d.mant == 0 {
			return 0, nil
		}
		return 0, ErrNoUnit
	}
	v := d.in(def)
	if math.IsInf(v, 0) {
		return 0, errors.New("a number that is not out of all bounds")
	}
	return v, nil
}

// plain replaces marks, minus signs, blanks and fraction characters by ASCII.
func plain(text string) string {
	ascii := true
	for i := 0; i < len(text); i++ {
		if text[i] >= utf8.RuneSelf || text[i] == '`' {
			ascii = false
			break
		}
	}
	if ascii {
		if strings.Contains(text, "''") {
			return strings.ReplaceAll(text, "''", `"`)
		}
		return text
	}
	var b strings.Builder
	digit := false
	for _, r := range text {
		was := digit
		digit = r >= '0' && r <= '9'
		switch r {
		case '’', '‘', '′', '`', '´', 'ʹ':
			b.WriteByte('\'')
		case '”', '“', '″', 'ʺ', '〃':
			b.WriteByte('"')
		case '−', '–', '‐', '‑', '‒':
			b.WriteByte('-')
		case '\u00a0', '\u2009', '\u202f', '\u2007', '\u2002', '\u2003':
			b.WriteByte(' ')
		case '⁄':
			b.WriteByte('/')
		default:
			f, ok := vulgar[r]
			if !ok {
				b.WriteRune(r)
				continue
			}
			if was {
				b.WriteByte(' ')
			}
			b.WriteString(f)
		}
	}
	return strings.ReplaceAll(b.String(), "''", `"`)
}

var vulgar = map[rune]string{
	'¼': "1/4", '½': "1/2", '¾': "3/4", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8",
	'⅓': "1/3", '⅔': "2/3", '⅕': "1/5", '⅖': "2/5", '⅗': "3/5", '⅘': "4/5", '⅙': "1/6", '⅚': "5/6",
}

// quantity is feet, inches and 64ths as written.
type quantity struct {
	neg     bool
	hasFeet bool
	feet    int64
	inch    decimal
	num     int64 // 64ths of an inch, or of a foot if a foot mark follows a lone fraction
}

// metres adds the parts of q in whole numbers. foot is the kind of foot.
func (q quantity) metres(foot Length) (float64, error) {
	const most = 1 << 40
	if q.hasFeet && float64(q.inch.mant) >= 12*math.Pow10(q.inch.pow10) {
		return 0, errors.New("inches below 12 after feet")
	}
	if q.feet > most || q.inch.mant > most*1000 || q.inch.pow10 > 9 {
		return 0, errors.New("a shorter number")
	}
	var v float64
	if q.inch.pow10 == 0 {
		n64 := (q.feet*12+q.inch.mant)*64 + q.num
		if foot == SurveyFoot {
			v = float64(n64*100) / (3937 * 64)
		} else {
			// 1/64 in is 396,875 nm exactly.
			v = decimal{mant: n64, pow10: 9}.times(396875)
		}
	} else {
		scale := int64(pow10s[q.inch.pow10])
		if q.feet*12 > most*1000/scale {
			return 0, errors.New("a shorter number")
		}
		d := decimal{mant: q.feet*12*scale + q.inch.mant, pow10: q.inch.pow10}
		if foot == SurveyFoot {
			v = d.in(SurveyFoot) / 12
		} else {
			v = d.in(Inch)
		}
	}
	if q.neg {
		v = -v
	}
	return v, nil
}

// times returns d·n as a float64, rounded once.
func (d decimal) times(n int64) float64 {
	if d.mant <= exactInt/n {
		return float64(d.mant*n) / pow10s[d.pow10]
	}
	x := new(big.Rat).SetInt64(d.mant)
	v, _ := x.Mul(x, big.NewRat(n, int64(pow10s[d.pow10]))).Float64()
	return v
}

var errForm = errors.New("a length such as 1.482, 20 mm or 5' 3-3/8\"")

// parse reads the whole of text, already in plain form.
func parse(text string, def Length) (float64, error) {
	t := strings.TrimSpace(text)
	var q quantity
	s := scanner{rest: t}
	if strings.HasPrefix(t, "-") || strings.HasPrefix(t, "+") {
		q.neg = t[0] == '-'
		s.rest = strings.TrimLeft(t[1:], " ")
	}
	if s.rest == "" || (s.rest[0] != '.' && (s.rest[0] < '0' || s.rest[0] > '9')) {
		return 0, errForm
	}
	foot := Foot
	if def == SurveyFoot {
		foot = SurveyFoot
	}
	if v, done, err := s.oneNumber(q.neg, def, foot); done {
		return v, err
	}
	return s.withFraction(q, def, foot)
}

// oneNumber reads one number with its unit, the only form of a metric length, or feet
// with their mark and inches. done is false if another number follows without a unit
// between.
func (s scanner) oneNumber(neg bool, def, foot Length) (v float64, done bool, err error) {
	d, rest, ok := scanDecimal(s.rest)
	if !ok {
		return 0, true, errForm
	}
	d.neg = neg
	after := scanner{rest: rest}
	after.blanks()
	if after.rest == "" {
		v, err = bare(d, def)
		return v, true, err
	}
	u := after.mark()
	if u == None {
		return 0, false, nil
	}
	if u == Foot {
		u = foot
	}
	after.blanks()
	switch {
	case after.rest == "":
		v, err = bare(d, u)
	case u != Foot && u != SurveyFoot:
		err = errForm
	default:
		v, err = feetAndInches(d, after, u)
	}
	return v, true, err
}

// withFraction reads inches with a fraction, or a fraction alone, into q.
func (s scanner) withFraction(q quantity, def, foot Length) (float64, error) {
	q, err := s.fractional(q)
	if err != nil {
		return 0, err
	}
	s.blanks()
	u := s.mark()
	s.blanks()
	switch {
	case s.rest != "":
		return s.hyphened(q, u, foot)
	case u == None && def == Inch, u == Inch:
		return q.metres(foot)
	case u == Foot || u == SurveyFoot:
		// 5 1/2' is five and a half feet: a 64th of a foot is 12 times a 64th of an
		// inch.
		n := (q.inch.mant*64 + q.num) * 12
		return quantity{neg: q.neg, inch: decimal{mant: n / 64}, num: n % 64}.metres(foot)
	case u == None:
		return 0, NoUnit("a fraction with an inch mark, such as 3/8\"")
	}
	return 0, errors.New("decimals with a metric unit")
}

// hyphened reads what follows q and its unit u: a hyphen and inches, with q as the feet,
// as in 4-5 3/8. Only a fraction shows that they are inches.
func (s scanner) hyphened(q quantity, u, foot Length) (float64, error) {
	if len(s.rest) < 2 || s.rest[0] != '-' || s.rest[1] < '0' || s.rest[1] > '9' {
		return 0, errForm
	}
	if whole := s; u == None && q.num == 0 {
		whole.rest = whole.rest[1:]
		if w, err := whole.fractional(quantity{}); err == nil && w.num > 0 {
			whole.blanks()
			whole.mark()
			if whole.blanks(); whole.rest == "" {
				w.neg, w.feet, w.hasFeet = q.neg, q.inch.mant, true
				return w.metres(foot)
			}
		}
	}
	if strings.Count(s.rest, "-") > 1 {
		return 0, ErrThird
	}
	return 0, ErrHyphen
}

// feetAndInches reads what follows a foot mark.
func feetAndInches(feet decimal, s scanner, foot Length) (float64, error) {
	if feet.pow10 != 0 {
		return 0, errors.New("whole feet before inches")
	}
	s.joint()
	if s.rest == "" {
		return 0, errForm
	}
	q, err := s.inches()
	if err != nil {
		return 0, err
	}
	s.blanks()
	if u := s.mark(); u != None && u != Inch {
		return 0, errForm
	}
	s.blanks()
	if s.rest != "" {
		return 0, errForm
	}
	q.neg, q.feet, q.hasFeet = feet.neg, feet.mant, true
	return q.metres(foot)
}

package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Style is how results are written. The zero value is metric. An imperial style writes
// fractions of 1/Denominator inch, 1/16 if Denominator is 0. Values are rounded once,
// here, and NaN is written as a dash.
type Style struct {
	Imperial    bool
	Denominator int // 2, 4, 8, 16, 32 or 64

	// For an imperial style: plan coordinates and distances, and elevations, are in US
	// survey feet. On a state plane grid the two feet put a point metres apart.
	SurveyPlaces, SurveyElevations bool
}

// StyleOf returns the style for a survey with x and y in unit plan and elevations in
// unit up.
func StyleOf(plan, up Length) Style {
	return Style{Imperial: up.Imperial() || up == None && plan.Imperial(), SurveyPlaces: plan == SurveyFoot, SurveyElevations: up == SurveyFoot}
}

// Places returns the unit of plan coordinates: metre, foot or US survey foot.
func (s Style) Places() Length { return s.large(s.SurveyPlaces) }

// Elevations returns the unit of elevations: metre, foot or US survey foot.
func (s Style) Elevations() Length { return s.large(s.SurveyElevations) }

func (s Style) large(surveyFoot bool) Length {
	switch {
	case !s.Imperial:
		return Metre
	case surveyFoot:
		return SurveyFoot
	}
	return Foot
}

const none = "—"

// picometres returns m in whole picometres. 1/32 in has no exact float64; in picometres
// it is exactly half of 1/16 in, so halves round correctly.
func picometres(m float64) (int64, bool) {
	p := math.Round(m * 1e12)
	if !(math.Abs(p) < 1<<62) {
		return 0, false
	}
	return int64(p), true
}

func (s Style) denominator() int64 {
	switch s.Denominator {
	case 2, 4, 8, 16, 32, 64:
		return int64(s.Denominator)
	}
	return 16
}

// step returns the smallest difference that depths show, pm.
func (s Style) step() int64 {
	if s.Imperial {
		return 25_400_000_000 / s.denominator()
	}
	return 1_000_000_000
}

// Step returns the smallest difference that depths show, m.
func (s Style) Step() float64 { return float64(s.step()) / 1e12 }

// Depth returns m to the nearest millimetre or fraction of an inch: "68 mm", 2 11/16". A
// minus sign applies to the whole and the fraction.
func (s Style) Depth(m float64) string {
	p, ok := picometres(m)
	if !ok {
		return none
	}
	return s.depth(nearest(p, s.step()))
}

// Change writes a change of level: as a depth up to 2 ft or 600 mm, and in feet and inches or in
// metres beyond, where nobody counts in inches. Own choice: a rod misread by a foot is still
// compared with its neighbours in inches.
func (s Style) Change(m float64) string {
	most := 0.6
	if s.Imperial {
		most = 2 * Foot.Metres()
	}
	if math.Abs(m) > most+s.Step()/2 {
		return s.Length(m)
	}
	return s.Depth(m)
}

// DepthDown is [Style.Depth] rounded down, for a minimum depth that must not read better
// than it is.
func (s Style) DepthDown(m float64) string { return s.Depth(Down(m, s.Step())) }

// HalfUp rounds v to a number of decimals. Halves, as written in decimals, round away
// from zero: 6080.625 becomes 6080.63, and 1.005, whose binary value is slightly less,
// becomes 1.01. A spreadsheet rounds the same.
func HalfUp(v float64, decimals int) float64 {
	const noise, most = 1e6, 1 << 52 // noise: rounding error as 1/noise of the last decimal; most: up to it a float64 holds every whole number
	ten := math.Pow10(decimals)
	steps := math.Abs(v) * ten
	if !(steps*noise < most) {
		return v
	}
	return math.Copysign(math.Floor(math.Round(steps*noise)/noise+0.5)/ten, v)
}

// DepthUp is [Style.Depth] rounded up, for a cut that is the negative of a minimum
// depth: both show the same figure.
func (s Style) DepthUp(m float64) string { return s.Depth(Up(m, s.Step())) }

// nearest returns p in steps, rounding halves away from zero.
func nearest(p, step int64) int64 {
	if p < 0 {
		return -nearest(-p, step)
	}
	return (p + step/2) / step
}

func (s Style) depth(n int64) string {
	if !s.Imperial {
		return strconv.FormatInt(n, 10) + " mm"
	}
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	return sign + s.inches(n) + `"`
}

// inches writes n/Denominator as "2 11/16", "11/16", "2" or "0".
func (s Style) inches(n int64) string {
	d := s.denominator()
	whole, num := n/d, n%d
	if num == 0 {
		return strconv.FormatInt(whole, 10)
	}
	for num%2 == 0 {
		num, d = num/2, d/2
	}
	if whole == 0 {
		return fmt.Sprintf("%d/%d", num, d)
	}
	return fmt.Sprintf("%d %d/%d", whole, num, d)
}

// mostTaped is the length in feet from which lengths are decimal.
const mostTaped = 1000

// Length returns m as a distance in plan: "10.973 m", 36'-0", 4" and from 1,000 ft
// "1523506.78 ft".
func (s Style) Length(m float64) string {
	if !s.Imperial {
		return fixed(m, 3, "m")
	}
	if feet := m / s.Places().Metres(); math.Abs(feet) > mostTaped-0.5/12/float64(s.denominator()) { // a coordinate; nobody tapes it
		return fixed(feet, 2, s.Places().String())
	}
	return s.feetAndInches(m)
}

// About returns m as a distance in plan that need not be exact, to 10 mm or 1 in: "1.21 m", 6'-7".
func (s Style) About(m float64) string {
	if !s.Imperial {
		return fixed(m, 2, "m")
	}
	inch := s.Places().Metres() / 12
	return s.Length(inch * math.Round(m/inch))
}

// AboutPlace is [Style.Place] to 10 mm or 0.1 ft.
func (s Style) AboutPlace(x, y float64) string {
	u, digits := s.Places(), s.placeDigits()-1
	return fmt.Sprintf("(%.*f, %.*f) %s", digits, x/u.Metres(), digits, y/u.Metres(), u)
}

// feetAndInches writes m in feet and inches, at any length.
func (s Style) feetAndInches(m float64) string {
	if s.SurveyPlaces { // convert to the same number of international feet
		m = m / SurveyFoot.Metres() * Foot.Metres()
	}
	p, ok := picometres(m)
	if !ok {
		return fixed(m/0.3048, 2, s.Places().String()) // too long for whole sixteenths
	}
	n := nearest(p, s.step())
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	foot := 12 * s.denominator()
	in := s.inches(n % foot)
	if n < foot {
		return sign + in + `"` // as crews write it, not 0'-4"
	}
	if rest := n % foot; rest > 0 && rest < s.denominator() {
		in = "0 " + in // 18'-0 11/16", not 18'-11/16", which can be misread
	}
	return fmt.Sprintf(`%s%d'-%s"`, sign, n/foot, in)
}

// Level returns m as an elevation for the crew: "10.012 m", and in feet both decimal and
// in inches, "99.930 ft (99'-11 3/16")".
func (s Style) Level(m float64) string {
	if !s.Imperial || math.IsNaN(m) || math.IsInf(m, 0) {
		return s.Elevation(m)
	}
	text := s.Elevation(m)
	s.SurveyPlaces = s.SurveyElevations // inches of the same foot
	return text + " (" + s.feetAndInches(m) + ")"
}

// LevelDown is [Style.Level] of a target, rounded down, because nothing is finished above it.
// The inches come first where they alone are exact: that can be typed back. "99'-11 5/8"
// (99.968 ft)".
func (s Style) LevelDown(m float64) string {
	decimal := s.ElevationDown(m)
	if !s.Imperial || math.IsNaN(m) || math.IsInf(m, 0) {
		return decimal
	}
	step := s.Step()
	if s.SurveyPlaces = s.SurveyElevations; s.SurveyPlaces { // inches of the same foot
		step *= SurveyFoot.Metres() / Foot.Metres()
	}
	down := Down(m, step)
	inches := s.feetAndInches(down)
	if s.Elevations() == Foot && math.Abs(down-m) <= Noise && math.Abs(Down(m, Foot.Metres()/1e3)-m) > Noise {
		return inches + " (" + decimal + ")"
	}
	return decimal + " (" + inches + ")"
}

// ElevationDown is [Style.Elevation] rounded down.
func (s Style) ElevationDown(m float64) string {
	u := s.Elevations()
	return fixed(Down(m, u.Metres()/1e3)/u.Metres(), 3, u.String())
}

// Elevation returns m as an elevation: "10.012 m", "99.930 ft", "99.930 ftUS".
func (s Style) Elevation(m float64) string {
	u := s.Elevations()
	return fixed(m/u.Metres(), 3, u.String())
}

// Coordinate returns m as a coordinate of a place: "3.250 m", "10.66 ft".
func (s Style) Coordinate(m float64) string {
	return fixed(m/s.Places().Metres(), s.placeDigits(), s.Places().String())
}

// Place returns a place in plan: "(3.250, 4.000) m", "(10.66, 13.12) ft".
func (s Style) Place(x, y float64) string {
	u, digits := s.Places(), s.placeDigits()
	return fmt.Sprintf("(%.*f, %.*f) %s", digits, x/u.Metres(), digits, y/u.Metres(), u)
}

func (s Style) placeDigits() int {
	if s.Imperial {
		return 2
	}
	return 3
}

// Area returns an area given in m²: "80.80 m²", "869.8 ft²".
//
// An area too small for its digits is "less than 0.1 ft²".
func (s Style) Area(m2 float64) string {
	text, least := fixed(m2, 2, "m²"), "0.01 m²"
	if s.Imperial {
		text, least = fixed(m2/(0.3048*0.3048), 1, "ft²"), "0.1 ft²"
	}
	if m2 > 0 && !strings.ContainsAny(strings.TrimRight(text, "²"), "123456789") {
		return "less than " + least
	}
	return text
}

// NoArea reports whether an area given in m² is too small for the digits of [Style.Area].
func (s Style) NoArea(m2 float64) bool { return m2 == 0 || strings.HasPrefix(s.Area(m2), "less") }

// Volume returns a volume given in m³: "5.59 m³", "7.31 yd³".
func (s Style) Volume(m3 float64) string {
	if s.Imperial {
		return fixed(m3/(0.9144*0.9144*0.9144), 2, "yd³")
	}
	return fixed(m3, 2, "m³")
}

// SmallVolume is [Style.Volume] in litres or ft³ below 0.1 of its unit, where the two
// decimals of [Style.Volume] would leave one figure.
func (s Style) SmallVolume(m3 float64) string { return s.PartVolume(m3, m3) }

// PartVolume writes a part of a volume in the unit in which [Style.SmallVolume] writes the
// whole.
func (s Style) PartVolume(m3, whole float64) string {
	if size, digits, name := s.volumeUnit(whole); name != "" {
		return fixed(m3/size, digits, name)
	}
	return s.Volume(m3)
}

// PartVolumeTo is [Style.PartVolume] with as many more digits as make its last one no more than
// step, m³.
func (s Style) PartVolumeTo(m3, whole, step float64) string {
	size, digits, name := s.volumeUnit(whole)
	if name == "" {
		_, name, _ = strings.Cut(s.Volume(0), " ")
	}
	const most = 6 // digits: a drop
	for digits < most && size*math.Pow10(-digits) > step {
		digits++
	}
	return fixed(m3/size, digits, name)
}

// PartStep returns the last digit of [Style.PartVolume], m³.
func (s Style) PartStep(whole float64) float64 {
	size, digits, _ := s.volumeUnit(whole)
	return size * math.Pow10(-digits)
}

// volumeUnit returns the unit of [Style.SmallVolume], m³, and its digits; its name is "" for
// the unit of [Style.Volume].
func (s Style) volumeUnit(m3 float64) (size float64, digits int, name string) {
	const yard, foot = 0.9144 * 0.9144 * 0.9144, 0.3048 * 0.3048 * 0.3048
	size = 1
	if s.Imperial {
		size = yard
	}
	switch v := math.Abs(m3) / size; {
	case !(v > 0 && v < 0.0995):
		return size, 2, ""
	case s.Imperial && v*27 < 0.995:
		return foot, 2, "ft³"
	case s.Imperial:
		return foot, 1, "ft³"
	case v < 0.000995:
		return 0.001, 2, "L"
	case v < 0.00995:
		return 0.001, 1, "L"
	}
	return 0.001, 0, "L"
}

// The pound is 0.45359237 kg exactly (Federal Register 24 FR 5348, 1959).
const poundKg = 0.45359237

// Mass returns a mass given in kg: "13.4 t", "850 kg", "29,560 lb". From 1,000 lb it is in
// tens, as in a table whose parts add up.
func (s Style) Mass(kg float64) string {
	switch {
	case math.IsNaN(kg) || math.IsInf(kg, 0):
		return none
	case !s.Imperial && math.Abs(kg) < 999.5:
		return fixed(kg, 0, "kg")
	case !s.Imperial:
		return fixed(kg/1000, 1, "t")
	}
	lb := kg / poundKg
	to := 1.0
	switch a := math.Abs(lb); {
	case a >= 99_995:
		to = 100
	case a >= 1_000:
		to = 10
	}
	text := strconv.FormatFloat(math.Round(lb/to)*to, 'f', 0, 64)
	return unsignedZero(grouped(text)) + " lb"
}

// Load returns a load given in kg/m²: "163 kg/m²", "33.5 lb/ft²".
func (s Style) Load(kgm2 float64) string {
	if s.Imperial {
		return fixed(kgm2/poundKg*(0.3048*0.3048), 1, "lb/ft²")
	}
	return fixed(kgm2, 0, "kg/m²")
}

// UnitWeight returns a unit weight given in kg/m³ to four figures: "2400 kg/m³",
// "149.8 lb/ft³".
func (s Style) UnitWeight(kgm3 float64) string {
	name := "kg/m³"
	if s.Imperial {
		kgm3, name = kgm3/poundKg*(0.3048*0.3048*0.3048), "lb/ft³"
	}
	if math.IsNaN(kgm3) || math.IsInf(kgm3, 0) {
		return none
	}
	if kgm3 != 0 {
		to := math.Pow(10, math.Floor(math.Log10(math.Abs(kgm3)))-3)
		if to < 1 {
			kgm3 = math.Round(kgm3/to) / math.Round(1/to)
		} else {
			kgm3 = math.Round(kgm3)
		}
	}
	return unsignedZero(strconv.FormatFloat(kgm3, 'f', -1, 64)) + " " + name
}

// DepthUnit returns the unit of depths, for column heads: "mm" or "in".
func (s Style) DepthUnit() string {
	if s.Imperial {
		return "in"
	}
	return "mm"
}

func fixed(v float64, digits int, unit string) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return none
	}
	return unsignedZero(strconv.FormatFloat(v, 'f', digits, 64)) + " " + unit
}

// unsignedZero drops the sign of a value that rounds to zero.
func unsignedZero(text string) string {
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}

// Money writes an amount with two decimals and its thousands apart: "1,729.00".
func Money(v float64) string {
	whole, cents, _ := strings.Cut(strconv.FormatFloat(v, 'f', 2, 64), ".")
	return grouped(whole) + "." + cents
}

// Whole returns v as a whole number: "29,560".
func Whole(v float64) string {
	return unsignedZero(grouped(strconv.FormatFloat(math.Round(v), 'f', 0, 64)))
}

// grouped puts commas between the thousands of a whole number.
func grouped(text string) string {
	sign := ""
	if strings.HasPrefix(text, "-") {
		sign, text = "-", text[1:]
	}
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return sign + text
}

// Digits writes a number to three digits, or to the whole number, never as a power of ten.
func Digits(v float64) string {
	const whole = 999.5 // from here on
	if math.Abs(v) >= whole {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	three, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return strconv.FormatFloat(three, 'f', -1, 64)
}

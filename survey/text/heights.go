package text

import (
	"bytes"
	"math"
	"regexp"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/level"
	"pourplane/survey/unit"
)

// setHI takes a height of instrument v, m, that the file gives at pos. The first is used.
// Another value gives a warning.
func (f *table) setHI(v float64, pos survey.Pos) {
	if !f.hasHI {
		f.hi, f.hasHI, f.hiPos = v, true, pos
		f.note(survey.Assumed, pos, "height of instrument %s", f.show(v))
		return
	}
	if d := v - f.hi; math.Abs(d) > level.SameReading {
		s := unit.StyleOf(f.s.Plan, f.s.Unit)
		f.note(survey.Warning, pos, "height of instrument %s here, %s before: %s apart; the first is used", f.show(v), f.show(f.hi), s.Depth(math.Abs(d)))
	}
}

// height sets p.Z from the row and reports whether the row is a point.
func (f *Reader) height(r *row, p *survey.Point, as survey.Role) bool {
	v, ok, why := 0.0, false, "no elevation"
	var from *cell
	errs := len(f.errs)
	switch f.manner {
	case byElevation:
		from = &r.Z
		v, ok = f.length(f.up, from)
	case byRod:
		return f.rod(r, p, as)
	case byGradeRod:
		return f.gradeRod(r, p, as)
	case byDiff:
		from, why = &r.Diff, "no deviation"
		v, ok = f.deviation(r)
	case byDepth:
		from, why = &r.Low, "no depth"
		v, ok = f.depth(r)
	}
	if len(f.errs) > errs {
		return false
	}
	if !ok {
		return f.noHeight(p, as, why, from.text)
	}
	f.mark(v)
	if f.up.unit == unit.Foot && !f.up.feetInches {
		f.tenths.see([]byte(from.text), p.At())
	}
	p.Z = v
	return true
}

// noHeight leaves out a point without a height and reports whether it is kept: corners of
// outlines, openings and breaklines need none.
func (f *dialect) noHeight(p *survey.Point, as survey.Role, why, text string) bool {
	if as == survey.Outline || as == survey.Void || as == survey.Break {
		return true
	}
	if text = strings.TrimSpace(text); text != "" {
		why += " (" + unit.Quote(survey.Abridged(text)) + ")"
	}
	f.leaveShot(*p, "%s", why)
	if as == survey.Finished {
		f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, p.At(), "%son adjoining finished floor, %s: no target can be taken from it. If it is the lowest, the new floor ends above it: read it again", survey.Label(*p), why).About(survey.AboutTarget))
	}
	return false
}

// mark remembers a height that may mean no data, of the point that is kept next. v is in
// m as read, before any height of instrument.
func (f *shots) mark(v float64) {
	switch {
	case v == 0:
		f.zeros = append(f.zeros, len(f.pts))
	case isMarker(v, f.up.unit):
		f.markers = append(f.markers, len(f.pts))
	}
}

// leastMarker is below every common number for no data.
const leastMarker = 998

// isMarker reports whether a height of v metres, written in u, is a common number for no
// data, such as -9999.
func isMarker(v float64, u unit.Length) bool {
	metres := u.Metres()
	if metres == 0 {
		metres = 1
	}
	if math.Abs(v) < leastMarker*metres {
		return false
	}
	switch raw := math.Round(v/metres*1e3) / 1e3; math.Abs(raw) {
	case 999, 9999, 99999, 999999, 32768, 32767:
		return true
	default:
		return math.Abs(raw) >= 1e20
	}
}

// rod reads a row with a rod reading, an elevation or both, and reports whether it has
// either. A row with both is a benchmark.
func (f *Reader) rod(r *row, p *survey.Point, as survey.Role) bool {
	errs := len(f.errs)
	rod, okRod := f.rodLength(f.up, &r.Rod)
	z, okZ := 0.0, false
	if c := f.of[isZ]; c != nil {
		z, okZ = f.length(c, &r.Z)
	}
	if c := f.of[isHI]; c != nil {
		if v, ok := f.length(c, &r.HI); ok {
			f.columnHeight(v, p.At())
		}
	}
	if len(f.errs) > errs {
		return false
	}
	if okRod && rod < 0 && as == survey.Floor && !isMark(p.Name()) {
		f.negativeRod(f.cellPos(f.up), f.up.String(), r.Rod.text)
		return false
	}
	u := f.now()
	if okRod {
		one := rodRow{pt: len(f.pts), setup: len(f.setups) - 1, rod: rod, given: math.NaN(), dist: math.NaN(), text: strings.Clone(strings.TrimSpace(r.Rod.text)), role: as}
		if c := f.of[isDist]; c != nil {
			if d, ok := f.length(c, &r.Dist); ok {
				one.dist = d
			}
		}
		if okZ {
			one.given = z
		}
		if math.IsNaN(p.X) {
			one.pt = -1 - len(f.loose)
			f.loose = append(f.loose, *p)
		}
		f.listRods = append(f.listRods, one)
		u.rods++
	}
	switch {
	case okRod && okZ:
		f.stated = append(f.stated, statedHeight{z + rod, p.At()})
		p.Z = z
		return true
	case okRod && math.IsNaN(p.X):
		return true
	case okZ:
		p.Z = z
		return true
	case !okRod:
		return f.noHeight(p, as, "no rod reading", r.Rod.text)
	}
	f.readRod(rod)
	f.mark(rod)
	if f.up.unit == unit.Foot && !f.up.feetInches {
		f.tenths.see([]byte(r.Rod.text), p.At())
	}
	p.Z = -rod
	f.pending = append(f.pending, len(f.pts))
	if f.of[isHI] != nil && !math.IsNaN(u.hi) {
		p.Z = u.hi - rod
		f.pending = f.pending[:len(f.pending)-1]
	}
	return true
}

// beside matches a deviation with its sign as a word in the same cell: "hi 1/4", "3/8
// lo".
var beside = regexp.MustCompile(`(?i)^\s*(?:(hi|high|above|lo|low|below)[ .:]+(.*\d.*)|(.*\d.*?)[ .]*\b(hi|high|above|lo|low|below)\.?)\s*$`)

// onTarget are the marks for zero deviation.
var onTarget = map[string]bool{"✓": true, "✔": true, "√": true, "ok": true, "flush": true, "on": true}

// deviation returns floor minus target, m. The sign is a word in the cell or in the sign
// column: a signed number alone can mean either.
func (f *cursor) deviation(r *row) (float64, bool) {
	cell, word := r.Diff, ""
	if m := beside.FindStringSubmatch(cell.text); m != nil {
		word = strings.ToUpper(m[1] + m[4])
		cell.text = m[2] + m[3]
	} else if onTarget[strings.ToLower(strings.TrimSpace(cell.text))] {
		return 0, true
	}
	v, ok := f.length(f.up, &cell)
	if !ok {
		return 0, false
	}
	sign := f.of[isSign]
	if sign != nil && word == "" {
		word = strings.ToUpper(strings.TrimSpace(signs.Replace(r.Sign.text)))
	}
	const ask = "whether it is above or below the target, by a column H/L of H (high) and L (low)"
	switch {
	case sign == nil && v == 0, word == "" && v == 0:
		return 0, true
	case word == "" && sign == nil:
		if !f.up.noUnit {
			f.up.noUnit = true
			f.fail(&survey.Error{Pos: f.cellPos(f.up), Element: f.up.String(), Found: strconv.Quote(r.Diff.text), Want: ask})
		}
		return 0, false
	case v < 0:
		beside := "the word " + strings.ToLower(word)
		if sign != nil {
			beside = sign.String()
		}
		f.fail(&survey.Error{Pos: f.cellPos(f.up), Element: f.up.String(), Found: strconv.Quote(r.Diff.text), Want: "a number without sign beside " + beside})
		return 0, false
	}
	switch word {
	case "H", "HI", "HIGH", "C", "CUT", "+", "ABOVE":
		return v, true
	case "L", "LO", "LOW", "F", "FILL", "-", "BELOW":
		return -v, true
	}
	if !r.Sign.seen || word == "" {
		f.fail(&survey.Error{Pos: f.cellPos(f.up), Element: f.up.String(), Found: strconv.Quote(r.Diff.text) + " without a word", Want: ask})
	} else {
		f.fail(&survey.Error{Pos: f.cellPos(sign), Element: sign.String(), Found: strconv.Quote(r.Sign.text), Want: "H or L, C or F, + or -"})
	}
	return 0, false
}

// depth returns floor minus target, m, from the columns of depths below and heights above
// the target.
func (f *cursor) depth(r *row) (float64, bool) {
	low, okL, high, okH := 0.0, false, 0.0, false
	if c := f.of[isLow]; c != nil {
		low, okL = f.length(c, &r.Low)
	}
	if c := f.of[isHigh]; c != nil {
		high, okH = f.length(c, &r.High)
	}
	if okL && okH && low != 0 && high != 0 {
		c := f.of[isHigh]
		f.fail(&survey.Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(r.High.text), Want: "nothing, since " + f.of[isLow].String() + " is filled too"})
		return 0, false
	}
	return high - low, okL || okH
}

// tenths detects feet.inches in a column of decimal feet: 5.11 for 5' 11".
type tenths struct {
	n, plain   int
	one, twice string // a figure with one decimal, one that ends in .10 or .11
	ten        bool   // .10 occurs: decimal feet beside .9 are written .1
	at         survey.Pos
}

func (t *tenths) see(text []byte, at survey.Pos) {
	text = bytes.TrimSpace(text)
	_, after, ok := bytes.Cut(text, []byte("."))
	if !ok {
		return
	}
	t.n++
	switch {
	case len(after) == 1:
		if t.one = string(text); t.at.Line == 0 {
			t.at = at
		}
	case string(after) == "10":
		t.ten = true
		fallthrough
	case string(after) == "11":
		if t.twice = string(text); t.at.Line == 0 {
			t.at = at
		}
	default:
		t.plain++
	}
}

// join adds what o has seen behind it.
func (t *tenths) join(o tenths) {
	t.n, t.plain, t.ten = t.n+o.n, t.plain+o.plain, t.ten || o.ten
	if o.one != "" {
		t.one = o.one
	}
	if o.twice != "" {
		t.twice = o.twice
	}
	if t.at.Line == 0 {
		t.at = o.at
	}
}

// suspect reports whether the column looks like feet.inches: it has numbers with one
// decimal and with .10 or .11. Without .10 it must have 5 or more numbers and no other
// decimals.
func (t *tenths) suspect() bool {
	return t.one != "" && t.twice != "" && (t.ten || t.plain == 0 && t.n >= 5)
}

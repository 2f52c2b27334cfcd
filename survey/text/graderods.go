package text

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/level"
	"pourplane/survey/unit"
)

// gradeRod reads a row with a rod reading and a grade rod, which is what the rod reads at
// the target. It sets p.Z to their difference, m, and reports whether p is kept.
func (f *Reader) gradeRod(r *row, p *survey.Point, as survey.Role) bool {
	errs := len(f.errs)
	rod, okRod := f.rodLength(f.up, &r.Rod)
	grade, okGrade := f.rodLength(f.of[isGrade], &r.Grade)
	if len(f.errs) > errs {
		return false
	}
	placed, mark := !math.IsNaN(p.X), as == survey.Control || isMark(p.Name())
	u := f.now()
	shot := okRod && okGrade && placed
	if shot || okRod && (mark || !placed) {
		one := rodRow{pt: len(f.pts), setup: len(f.setups) - 1, rod: rod, given: math.NaN(), dist: math.NaN(), text: strings.Clone(strings.TrimSpace(r.Rod.text)), role: as}
		if !shot {
			one.pt = -1 - len(f.loose)
			f.loose = append(f.loose, *p)
		}
		f.listRods = append(f.listRods, one)
		u.rods++
	}
	switch {
	case shot:
	case okRod && (mark || !placed):
		return !placed // it ties set-ups and is not a shot of the floor
	case okRod:
		return f.noHeight(p, as, "no rod reading", r.Grade.text)
	default:
		return f.noHeight(p, as, "no rod reading", r.Rod.text)
	}
	if u.grades == 0 {
		u.low, u.high = grade, grade
	}
	u.low, u.high, u.grades = min(u.low, grade), max(u.high, grade), u.grades+1
	f.mark(grade - rod)
	if f.up.unit == unit.Foot && !f.up.feetInches {
		f.tenths.see([]byte(r.Rod.text), p.At())
	}
	p.Z = grade - rod
	return true
}

// gradesTied ties the set-ups of a list with grade rods. A grade rod is the height of
// instrument above the target. So the list is a level book in which elevation 0 is the
// target, if each set-up has one grade rod. Where the grade rod changes after a move, the
// target was read again from the new place. Where it is the same, points read from both
// places tie the set-ups, and a move without such points is refused. Along a fall the
// grade rod differs from row to row, so a move is refused.
func (f *Reader) gradesTied() error {
	if err := sameMarks(f.listSpellings(), nil); err != nil {
		return err
	}
	again, _ := f.readAgain()
	level := true
	for _, u := range f.setups {
		level = level && (u.grades == 0 || u.low == u.high)
	}
	book := again && level
	var before *setup
	for i := range f.setups {
		u := &f.setups[i]
		if u.grades == 0 {
			continue
		}
		switch {
		case before == nil:
			u.hi = u.low
		case level && u.low != before.low:
			u.hi = u.low
			f.note(survey.Assumed, u.at, "%q: the rows below have a reading of the target of their own, which ties them", u.text)
		case level && f.sharedBefore(i):
			book = true
			f.note(survey.Assumed, u.at, "%q: set-up %s begins here; the target was not read again, so it depends on what was read from both places", u.text, u.name)
		default:
			grade := f.of[isGrade]
			e := &survey.Error{Pos: u.at, Found: fmt.Sprintf("%q", u.text), Want: "to know how high the instrument was after it: nothing ties it to the readings before",
				Hint: fmt.Sprintf("below it, book in %q what the rod reads at the target from the new place, or read a benchmark or turning point from both places, in rows of their own; where the target was read anew in every row, take line %d out", grade.head, u.at.Line)}
			if !level {
				e.Hint = fmt.Sprintf("book the rows below it in a file of their own; where the target was read anew in every row, take line %d out", u.at.Line)
			}
			return e
		}
		before = u
	}
	if !book {
		if again {
			f.movedOnFall()
		}
		return nil
	}
	for _, r := range f.listRods {
		for name := range f.o.Benchmarks {
			if p := f.listedPoint(r); markKey(name) == markKey(p.Name()) {
				return (&survey.Error{Pos: p.At(), Element: p.Name(), Found: "an elevation of the benchmark beside readings of the target", Want: "one of the two: with readings of the target elevation 0 is the target"}).Hinted("%s, or head %s otherwise", unit.LeaveOut("benchmark"), f.of[isGrade])
			}
		}
	}
	return f.toBook()
}

// sharedBefore reports whether a set-up has read a named point that an earlier one has
// read too.
func (f *Reader) sharedBefore(setup int) bool {
	for _, r := range f.listRods {
		if p := f.listedPoint(r); r.setup == setup && p.Name() != "" && slices.ContainsFunc(f.listRods, func(o rodRow) bool {
			q := f.listedPoint(o)
			return o.setup < setup && strings.EqualFold(p.Name(), q.Name()) && !(math.Hypot(p.X-q.X, p.Y-q.Y) > level.OnePlace)
		}) {
			return true
		}
	}
	return false
}

// movedOnFall warns where a benchmark of a list along a fall is read again with another
// reading. Such a list is no level book.
func (f *Reader) movedOnFall() {
	first := map[string]rodRow{}
	for _, r := range f.listRods {
		p := f.listedPoint(r)
		if p.Name() == "" || !f.isMarkRow(r) {
			continue
		}
		o, ok := first[strings.ToUpper(p.Name())]
		if !ok {
			first[strings.ToUpper(p.Name())] = r
			continue
		}
		if d := o.rod - r.rod; o.setup == r.setup && math.Abs(d) > f.o.Allow.Of(1, math.NaN(), f.s.Unit.Imperial()) {
			f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, p.At(), "%s comes out %s than in line %d: the instrument moved, or one of the two is misread", p.Name(), unit.Difference(unit.StyleOf(f.s.Plan, f.s.Unit), d, "higher", "lower"), f.listedPoint(o).At().Line).About(survey.AboutOrder))
		}
	}
}

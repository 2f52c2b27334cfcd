package text

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/level"
)

// runMark is a reading on a benchmark or turning point among runs.
type runMark struct {
	name  string
	text  string
	rod   float64 // m
	given float64 // elevation in the row, m; NaN without
	at    survey.Pos
}

// alongText returns the text of the column that gives the station of a run.
func (r *row) alongText(of role) string {
	switch of {
	case isX:
		return r.X.text
	case isDist:
		return r.Dist.text
	case isSeq:
		return r.Seq.text
	}
	return r.Name.text
}

// runMark reads a row that is a rod reading on a benchmark or turning point and not a
// station of a run. It reports whether the row is one, by the name of the point or a name
// in place of the run.
func (f *Reader) runMark(r *row, p survey.Point, run string) bool {
	if f.runs.list || f.up.role != isRod || missing(r.Rod.text) {
		return false
	}
	name := run
	switch c := f.runs.along; {
	case c == nil && (!missing(r.X.text) || !missing(r.Y.text)):
		return false
	case c != nil && c.role != isName && !missing(r.alongText(c.role)):
		return false
	case c != nil && c.role == isName && isMark(p.Name()):
		name = p.Name()
	case c != nil && c.role == isName && !missing(p.Name()):
		return false
	case isMark(p.Name()):
		name = p.Name()
	}
	if !isMark(name) {
		return false
	}
	v, ok := f.rodLength(f.up, &r.Rod)
	if !ok {
		return true // its error is kept
	}
	m := runMark{name: strings.Clone(name), text: strings.Clone(strings.TrimSpace(r.Rod.text)), rod: v, given: math.NaN(), at: p.At()}
	if c := f.of[isZ]; c != nil {
		if z, ok := f.length(c, &r.Z); ok {
			m.given = z
		}
	}
	f.runs.marks = append(f.runs.marks, m)
	f.s.Rows-- // no reading of a run
	return true
}

// runSight is the station that a sight among runs reads. run is nil for a benchmark or
// turning point.
type runSight struct {
	run     *openRun
	station int
}

// tieRuns brings the readings of runs from several set-ups to one datum, as for a list:
// by benchmarks, by turning points and by stations read from both. Without a tie, a run
// that continues past a move is refused. Runs that are each on one side of it are
// measured by themselves. If a height of instrument or a benchmark gives elevations, the
// missing tie is an error.
func (f *Reader) tieRuns() error {
	runs := f.runs
	moves := f.movesBetween()
	if f.up.role == isZ {
		for _, m := range moves {
			f.note(survey.Assumed, f.at(m.line), "%q: skipped; elevations do not change by it", m.text)
		}
		return nil
	}
	split := f.splitRun(moves)
	f.s.Relative = runs.down && !f.hasHI
	f.s.Served.Rods = runs.down
	if f.up.role != isRod {
		if split != nil {
			return split
		}
		f.aloneRuns(moves)
		if runs.down {
			f.oneRunHeight()
		}
		return nil
	}
	if len(moves) == 0 && len(runs.marks) == 0 {
		f.oneRunHeight()
		return nil
	}
	b, sights, err := f.runBook(moves)
	absolute := f.hasHI || b != nil && len(b.Benchmarks) > 0 || len(f.o.Benchmarks) > 0
	switch {
	case err == nil:
	case split != nil:
		return split
	case absolute || len(moves) == 0:
		return err
	default:
		f.aloneRuns(moves)
		f.oneRunHeight()
		return nil
	}
	for i, m := range moves {
		f.note(survey.Assumed, f.at(m.line), "%q: set-up %s begins here", m.text, f.setups[i+1].name)
	}
	f.s.Book, f.s.Relative = b, b.Relative
	f.takeRunElevations(sights)
	if b.Relative {
		f.note(survey.Assumed, f.pos, "elevations are relative, the readings of %s negated: a bigger reading is a lower floor", f.up)
	}
	return nil
}

// movesBetween returns the moves of the instrument, in comments too, that have readings
// before and after them. The others are skipped with a note.
func (f *Reader) movesBetween() []banner {
	runs := f.runs
	moves := slices.Clone(runs.moves)
	for _, l := range f.form.comments {
		if text, isNote := commentMark(l.text); isNote && l.n > f.form.first {
			if _, weak, ok := matchBanner(text); ok && !weak {
				moves = append(moves, banner{line: l.n, text: strings.TrimSpace(text)})
			}
		}
	}
	slices.SortFunc(moves, func(a, b banner) int { return a.line - b.line })
	lines := []int{}
	for _, u := range runs.order {
		for _, s := range u.Stations {
			lines = append(lines, s.At.Line)
		}
	}
	for _, m := range runs.marks {
		lines = append(lines, m.at.Line)
	}
	return slices.DeleteFunc(moves, func(m banner) bool {
		before := slices.ContainsFunc(lines, func(n int) bool { return n < m.line })
		after := slices.ContainsFunc(lines, func(n int) bool { return n > m.line })
		if before && after {
			return false
		}
		f.note(survey.Assumed, f.at(m.line), "%q: skipped, all readings are on one side of it", m.text)
		return true
	})
}

// splitRun returns the error for the first run that continues past a move, nil if none
// does.
func (f *Reader) splitRun(moves []banner) error {
	for _, m := range moves {
		for _, u := range f.runs.order {
			before := slices.ContainsFunc(u.Stations, func(s survey.Station) bool { return s.At.Line < m.line })
			after := slices.ContainsFunc(u.Stations, func(s survey.Station) bool { return s.At.Line > m.line })
			if before && after {
				return &survey.Error{Pos: f.at(m.line), Found: fmt.Sprintf("%q in run %s", m.text, u.Name), Want: "readings of one run from one set-up, or what ties those after it to those before",
					Hint: fmt.Sprintf("read a station of the run, a benchmark or a turning point from both places and book it before and after that line; or give the run another name below it, such as %q", u.Name+" b")}
			}
		}
	}
	return nil
}

// aloneRuns notes that each run is on one side of the moves.
func (f *dialect) aloneRuns(moves []banner) {
	for _, m := range moves {
		f.note(survey.Assumed, f.at(m.line), "%q: skipped, since each run is measured by itself and none goes on past it", m.text)
	}
}

// oneRunHeight adds the height of instrument to all runs, or notes that their elevations
// are relative.
func (f *Reader) oneRunHeight() {
	if f.hasHI {
		for _, u := range f.runs.order {
			for i := range u.Stations {
				u.Stations[i].Z += f.hi
			}
		}
		return
	}
	f.note(survey.Assumed, f.pos, "elevations are relative, the readings of %s negated: a bigger reading is a lower floor", f.up)
}

// runBook reduces the readings of runs as a level book. It returns the station of each
// sight, in the order of the sights of the book.
func (f *Reader) runBook(moves []banner) (*survey.Book, []runSight, error) {
	f.setups = []setup{{name: "1", hi: math.NaN()}}
	for i, m := range moves {
		name, _, _ := matchBanner(m.text)
		if name == "" {
			name = strconv.Itoa(i + 2)
		}
		f.setups = append(f.setups, setup{name: f.freeName(name, f.at(m.line), i+1), at: f.at(m.line)})
	}
	var rows []spelling
	for i := range f.runs.marks {
		m := &f.runs.marks[i]
		rows = append(rows, spelling{f: f, p: survey.Point{X: math.NaN(), Y: math.NaN()}.With(survey.Tag{Name: m.name, At: m.at}), mark: true, given: !math.IsNaN(m.given), names: []*string{&m.name}})
	}
	if err := sameMarks(rows, f.o.Benchmarks); err != nil {
		return nil, nil, err
	}
	var sights []survey.Sight
	var of []runSight
	times := map[string]int{}
	first := map[string]int{} // the set-up that read a point first
	shared := map[string]bool{}
	add := func(s survey.Sight, from runSight) {
		n := f.setupAt(s.At.Line)
		s.Setup, s.Distance, s.SD, s.X, s.Y, s.Listed = f.setups[n].name, math.NaN(), math.NaN(), math.NaN(), math.NaN(), true
		if before, ok := first[s.Name]; !ok {
			first[s.Name] = n
		} else if before != n {
			shared[s.Name] = true
		}
		times[strings.ToUpper(s.Name)]++
		sights, of = append(sights, s), append(of, from)
	}
	for _, u := range f.runs.order {
		for i, s := range u.Stations {
			if !math.IsNaN(s.Z) {
				add(survey.Sight{Name: u.stationName(i), Reading: -s.Z, Text: s.Text, At: s.At, Stated: math.NaN()}, runSight{u, i})
			}
		}
	}
	for _, m := range f.runs.marks {
		add(survey.Sight{Name: m.name, Reading: m.rod, Text: m.text, At: m.at, Stated: m.given, Mark: true}, runSight{})
		f.s.Served.Marks = append(f.s.Served.Marks, m.name)
		f.s.Served.Stated = append(f.s.Served.Stated, survey.Benchmark{Name: m.name, Elevation: m.given, At: m.at})
	}
	order := make([]int, len(sights))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return sights[a].At.Line - sights[b].At.Line })
	sorted, from := make([]survey.Sight, len(order)), make([]runSight, len(order))
	for k, i := range order {
		sorted[k], from[k] = sights[i], of[i]
		sorted[k].Mark = sorted[k].Mark || shared[sorted[k].Name]
	}
	given := map[string]float64{}
	if f.hasHI {
		given[f.setups[0].name] = f.hi
	}
	b, notes, err := level.Reduce(sorted, given, f.o, f.s.Plan, f.s.Unit, true)
	if err != nil {
		return nil, nil, err
	}
	f.s.Notes = append(f.s.Notes, notes...)
	for _, m := range f.runs.marks {
		known := slices.ContainsFunc(b.Benchmarks, func(k survey.Benchmark) bool { return strings.EqualFold(k.Name, m.name) })
		if !known && times[strings.ToUpper(m.name)] == 1 {
			f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, m.at, "%s: of no known elevation and read once: the reading checks nothing", m.name).About(survey.AboutFlatness))
		}
	}
	return b, from, nil
}

// stationName names station i for a level book. Stations of two runs are two points.
func (u *openRun) stationName(i int) string {
	switch {
	case u.xs != nil:
		return fmt.Sprintf("run %s at %.4f, %.4f m", u.Name, u.xs[i], u.ys[i])
	case i < len(u.at):
		return fmt.Sprintf("run %s at %.6g", u.Name, u.at[i])
	}
	return ""
}

// takeRunElevations stores the elevations of the book in the stations. It removes
// stations that were read a second time to tie a set-up.
func (f *dialect) takeRunElevations(sights []runSight) {
	type place struct {
		u    *openRun
		name string
	}
	seen := map[place]bool{}
	again := map[*openRun][]int{}
	for i, s := range f.s.Book.Sights {
		from := sights[i]
		if from.run == nil {
			continue
		}
		from.run.Stations[from.station].Z = s.Elevation
		at := place{from.run, s.Name}
		if seen[at] && s.Mark {
			again[from.run] = append(again[from.run], from.station)
			f.note(survey.Assumed, s.At, "%s: read again from set-up %s, to tie it", s.Name, s.Setup)
		}
		seen[at] = true
	}
	for u, gone := range again {
		slices.Sort(gone)
		for _, i := range slices.Backward(gone) {
			u.Stations = slices.Delete(u.Stations, i, i+1)
			if i < len(u.at) {
				u.at = slices.Delete(u.at, i, i+1)
			}
			if i < len(u.xs) {
				u.xs, u.ys = slices.Delete(u.xs, i, i+1), slices.Delete(u.ys, i, i+1)
			}
		}
	}
}

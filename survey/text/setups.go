package text

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/level"
	"pourplane/survey/unit"
)

// setup is the instrument in one place, in a list of rod readings.
type setup struct {
	name   string
	at     survey.Pos // of the line that begins it; zero for a first one without a line
	text   string     // of that line, in a list with grade rods
	hi     float64    // m; NaN where the list gives none
	hiAt   survey.Pos
	asked  bool // hi is from the options
	column bool // hi is from a column
	rods   int  // number of readings from it

	grades    int     // number of grade rods from it
	low, high float64 // m, range of these
}

// rodRow is a row of a list with a rod reading.
type rodRow struct {
	pt    int // index in pts; -1 minus the index in loose for one without a place
	setup int
	rod   float64 // m
	given float64 // elevation in the row, m; NaN without one
	dist  float64 // m; NaN where it was not booked
	text  string
	role  survey.Role
	at    int // line
}

// statedHeight is a height of instrument, m, from a benchmark row.
type statedHeight struct {
	hi float64
	at survey.Pos
}

// beginSetups starts the first set-up of a list. A line before the rows may name it.
func (f *Reader) beginSetups() {
	first := setup{name: "1", hi: math.NaN()}
	if f.hasHI {
		first.hi, first.hiAt, first.asked = f.hi, f.hiPos, f.o.HasInstrument
	}
	for _, l := range slices.Concat(f.form.preamble, f.form.comments) {
		if l.n >= f.form.first {
			continue
		}
		t, isNote := commentMark(l.text)
		if !isNote {
			t = l.text
		}
		cells, _ := f.bannerCells(t)
		var text []string
		for _, c := range cells {
			text = append(text, c.text)
		}
		if name, _, ok := matchBanner(strings.Join(text, " ")); ok && name != "" {
			first.name = name
		}
	}
	f.setups = []setup{first}
}

// now returns the set-up of the current row.
func (f *Reader) now() *setup { return &f.setups[len(f.setups)-1] }

// arrive begins the set-ups whose lines are before line.
func (f *Reader) arrive(line int) {
	for len(f.banners) > 0 && f.banners[0].line < line {
		b := f.banners[0]
		f.banners = f.banners[1:]
		at := f.at(b.line)
		if !b.only {
			f.begin(b.name, at)
			f.moved = true
			switch f.manner {
			case byRod:
				f.note(survey.Assumed, at, "%q: set-up %s begins here", b.text, f.now().name)
			case byGradeRod:
				f.now().text = b.text
			default:
				f.note(survey.Assumed, at, "%q: skipped", b.text)
			}
		}
		if b.hi == "" || f.manner != byRod {
			continue
		}
		v, err := f.num.length(f.up, b.hi)
		if err != nil {
			f.fail((&survey.Error{Pos: at, Element: "height of instrument", Found: strconv.Quote(b.hi), Want: err.Error(), Err: err}).Hinting(unitHint(err)))
			continue
		}
		f.instrument(v, at)
	}
}

// begin starts a set-up. If the current one has no reading yet, it only renames that.
func (f *Reader) begin(name string, at survey.Pos) {
	u := f.now()
	if u.rods == 0 {
		u.at = at
		if name != "" {
			u.name = f.freeName(name, at, len(f.setups)-1)
		}
		return
	}
	if name == "" {
		name = strconv.Itoa(len(f.setups) + 1)
	}
	f.setups = append(f.setups, setup{name: f.freeName(name, at, len(f.setups)), at: at, hi: math.NaN()})
}

// freeName returns name, with its line if one of the first n set-ups has that name.
func (f *Reader) freeName(name string, at survey.Pos, n int) string {
	for _, u := range f.setups[:n] {
		if u.name == name {
			return fmt.Sprintf("%s of line %d", name, at.Line)
		}
	}
	return name
}

// instrument takes a height of instrument v, m, that a line of the list gives. After
// readings from another height it begins a set-up.
func (f *Reader) instrument(v float64, at survey.Pos) {
	u := f.now()
	switch {
	case math.IsNaN(u.hi):
		u.hi, u.hiAt = v, at
	case math.Abs(v-u.hi) <= level.SameReading:
	case u.asked:
		f.fail((&survey.Error{Pos: at, Element: "height of instrument", Found: f.show(v), Want: "the height of the option, " + f.show(u.hi) + ", or none"}).Hinted("%s, or take the line out of the file", unit.LeaveOut("instrument-height")))
	case u.rods == 0:
		f.fail(&survey.Error{Pos: at, Element: "height of instrument", Found: f.show(v), Want: fmt.Sprintf("one for a set-up; %s is given at %s", f.show(u.hi), u.hiAt)})
	default:
		f.begin("", at)
		f.moved = true
		f.now().hi, f.now().hiAt = v, at
		f.note(survey.Warning, at, "height of instrument %s here, %s before: set-up %s begins here", f.show(v), f.show(u.hi), f.now().name)
	}
}

// columnHeight takes the height of instrument v, m, from the column of the current row.
func (f *Reader) columnHeight(v float64, at survey.Pos) {
	u := f.now()
	switch {
	case u.asked && math.Abs(v-u.hi) > level.SameReading:
		c := f.of[isHI]
		if !c.noUnit { // once
			c.noUnit = true
			f.fail((&survey.Error{Pos: f.cellPos(c), Element: c.String(), Found: f.show(v), Want: "the height of the option, " + f.show(u.hi)}).Hinted("%s to take those of the file", unit.LeaveOut("instrument-height")))
		}
	case u.asked:
	case u.rods > 0 && u.hi != v:
		f.begin("", at)
		u = f.now()
		fallthrough
	default:
		u.hi, u.hiAt, u.column = v, at, true
	}
}

// listToBook turns a list of rod readings into a level book if more than one height of
// instrument is possible: the instrument was moved, a benchmark was read more than once,
// the options give the elevation of a point, or several rows give the height. Any other
// list keeps its one height of instrument.
func (f *Reader) listToBook() error {
	if len(f.errs) > 0 {
		return nil
	}
	if err := f.askGaps(); err != nil {
		return err
	}
	switch f.manner {
	case byGradeRod:
		return f.gradesTied()
	case byRod:
	default:
		return nil
	}
	for n := len(f.setups) - 1; n > 0 && f.setups[n].rods == 0; n-- {
		if u := f.setups[n]; !math.IsNaN(u.hi) && !u.column {
			return &survey.Error{Pos: u.hiAt, Element: "height of instrument", Found: f.show(u.hi) + " and no reading after it", Want: "one height of instrument for a set-up", Hint: askBanner}
		}
	}
	if err := sameMarks(f.listSpellings(), f.o.Benchmarks); err != nil {
		return err
	}
	bare, given, used := 0, 0, map[int]bool{}
	for _, r := range f.listRods {
		used[r.setup] = true
		if math.IsNaN(r.given) {
			bare++
		} else {
			given++
		}
	}
	again, asked := f.readAgain()
	known := given
	if u := f.setups[0]; !math.IsNaN(u.hi) && !u.column {
		known++
	}
	switch {
	case bare == 0: // every reading has an elevation beside it
	case f.moved && len(used) > 1, again, asked, known > 1 && given > 0 && given <= bare:
		if err := hiddenSights(slices.Concat(f.loose, f.pts)); err != nil {
			return err
		}
		return f.toBook()
	}
	f.oneHeight()
	return nil
}

// unknownMarks warns of benchmarks that are read once and have no known elevation: such a
// reading ties and checks nothing.
func (f *Reader) unknownMarks() {
	type one struct {
		p       survey.Point
		bench   bool
		turning bool
		unknown bool
	}
	var rows []one
	times := map[string]int{}
	switch b := f.s.Book; {
	case b != nil:
		for _, s := range b.Sights {
			times[strings.ToUpper(s.Name)]++
		}
		for _, m := range b.Benchmarks {
			times[strings.ToUpper(m.Name)] += 2
		}
		for i := range f.sights {
			s, p := &f.sights[i], f.pts[f.sighted[i]]
			coded := s.Mark && (isBenchmarkWord(p.Code()) || isBenchmarkWord(p.Name()))
			rows = append(rows, one{p, coded || math.IsNaN(p.X) && isBenchmarkWord(p.Name()), isTurning(p), math.IsNaN(s.Stated)})
		}
	default:
		for _, r := range f.listRods {
			p := *f.listedPoint(r)
			times[strings.ToUpper(p.Name())]++
			rows = append(rows, one{p, isBenchmarkWord(p.Code()) && r.role == survey.Control || r.pt < 0 && isBenchmarkWord(p.Name()), isTurning(p), math.IsNaN(r.given)})
		}
	}
	for _, r := range rows {
		once := r.unknown && !(r.p.Name() != "" && times[strings.ToUpper(r.p.Name())] > 1)
		if once && r.turning {
			f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, r.p.At(), "%sa turning point read once: it ties nothing. If the laser was moved, write a row \"moved laser\" there and below it the turning point as read from the new place", survey.Label(r.p)).About(survey.AboutDepth))
		}
		if once && r.bench && !r.turning {
			f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, r.p.At(), "%sa benchmark of no known elevation, read once: the reading checks nothing; give it the name of the benchmark that it is, or its elevation", survey.Label(r.p)).About(survey.AboutDepth))
		}
	}
}

// isTurning reports whether a row without a place is a turning point: TP1, or the code TP.
func isTurning(p survey.Point) bool {
	if !math.IsNaN(p.X) {
		return false
	}
	if strings.EqualFold(strings.TrimSpace(p.Code()), "TP") {
		return true
	}
	name := markKey(strings.ReplaceAll(p.Name(), ".", ""))
	rest, ok := strings.CutPrefix(name, "TP")
	return ok && strings.Trim(rest, "0123456789") == ""
}

// isMarkRow reports whether a row is a benchmark, a turning point or a check.
func (f *Reader) isMarkRow(r rodRow) bool {
	return r.pt < 0 || r.role == survey.Control || !math.IsNaN(r.given) || isMark(f.listedPoint(r).Name())
}

// listedPoint returns the point of a row.
func (f *Reader) listedPoint(r rodRow) *survey.Point {
	if r.pt < 0 {
		return &f.loose[-1-r.pt]
	}
	return &f.pts[r.pt]
}

// readAgain reports whether a benchmark or turning point was read more than once, and
// whether the options give the elevation of a point of the list.
func (f *Reader) readAgain() (again, asked bool) {
	type seen struct {
		at   survey.Point
		mark bool
	}
	before := map[string][]seen{}
	for _, r := range f.listRods {
		p := *f.listedPoint(r)
		if p.Name() == "" {
			continue
		}
		key := strings.ToUpper(p.Name())
		for name := range f.o.Benchmarks {
			asked = asked || strings.ToUpper(name) == key
		}
		mark := f.isMarkRow(r)
		list := before[key]
		for _, s := range list[:min(64, len(list))] {
			again = again || (mark || s.mark) && !(math.Hypot(s.at.X-p.X, s.at.Y-p.Y) > level.OnePlace)
		}
		before[key] = append(list, seen{p, mark})
	}
	return again, asked
}

// oneHeight sets the one height of instrument of a list, from its first set-up or its
// benchmark rows.
func (f *Reader) oneHeight() {
	before := f.hiPos
	f.hasHI = false
	if u := f.setups[0]; !math.IsNaN(u.hi) && !u.column {
		f.hi, f.hasHI, f.hiPos = u.hi, true, u.hiAt
		if !u.asked && u.hiAt != before { // one before the rows is noted already
			f.note(survey.Assumed, u.hiAt, "height of instrument %s", f.show(u.hi))
		}
	}
	for _, s := range f.stated {
		f.setHI(s.hi, s.at)
	}
}

// leaveLoose leaves out the readings of a list that have no place and gave no height of
// instrument.
func (f *Reader) leaveLoose() {
	if f.manner == byRod && !f.form.grid || f.isLevelBook() {
		f.unknownMarks()
	}
	if len(f.sights) > 0 {
		return
	}
	for _, r := range f.listRods {
		if p := f.listedPoint(r); r.pt < 0 || r.role == survey.Control || isMark(p.Name()) {
			f.s.Served.Stated = append(f.s.Served.Stated, survey.Benchmark{Name: p.Name(), Elevation: r.given, At: p.At()})
		}
		if r.pt < 0 && math.IsNaN(r.given) {
			what := "no position"
			if !math.IsNaN(f.listedPoint(r).X) {
				what = "no reading of the target"
			} else if !f.setups[0].column {
				f.unplaced(*f.listedPoint(r), r.role, f.hi-r.rod) // f.hi is 0 where elevations are relative
			}
			f.leaveShot(*f.listedPoint(r), "%s", what)
			f.s.Served.Marks = append(f.s.Served.Marks, f.listedPoint(r).Name())
		}
	}
}

// toBook turns the readings of a list into sights of a level book.
func (f *Reader) toBook() (err error) {
	f.doubtful(survey.ExtentOf(f.pts))
	if f.dropped, err = f.noData(); err != nil {
		return err
	}
	f.zeros, f.markers = nil, nil
	if f.roles == nil {
		f.roles = make([]survey.Role, len(f.pts), len(f.pts)+len(f.loose))
	}
	for i := range f.setups {
		if u := f.setups[i]; !math.IsNaN(u.hi) {
			f.setGivenHI(u.name, u.hi)
		}
	}
	first := map[string]bool{}
	for _, r := range f.listRods {
		p := f.listedPoint(r)
		i, u := r.pt, f.setups[r.setup].name
		mark := f.isMarkRow(r)
		if i < 0 {
			i = len(f.pts)
			f.pts, f.roles = append(f.pts, *p), append(f.roles, r.role)
			if f.readings != nil {
				f.readings = append(f.readings, survey.Reading{Name: p.Name(), Text: r.text, Value: r.rod, Measure: survey.Rod, Unit: f.up.unit, FeetInches: f.up.feetInches, At: p.At()})
			}
			p = &f.pts[i]
		}
		if f.dropped[i] {
			continue
		}
		key := strings.ToUpper(p.Name())
		if f.roles[i] == survey.Floor && mark && key != "" && (first[key] || r.pt < 0 && (isMark(p.Name()) || !math.IsNaN(r.given) || f.readTwice(key))) {
			f.roles[i] = survey.Control // not a shot of the floor, or already one
		}
		first[key] = first[key] || mark
		s := f.newSight(p, f.roles[i])
		s.Setup, s.Reading, s.Text, s.Distance, s.Stated, s.Listed = u, r.rod, r.text, r.dist, r.given, true
		s.Mark = s.Mark || mark
		f.sights, f.sighted = append(f.sights, s), append(f.sighted, i)
		if i < len(f.readings) {
			f.readings[i].Setup = u
		}
		if math.IsNaN(r.given) {
			p.Z = math.NaN()
		}
	}
	f.pending = nil
	return nil
}

// readTwice reports whether a name is on more than one row or in the options.
func (f *Reader) readTwice(key string) bool {
	for name := range f.o.Benchmarks {
		if strings.ToUpper(name) == key {
			return true
		}
	}
	n := 0
	for _, r := range f.listRods {
		if strings.ToUpper(f.listedPoint(r).Name()) == key {
			n++
		}
	}
	return n > 1
}

// setGivenHI keeps a height of instrument, m, that is given for a set-up.
func (f *Reader) setGivenHI(setup string, hi float64) {
	if f.given == nil {
		f.given = map[string]float64{}
	}
	f.given[setup] = hi
}

// mayMove reports whether the readings of the file depend on moves of the instrument.
func (f *table) mayMove() bool {
	return f.manner == byRod || f.manner == bySight || f.manner == byGradeRod
}

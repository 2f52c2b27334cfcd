package survey

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"github.com/gocarina/gocsv"

	"pourplane/survey/unit"
)

// mostErrors is how many faulty rows are told before reading stops.
const mostErrors = 20

// errStop ends the reading of a file that has mostErrors faults.
var errStop = errors.New("too many errors")

// ReadText reads a list of points from delimited text. Encoding, separator,
// decimal sign, header and units are worked out from the text, and what was
// assumed is told in Notes. name stands in messages only.
//
// Rod readings become elevations by the height of instrument that the file,
// its benchmark row, its level book or o gives; without any, elevations are
// readings turned upside down and Relative is set, as it is for depths and
// deviations, which are given from a target at elevation 0.
//
// Rows that are no points are left out with a Note each. A row that is wrong is
// an [Error]; up to 20 are joined. Units that neither file nor o states, columns
// without header and without o.Order, and readings that cannot be tied to a
// benchmark are errors.
//
// With o.Thin a plain list of x, y and z is streamed: memory grows with the
// squares of the grid, not with the file. Points that are alike all count towards
// a square; without it the second of them is merged into the first.
func ReadText(r io.Reader, name string, o Options) (*Survey, error) {
	if err := o.Thin.check(); err != nil {
		return nil, err
	}
	if o.Thin.Cell > 0 {
		return thinText(r, name, o)
	}
	b, err := readAll(r, name, o)
	if err != nil {
		return nil, unreadable(name, err)
	}
	return readText(b, name, o, false)
}

// readAll reads what text is held whole. The first touch of memory is what it
// costs, so that it is one piece where the size is known; a pipe tells progress.
func readAll(r io.Reader, name string, o Options) ([]byte, error) {
	limit := o.maxSize()
	size := int64(0)
	if known, ok := r.(interface{ Size() int64 }); ok {
		size = known.Size()
	}
	if size > limit {
		return nil, tooLarge(name, limit)
	}
	r = &limited{r, name, limit, limit}
	if size == 0 && o.Progress != nil {
		r = &watched{r: r, tell: o.Progress}
	}
	b := bytes.NewBuffer(make([]byte, 0, size+bytes.MinRead)) // room to see the end
	_, err := b.ReadFrom(r)
	return b.Bytes(), err
}

// manner is how a file gives the height of its points.
type manner uint8

const (
	byElevation manner = iota
	byRod              // rod readings, beside elevations on some rows or not
	byGradeRod         // rod and what it should read
	byDiff             // deviation from target
	byDepth            // low or high columns
	bySight            // level book, one row a sight
	byBook             // level book with columns BS, IS, FS
	planOnly           // outlines: no height
	byRun              // readings along lines
)

// textReader reads one file.
type textReader struct {
	name string
	o    Options
	s    *Survey
	text text
	form *form
	num  numbers
	*layout
	manner manner
	known  bool    // which column is what
	up     *column // the column of heights, whichever it is; nil for planOnly
	data   []byte  // the lines as the row decoder takes them
	comma  rune    // what separates their fields
	line   int     // on which the current row begins
	wide   row     // the current row, where it was decoded as a scanRow

	// Lines of the file before the first of text.body and of data.
	bodyBefore, dataBefore int

	codes   *codebook
	outline bool

	pts      []Point
	roles    []Role    // nil while all are Floor
	readings []Reading // one for each of pts, nil past mostReadings of them
	errs     []error

	hi       float64 // m
	hasHI    bool
	hiPos    Pos
	pending  []int    // points that still lack hi
	stands   []stand  // of a list of rod readings
	moved    bool     // a line says that the instrument was moved
	banners  []banner // those still to come
	listRods []rodRow
	loose    []Point // of rods without a place
	stated   []statedHeight
	remarks  int                // rows of words alone, left out
	given    map[string]float64 // heights of instrument of set-ups, m
	dropped  map[int]bool       // points left out before they became sights
	markers  []int              // points whose height may stand for no data
	zeros    []int
	rods     []float64 // -reading of each of pts, m, NaN without one; shorter than pts after the last
	sights   []Sight
	sighted  []int // of each sight, its point in pts
	booked   []booked
	names    map[string]string // codes and parts, each once
	lastName string            // looked up in names last
	lastOnce string
	tenths   tenths
	runs     *runReader

	sheetRead  []readMark // on benchmarks beside grid sheets
	sheetNames []string   // of grid sheets, from their corners; empty ones left out
	rings      []ringRow
	seqs       []float64 // of rings, NaN where not given; nil outside outline files
}

// readText reads b, which it may change.
func readText(b []byte, name string, o Options, outline bool) (*Survey, error) {
	f, err := beginText(b, name, o, outline)
	if err != nil {
		return nil, err
	}
	return f.alone()
}

// alone ends the reading of a file that hangs on no other.
func (f *textReader) alone() (*Survey, error) {
	if len(f.sights) > 0 {
		if err := reduce([]*textReader{f}, true); err != nil {
			return nil, err
		}
	}
	if err := f.finish(); err != nil {
		return nil, err
	}
	if len(f.s.Places) > 0 {
		return nil, f.noHeights()
	}
	return f.s, nil
}

// beginText reads the rows of b, which it may change.
func beginText(b []byte, name string, o Options, outline bool) (*textReader, error) {
	f, err := understand(b, name, o, outline)
	switch {
	case err != nil:
		return nil, err
	case f.form.grid:
		return f, f.sheets()
	}
	if err = f.rows(); err == nil {
		err = f.listed()
	}
	f.tellFeet(f.lengths())
	f.lastIsFore()
	f.ownUnits()
	if err == nil && (f.manner == bySight || f.manner == byBook) {
		err = sameMarks(f.bookSpellings(), f.o.Benchmarks)
	}
	return f, err
}

// understand works out how b is written, which it may change. Of a grid sheet that
// is no more than that it is one.
func understand(b []byte, name string, o Options, outline bool) (*textReader, error) {
	if len(bytes.TrimSpace(b)) == 0 {
		return nil, &Error{Pos: Pos{File: name}, Found: "an empty file", Want: "a list of points, one a line"}
	}
	t, err := decode(name, b)
	if err != nil {
		return nil, err
	}
	f := &textReader{
		name: name, o: o, text: t, outline: outline, codes: newCodebook(o.Codes), names: map[string]string{},
		s:  &Survey{Name: name, Format: "delimited text", Encoding: t.encoding},
		hi: o.Instrument, hasHI: o.HasInstrument,
	}
	if f.form, err = learn(name, t.body, o.cells != nil); err != nil {
		return nil, err
	}
	if f.form.grid = f.form.grid && !outline; f.form.grid {
		return f, nil
	}
	for i, step := range []func() error{f.columns, f.heights, f.units, f.decimals} {
		if err := step(); err != nil {
			return f, err
		}
		f.known = i > 0
	}
	return f, nil
}

// delimiter names what separates the fields.
func (f *textReader) delimiter() string {
	if f.o.cells != nil {
		return "cells"
	}
	return separatorName(f.form.sep)
}

func (f *textReader) note(k NoteKind, at Pos, format string, args ...any) {
	f.s.Notes = append(f.s.Notes, Notef(k, at, format, args...))
}

// at is a line of the file.
func (f *textReader) at(line int) Pos {
	p := Pos{File: f.name, Line: line}
	if f.o.cells != nil {
		p.Sheet = f.o.cells.name
	}
	return p
}

// columns works out what each column holds.
func (f *textReader) columns() error {
	m := f.form
	f.s.Delimiter = f.delimiter()
	if f.s.Encoding != "UTF-8" {
		f.note(Assumed, Pos{File: f.name}, "text read as %s", f.s.Encoding)
	}
	if m.sep != ',' && f.o.cells == nil {
		f.note(Assumed, Pos{File: f.name}, "fields separated by %s", f.s.Delimiter)
	}
	first := f.at(m.first)
	if m.commaTrouble() {
		return &Error{Pos: first, Found: fmt.Sprintf("%d fields", m.fields),
			Want: "fields that decimal commas do not cut; this looks like decimal commas with comma separators",
			Hint: "save the file with semicolons between fields or with decimal points"}
	}
	var columns []*column
	pos := first
	if m.head == nil || m.strange && f.o.Order != "" {
		if f.o.Order == "" {
			return f.askOrder()
		}
		none := "no header: "
		if m.head != nil {
			f.note(Assumed, f.at(m.headLine), "header passed over: %s", strings.Join(m.head, ", "))
			m.head, none = nil, ""
		}
		var err error
		if columns, err = fromOrder(f.o.Order, m.fields); err != nil {
			return err
		}
		f.note(Assumed, first, "%scolumns read as %s, as the order says", none, strings.ToUpper(f.o.Order))
	} else {
		f.s.Headed = true
		pos = f.at(m.headLine)
		for i, h := range m.head {
			columns = append(columns, readHead(i, h))
		}
		// Backsights are added and foresights taken off: some books head them so.
		plus, minus := slices.Index(m.head, "+"), slices.IndexFunc(m.head, func(h string) bool { return h == "-" || h == "−" || h == "–" })
		if plus >= 0 && minus >= 0 {
			columns[plus].role, columns[minus].role = isBS, isFS
		}
		if len(m.content) == 0 {
			return &Error{Pos: pos, Found: "a header without rows", Want: "a list of points, one a line"}
		}
	}
	l, notes, err := resolve(pos, columns, f.o.Order)
	if err != nil {
		return err
	}
	f.layout, f.s.Order = l, l.order
	f.s.Served.Order = m.head == nil || l.asked
	f.s.Notes = append(f.s.Notes, notes...)
	for _, p := range m.preamble {
		if _, hi := statedHI(p.text); hi {
			continue
		}
		what := "passed over"
		if _, _, _, unit := statedUnit(p.text); unit {
			what = "gives the unit"
		}
		f.note(Assumed, f.at(p.n), "line before the header "+what+": %s", strings.TrimRight(p.text, " ,;\t"))
	}
	return nil
}

// askOrder returns the error that asks which column is which.
func (f *textReader) askOrder() error {
	m := f.form
	type guess struct{ a, b string }
	g := guess{"ENZ", "NEZ"}
	row := split(m.content[0].text, m.sep)
	named := len(row) > 3 && !strings.ContainsAny(row[0], ".,")
	switch {
	case f.outline && len(row) == 2:
		g = guess{"EN", "NE"}
	case len(row) >= 5 && named:
		g = guess{"PENZD", "PNEZD"}
	case len(row) == 4 && !looksNumeric(row[3]):
		g = guess{"ENZD", "NEZD"}
	case len(row) == 4 && named:
		g = guess{"PENZ", "PNEZ"}
	}
	return &Error{Pos: f.at(m.first), Found: fmt.Sprintf("%d columns without a header", len(row)),
		Want: "the order of the columns; east before north or north before east cannot be told from numbers, and a swap mirrors the floor",
		Hint: fmt.Sprintf("--order %s or --order %s", g.b, g.a)}
}

// heights works out which columns give the height.
func (f *textReader) heights() error {
	has := func(r role) bool { return f.of[r] != nil }
	if f.isRuns() {
		return f.runHeights()
	}
	switch {
	case has(isRod) && (has(isSight) || has(isSetup)):
		f.manner, f.up = bySight, f.of[isRod]
	case has(isBS) && (has(isFS) || has(isIS)):
		f.manner, f.up = byBook, f.of[isBS]
	case has(isGrade) && has(isRod):
		f.manner, f.up = byGradeRod, f.of[isRod]
	case has(isRod):
		f.manner, f.up = byRod, f.of[isRod]
	case has(isZ):
		f.manner, f.up = byElevation, f.of[isZ]
	case has(isDiff):
		f.manner, f.up = byDiff, f.of[isDiff]
	case has(isLow):
		f.manner, f.up = byDepth, f.of[isLow]
	case has(isHigh):
		f.manner, f.up = byDepth, f.of[isHigh]
	case f.outline, has(isX) && has(isY) && has(isName):
		f.manner = planOnly
	default:
		return f.noHeights()
	}
	if f.gridNamed() && !f.outline && !has(isY) {
		return f.mustTurn(f.pos)
	}
	if (f.manner == byBook || f.manner == bySight) && !f.outline && has(isX) == has(isY) {
		return nil // a book without a plan is of use by itself, or beside a list of places
	}
	if !has(isX) || !has(isY) {
		e := &Error{Pos: f.pos, Found: "columns " + f.heads(), Want: "plan columns, headed such as x and y or easting and northing"}
		if f.manner == byRod {
			e.Want = "plan positions beside the levels: " + e.Want
			e.Hint = "where names are those of a grid (A1, B7): --grid-spacing 3m " + askNumbers
		}
		return e
	}
	return nil
}

// noHeights is the error for a file of places alone.
func (f *textReader) noHeights() error {
	want := "a column of elevations or rod readings, headed such as elevation, z, level or rod"
	for _, c := range f.layout.columns {
		if c.role == isDesign {
			want = "a column of elevations that were measured; " + c.String() + " is a level to reach"
		}
	}
	return &Error{Pos: f.pos, Found: "columns " + f.heads(), Want: want, Err: ErrNoHeights,
		Hint: "name the column of heights in line " + strconv.Itoa(f.pos.Line) + ": elevation where more is higher, rod where more is lower, depth for the depth to fill"}
}

// ErrNoHeights is the cause when a file has places and no elevations: it may be an
// outline.
var ErrNoHeights = errors.New("no elevations")

// heads lists the columns for messages.
func (f *textReader) heads() string {
	var out []string
	for _, c := range f.layout.columns {
		if c.head != "" {
			out = append(out, strconv.Quote(c.head))
		} else if c.role != isIgnored {
			out = append(out, fmt.Sprintf("%d", c.index+1))
		}
	}
	return strings.Join(out, ", ")
}

// lengths returns the columns that hold lengths.
func (f *textReader) lengths() []*column {
	var out []*column
	for _, r := range []role{isX, isY, isZ, isRod, isGrade, isHI, isBS, isIS, isFS, isRise, isFall, isDiff, isLow, isHigh, isDist, isBackDist, isForeDist, isX0, isY0, isX1, isY1, isStep} {
		if c := f.of[r]; c != nil {
			out = append(out, c)
		}
	}
	return out
}

// units gives each column its unit: from its head, the unit row, a line of the
// preamble or a comment, or the options.
func (f *textReader) units() error {
	m := f.form
	for i, w := range m.units {
		if i < len(f.layout.columns) && !f.layout.columns[i].stated {
			c := f.layout.columns[i]
			c.unit, c.feetInches, c.last, c.stated = unitWords(strings.Trim(w, "()[] "))
		}
	}
	for _, l := range slices.Concat(m.preamble, m.comments) {
		t, comment := commentMark(l.text)
		if !comment {
			t = l.text
		} else if _, hi := statedHI(l.text); !hi && l.n != m.headLine {
			f.note(Assumed, f.at(l.n), "comment passed over: %s", strings.TrimSpace(t))
		}
		if u, fi, last, ok := statedUnit(t); ok {
			for _, c := range f.lengths() {
				if !c.stated {
					c.unit, c.feetInches, c.last, c.stated = u, fi, last, true
				}
			}
		}
	}
	var rows [][]string
	for _, l := range m.content {
		rows = append(rows, split(l.text, m.sep))
	}
	f.feetAndInches(rows, f.lengths())
	fits, all := false, true
	var says []string
	for _, c := range f.lengths() {
		if !c.stated {
			all = false
			if !c.feetInches {
				c.unit = f.o.Unit
			}
			continue
		}
		// A unit of the same kind is for bare numbers elsewhere.
		fits = fits || c.unit.Imperial() == f.o.Unit.Imperial()
		if !slices.Contains(says, c.unit.String()) {
			says = append(says, c.unit.String())
		}
	}
	if f.o.Unit != unit.None && all && !fits && !f.outline {
		return &Error{Pos: f.pos, Found: "columns in " + strings.Join(says, " and "),
			Want: fmt.Sprintf("lengths in %s, the unit asked for: one of the two is wrong", f.o.Unit),
			Hint: "leave --units out to take the units of the file"}
	}
	if x := f.of[isX]; x != nil {
		f.s.Plan = x.unit
	}
	if f.up != nil {
		f.s.Unit = f.up.unit
	}
	if err := f.resolve(f.s.Plan, f.s.Unit); err != nil {
		return err
	}
	// The height of instrument may stand before the rows.
	for _, l := range slices.Concat(m.preamble, m.comments) {
		text, ok := statedHI(l.text)
		if !ok || f.of[isRod] == nil || f.o.HasInstrument || l.n >= m.first && f.mayMove() {
			continue
		}
		// The line is read with a unit of its own or that of the readings; only
		// now is the unit known, the decimal sign still is not.
		v, err := numbers{comma: !strings.Contains(text, ".") && strings.Contains(text, ",")}.length(&column{unit: f.of[isRod].unit}, text)
		if err != nil {
			return &Error{Pos: f.at(l.n), Element: "height of instrument", Found: strconv.Quote(text), Want: err.Error(), Hint: unitHint(err), Err: err}
		}
		if f.hasHI && v != f.hi {
			return &Error{Pos: f.at(l.n), Element: "height of instrument", Found: strconv.Quote(text), Want: "one height of instrument; another was given before, at " + f.hiPos.String()}
		}
		f.hi, f.hasHI, f.hiPos = v, true, f.at(l.n)
		f.note(Assumed, f.hiPos, "height of instrument %s", f.show(v))
	}
	return nil
}

// resolve sets the lengths of the options that depend on the units of the file.
func (f *textReader) resolve(plan, up unit.Length) error {
	if f.o.InUnit == nil {
		return nil
	}
	if err := f.o.InUnit(plan, up, &f.o); err != nil {
		return err
	}
	f.hi, f.hasHI = f.o.Instrument, f.o.HasInstrument
	return nil
}

// show writes an elevation in m in the unit of the file.
func (f *textReader) show(m float64) string {
	u := f.s.Unit
	if x := f.of[isX]; u == unit.None && x != nil {
		u = x.unit // every reading has a unit of its own
	}
	return unit.StyleOf(u, u).Elevation(m)
}

// askUnit is the hint where lengths have no unit.
const askUnit = "--units m, or cm, mm, ft, ftUS, in"

func unitHint(err error) string {
	if errors.Is(err, unit.ErrNoUnit) {
		return askUnit
	}
	return ""
}

// decimals works out the decimal sign from the cells of length columns.
func (f *textReader) decimals() error {
	var d decimalSigns
	at := Pos{File: f.name}
	for _, l := range f.form.content {
		cells := split(l.text, f.form.sep)
		for _, c := range f.lengths() {
			if c.index < len(cells) && looksNumeric(cells[c.index]) {
				if d.see(cells[c.index]); d.example != "" && at.Line == 0 {
					at = f.at(l.n)
				}
			}
		}
	}
	n, ok := d.decide(f.form.sep)
	if !ok {
		return &Error{Pos: at, Found: strconv.Quote(d.example), Want: "numbers that show whether the sign is decimal or groups thousands; every one here may be either",
			Hint: "save the file with decimal points and without thousands"}
	}
	f.num = n
	if n.comma {
		f.note(Assumed, Pos{File: f.name}, "decimal sign is the comma")
	}
	if n.thousands {
		sign := "comma"
		if n.comma {
			sign = "point"
		}
		f.note(Assumed, Pos{File: f.name}, "%s groups thousands", sign)
	}
	return nil
}

// rows reads the data lines.
func (f *textReader) rows() error {
	m := f.form
	if f.mayMove() {
		if err := f.findBanners(); err != nil {
			return err
		}
		m.banners = map[int]bool{}
		for _, b := range f.banners {
			m.banners[b.line] = true
		}
	}
	f.beginStands()
	data, cuts, passed, err := m.prepare(f.name, f.text.body, len(f.layout.columns), f.lastIsText())
	if err != nil {
		return err
	}
	passed.before(m, f.text.body)
	f.passed(passed)
	head, kind := f.decoding()
	f.data, f.dataBefore = data, m.first-1
	f.pts = make([]Point, 0, bytes.Count(data, []byte("\n"))+1)

	// Decoding a row costs more than all that is done with it, so chunks are
	// decoded ahead on every processor and taken in the order of the file.
	batches := make([]chan batch, len(cuts))
	start := func(i int) {
		if i >= len(cuts) {
			return
		}
		end := len(data)
		if i+1 < len(cuts) {
			end = cuts[i+1].at
		}
		batches[i] = make(chan batch, 1)
		go func() { batches[i] <- f.decodeRows(head, data[cuts[i].at:end], cuts[i].line, kind) }()
	}
	ahead := runtime.GOMAXPROCS(0)
	for i := range ahead {
		start(i)
	}
	for i := range cuts {
		if f.o.Progress != nil {
			f.o.Progress(int64(cuts[i].at), int64(len(data)))
		}
		b := <-batches[i]
		start(i + ahead)
		for _, d := range b.rows {
			f.line = d.line
			if f.take(d.row) != nil {
				return joined(f.errs)
			}
		}
		if b.err != nil {
			return b.err
		}
	}
	if len(f.errs) > 0 {
		return joined(f.errs)
	}
	if f.arrive(math.MaxInt); len(f.errs) > 0 {
		return joined(f.errs)
	}
	if f.o.Progress != nil {
		f.o.Progress(int64(len(data)), int64(len(data)))
	}
	f.promised()
	return nil
}

// lastIsText reports whether the last column takes the rest of a line.
func (f *textReader) lastIsText() bool {
	if n := len(f.layout.columns); n > 0 {
		switch f.layout.columns[n-1].role {
		case isRemark, isCode, isPart, "":
			return true
		}
	}
	return false
}

// freeText returns the index of the last column that has a head, or a letter of the
// order, if it holds text, and else -1: separators in it cut no row.
func (f *textReader) freeText() int {
	i := len(f.layout.columns) - 1
	for i > 0 && f.layout.columns[i].head == "" && (f.form.head != nil || f.layout.columns[i].role == isIgnored) {
		i--
	}
	if i >= 0 {
		switch f.layout.columns[i].role {
		case isRemark, isCode, isPart, "":
			return i
		}
	}
	return -1
}

// joinText puts the text of the last column together again, where separators in it
// cut it. It reports false where the row has rather slid: a number is where the text
// should begin.
func (f *textReader) joinText(r *row) bool {
	i := f.freeText()
	if i < 0 {
		return false
	}
	c := f.layout.columns[i]
	own := &r.Free
	if f.of[c.role] == c {
		switch c.role {
		case isRemark:
			own = &r.Remark
		case isCode:
			own = &r.Code
		case isPart:
			own = &r.Part
		}
	}
	if looksNumeric(own.text) {
		return false
	}
	if own != &r.Code { // a code is one word, what follows it is a remark
		own.text = r.Extra.after(own.text, f.form.sep)
	}
	return true
}

// remarkSlid reports whether a separator in a remark may have moved the figures behind
// it by a column: the row has more fields than others have. The figures themselves
// need not show it.
func (f *textReader) remarkSlid(r *row) bool {
	c := f.of[isRemark]
	if r.Extra == "" || c == nil || strings.TrimSpace(r.Remark.text) == "" || c.index == f.freeText() {
		return false
	}
	behind := slices.ContainsFunc(f.lengths(), func(l *column) bool { return l.index > c.index })
	last := len(f.layout.columns)
	if i := f.freeText(); i >= 0 {
		last = i + 1
	}
	return behind && (!r.Extra.blank() || r.Extra.fields() > max(f.form.fields-last, len(f.layout.columns)-last))
}

// passed tells of lines that hold no row.
func (f *textReader) passed(p passedOver) {
	if p.comments+p.rules > 0 {
		f.note(Assumed, Pos{File: f.name}, "%v", p)
	}
}

// promised compares the rows with the count that some scans begin with.
func (f *textReader) promised() {
	rows := f.s.Rows - f.remarks
	if m := f.form; m.count >= 0 && m.count != rows {
		f.note(Warning, f.at(m.first-1), "the first line promises %d points, %d follow: the file may be cut short", m.count, rows)
	}
}

// decoding returns the head that the row decoder is given, and the kind of row it
// makes. It sets what separates the fields.
func (f *textReader) decoding() (head string, kind any) {
	// The decoder sees canonical names for the columns in use, nothing for the
	// others, and a few more to catch what stands past the last column.
	const spare = 64
	names := make([]string, len(f.layout.columns)+spare)
	for i, c := range f.layout.columns {
		if f.of[c.role] == c && c.role != isIgnored && c.role != isDesign && c.role != isEllipsoid && c.role != isLat && c.role != isLong {
			names[i] = string(c.role)
		}
	}
	if i := f.freeText(); i >= 0 {
		if names[i] == "" {
			names[i] = string(isFree)
		}
		for i++; i < len(f.layout.columns); i++ { // columns without a head
			names[i] = string(isExtra)
		}
	}
	// Columns past the order of a scan (intensity, colours) were given up for
	// good; past a header they would be a row that has slid.
	for i := len(f.layout.columns); i < len(names); i++ {
		names[i] = string(isExtra)
	}
	f.comma = f.form.sep
	if f.comma == blanks {
		f.comma = unitSeparator
	}
	kind = &scanRow{}
	for _, c := range f.layout.columns {
		if !scanRoles[c.role] {
			kind = &row{}
		}
	}
	return strings.Join(names, string(f.comma)) + "\n", kind
}

// take takes a decoded row into account, as [textReader.row] does.
func (f *textReader) take(decoded any) error {
	r, ok := decoded.(*row)
	if !ok {
		scan := decoded.(*scanRow)
		r = &f.wide
		r.Name, r.X, r.Y, r.Z, r.Code, r.Free, r.Extra = scan.Name, scan.X, scan.Y, scan.Z, scan.Code, scan.Free, scan.Extra
	}
	return f.row(r)
}

// decodedRow is a row, as *row or *scanRow, and the line it begins on.
type decodedRow struct {
	row  any
	line int
}

// batch is the rows of one chunk; err is what ended it early.
type batch struct {
	rows []decodedRow
	err  error
}

// reader returns a reader of rows in the way that the file is written.
func (f *textReader) reader(r io.Reader) *csv.Reader {
	c := csv.NewReader(r)
	c.Comma = f.comma
	c.LazyQuotes = true
	c.FieldsPerRecord = -1
	c.ReuseRecord = true
	return c
}

// decodeRows decodes a chunk whose first line is line of the file. It changes
// nothing in f, so that chunks can be decoded at the same time.
func (f *textReader) decodeRows(head string, chunk []byte, line int, kind any) batch {
	r := f.reader(io.MultiReader(strings.NewReader(head), bytes.NewReader(chunk)))
	var b batch
	decoder, err := gocsv.NewUnmarshaller(r, kind)
	if err != nil {
		b.err = &Error{Pos: f.pos, Want: "a header that can be read", Err: err}
		return b
	}
	b.rows = make([]decodedRow, 0, bytes.Count(chunk, []byte("\n"))+1)
	for {
		one, err := decoder.Read()
		if err == io.EOF {
			return b
		}
		if err != nil {
			e := &Error{Pos: Pos{File: f.name}, Want: "a row of fields: " + err.Error(), Err: err}
			var p *csv.ParseError
			if errors.As(err, &p) {
				e.Pos.Line = p.Line - 2 + line
				e.Want = "a row of fields: " + p.Err.Error()
			}
			b.err = e
			return b
		}
		n, _ := r.FieldPos(0)
		b.rows = append(b.rows, decodedRow{one, n - 2 + line})
	}
}

// cellPos returns where field c of the current row stands. The row is read once
// more for it, since positions are wanted of few.
func (f *textReader) cellPos(c *column) Pos {
	p := f.at(f.line)
	if f.o.cells != nil {
		p.Col = f.o.cells.left + c.index + 1
		return p
	}
	if f.form.sep == blanks {
		// The decoder saw other columns than the file has.
		b := lineAt(f.text.body, p.Line-f.bodyBefore)
		p.Col = 1
		for i := 0; ; i++ {
			rest := b[p.Col-1:]
			p.Col += len(rest) - len(bytes.TrimLeft(rest, " \t"))
			if i == c.index {
				return p
			}
			next := bytes.IndexAny(b[p.Col-1:], " \t")
			if next < 0 {
				return p
			}
			p.Col += next
		}
	}
	r := f.reader(bytes.NewReader(f.data[offsetOf(f.data, p.Line-f.dataBefore):]))
	fields, err := r.Read()
	if err != nil || c.index >= len(fields) {
		return p
	}
	n, col := r.FieldPos(c.index)
	p.Line, p.Col = f.line+n-1, col
	if b := lineAt(f.text.body, p.Line-f.bodyBefore); p.Col-1 <= len(b) {
		rest := b[p.Col-1:]
		if blank := len(rest) - len(bytes.TrimLeft(rest, " ")); blank < len(rest) {
			p.Col += blank
		}
	}
	return p
}

// lineAt returns line n of body without its line end.
func lineAt(body []byte, n int) []byte {
	b := body[offsetOf(body, n):]
	if i := bytes.IndexByte(b, '\n'); i >= 0 {
		b = b[:i]
	}
	return b
}

// fail keeps an error of the current row.
func (f *textReader) fail(e *Error) {
	f.errs = append(f.errs, e)
}

// cellError keeps the error of one cell, once a column where it is for want of
// a unit.
func (f *textReader) cellError(c *column, text string, err error) {
	e := &Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(strings.TrimSpace(text)), Want: err.Error(), Err: err}
	if errors.Is(err, unit.ErrNoUnit) && !c.feetInches {
		if c.noUnit {
			return
		}
		c.noUnit = true
		e.Hint = unitHint(err)
		if !c.own && !strings.ContainsAny(text, "/") {
			e.Want = "a unit: neither the header nor the cell says one"
		} else if c.own {
			e.Want = "a length with its unit, as in other cells of this column"
		}
	}
	if t := strings.TrimSpace(signs.Replace(text)); errors.Is(err, unit.ErrNoUnit) && c.feetInches && plainNumber(t) {
		e.Hint = askMarks(c, t)
	}
	f.fail(e)
}

// length reads cell of c. ok is false when it is missing or wrong; wrong ones
// have been told.
func (f *textReader) length(c *column, cell *cell) (v float64, ok bool) {
	v, err := f.num.length(c, cell.text)
	if err == nil {
		if c.unit == unit.None && v != 0 {
			u := ownUnit(cell.text)
			if c.own && u != c.seen {
				f.s.MixedUnits = true
			}
			if !c.own {
				c.own, c.seen = true, u
			}
		}
		if c.feetInches {
			f.takenAsFeet(c, cell.text)
		}
		return v, true
	}
	if missing(cell.text) {
		return 0, false
	}
	f.cellError(c, cell.text, err)
	return 0, false
}

// once returns text, the same string for the same text.
func (f *textReader) once(text string) string {
	switch text {
	case "":
		return ""
	case f.lastName: // codes come in runs
		return f.lastOnce
	}
	if s, ok := f.names[text]; ok {
		f.lastName, f.lastOnce = text, s
		return s
	}
	s := strings.Clone(strings.TrimSpace(text))
	if len(f.names) < 1<<12 {
		f.names[strings.Clone(text)] = s
	}
	return s
}

// footer are the words that head a line of totals.
var footer = set("min|max|minimum|maximum|mean|average|avg|sum|total|totals|count|std|stdev|std dev|range|median|high|low|highest|lowest")

// row takes one row into account. It returns errStop when there have been
// errors enough.
func (f *textReader) row(r *row) error {
	if len(f.banners) > 0 {
		f.arrive(f.line)
	}
	if f.blank(r) || f.again(r) {
		return nil
	}
	f.s.Rows++
	before := len(f.errs)
	if text, ok := f.bannerRow(r); ok {
		f.passBanner(text)
	} else if text, ok := f.wordsOnly(r); ok {
		f.remarks++
		f.note(LeftOut, f.at(f.line), "%q: a remark, no shot", abridge(text, 60))
	} else if f.remarkSlid(r) {
		f.fail(&Error{Pos: f.cellPos(f.of[isRemark]), Element: f.of[isRemark].String(), Found: fmt.Sprintf("%s and more fields in its row than there are columns", strconv.Quote(r.Remark.text)),
			Want: fmt.Sprintf("%d fields: text that holds the separator moves all behind it by a column", len(f.layout.columns)), Hint: "put text that holds the separator in quotes"})
	} else if !r.Extra.blank() && !f.joinText(r) {
		f.fail(&Error{Pos: f.at(f.line), Found: fmt.Sprintf("%q past the last column", r.Extra.first()),
			Want: fmt.Sprintf("%d fields", len(f.layout.columns)), Hint: "put text that holds the separator in quotes"})
	} else if short := f.short(r); short != nil && f.trailingHI() {
		f.s.Rows--
	} else if short != nil {
		f.fail(&Error{Pos: f.at(f.line), Element: short.String(), Found: "a row that ends before it", Want: fmt.Sprintf("%d fields", len(f.layout.columns)), Hint: "put # before a remark"})
	} else {
		f.shot(r)
	}
	if len(f.errs) > before && len(f.errs) >= mostErrors {
		return errStop
	}
	return nil
}

// trailingHI takes the height of instrument from a line after the rows, if the
// current one is such.
func (f *textReader) trailingHI() bool {
	if f.manner != byRod {
		return false
	}
	text, ok := statedHI(string(lineAt(f.text.body, f.line-f.bodyBefore)))
	if !ok {
		return false
	}
	v, err := f.num.length(f.up, text)
	if err == nil {
		f.instrument(v, f.at(f.line))
	}
	return err == nil
}

// blank reports whether no cell in use has anything in it.
func (f *textReader) blank(r *row) bool {
	if r.X.text != "" || r.Y.text != "" {
		if strings.TrimSpace(r.X.text) != "" || strings.TrimSpace(r.Y.text) != "" {
			return false
		}
	}
	for _, c := range []*cell{&r.Name, &r.Z, &r.Rod, &r.Code, &r.Remark, &r.Part, &r.Run, &r.BS, &r.IS, &r.FS, &r.Diff, &r.Low, &r.High} {
		if strings.TrimSpace(c.text) != "" {
			return false
		}
	}
	return r.Extra.blank()
}

// again reports whether the row is the header once more.
func (f *textReader) again(r *row) bool {
	if f.form.head == nil || r.X.text != "" && r.X.text[0] >= '0' && r.X.text[0] <= '9' {
		return false
	}
	same := 0
	for _, p := range []struct {
		of   role
		cell *cell
	}{{isX, &r.X}, {isY, &r.Y}, {isZ, &r.Z}, {isRod, &r.Rod}, {isBS, &r.BS}, {isFS, &r.FS}} {
		c := f.of[p.of]
		if c == nil {
			continue
		}
		if len(p.cell.text) == 0 || p.cell.text[0] >= '0' && p.cell.text[0] <= '9' || !strings.EqualFold(strings.TrimSpace(p.cell.text), c.head) {
			return false
		}
		same++
	}
	if same < 2 {
		return false
	}
	f.note(Assumed, f.at(f.line), "header repeated on line %d", f.line)
	return true
}

// short returns a column that the row must reach and does not.
func (f *textReader) short(r *row) *column {
	switch {
	case f.x != nil && !r.X.seen:
		return f.x
	case f.y != nil && !r.Y.seen:
		return f.y
	}
	switch f.manner {
	case byElevation:
		if !r.Z.seen && !f.outline && len(f.codes.own) == 0 && f.code == nil {
			return f.of[isZ]
		}
	case byRod, bySight, byGradeRod:
		if !r.Rod.seen {
			return f.of[isRod]
		}
	}
	return nil
}

// shot reads a row that is as long as it should be.
func (f *textReader) shot(r *row) {
	p := Point{At: f.at(f.line), Z: math.NaN()}
	if r.Name.text != "" {
		p.Name = strings.TrimSpace(r.Name.text)
	}
	p.Code = f.once(r.Code.text)
	p.Part = f.once(r.Part.text)
	if p.Part == "" && r.Ring.text != "" && !f.outline {
		p.Part = f.once(r.Ring.text)
	}
	if f.manner == byRun {
		f.runRow(r, p)
		return
	}
	var m meaning
	if f.code != nil {
		m = f.codes.code(r.Code.text)
	} else {
		m = f.codes.remark(r.Remark.text)
		p.Code = f.once(r.Remark.text)
	}

	errs := len(f.errs)
	placed := true
	if f.x == nil && f.gridNamed() {
		placed = f.placeByName(&p)
	}
	if f.x != nil {
		var okX, okY bool
		if p.X, okX = f.length(f.x, &r.X); !okX {
			placed = false
		}
		if p.Y, okY = f.length(f.y, &r.Y); !okY {
			placed = false
		}
		if len(f.errs) > errs {
			return
		}
	}
	if !placed {
		if !f.outline && (f.manner == bySight || f.manner == byBook || f.withoutPlace(r, p)) {
			p.X, p.Y = math.NaN(), math.NaN()
		} else {
			if f.outline {
				f.note(LeftOut, p.At, "%sno position", label(p))
			}
			return
		}
	}
	if f.outline {
		f.corner(r, p, m)
		return
	}
	usable := false
	switch f.manner {
	case planOnly:
		usable = placed
	case bySight:
		usable = f.bookRow(r, &p, m.role)
	case byBook:
		usable = f.wideRow(r, &p, m.role)
	default:
		usable = f.height(r, &p, m.role)
	}
	if !usable {
		return
	}
	if !placed && f.manner != bySight && f.manner != byBook {
		return // it told the height of instrument
	}
	switch {
	case (f.manner == bySight || f.manner == byBook) && m.role == Floor && f.sights[len(f.sights)-1].Kind != Intermediate:
		m.role = Control // a benchmark or turning point, whatever its code
	case m.role == Outline || m.role == Void || m.role == Break:
		f.rings = append(f.rings, ringRow{len(f.pts), m.role, cmpOr(p.Part, m.name)})
	}
	if f.manner == bySight || f.manner == byBook {
		reading := f.sights[len(f.sights)-1].Reading
		f.readRod(reading)
		if m.role != Control {
			f.mark(reading)
		}
	}
	f.reading(r, &p)
	f.keep(p, m.role)
}

// mostReadings is how many readings are kept as they were written. Longer files
// are scans, in which no one has misread a rod.
const mostReadings = 100_000

// reading remembers the height of p as the row has it. It is called before keep.
func (f *textReader) reading(r *row, p *Point) {
	if f.o.Thin.Cell > 0 || len(f.pts) >= mostReadings || f.readings == nil && len(f.pts) > 0 {
		f.readings = nil
		return
	}
	what, c, text := Elevation, f.up, ""
	switch f.manner {
	case byElevation:
		text = r.Z.text
	case byRod:
		if what, text = Rod, r.Rod.text; missing(text) {
			what, c, text = Elevation, f.of[isZ], r.Z.text
		}
	case bySight, byGradeRod:
		what, text = Rod, r.Rod.text
	case byBook:
		what = Rod
		for _, s := range []struct {
			of   role
			cell *cell
		}{{isIS, &r.IS}, {isFS, &r.FS}, {isBS, &r.BS}} {
			if f.of[s.of] != nil && !missing(s.cell.text) {
				c, text = f.of[s.of], s.cell.text
				break
			}
		}
	case byDiff:
		what, text = Deviation, r.Diff.text
	case byDepth:
		what, text = Drop, r.Low.text
		if f.of[isLow] == nil || missing(text) {
			what, c, text = Deviation, f.of[isHigh], r.High.text
		}
	}
	one := Reading{Name: p.Name, Text: strings.Clone(ungrouped(text)), Measure: what, At: p.At}
	if c != nil {
		one.Unit, one.FeetInches = c.unit, c.feetInches
		if v, err := f.num.length(c, text); err == nil {
			one.Value = v
		}
	}
	if n := len(f.sights); n > 0 {
		one.Setup = f.sights[n-1].Setup
	}
	f.readings = append(f.readings, one)
}

func cmpOr(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// keep appends a point and its role.
func (f *textReader) keep(p Point, r Role) {
	if r != Floor && f.roles == nil {
		f.roles = make([]Role, len(f.pts), cap(f.pts))
	}
	f.pts = append(f.pts, p)
	if f.roles != nil {
		f.roles = append(f.roles, r)
	}
}

// withoutPlace deals with a row without a plan position. It reports whether the
// row can still tell the height of instrument.
func (f *textReader) withoutPlace(r *row, p Point) bool {
	name := headForm(p.Name)
	switch {
	case footer[name]:
		f.note(LeftOut, p.At, "%q: a total, not a point", p.Name)
	case f.manner == byRod && headWords[name] == isHI:
		for _, c := range []struct {
			of   role
			cell *cell
		}{{isZ, &r.Z}, {isRod, &r.Rod}, {isHI, &r.HI}} {
			if f.of[c.of] == nil || missing(c.cell.text) {
				continue
			}
			if v, ok := f.length(f.of[c.of], c.cell); ok {
				f.instrument(v, p.At)
				f.s.Rows-- // no point
				return false
			}
		}
	case (f.manner == byRod || f.manner == byGradeRod) && !missing(r.Rod.text):
		// A benchmark or turning point. What is no reading beside a name that is
		// none of either is a remark.
		_, err := f.num.length(f.up, r.Rod.text)
		if err == nil || isMark(p.Name) || f.of[isZ] != nil && !missing(r.Z.text) {
			return true
		}
		fallthrough
	default:
		f.note(LeftOut, p.At, "%sno position", label(p))
	}
	return false
}

// label names a point at the start of a note.
func label(p Point) string {
	if p.Name == "" {
		return ""
	}
	return abridge(p.Name, mostQuoted) + ": "
}

// setHI takes a height of instrument that the file gives at pos.
func (f *textReader) setHI(v float64, pos Pos) {
	if !f.hasHI {
		f.hi, f.hasHI, f.hiPos = v, true, pos
		f.note(Assumed, pos, "height of instrument %s", f.show(v))
		return
	}
	const same = 1e-4 // m; below what a rod can be read to
	if d := v - f.hi; math.Abs(d) > same {
		s := unit.StyleOf(f.s.Plan, f.s.Unit)
		f.note(Warning, pos, "height of instrument %s here, %s before: %s apart; the first is used", f.show(v), f.show(f.hi), s.Depth(math.Abs(d)))
	}
}

// height sets p.Z from the row and reports whether the row is a point.
func (f *textReader) height(r *row, p *Point, as Role) bool {
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
		f.tenths.see([]byte(from.text), p.At)
	}
	p.Z = v
	return true
}

// noHeight leaves out a point without a height, unless it is a corner.
func (f *textReader) noHeight(p *Point, as Role, why, text string) bool {
	if as == Outline || as == Void || as == Break {
		return true
	}
	if text = strings.TrimSpace(text); text != "" {
		why += " (" + excerpt(strconv.Quote(text)) + ")"
	}
	f.note(LeftOut, p.At, "%s%s", label(*p), why)
	return false
}

// mark remembers heights that may stand for no data; v is the height as read,
// before any height of instrument.
func (f *textReader) mark(v float64) {
	switch {
	case v == 0:
		f.zeros = append(f.zeros, len(f.pts))
	case isMarker(v, f.up.unit):
		f.markers = append(f.markers, len(f.pts))
	}
}

// isMarker reports whether a height of v metres, written in u, is one of the
// numbers that stand for no data.
func isMarker(v float64, u unit.Length) bool {
	metres := u.Metres()
	if metres == 0 {
		metres = 1
	}
	if math.Abs(v) < 998*metres {
		return false
	}
	switch raw := math.Round(v/metres*1e3) / 1e3; math.Abs(raw) {
	case 999, 9999, 99999, 999999, 32768, 32767:
		return true
	default:
		return math.Abs(raw) >= 1e20
	}
}

// rod reads a row of readings, some of which may be benchmarks.
func (f *textReader) rod(r *row, p *Point, as Role) bool {
	errs := len(f.errs)
	rod, okRod := f.length(f.up, &r.Rod)
	z, okZ := 0.0, false
	if c := f.of[isZ]; c != nil {
		z, okZ = f.length(c, &r.Z)
	}
	if c := f.of[isHI]; c != nil {
		if v, ok := f.length(c, &r.HI); ok {
			f.columnHeight(v, p.At)
		}
	}
	if len(f.errs) > errs {
		return false
	}
	u := f.now()
	if okRod {
		one := rodRow{pt: len(f.pts), stand: len(f.stands) - 1, rod: rod, given: math.NaN(), dist: math.NaN(), text: strings.Clone(strings.TrimSpace(r.Rod.text)), role: as}
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
		f.stated = append(f.stated, statedHeight{z + rod, p.At})
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
		f.tenths.see([]byte(r.Rod.text), p.At)
	}
	p.Z = -rod
	f.pending = append(f.pending, len(f.pts))
	if f.of[isHI] != nil && !math.IsNaN(u.hi) {
		p.Z = u.hi - rod
		f.pending = f.pending[:len(f.pending)-1]
	}
	return true
}

// beside is a deviation whose sign is a word in its own cell: "hi 1/4", "3/8 lo".
var beside = regexp.MustCompile(`(?i)^\s*(?:(hi|high|above|lo|low|below)[ .:]+(.*\d.*)|(.*\d.*?)[ .]*\b(hi|high|above|lo|low|below)\.?)\s*$`)

// onTarget are the marks for no deviation.
var onTarget = map[string]bool{"✓": true, "✔": true, "√": true, "ok": true, "flush": true, "on": true}

// deviation reads floor less target, m, with its sign by word.
func (f *textReader) deviation(r *row) (float64, bool) {
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
			f.fail(&Error{Pos: f.cellPos(f.up), Element: f.up.String(), Found: strconv.Quote(r.Diff.text), Want: ask})
		}
		return 0, false
	case v < 0:
		beside := "the word " + strings.ToLower(word)
		if sign != nil {
			beside = sign.String()
		}
		f.fail(&Error{Pos: f.cellPos(f.up), Element: f.up.String(), Found: strconv.Quote(r.Diff.text), Want: "a number without sign beside " + beside})
		return 0, false
	}
	switch word {
	case "H", "HI", "HIGH", "C", "CUT", "+", "ABOVE":
		return v, true
	case "L", "LO", "LOW", "F", "FILL", "-", "BELOW":
		return -v, true
	}
	if !r.Sign.seen || word == "" {
		f.fail(&Error{Pos: f.cellPos(f.up), Element: f.up.String(), Found: strconv.Quote(r.Diff.text) + " without a word", Want: ask})
	} else {
		f.fail(&Error{Pos: f.cellPos(sign), Element: sign.String(), Found: strconv.Quote(r.Sign.text), Want: "H or L, C or F, + or -"})
	}
	return 0, false
}

// depth reads columns of depths below and heights above a target as floor less
// target, m.
func (f *textReader) depth(r *row) (float64, bool) {
	low, okL, high, okH := 0.0, false, 0.0, false
	if c := f.of[isLow]; c != nil {
		low, okL = f.length(c, &r.Low)
	}
	if c := f.of[isHigh]; c != nil {
		high, okH = f.length(c, &r.High)
	}
	if okL && okH && low != 0 && high != 0 {
		c := f.of[isHigh]
		f.fail(&Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(r.High.text), Want: "nothing, since " + f.of[isLow].String() + " is filled too"})
		return 0, false
	}
	return high - low, okL || okH
}

// tenths looks for feet.inches in a column of decimal feet: 5.11 for 5' 11".
type tenths struct {
	n, plain   int
	one, twice string // a figure with one decimal, one that ends in .10 or .11
	ten        bool   // .10 is there: no decimal is written so beside .9
	at         Pos
}

func (t *tenths) see(text []byte, at Pos) {
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

func (t *tenths) suspect() bool {
	return t.one != "" && t.twice != "" && (t.ten || t.plain == 0 && t.n >= 5)
}

// Package text reads delimited text, the sheets of workbooks and grid sheets: lists of points,
// rod readings, level books, runs and outlines.
package text

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/internal/input"
	"pourplane/survey/internal/thin"
)

// mostErrors is the maximum number of errors reported before reading stops.
const mostErrors = 20

// errStop stops the reading of a file that has mostErrors errors.
var errStop = errors.New("too many errors")

// Read reads a list of points from delimited text. It finds encoding, separator, decimal
// sign, header and units from the text, and lists what it assumed in Notes. name is used
// in messages only.
//
// Lengths and elevations are metres. Rod readings become elevations by the height of
// instrument that the file, its benchmark row, its level book or o gives. Without any,
// elevations are the negated readings and Relative is set. Relative is also set for
// depths and deviations: elevation 0 is then the target.
//
// Rows that are not points are left out with a Note each. A faulty row is a
// [survey.Error]; about 20 of them are joined. Units that neither the file nor o states,
// columns without header and without o.Order, and readings that cannot be tied to a
// benchmark are errors.
//
// With o.Thin a plain list of x, y and z is streamed: memory grows with the squares of
// the grid, not with the file. Each duplicate point counts in its square. Without o.Thin
// a duplicate is merged into the first of its points.
func Read(r io.Reader, name string, o survey.Options) (*survey.Survey, error) {
	if err := thin.Check(o.Thin); err != nil {
		return nil, err
	}
	if o.Thin.Cell > 0 {
		return thinText(r, name, o)
	}
	b, err := input.ReadAll(r, name, o)
	if err != nil {
		return nil, input.Unreadable(name, err)
	}
	return readText(b, name, o, false)
}

// Reader reads one file. Its layers are dialect (how the file is written), table (its
// columns), cursor (the current row) and shots (the points read); each uses only those
// before it. The survey is complete after [Reader.Finish].
type Reader struct {
	shots

	// Rod readings.
	setups   []setup  // of a list
	moved    bool     // a line records a move of the instrument
	banners  []banner // those that rows have not reached
	gaps     []gap    // rows and lines without a reading
	listRods []rodRow
	loose    []survey.Point // of rod readings without a place
	stated   []statedHeight
	remarks  int                // rows without figures, left out
	given    map[string]float64 // heights of instrument of set-ups, m
	dropped  map[int]bool       // points left out before they became sights
	sights   []survey.Sight
	sighted  []int // index in pts of the point of each sight
	booked   []booked
	head     setupHead // of a level book, until a sight has used it
	from     string    // name of the set-up of the last backsight, in a book with columns BS, IS and FS

	runs       *runReader
	sheetRead  []readMark // on benchmarks beside grid sheets
	sheetNames []string   // of grid sheets, from their corners; empty ones left out
	rings      []ringRow
	seqs       []float64 // of rings, NaN where not given; nil outside outline files
}

// readText reads b, which it may change.
func readText(b []byte, name string, o survey.Options, outline bool) (*survey.Survey, error) {
	f, err := Begin(b, name, o, outline)
	if err != nil {
		return nil, err
	}
	return f.Alone()
}

// Alone finishes a file that depends on no other and returns its survey. A file with
// places but no elevations is an error.
func (f *Reader) Alone() (*survey.Survey, error) {
	if len(f.sights) > 0 {
		if err := reduce([]*Reader{f}, true); err != nil {
			return nil, err
		}
	}
	if err := f.Finish(); err != nil {
		return nil, err
	}
	if len(f.s.Places) > 0 {
		return nil, f.NoHeights()
	}
	return f.s, nil
}

// Survey returns what has been read so far.
func (f *Reader) Survey() *survey.Survey { return f.s }

// Begin reads the rows of b, which it may change, as far as one file can be understood
// alone. outline is set for a file of walls. name is used in messages only. [Tie] and
// [Reader.Finish] complete the survey, or [Reader.Alone] if there is no other file.
func Begin(b []byte, name string, o survey.Options, outline bool) (*Reader, error) {
	return begin(b, name, o, outline, nil)
}

// begin is [Begin] for text that may be made from the cells of a workbook sheet; cells is
// nil for a text file.
func begin(b []byte, name string, o survey.Options, outline bool, cells *workbookSheet) (*Reader, error) {
	f, err := understand(b, name, o, outline, cells)
	switch {
	case err != nil:
		return nil, err
	case f.form.grid:
		return f, f.sheets()
	}
	return f, f.rowsRead(f.rows())
}

// rowsRead does with rows that have been read, without or with an error, what needs no other
// file.
func (f *Reader) rowsRead(err error) error {
	if err == nil {
		err = f.listToBook()
	}
	f.noteFeet(f.lengths())
	f.makeLastForesight()
	f.ownUnits()
	if err == nil && f.isLevelBook() {
		err = sameMarks(f.bookSpellings(), f.o.Benchmarks)
	}
	return err
}

// understand finds how b is written; it may change b. For a grid sheet it finds only that
// it is one.
func understand(b []byte, name string, o survey.Options, outline bool, cells *workbookSheet) (*Reader, error) {
	if len(bytes.TrimSpace(b)) == 0 {
		return nil, &survey.Error{Pos: survey.Pos{File: name}, Found: "an empty file", Want: "a list of points, one a line"}
	}
	t, err := decode(name, b)
	if err != nil {
		return nil, err
	}
	f := &Reader{}
	f.dialect = dialect{name: name, o: o, text: t, outline: outline, cells: cells,
		s: &survey.Survey{Name: name, Format: "delimited text", Encoding: t.encoding}}
	f.codes, f.names = survey.NewCodebook(o.Codes), map[string]string{}
	f.hi, f.hasHI = o.Instrument, o.HasInstrument
	if err := checkLines(name, t.body); err != nil {
		return nil, err
	}
	if f.form, err = learn(name, t.body, cells != nil); err != nil {
		return nil, err
	}
	if err := f.form.checkColumns(name); err != nil {
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

// footer are the names of rows with totals.
var footer = set("min|max|minimum|maximum|mean|average|avg|sum|total|totals|count|std|stdev|std dev|range|median|high|low|highest|lowest")

// row reads one row. It returns errStop after mostErrors errors.
func (f *Reader) row(r *row) error {
	if len(f.banners) > 0 {
		f.arrive(f.line)
	}
	if f.blank(r) {
		f.headRow(r)
		return nil
	}
	if f.repeatsHeader(r) {
		return nil
	}
	f.s.Rows++
	before := len(f.errs)
	if text, ok := f.bannerRow(r); ok {
		f.passBanner(text)
	} else if text, ok := f.wordsOnly(r); ok {
		f.remarks++
		f.note(survey.LeftOut, f.at(f.line), "%q: a remark, no shot", survey.Abridged(text))
		f.gapRow(text)
	} else if f.remarkSlid(r) {
		f.fail(&survey.Error{Pos: f.cellPos(f.of[isRemark]), Element: f.of[isRemark].String(), Found: fmt.Sprintf("%s and more fields in its row than there are columns", strconv.Quote(r.Remark.text)),
			Want: fmt.Sprintf("%d fields: text that holds the separator moves all behind it by a column", len(f.layout.columns)), Hint: "put text that holds the separator in quotes"})
	} else if !r.Extra.blank() && !f.joinText(r) {
		f.fail(&survey.Error{Pos: f.at(f.line), Found: fmt.Sprintf("%q past the last column", r.Extra.first()),
			Want: fmt.Sprintf("%d fields", len(f.layout.columns)), Hint: "put text that holds the separator in quotes"})
	} else if short := f.short(r); short != nil && f.trailingHI() {
		f.s.Rows--
	} else if short != nil {
		f.fail(&survey.Error{Pos: f.at(f.line), Element: short.String(), Found: "a row that ends before it", Want: fmt.Sprintf("%d fields", len(f.layout.columns)), Hint: "put # before a remark"})
	} else {
		f.shot(r)
	}
	if len(f.errs) > before && len(f.errs) >= mostErrors {
		return errStop
	}
	return nil
}

// trailingHI reads the height of instrument from a line after the rows, and reports
// whether the current line gives one.
func (f *Reader) trailingHI() bool {
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

// shot reads a row that is long enough.
func (f *Reader) shot(r *row) {
	t := survey.Tag{Name: strings.TrimSpace(r.Name.text), Code: f.once(r.Code.text), Part: f.once(r.Part.text), At: f.at(f.line)}
	if t.Part == "" && r.Ring.text != "" && !f.outline {
		t.Part = f.once(r.Ring.text)
	}
	p, m := survey.Point{Z: math.NaN()}, survey.Meaning{}
	if f.manner == byRun {
		f.runRow(r, p.With(t))
		return
	}
	if f.code != nil {
		m = f.codes.Code(r.Code.text)
	} else {
		m = f.readDescription(r.Remark.text, &t)
	}
	p = p.With(t)
	placed, ok := f.place(r, &p)
	switch {
	case !ok:
		return
	case placed:
	case !f.outline && (f.isLevelBook() || f.withoutPlace(r, p, m.Role)):
		p.X, p.Y = math.NaN(), math.NaN()
	case f.outline:
		f.leaveShot(p, "no position")
		return
	default:
		return
	}
	if f.outline {
		f.corner(r, p, m)
		return
	}
	if !placed {
		f.keepRemark(p.At(), p.Remark()) // where a benchmark is: its row is no point
		f.remarkOn(r, p)
	}
	if !f.heightOf(r, &p, m.Role, placed) {
		return
	}
	if !placed && !f.isLevelBook() {
		return // it gave the height of instrument
	}
	f.keepShot(r, p, m)
}

// heightOf reads the height of p and reports whether the row has one.
func (f *Reader) heightOf(r *row, p *survey.Point, as survey.Role, placed bool) bool {
	switch f.manner {
	case planOnly:
		return placed
	case bySight:
		return f.bookRow(r, p, as)
	case byBook:
		return f.wideRow(r, p, as)
	}
	return f.height(r, p, as)
}

// keepShot keeps p with the role of its code, or of its sight in a level book.
func (f *Reader) keepShot(r *row, p survey.Point, m survey.Meaning) {
	booked := f.isLevelBook()
	switch {
	case booked && m.Role == survey.Floor && f.sights[len(f.sights)-1].Kind != survey.Intermediate:
		m.Role = survey.Control // a benchmark or turning point, whatever its code
	default:
		f.ringOf(len(f.pts), p.Part(), m, strings.TrimSpace(r.Wall.text))
	}
	if booked {
		sight := f.sights[len(f.sights)-1]
		reading := sight.Reading
		if reading < 0 && m.Role == survey.Floor && !sight.Mark {
			f.negativeRod(p.At(), "rod reading", sight.Text)
		}
		f.readRod(reading)
		if m.Role != survey.Control {
			f.mark(reading)
		}
	}
	f.reading(r, &p)
	f.remarkOn(r, p)
	if text := strings.TrimSpace(r.Remark.text); m.Role == survey.Finished && text != "" && p.Remark() == "" && text != p.Code() {
		t := p.Tag()
		t.Remark = f.once(text) // the door as the crew calls it
		p = p.With(t)
	}
	if m.Role == survey.Floor && strings.TrimSpace(r.Code.text) == "" {
		if f.code != nil && f.codeLike(r.Remark.text) {
			t := p.Tag()
			t.Remark = f.once(r.Remark.text)
			p = p.With(t)
		}
		f.leaveUncoded(r.Remark.text, len(f.pts))
	}
	f.keep(p, m.Role)
}

// remarkOn keeps the text of a column headed as remarks whose point does not have it.
func (f *Reader) remarkOn(r *row, p survey.Point) {
	if c := f.of[isRemark]; c != nil && c.prose && p.Remark() == "" {
		f.keepRemark(p.At(), r.Remark.text)
	}
}

// keepRemark keeps the remark of a row apart from its point.
func (f *Reader) keepRemark(at survey.Pos, text string) {
	text = strings.TrimSpace(text)
	if text == "" || len(f.s.Remarks) == mostReadings {
		return
	}
	if f.s.Remarks == nil {
		f.s.Remarks = map[survey.Pos]string{}
	}
	at.Col = 0
	f.s.Remarks[at] = f.once(text)
}

// mostReadings is the maximum number of readings kept as written. Longer files are scans,
// in which no rod was misread.
var mostReadings = 100_000 // changed by tests only

// keepsReadings reports whether the reading of the next point is kept as written.
func (f *Reader) keepsReadings() bool {
	return !f.many && f.o.Thin.Cell == 0 && len(f.pts) < mostReadings && (f.readings != nil || len(f.pts) == 0)
}

// reading keeps the height of p as written in the row. It is called before keep.
func (f *Reader) reading(r *row, p *survey.Point) {
	if !f.keepsReadings() {
		f.readings = nil
		return
	}
	what, c, text := survey.Elevation, f.up, ""
	switch f.manner {
	case byElevation:
		text = r.Z.text
	case byRod:
		if what, text = survey.Rod, r.Rod.text; missing(text) {
			what, c, text = survey.Elevation, f.of[isZ], r.Z.text
		}
	case bySight, byGradeRod:
		what, text = survey.Rod, r.Rod.text
	case byBook:
		what = survey.Rod
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
		what, text = survey.Deviation, r.Diff.text
	case byDepth:
		what, text = survey.Drop, r.Low.text
		if f.of[isLow] == nil || missing(text) {
			what, c, text = survey.Deviation, f.of[isHigh], r.High.text
		}
	}
	one := survey.Reading{Name: p.Name(), Text: strings.Clone(ungrouped(text)), Measure: what, At: p.At()}
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

// withoutPlace reads a row without a plan position, and reports whether the row can still
// give the height of instrument.
func (f *Reader) withoutPlace(r *row, p survey.Point, as survey.Role) bool {
	name := headForm(p.Name())
	switch {
	case footer[name]:
		f.note(survey.LeftOut, p.At(), "%q: a total, not a point", p.Name())
	case f.manner == byRod && headWords[name] == isHI:
		for _, c := range []struct {
			of   role
			cell *cell
		}{{isZ, &r.Z}, {isRod, &r.Rod}, {isHI, &r.HI}} {
			if f.of[c.of] == nil || missing(c.cell.text) {
				continue
			}
			if v, ok := f.length(f.of[c.of], c.cell); ok {
				f.instrument(v, p.At())
				f.s.Rows-- // no point
				return false
			}
		}
	case (f.manner == byRod || f.manner == byGradeRod) && !missing(r.Rod.text):
		// A benchmark or turning point. Text that is no reading, beside any other name,
		// is a remark.
		_, err := f.num.length(f.up, r.Rod.text)
		if err == nil || isMark(p.Name()) || f.of[isZ] != nil && !missing(r.Z.text) {
			return true
		}
		fallthrough
	default:
		f.leaveShot(p, "no position")
		if f.manner == byElevation && !missing(r.Z.text) {
			if z, err := f.num.length(f.up, r.Z.text); err == nil {
				f.unplaced(p, as, z)
			}
		}
		if missing(r.X.text) && missing(r.Y.text) && (f.manner == byRod || f.manner == byGradeRod) && (strings.TrimSpace(r.Rod.text) == "" || !missing(r.Rod.text)) {
			f.gapRow(f.lineText())
		}
	}
	return false
}

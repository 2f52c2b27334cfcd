package text

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"github.com/gocarina/gocsv"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// rows reads the data lines. The errors of rows are joined.
func (f *Reader) rows() error {
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
	f.beginSetups()
	data := f.text.body[m.start:]
	cuts, err := m.chunks(f.name, data)
	if err != nil {
		return err
	}
	var passed passedOver
	passed.before(m, f.text.body)
	skipped := len(f.s.Notes)
	names, kind := f.decoding()
	head, end := f.headLine(names), len(cuts)-1
	f.data, f.dataBefore = data, m.first-1
	f.pts = make([]survey.Point, 0, cuts[end].rows)
	up, room := f.lineUp(names), f.pts[:cuts[end].rows]

	// Reading a row costs more than using it. So chunks are read ahead on every processor,
	// and used in the order of the file.
	read := func(i int) batch {
		return f.readChunk(up, head, kind, cuts[i], cuts[i+1], room[cuts[i].rows:cuts[i+1].rows])
	}
	first := f.firstChunks(up, cuts, read)
	batches := make([]chan batch, end)
	start := func(i int) {
		if i >= end {
			return
		}
		batches[i] = make(chan batch, 1)
		if i < len(first) {
			batches[i] <- first[i]
			return
		}
		go func() { batches[i] <- read(i) }()
	}
	ahead := 2 * runtime.GOMAXPROCS(0)
	for i := range ahead {
		start(i)
	}
	for i := range end {
		if f.o.Progress != nil {
			f.o.Progress(int64(cuts[i].at), int64(len(data)))
		}
		if f.o.Stop != nil {
			if err := f.o.Stop(); err != nil {
				return err
			}
		}
		b := <-batches[i]
		start(i + ahead)
		passed.join(b.passed)
		if f.use(up, b, cuts[i], cuts[i+1]) != nil {
			return survey.JoinErrors(f.errs)
		}
		if b.err != nil {
			return b.err
		}
	}
	if len(f.errs) > 0 {
		return survey.JoinErrors(f.errs)
	}
	f.gaps = append(f.gaps, passed.gaps...)
	f.noteSkipped(passed, skipped)
	if f.arrive(math.MaxInt); len(f.errs) > 0 {
		return survey.JoinErrors(f.errs)
	}
	if f.o.Progress != nil {
		f.o.Progress(int64(len(data)), int64(len(data)))
	}
	f.checkCount()
	return nil
}

// firstChunks scans the first chunks of a list that has so many plain rows that its readings
// are not kept. It returns nil for any other.
func (f *Reader) firstChunks(up *lineUp, cuts []cut, read func(i int) batch) (first []batch) {
	end := len(cuts) - 1
	if up == nil || up.cut != mostReadings || cuts[end].rows <= mostReadings {
		return nil
	}
	up.cut = 0
	for i, plain := 0, 0; i < end; i++ {
		b := read(i)
		if b.plain.pts == nil { // no plain row, or a quote
			break
		}
		first = append(first, b)
		if plain += len(b.plain.pts) - len(b.plain.gaps); plain > mostReadings {
			f.many = true
			return first
		}
	}
	up.cut = mostReadings
	return nil
}

// lastIsText reports whether the last column takes the rest of a line.
func (f *table) lastIsText() bool {
	if n := len(f.layout.columns); n > 0 {
		switch f.layout.columns[n-1].role {
		case isRemark, isCode, isPart, "":
			return true
		}
	}
	return false
}

// freeText returns the index of the last column that has a head, or a letter of the
// order, if it holds text: separators in it cut no row. Otherwise it returns -1.
func (f *table) freeText() int {
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

// joinText restores the text of the last column where separators cut it. It reports false
// if the row has slid instead: a number is where the text should begin.
func (f *table) joinText(r *row) bool {
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
	if own != &r.Code { // a code is one word, the text after it is a remark
		own.text = r.Extra.after(own.text, f.form.sep)
	}
	return true
}

// remarkSlid reports whether a separator in a remark may have moved the figures after it
// by a column: the row has more fields than other rows. The figures themselves need not
// show it.
func (f *table) remarkSlid(r *row) bool {
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

// noteSkipped notes, as note number i, how many lines hold no row.
func (f *dialect) noteSkipped(p passedOver, i int) {
	if p.comments+p.rules > 0 {
		f.s.Notes = slices.Insert(f.s.Notes, i, survey.Notef(survey.Assumed, survey.Pos{File: f.name}, "%v", p))
	}
}

// checkCount warns if the number of rows differs from the count that some scans begin with.
func (f *Reader) checkCount() {
	rows := f.s.Rows - f.remarks
	if m := f.form; m.count >= 0 && m.count != rows {
		f.note(survey.Warning, f.at(m.first-1), "the first line promises %d points, %d follow: the file may be cut short", m.count, rows)
	}
}

// decoding returns the names of the fields for the row decoder, and a pointer to the kind
// of row that it makes. It sets f.comma.
func (f *cursor) decoding() (names []string, kind any) {
	// The decoder sees canonical names for the columns in use, nothing for the others,
	// and spare names that catch fields past the last column.
	const spare = 64
	names = make([]string, len(f.layout.columns)+spare)
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
	// Columns past the order of a scan (intensity, colours) are ignored columns of the
	// layout. A field past these belongs to a row that has slid.
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
	return names, kind
}

// headLine returns the header for the row decoder.
func (f *cursor) headLine(names []string) string { return strings.Join(names, string(f.comma)) + "\n" }

// take reads a decoded row, as [Reader.row] does.
func (f *Reader) take(decoded any) error {
	r, ok := decoded.(*row)
	if !ok {
		scan := decoded.(*scanRow)
		r = &f.wide
		r.Name, r.X, r.Y, r.Z, r.Code, r.Free, r.Remark, r.Extra = scan.Name, scan.X, scan.Y, scan.Z, scan.Code, scan.Free, scan.Remark, scan.Extra
	}
	return f.row(r)
}

// decodedRow is a row, as *row or *scanRow, and the line it begins on.
type decodedRow struct {
	row  any
	line int
}

// batch is the rows of one chunk. err is the error that ended it early.
type batch struct {
	plain  scanned // the plain ones
	hashed hashes  // of the points of these; of streams alone
	rows   []decodedRow
	passed passedOver
	err    error
}

// reader returns a reader of rows for the form of the file.
func (f *cursor) reader(r io.Reader) *csv.Reader {
	c := csv.NewReader(r)
	c.Comma = f.comma
	c.LazyQuotes = true
	c.FieldsPerRecord = -1
	c.ReuseRecord = true
	return c
}

// decodeRows decodes a chunk. line is the line of the file on which the chunk begins. It
// does not change f, so that chunks can be decoded concurrently.
func (f *cursor) decodeRows(head string, chunk []byte, line int, kind any) batch {
	r := f.reader(io.MultiReader(strings.NewReader(head), bytes.NewReader(chunk)))
	var b batch
	decoder, err := gocsv.NewUnmarshaller(r, kind)
	if err != nil {
		b.err = &survey.Error{Pos: f.pos, Want: "a header that can be read", Err: err}
		return b
	}
	b.rows = make([]decodedRow, 0, bytes.Count(chunk, []byte("\n"))+1)
	for {
		one, err := decoder.Read()
		if err == io.EOF {
			return b
		}
		if err != nil {
			e := &survey.Error{Pos: survey.Pos{File: f.name}, Want: "a row of fields: " + err.Error(), Err: err}
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

// cellPos returns the position of column c in the current row. It parses the row again,
// because few positions are needed.
func (f *cursor) cellPos(c *column) survey.Pos {
	p := f.at(f.line)
	if f.cells != nil {
		p.Col = f.cells.left + c.index + 1
		return p
	}
	if f.form.sep == blanks {
		// The decoder has other columns than the file: the fields are joined.
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
func (f *cursor) fail(e *survey.Error) {
	f.errs = append(f.errs, e)
}

// cellError keeps the error of one cell. A missing unit is reported once a column.
func (f *cursor) cellError(c *column, text string, err error) {
	e := &survey.Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(strings.TrimSpace(text)), Want: err.Error(), Err: err}
	if errors.Is(err, unit.ErrHyphen) {
		e.Want += ", or a header with feet and inches, such as rod_ft_in"
	}
	if errors.Is(err, unit.ErrThird) && !c.askThird(e, text) {
		return
	}
	if errors.Is(err, unit.ErrNoUnit) && !c.feetInches {
		if c.noUnit {
			return
		}
		c.noUnit = true
		e = e.Hinting(unitHint(err))
		if f.unitless != nil && !c.own && !strings.ContainsAny(text, "/") {
			f.unitless.Element += ", " + c.String() // one message for all columns
			return
		}
		if !c.own && !strings.ContainsAny(text, "/") {
			e.Want = "a unit: neither the header nor the cell gives one"
			f.unitless = e
		} else if c.own {
			e.Want = "a length with its unit, as in other cells of this column"
		}
	}
	if t := strings.TrimSpace(signs.Replace(text)); errors.Is(err, unit.ErrNoUnit) && c.feetInches && plainNumber(t) {
		e = e.Hinting(askMarks(c, t))
	} else if _, bad := unit.Parse(t, unit.Inch); c.feetInches && errors.Is(err, unit.ErrNoUnit) && bad == nil && strings.Contains(t, "/") {
		e.Hint = "write " + t + "\", if it is inches"
	}
	if e.Hint == "" && f.isHeight(c) {
		e.Hint = f.noReading(c, text)
	}
	f.fail(e)
}

// noReading says what to do with a height that is no number.
func (f *cursor) noReading(c *column, text string) string {
	if spaced := f.spaced(c, text); spaced != "" {
		return "write " + spaced + ", with a space, if that is meant"
	}
	plain := strings.TrimSpace(strings.Trim(strings.TrimSpace(text), "?~≈*()"))
	if _, err := f.num.length(c, plain); err == nil && plain != strings.TrimSpace(text) {
		return "type " + plain + " if that is the reading, or leave the cell empty if there was none"
	}
	return "type the number, or leave the cell empty if there was no reading"
}

// length parses cell of column c and returns metres. ok is false if the cell is missing
// or wrong. A wrong cell is kept as an error.
func (f *cursor) length(c *column, cell *cell) (v float64, ok bool) {
	v, err := f.num.length(c, cell.text)
	if err == nil && survey.IsFar(v) && !(f.isHeight(c) && isMarker(v, c.unit)) {
		f.cellError(c, cell.text, survey.ErrFar)
		return 0, false
	}
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

// spaced returns the lengths that a text is with a space before its fraction: "4-3 5/8" of
// "4-35/8"; "" if there is none.
func (f *cursor) spaced(c *column, text string) string {
	text = strings.TrimSpace(text)
	isDigit := func(i int) bool { return i >= 0 && text[i] >= '0' && text[i] <= '9' }
	var out []string
	for i := strings.LastIndexByte(text, '/') - 1; isDigit(i) && isDigit(i-1); i-- {
		apart := text[:i] + " " + text[i:]
		if _, err := f.num.length(c, apart); err == nil {
			out = append(out, apart)
		}
	}
	return strings.Join(out, " or ")
}

package text

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"

	"pourplane/survey"
	"pourplane/survey/internal/input"
	"pourplane/survey/internal/thin"
	"pourplane/survey/unit"
)

// headSize is the number of bytes read to learn how a file is written, if it is not held
// whole: room for sampleLines lines of up to 128 bytes.
const headSize = 1 << 18

// thinText reads a list of points into a grid. A list of x, y and z, with or without
// names and skipped columns, is streamed. Any other file is held whole and thinned
// afterwards: codes show which points are not floor, and readings depend on heights of
// instrument that may follow.
func thinText(r io.Reader, name string, o survey.Options) (*survey.Survey, error) {
	in := input.Watch(r, o.Progress)
	head := make([]byte, headSize)
	n, err := io.ReadFull(in, head)
	whole := err == io.EOF || err == io.ErrUnexpectedEOF
	if err != nil && !whole {
		return nil, input.Unreadable(name, err)
	}
	head = head[:n]
	sample := head
	if !whole {
		sample = head[:bytes.LastIndexByte(head, '\n')+1]
	}
	all := io.MultiReader(bytes.NewReader(head), in)
	if len(sample) > 0 || whole {
		f, err := understand(bytes.Clone(sample), name, o, false, nil)
		if err != nil {
			return nil, err
		}
		if f.streams(sample) {
			return newXYZ(f).read(bufio.NewReaderSize(all, input.BufferSize))
		}
	}
	b, err := input.ReadAll(all, name, o)
	if err != nil {
		return nil, input.Unreadable(name, err)
	}
	return readText(b, name, o, false)
}

// streams reports whether each row of a file can be read without the others. sample is
// the start of the file, undecoded.
func (f *table) streams(sample []byte) bool {
	if f.form.grid || f.s.Encoding != "UTF-8" || f.manner != byElevation {
		return false
	}
	for _, c := range f.layout.columns {
		switch c.role {
		case isName, isX, isY, isZ, isIgnored, isDesign, "":
		default:
			return false
		}
	}
	// Names in quotes may hold line ends; carriage returns may be line ends.
	return bytes.IndexByte(f.text.body[f.form.start:], '"') < 0 &&
		bytes.Count(sample, []byte("\r")) == bytes.Count(sample, []byte("\r\n"))
}

// xyz reads the rows of a list of points one by one into a grid. Plain rows are parsed
// directly. Other lines go through the row decoder in batches, so that they have the same
// meaning as in [Read].
type xyz struct {
	*Reader
	grid    *thin.Grid
	skipped passedOver

	plain bool  // plain rows can be recognized by their form alone
	slots []int // for each column: 0, 1, 2 for x, y, z, or -1
	units [3]unit.Length
	last  int // the last column of the three

	wholes [3]wholes // for x, y, z

	rest    spread
	heights *tally           // the heights of rest in bins
	doubts  map[int64]*doubt // by height: shots that may mean no data; rest decides

	head  string // for the row decoder
	kind  any
	odd   []byte // lines for the row decoder, as written
	fed   []byte // the same lines in the form of the row decoder
	lines []int  // their numbers
	ended bool   // by byte 1A, the end of file on old systems
}

func newXYZ(f *Reader) *xyz {
	s := &xyz{Reader: f, grid: thin.New(f.o.Thin, f.name), rest: emptySpread(), heights: newTally(), doubts: map[int64]*doubt{}, slots: make([]int, len(f.layout.columns))}
	for i := range s.slots {
		s.slots[i] = -1
	}
	s.plain = !f.num.comma && f.form.sep < utf8.RuneSelf
	for k, c := range []*column{f.x, f.y, f.up} {
		s.slots[c.index], s.units[k], s.last = k, c.unit, max(s.last, c.index)
		s.wholes[k] = wholesOf(c.unit)
		// Whole inches may be dates that a spreadsheet made of fractions.
		s.plain = s.plain && c.unit != unit.None && c.unit != unit.Inch && !c.feetInches
	}
	s.skipped.before(f.form, f.text.body)
	names, kind := f.decoding()
	s.head, s.kind = f.headLine(names), kind
	return s
}

// read reads all lines of the file.
func (s *xyz) read(r *bufio.Reader) (*survey.Survey, error) {
	if mark, _ := r.Peek(3); string(mark) == "\xef\xbb\xbf" {
		r.Discard(3)
	}
	for n := 1; ; {
		if blockSize > 0 && n >= s.form.first && s.plain && s.units[2] != unit.Foot && !s.ended { // of feet, the order counts
			lines, err := s.blocks(r, n)
			if err != nil {
				return nil, err
			}
			n += lines
		}
		l, err := r.ReadSlice('\n')
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			return nil, &survey.Error{Pos: s.at(n), Found: fmt.Sprintf("a line of more than %d bytes", input.BufferSize), Want: "a list of points, one a line"}
		case err != nil && err != io.EOF:
			return nil, input.Unreadable(s.name, err)
		}
		// A carriage return alone ends a line too.
		rest := bytes.TrimSuffix(bytes.TrimSuffix(l, []byte("\n")), []byte("\r"))
		for more := len(l) > 0; more; n++ {
			var one []byte
			if one, rest, more = bytes.Cut(rest, []byte("\r")); n < s.form.first {
				continue
			}
			if err := s.take(n, one); err != nil {
				return nil, err
			}
		}
		if err == io.EOF {
			return s.finish()
		}
	}
}

// take reads line n.
func (s *xyz) take(n int, l []byte) error {
	if p, ok := s.row(n, l); ok {
		s.s.Rows++
		s.shot(p)
		return s.tooMany()
	}
	if i := bytes.IndexByte(l, 0x1a); s.ended || i >= 0 {
		const padding = "\x00\x1a "
		blank := len(bytes.Trim(l[max(i, 0):], padding)) == 0
		switch {
		case s.ended && blank:
			return nil
		case s.ended:
			return &survey.Error{Pos: s.at(n), Found: "a line after the mark that ends the file (byte 1A)", Want: "nothing after it"}
		case blank:
			s.ended, l = true, l[:i]
		}
	}
	if i := bytes.IndexByte(l, 0); i >= 0 {
		return notText(s.name, n, l[i])
	}
	if s.skipped.over(l, s.form) {
		return nil
	}
	s.odd = append(append(s.odd, l...), '\n')
	if s.form.sep == blanks {
		s.fed = append(joinFields(s.fed, l, len(s.layout.columns), s.lastIsText()), '\n')
	} else if s.fed = append(append(s.fed, l...), '\n'); quoteOpen(l, s.form.sep, false) {
		return &survey.Error{Pos: s.at(n), Found: "a quotation mark that is not closed", Want: "a row that ends on its line"}
	}
	if s.lines = append(s.lines, n); len(s.odd) > chunkSize {
		return s.decode()
	}
	return nil
}

// row parses a plain row. ok is false for any other line.
func (s *xyz) row(n int, l []byte) (p thin.Shot, ok bool) {
	var up []byte
	if p, up, ok = s.decimals(n, l); ok && s.units[2] == unit.Foot {
		s.tenths.see(up, s.at(n))
	}
	return p, ok
}

// decimals parses a plain row. up is its height as written.
func (s *xyz) decimals(n int, l []byte) (p thin.Shot, up []byte, ok bool) {
	if !s.plain || s.ended || len(l) == 0 || bytes.IndexByte(l, '"') >= 0 || bytes.IndexByte(l, 0) >= 0 {
		return p, nil, false
	}
	rest := bytes.TrimLeft(l, " ")
	if len(rest) == 0 || bytes.IndexByte([]byte("#/!%*;Rr\t"), rest[0]) >= 0 { // may be a comment
		return p, nil, false
	}
	var v [3]float64
	more := true
	for k, slot := range s.slots {
		var field []byte
		field, rest, more = s.field(rest)
		if slot >= 0 {
			if v[slot], ok = unit.ParsePlain(field, s.units[slot]); !ok {
				return p, nil, false
			}
			if slot == 2 {
				up = field
			}
		}
		if !more && k < s.last {
			return p, nil, false
		}
		if !more {
			break
		}
	}
	if more && !(s.form.sep == blanks && s.lastIsText()) {
		return p, nil, false
	}
	return thin.Shot{X: v[0], Y: v[1], Z: v[2], Line: n}, up, true
}

// field cuts the next field off l. more is false after the last.
func (s *xyz) field(l []byte) (field, rest []byte, more bool) {
	if s.form.sep != blanks {
		i := bytes.IndexByte(l, byte(s.form.sep))
		if i < 0 {
			return bytes.Trim(l, " "), nil, false
		}
		return bytes.Trim(l[:i], " "), l[i+1:], true
	}
	i := 0
	for i < len(l) && l[i] != ' ' && l[i] != '\t' {
		i++
	}
	field = l[:i]
	for i < len(l) && (l[i] == ' ' || l[i] == '\t') {
		i++
	}
	return field, l[i:], i < len(l)
}

// shot takes a shot. One whose elevation may mean no data is kept until all are read.
func (s *xyz) shot(p thin.Shot) {
	if p.Z == 0 || isMarker(p.Z, s.up.unit) {
		s.keepDoubtful(p)
		return
	}
	s.rest.see(p.Z)
	s.heights.see(p.Z)
	s.add(p)
}

func (s *xyz) add(p thin.Shot) {
	if !s.grid.Add(p.X, p.Y, p.Z, p.Line) {
		s.fail(thin.TooFar(s.at(p.Line), "", p.X, p.Y, p.Z))
	}
}

// tooMany returns the errors once there are mostErrors of them.
func (s *xyz) tooMany() error {
	if len(s.errs) >= mostErrors {
		return survey.JoinErrors(s.errs)
	}
	return nil
}

// decode reads the lines that are kept for the row decoder.
func (s *xyz) decode() error {
	s.text.body, s.data = s.odd, s.fed
	b := s.decodeRows(s.head, s.fed, 1, s.kind)
	for _, d := range b.rows {
		s.line = s.lines[d.line-1]
		s.bodyBefore, s.dataBefore = s.line-d.line, s.line-d.line
		s.pts, s.zeros, s.markers = s.pts[:0], s.zeros[:0], s.markers[:0]
		if err := s.Reader.take(d.row); err != nil {
			return survey.JoinErrors(s.errs)
		}
		for _, p := range s.pts {
			s.shot(thin.Shot{X: p.X, Y: p.Y, Z: p.Z, Line: p.At().Line})
		}
	}
	if b.err != nil {
		return b.err
	}
	s.odd, s.fed, s.lines = s.odd[:0], s.fed[:0], s.lines[:0]
	return s.tooMany()
}

// finish completes the survey with the points of the grid.
func (s *xyz) finish() (*survey.Survey, error) {
	if err := s.decode(); err != nil {
		return nil, err
	}
	s.ownUnits()
	if err := s.release(); err != nil {
		return nil, err
	}
	if len(s.errs) > 0 {
		return nil, survey.JoinErrors(s.errs)
	}
	s.noteSkipped(s.skipped, len(s.s.Notes))
	s.checkCount()
	if s.grid.Seen > 0 {
		s.grid.Into(s.s, s.o.Cells)
	}
	if err := s.checkPoints(survey.ExtentOf(s.s.Points)); err != nil {
		return nil, err
	}
	return s.s, nil
}

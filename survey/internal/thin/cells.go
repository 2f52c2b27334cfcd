package thin

import (
	"bufio"
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"hash"
	"io"
	"math"
	"math/bits"
	"slices"
	"unicode/utf8"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Magic begins a file of cells. DEVELOPERS.md has the format.
const Magic = "\x8fCELLS\r\n"

const cellsVersion = 1

// Limits of a file of cells, so that no sum of it can overflow. Own choice.
const (
	mostPoints   = 1 << 50
	mostNotes    = 1000
	mostNoteText = 4000 // bytes
	mostSteps    = 44   // doublings of LeastStep
	mostParts    = 1 << 20
)

// Head is what a file of cells says about its points.
type Head struct {
	Plan, Unit unit.Length
	Rows, Lost int           // rows read, and rows left out
	Notes      []survey.Note // texts without a place
}

// HeadOf returns the head for the squares of a survey. Its notes go with them, each once and
// sorted, and so does the number of rows left out.
func HeadOf(s *survey.Survey, t *Grid) Head {
	h := Head{Plan: s.Plan, Unit: s.Unit, Rows: s.Rows, Lost: t.Lost + len(s.LeftOut())}
	for _, n := range survey.Without(s.Notes, Step, StepLost) {
		if n.Kind == survey.LeftOut {
			continue
		}
		text := n.String()
		for len(text) > mostNoteText {
			_, last := utf8.DecodeLastRuneInString(text)
			text = text[:len(text)-last]
		}
		h.Notes = append(h.Notes, survey.Note{Kind: n.Kind, Topic: n.Topic, Text: unit.Textf("%s", text)})
	}
	slices.SortFunc(h.Notes, func(a, b survey.Note) int {
		return cmp.Or(cmp.Compare(b.Kind, a.Kind), cmp.Compare(a.String(), b.String()), cmp.Compare(a.Topic, b.Topic))
	})
	h.Notes = slices.CompactFunc(h.Notes, func(a, b survey.Note) bool {
		return a.Kind == b.Kind && a.Topic == b.Topic && a.String() == b.String()
	})
	if more := len(h.Notes) - (mostNotes - 1); more > 1 {
		h.Notes = append(h.Notes[:mostNotes-1], survey.Notef(survey.Warning, survey.Pos{}, "%d more notes of its parts were left out; reading each part lists them", more))
	}
	return h
}

// Write writes the squares. What it writes depends on the points and the head alone, not on
// how the points were divided and joined.
func (t *Grid) Write(to io.Writer, h Head) error {
	sum := sha256.New()
	buffer := bufio.NewWriterSize(io.MultiWriter(to, sum), 1<<16)
	w := cellsWriter{w: buffer}
	w.bytes([]byte(Magic)...)
	w.uint(cellsVersion)
	w.uint(uint64(t.side))
	w.bytes(byte(t.Keep))
	w.text(h.Plan.String())
	w.text(h.Unit.String())
	for _, n := range []int{t.Seen, h.Rows, h.Lost, len(h.Notes)} {
		w.uint(uint64(n))
	}
	for _, n := range h.Notes {
		w.bytes(byte(n.Kind))
		w.text(string(n.Topic))
		w.text(n.String())
	}
	w.uint(uint64(t.Squares()))
	w.own = sha256.New()
	for at, s := range t.means.inOrder() {
		w.place(at)
		w.uint(s.n)
		for _, v := range t.whole(at, s) {
			w.wide(v)
		}
	}
	for at, p := range t.lows.inOrder() {
		w.place(at)
		w.shot(*p)
	}
	for at, m := range t.middles.inOrder() {
		w.place(at)
		w.middle(m)
	}
	parts := t.parts
	if t.Seen > t.inPart { // some are from no cells
		parts = slices.Compact(slices.Sorted(slices.Values(append([]uint64{binary.LittleEndian.Uint64(w.own.Sum(nil))}, parts...))))
	}
	w.own = nil
	w.uint(uint64(len(parts)))
	for _, p := range parts {
		w.bytes(binary.LittleEndian.AppendUint64(nil, p)...)
	}
	if err := buffer.Flush(); err != nil {
		return err
	}
	_, err := to.Write(sum.Sum(nil))
	return err
}

// cellsWriter writes parts of a file of cells. The buffer keeps the first error.
type cellsWriter struct {
	w    *bufio.Writer
	own  hash.Hash // of the squares
	last square
}

func (w *cellsWriter) bytes(b ...byte) {
	w.w.Write(b)
	if w.own != nil {
		w.own.Write(b)
	}
}

func (w *cellsWriter) uint(v uint64) { w.bytes(binary.AppendUvarint(w.w.AvailableBuffer(), v)...) }

func (w *cellsWriter) int(v int64) { w.bytes(binary.AppendVarint(w.w.AvailableBuffer(), v)...) }

func (w *cellsWriter) text(s string) {
	w.uint(uint64(len(s)))
	w.w.WriteString(s)
}

// place writes the steps from the last square.
func (w *cellsWriter) place(at square) {
	w.int(at.row - w.last.row)
	w.int(at.col - w.last.col)
	w.last = at
}

// wide writes a number as a varint of up to 128 bits.
func (w *cellsWriter) wide(v wide) {
	sign := uint64(v.hi >> 63)
	hi, lo := uint64(v.hi)<<1|v.lo>>63, v.lo<<1
	b := w.w.AvailableBuffer()
	for hi, lo = hi^sign, lo^sign; hi != 0 || lo >= 0x80; hi, lo = hi>>7, lo>>7|hi<<57 {
		b = append(b, byte(lo)|0x80)
	}
	w.bytes(append(b, byte(lo))...)
}

func (w *cellsWriter) shot(p Shot) {
	b := w.w.AvailableBuffer()
	for _, v := range [3]float64{p.X, p.Y, p.Z} {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
	}
	w.bytes(b...)
}

// middle writes what is kept of a square for its median: the number of doublings of the
// step plus one, or 0, and the points.
func (w *cellsWriter) middle(m *middle) {
	if m.step == 0 {
		w.bytes(0)
		w.uint(uint64(len(m.shots)))
		slices.SortFunc(m.shots, lower)
		for _, p := range m.shots {
			w.shot(p)
		}
		return
	}
	w.bytes(byte(1 + bits.TrailingZeros64(uint64(m.step/LeastStep))))
	w.uint(uint64(len(m.level)))
	for _, l := range m.level {
		w.shot(l.Shot)
		w.uint(l.n)
	}
}

// ReadCells reads a file of cells. name is used in messages and for the points.
func ReadCells(r io.Reader, name string) (*Grid, Head, error) {
	c := &cellsReader{in: bufio.NewReaderSize(r, 1<<16), sum: sha256.New(), name: name, element: "head"}
	head := c.head()
	if c.err == nil {
		c.squares()
	}
	if c.err == nil {
		c.parts()
	}
	if c.err == nil {
		c.end()
	}
	if c.err != nil {
		return nil, Head{}, c.err
	}
	return c.grid, head, nil
}

// cellsReader reads a file of cells up to the first error.
type cellsReader struct {
	in      *bufio.Reader
	sum     hash.Hash
	name    string
	element string // being read, outside the squares
	square  int    // being read, from 1; 0 outside them
	at      int64
	err     error
	grid    *Grid
	seen    int // points that the head counts
	n       int // squares
	last    square
}

const wantCells = "a file of cells as it was written: write the cells of that part again"

func (c *cellsReader) fail(found string, cause error) {
	if c.err != nil {
		return
	}
	if c.square > 0 {
		c.element = fmt.Sprintf("square %d of %d", c.square, c.n)
	}
	c.err = &survey.Error{Pos: survey.Pos{File: c.name}, Element: c.element, Found: found, Want: wantCells, Err: cause}
}

// damaged refuses what no file of cells has.
func (c *cellsReader) damaged() {
	c.fail(fmt.Sprintf("damaged cells near byte %d", c.at), nil)
}

// take returns the next n bytes, up to 4000, valid until the next call; nil after an error.
func (c *cellsReader) take(n int) []byte {
	if c.err != nil {
		return nil
	}
	b, err := c.in.Peek(n)
	if err != nil {
		c.at += int64(len(b))
		c.cut(err)
		return nil
	}
	c.sum.Write(b)
	c.in.Discard(n)
	c.at += int64(n)
	return b
}

func (c *cellsReader) cut(err error) {
	var refusal *survey.Error
	switch {
	case errors.As(err, &refusal):
		c.err = err
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		c.fail(fmt.Sprintf("the end of the file after %d bytes", c.at), io.ErrUnexpectedEOF)
	default:
		c.err = &survey.Error{Pos: survey.Pos{File: c.name}, Found: err.Error(), Want: "a file that can be read", Err: err}
	}
}

func (c *cellsReader) byte() byte {
	if b := c.take(1); b != nil {
		return b[0]
	}
	return 0
}

// varint reads a number of up to 128 bits.
func (c *cellsReader) varint() (hi, lo uint64) {
	if c.err != nil {
		return 0, 0
	}
	// The end of the file is at least a checksum away.
	b, err := c.in.Peek(19)
	for i := uint(0); i < uint(len(b)); i++ {
		v, shift := uint64(b[i]&0x7f), 7*i
		if shift < 64 {
			lo |= v << shift
			hi |= v >> (64 - shift)
		} else {
			hi |= v << (shift - 64)
		}
		if b[i] < 0x80 {
			if i == 18 && b[i] > 3 || i > 0 && b[i] == 0 { // past 128 bits, or not the shortest
				break
			}
			c.take(int(i) + 1)
			return hi, lo
		}
	}
	if err != nil {
		c.at += int64(len(b))
		c.cut(err)
	} else {
		c.damaged()
	}
	return 0, 0
}

// uint reads a number up to most.
func (c *cellsReader) uint(most uint64) uint64 {
	hi, lo := c.varint()
	if hi != 0 || lo > most {
		c.damaged()
		return 0
	}
	return lo
}

func (c *cellsReader) int() int64 {
	v := c.uint(math.MaxUint64)
	return int64(v>>1) ^ -int64(v&1)
}

func (c *cellsReader) text(most uint64) string { return string(c.take(int(c.uint(most)))) }

func (c *cellsReader) unit() unit.Length {
	name := c.text(8)
	u, ok := unit.ParseLength(name)
	if !ok || u.String() != name {
		c.damaged()
	}
	return u
}

// head reads what comes before the squares.
func (c *cellsReader) head() (h Head) {
	if string(c.take(len(Magic))) != Magic && c.err == nil {
		c.damaged()
	}
	if v := c.uint(math.MaxUint64); c.err == nil && v != cellsVersion {
		c.err = &survey.Error{Pos: survey.Pos{File: c.name}, Found: fmt.Sprintf("cells of version %d", v), Want: fmt.Sprintf("version %d, which this program writes", cellsVersion)}
	}
	t := survey.Thin{Cell: float64(c.uint(greatestCell*1e9)) / 1e9, Keep: survey.Kept(c.byte())}
	if c.err == nil && (t.Cell == 0 || Check(t) != nil) {
		c.damaged()
	}
	h.Plan, h.Unit = c.unit(), c.unit()
	c.seen, h.Rows, h.Lost = int(c.uint(mostPoints)), int(c.uint(mostPoints)), int(c.uint(mostPoints))
	for range c.uint(mostNotes) {
		n := survey.Note{Kind: survey.NoteKind(c.byte()), Topic: survey.Topic(c.text(mostNoteText))}
		n.Text = unit.Textf("%s", c.text(mostNoteText))
		if c.err != nil {
			break
		}
		if n.Kind > survey.Caution || n.Kind == survey.LeftOut {
			c.damaged()
		}
		h.Notes = append(h.Notes, n)
	}
	c.n = int(c.uint(uint64(c.seen)))
	if c.err == nil {
		if c.grid = New(t, c.name); c.n == 0 {
			c.damaged()
		}
	}
	return h
}

// squares reads the squares, in order and each once.
func (c *cellsReader) squares() {
	counted := uint64(0)
	for i := range c.n {
		c.square = i + 1
		at := square{c.last.row + c.int(), c.last.col + c.int()}
		if c.err != nil {
			return
		}
		farthest := int64(Farthest)*1e9/c.grid.side + 1
		if at.row < -farthest || at.row > farthest || at.col < -farthest || at.col > farthest || i > 0 && (at.row < c.last.row || at.row == c.last.row && at.col <= c.last.col) {
			c.damaged()
			return
		}
		c.last = at
		switch c.grid.Keep {
		case survey.Mean:
			counted += c.mean(at)
		case survey.Lowest:
			p := c.shot(at)
			if c.err == nil {
				c.grid.hold(at, p)
			}
			counted++
		case survey.Median:
			counted += c.middle(at)
		}
		if counted > uint64(c.seen) {
			c.damaged()
		}
		if c.err != nil {
			return
		}
	}
	if c.square = 0; c.grid.Keep != survey.Lowest && counted != uint64(c.seen) {
		c.damaged()
	}
	c.grid.Seen = c.seen
}

// mean reads the sums of a square, and returns the number of its points.
func (c *cellsReader) mean(at square) uint64 {
	n := c.uint(mostPoints)
	var w [3]wide
	for k := range w {
		hi, lo := c.varint()
		sign := -(lo & 1)
		w[k] = wide{int64(hi>>1 ^ sign), (lo>>1 | hi<<63) ^ sign}
	}
	if c.err != nil {
		return 0
	}
	for k, most := range [3]int64{c.grid.side - 1, c.grid.side - 1, Farthest * 1e9} {
		var last wide // n times the most that a point can have
		last.addProduct(most, n)
		if n == 0 || k < 2 && w[k].hi < 0 || w[k].size().past(last) {
			c.damaged()
			return 0
		}
	}
	s, _ := c.grid.means.place(at)
	s.n = n
	if x, y, z, ok := short(w); ok {
		s.x, s.y, s.z = x, y, z
	} else {
		*c.grid.spilled(at) = w
	}
	return n
}

// shot reads a point of a square.
func (c *cellsReader) shot(at square) (p Shot) {
	b := c.take(24)
	if b == nil {
		return p
	}
	for k, v := range []*float64{&p.X, &p.Y, &p.Z} {
		*v = math.Float64frombits(binary.LittleEndian.Uint64(b[8*k:]))
		if *v == 0 && math.Signbit(*v) {
			c.damaged()
		}
	}
	if !p.Near() {
		c.damaged()
		return p
	}
	row, _ := c.grid.column(Nanometres(p.Y))
	if col, _ := c.grid.column(Nanometres(p.X)); at != (square{row, col}) {
		c.damaged()
	}
	return p
}

// middle reads what is kept of a square for its median, and returns the number of its
// points.
func (c *cellsReader) middle(at square) uint64 {
	doublings := int(c.byte()) - 1
	n := int(c.uint(MostExact))
	if c.err != nil || n == 0 || doublings > mostSteps {
		c.damaged()
		return 0
	}
	var m middle
	if doublings < 0 {
		for range n {
			p := c.shot(at)
			if k := len(m.shots); k > 0 && lower(p, m.shots[k-1]) < 0 {
				c.damaged()
			}
			if c.err != nil {
				return 0
			}
			m.add(p)
		}
	} else {
		m.step = LeastStep << doublings
		for k := range n {
			l := level{c.shot(at), c.uint(mostPoints)}
			if c.err == nil && (l.n == 0 || k > 0 && m.key(&l.Shot) <= m.key(&m.level[k-1].Shot)) {
				c.damaged()
			}
			if c.err != nil {
				return 0
			}
			m.level, m.n = append(m.level, l), m.n+l.n
		}
		if m.n <= MostExact {
			c.damaged()
			return 0
		}
	}
	of, _ := c.grid.middles.place(at)
	*of = m
	return m.n
}

// parts reads which cells are in the file.
func (c *cellsReader) parts() {
	c.element, c.square = "list of its parts", 0
	for range c.uint(mostParts) {
		b := c.take(8)
		if b == nil {
			return
		}
		p := binary.LittleEndian.Uint64(b)
		if n := len(c.grid.parts); n > 0 && p <= c.grid.parts[n-1] {
			c.damaged()
			return
		}
		c.grid.parts = append(c.grid.parts, p)
	}
	if len(c.grid.parts) == 0 {
		c.damaged()
	}
	c.grid.inPart = c.grid.Seen
}

// end checks the sum, with which the file ends.
func (c *cellsReader) end() {
	c.element = "end"
	want := c.sum.Sum(nil)
	if got := c.take(len(want)); c.err == nil && !slices.Equal(got, want) {
		c.fail("other bytes than were written: the checksum is wrong", nil)
	}
	if c.err != nil {
		return
	}
	switch _, err := c.in.Peek(1); {
	case err == nil:
		c.fail(fmt.Sprintf("more bytes after the %d of the cells", c.at), nil)
	case err != io.EOF:
		c.cut(err)
	}
}

package text

import (
	"bytes"
	"errors"
	"io"
	"runtime"
	"slices"
	"unicode/utf8"

	"pourplane/survey"
	"pourplane/survey/internal/input"
)

// Streamed is the least size in bytes of a file that is worth [Stream].
const Streamed = 1 << 24

// Stream reads a list of plain rows, such as those of a scan, without holding the text: half
// of the memory is saved. It gives the survey that [Begin] gives. f is nil where a row is not
// plain, or anything else needs the whole text; the file is then to be read by Begin.
//
// size is the size of the file in bytes.
func Stream(r io.Reader, size int64, name string, o survey.Options) (f *Reader, err error) {
	head := make([]byte, headSize)
	n, err := io.ReadFull(r, head)
	if err != nil {
		return nil, unlessEnd(name, err)
	}
	sample := head[:bytes.LastIndexByte(head, '\n')+1]
	f, err = understand(bytes.Clone(sample), name, o, false, nil)
	if err != nil || !f.form.full || f.form.grid || f.s.Encoding != "UTF-8" || f.mayMove() {
		return nil, nil
	}
	names, _ := f.decoding()
	s := &stream{Reader: f, r: r, up: f.lineUp(names), left: head[:n], size: size}
	if s.up == nil || s.up.cut != mostReadings {
		return nil, nil
	}
	f.form.banners = map[int]bool{}
	f.beginSetups()
	if plain, err := s.read(); err != nil || !plain {
		return nil, err
	}
	return f, f.rowsRead(nil)
}

// errNotPlain marks a block that [Stream] does not read.
var errNotPlain = errors.New("not plain")

// unlessEnd returns the error for err unless that is the end of the file.
func unlessEnd(name string, err error) error {
	if err == nil || err == io.EOF || err == io.ErrUnexpectedEOF {
		return nil
	}
	return input.Unreadable(name, err)
}

// stream is a list whose rows are read block by block.
type stream struct {
	*Reader
	r    io.Reader
	up   *lineUp
	left []byte   // read, but in no block yet
	size int64    // of the file
	done int64    // bytes in blocks
	end  bool     // there is nothing behind left
	free [][]byte // of blocks that have been used; left may be in one
}

// streamed is a block of whole lines, and its rows once they are read.
type streamed struct {
	lines []byte
	from  cut
	room  []survey.Point
	ready chan batch
}

// read reads the rows. It reports false for one that is not plain.
func (s *stream) read() (plain bool, err error) {
	var passed passedOver
	passed.before(s.form, s.text.body)
	skipped := len(s.s.Notes)
	rows := bytes.Count(s.left, []byte("\n"))
	s.pts = make([]survey.Point, 0, int(1.1*float64(s.size)/float64(len(s.left))*float64(rows))+rows) // room that is not used costs nothing
	s.many = true
	if !s.skip() {
		return false, nil
	}
	var busy []*streamed // in the order of the file
	for at := (cut{line: s.form.first}); len(busy) > 0 || !s.end; {
		if s.o.Stop != nil {
			if err := s.o.Stop(); err != nil {
				return false, err
			}
		}
		for !s.end && len(busy) < 2*runtime.GOMAXPROCS(0) {
			b := &streamed{from: at, ready: make(chan batch, 1)}
			if b.lines, err = s.block(); err != nil {
				return false, err
			}
			n := bytes.Count(b.lines, []byte("\n"))
			if s.end && len(b.lines) > 0 && b.lines[len(b.lines)-1] != '\n' {
				n++
			}
			if b.lines == nil || at.rows+n > cap(s.pts) {
				return false, nil
			}
			b.room = s.pts[at.rows : at.rows+n : at.rows+n]
			at.line, at.rows = at.line+n, at.rows+n
			busy = append(busy, b)
			go func() {
				out := s.scan(b)
				if out.err == nil { // while the points are in the cache
					out.hashed = hashesOfBlock(out.plain.pts)
				}
				b.ready <- out
			}()
		}
		b := <-busy[0].ready
		if b.err != nil {
			return false, nil
		}
		if passed.join(b.passed); s.o.Progress != nil {
			s.o.Progress(s.done, s.size)
		}
		if len(b.plain.pts) > 0 {
			b.hashed.from = len(s.pts)
			s.hashed = append(s.hashed, b.hashed)
		}
		if s.use(s.up, b, busy[0].from, cut{}) != nil {
			return false, nil
		}
		s.free = append(s.free, busy[0].lines[:cap(busy[0].lines)])
		busy = slices.Delete(busy, 0, 1)
	}
	s.gaps = append(s.gaps, passed.gaps...)
	s.noteSkipped(passed, skipped)
	s.checkCount()
	return len(s.pts) > mostReadings, nil
}

// skip skips the lines before the first row.
func (s *stream) skip() bool {
	s.left = bytes.TrimPrefix(s.left, []byte("\xef\xbb\xbf"))
	for range s.form.first - 1 {
		_, rest, ok := bytes.Cut(s.left, []byte("\n"))
		if !ok {
			return false
		}
		s.left = rest
	}
	return true
}

// block returns the next whole lines. It returns nil where a line is too long.
func (s *stream) block() ([]byte, error) {
	var b []byte
	if n := len(s.free); n > 0 {
		b, s.free = s.free[n-1], s.free[:n-1]
	} else {
		b = make([]byte, max(chunkSize, headSize)+longestThree)
	}
	n := copy(b, s.left)
	more, err := io.ReadFull(s.r, b[n:len(b)-longestThree])
	s.end = err != nil
	if err := unlessEnd(s.name, err); err != nil {
		return nil, err
	}
	n += more
	end := n
	if !s.end {
		end = bytes.LastIndexByte(b[:n], '\n') + 1
	}
	s.done += int64(end)
	if s.left = b[end:n]; end == 0 && !s.end {
		return nil, nil
	}
	return b[:end], nil
}

// scan reads the rows of a block. Its error says that not all are plain.
func (s *stream) scan(b *streamed) (out batch) {
	lines := b.lines
	var ok bool
	if s.up.three && len(lines) > 0 {
		if out.plain, ok = s.up.threes(lines[:len(lines)+longestThree], len(lines), b.from.line, b.room); ok {
			return out
		}
	}
	if bytes.IndexByte(lines, '"') >= 0 || bytes.IndexByte(lines, 0) >= 0 || bytes.IndexByte(lines, 0x1a) >= 0 || !utf8.Valid(lines) {
		out.err = errNotPlain
		return out
	}
	if n := bytes.Count(lines, []byte("\r")); n > 0 {
		if n != bytes.Count(lines, []byte("\r\n")) {
			out.err = errNotPlain
			return out
		}
		lines = lineEnds(lines)
	}
	passed := &out.passed
	if s.form.sep == blanks {
		lines, out.passed = s.form.prepare(lines, b.from.line, len(s.layout.columns), s.lastIsText())
		passed = nil
	}
	if out.plain, out.rows, ok = s.up.scan(lines, b.from.line, passed, b.room); !ok || len(out.rows) > 0 {
		out.err = errNotPlain
	}
	return out
}

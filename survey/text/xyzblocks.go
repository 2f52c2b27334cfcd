package text

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"math"
	"runtime"

	"pourplane/survey"
	"pourplane/survey/internal/input"
	"pourplane/survey/internal/thin"
)

// blockSize is the number of bytes of lines that one processor reads at a time.
var blockSize = 1 << 20 // changed by tests only

// block is whole lines of a list, read on one processor.
type block struct {
	lines   []byte
	first   int // number of the first line
	count   int // of lines
	rows    int // plain ones
	rest    spread
	special []special
}

// special is a line that is no plain row, or a shot whose height may mean no data.
type special struct {
	n    int
	line []byte // nil for a shot
	shot thin.Shot
}

// share is what one processor has read.
type share struct {
	block
	grid    *thin.Grid
	heights *tally
	shots   []thin.Shot  // not yet in the grid
	whole   []thin.Whole // the same of plain rows, for means
	ready   chan bool    // a block has been read
	busy    bool
}

// blocks reads lines from line n on in blocks, on every processor, and takes them in their
// order. It returns their number. It stops before lines that must be read one by one, such
// as those with quotation marks, and at the end of r.
func (s *xyz) blocks(r *bufio.Reader, n int) (lines int, err error) {
	all := make([]share, runtime.GOMAXPROCS(0))
	for k := range all {
		all[k] = share{grid: thin.New(s.o.Thin, s.name), heights: newTally(), shots: make([]thin.Shot, 0, 256), whole: make([]thin.Whole, 0, 256), ready: make(chan bool, 1)}
	}
	finish := func(p *share) error {
		if !p.busy {
			return nil
		}
		<-p.ready
		p.busy = false
		return s.takeBlock(&p.block)
	}
	from, more := n, true
	var stopped error
	for k := 0; more; k++ {
		p := &all[k%len(all)]
		if err := finish(p); err != nil {
			return 0, err
		}
		if more, stopped = nextBlock(r, &p.block); p.count == 0 {
			break
		}
		p.first = n
		n += p.count
		p.busy = true
		go func() { s.readBlock(p); p.ready <- true }()
		if stopped != nil {
			break
		}
	}
	// The oldest block comes first.
	oldest := 0
	for k := range all {
		if all[k].busy && (!all[oldest].busy || all[k].first < all[oldest].first) {
			oldest = k
		}
	}
	for k := range all {
		if err := finish(&all[(oldest+k)%len(all)]); err != nil {
			return 0, err
		}
	}
	for k := range all {
		s.grid.Merge(all[k].grid)
		s.heights.join(all[k].heights)
	}
	if stopped != nil {
		return 0, input.Unreadable(s.name, stopped)
	}
	return n - from, nil
}

// nextBlock reads whole lines into b, as many as fit in blockSize bytes. more is false if
// the next line must be read by itself, or there is none.
func nextBlock(r *bufio.Reader, b *block) (more bool, err error) {
	b.lines, b.count, b.rows, b.special = b.lines[:0], 0, 0, b.special[:0]
	for len(b.lines) < blockSize {
		part, err := r.Peek(r.Size())
		if err != nil && err != io.EOF && !errors.Is(err, bufio.ErrBufferFull) {
			return false, err
		}
		part = part[:bytes.LastIndexByte(part, '\n')+1]
		if len(part) == 0 || bytes.IndexByte(part, '"') >= 0 || bytes.IndexByte(part, 0) >= 0 || bytes.IndexByte(part, 0x1a) >= 0 ||
			bytes.IndexByte(part, '\r') >= 0 && bytes.Count(part, []byte("\r")) != bytes.Count(part, []byte("\r\n")) {
			return false, nil
		}
		b.lines = append(b.lines, part...)
		b.count += bytes.Count(part, []byte("\n"))
		r.Discard(len(part))
	}
	return true, nil
}

// readBlock reads the plain rows of a block. It changes nothing but p.
func (s *xyz) readBlock(p *share) {
	p.rest = emptySpread()
	rest := lineEnds(p.lines)
	marker := leastMarker * s.up.unit.Metres()
	least := thin.Nanometres(marker)
	mean := s.grid.Keep == survey.Mean
	for n := p.first; len(rest) > 0; n++ {
		if at, end, ok := s.whole(rest); ok && at.Z != 0 && at.Z < least && at.Z > -least {
			rest = rest[end:]
			z := float64(at.Z) / 1e9
			p.rows++
			p.rest.see(z)
			p.heights.count(z, at.Z)
			if mean {
				if p.whole = append(p.whole, at); len(p.whole) == cap(p.whole) {
					p.grid.AddWhole(p.whole)
					p.whole = p.whole[:0]
				}
				continue
			}
			p.take(thin.Shot{X: float64(at.X) / 1e9, Y: float64(at.Y) / 1e9, Z: z, Line: n})
			continue
		}
		end := bytes.IndexByte(rest, '\n')
		l := rest[:end]
		rest = rest[end+1:]
		shot, _, ok := s.decimals(n, l)
		switch {
		case !ok:
			p.special = append(p.special, special{n: n, line: l})
		case shot.Z == 0 || math.Abs(shot.Z) >= marker && isMarker(shot.Z, s.up.unit):
			p.special = append(p.special, special{n: n, shot: shot})
		case !shot.Near():
			p.special = append(p.special, special{n: n, line: l})
		default:
			p.rows++
			p.rest.see(shot.Z)
			p.heights.see(shot.Z)
			p.take(shot)
		}
	}
	p.grid.AddAll(p.shots)
	p.grid.AddWhole(p.whole)
	p.shots, p.whole = p.shots[:0], p.whole[:0]
}

// take takes a shot for the grid.
func (p *share) take(shot thin.Shot) {
	if p.shots = append(p.shots, shot); len(p.shots) == cap(p.shots) {
		p.grid.AddAll(p.shots)
		p.shots = p.shots[:0]
	}
}

// takeBlock takes what is left of a block that has been read.
func (s *xyz) takeBlock(b *block) error {
	s.s.Rows += b.rows
	s.rest.join(b.rest)
	for _, one := range b.special {
		if one.line != nil {
			if err := s.take(one.n, one.line); err != nil {
				return err
			}
			continue
		}
		s.s.Rows++
		s.shot(one.shot)
		if err := s.tooMany(); err != nil {
			return err
		}
	}
	return nil
}

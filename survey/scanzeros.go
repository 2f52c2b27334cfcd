package survey

import (
	"maps"
	"math"
	"slices"
)

// tally counts heights by the millimetre, so that it is known of a scan of any length
// where all but the outermost lie. It holds mostBins bins at most: past them each
// is made twice as wide. What comes out does not depend on the order of the heights.
type tally struct {
	bins   map[int64]*heightBin
	wide   int64 // of a bin, nm
	n      int
	last   *heightBin // scans run along
	lastAt int64
}

type heightBin struct {
	lo, hi float64 // m, of the heights in it
	n      int
}

const mostBins = 1 << 14

func newTally() *tally { return &tally{bins: map[int64]*heightBin{}, wide: 1e6} }

func (t *tally) see(z float64) {
	// The clamp is far past what the thinner takes.
	at := floorDiv(nanometres(max(-farthest, min(farthest, z))), t.wide)
	t.n++
	b := t.last
	if b == nil || at != t.lastAt {
		if b = t.bins[at]; b == nil {
			b = &heightBin{lo: z, hi: z}
			t.bins[at] = b
		}
		t.last, t.lastAt = b, at
	}
	b.lo, b.hi, b.n = min(b.lo, z), max(b.hi, z), b.n+1
	for len(t.bins) > mostBins {
		t.widen()
	}
}

func (t *tally) widen() {
	bins := map[int64]*heightBin{}
	for at, b := range t.bins {
		at = floorDiv(at, 2)
		if o := bins[at]; o != nil {
			o.lo, o.hi, o.n = min(o.lo, b.lo), max(o.hi, b.hi), o.n+b.n
		} else {
			bins[at] = b
		}
	}
	t.bins, t.last = bins, nil
	t.wide *= 2
}

// trimmed returns where the heights lie without the outermost twentieth at either end,
// as for a list: a stray must not bring the others near 0.
func (t *tally) trimmed() spread {
	few := trim(t.n)
	out := noHeights()
	before := 0
	for _, at := range slices.Sorted(maps.Keys(t.bins)) {
		b := t.bins[at]
		if before+b.n > few && before < t.n-few {
			out.see(b.lo)
			out.see(b.hi)
		}
		before += b.n
	}
	out.n = t.n
	return out
}

// trim is how many of n heights are left out at either end.
func trim(n int) int {
	if few := n / 20; few > 0 || n < 8 {
		return few
	}
	return 1
}

// doubt is the shots of one height that may stand for no data, thinned: there may be
// millions.
type doubt struct {
	z     float64 // m, of the first
	grid  *thinner
	n     int
	first []shot // by name, up to mostNamed
}

// mostNamed is how many shots without data are left out by their line; the others are
// counted.
const mostNamed = 100

// doubted puts a shot aside until the others have been seen.
func (s *xyz) doubted(p shot) {
	key := int64(math.MaxInt64) // far out: never a height
	if math.Abs(p.z) < farthest {
		key = nanometres(p.z) / 1e6
	}
	d := s.doubts[key]
	if d == nil {
		d = &doubt{z: p.z, grid: newThinner(s.o.Thin, s.name)}
		s.doubts[key] = d
	}
	if d.n++; len(d.first) < mostNamed {
		d.first = append(d.first, p)
	}
	if key != math.MaxInt64 && !d.grid.add(p.x, p.y, p.z, p.line) {
		s.fail(tooFar(s.at(p.line), "", p.x, p.y, p.z))
	}
}

// release takes those of the shots in doubt that were measured after all.
func (s *xyz) release() error {
	usual := s.heights.trimmed()
	for _, key := range slices.Sorted(maps.Keys(s.doubts)) {
		d := s.doubts[key]
		first := s.at(d.first[0].line)
		tell := func(one func(Point), format string) {
			for _, p := range d.first {
				one(Point{X: p.x, Y: p.y, Z: p.z, At: s.at(p.line)})
			}
			if more := d.n - len(d.first); more > 0 {
				s.note(Assumed, Pos{File: s.name}, format, more) // a note of a row left out is for one
			}
		}
		if d.z != 0 {
			if s.rest.hold(d.z) {
				s.grid.merge(d.grid)
				continue
			}
			tell(s.noMarker, "%d more heights that mean no data left out, not listed")
			continue
		}
		switch usual.zeros(d.n, s.o.Zeros) {
		case ZerosByOthers:
			return s.askZeros(first, d.n, usual)
		case ZerosMissing:
			tell(s.noZero, "%d more heights of exactly 0 left out, which are not listed")
			s.noZeros(first, d.n, usual)
		default:
			s.grid.merge(d.grid)
		}
	}
	return nil
}

// merge takes over what another thinner of the same grid has taken.
func (t *thinner) merge(o *thinner) {
	for i, at := range o.squares {
		k, known := t.index[at]
		if !known {
			k = len(t.squares)
			t.index[at] = k
			t.squares = append(t.squares, at)
		}
		switch t.Keep {
		case Mean:
			if !known {
				t.sums = append(t.sums, sums{})
			}
			s, more := &t.sums[k], &o.sums[i]
			s.x.join(more.x)
			s.y.join(more.y)
			s.z.join(more.z)
			s.n += more.n
		case Lowest:
			if !known {
				t.lows = append(t.lows, o.lows[i])
			} else if lower(o.lows[i], t.lows[k]) < 0 {
				t.lows[k] = o.lows[i]
			}
		case Median:
			if !known {
				t.all = append(t.all, nil)
			}
			t.all[k] = append(t.all[k], o.all[i]...)
		}
	}
	t.seen += o.seen
	t.lastAt = -1
}

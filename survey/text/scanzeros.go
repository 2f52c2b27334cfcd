package text

import (
	"maps"
	"math"
	"slices"

	"pourplane/survey"
	"pourplane/survey/internal/thin"
)

// tally counts heights in bins of 1 mm or more. It gives the range of all but the
// outermost heights for a scan of any length. It holds up to mostBins bins: past that
// number each bin is made twice as wide. The result does not depend on the order of the
// heights.
type tally struct {
	bins map[int64]*heightBin
	wide int64 // width of a bin, nm
	n    int

	// The bins of 1 mm around the first height, which most are near; nil once bins are
	// wider, or where there is no height.
	near []heightBin
	from int64 // number of the first
	used int   // how many have heights
}

// heightBin is one bin of a tally.
type heightBin struct {
	lo, hi float64 // m, range of the heights in it
	n      int
}

const (
	mostBins = 1 << 14
	leastBin = 1_000_000 // nm
	nearBins = 1 << 11
)

func newTally() *tally { return &tally{bins: map[int64]*heightBin{}, wide: leastBin} }

func (t *tally) see(z float64) {
	// No height that the thinner accepts is beyond the clamp.
	t.count(z, thin.Nanometres(max(-thin.Farthest, min(thin.Farthest, z))))
}

// count counts a height, which is whole nm.
func (t *tally) count(z float64, whole int64) {
	if t.n++; t.near != nil {
		if k := thin.FloorDiv(whole, leastBin) - t.from; uint64(k) < nearBins {
			b := &t.near[k]
			if b.n == 0 {
				*b = heightBin{lo: z, hi: z}
				t.used++
			}
			b.lo, b.hi, b.n = min(b.lo, z), max(b.hi, z), b.n+1
			if t.used+len(t.bins) > mostBins {
				t.widen()
			}
			return
		}
	}
	at := thin.FloorDiv(whole, t.wide)
	if t.n == 1 && t.wide == leastBin {
		t.near, t.from = make([]heightBin, nearBins), at-nearBins/2
		t.n = 0
		t.count(z, whole)
		return
	}
	b := t.bins[at]
	if b == nil {
		b = &heightBin{lo: z, hi: z}
		t.bins[at] = b
	}
	b.lo, b.hi, b.n = min(b.lo, z), max(b.hi, z), b.n+1
	for t.used+len(t.bins) > mostBins {
		t.widen()
	}
}

// gather puts the near bins with the others.
func (t *tally) gather() {
	for k := range t.near {
		if t.near[k].n > 0 {
			t.bins[t.from+int64(k)] = &t.near[k]
		}
	}
	t.near, t.used = nil, 0
}

// widen makes each bin twice as wide.
func (t *tally) widen() {
	t.gather()
	bins := map[int64]*heightBin{}
	for at, b := range t.bins {
		at = thin.FloorDiv(at, 2)
		if o := bins[at]; o != nil {
			o.lo, o.hi, o.n = min(o.lo, b.lo), max(o.hi, b.hi), o.n+b.n
		} else {
			bins[at] = b
		}
	}
	t.bins = bins
	t.wide *= 2
}

// join adds the heights of o, which is used no more.
func (t *tally) join(o *tally) {
	t.gather()
	o.gather()
	for t.wide < o.wide {
		t.widen()
	}
	for o.wide < t.wide {
		o.widen()
	}
	t.n += o.n
	for at, b := range o.bins {
		if a := t.bins[at]; a != nil {
			a.lo, a.hi, a.n = min(a.lo, b.lo), max(a.hi, b.hi), a.n+b.n
		} else {
			t.bins[at] = b
		}
	}
	for len(t.bins) > mostBins {
		t.widen()
	}
}

// trimmed returns the range of the heights without the outermost twentieth at either end,
// as for a list: a stray must not bring the range near 0.
func (t *tally) trimmed() spread {
	t.gather()
	few := trim(t.n)
	out := emptySpread()
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

// trim returns how many of n heights are left out at either end: a twentieth, min 1 of 8
// or more.
func trim(n int) int {
	if few := n / 20; few > 0 || n < 8 {
		return few
	}
	return 1
}

// doubt is the shots of one height that may mean no data. They are thinned: there may be
// millions.
type doubt struct {
	z     float64 // m, of the first
	grid  *thin.Grid
	n     int
	first []thin.Shot // listed by line, up to mostNamed
}

// mostNamed is the maximum number of shots without data that are listed by line. The
// others are counted.
const mostNamed = 100

// keepDoubtful keeps a shot until the other heights are known.
func (s *xyz) keepDoubtful(p thin.Shot) {
	key := int64(math.MaxInt64) // far out: never a height
	if math.Abs(p.Z) < thin.Farthest {
		key = thin.Nanometres(p.Z) / 1e6
	}
	d := s.doubts[key]
	if d == nil {
		d = &doubt{z: p.Z, grid: thin.New(s.o.Thin, s.name)}
		s.doubts[key] = d
	}
	if d.n++; len(d.first) < mostNamed {
		d.first = append(d.first, p)
	}
	if key != math.MaxInt64 && !d.grid.Add(p.X, p.Y, p.Z, p.Line) {
		s.fail(thin.TooFar(s.at(p.Line), "", p.X, p.Y, p.Z))
	}
}

// release takes the shots in doubt that were measured. It leaves out the others, or
// returns the error that asks about zeros.
func (s *xyz) release() error {
	usual := s.heights.trimmed()
	for _, key := range slices.Sorted(maps.Keys(s.doubts)) {
		d := s.doubts[key]
		first := s.at(d.first[0].Line)
		list := func(one func(survey.Point), format string) {
			for _, p := range d.first {
				one(survey.Point{X: p.X, Y: p.Y, Z: p.Z}.With(survey.Tag{At: s.at(p.Line)}))
			}
			if more := d.n - len(d.first); more > 0 {
				s.note(survey.Assumed, survey.Pos{File: s.name}, format, more) // a note of kind LeftOut is for one row
			}
		}
		if d.z != 0 {
			if s.rest.near(d.z) {
				s.grid.Merge(d.grid)
				continue
			}
			list(s.leaveMarker, "%d more heights that mean no data left out, not listed")
			continue
		}
		switch usual.zeros(d.n, s.o.Zeros) {
		case survey.ZerosByOthers:
			return s.askZeros(first, d.n, usual)
		case survey.ZerosMissing:
			list(s.leaveZero, "%d more heights of exactly 0 left out, which are not listed")
			s.noteZeros(first, d.n, usual)
		default:
			s.grid.Merge(d.grid)
		}
	}
	return nil
}

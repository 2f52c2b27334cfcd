package survey

import (
	"cmp"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"pourplane/survey/unit"
)

// Thin says how points are thinned to one for each square of a grid while a
// file is read. The zero value keeps every point.
//
// The squares lie at whole multiples of Cell from 0,0, so that neither the
// order of the points nor where they begin changes the result. Only shots on the
// floor are thinned: outlines, finished floor, benchmarks and surfaces with faces
// stay as they are. Thinned points have no name and no code.
type Thin struct {
	Cell float64 // side of a square, m, to the nearest nanometre; 0: every point is kept
	Keep Kept
}

// Kept says which point stands for a square.
type Kept uint8

const (
	Mean   Kept = iota // mean of x, of y and of z: noise is averaged out
	Lowest             // the lowest point as measured; of equals the most western, then the most southern
	Median             // the point of median elevation, the lower of two: a few strays do not move it
)

func (k Kept) String() string { return [...]string{"mean", "lowest", "median"}[k] }

const (
	leastCell    = 1e-3 // m; scanners resolve no less
	greatestCell = 1e3  // m
	farthest     = 1e9  // m from 0, so that nanometres fit in 64 bits
)

// check refuses what no grid can be made of.
func (t Thin) check() error {
	if t.Cell != 0 && !(t.Cell >= leastCell && t.Cell <= greatestCell) {
		return &Error{Element: "thinning", Found: fmt.Sprintf("squares of %g m", t.Cell), Want: "1 mm to 1 km, or 0 to keep every point"}
	}
	if t.Keep > Median {
		return &Error{Element: "thinning", Found: fmt.Sprintf("rule %d", t.Keep), Want: "mean, lowest or median"}
	}
	return nil
}

// thinner takes points one at a time and gives one for each square. Memory grows
// with the squares; with Median it grows with the points.
type thinner struct {
	Thin
	file string
	side int64 // nm
	seen int   // points taken

	index  map[square]int
	last   square // looked up last: scans run along
	lastAt int

	squares []square // in the order met; the rule fills one of the three below
	sums    []sums
	lows    []shot
	all     [][]shot
}

// square is a place in the grid, counted from 0,0 to the north and to the east.
type square struct{ row, col int64 }

// shot is a point as measured, and the line it was read from; 0 in binary files.
type shot struct {
	x, y, z float64
	line    int
}

// lower orders shots by elevation, equals from west to east, then from south to
// north.
func lower(a, b shot) int {
	return cmp.Or(cmp.Compare(a.z, b.z), cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y), cmp.Compare(a.line, b.line))
}

// sums holds whole nanometres, which add up to the same in any order.
type sums struct {
	x, y, z wide
	n       uint64
}

// wide is a signed number of 128 bits.
type wide struct {
	hi int64
	lo uint64
}

func (w *wide) add(v int64) {
	var carry uint64
	w.lo, carry = bits.Add64(w.lo, uint64(v), 0)
	w.hi += v>>63 + int64(carry)
}

// join adds another sum.
func (w *wide) join(o wide) {
	var carry uint64
	w.lo, carry = bits.Add64(w.lo, o.lo, 0)
	w.hi += o.hi + int64(carry)
}

// mean returns w/n rounded to the nearest whole number, halves away from zero.
// w is the sum of n numbers of 64 bits, so that the mean has no more.
func (w wide) mean(n uint64) int64 {
	hi, lo := uint64(w.hi), w.lo
	if w.hi < 0 {
		var borrow uint64
		lo, borrow = bits.Sub64(0, lo, 0)
		hi, _ = bits.Sub64(0, hi, borrow)
	}
	q, r := bits.Div64(hi, lo, n)
	if r >= n-r {
		q++
	}
	if w.hi < 0 {
		return -int64(q)
	}
	return int64(q)
}

func nanometres(m float64) int64 { return int64(math.Round(m * 1e9)) }

func newThinner(t Thin, file string) *thinner {
	return &thinner{Thin: t, file: file, side: nanometres(t.Cell), index: map[square]int{}, lastAt: -1}
}

// add takes a point, m. It reports false for one that is out of all bounds, or
// nowhere.
func (t *thinner) add(x, y, z float64, line int) bool {
	if !(math.Abs(x) < farthest && math.Abs(y) < farthest && math.Abs(z) < farthest) {
		return false
	}
	t.seen++
	nx, ny := nanometres(x), nanometres(y)
	at := square{floorDiv(ny, t.side), floorDiv(nx, t.side)}
	i := t.lastAt
	if at != t.last || i < 0 {
		var known bool
		if i, known = t.index[at]; !known {
			i = len(t.squares)
			t.index[at] = i
			t.squares = append(t.squares, at)
		}
		t.last, t.lastAt = at, i
	}
	switch t.Keep {
	case Mean:
		if i == len(t.sums) {
			t.sums = append(t.sums, sums{})
		}
		s := &t.sums[i]
		s.x.add(nx)
		s.y.add(ny)
		s.z.add(nanometres(z))
		s.n++
	case Lowest:
		p := shot{x, y, z, line}
		if i == len(t.lows) {
			t.lows = append(t.lows, p)
		} else if lower(p, t.lows[i]) < 0 {
			t.lows[i] = p
		}
	case Median:
		if i == len(t.all) {
			t.all = append(t.all, nil)
		}
		t.all[i] = append(t.all[i], shot{x, y, z, line})
	}
	return true
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// points returns the point of each square, row by row from the south, each from
// west to east. A mean is rounded to the nearest nanometre.
func (t *thinner) points() []Point {
	order := make([]int, len(t.squares))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		p, q := t.squares[a], t.squares[b]
		return cmp.Or(cmp.Compare(p.row, q.row), cmp.Compare(p.col, q.col))
	})
	out := make([]Point, len(order))
	for k, i := range order {
		var p shot
		switch t.Keep {
		case Mean:
			s := &t.sums[i]
			p = shot{float64(s.x.mean(s.n)) / 1e9, float64(s.y.mean(s.n)) / 1e9, float64(s.z.mean(s.n)) / 1e9, 0}
		case Lowest:
			p = t.lows[i]
		case Median:
			slices.SortFunc(t.all[i], lower)
			p = t.all[i][(len(t.all[i])-1)/2]
		}
		out[k] = Point{X: p.x, Y: p.y, Z: p.z, At: Pos{File: t.file, Line: p.line}}
	}
	return out
}

// note says what was done, in the unit of the file.
func (t *thinner) note(u unit.Length) Note {
	what := [...]string{"the mean of", "the lowest point of", "the point of median elevation of"}[t.Keep]
	return Notef(Assumed, Pos{File: t.file}, "%d points thinned to %d: %s each square of %s",
		t.seen, len(t.squares), what, unit.Style{Imperial: u.Imperial()}.Depth(t.Cell))
}

// tooFar is the error for a point that the thinner does not take.
func tooFar(at Pos, element string, x, y, z float64) *Error {
	return &Error{Pos: at, Element: element, Found: fmt.Sprintf("%g, %g, %g m", x, y, z), Want: "coordinates within a million kilometres of 0"}
}

// thin thins points that are held already.
func (s *Survey) thin(t Thin, pts []Point) ([]Point, error) {
	if t.Cell == 0 || len(pts) == 0 {
		return pts, nil
	}
	grid := newThinner(t, s.Name)
	for i := range pts {
		if p := &pts[i]; !grid.add(p.X, p.Y, p.Z, p.At.Line) {
			return nil, tooFar(p.At, "", p.X, p.Y, p.Z)
		}
	}
	s.Notes = append(s.Notes, grid.note(s.Unit))
	return grid.points(), nil
}

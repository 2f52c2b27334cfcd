// Package thin thins points to one for each square of a grid.
package thin

import (
	"cmp"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Merge adds the points of o, which has the same squares.
func (t *Grid) Merge(o *Grid) {
	for i, at := range o.squares {
		k, known := t.index[at]
		if !known {
			k = len(t.squares)
			t.index[at] = k
			t.squares = append(t.squares, at)
		}
		switch t.Keep {
		case survey.Mean:
			if !known {
				t.sums = append(t.sums, sums{})
			}
			s, more := &t.sums[k], &o.sums[i]
			s.x.join(more.x)
			s.y.join(more.y)
			s.z.join(more.z)
			s.n += more.n
		case survey.Lowest:
			if !known {
				t.lows = append(t.lows, o.lows[i])
			} else if lower(o.lows[i], t.lows[k]) < 0 {
				t.lows[k] = o.lows[i]
			}
		case survey.Median:
			if !known {
				t.all = append(t.all, nil)
			}
			t.all[k] = append(t.all[k], o.all[i]...)
		}
	}
	t.Seen += o.Seen
	t.lastAt = -1
}

const (
	leastCell    = 1e-3 // m; scanners do not resolve less
	greatestCell = 1e3  // m
	Farthest     = 1e9  // m from 0, so that nanometres fit in 64 bits
)

// Check refuses a thinning from which no grid can be made.
func Check(t survey.Thin) error {
	if t.Cell != 0 && !(t.Cell >= leastCell && t.Cell <= greatestCell) {
		return &survey.Error{Element: "thinning", Found: fmt.Sprintf("squares of %g m", t.Cell), Want: "1 mm to 1 km, or 0 to keep every point"}
	}
	if t.Keep > survey.Median {
		return &survey.Error{Element: "thinning", Found: fmt.Sprintf("rule %d", t.Keep), Want: "mean, lowest or median"}
	}
	return nil
}

// Grid takes points one at a time and returns one for each square. Memory grows with the
// number of squares; with Median it grows with the number of points.
type Grid struct {
	survey.Thin
	file string
	side int64 // nm
	Seen int   // number of points taken

	index  map[square]int
	last   square // last square looked up: neighbours in a scan are often in one square
	lastAt int

	squares []square // in the order found; Keep decides which of the three below is used
	sums    []sums
	lows    []Shot
	all     [][]Shot
}

// square is a place in the grid, counted from 0,0 to the north and to the east.
type square struct{ row, col int64 }

// Shot is a point as measured and its line in the file; 0 in binary files.
type Shot struct {
	X, Y, Z float64
	Line    int
}

// lower orders shots by elevation, and equal elevations from west to east, then from
// south to north.
func lower(a, b Shot) int {
	return cmp.Or(cmp.Compare(a.Z, b.Z), cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y), cmp.Compare(a.Line, b.Line))
}

// sums holds whole nanometres. Their sum does not depend on order.
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

// mean returns w/n rounded to the nearest whole number, halves away from zero. w is the
// sum of n numbers of 64 bits, so the mean fits in 64 bits.
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

// Nanometres returns a length in m as whole nanometres, rounded.
func Nanometres(m float64) int64 { return int64(math.Round(m * 1e9)) }

// New returns an empty grid for the points of a file.
func New(t survey.Thin, file string) *Grid {
	return &Grid{Thin: t, file: file, side: Nanometres(t.Cell), index: map[square]int{}, lastAt: -1}
}

// Add takes a point, m. It returns false for a point that is too far out or not finite.
func (t *Grid) Add(x, y, z float64, line int) bool {
	if !(math.Abs(x) < Farthest && math.Abs(y) < Farthest && math.Abs(z) < Farthest) {
		return false
	}
	t.Seen++
	nx, ny := Nanometres(x), Nanometres(y)
	at := square{FloorDiv(ny, t.side), FloorDiv(nx, t.side)}
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
	case survey.Mean:
		if i == len(t.sums) {
			t.sums = append(t.sums, sums{})
		}
		s := &t.sums[i]
		s.x.add(nx)
		s.y.add(ny)
		s.z.add(Nanometres(z))
		s.n++
	case survey.Lowest:
		p := Shot{x, y, z, line}
		if i == len(t.lows) {
			t.lows = append(t.lows, p)
		} else if lower(p, t.lows[i]) < 0 {
			t.lows[i] = p
		}
	case survey.Median:
		if i == len(t.all) {
			t.all = append(t.all, nil)
		}
		t.all[i] = append(t.all[i], Shot{x, y, z, line})
	}
	return true
}

// FloorDiv returns a/b rounded down; b is positive.
func FloorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// Points returns one point for each square, row by row from the south, each row from
// west to east. A mean is rounded to the nearest nanometre.
func (t *Grid) Points() []survey.Point {
	order := make([]int, len(t.squares))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		p, q := t.squares[a], t.squares[b]
		return cmp.Or(cmp.Compare(p.row, q.row), cmp.Compare(p.col, q.col))
	})
	out := make([]survey.Point, len(order))
	for k, i := range order {
		var p Shot
		switch t.Keep {
		case survey.Mean:
			s := &t.sums[i]
			p = Shot{float64(s.x.mean(s.n)) / 1e9, float64(s.y.mean(s.n)) / 1e9, float64(s.z.mean(s.n)) / 1e9, 0}
		case survey.Lowest:
			p = t.lows[i]
		case survey.Median:
			slices.SortFunc(t.all[i], lower)
			p = t.all[i][(len(t.all[i])-1)/2]
		}
		out[k] = survey.Point{X: p.X, Y: p.Y, Z: p.Z, At: survey.Pos{File: t.file, Line: p.Line}}
	}
	return out
}

// Note describes the thinning in the unit of the file.
func (t *Grid) Note(u unit.Length) survey.Note {
	what := [...]string{"the mean of", "the lowest point of", "the point of median elevation of"}[t.Keep]
	return survey.Notef(survey.Assumed, survey.Pos{File: t.file}, "%d points thinned to %d: %s each square of %s",
		t.Seen, len(t.squares), what, unit.Style{Imperial: u.Imperial()}.Depth(t.Cell))
}

// TooFar returns the error for a point that a grid does not take.
func TooFar(at survey.Pos, element string, x, y, z float64) *survey.Error {
	return &survey.Error{Pos: at, Element: element, Found: fmt.Sprintf("%g, %g, %g m", x, y, z), Want: "coordinates within a million kilometres of 0"}
}

// Points thins the points of a survey in memory and adds a note.
func Points(s *survey.Survey, t survey.Thin, pts []survey.Point) ([]survey.Point, error) {
	if t.Cell == 0 || len(pts) == 0 {
		return pts, nil
	}
	grid := New(t, s.Name)
	for i := range pts {
		if p := &pts[i]; !grid.Add(p.X, p.Y, p.Z, p.At.Line) {
			return nil, TooFar(p.At, "", p.X, p.Y, p.Z)
		}
	}
	s.Notes = append(s.Notes, grid.Note(s.Unit))
	return grid.Points(), nil
}

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
	side int64   // nm
	inv  float64 // 1/side
	Seen int     // number of points taken

	index
	sums   []sums // of each square; Keep decides which of the three is used
	spills map[int]*[3]wide
	lows   []Shot
	all    [][]Shot
}

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

// sums holds whole nanometres, x and y from the south-west corner of the square. Their sum
// does not depend on order. What does not fit is in the spills of the grid.
type sums struct {
	x, y, z int64
	n       uint64
}

// add adds points to square i: the sums of their places in it and of their elevations, and
// their number.
func (t *Grid) add(i int, x, y, z int64, n uint64) {
	s := &t.sums[i]
	sx, sy, sz := s.x+x, s.y+y, s.z+z
	if (sx^s.x)&(sx^x)|(sy^s.y)&(sy^y)|(sz^s.z)&(sz^z) < 0 { // past 64 bits
		w := t.spilled(i)
		w[0].add(s.x)
		w[1].add(s.y)
		w[2].add(s.z)
		sx, sy, sz = x, y, z
	}
	s.x, s.y, s.z, s.n = sx, sy, sz, s.n+n
}

// spilled returns what did not fit in the sums of square i.
func (t *Grid) spilled(i int) *[3]wide {
	w := t.spills[i]
	if w == nil {
		if t.spills == nil {
			t.spills = map[int]*[3]wide{}
		}
		w = &[3]wide{}
		t.spills[i] = w
	}
	return w
}

// mean returns the mean of square i.
func (t *Grid) mean(i int) Shot {
	s, w := &t.sums[i], [3]wide{}
	if more := t.spills[i]; more != nil {
		w = *more
	}
	w[0].add(s.x)
	w[0].addProduct(t.squares[i].col*t.side, s.n)
	w[1].add(s.y)
	w[1].addProduct(t.squares[i].row*t.side, s.n)
	w[2].add(s.z)
	return Shot{float64(w[0].mean(s.n)) / 1e9, float64(w[1].mean(s.n)) / 1e9, float64(w[2].mean(s.n)) / 1e9, 0}
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

// addProduct adds v·n.
func (w *wide) addProduct(v int64, n uint64) {
	neg := v < 0
	if neg {
		v = -v
	}
	hi, lo := bits.Mul64(uint64(v), n)
	var carry uint64
	if neg {
		w.lo, carry = bits.Sub64(w.lo, lo, 0)
		w.hi -= int64(hi) + int64(carry)
		return
	}
	w.join(wide{int64(hi), lo})
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

// Nanometres returns a length in m as whole nanometres, rounded, halves away from zero.
func Nanometres(m float64) int64 {
	v := float64(m * 1e9)
	n := int64(v)
	switch d := v - float64(n); {
	case d >= 0.5:
		n++
	case d <= -0.5:
		n--
	}
	return n
}

// New returns an empty grid for the points of a file.
func New(t survey.Thin, file string) *Grid {
	side := Nanometres(t.Cell)
	return &Grid{Thin: t, file: file, side: side, inv: 1 / float64(side), index: newIndex()}
}

// column returns v/side rounded down, and the rest.
func (t *Grid) column(v int64) (q, rest int64) {
	// The product differs by less than 1: the quotient is below 1e12.
	q = int64(float64(v) * t.inv)
	rest = v - q*t.side
	for rest < 0 {
		q, rest = q-1, rest+t.side
	}
	for rest >= t.side {
		q, rest = q+1, rest-t.side
	}
	return q, rest
}

// Add takes a point, m. It returns false for a point that is too far out or not finite.
func (t *Grid) Add(x, y, z float64, line int) bool {
	if !(math.Abs(x) < Farthest && math.Abs(y) < Farthest && math.Abs(z) < Farthest) {
		return false
	}
	t.Seen++
	row, ry := t.column(Nanometres(y))
	col, rx := t.column(Nanometres(x))
	i := t.place(square{row, col})
	switch t.Keep {
	case survey.Mean:
		if i == len(t.sums) {
			t.sums = append(t.sums, sums{})
		}
		t.add(i, rx, ry, Nanometres(z), 1)
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

// Merge adds the points of o, which has the same squares.
func (t *Grid) Merge(o *Grid) {
	for i, at := range o.squares {
		k := t.place(at)
		switch t.Keep {
		case survey.Mean:
			if k == len(t.sums) {
				t.sums = append(t.sums, sums{})
			}
			s := &o.sums[i]
			t.add(k, s.x, s.y, s.z, s.n)
			if more := o.spills[i]; more != nil {
				w := t.spilled(k)
				for axis := range w {
					w[axis].join(more[axis])
				}
			}
		case survey.Lowest:
			if k == len(t.lows) {
				t.lows = append(t.lows, o.lows[i])
			} else if lower(o.lows[i], t.lows[k]) < 0 {
				t.lows[k] = o.lows[i]
			}
		case survey.Median:
			if k == len(t.all) {
				t.all = append(t.all, nil)
			}
			t.all[k] = append(t.all[k], o.all[i]...)
		}
	}
	t.Seen += o.Seen
}

// Near reports whether a grid takes a point, m.
func (p Shot) Near() bool {
	return math.Abs(p.X) < Farthest && math.Abs(p.Y) < Farthest && math.Abs(p.Z) < Farthest
}

// AddAll takes points that are near. All squares are looked up before the first sum
// changes: the processor then waits for many of them at once.
func (t *Grid) AddAll(pts []Shot) {
	if t.Keep != survey.Mean {
		for _, p := range pts {
			t.Add(p.X, p.Y, p.Z, p.Line)
		}
		return
	}
	var in [256]struct{ square, x, y, z int64 }
	for ; len(pts) > 0; pts = pts[min(len(in), len(pts)):] {
		n := min(len(in), len(pts))
		for k, p := range pts[:n] {
			row, y := t.column(Nanometres(p.Y))
			col, x := t.column(Nanometres(p.X))
			i := t.place(square{row, col})
			if i == len(t.sums) {
				t.sums = append(t.sums, sums{})
			}
			in[k].square, in[k].x, in[k].y, in[k].z = int64(i), x, y, Nanometres(p.Z)
		}
		for k := range in[:n] {
			p := &in[k]
			t.add(int(p.square), p.x, p.y, p.z, 1)
		}
		t.Seen += n
	}
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
	out := make([]survey.Point, 0, len(t.squares))
	for i := range t.inOrder() {
		var p Shot
		switch t.Keep {
		case survey.Mean:
			p = t.mean(i)
		case survey.Lowest:
			p = t.lows[i]
		case survey.Median:
			slices.SortFunc(t.all[i], lower)
			p = t.all[i][(len(t.all[i])-1)/2]
		}
		out = append(out, survey.Point{X: p.X, Y: p.Y, Z: p.Z, At: survey.Pos{File: t.file, Line: p.Line}})
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

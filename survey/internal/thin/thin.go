// Package thin thins points to one for each square of a grid.
package thin

import (
	"cmp"
	"fmt"
	"math"
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
// number of squares; with Median also with the heights in each, up to 10 kB a square.
type Grid struct {
	survey.Thin
	files []string // of the points; the first is the one of the points added
	side  int64    // nm
	inv   float64  // 1/side
	Seen  int      // number of points taken
	Lost  int      // rows left out of the scans whose cells were read

	parts  []uint64 // the cells that were read, sorted, each by the sum of its squares
	inPart int      // points from them

	means   tiles[sums] // one of the three is used, by Keep
	lows    tiles[Shot]
	middles tiles[middle]
	spills  map[square]*[3]wide // of means
	fetched uint64              // keeps the compiler from leaving a fetch out
}

// Shot is a point as measured and its line in the file; 0 in binary files. In a grid of
// several files the bits from lineBits on are the number of the file.
type Shot struct {
	X, Y, Z float64
	Line    int
}

const lineBits = 48

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

// add adds points to the square at: the sums of their places in it and of their elevations,
// and their number.
func (t *Grid) add(s *sums, at square, x, y, z int64, n uint64) {
	sx, sy, sz := s.x+x, s.y+y, s.z+z
	if (sx^s.x)&(sx^x)|(sy^s.y)&(sy^y)|(sz^s.z)&(sz^z) < 0 { // past 64 bits
		w := t.spilled(at)
		w[0].add(s.x)
		w[1].add(s.y)
		w[2].add(s.z)
		sx, sy, sz = x, y, z
	}
	s.x, s.y, s.z, s.n = sx, sy, sz, s.n+n
}

// spilled returns what did not fit in the sums of a square.
func (t *Grid) spilled(at square) *[3]wide {
	w := t.spills[at]
	if w == nil {
		if t.spills == nil {
			t.spills = map[square]*[3]wide{}
		}
		w = &[3]wide{}
		t.spills[at] = w
	}
	return w
}

// whole returns the sums of a square with what did not fit in them.
func (t *Grid) whole(at square, s *sums) (w [3]wide) {
	if t.spills != nil {
		if more := t.spills[at]; more != nil {
			w = *more
		}
	}
	w[0].add(s.x)
	w[1].add(s.y)
	w[2].add(s.z)
	return w
}

// mean returns the mean of a square.
func (t *Grid) mean(at square, s *sums) Shot {
	w := t.whole(at, s)
	w[0].addProduct(at.col*t.side, s.n)
	w[1].addProduct(at.row*t.side, s.n)
	return Shot{float64(w[0].mean(s.n)) / 1e9, float64(w[1].mean(s.n)) / 1e9, float64(w[2].mean(s.n)) / 1e9, 0}
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
	if n >= 1<<51 || n <= -1<<51 {
		return wholeFar(m, n)
	}
	return n
}

// wholeFar corrects n, m in nanometres, by one where the product was rounded across a half:
// a decimal that was read as m is then exact again.
func wholeFar(m float64, n int64) int64 {
	if n >= 1<<53 || n <= -1<<53 {
		return n
	}
	for _, near := range [3]int64{n, n - 1, n + 1} {
		if float64(near)/1e9 == m {
			return near
		}
	}
	return n
}

// New returns an empty grid for the points of a file.
func New(t survey.Thin, file string) *Grid {
	side := Nanometres(t.Cell)
	g := &Grid{Thin: t, files: []string{file}, side: side, inv: 1 / float64(side)}
	switch t.Keep {
	case survey.Mean:
		g.means = newTiles[sums]()
	case survey.Lowest:
		g.lows = newTiles[Shot]()
	case survey.Median:
		g.middles = newTiles[middle]()
	}
	return g
}

// Side returns the side of a square, nm.
func (t *Grid) Side() int64 { return t.side }

// SideText writes the side of a square without rounding it.
func (t *Grid) SideText() string { return fmt.Sprintf("%gmm", float64(t.side)/1e6) }

// Squared names the squares and what is kept of each.
func (t *Grid) Squared() string { return fmt.Sprintf("squares of %s, %s", t.SideText(), t.Keep) }

// Squares returns the number of squares that have a point.
func (t *Grid) Squares() int { return t.means.squares() + t.lows.squares() + t.middles.squares() }

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
	at := square{row, col}
	if t.Keep == survey.Mean {
		s, _ := t.means.place(at)
		t.add(s, at, rx, ry, Nanometres(z), 1)
	} else {
		t.hold(at, Shot{x + 0, y + 0, z + 0, line}) // of -0 and 0 neither is lower: both are 0
	}
	return true
}

// hold takes a point as it is.
func (t *Grid) hold(at square, p Shot) {
	if t.Keep == survey.Median {
		m, _ := t.middles.place(at)
		m.add(p)
		return
	}
	if low, fresh := t.lows.place(at); fresh || lower(p, *low) < 0 {
		*low = p
	}
}

// Merge adds the points of o, which has squares of the same side and keeps the same of them.
// o is not used again.
func (t *Grid) Merge(o *Grid) {
	t.Seen += o.Seen
	t.Lost += o.Lost
	t.parts = slices.Compact(slices.Sorted(slices.Values(slices.Concat(t.parts, o.parts))))
	t.inPart += o.inPart
	t.follow(o)
	t.means.merge(&o.means, func(at square, of, more *sums) { t.add(of, at, more.x, more.y, more.z, more.n) })
	for at, more := range o.spills {
		w := t.spilled(at)
		for axis := range w {
			w[axis].join(more[axis])
		}
	}
	t.lows.merge(&o.lows, func(_ square, of, more *Shot) {
		if lower(*more, *of) < 0 {
			*of = *more
		}
	})
	t.middles.merge(&o.middles, func(_ square, of, more *middle) { of.join(more) })
}

// Shares reports whether t and o have the same cells in them: their points would count twice.
func (t *Grid) Shares(o *Grid) bool {
	return slices.ContainsFunc(o.parts, func(p uint64) bool { _, has := slices.BinarySearch(t.parts, p); return has })
}

// follow makes the lines of the points of o those of points of t.
func (t *Grid) follow(o *Grid) {
	if slices.Equal(t.files, o.files) {
		return
	}
	from := t.from(o)
	for _, p := range o.lows.each() {
		*p = from(*p)
	}
	for _, m := range o.middles.each() {
		for i := range m.shots {
			m.shots[i] = from(m.shots[i])
		}
		for i := range m.level {
			m.level[i].Shot = from(m.level[i].Shot)
		}
	}
}

// from returns what makes the line of a point of o that of a point of t.
func (t *Grid) from(o *Grid) func(Shot) Shot {
	var number []int // of the files of o, in t
	for _, file := range o.files {
		k := slices.Index(t.files, file)
		if k < 0 && len(t.files) < 1<<(63-lineBits) {
			k = len(t.files)
			t.files = append(t.files, file)
		}
		number = append(number, k)
	}
	return func(p Shot) Shot {
		k := number[p.Line>>lineBits]
		if k < 0 { // more files than can be told apart
			p.Line = 0
			return p
		}
		p.Line = p.Line&(1<<lineBits-1) | k<<lineBits
		return p
	}
}

// Near reports whether a grid takes a point, m.
func (p Shot) Near() bool {
	return math.Abs(p.X) < Farthest && math.Abs(p.Y) < Farthest && math.Abs(p.Z) < Farthest
}

// AddAll takes points that are near. All squares are looked up before the first sum
// changes: the processor then waits for many of them at once.
func (t *Grid) AddAll(pts []Shot) {
	switch t.Keep {
	case survey.Lowest:
		t.addLows(pts)
		return
	case survey.Median:
		for _, p := range pts {
			t.Add(p.X, p.Y, p.Z, p.Line)
		}
		return
	}
	var of [256]Whole
	for ; len(pts) > 0; pts = pts[min(len(of), len(pts)):] {
		n := min(len(of), len(pts))
		for k, p := range pts[:n] {
			of[k] = Whole{Nanometres(p.X), Nanometres(p.Y), Nanometres(p.Z)}
		}
		t.AddWhole(of[:n])
	}
}

// addLows takes points that are near, for the lowest. Those that are lowest so far are
// fetched as in AddWhole.
func (t *Grid) addLows(pts []Shot) {
	const many = 128
	var of [many]struct {
		*Shot
		*tile[Shot]
		in uint
	}
	var none Shot // of a tile that has no room for all
	last, found := square{math.MinInt64, 0}, entry[Shot]{}
	for ; len(pts) > 0; pts = pts[min(many, len(pts)):] {
		n := min(many, len(pts))
		for k := range pts[:n] {
			p := &of[k]
			row, _ := t.column(Nanometres(pts[k].Y))
			col, _ := t.column(Nanometres(pts[k].X))
			tile, in := split(square{row, col})
			if tile != last || found.full == nil {
				last, found = tile, *t.lows.find(tile)
			}
			if p.tile, p.in, p.Shot = found.tile, in, &none; found.full != nil {
				p.Shot = &found.full[in]
			}
		}
		read := 0
		for k := range of[:n] {
			read += of[k].Shot.Line
		}
		t.fetched = uint64(read)
		for k := range of[:n] {
			p, q := &of[k], Shot{pts[k].X + 0, pts[k].Y + 0, pts[k].Z + 0, pts[k].Line} // as in Add
			if low := p.tile.held(p.in); low == nil {
				*t.lows.first(p.tile, p.in) = q
			} else if lower(q, *low) < 0 {
				*low = q
			}
		}
		t.Seen += n
	}
}

// Whole is a point in whole nanometres.
type Whole struct{ X, Y, Z int64 }

// AddWhole takes points that are near, for means. The sums of many are fetched before the
// first of them changes: the processor then waits for all of them at once.
func (t *Grid) AddWhole(pts []Whole) {
	const many = 128
	var of [many]struct {
		*sums
		*tile[sums]
		x, y int64
		in   uint
	}
	var none sums // of a tile that has no room for all
	last, found := square{math.MinInt64, 0}, entry[sums]{}
	for ; len(pts) > 0; pts = pts[min(many, len(pts)):] {
		n := min(many, len(pts))
		read := uint64(0)
		for k := range pts[:n] {
			p := &of[k]
			row, y := t.column(pts[k].Y)
			col, x := t.column(pts[k].X)
			tile, in := split(square{row, col})
			p.x, p.y, p.in = x, y, in
			if tile != last || found.full == nil {
				last, found = tile, *t.means.find(tile)
			}
			if p.tile, p.sums = found.tile, &none; found.full != nil {
				p.sums = &found.full[in]
			}
		}
		for k := range of[:n] {
			read += of[k].sums.n
		}
		t.fetched = read
		for k := range of[:n] {
			p, z := &of[k], pts[k].Z
			s := p.sums
			if s.n == 0 {
				if s = p.tile.held(p.in); s == nil {
					s = t.means.first(p.tile, p.in)
				}
			}
			sx, sy, sz := s.x+p.x, s.y+p.y, s.z+z
			if (sx^s.x)&(sx^p.x)|(sy^s.y)&(sy^p.y)|(sz^s.z)&(sz^z) < 0 {
				t.add(s, p.tile.square(p.in), p.x, p.y, z, 1)
				continue
			}
			s.x, s.y, s.z, s.n = sx, sy, sz, s.n+1
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
	tagged := make([]survey.Point, len(t.files))
	for i, name := range t.files {
		tagged[i] = tagged[i].With(survey.Tag{At: survey.Pos{File: name, Line: 1}})
	}
	point := func(p Shot) survey.Point {
		q := tagged[p.Line>>lineBits].OnLine(p.Line & (1<<lineBits - 1))
		q.X, q.Y, q.Z = p.X, p.Y, p.Z
		return q
	}
	switch t.Keep {
	case survey.Mean:
		return made(&t.means, func(at square, s *sums) survey.Point { return point(t.mean(at, s)) })
	case survey.Lowest:
		return made(&t.lows, func(_ square, p *Shot) survey.Point { return point(*p) })
	default:
		return made(&t.middles, func(_ square, m *middle) survey.Point {
			p, _ := m.median()
			return point(p)
		})
	}
}

// Note describes the thinning in the unit of the file.
func (t *Grid) Note(u unit.Length) survey.Note {
	what := [...]string{"the mean of", "the lowest point of", "the point of median elevation of"}[t.Keep]
	at, of := survey.Pos{File: t.files[0]}, ""
	if len(t.files) > 1 {
		at, of = survey.Pos{}, " of all files"
	}
	text := fmt.Sprintf("%d points%s thinned to %d: %s each square of %s", t.Seen, of, t.Squares(), what, unit.Style{Imperial: u.Imperial()}.Depth(t.Cell))
	near, most := 0, int64(0)
	for _, m := range t.middles.each() {
		if _, within := m.median(); within > 0 {
			near, most = near+1, max(most, within)
		}
	}
	if near > 0 {
		below := fmt.Sprintf("%g mm", float64(most)/1e6)
		if u.Imperial() {
			below = fmt.Sprintf("%.3g\"", float64(most)/25.4e6)
		}
		text += fmt.Sprintf("; up to %s below the median in %s of more than %d points", below, survey.Plural(near, "square"), MostExact)
	}
	n := survey.Notef(survey.Assumed, at, "%s", text)
	n.Step = Step
	return n
}

// Step marks the note of the thinning, which is made again when grids are joined, and
// StepLost the one of rows left out of cells.
const (
	Step     = "thinning"
	StepLost = "rows left out of cells"
)

// Into sets the points of a survey to those of the grid, with a note, and its cells if they
// are kept.
func (t *Grid) Into(s *survey.Survey, keep bool) {
	if s.Points = t.Points(); keep {
		s.Cells = t
	}
	s.Notes = append(survey.Without(s.Notes, Step), t.Note(s.Unit))
}

// TooFar returns the error for a point that a grid does not take.
func TooFar(at survey.Pos, element string, x, y, z float64) *survey.Error {
	return &survey.Error{Pos: at, Element: element, Found: fmt.Sprintf("%g, %g, %g m", x, y, z), Want: "coordinates within a million kilometres of 0"}
}

// Points thins the points of a survey in memory and adds a note.
func Points(s *survey.Survey, o survey.Options, pts []survey.Point) ([]survey.Point, error) {
	if o.Thin.Cell == 0 || len(pts) == 0 {
		return pts, nil
	}
	grid := New(o.Thin, s.Name)
	for i := range pts {
		if p := &pts[i]; !grid.Add(p.X, p.Y, p.Z, p.At().Line) {
			return nil, TooFar(p.At(), "", p.X, p.Y, p.Z)
		}
	}
	grid.Into(s, o.Cells)
	return s.Points, nil
}

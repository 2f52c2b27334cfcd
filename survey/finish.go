package survey

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/survey/unit"
)

func joined(errs []error) error {
	if len(errs) == 1 {
		return errs[0]
	}
	return errors.Join(errs...)
}

// finish makes elevations of readings, leaves out what is none, and sorts the
// points by their roles.
func (f *textReader) finish() error {
	f.s.Served.Codes = f.codes.hit
	f.noteCoded()
	if f.manner == byRun {
		defer f.inOrder()
		return f.endRuns()
	}
	if err := f.noRod(); err != nil {
		return err
	}
	f.leaveLoose()
	f.doubtful()
	drop, err := f.noData()
	if err != nil {
		return err
	}
	for i := range f.dropped {
		if drop == nil {
			drop = map[int]bool{}
		}
		drop[i] = true
	}
	if err := f.elevations(); err != nil {
		return err
	}
	if f.manner == planOnly && !f.outline {
		f.s.Places = f.pts
		f.inOrder()
		return nil
	}
	if len(f.sights) > 0 && f.x == nil && !f.gridNamed() && !f.form.grid {
		f.without(drop)
		for i := range f.pts {
			f.pts[i].X, f.pts[i].Y = math.NaN(), math.NaN()
		}
		f.s.Levels, f.s.levelRoles, f.s.Readings = f.pts, f.roles, f.readings
		if f.roles == nil {
			f.s.levelRoles = make([]Role, len(f.pts))
		}
		f.inOrder()
		return nil
	}
	if err := f.sort(drop); err != nil {
		return err
	}
	return f.settle()
}

// without takes out points whose heights mean no data.
func (f *textReader) without(drop map[int]bool) {
	if len(drop) == 0 {
		return
	}
	n := 0
	for i := range f.pts {
		if drop[i] {
			continue
		}
		f.pts[n] = f.pts[i]
		if f.roles != nil {
			f.roles[n] = f.roles[i]
		}
		if f.readings != nil {
			f.readings[n] = f.readings[i]
		}
		n++
	}
	f.pts = f.pts[:n]
	if f.roles != nil {
		f.roles = f.roles[:n]
	}
	if f.readings != nil {
		f.readings = f.readings[:n]
	}
}

// ownUnits takes the units from the cells where no column has one.
func (f *textReader) ownUnits() {
	if c := f.up; c != nil && f.s.Unit == unit.None {
		f.s.Unit = c.seen
	}
	if c := f.of[isX]; c != nil {
		f.s.PlanStated = f.s.PlanStated || c.own
		if f.s.Plan == unit.None {
			f.s.Plan = c.seen
		}
	}
}

// settle refuses what holds no points, and looks at those there are.
func (f *textReader) settle() error {
	if err := f.tooFew(); err != nil {
		return err
	}
	if len(f.s.Points) == 0 && len(f.s.Finished) == 0 && len(f.s.Rings) == 0 && len(f.s.Breaklines) == 0 {
		return &Error{Pos: f.pos, Found: fmt.Sprintf("%d rows and none with a position and an elevation", f.s.Rows), Want: "a list of points"}
	}
	if err := f.hiddenBook(); err != nil {
		return err
	}
	if err := f.s.checkWide(); err != nil {
		return err
	}
	f.look()
	f.inOrder()
	return nil
}

// inOrder puts notes in file order; what concerns the whole file comes first.
func (f *textReader) inOrder() {
	slices.SortStableFunc(f.s.Notes, func(a, b Note) int { return cmp.Compare(a.Pos.Line, b.Pos.Line) })
}

// sample returns the heights as read, every one or evenly spread ones of many.
func (f *textReader) sample() []float64 {
	step := 1 + len(f.pts)/20000
	out := make([]float64, 0, min(len(f.pts), 20000)+1)
	for i := 0; i < len(f.pts); i += step {
		if z := f.pts[i].Z; !math.IsNaN(z) {
			out = append(out, z)
		}
	}
	return out
}

// doubtful warns of heights that differ from the rest by the factor between two
// units.
func (f *textReader) doubtful() {
	if len(f.sights) > 0 || len(f.pts) < 4 {
		return
	}
	zs := f.sample()
	if len(zs) < 4 {
		return
	}
	slices.Sort(zs)
	med := zs[len(zs)/2]
	for i := range zs {
		zs[i] = math.Abs(zs[i] - med)
	}
	slices.Sort(zs)
	// 1.4826 makes the median deviation a standard deviation; half a millimetre
	// keeps a dead level floor from having none.
	spread := max(1.4826*zs[len(zs)/2], 0.0005)
	told := 0
	for i := range f.pts {
		z := f.pts[i].Z
		if !(math.Abs(z-med) > 20*spread) || med == 0 || z == 0 || slices.Contains(f.markers, i) {
			continue
		}
		ratio := math.Abs(z / med)
		if ratio < 1 {
			ratio = 1 / ratio
		}
		for _, factor := range []float64{10, 12, 25.4, 304.8, 1000} {
			if math.Abs(ratio/factor-1) < 0.05 && told < 10 {
				told++
				u := f.unitOrMetre()
				f.note(Warning, f.pts[i].At, "%s%.6g %s differs from the rest, median %.6g %s, by a factor of about %g: another unit?",
					label(f.pts[i]), math.Abs(z)/u.Metres(), u, math.Abs(med)/u.Metres(), u, factor)
				break
			}
		}
	}
}

func (f *textReader) unitOrMetre() unit.Length {
	if f.s.Unit == unit.None {
		return unit.Metre
	}
	return f.s.Unit
}

// Zeros is what heights of exactly 0 mean in a file.
type Zeros uint8

const (
	ZerosByOthers Zeros = iota // measured where others are near 0, left out where few are far from all others, else refused
	ZerosMeasured              // all were measured
	ZerosMissing               // none was
)

// noData returns the points whose heights mean no data: markers far outside
// the rest, and zeros that were not measured. Zeros that leave a doubt are an error.
func (f *textReader) noData() (map[int]bool, error) {
	if len(f.markers)+len(f.zeros) == 0 {
		return nil, nil
	}
	odd := map[int]bool{}
	for _, i := range slices.Concat(f.markers, f.zeros) {
		odd[i] = true
	}
	rest, trimmed := noHeights(), noHeights()
	var zs []float64
	for i := range f.pts {
		if z := f.asRead(i); !math.IsNaN(z) && !odd[i] {
			rest.see(z)
			zs = append(zs, z)
		}
	}
	drop := map[int]bool{}
	for _, i := range f.markers {
		if !rest.hold(f.asRead(i)) {
			drop[i] = true
			f.noMarker(f.pts[i])
		}
	}
	if len(f.zeros) == 0 {
		return drop, nil
	}
	// A misread rod or two must not bring the others near 0.
	slices.Sort(zs)
	few := trim(len(zs))
	for _, z := range zs[few : len(zs)-few] {
		trimmed.see(z)
	}
	trimmed.n = len(zs)
	shots := 0
	for _, i := range f.zeros {
		if r := f.role(i); r == Floor || r == Finished {
			shots++
		}
	}
	var doubted, gone []Point
	for _, i := range f.zeros {
		// Benchmarks define 0, corners of an outline are drawn at it.
		r := f.role(i)
		n := shots
		if r == Outline || r == Void || r == Break {
			n = 0
		}
		switch verdict := trimmed.zeros(n, f.o.Zeros); {
		case r == Control || verdict == ZerosMeasured:
		case verdict == ZerosMissing:
			drop[i] = true
			f.noZero(f.pts[i])
			gone = append(gone, f.pts[i])
		case r == Finished && trimmed.clear() < storey: // the floor that 0 was set on
		default:
			doubted = append(doubted, f.pts[i])
		}
	}
	if len(doubted) > 0 {
		return nil, f.askZeros(doubted[0].At, len(doubted), trimmed)
	}
	if len(gone) > 0 {
		f.noZeros(gone[0].At, len(gone), trimmed)
	}
	return drop, nil
}

// asRead returns the height of point i as the file has it, upward: before any
// height of instrument. It is NaN where a file of rod readings has none.
func (f *textReader) asRead(i int) float64 {
	switch {
	case i < len(f.rods):
		return f.rods[i]
	case f.rods != nil:
		return math.NaN()
	}
	return f.pts[i].Z
}

// readRod remembers a rod reading of the point that is read next.
func (f *textReader) readRod(reading float64) {
	for len(f.rods) <= len(f.pts) {
		f.rods = append(f.rods, math.NaN())
	}
	f.rods[len(f.pts)] = -reading
}

// role returns the role of point i.
func (f *textReader) role(i int) Role {
	if f.roles == nil {
		return Floor
	}
	return f.roles[i]
}

func (f *textReader) noMarker(p Point) {
	u := f.unitOrMetre()
	f.leaveShot(p, "%.6g %s means no data", p.Z/u.Metres(), u)
}

func (f *textReader) noZero(p Point) {
	f.leaveShot(p, "0 is not a measured height: the others are far from 0")
}

func (f *textReader) noZeros(first Pos, n int, rest spread) {
	if f.o.Zeros == ZerosMissing {
		f.note(Assumed, first, "%s of exactly 0 not used, as %s asks", Plural(n, "height"), unit.Ask("zeros", "missing"))
		return
	}
	f.s.Notes = append(f.s.Notes, Notef(Warning, first, "%s of exactly 0 not used: the others are %s or more from 0; %s uses them",
		Plural(n, "height"), f.far(rest), unit.Ask("zeros", "measured")).About(AboutOrder))
}

// askZeros is the error for zeros that may have been measured.
func (f *textReader) askZeros(first Pos, n int, rest spread) error {
	if rest.n == 0 {
		return (&Error{Pos: first, Element: f.up.String(), Found: fmt.Sprintf("%s of exactly 0 and no other", Plural(n, "height")),
			Want: "whether the floor was measured level at 0, or the file is a drawing without heights"}).Hinted("%s, where it was", unit.Ask("zeros", "measured"))
	}
	return (&Error{Pos: first, Element: f.up.String(), Found: fmt.Sprintf("%s of exactly 0, %s or more from the %d others", Plural(n, "height"), f.far(rest), rest.n),
		Want: "whether 0 was measured there, or means no reading"}).Hinted("%s, or %s", unit.Ask("zeros", "measured"), unit.Ask("zeros", "missing"))
}

func (f *textReader) far(rest spread) string {
	style, d := unit.Style{Imperial: f.s.Unit.Imperial()}, rest.clear()
	if d < storey {
		return style.Depth(d)
	}
	return style.Length(d)
}

// Heights of one floor are seldom storey apart, and often uneven. Common practice,
// no source.
const (
	uneven = 0.050 // m
	storey = 1.0   // m
)

// elevations turns what was read into elevations.
func (f *textReader) elevations() error {
	f.s.Served.Rods = f.s.Served.Rods || len(f.sights) > 0 || len(f.pending) > 0
	switch {
	case len(f.sights) > 0 && f.manner != byGradeRod: // reduced
	case f.manner == byGradeRod, f.manner == byDiff, f.manner == byDepth:
		f.s.Relative, f.s.Served.Drops = true, true
		f.note(Assumed, f.pos, "%s read as depth from the target: elevation 0 is the target", f.up)
	case len(f.pending) == 0:
	case f.hasHI:
		for _, i := range f.pending {
			f.pts[i].Z += f.hi
		}
	case len(f.pending) < len(f.pts):
		for i := range f.pts {
			if z := f.pts[i].Z; !math.IsNaN(z) && !slices.Contains(f.pending, i) {
				return (&Error{Pos: f.pts[f.pending[0]].At, Found: "rod readings without a height of instrument beside elevations",
					Want: "the height of instrument, or a benchmark row with both"}).Hinted("%s", unit.Ask("instrument-height", "11.500"))
			}
		}
		fallthrough
	default:
		f.s.Relative = true
		f.note(Assumed, f.pos, "no height of instrument: elevations are relative, the readings of %s negated: a bigger reading is a lower floor", f.up)
	}
	return nil
}

// Unplaced returns the error for a level book without plan positions; it lists
// what the book comes to, since that is what it can be used for. It is nil where
// everything has a place.
func (s *Survey) Unplaced() error {
	if len(s.Levels) == 0 {
		return nil
	}
	style := unit.StyleOf(s.Plan, s.Unit)
	var levels []string
	n := 0
	seen := map[string]bool{}
	for _, b := range s.Book.Benchmarks[:min(1, len(s.Book.Benchmarks))] {
		seen[strings.ToUpper(b.Name)] = true
	}
	for _, p := range s.Levels {
		if seen[strings.ToUpper(p.Name)] {
			continue
		}
		seen[strings.ToUpper(p.Name)] = true
		if n++; n <= 8 {
			levels = append(levels, fmt.Sprintf("%s %s", p.Name, style.Elevation(p.Z)))
		}
	}
	if n > 8 {
		levels = append(levels, "…")
	}
	closure := "it does not close on a benchmark"
	if c := s.Book.Main(); c != nil {
		closure = fmt.Sprintf("it closes on %s, %s", c.On, off(style, c.Misclosure(), "high", "low"))
	}
	return (&Error{Pos: Pos{File: s.Name, Line: s.Levels[0].At.Line}, Found: fmt.Sprintf("a level book of %d levels (%s; %s)", n, strings.Join(levels, ", "), closure),
		Want: "plan positions beside the levels: columns headed such as x and y, or a second file of names, x and y",
	}).Hinted("pourplane reduce %s prints the whole book", unit.Flag("verbose"))
}

// sort puts the points where their roles say.
func (f *textReader) sort(drop map[int]bool) error {
	f.lines(drop)
	if f.roles == nil && len(drop) == 0 && len(f.sights) == 0 {
		f.s.Readings = f.readings
		return f.floor(f.pts)
	}
	floor := f.pts[:0:0]
	for i, p := range f.pts {
		as := Floor
		if f.roles != nil {
			as = f.roles[i]
		}
		nowhere := math.IsNaN(p.X) || math.IsNaN(p.Y)
		switch {
		case drop[i] || as == Outline || as == Void || as == Break:
		case nowhere && as == Control && !IsDrain(p.Code): // it has served in the book
		case nowhere:
			f.unplaced(p, as, p.Z)
			f.leaveShot(p, "no position")
		case as == Finished:
			f.s.Finished = append(f.s.Finished, p)
		case as == Control:
			f.s.Control = append(f.s.Control, p)
		default:
			floor = append(floor, p)
			if f.readings != nil {
				f.s.Readings = append(f.s.Readings, f.readings[i])
			}
		}
	}
	return f.floor(floor)
}

// floor keeps the shots on the floor, thinned where that is asked for.
func (f *textReader) floor(pts []Point) (err error) {
	if f.o.Thin.Cell == 0 {
		f.s.Points = f.merge(pts)
		return nil
	}
	f.s.Points, err = f.s.thin(f.o.Thin, pts)
	return err
}

// merge keeps the first of points that are the same in x, y and z. It works in
// place, on a table of indices: scans have millions.
func (f *textReader) merge(pts []Point) []Point {
	size := 16
	for size < 2*len(pts) {
		size *= 2
	}
	table := make([]int32, size)
	out := pts[:0]
	for _, p := range pts {
		// 0.0 and -0.0 are one place.
		x, y, z := math.Float64bits(p.X+0), math.Float64bits(p.Y+0), math.Float64bits(p.Z+0)
		h := x*0x9e3779b97f4a7c15 ^ y*0xc2b2ae3d27d4eb4f ^ z*0x165667b19e3779f9
		h ^= h >> 29
		h *= 0xbf58476d1ce4e5b9
		h ^= h >> 32
		i := int(h & uint64(size-1))
		same := false
		for table[i] != 0 {
			if q := &out[table[i]-1]; q.X == p.X && q.Y == p.Y && q.Z == p.Z {
				same = true
				f.leaveShot(p, "the same place and elevation as line %d: merged", q.At.Line)
				break
			}
			i = (i + 1) & (size - 1)
		}
		if same {
			continue
		}
		out = append(out, p)
		table[i] = int32(len(out))
	}
	return out
}

// look warns of what is legal and yet seldom meant.
func (f *textReader) look() {
	pts := f.s.Points
	if f.tenths.suspect() {
		f.note(Warning, f.tenths.at, "%s and %s look like feet.inches; they are read as decimal feet", f.tenths.twice, f.tenths.one)
	}
	if len(pts) > 0 {
		lo, hi := pts[0], pts[0]
		for i := range pts {
			lo.X, hi.X = min(lo.X, pts[i].X), max(hi.X, pts[i].X)
			lo.Y, hi.Y = min(lo.Y, pts[i].Y), max(hi.Y, pts[i].Y)
		}
		const widest = 1000 // m; no floor is poured in one that is wider
		if w := max(hi.X-lo.X, hi.Y-lo.Y); w > widest {
			f.note(Warning, Pos{File: f.name}, "the plan is %.0f m wide: is the unit right?", w)
		}
	}
	const many = 20_000 // scans have no names worth a look, nor slips between two shots
	if len(pts) > many || f.o.Thin.Cell > 0 {
		return
	}
	f.sameNames(pts)
	f.neighbours(pts)
}

// sameNames warns of names that occur more than once.
func (f *textReader) sameNames(pts []Point) {
	first := map[string]Pos{}
	var twice []string
	for _, p := range pts {
		if p.Name == "" {
			continue
		}
		if at, ok := first[p.Name]; ok {
			twice = append(twice, fmt.Sprintf("%s on lines %d and %d", p.Name, at.Line, p.At.Line))
			continue
		}
		first[p.Name] = p.At
	}
	if n := len(twice); n > 0 && n < len(pts)/2+1 {
		more := ""
		if n > 5 {
			twice, more = twice[:5], fmt.Sprintf(" and %d more", n-5)
		}
		f.note(Warning, Pos{File: f.name}, "names that occur twice: %s%s", strings.Join(twice, ", "), more)
	}
}

// neighbours warns of points within a centimetre whose elevations differ by
// more than their distance: a step, or a slip.
func (f *textReader) neighbours(pts []Point) {
	const near = 0.010 // m
	byX := make([]int, len(pts))
	for i := range byX {
		byX[i] = i
	}
	slices.SortFunc(byX, func(a, b int) int { return cmp.Or(cmp.Compare(pts[a].X, pts[b].X), cmp.Compare(a, b)) })
	told := 0
	for k, a := range byX {
		// Columns of a grid share x: look no further than a few dozen along.
		for _, b := range byX[k+1 : min(k+64, len(byX))] {
			p, q := pts[a], pts[b]
			if q.X-p.X > near {
				break
			}
			d := math.Hypot(q.X-p.X, q.Y-p.Y)
			if dz := math.Abs(q.Z - p.Z); d > 0 && d < near && dz > d && told < 10 {
				told++
				if p.At.Line > q.At.Line {
					p, q = q, p
				}
				f.note(Warning, q.At, "lines %d and %d are %.1f mm apart in plan and %.1f mm in elevation: a step or a slip", p.At.Line, q.At.Line, d*1e3, dz*1e3)
			}
		}
	}
}

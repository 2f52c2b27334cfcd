package text

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/internal/thin"
	"pourplane/survey/unit"
)

// Finish completes the survey: it turns readings into elevations, leaves out rows without
// one, and sorts the points by role. It is called once, after [Begin] and [Tie], or by
// [Reader.Alone]. It returns an error for a file that is no survey, such as one without
// points or with zeros that may mean no data.
func (f *Reader) Finish() error {
	f.passHead()
	f.s.Served.Codes = f.codes.Hit
	f.noteCoded()
	if e := f.rodsSeen.refuse(f.manner == byRod); e != nil && !f.linesAlone() {
		return e
	}
	if f.manner == byRun {
		defer f.inOrder()
		return f.endRuns()
	}
	f.leaveLoose()
	extent := f.extent()
	f.doubtful(extent)
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
		f.warnUncoded(drop, false)
		f.removePoints(drop)
		for i := range f.pts {
			f.pts[i].X, f.pts[i].Y = math.NaN(), math.NaN()
		}
		f.s.Levels, f.s.LevelRoles, f.s.Readings = f.pts, f.roles, f.readings
		if f.roles == nil {
			f.s.LevelRoles = make([]survey.Role, len(f.pts))
		}
		f.inOrder()
		return nil
	}
	if err := f.sort(drop); err != nil {
		return err
	}
	if len(f.s.Points) != len(f.pts) || f.o.Thin.Cell > 0 {
		extent = survey.ExtentOf(f.s.Points)
	}
	return f.checkPoints(extent)
}

// linesAlone reports whether the file is a level book of backsights and foresights alone.
// Its rows may be whole lines of levels, and their readings sums of many.
func (f *Reader) linesAlone() bool {
	return len(f.sights) > 0 && !slices.ContainsFunc(f.sights, func(s survey.Sight) bool { return s.Kind == survey.Intermediate })
}

// extent returns the extent of the points.
func (f *shots) extent() survey.Extent {
	if f.hashed == nil {
		return survey.ExtentOf(f.pts)
	}
	all := survey.NoExtent()
	for i := range f.hashed {
		all.Join(f.hashed[i].extent)
	}
	return all
}

// removePoints removes the points in drop, with their roles and readings.
func (f *shots) removePoints(drop map[int]bool) {
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

// ownUnits takes the units from the cells where no column states one.
func (f *table) ownUnits() {
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

// checkPoints refuses a file without points, and checks the points of one that has them. of
// is their extent.
func (f *shots) checkPoints(of survey.Extent) error {
	if err := f.tooFew(); err != nil {
		return err
	}
	if len(f.s.Points) == 0 && len(f.s.Finished) == 0 && len(f.s.Rings) == 0 && len(f.s.Breaklines) == 0 {
		if f.s.Served.Grid {
			n := f.s.Rows
			for _, note := range f.s.Notes {
				if note.Dash { // not to be read
					n--
				}
			}
			return &survey.Error{Pos: f.pos, Found: "a grid sheet with no readings yet: " + survey.Plural(n, "empty cell"), Want: "a reading in each cell, or a dash where the rod could not stand", Err: ErrNoReadings}
		}
		return &survey.Error{Pos: f.pos, Found: fmt.Sprintf("%d rows and none with a position and an elevation", f.s.Rows), Want: "a list of points"}
	}
	if err := f.hiddenBook(); err != nil {
		return err
	}
	if err := f.s.CheckWide(of); err != nil {
		return err
	}
	f.warnUnlikely(of)
	f.inOrder()
	return nil
}

// inOrder sorts notes by line. Notes on the whole file come first.
func (f *dialect) inOrder() {
	slices.SortStableFunc(f.s.Notes, func(a, b survey.Note) int { return cmp.Compare(a.Pos.Line, b.Pos.Line) })
}

// sample returns the heights as read, m: all of them, or up to 20,000 evenly spaced in
// the file.
func (f *shots) sample() []float64 {
	step := 1 + len(f.pts)/20000
	out := make([]float64, 0, min(len(f.pts), 20000)+1)
	for i := 0; i < len(f.pts); i += step {
		if z := f.pts[i].Z; !math.IsNaN(z) {
			out = append(out, z)
		}
	}
	return out
}

// doubtful warns of up to 10 heights that differ from the median by the factor between
// two units. of is the extent of the points.
func (f *Reader) doubtful(of survey.Extent) {
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
	// The factor 1.4826 converts the median absolute deviation of normal data to the
	// standard deviation. The minimum of 0.5 mm is for a dead level floor.
	spread := max(1.4826*zs[len(zs)/2], 0.0005)
	if !(med-of.Lo[2] > 20*spread || of.Hi[2]-med > 20*spread) {
		return
	}
	warned := 0
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
			if math.Abs(ratio/factor-1) < 0.05 && warned < 10 {
				warned++
				u := f.unitOrMetre()
				f.note(survey.Warning, f.pts[i].At(), "%s%.6g %s differs from the rest, median %.6g %s, by a factor of about %g: another unit?",
					survey.Label(f.pts[i]), math.Abs(z)/u.Metres(), u, math.Abs(med)/u.Metres(), u, factor)
				break
			}
		}
	}
}

func (f *dialect) unitOrMetre() unit.Length {
	if f.s.Unit == unit.None {
		return unit.Metre
	}
	return f.s.Unit
}

// noData returns the points whose heights mean no data: markers outside the other
// heights, and zeros that were not measured. Zeros that may be either are an error.
func (f *shots) noData() (map[int]bool, error) {
	if len(f.markers)+len(f.zeros) == 0 {
		return nil, nil
	}
	if len(f.markers) == 0 && f.o.Zeros == survey.ZerosByOthers && f.aroundZero() {
		return nil, nil
	}
	odd := slices.Concat(f.markers, f.zeros)
	slices.Sort(odd)
	rest, trimmed := emptySpread(), emptySpread()
	zs := make([]float64, 0, len(f.pts))
	for i := range f.pts {
		if len(odd) > 0 && odd[0] == i {
			odd = odd[1:]
		} else if z := f.asRead(i); !math.IsNaN(z) {
			rest.see(z)
			zs = append(zs, z)
		}
	}
	drop := map[int]bool{}
	for _, i := range f.markers {
		if !rest.near(f.asRead(i)) {
			drop[i] = true
			f.leaveMarker(f.pts[i])
		}
	}
	if len(f.zeros) == 0 {
		return drop, nil
	}
	// The extremes are left out: one or two misread rods must not bring the range near 0.
	if few := trim(len(zs)); len(zs) > 0 {
		trimmed.see(nth(zs, few))
		trimmed.see(nth(zs, len(zs)-1-few))
	}
	trimmed.n = len(zs)
	shots := 0
	for _, i := range f.zeros {
		if r := f.role(i); r == survey.Floor || r == survey.Finished {
			shots++
		}
	}
	var doubted, gone []survey.Point
	for _, i := range f.zeros {
		// A benchmark can define 0, and the corners of an outline are drawn at 0.
		r := f.role(i)
		n := shots
		if r == survey.Outline || r == survey.Void || r == survey.Break {
			n = 0
		}
		switch verdict := trimmed.zeros(n, f.o.Zeros); {
		case r == survey.Control || verdict == survey.ZerosMeasured:
		case verdict == survey.ZerosMissing:
			drop[i] = true
			f.leaveZero(f.pts[i])
			gone = append(gone, f.pts[i])
		case r == survey.Finished && trimmed.clear() < storey: // elevation 0 was set on this floor
		default:
			doubted = append(doubted, f.pts[i])
		}
	}
	if len(doubted) > 0 {
		return nil, f.askZeros(doubted[0].At(), len(doubted), trimmed)
	}
	if len(gone) > 0 {
		f.noteZeros(gone[0].At(), len(gone), trimmed)
	}
	return drop, nil
}

// aroundZero reports whether heights of exactly 0 were measured since more than the extremes
// that noData leaves out are on or below a floor at 0, and as many on or above it. It need
// not look at most of them.
func (f *shots) aroundZero() bool {
	few := trim(len(f.pts))
	below, above := 0, 0
	for i := range f.pts {
		z := f.asRead(i)
		if z != 0 && z <= uneven {
			below++
		}
		if z != 0 && z >= -uneven {
			above++
		}
		if below > few && above > few {
			return true
		}
	}
	return false
}

// asRead returns the height of point i as in the file, m, positive up, before any height
// of instrument. It is NaN where a file of rod readings has none.
func (f *shots) asRead(i int) float64 {
	switch {
	case i < len(f.rods):
		return f.rods[i]
	case f.rods != nil:
		return math.NaN()
	}
	return f.pts[i].Z
}

// readRod remembers the rod reading, m, of the point that is kept next.
func (f *shots) readRod(reading float64) {
	for len(f.rods) <= len(f.pts) {
		f.rods = append(f.rods, math.NaN())
	}
	f.rods[len(f.pts)] = -reading
}

// role returns the role of point i.
func (f *shots) role(i int) survey.Role {
	if f.roles == nil {
		return survey.Floor
	}
	return f.roles[i]
}

func (f *dialect) leaveMarker(p survey.Point) {
	u := f.unitOrMetre()
	f.leaveShot(p, "%.6g %s means no data", p.Z/u.Metres(), u)
}

func (f *dialect) leaveZero(p survey.Point) {
	f.leaveShot(p, "0 is not a measured height: the others are far from 0")
}

func (f *dialect) noteZeros(first survey.Pos, n int, rest spread) {
	if f.o.Zeros == survey.ZerosMissing {
		f.note(survey.Assumed, first, "%s of exactly 0 not used, as %s asks", survey.Plural(n, "height"), unit.Ask("zeros", "missing"))
		return
	}
	f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, first, "%s of exactly 0 not used: the others are %s or more from 0; %s uses them",
		survey.Plural(n, "height"), f.farText(rest), unit.Ask("zeros", "measured")).About(survey.AboutOrder))
}

// askZeros returns the error for zeros that may or may not be measured.
func (f *table) askZeros(first survey.Pos, n int, rest spread) error {
	if rest.n == 0 {
		return (&survey.Error{Pos: first, Element: f.up.String(), Found: fmt.Sprintf("%s of exactly 0 and no other", survey.Plural(n, "height")),
			Want: "whether the floor was measured level at 0, or the file is a drawing without heights"}).Hinted("%s, where it was", unit.Ask("zeros", "measured"))
	}
	return (&survey.Error{Pos: first, Element: f.up.String(), Found: fmt.Sprintf("%s of exactly 0, %s or more from the %d others", survey.Plural(n, "height"), f.farText(rest), rest.n),
		Want: "whether 0 was measured there, or means no reading"}).Hinted("%s, or %s", unit.Ask("zeros", "measured"), unit.Ask("zeros", "missing"))
}

func (f *dialect) farText(rest spread) string {
	style, d := unit.Style{Imperial: f.s.Unit.Imperial()}, rest.clear()
	if d < storey {
		return style.Depth(d)
	}
	return style.Length(d)
}

// Heights of one floor often differ by uneven and seldom by storey. Common practice, no
// source.
const (
	uneven = 0.050 // m
	storey = 1.0   // m
)

// elevations converts readings to elevations.
func (f *Reader) elevations() error {
	f.s.Served.Rods = f.s.Served.Rods || len(f.sights) > 0 || len(f.pending) > 0
	switch {
	case len(f.sights) > 0 && f.manner != byGradeRod: // elevations are reduced already
	case f.manner == byGradeRod, f.manner == byDiff, f.manner == byDepth:
		f.s.Relative, f.s.Served.Drops = true, true
		f.note(survey.Assumed, f.pos, "%s read as depth from the target: elevation 0 is the target", f.up)
	case len(f.pending) == 0:
	case f.hasHI:
		for _, i := range f.pending {
			f.pts[i].Z += f.hi
		}
	case len(f.pending) < len(f.pts):
		for i := range f.pts {
			if z := f.pts[i].Z; !math.IsNaN(z) && !slices.Contains(f.pending, i) {
				return (&survey.Error{Pos: f.pts[f.pending[0]].At(), Found: "rod readings without a height of instrument beside elevations",
					Want: "the height of instrument, or a benchmark row with both"}).Hinted("%s", unit.Ask("instrument-height", "11.500"))
			}
		}
		fallthrough
	default:
		f.s.Relative = true
		f.note(survey.Assumed, f.pos, "no height of instrument: elevations are relative, the readings of %s negated: a bigger reading is a lower floor", f.up)
	}
	return nil
}

// sort distributes the points, except those in drop, over the lists of the survey by
// their roles.
func (f *Reader) sort(drop map[int]bool) error {
	if err := f.partRings(); err != nil {
		return err
	}
	f.lines(drop)
	f.warnUncoded(drop, true)
	if f.roles == nil && len(drop) == 0 && len(f.sights) == 0 {
		f.s.Readings = f.readings
		return f.floor(f.pts, f.hashed)
	}
	floor := f.pts[:0:0]
	for i, p := range f.pts {
		as := survey.Floor
		if f.roles != nil {
			as = f.roles[i]
		}
		nowhere := math.IsNaN(p.X) || math.IsNaN(p.Y)
		switch {
		case drop[i] || as == survey.Outline || as == survey.Void || as == survey.Break:
		case nowhere && as == survey.Control && !survey.IsDrain(p.Code()): // used in the level book only
			f.s.MarkRows++
		case nowhere:
			f.unplaced(p, as, p.Z)
			f.leaveShot(p, "no position")
		case as == survey.Finished:
			f.s.Finished = append(f.s.Finished, p)
		case as == survey.Control:
			f.s.Control = append(f.s.Control, p)
		default:
			floor = append(floor, p)
			if f.readings != nil {
				f.s.Readings = append(f.s.Readings, f.readings[i])
			}
		}
	}
	return f.floor(floor, nil)
}

// floor keeps the shots on the floor, thinned if o.Thin is set. hashed are their hashes, nil if
// they are not known.
func (f *dialect) floor(pts []survey.Point, hashed []hashes) (err error) {
	if f.o.Thin.Cell == 0 {
		f.s.Points = f.merge(pts, hashed)
		return nil
	}
	f.s.Points, err = thin.Points(f.s, f.o, pts)
	return err
}

// warnUnlikely warns of input that is valid but seldom meant.
func (f *shots) warnUnlikely(of survey.Extent) {
	pts := f.s.Points
	if f.tenths.suspect() {
		f.note(survey.Warning, f.tenths.at, "%s and %s look like feet.inches; they are read as decimal feet", f.tenths.twice, f.tenths.one)
	}
	const widest = 1000 // m; no floor is poured in one piece of that width
	if w := of.Wide(); w > widest {
		f.note(survey.Warning, survey.Pos{File: f.name}, "the plan is %.0f m wide: is the unit right?", w)
	}
	const many = 20_000 // scans: names and single slips are not checked
	if len(pts) > many || f.o.Thin.Cell > 0 {
		return
	}
	f.sameNames(pts)
	f.neighbours(pts)
}

// sameNames warns of names that occur more than once.
func (f *dialect) sameNames(pts []survey.Point) {
	first := map[string]survey.Pos{}
	var twice []string
	for _, p := range pts {
		if p.Name() == "" {
			continue
		}
		if at, ok := first[p.Name()]; ok {
			twice = append(twice, fmt.Sprintf("%s on lines %d and %d", p.Name(), at.Line, p.At().Line))
			continue
		}
		first[p.Name()] = p.At()
	}
	if n := len(twice); n > 0 && n < len(pts)/2+1 {
		more := ""
		if n > 5 {
			twice, more = twice[:5], fmt.Sprintf(" and %d more", n-5)
		}
		f.note(survey.Warning, survey.Pos{File: f.name}, "names that occur twice: %s%s", strings.Join(twice, ", "), more)
	}
}

// neighbours warns of up to 10 pairs of points within a centimetre whose elevations
// differ by more than their distance: a step, or a slip.
func (f *dialect) neighbours(pts []survey.Point) {
	const near = 0.010 // m
	byX := make([]int, len(pts))
	for i := range byX {
		byX[i] = i
	}
	slices.SortFunc(byX, func(a, b int) int { return cmp.Or(cmp.Compare(pts[a].X, pts[b].X), cmp.Compare(a, b)) })
	warned := 0
	for k, a := range byX {
		// Columns of a grid share x: compare with the next 63 points only.
		for _, b := range byX[k+1 : min(k+64, len(byX))] {
			p, q := pts[a], pts[b]
			if q.X-p.X > near {
				break
			}
			d := math.Hypot(q.X-p.X, q.Y-p.Y)
			if dz := math.Abs(q.Z - p.Z); d > 0 && d < near && dz > d && warned < 10 {
				warned++
				if p.At().Line > q.At().Line {
					p, q = q, p
				}
				f.note(survey.Warning, q.At(), "lines %d and %d are %.1f mm apart in plan and %.1f mm in elevation: a step or a slip", p.At().Line, q.At().Line, d*1e3, dz*1e3)
			}
		}
	}
}

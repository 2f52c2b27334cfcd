package text

import (
	"math"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/level"
)

var sightWords = map[string]survey.SightKind{
	"bs": survey.Back, "b": survey.Back, "backsight": survey.Back, "back": survey.Back, "+": survey.Back,
	"fs": survey.Fore, "f": survey.Fore, "foresight": survey.Fore, "fore": survey.Fore,
	"is": survey.Intermediate, "i": survey.Intermediate, "int": survey.Intermediate, "intermediate": survey.Intermediate, "ss": survey.Intermediate, "chk": survey.Intermediate, "": survey.Intermediate,
}

// booked is a figure that the level book has computed itself.
type booked struct {
	column *column
	value  float64 // m
	text   string
	at     survey.Pos
	pt     int // index of the point whose elevation it is
	setup  string
	isHI   bool // value is the HI of setup
	step   bool // value is a rise, or minus a fall, from the sight before
}

// statedElevation matches the elevation of a benchmark in a remark.
var statedElevation = regexp.MustCompile(`(?i)\b(?:assumed|taken as|elevation|elev|el|rl)\b[\s:=.]*(?:as )?([-+−]?\d+(?:[.,]\d+)?(?:\s*(?:m|mm|cm|ft|feet)\b|')?)`)

// bookRow reads a row of a book with one sight a row, and reports whether it holds one.
func (f *Reader) bookRow(r *row, p *survey.Point, as survey.Role) bool {
	word := strings.ToLower(strings.Trim(r.Sight.text, " ."))
	kind, ok := sightWords[word]
	if !ok {
		c := f.of[isSight]
		f.fail(&survey.Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(r.Sight.text), Want: "BS, IS or FS"})
		return false
	}
	errs := len(f.errs)
	v, ok := f.rodLength(f.up, &r.Rod)
	if len(f.errs) > errs {
		return false
	}
	if !ok {
		return f.noHeight(p, as, "no rod reading", r.Rod.text)
	}
	s := f.newSight(p, as)
	s.Kind, s.Reading, s.Text = kind, v, strings.TrimSpace(r.Rod.text)
	if s.Setup = f.setupIn(r); s.Setup == "" {
		s.Setup = f.setupOf(kind)
		if f.moved {
			if n := len(f.sights); kind == survey.Back && n > 0 && f.sights[n-1].Kind != survey.Back && f.now().rods > 0 {
				f.begin("", p.At())
			}
			s.Setup = f.now().name
		}
	}
	f.now().rods++
	if c := f.of[isDist]; c != nil {
		if d, ok := f.length(c, &r.Dist); ok {
			s.Distance = d
		}
	}
	if c := f.of[isZ]; c != nil {
		if z, ok := f.length(c, &r.Z); ok {
			s.Stated = z
		}
	}
	if math.IsNaN(s.Stated) && (kind == survey.Back || as == survey.Control) {
		if m := statedElevation.FindStringSubmatch(r.Remark.text); m != nil {
			u := f.up.unit
			if z, err := f.num.length(&column{unit: u}, m[1]); err == nil {
				s.Stated = z
			}
		}
	}
	if len(f.errs) > errs {
		return false
	}
	f.sight(s)
	return true
}

// newSight returns a sight on p without a reading.
func (f *table) newSight(p *survey.Point, as survey.Role) survey.Sight {
	s := survey.Sight{Name: p.Name(), Distance: math.NaN(), At: p.At(), Stated: math.NaN(), Mark: as == survey.Control, X: math.NaN(), Y: math.NaN()}
	if f.x != nil && f.y != nil || f.form.grid {
		s.X, s.Y = p.X, p.Y
	}
	return s
}

// sight keeps a sight on the point that is kept next.
func (f *Reader) sight(s survey.Sight) {
	s.Mark = s.Mark || s.Kind != survey.Intermediate
	f.sights = append(f.sights, s)
	f.sighted = append(f.sighted, len(f.pts))
}

// setupOf names the set-up of a sight if the book does not. A backsight after any other
// sight begins the next set-up.
func (f *Reader) setupOf(kind survey.SightKind) string {
	n := len(f.sights)
	if n == 0 {
		return "1"
	}
	last := f.sights[n-1]
	if kind != survey.Back || last.Kind == survey.Back {
		return last.Setup
	}
	i, err := strconv.Atoi(last.Setup)
	if err != nil {
		return last.Setup
	}
	return strconv.Itoa(i + 1)
}

// bookFigure is a figure in one column of a book.
type bookFigure struct {
	of    role
	cell  *cell
	value float64 // m
	ok    bool    // the column has a figure in this row
}

// bookLine holds the figures of one row of a book with columns BS, IS and FS.
type bookLine struct {
	bs, is, fs, z, hi, rise, fall bookFigure
}

// bookLine parses the figures of r.
func (f *cursor) bookLine(r *row) bookLine {
	read := func(of role, cell *cell) bookFigure {
		out := bookFigure{of: of, cell: cell}
		switch c := f.of[of]; {
		case c == nil:
		case of == isBS || of == isIS || of == isFS:
			out.value, out.ok = f.rodLength(c, cell)
		default:
			out.value, out.ok = f.length(c, cell)
		}
		return out
	}
	return bookLine{
		bs: read(isBS, &r.BS), is: read(isIS, &r.IS), fs: read(isFS, &r.FS), z: read(isZ, &r.Z),
		hi: read(isHI, &r.HI), rise: read(isRise, &r.Rise), fall: read(isFall, &r.Fall),
	}
}

// wideRow reads a row of a book with columns BS, IS and FS and reports whether
// it holds a sight.
func (f *Reader) wideRow(r *row, p *survey.Point, as survey.Role) bool {
	errs := len(f.errs)
	l := f.bookLine(r)
	if len(f.errs) > errs {
		return false
	}
	if !l.bs.ok && !l.is.ok && !l.fs.ok {
		return f.noHeight(p, as, "no sight", "")
	}
	err := f.sightOrder(l, p.At())
	if err == nil {
		err = f.otherSetup(l, f.setupIn(r), p.At())
	}
	if err != nil {
		f.fail(err)
		return false
	}
	s := f.newSight(p, as)
	s.Setup = "1"
	if n := len(f.sights); n > 0 {
		s.Setup = f.sights[n-1].Setup
	}
	if l.is.ok {
		f.wideSight(s, survey.Intermediate, l.is, r)
	}
	switch {
	case l.fs.ok && !l.bs.ok && f.of[isIS] == nil:
		// Books without a column IS have the shots in the column FS.
		f.wideSight(s, survey.Intermediate, l.fs, r)
	case l.fs.ok:
		f.wideSight(s, survey.Fore, l.fs, r)
	}
	if l.bs.ok {
		if !l.fs.ok && l.z.ok {
			s.Stated = l.z.value
		}
		if len(f.sights) > 0 {
			i, _ := strconv.Atoi(s.Setup) // set below
			s.Setup = strconv.Itoa(i + 1)
		}
		f.wideSight(s, survey.Back, l.bs, r)
	}
	f.bookedFigures(l, s.Setup)
	return true
}

// sightOrder refuses an order of sights that no level book has. In a book without a
// column IS, the shot before the backsight of a new set-up becomes the foresight of the
// last.
func (f *Reader) sightOrder(l bookLine, at survey.Pos) *survey.Error {
	first := len(f.sights) == 0
	var last survey.SightKind
	if !first {
		last = f.sights[len(f.sights)-1].Kind
	}
	begins := l.bs.ok && !l.fs.ok && !first
	switch {
	case l.is.ok && (l.bs.ok || l.fs.ok):
		return &survey.Error{Pos: at, Found: "an intermediate sight beside another", Want: "one of the two; a turning point has a foresight and a backsight"}
	case !l.bs.ok && first:
		return &survey.Error{Pos: at, Found: "a sight before any backsight", Want: "a backsight on a benchmark first"}
	case !l.bs.ok && last == survey.Fore:
		return &survey.Error{Pos: at, Found: "a sight after the last foresight of a set-up", Want: "a backsight from the next set-up first", Hint: "shots between backsight and foresight are in a column IS"}
	case begins && f.of[isIS] == nil && last == survey.Intermediate:
		f.makeLastForesight()
	case begins && last != survey.Fore:
		return &survey.Error{Pos: at, Found: "a backsight from a new set-up without a foresight from the last", Want: "a turning point with both"}
	}
	return nil
}

// wideSight keeps s as a sight of kind, with the reading of one column and the distance
// that r gives for it.
func (f *Reader) wideSight(s survey.Sight, kind survey.SightKind, reading bookFigure, r *row) {
	s.Kind, s.Reading, s.Text = kind, reading.value, strings.TrimSpace(reading.cell.text)
	c, dist := f.of[isDist], &r.Dist
	switch {
	case kind == survey.Back && f.of[isBackDist] != nil:
		c, dist = f.of[isBackDist], &r.BackDist
	case kind == survey.Fore && f.of[isForeDist] != nil:
		c, dist = f.of[isForeDist], &r.ForeDist
	}
	if c != nil {
		if d, ok := f.length(c, dist); ok {
			s.Distance = d
		}
	}
	f.sight(s)
}

// bookedFigures keeps the figures that the book has computed itself.
func (f *Reader) bookedFigures(l bookLine, setup string) {
	book := func(fig bookFigure, b booked) {
		b.column, b.text, b.at = f.of[fig.of], strings.TrimSpace(fig.cell.text), f.cellPos(f.of[fig.of])
		b.pt, b.setup = len(f.pts), setup
		f.booked = append(f.booked, b)
	}
	if l.z.ok {
		book(l.z, booked{value: l.z.value})
	}
	if l.hi.ok && l.bs.ok {
		book(l.hi, booked{value: l.hi.value, isHI: true})
	}
	if l.rise.ok && l.rise.value != 0 {
		book(l.rise, booked{value: l.rise.value, step: true})
	}
	if l.fall.ok && l.fall.value != 0 {
		book(l.fall, booked{value: -l.fall.value, step: true})
	}
}

// makeLastForesight makes the last sight a foresight, in a book without a column IS.
func (f *Reader) makeLastForesight() {
	if n := len(f.sights); n > 0 && f.manner == byBook && f.of[isIS] == nil && f.sights[n-1].Kind == survey.Intermediate {
		s := &f.sights[n-1]
		s.Kind, s.Mark = survey.Fore, true
		if f.roles == nil {
			f.roles = make([]survey.Role, len(f.pts))
		}
		if i := f.sighted[n-1]; i < len(f.roles) && f.roles[i] == survey.Floor {
			f.roles[i] = survey.Control
		}
	}
}

// reduce computes the elevations of the level books of one or more files, which may
// depend on one another, and stores them in the points. If mayFloat is false there are
// other files, and the books must be on their level.
func reduce(fs []*Reader, mayFloat bool) error {
	var sights []survey.Sight
	given := map[string]float64{}
	owner := map[string]*Reader{} // of a set-up's name
	for _, f := range fs {
		rename := map[string]string{}
		for _, s := range f.sights {
			if _, done := rename[s.Setup]; done {
				continue
			}
			name := s.Setup
			for other := owner[name]; other != nil && other != f; other = owner[name] {
				name += " of " + filepath.Base(f.name)
			}
			rename[s.Setup], owner[name] = name, f
		}
		for i := range f.sights {
			f.sights[i].Setup = rename[f.sights[i].Setup]
		}
		for i := range f.booked {
			f.booked[i].setup = rename[f.booked[i].setup]
		}
		for name, hi := range f.given {
			if now, ok := rename[name]; ok {
				given[now] = hi
			}
		}
		if f.hasHI && len(f.sights) > 0 && f.isLevelBook() {
			given[f.sights[0].Setup] = f.hi
		}
		sights = append(sights, f.sights...)
	}
	b, notes, err := level.Reduce(sights, given, fs[0].o, fs[0].s.Plan, fs[0].s.Unit, mayFloat)
	if err != nil {
		for _, f := range fs {
			err = f.hintGuessed(err)
		}
		return err
	}
	at := 0
	for _, f := range fs {
		for _, n := range notes {
			if n.Pos.File == f.name {
				f.s.Notes = append(f.s.Notes, n)
			}
		}
		part := b.Sights[at : at+len(f.sights)]
		at += len(part)
		hi := map[string]float64{}
		for _, u := range b.Setups {
			hi[u.Name] = u.HI - u.Correction
		}
		for i, s := range part {
			p := &f.pts[f.sighted[i]]
			if s.Tied && s.Kind == survey.Intermediate {
				f.makeCheck(f.sighted[i])
			}
			// A closing sight gives the observed elevation, a backsight the known
			// elevation of its point.
			switch {
			case s.Kind != survey.Back && b.Adjust != survey.LeastSquares:
				p.Z = hi[s.Setup] + s.Correction - s.Reading
			case s.Kind != survey.Back || math.IsNaN(p.Z):
				p.Z = s.Elevation
			}
		}
		b.RiseFall = b.RiseFall || f.of[isRise] != nil || f.of[isFall] != nil
		b.FeetInches = b.FeetInches || f.up.feetInches
		b.Faults = append(b.Faults, f.audit(hi, part)...)
		f.s.Book, f.s.Relative = b, b.Relative
	}
	return nil
}

// makeCheck makes a floor point a check shot: it ties a set-up, and its first sight, from
// another set-up, is the shot of the floor.
func (f *shots) makeCheck(i int) {
	if f.roles == nil {
		f.roles = make([]survey.Role, len(f.pts))
	}
	if f.roles[i] == survey.Floor {
		f.roles[i] = survey.Control
		f.note(survey.Assumed, f.pts[i].At(), "%sseen before from another set-up: a check, not a second shot of the floor", survey.Label(f.pts[i]))
	}
}

// audit compares the figures that the book has computed itself with the sights. It
// returns an error for each difference above 0.51 mm, up to mostErrors.
func (f *Reader) audit(hi map[string]float64, sights []survey.Sight) []*survey.Error {
	const same = 0.00051 // m; books are kept to the millimetre
	var errs []*survey.Error
	booked := map[int]float64{} // elevations before any adjustment
	for i, s := range sights {
		if _, ok := booked[f.sighted[i]]; !ok || s.Kind != survey.Back {
			booked[f.sighted[i]] = s.Elevation - s.Correction
		}
	}
	for _, b := range f.booked {
		want := 0.0
		switch {
		case b.isHI:
			want = hi[b.setup]
		case b.step && b.pt == 0:
			continue
		case b.step:
			want = booked[b.pt] - booked[b.pt-1]
			if b.value < 0 {
				want, b.value = -want, -b.value
			}
		default:
			want = booked[b.pt]
		}
		if math.Abs(want-b.value) <= same || len(errs) >= mostErrors {
			continue
		}
		u := b.column.unit.Metres()
		c := survey.Contradiction{Sights: strconv.FormatFloat(want/u, 'f', 3, 64)}
		errs = append(errs, &survey.Error{Pos: b.at, Element: b.column.String(), Found: strconv.Quote(b.text),
			Want: c.Error(), Err: c})
	}
	return errs
}

package text

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// sheetMark is a line of a sheet that is not a row of it: a height of instrument, or a
// reading on a benchmark.
type sheetMark struct {
	n                  int
	name               string
	reading, elevation string // as written; HI: elevation is the height of instrument
}

var (
	elevationWord = regexp.MustCompile(`(?i)^(?:elevation|elev|el|rl|level|at|z)\b[ .:=]*(.+)$`)
	readingWord   = regexp.MustCompile(`(?i)^(?:rod|staff|reading|read|rdg|bs|backsight)\b[ .:=]*(.+)$`)
)

// benchmarkLine reads a line such as BM,1.500,10.000: a reading on a benchmark and its
// elevation, in this order unless words or an equals sign show another.
func benchmarkLine(n int, text string, cells []string) (sheetMark, bool) {
	name := strings.TrimSpace(cells[0])
	rest := cells[1:]
	equals := false
	if i := strings.IndexAny(name, "=:"); i > 0 {
		equals = true
		rest = append([]string{name[i+1:]}, rest...)
		name = strings.TrimSpace(name[:i])
	}
	if len(rest) == 1 {
		rest = strings.FieldsFunc(rest[0], func(r rune) bool { return r == ',' && strings.Contains(text, ".") || r == ';' })
	}
	if !isMark(name) {
		return sheetMark{}, false
	}
	m := sheetMark{n: n, name: name}
	var bare []string
	for _, c := range rest {
		c = strings.TrimSpace(strings.Trim(c, "=: "))
		if _, isUnit := unit.ParseLength(c); c == "" || isUnit {
			continue
		}
		if w := elevationWord.FindStringSubmatch(c); w != nil {
			m.elevation = w[1]
		} else if w := readingWord.FindStringSubmatch(c); w != nil {
			m.reading = w[1]
		} else {
			bare = append(bare, c)
		}
	}
	for _, c := range bare {
		switch {
		case m.elevation == "" && (equals || m.reading != ""):
			m.elevation = c
		case m.reading == "":
			m.reading = c
		case m.elevation == "":
			m.elevation = c
		}
	}
	return m, true
}

// readMark is a reading on a benchmark beside a sheet.
type readMark struct {
	name   string
	at     survey.Pos
	rod, z float64 // m; z is NaN if not known
	text   string
}

// sheetMove reads a line among the rows of a sheet that records a move of the instrument.
func (f *table) sheetMove(n int, text string) (banner, bool, error) {
	if note, isNote := commentMark(text); isNote {
		text = note
	}
	if !bannerHint.MatchString(text) {
		return banner{}, false, nil
	}
	cells, hi := f.bannerCells(strings.Trim(text, "#,;\t| "))
	b := banner{line: n, hi: hi}
	var all []string
	figures := 0
	for _, c := range cells {
		all = append(all, c.text)
		if looksNumeric(c.text) {
			figures++
		}
	}
	b.text = strings.Join(all, " ")
	name, _, ok := matchBanner(b.text)
	if !ok {
		name, ok = f.lone(cells)
	}
	if !ok {
		return b, false, nil
	}
	b.name = name
	if len(cells) > 1 && shortLabel.MatchString(cells[1].text) && looksNumeric(cells[1].text) {
		figures-- // SETUP,2
	}
	if figures > 0 {
		return b, false, &survey.Error{Pos: f.at(n), Found: strconv.Quote(b.text) + " with figures beside it", Want: "a set-up that begins on a row of its own", Hint: askBanner}
	}
	return b, true, nil
}

// beginSheetSetups makes the set-ups of a file of sheets: the first, and one for each
// move.
func (f *Reader) beginSheetSetups(moves []banner) {
	f.setups = []setup{{name: "1", hi: math.NaN()}}
	for i, m := range moves {
		name := m.name
		if name == "" {
			name = strconv.Itoa(i + 2)
		}
		f.setups = append(f.setups, setup{name: f.freeName(name, f.at(m.line), i+1), at: f.at(m.line), hi: math.NaN()})
	}
}

// setupAt returns the index of the set-up from which a line was read.
func (f *Reader) setupAt(line int) int {
	n := 0
	for n+1 < len(f.setups) && f.setups[n+1].at.Line < line {
		n++
	}
	return n
}

// instrumentOfSheet takes the heights of instrument and the readings on benchmarks from
// the lines beside a sheet. Elevations of the options overrule those of the file.
func (f *Reader) instrumentOfSheet(marks []sheetMark, value *column) error {
	read := func(m sheetMark, text string) (float64, error) {
		v, err := f.num.length(value, text)
		if err != nil {
			return 0, (&survey.Error{Pos: f.at(m.n), Element: m.name, Found: strconv.Quote(text), Want: err.Error(), Err: err}).Hinting(unitHint(err))
		}
		return v, nil
	}
	for _, m := range marks {
		z := math.NaN()
		if m.elevation != "" {
			if err := f.elevationInMillimetres(m, value); err != nil {
				return err
			}
			var err error
			if z, err = read(m, m.elevation); err != nil {
				return err
			}
		}
		switch u := &f.setups[f.setupAt(m.n)]; {
		case m.name == "HI" && u.at.Line > 0:
			if !math.IsNaN(u.hi) && u.hi != z {
				return &survey.Error{Pos: f.at(m.n), Element: "height of instrument", Found: f.show(z), Want: fmt.Sprintf("one for a set-up; %s is given at %s", f.show(u.hi), u.hiAt)}
			}
			u.hi, u.hiAt = z, f.at(m.n)
		case m.name == "HI":
			f.setHI(z, f.at(m.n))
		case m.reading == "":
			f.note(survey.Warning, f.at(m.n), "%s: no reading on it, so it is not used", m.name)
		default:
			v, err := read(m, m.reading)
			if err != nil {
				return err
			}
			f.sheetRead = append(f.sheetRead, readMark{m.name, f.at(m.n), v, z, m.reading})
		}
	}
	var rows []spelling
	for i := range f.sheetRead {
		m := &f.sheetRead[i]
		rows = append(rows, spelling{f: f, p: survey.Point{X: math.NaN(), Y: math.NaN()}.With(survey.Tag{Name: m.name, At: m.at}), mark: true, given: !math.IsNaN(m.z), names: []*string{&m.name}})
	}
	if err := sameMarks(rows, f.o.Benchmarks); err != nil {
		return err
	}
	for i := range f.sheetRead {
		m := &f.sheetRead[i]
		f.s.Served.Stated = append(f.s.Served.Stated, survey.Benchmark{Name: m.name, Elevation: m.z, At: m.at})
		for name, asked := range f.o.Benchmarks {
			if strings.EqualFold(name, m.name) {
				m.z = asked
			}
		}
		f.s.Served.Marks = append(f.s.Served.Marks, m.name)
	}
	return nil
}

// elevationInMillimetres refuses an elevation with decimals and no unit beside a sheet in
// mm: crews write readings in mm and elevations in metres. An elevation in the options
// overrules it.
func (f *table) elevationInMillimetres(m sheetMark, value *column) error {
	text, err := f.num.ascii(m.elevation)
	if err != nil || value.unit != unit.Millimetre || !plainNumber(m.elevation) || !strings.Contains(text, ".") {
		return nil
	}
	for name := range f.o.Benchmarks {
		if strings.EqualFold(name, m.name) {
			return nil
		}
	}
	e := &survey.Error{Pos: f.at(m.n), Element: m.name, Found: fmt.Sprintf("%q beside a sheet in mm", m.elevation), Want: "to know whether that elevation is in metres or in mm", Hint: fmt.Sprintf("%s = %s m, or the same in mm", m.name, text)}
	if m.reading != "" {
		e = e.Hinted("%s,%s mm,%s m, or %s", m.name, m.reading, text, unit.Ask("benchmark", m.name+"="+text+"m"))
	}
	return e
}

// sheetHeight gives sheets of rod readings their height of instrument. If several
// readings give one, or the instrument was moved, it makes a level book, which must
// close.
func (f *Reader) sheetHeight(moves []banner) error {
	known, names, again := 0, map[string]bool{}, false
	for _, m := range f.sheetRead {
		if !math.IsNaN(m.z) {
			known++
		}
		key := strings.ToUpper(m.name)
		again = again || names[key]
		names[key] = true
	}
	moved := false
	for i := range f.pts {
		moved = moved || f.setupAt(f.pts[i].At().Line) != f.setupAt(f.pts[0].At().Line)
	}
	for i, m := range moves {
		if f.manner == byRod {
			f.note(survey.Assumed, f.at(m.line), "%q: set-up %s begins here", m.text, f.setups[i+1].name)
		} else {
			f.note(survey.Assumed, f.at(m.line), "%q: skipped; the heights of this sheet are from no set-up", m.text)
		}
	}
	if f.manner == byRod && (moved || again || known > 1 || known > 0 && f.hasHI) {
		return f.sheetBook()
	}
	for _, m := range f.sheetRead {
		if math.IsNaN(m.z) {
			f.note(survey.Warning, m.at, "reading on %s: its elevation is not known, so it is not used", m.name)
			continue
		}
		f.note(survey.Assumed, m.at, "%s read %s at elevation %s", m.name, m.text, f.show(m.z))
		f.setHI(m.z+m.rod, m.at)
	}
	return nil
}

// sheetBook turns the readings of sheets and on the benchmarks beside them into sights.
func (f *Reader) sheetBook() error {
	if f.hasHI {
		f.setups[0].hi = f.hi
	}
	for _, i := range f.pending {
		at := f.pts[i].At().Line
		f.listRods = append(f.listRods, rodRow{pt: i, setup: f.setupAt(at), rod: -f.pts[i].Z, given: math.NaN(), dist: math.NaN(), text: f.readings[i].Text, at: at})
	}
	for _, m := range f.sheetRead {
		f.loose = append(f.loose, survey.Point{X: math.NaN(), Y: math.NaN(), Z: math.NaN()}.With(survey.Tag{Name: m.name, At: m.at}))
		f.listRods = append(f.listRods, rodRow{pt: -len(f.loose), setup: f.setupAt(m.at.Line), rod: m.rod, given: m.z, dist: math.NaN(), text: m.text, role: survey.Control, at: m.at.Line})
	}
	slices.SortStableFunc(f.listRods, func(a, b rodRow) int { return a.at - b.at })
	return f.toBook()
}

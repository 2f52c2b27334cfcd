package survey

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey/unit"
)

// Grid says where the crossings of a grid lie, whose lines are letters one way and
// numbers the other. The zero value asks the file for everything.
type Grid struct {
	LetterStep, NumberStep float64               // m, from A to B and from 1 to 2; 0: the sheet says
	Origins                map[string][2]float64 // of A1 of a sheet, m, by the text in its corner or the name of its file, in upper case; "" is any sheet. Without: 0, 0
	Bearings               *GridBearings         // nil: the sheet's heads are distances to the east and north
	Values                 Measure               // what the cells hold; see HasValues
	HasValues              bool
	OthersToo              bool // Origins are also of sheets in files that are read apart; see [Survey.Sheets]
}

// GridBearings are the directions in which the lines of a grid are counted, in
// degrees clockwise from north (+y).
type GridBearings struct{ Letters, Numbers float64 }

var spacingLine = regexp.MustCompile(`(?i)^\W*(?:grid )?(?:spacing|step)\s*[:=]?\s*(\d.*)$`)

// longestRod is more than any rod is long, m; 25 ft is the longest in common use
// (common practice, no source).
const longestRod = 7.7

// cellName is the name of a crossing: letters and a number, in either order.
var cellName = regexp.MustCompile(`^(?:([A-Za-z]{1,2})[ .-]?(\d{1,3})|(\d{1,3})[ .-]?([A-Za-z]{1,2}))$`)

// crossing reads the name of a crossing.
func crossing(name string) (letters string, number int, ok bool) {
	m := cellName.FindStringSubmatch(strings.TrimSpace(name))
	if m == nil {
		return "", 0, false
	}
	letters = strings.ToUpper(m[1] + m[4])
	if _, isCode := DefaultCodes[letters]; isCode || letters == "HI" || letters == "P" && m[1] == "" {
		return "", 0, false
	}
	number, err := strconv.Atoi(m[2] + m[3])
	return letters, number, err == nil
}

// letterIndex counts A as 0, Z as 25, AA as 26. Where skips is set the letters I
// and O are not counted, as is the custom of building grids.
func letterIndex(letters string, skips bool) int {
	n := 0
	for _, r := range letters {
		d := int(r-'A') + 1
		if base := 26; !skips {
			n = n*base + d
			continue
		}
		if r > 'O' {
			d--
		}
		if r > 'I' {
			d--
		}
		n = n*24 + d
	}
	return n - 1
}

// skipsLetters reports whether names leave out I and O although they go beyond I.
func skipsLetters(letters []string) bool {
	beyond := false
	for _, l := range letters {
		if strings.ContainsAny(l, "IO") {
			return false
		}
		beyond = beyond || l > "I" && len(l) == 1
	}
	return beyond
}

// at returns the place of a crossing a metres along the letters and b along the
// numbers from the origin of a sheet in a file.
func (g Grid) at(file, sheet string, a, b float64) (x, y float64) {
	turn := GridBearings{90, 0}
	if g.Bearings != nil {
		turn = *g.Bearings
	}
	o := g.Origins[""]
	for _, name := range append([]string{strings.ToUpper(sheet)}, fileNames(file)...) {
		if at, ok := g.Origins[name]; ok && name != "" {
			o = at
			break
		}
	}
	ux, uy := heading(turn.Letters)
	vx, vy := heading(turn.Numbers)
	return o[0] + float64(a*ux) + float64(b*vx), o[1] + float64(a*uy) + float64(b*vy)
}

// heading returns the unit vector of a bearing, exactly for the four winds: on a
// grid they decide whether places are whole decimals.
func heading(bearing float64) (x, y float64) {
	switch math.Mod(math.Mod(bearing, 360)+360, 360) {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	}
	s, c := math.Sincos(bearing * math.Pi / 180)
	return s, c
}

// gridNamed reports whether rows without plan columns get their place from their
// names.
func (f *textReader) gridNamed() bool { return f.o.Grid.LetterStep > 0 && f.of[isX] == nil }

// placeByName gives p the place that its name has on the grid.
func (f *textReader) placeByName(p *Point) bool {
	letters, number, ok := crossing(p.Name)
	if !ok {
		return false
	}
	f.s.Served.Grid = true
	g := f.o.Grid
	p.X, p.Y = g.at(f.name, "", float64(letterIndex(letters, false))*g.LetterStep, float64(number-1)*g.NumberStep)
	return true
}

// askGrid is the error for what cannot be told of a grid.
func askGrid(at Pos, found, want, hint string) error {
	return &Error{Pos: at, Element: "grid", Found: found, Want: want, Hint: hint}
}

const askNumbers = "--grid-numbers north or --grid-numbers south (or east, west, a bearing)"

// mustTurn asks for the directions where letters and numbers name the lines.
func (f *textReader) mustTurn(at Pos) error {
	if f.o.Grid.Bearings != nil {
		return nil
	}
	return askGrid(at, "lines A, B, C … and 1, 2, 3 …", "the direction in which the numbers are counted; the other direction mirrors the floor", askNumbers)
}

// sheet is one plan-like table of readings.
type sheet struct {
	name    string
	head    line
	cells   []string // of the head, the corner left off
	rows    []line
	letters bool // across are letters
	numbers bool // across are numbers of lines
}

// sheets reads a file of grid sheets.
func (f *textReader) sheets() error {
	m, g := f.form, f.o.Grid
	f.s.Delimiter, f.s.Order = f.delimiter(), "grid sheet"
	f.s.Served.Grid = true
	value := &column{head: "cell", unit: f.o.Unit}
	spacing := &column{head: "Spacing", unit: f.o.Unit}
	f.layout = &layout{columns: []*column{value}, of: map[role]*column{}}
	f.up = value
	var all []sheet
	var steps []string
	var stepsAt Pos
	var marks []sheetMark
	var moves []banner
	var says string
	for n, text := range enumerate(f.text.body) {
		t := strings.TrimSpace(text)
		if t == "" || isRule(t) || strings.Trim(t, ",;\t| ") == "" {
			continue
		}
		isNote := isComment(t, m.sep, m.fields)
		if len(all) > 0 {
			switch move, ok, err := f.sheetMove(n, t); {
			case err != nil:
				return err
			case ok:
				moves = append(moves, move)
				if move.hi != "" {
					marks = append(marks, sheetMark{n: n, name: "HI", elevation: move.hi})
				}
				continue
			}
		}
		if isNote {
			t, _ = commentMark(t)
		}
		cells := m.gridCells(text)
		if hi, ok := statedHI(t); ok {
			marks = append(marks, sheetMark{n: n, name: "HI", elevation: hi})
			continue
		}
		if s := spacingLine.FindStringSubmatch(t); s != nil {
			cells = append([]string{"spacing"}, strings.FieldsFunc(s[1], func(r rune) bool { return r == ',' || r == ';' || r == 'x' || r == '×' })...)
		}
		if u, fi, last, ok := statedUnit(t); ok {
			value.unit, value.feetInches, value.last, value.stated = u, fi, last, true
			continue
		}
		if isNote {
			f.note(Assumed, f.at(n), "comment passed over: %s", strings.TrimSpace(t))
			continue
		}
		word := headForm(cells[0])
		one, ok := sheetHead(cells, n, text)
		switch {
		case ok && one.letters && word == "grid": // the corner of a sheet
		case word == "spacing" || word == "grid" || word == "grid spacing" || word == "step":
			for _, c := range cells[1:] {
				c = strings.TrimSpace(strings.Trim(c, "=: "))
				if u, ok := unit.ParseLength(c); ok {
					spacing.unit, spacing.stated = u, true
				} else if looksNumeric(c) {
					steps = append(steps, c)
				}
			}
			stepsAt = f.at(n)
			continue
		}
		if one, ok := benchmarkLine(n, t, cells); ok && len(cells)+strings.Count(t, "=")+strings.Count(t, ":") > 1 {
			marks = append(marks, one)
			continue
		}
		if one, ok := sheetHead(cells, n, text); ok && (len(all) == 0 || one.letters == all[len(all)-1].letters && !regexpLetters.MatchString(cells[0])) {
			one.name = f.corner0(cells[0], value, &says)
			all = append(all, one)
			continue
		}
		if len(all) == 0 {
			says += " " + strings.ToLower(t)
			f.note(Assumed, f.at(n), "line before the sheet passed over: %s", strings.TrimRight(t, " ,;\t"))
			continue
		}
		last := &all[len(all)-1]
		last.rows = append(last.rows, line{n, text})
		f.form.content = append(f.form.content, line{n, text})
	}
	if len(all) == 0 {
		return &Error{Pos: f.at(1), Found: "a grid sheet without the row that heads it", Want: "a row of letters, of numbers or of distances above the readings"}
	}
	f.layout.pos = f.at(all[0].head.n)
	var cells [][]string
	for _, s := range all {
		for _, r := range s.rows {
			for _, c := range m.gridCells(r.text)[1:] {
				cells = append(cells, []string{c})
			}
		}
	}
	f.feetAndInches(cells, []*column{value})
	if err := f.resolve(spacing.unit, value.unit); err != nil {
		return err
	}
	g = f.o.Grid
	for _, s := range all {
		if s.name != "" {
			f.sheetNames = append(f.sheetNames, s.name)
		}
	}
	f.s.Headed, f.s.Unit, f.s.Plan = true, value.unit, spacing.unit
	if f.s.Plan == unit.None {
		f.s.Plan = value.unit
	}
	var d decimalSigns
	for _, s := range all {
		for _, r := range s.rows {
			for _, c := range m.gridCells(r.text)[1:] {
				if looksNumeric(c) {
					d.see(c)
				}
			}
		}
	}
	var ok bool
	if f.num, ok = d.decide(m.sep); !ok {
		return &Error{Pos: f.pos, Found: strconv.Quote(d.example), Want: "numbers that show whether the sign is decimal or groups thousands", Hint: "save the file with decimal points and without thousands"}
	}
	// The step between lines.
	if g.LetterStep == 0 && len(steps) > 0 {
		for i, text := range steps[:min(2, len(steps))] {
			v, err := f.num.length(spacing, text)
			if err != nil || v <= 0 {
				return askGrid(stepsAt, strconv.Quote(text), "a spacing with its unit", unitHint(err))
			}
			if g.NumberStep = v; i == 0 {
				g.LetterStep = v
			}
		}
	}
	if len(all) > 1 {
		if err := f.mustKnowOrigins(all); err != nil {
			return err
		}
	}
	if f.data = nil; f.pts == nil {
		f.pts = []Point{}
	}
	for i := range all {
		if err := f.sheet(&all[i], g, len(all) > 1, value); err != nil {
			return err
		}
	}
	if len(f.errs) > 0 {
		return joined(f.errs)
	}
	f.tellFeet([]*column{value})
	f.beginSheetStands(moves)
	if err := f.instrumentOfSheet(marks, value); err != nil {
		return err
	}
	if err := f.meaningOfCells(says, len(f.sheetRead) > 0); err != nil {
		return err
	}
	return f.sheetHeight(moves)
}

// gridCells cuts a line of a sheet, less the empty column that some are exported
// with on the left.
func (m *form) gridCells(text string) []string {
	cells, _ := m.gridCellsAt(text)
	return cells
}

// gridCellsAt is gridCells with the column of the line, in bytes from 1, where each
// cell begins.
func (m *form) gridCellsAt(text string) (cells []string, at []int) {
	line := strings.TrimLeft(text, " \f\v")
	cells, at = splitAt(strings.TrimRight(line, " \f\v"), m.sep)
	for i := range at {
		at[i] += len(text) - len(line) + 1
	}
	if m.indented && len(cells) > 1 && cells[0] == "" {
		return cells[1:], at[1:]
	}
	return cells, at
}

// enumerate yields the lines of body with their numbers.
func enumerate(body []byte) func(func(int, string) bool) {
	return func(yield func(int, string) bool) { lines(body, yield) }
}

// corner0 reads the corner cell: a unit, a word for what the cells hold, or the
// name of the sheet.
func (f *textReader) corner0(text string, value *column, says *string) string {
	t := strings.TrimSpace(text)
	if u, fi, last, ok := unitWords(strings.Trim(t, "()[] ")); ok {
		value.unit, value.feetInches, value.last, value.stated = u, fi, last, true
		return ""
	}
	if c := readHead(0, t); c.role == isRod || c.role == isZ || c.role == isLow {
		*says += " " + headForm(t)
		if c.stated {
			value.unit, value.feetInches, value.last, value.stated = c.unit, c.feetInches, c.last, true
		}
		return ""
	}
	return t
}

// sheetHead reports whether cells head a sheet: letters, numbers of lines or
// growing distances across.
func sheetHead(cells []string, n int, text string) (sheet, bool) {
	for len(cells) > 0 && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	if len(cells) < 3 || looksNumeric(cells[0]) {
		return sheet{}, false
	}
	s := sheet{head: line{n, text}, cells: cells[1:], letters: true, numbers: true}
	growing := true
	before := math.Inf(-1)
	last := -1
	for i, c := range s.cells {
		if k := letterIndex(strings.ToUpper(c), false); !regexpLetters.MatchString(c) || k <= last || k > last+3 && i > 0 {
			s.letters = false
		} else {
			last = k
		}
		v, err := strconv.ParseFloat(strings.Replace(c, ",", ".", 1), 64)
		if err != nil || v <= before {
			growing, s.numbers = false, false
		}
		if err == nil && v != float64(i)+math.Round(v-float64(i)) || err == nil && i > 0 && v != before+1 {
			s.numbers = false
		}
		before = v
	}
	// 1, 2, 3 across may be distances too: they are lines if letters go down.
	return s, s.letters || growing
}

var regexpLetters = regexp.MustCompile(`^[A-Za-z]{1,2}$`)

// mustKnowOrigins refuses sheets that would lie on one another.
func (f *textReader) mustKnowOrigins(all []sheet) error {
	var hint []string
	missing := false
	for i, s := range all {
		_, ok := f.o.Grid.Origins[strings.ToUpper(s.name)]
		missing = missing || !ok || s.name == ""
		hint = append(hint, fmt.Sprintf("--grid-origin \"%s=%d,0\"", s.name, i*10))
	}
	if !missing {
		return nil
	}
	return askGrid(f.at(all[1].head.n), fmt.Sprintf("cells given on lines %d and %d", all[0].head.n+1, all[1].head.n+1),
		"an origin for each sheet, where its A1 is", strings.Join(hint, " "))
}

// sheet reads the cells of one sheet.
func (f *textReader) sheet(s *sheet, g Grid, several bool, value *column) error {
	one := Sheet{Name: s.name, File: f.name}
	one.Origin[0], one.Origin[1] = g.at(f.name, s.name, 0, 0)
	f.s.Sheets = append(f.s.Sheets, one)
	first := ""
	if len(s.rows) > 0 {
		first = f.form.gridCells(s.rows[0].text)[0]
	}
	if s.numbers && !regexpLetters.MatchString(first) {
		s.numbers = false // distances both ways
	}
	lettered := s.letters || s.numbers
	if lettered {
		if g.LetterStep == 0 || g.NumberStep == 0 {
			return f.askSpacing(s, value)
		}
		if err := f.mustTurn(f.at(s.head.n)); err != nil {
			return err
		}
	} else {
		f.note(Assumed, f.at(s.head.n), "heads of the columns read as distances to the east, heads of the rows to the north")
	}
	letters := s.cells
	if s.numbers {
		letters = nil
		for _, r := range s.rows {
			letters = append(letters, strings.ToUpper(f.form.gridCells(r.text)[0]))
		}
	}
	skips := lettered && skipsLetters(letters)
	if skips {
		f.note(Assumed, f.at(s.head.n), "letters I and O are not used: H and J, N and P are neighbours")
	}
	plan := &column{head: "head", unit: value.unit}
	// A spreadsheet ends a row at its last cell, and saves every row with as many;
	// a row that somebody typed one cell short has slid.
	for _, r := range s.rows {
		cells, at := f.form.gridCellsAt(r.text)
		f.line = r.n
		if n := len(cells) - 1; n < len(s.cells) && len(f.errs) < mostErrors {
			f.fail(&Error{Pos: f.at(r.n), Element: "row " + cells[0], Found: fmt.Sprintf("%d of %d cells", n, len(s.cells)), Want: "a cell for every column: one left out shifts those after it",
				Hint: "where nothing was read write a dash"})
			continue
		}
		for i, text := range cells[1:] {
			if i >= len(s.cells) {
				if text != "" {
					f.fail(&Error{Pos: f.at(r.n), Found: fmt.Sprintf("%q past the last column", text), Want: fmt.Sprintf("%d cells", len(s.cells))})
				}
				continue
			}
			p := Point{At: f.at(r.n), Part: s.name}
			p.At.Col = at[i+1]
			if c := f.o.cells; c != nil {
				if p.At.Col = c.left + i + 2; f.form.indented {
					p.At.Col++
				}
			}
			var a, b float64
			switch {
			case lettered:
				letter, number := s.cells[i], cells[0]
				if s.numbers {
					letter, number = number, letter
				}
				n, err := strconv.Atoi(number)
				if err != nil || !regexpLetters.MatchString(letter) {
					f.fail(&Error{Pos: f.at(r.n), Element: "row head", Found: strconv.Quote(cells[0]), Want: "a line of the grid, a number beside letters or a letter beside numbers"})
					break
				}
				letter = strings.ToUpper(letter)
				p.Name = letter + number
				a, b = float64(letterIndex(letter, skips))*g.LetterStep, float64(n-1)*g.NumberStep
			default:
				var err1, err2 error
				a, err1 = f.num.length(plan, s.cells[i])
				b, err2 = f.num.length(plan, cells[0])
				if err1 != nil || err2 != nil {
					f.fail(&Error{Pos: f.at(r.n), Element: "row head", Found: strconv.Quote(cells[0]), Want: "a distance, as the heads of the columns", Hint: "--units m, or cm, mm, ft, ftUS, in"})
					break
				}
				p.Name = s.cells[i] + "/" + cells[0]
			}
			if several {
				p.Name = s.name + " " + p.Name
			}
			if len(f.errs) >= mostErrors {
				return joined(f.errs)
			}
			f.s.Rows++
			p.X, p.Y = g.at(f.name, s.name, a, b)
			f.cell(p, text, value)
		}
	}
	return nil
}

// cell reads the reading of one crossing.
func (f *textReader) cell(p Point, text string, value *column) {
	if missing(text) {
		why := "no reading"
		if t := strings.TrimSpace(text); t != "" {
			why += fmt.Sprintf(" (%q)", t)
		}
		n := Notef(LeftOut, p.At, "%s%s", label(p), why)
		n.Empty = strings.TrimSpace(text) == ""
		f.s.Notes = append(f.s.Notes, n)
		return
	}
	v, err := f.num.length(value, text)
	if err != nil {
		f.fail(&Error{Pos: p.At, Element: fmt.Sprintf("cell %s", p.Name), Found: strconv.Quote(strings.TrimSpace(text)), Want: err.Error(), Hint: unitHint(err), Err: err})
		return
	}
	if value.feetInches {
		f.takenAsFeet(value, text)
	}
	f.mark(v)
	f.readings = append(f.readings, Reading{Name: p.Name, Text: ungrouped(text), Value: v, Unit: value.unit, FeetInches: value.feetInches, At: p.At})
	p.Z = v
	f.keep(p, Floor)
}

// meaningOfCells works out whether the cells are readings, elevations or depths; read
// is set where benchmarks were read beside them.
func (f *textReader) meaningOfCells(says string, read bool) error {
	g := f.o.Grid
	what, known := g.Values, g.HasValues
	has := func(words ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(says, w) })
	}
	if !known {
		rod, up := has("rod", "staff", "reading"), has("elevation", "elev", "reduced level", " rl", " z")
		down := has("depth", "low ", "below")
		switch {
		case rod && !up && !down:
			what, known = Rod, true
		case up && !rod && !down:
			what, known = Elevation, true
		case down && !rod && !up:
			what, known = Drop, true
		case f.hasHI || read || len(f.o.Benchmarks) > 0:
			what, known = Rod, true
		}
	}
	if !known {
		beyond := len(f.pts) > 0
		for _, p := range f.pts {
			beyond = beyond && p.Z > longestRod
		}
		if !beyond {
			return askGrid(f.pos, "numbers that may be rod readings, elevations or depths", "which of them; taken for the wrong one the floor is upside down", "--grid-values rod, --grid-values elevation or --grid-values depth")
		}
		f.note(Assumed, f.pos, "cells read as elevations: no rod is that long")
	}
	for i := range f.readings {
		f.readings[i].Measure = what
	}
	switch what {
	case Elevation:
		f.manner = byElevation
	case Drop, Deviation:
		f.manner = byDepth
		if what == Drop {
			for i := range f.pts {
				f.pts[i].Z = -f.pts[i].Z
			}
		}
	case Rod:
		f.manner = byRod
		for i := range f.pts {
			f.pts[i].Z = -f.pts[i].Z
			f.pending = append(f.pending, i)
		}
	}
	return nil
}

package text

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// sheet is one grid sheet: readings laid out as on the plan.
type sheet struct {
	name    string
	head    line
	cells   []string // of the head, without the corner
	rows    []line
	letters bool // letters head the columns
	numbers bool // line numbers head the columns
	named   bool // columns and rows are headed by a name and a distance, "A = 100 mm"
	origin  *sheetOrigin
}

// gridFile sorts the lines of a file of grid sheets into sheets and the lines beside
// them.
type gridFile struct {
	f     *Reader
	value *column // what the cells hold
	all   []sheet

	spacing *column
	steps   []string // the spacing of lines, as written
	stepsAt survey.Pos
	origin  *sheetOrigin // of the next sheet

	marks   []sheetMark
	moves   []banner
	wording string // text that may state what the cells hold
}

// sheets reads a file of grid sheets.
func (f *Reader) sheets() error {
	f.s.Delimiter, f.s.Order = f.delimiter(), "grid sheet"
	f.s.Served.Grid, f.s.GridCells = true, true
	s := &gridFile{f: f, value: &column{head: "cell", unit: f.o.Unit}, spacing: &column{head: "Spacing", unit: f.o.Unit}}
	f.layout = &layout{columns: []*column{s.value}, of: map[role]*column{}}
	f.up = s.value
	for n, text := range enumerate(f.text.body) {
		if err := s.line(n, text); err != nil {
			return err
		}
	}
	if len(s.all) == 0 {
		return &survey.Error{Pos: f.at(1), Found: "a grid sheet without the row that heads it", Want: "a row of letters, of numbers or of distances above the readings"}
	}
	f.layout.pos = f.at(s.all[0].head.n)
	if err := s.units(); err != nil {
		return err
	}
	g, err := s.lineSteps(f.o.Grid)
	if err != nil {
		return err
	}
	if s.origin != nil {
		return &survey.Error{Pos: s.origin.at, Element: "origin", Found: "no sheet below it", Want: "the origin of a sheet above the row that heads it"}
	}
	if len(s.all) > 1 {
		if err := f.requireOrigins(s.all); err != nil {
			return err
		}
	}
	if f.data = nil; f.pts == nil {
		f.pts = []survey.Point{}
	}
	for i := range s.all {
		if err := f.sheet(&s.all[i], g, len(s.all) > 1, s.value); err != nil {
			return err
		}
	}
	if len(f.errs) > 0 {
		return survey.JoinErrors(f.errs)
	}
	f.noteFeet([]*column{s.value})
	f.beginSheetSetups(s.moves)
	if err := f.instrumentOfSheet(s.marks, s.value); err != nil {
		return err
	}
	if err := f.meaningOfCells(s.wording, len(f.sheetRead) > 0, s.value); err != nil {
		return err
	}
	return f.sheetHeight(s.moves)
}

// line reads one line of the file.
func (s *gridFile) line(n int, text string) error {
	f, m := s.f, s.f.form
	t := strings.TrimSpace(text)
	if t == "" || isRule(t) || strings.Trim(t, ",;\t| ") == "" {
		return nil
	}
	isNote := isComment(t, m.sep, m.fields)
	if len(s.all) > 0 {
		if move, ok, err := f.sheetMove(n, t); err != nil {
			return err
		} else if ok {
			s.move(move)
			return nil
		}
	}
	if isNote {
		t, _ = commentMark(t)
	}
	if hi, ok := statedHI(t); ok {
		s.marks = append(s.marks, sheetMark{n: n, name: "HI", elevation: hi})
		return nil
	}
	if u, fi, last, ok := statedUnit(t); ok {
		s.value.unit, s.value.feetInches, s.value.last, s.value.stated = u, fi, last, true
		return nil
	}
	if isNote {
		f.note(survey.Assumed, f.at(n), "skipped comment: %s", strings.TrimSpace(t))
		return nil
	}
	cells := m.gridCells(text)
	if in := spacingLine.FindStringSubmatch(t); in != nil {
		cells = append([]string{"spacing"}, strings.FieldsFunc(in[1], func(r rune) bool { return r == ',' || r == ';' || r == 'x' || r == '×' })...)
	}
	s.row(line{n, text}, t, cells)
	return nil
}

func (s *gridFile) move(b banner) {
	s.moves = append(s.moves, b)
	if b.hi != "" {
		s.marks = append(s.marks, sheetMark{n: b.line, name: "HI", elevation: b.hi})
	}
}

// row reads a line of cells: a spacing, a reading on a benchmark, the head of a sheet or
// a row below it. t is the text of the line without outer blanks.
func (s *gridFile) row(l line, t string, cells []string) {
	f := s.f
	word := headForm(cells[0])
	one, heads := sheetHead(cells, l.n, l.text)
	switch {
	case heads && (one.named || one.letters && word == "grid"): // the corner of a sheet
	case word == "origin" || word == "grid origin":
		s.origin = &sheetOrigin{at: f.at(l.n), cells: cells[1:]}
		return
	case word == "spacing" || word == "grid" || word == "grid spacing" || word == "step":
		s.step(cells[1:])
		s.stepsAt = f.at(l.n)
		return
	}
	if mark, ok := benchmarkLine(l.n, t, cells); ok && !one.named && len(cells)+strings.Count(t, "=")+strings.Count(t, ":") > 1 {
		s.marks = append(s.marks, mark)
		return
	}
	if heads && (len(s.all) == 0 || one.named || one.letters == s.all[len(s.all)-1].letters && !regexpLetters.MatchString(cells[0])) {
		one.name = f.readCorner(cells[0], s.value, &s.wording)
		one.origin, s.origin = s.origin, nil
		s.all = append(s.all, one)
		return
	}
	if len(s.all) == 0 {
		s.wording += " " + strings.ToLower(t)
		f.note(survey.Assumed, f.at(l.n), "skipped line before the sheet: %s", strings.TrimRight(t, " ,;\t"))
		return
	}
	last := &s.all[len(s.all)-1]
	last.rows = append(last.rows, l)
	f.form.content = append(f.form.content, l)
}

// step reads the numbers and the unit of a line that gives the spacing.
func (s *gridFile) step(cells []string) {
	for _, c := range cells {
		c = strings.TrimSpace(strings.Trim(c, "=: "))
		if u, ok := unit.ParseLength(c); ok {
			s.spacing.unit, s.spacing.stated = u, true
		} else if looksNumeric(c) {
			s.steps = append(s.steps, c)
		}
	}
}

// units sets the units of the readings and of the plan, and the decimal sign.
func (s *gridFile) units() error {
	f := s.f
	var readings [][]string
	var d decimalSigns
	for _, one := range s.all {
		for _, r := range one.rows {
			for _, c := range f.form.gridCells(r.text)[1:] {
				readings = append(readings, []string{c})
				if looksNumeric(c) {
					d.see(c)
				}
			}
		}
	}
	f.feetAndInches(readings, []*column{s.value})
	if err := f.resolve(s.spacing.unit, s.value.unit); err != nil {
		return err
	}
	for _, one := range s.all {
		if one.name != "" {
			f.sheetNames = append(f.sheetNames, one.name)
		}
	}
	f.s.Headed, f.s.Unit, f.s.Plan = true, s.value.unit, s.spacing.unit
	if f.s.Plan == unit.None {
		f.s.Plan = s.value.unit
	}
	var ok bool
	if f.num, ok = d.decide(f.form.sep); !ok {
		return &survey.Error{Pos: f.pos, Found: strconv.Quote(d.example), Want: "numbers that show whether the sign is decimal or groups thousands", Hint: "save the file with decimal points and without thousands"}
	}
	return nil
}

// lineSteps returns g with the spacing of the file, m, unless the options give one.
func (s *gridFile) lineSteps(g survey.Grid) (survey.Grid, error) {
	if g.LetterStep != 0 {
		return g, nil
	}
	for i, text := range s.steps[:min(2, len(s.steps))] {
		v, err := s.f.num.length(s.spacing, text)
		if err != nil || v <= 0 {
			return g, askGrid(s.stepsAt, strconv.Quote(text), "a spacing with its unit", unitHint(err))
		}
		if g.NumberStep = v; i == 0 {
			g.LetterStep = v
		}
	}
	return g, nil
}

// readCorner reads the corner cell: a unit, a word for what the cells hold, or the name
// of the sheet, which it returns.
func (f *dialect) readCorner(text string, value *column, wording *string) string {
	t := strings.TrimSpace(text)
	if u, fi, last, ok := unitWords(strings.Trim(t, "()[] ")); ok {
		value.unit, value.feetInches, value.last, value.stated = u, fi, last, true
		return ""
	}
	if c := readHead(0, t); c.role == isRod || c.role == isZ || c.role == isLow {
		*wording += " " + headForm(t)
		if c.stated {
			value.unit, value.feetInches, value.last, value.stated = c.unit, c.feetInches, c.last, true
		}
		return ""
	}
	return t
}

// sheetHead parses the head of a sheet and reports whether cells are one: letters, line
// numbers or increasing distances.
func sheetHead(cells []string, n int, text string) (sheet, bool) {
	for len(cells) > 0 && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	if len(cells) < 3 || looksNumeric(cells[0]) {
		return sheet{}, false
	}
	if s, ok := namedHead(cells, line{n, text}); ok {
		return s, true
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
	// 1, 2, 3 can be distances too: they are line numbers if letters head the rows.
	return s, s.letters || growing
}

// requireOrigins returns an error if several sheets of a file would be on the same place.
func (f *dialect) requireOrigins(all []sheet) error {
	var hint []unit.Text
	missing := false
	for i, s := range all {
		_, ok := f.o.Grid.Origins[strings.ToUpper(s.name)]
		missing = missing || (!ok || s.name == "") && s.origin == nil
		hint = append(hint, askOrigin(fmt.Sprintf("%s=%d,0", s.name, i*10)))
	}
	if !missing {
		return nil
	}
	return askGrid(f.at(all[1].head.n), fmt.Sprintf("cells given on lines %d and %d", all[0].head.n+1, all[1].head.n+1),
		"an origin for each sheet, where its A1 is", unit.Join(hint, " "))
}

// askOrigin returns the hint to give the origin of one of several sheets.
func askOrigin(value string) unit.Text { return unit.Textf("%s", unit.AskQuoted("grid-origin", value)) }

// gridCells cuts a line of a sheet into cells, without the empty column that some exports
// have on the left.
func (m *form) gridCells(text string) []string {
	cells, _ := m.gridCellsAt(text)
	return cells
}

// gridCellsAt is gridCells with the column of the line, in bytes from 1, at which each
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

var regexpLetters = regexp.MustCompile(`^[A-Za-z]{1,2}$`)

package text

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// columns finds what each column holds, from the header or from o.Order.
func (f *table) columns() error {
	m := f.form
	f.s.Delimiter = f.delimiter()
	if f.s.Encoding != "UTF-8" {
		f.note(survey.Assumed, survey.Pos{File: f.name}, "text read as %s", f.s.Encoding)
	}
	if m.sep != ',' && f.cells == nil {
		f.note(survey.Assumed, survey.Pos{File: f.name}, "fields separated by %s", f.s.Delimiter)
	}
	first := f.at(m.first)
	if m.commaTrouble() {
		return &survey.Error{Pos: first, Found: fmt.Sprintf("%d fields", m.fields),
			Want: "fields that decimal commas do not cut; this looks like decimal commas with comma separators",
			Hint: "save the file with semicolons between fields or with decimal points"}
	}
	var columns []*column
	pos := first
	if m.head == nil || m.strange && f.o.Order != "" {
		if f.o.Order == "" {
			return f.askOrder()
		}
		none := "no header: "
		if m.head != nil {
			f.note(survey.Assumed, f.at(m.headLine), "skipped title row: %s", strings.Join(m.head, ", "))
			m.head, none = nil, ""
		}
		var err error
		if columns, err = fromOrder(f.o.Order, m.fields); err != nil {
			return err
		}
		f.note(survey.Assumed, first, "%scolumns read as %s, the given order", none, strings.ToUpper(f.o.Order))
	} else {
		f.s.Headed = true
		pos = f.at(m.headLine)
		for i, h := range m.head {
			columns = append(columns, readHead(i, h))
		}
		// Some books head backsights + (added) and foresights - (subtracted).
		plus, minus := slices.Index(m.head, "+"), slices.IndexFunc(m.head, func(h string) bool { return h == "-" || h == "−" || h == "–" })
		if plus >= 0 && minus >= 0 {
			columns[plus].role, columns[minus].role = isBS, isFS
		}
		if len(m.content) == 0 {
			return &survey.Error{Pos: pos, Found: "a header without rows", Want: "a list of points, one a line"}
		}
	}
	if err := f.stationColumn(pos, columns); err != nil {
		return err
	}
	if err := f.fromWalls(pos, columns); err != nil {
		return err
	}
	f.setupColumn(pos, columns)
	f.shotColumn(columns)
	l, notes, err := resolve(pos, columns, f.o.Order)
	if err != nil {
		return err
	}
	f.layout, f.s.Order, f.s.RodColumn = l, l.order, l.of[isRod] != nil || l.of[isGrade] != nil
	f.s.Served.Order = m.head == nil || l.asked
	f.s.Notes = append(f.s.Notes, notes...)
	if f.o.Order != "" && !f.s.Served.Order { // it may be for another file of the survey; else it is refused
		f.note(survey.Assumed, pos, "the header names the columns: the given order, %s, is not used here", strings.ToUpper(f.o.Order))
	}
	for _, p := range m.preamble {
		if _, hi := statedHI(p.text); hi {
			continue
		}
		what := "skipped line before the header"
		if _, _, _, unit := statedUnit(p.text); unit {
			what = "line before the header gives the unit"
		}
		f.note(survey.Assumed, f.at(p.n), what+": %s", strings.TrimRight(p.text, " ,;\t"))
	}
	return nil
}

// askOrder returns the error for columns without a header and without o.Order.
func (f *dialect) askOrder() error {
	m := f.form
	if err := f.askRunHeads(); err != nil {
		return err
	}
	type guess struct{ a, b string }
	g := guess{"ENZ", "NEZ"}
	row := split(m.content[0].text, m.sep)
	named := len(row) > 3 && !strings.ContainsAny(row[0], ".,")
	switch {
	case f.outline && len(row) == 2:
		g = guess{"EN", "NE"}
	case len(row) >= 5 && named:
		g = guess{"PENZD", "PNEZD"}
	case len(row) == 4 && !looksNumeric(row[3]):
		g = guess{"ENZD", "NEZD"}
	case len(row) == 4 && named:
		g = guess{"PENZ", "PNEZ"}
	}
	figures := 0
	for _, c := range row {
		if strings.ContainsAny(c, "0123456789") {
			figures++
		}
	}
	if len(row) < len(g.a) || figures < min(3, len(g.a)) {
		return &survey.Error{Pos: f.at(m.first), Found: survey.Excerpt(strconv.Quote(m.content[0].text)) + ", no header and no shot", Want: "a survey: a first row that names the columns, and one shot a row",
			Hint: "name them in a first row, such as point,x,y,elevation or point,x,y,rod; put # before a line that is no shot"}
	}
	return (&survey.Error{Pos: f.at(m.first), Found: fmt.Sprintf("%d columns without a header", len(row)),
		Want: "the order of the columns: the numbers do not show whether east or north is first, and a swap mirrors the floor",
	}).Hinted("%s or %s", unit.Ask("order", g.b), unit.Ask("order", g.a))
}

// heights finds the columns that give the height, and sets manner to how they give it.
func (f *Reader) heights() error {
	has := func(r role) bool { return f.of[r] != nil }
	if f.isRuns() {
		return f.runHeights()
	}
	switch {
	case has(isRod) && (has(isSight) || has(isSetup)):
		f.manner, f.up = bySight, f.of[isRod]
	case has(isBS) && (has(isFS) || has(isIS)):
		f.manner, f.up = byBook, f.of[isBS]
	case has(isGrade) && has(isRod):
		f.manner, f.up = byGradeRod, f.of[isRod]
	case has(isRod):
		f.manner, f.up = byRod, f.of[isRod]
	case has(isZ):
		f.manner, f.up = byElevation, f.of[isZ]
	case has(isDiff):
		f.manner, f.up = byDiff, f.of[isDiff]
	case has(isLow):
		f.manner, f.up = byDepth, f.of[isLow]
	case has(isHigh):
		f.manner, f.up = byDepth, f.of[isHigh]
	case f.outline, has(isX) && has(isY) && has(isName):
		f.manner = planOnly
	default:
		return f.NoHeights()
	}
	if f.gridNamed() && !f.outline && !has(isY) {
		return f.askDirections(f.pos)
	}
	if (f.manner == byBook || f.manner == bySight) && !f.outline && has(isX) == has(isY) {
		return nil // a level book without plan columns is used alone or with a list of places
	}
	if !has(isX) || !has(isY) {
		e := &survey.Error{Pos: f.pos, Found: "columns " + f.heads(), Want: "plan columns, headed such as x and y or easting and northing"}
		if slices.ContainsFunc(f.layout.columns, func(c *column) bool { return wallWords.MatchString(headForm(c.head)) }) {
			e.Hint = "for distances from walls, head those from the left (west) wall x and those from the near (south) wall y, seen on the plan"
		}
		if f.manner == byRod && f.outline {
			e.Want = "corners of the outline: " + e.Want
		} else if f.manner == byRod {
			e.Want = "plan positions beside the levels: " + e.Want
			var texts []string
			for _, l := range slices.Concat(f.form.preamble, f.form.comments) {
				texts = append(texts, l.text)
			}
			e = e.Hinted("where names are those of a grid (A1, B7): %s %s", spacingHint(texts, cmp.Or(f.of[isRod].unit, f.o.Unit)), askNumbers)
		}
		return e
	}
	return nil
}

// NoHeights returns the error for a file that has places and no elevations. Its cause is
// [ErrNoHeights].
func (f *Reader) NoHeights() error {
	want := "a column of elevations or rod readings, headed such as elevation, z, level or rod"
	for _, c := range f.layout.columns {
		if c.role == isDesign {
			want = "a column of elevations that were measured; " + c.String() + " is a level to reach"
		}
	}
	e := &survey.Error{Pos: f.pos, Found: "columns " + f.heads(), Want: want, Err: ErrNoHeights,
		Hint: "name the column of heights in line " + strconv.Itoa(f.pos.Line) + ": elevation where more is higher, rod where more is lower, depth for the depth to fill"}
	if f.of[isX] != nil && f.of[isY] != nil {
		return e.AlsoHinted("; corners of the walls go with a survey, as %s", unit.Ask("outline", f.name))
	}
	return e
}

// ErrNoHeights is the cause of an error where a file has places and no elevations. Such a
// file may be an outline.
var ErrNoHeights = errors.New("no elevations")

// ErrNoReadings is the cause where a grid sheet is still to be filled in.
var ErrNoReadings = errors.New("no readings yet")

// heads returns the quoted heads of the columns, or their numbers, for messages.
func (f *table) heads() string {
	var out []string
	for _, c := range f.layout.columns {
		if c.head != "" {
			out = append(out, unit.Quote(c.head))
		} else if c.role != isIgnored {
			out = append(out, fmt.Sprintf("%d", c.index+1))
		}
	}
	return strings.Join(out, ", ")
}

// lengths returns the columns that hold lengths.
func (f *table) lengths() []*column {
	var out []*column
	for _, r := range []role{isX, isY, isZ, isRod, isGrade, isHI, isBS, isIS, isFS, isRise, isFall, isDiff, isLow, isHigh, isDist, isBackDist, isForeDist, isX0, isY0, isX1, isY1, isStep} {
		if c := f.of[r]; c != nil {
			out = append(out, c)
		}
	}
	return out
}

// units gives each column its unit: from its head, the unit row, a line of the
// preamble or a comment, or the options.
func (f *table) units() error {
	m := f.form
	for i, w := range m.units {
		if i < len(f.layout.columns) && !f.layout.columns[i].stated {
			c := f.layout.columns[i]
			c.unit, c.feetInches, c.last, c.stated = unitWords(strings.Trim(w, "()[] "))
		}
	}
	for _, l := range slices.Concat(m.preamble, m.comments) {
		t, comment := commentMark(l.text)
		if !comment {
			t = l.text
		} else if _, hi := statedHI(l.text); !hi && l.n != m.headLine {
			f.note(survey.Assumed, f.at(l.n), "skipped comment: %s", strings.TrimSpace(t))
		}
		if u, fi, last, ok := statedUnit(t); ok {
			for _, c := range f.lengths() {
				if !c.stated {
					c.unit, c.feetInches, c.last, c.stated = u, fi, last, true
				}
			}
		}
	}
	var rows [][]string
	for _, l := range m.content {
		rows = append(rows, split(l.text, m.sep))
	}
	f.feetAndInches(rows, f.lengths())
	fits, all := false, true
	var used []string
	for _, c := range f.lengths() {
		if !c.stated {
			all = false
			if !c.feetInches {
				c.unit = f.o.Unit
			}
			continue
		}
		// A unit of the same system is for bare numbers elsewhere.
		fits = fits || c.unit.Imperial() == f.o.Unit.Imperial()
		if !slices.Contains(used, c.unit.String()) {
			used = append(used, c.unit.String())
		}
	}
	if f.o.Unit != unit.None && all && !fits && !f.outline {
		return (&survey.Error{Pos: f.pos, Found: "columns in " + strings.Join(used, " and "),
			Want: fmt.Sprintf("lengths in %s, the unit asked for: one of the two is wrong", f.o.Unit),
		}).Hinted("%s to take the units of the file", unit.LeaveOut("units"))
	}
	if x := f.of[isX]; x != nil {
		f.s.Plan, f.s.PlanStated, f.s.PlanFeetInches = x.unit, x.stated || x.feetInches, x.feetInches
	}
	if f.up != nil {
		f.s.Unit = f.up.unit
	}
	if err := f.resolve(f.s.Plan, f.s.Unit); err != nil {
		return err
	}
	// The height of instrument may be given before the rows.
	for _, l := range slices.Concat(m.preamble, m.comments) {
		text, ok := statedHI(l.text)
		if !ok || f.of[isRod] == nil || f.o.HasInstrument || l.n >= m.first && f.mayMove() {
			continue
		}
		// The line has its own unit or the unit of the readings, which is known only now.
		// The decimal sign is not known yet.
		v, err := numbers{comma: !strings.Contains(text, ".") && strings.Contains(text, ",")}.length(&column{unit: f.of[isRod].unit}, text)
		if err != nil {
			return (&survey.Error{Pos: f.at(l.n), Element: "height of instrument", Found: strconv.Quote(text), Want: err.Error(), Err: err}).Hinting(unitHint(err))
		}
		if f.hasHI && v != f.hi {
			return &survey.Error{Pos: f.at(l.n), Element: "height of instrument", Found: strconv.Quote(text), Want: "one height of instrument; another was given before, at " + f.hiPos.String()}
		}
		f.hi, f.hasHI, f.hiPos = v, true, f.at(l.n)
		f.note(survey.Assumed, f.hiPos, "height of instrument %s", f.show(v))
	}
	return nil
}

// resolve converts the lengths of the options that depend on the units of the file, plan
// for x and y and up for heights.
func (f *table) resolve(plan, up unit.Length) error {
	if f.o.InUnit == nil {
		return nil
	}
	if err := f.o.InUnit(plan, up, &f.o); err != nil {
		return err
	}
	f.hi, f.hasHI = f.o.Instrument, f.o.HasInstrument
	return nil
}

// show formats an elevation in m in the unit of the file.
func (f *table) show(m float64) string {
	u := f.s.Unit
	if x := f.of[isX]; u == unit.None && x != nil {
		u = x.unit // each reading has its own unit
	}
	return unit.StyleOf(u, u).Elevation(m)
}

func unitHint(err error) unit.Text {
	if errors.Is(err, unit.ErrNoUnit) {
		return survey.AskUnit
	}
	return unit.Text{}
}

// decimals finds the decimal sign from the cells of length columns.
func (f *table) decimals() error {
	var d decimalSigns
	at := survey.Pos{File: f.name}
	for _, l := range f.form.content {
		cells := split(l.text, f.form.sep)
		for _, c := range f.lengths() {
			if c.index < len(cells) && looksNumeric(cells[c.index]) {
				if d.see(cells[c.index]); d.example != "" && at.Line == 0 {
					at = f.at(l.n)
				}
			}
		}
	}
	n, ok := d.decide(f.form.sep)
	if !ok {
		return &survey.Error{Pos: at, Found: strconv.Quote(d.example), Want: "numbers that show whether the sign is decimal or groups thousands; every one here may be either",
			Hint: "save the file with decimal points and without thousands"}
	}
	f.num = n
	if n.comma {
		f.note(survey.Assumed, survey.Pos{File: f.name}, "decimal sign is the comma")
	}
	if n.thousands {
		sign := "comma"
		if n.comma {
			sign = "point"
		}
		f.note(survey.Assumed, survey.Pos{File: f.name}, "%s groups thousands", sign)
	}
	if err := f.cutDecimals(); err != nil {
		return err
	}
	return f.metresInMillimetres()
}

package text

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// runReader collects runs while rows are read.
type runReader struct {
	list   bool // one row a run, readings in one cell
	along  *column
	count  *column // number of readings that a row states
	down   bool
	byName map[string]*openRun
	order  []*openRun
	moves  []banner // moves of the instrument
	marks  []runMark
}

// openRun is a run whose rows are being read.
type openRun struct {
	survey.Run
	at      []float64 // m along the run, or the station number
	bearing float64   // degrees; NaN if not given
	stated  float64   // m, the step in its own column; 0 if not given
	xs, ys  []float64
}

// isRuns reports whether the columns are those of runs: a column headed run, or lines
// with a start, or lines whose readings have no place.
func (f *table) isRuns() bool {
	of := f.of
	line := of[isPart] != nil && strings.HasPrefix(headForm(of[isPart].head), "line")
	height := of[isRod] != nil || of[isZ] != nil || of[isLow] != nil || of[isDiff] != nil
	switch {
	case f.outline || !height || of[isSetup] != nil || of[isBS] != nil:
		return false
	case of[isRun] != nil:
		return true
	}
	return line && (f.form.listed || of[isX0] != nil || (of[isX] == nil || of[isY] == nil) && (of[isSeq] != nil || of[isDist] != nil || of[isName] != nil))
}

// runList returns the separator of a list of runs with one row a run and its readings in
// one cell. Its header names the run and the readings, and its cells have blanks or signs
// between numbers. It returns 0 for any other file. only is the separator if it is known.
func runList(all []line, only rune) rune {
	const deep = 20 // rows of a title and of remarks
	for i, l := range all[:min(deep, len(all))] {
		for _, sep := range []rune{'\t', ';', '|', ','} {
			if only != 0 && sep != only {
				continue
			}
			if at := readingsHead(split(l.text, sep)); at >= 0 && listedBelow(all[i+1:], sep, at) {
				return sep
			}
		}
	}
	return 0
}

// readingsHead returns the index of the column of readings in a header of runs whose
// readings have no place or number of their own. It returns -1 for any other row.
func readingsHead(cells []string) int {
	at, run := -1, false
	for i, cell := range cells {
		switch c := readHead(i, cell); c.role {
		case isRun:
			run = true
		case isPart:
			run = run || strings.HasPrefix(headForm(c.head), "line")
		case isRod, isZ, isLow, isDiff:
			at = i
		case isX, isDist, isName, isSeq, isSetup, isBS:
			return -1
		}
	}
	if !run {
		return -1
	}
	return at
}

// listedBelow reports whether there are rows besides comments, and each has several
// readings in cell at.
func listedBelow(rows []line, sep rune, at int) bool {
	some := false
	for _, l := range rows {
		if _, ok := commentMark(l.text); ok {
			continue
		}
		cells := split(l.text, sep)
		if at >= len(cells) {
			return false
		}
		if !severalReadings(cells[at]) {
			return false
		}
		some = true
	}
	return some
}

// severalReadings reports whether a cell holds two or more readings and nothing else.
func severalReadings(cell string) bool {
	parts := strings.FieldsFunc(cell, func(r rune) bool { return strings.ContainsRune(" ;|,", r) })
	for _, t := range parts {
		if !looksNumeric(t) && !missing(t) {
			return false
		}
	}
	return len(parts) >= 2
}

// askRunHeads returns the error for rows with several readings in a cell and heads that
// do not name them. It returns nil for other rows.
func (f *dialect) askRunHeads() error {
	const many = 5                                                   // numbers in a cell: fewer may be feet, inches and a fraction, or a place
	for _, l := range f.form.content[:min(2, len(f.form.content))] { // the first may hold heads
		for _, sep := range []rune{'\t', ';', '|', ','} {
			cells := split(l.text, sep)
			for _, cell := range cells {
				if len(cells) > 1 && len(strings.Fields(cell)) >= many && severalReadings(cell) {
					return (&survey.Error{Pos: f.at(f.form.first), Found: "several readings in one cell, and no header that names runs", Want: "a header such as run,readings (mm)"}).Hinted("head the columns run (or line) and readings (or down), with the unit: run,readings (in); the step in a column step (in), or %s", unit.Ask("step", "12in"))
				}
			}
		}
	}
	return nil
}

// mixedNumber returns the index of the first fraction that follows a whole number other
// than 0, as in 1 1/2. With blanks between readings that is one reading or two. It
// returns 0 if there is none.
func mixedNumber(parts []string) int {
	for i := 1; i < len(parts); i++ {
		if strings.Contains(parts[i], "/") && whole.MatchString(parts[i-1]) && !isBareZero(parts[i-1]) {
			return i
		}
	}
	return 0
}

// runHeights finds the columns of runs: the readings, the station along the run, and the
// number of readings.
func (f *Reader) runHeights() error {
	f.manner = byRun
	r := &runReader{byName: map[string]*openRun{}}
	f.runs = r
	for _, h := range []struct {
		of   role
		down bool
	}{{isRod, true}, {isZ, false}, {isLow, true}, {isDiff, false}} {
		if c := f.of[h.of]; c != nil {
			f.up, r.down = c, h.down
			break
		}
	}
	if y := f.of[isY]; y != nil && f.of[isX] == nil && headForm(y.head) == "n" {
		r.count = y // number of readings, not northing
		delete(f.of, isY)
		y.role = isIgnored
		f.of[isSeq], y.role = y, isSeq
	}
	f.x, f.y = nil, nil
	if f.of[isX] != nil && f.of[isY] != nil {
		return nil // every reading has a place
	}
	for _, as := range []role{isX, isDist, isName, isSeq} {
		if c := f.of[as]; c != nil && c != r.count {
			r.along = c
			break
		}
	}
	if c := r.along; c != nil && c.role == isName && !c.stated {
		c.unit = f.o.Unit
	}
	r.list = r.along == nil
	return nil
}

// runRow reads one row.
func (f *Reader) runRow(r *row, p survey.Point) {
	runs := f.runs
	name := strings.TrimSpace(cmp.Or(r.Run.text, r.Part.text))
	if f.runMark(r, p, name) {
		return
	}
	if name == "" {
		f.note(survey.LeftOut, p.At(), "a reading that belongs to no run")
		return
	}
	u := runs.byName[name]
	if u == nil {
		none := survey.Point{X: math.NaN(), Y: math.NaN(), Z: math.NaN()}
		u = &openRun{Run: survey.Run{Name: strings.Clone(name), Start: none, End: none, Step: f.o.Step, At: p.At()}, bearing: math.NaN()}
		runs.byName[u.Name] = u
		runs.order = append(runs.order, u)
	} else if runs.list {
		f.fail(&survey.Error{Pos: p.At(), Element: "run " + name, Found: "a second row", Want: fmt.Sprintf("one row a run; line %d has the first", u.At.Line)})
		return
	}
	for _, e := range []struct {
		of   role
		cell *cell
		to   *float64
	}{{isX0, &r.X0, &u.Start.X}, {isY0, &r.Y0, &u.Start.Y}, {isX1, &r.X1, &u.End.X}, {isY1, &r.Y1, &u.End.Y}} {
		if c := f.of[e.of]; c != nil {
			if v, ok := f.length(c, e.cell); ok {
				*e.to = v
			}
		}
	}
	if c := f.of[isBearing]; c != nil && strings.TrimSpace(r.Bearing.text) != "" {
		v, err := strconv.ParseFloat(strings.TrimSpace(r.Bearing.text), 64)
		if err != nil || !(math.Abs(v) <= 360) {
			f.fail(&survey.Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(r.Bearing.text), Want: "degrees clockwise from north"})
		}
		u.bearing = v
	}
	if c := f.of[isStep]; c != nil {
		switch v, ok := f.length(c, &r.Step); {
		case !ok:
		case !(v > 0):
			f.fail(&survey.Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(r.Step.text), Want: "a length above 0"})
		case u.stated != 0 && math.Abs(v-u.stated) > 1e-6:
			f.fail(&survey.Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(r.Step.text), Want: fmt.Sprintf("%.4g m, as line %d has for run %s", u.stated, u.At.Line, u.Name)})
		default:
			u.stated, u.Step = v, v
		}
	}
	cell := map[role]*cell{isRod: &r.Rod, isZ: &r.Z, isLow: &r.Low, isDiff: &r.Diff}[f.up.role]
	if runs.list {
		f.runCell(r, u, cell.text, p)
		return
	}
	f.station(u, cell.text, p)
	switch c := runs.along; {
	case c == nil:
		x, okX := f.length(f.of[isX], &r.X)
		y, okY := f.length(f.of[isY], &r.Y)
		if !okX || !okY {
			f.fail(&survey.Error{Pos: p.At(), Element: "run " + name, Found: "no place", Want: "x and y, as for the other readings"})
		}
		u.xs, u.ys = append(u.xs, x), append(u.ys, y)
	case c.role == isSeq:
		v, err := strconv.Atoi(strings.TrimSpace(r.Seq.text))
		if err != nil {
			f.fail(&survey.Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(r.Seq.text), Want: "a whole number"})
		}
		u.at = append(u.at, float64(v))
	default:
		text := r.alongText(c.role)
		v, err := f.num.length(c, text)
		if err != nil {
			f.cellError(c, text, err)
		}
		u.at = append(u.at, v)
	}
}

// station appends one reading to a run.
func (f *Reader) station(u *openRun, text string, p survey.Point) {
	s := survey.Station{Z: math.NaN(), Text: strings.TrimSpace(text), At: p.At()}
	switch v, err := f.num.length(f.up, text); {
	case err == nil:
		if s.Z = v; f.runs.down {
			s.Z = -v
		}
		if f.up.role == isRod && f.rodsSeen.see(f.up, v) {
			f.rodsSeen.found, f.rodsSeen.at, f.rodsSeen.element = text, p.At(), f.up.String()
		}
	case missing(text):
		f.note(survey.LeftOut, p.At(), "run %s: no reading at station %d", u.Name, len(u.Stations)+1)
	default:
		f.cellError(f.up, text, err)
	}
	u.Stations = append(u.Stations, s)
}

// runCell reads the readings of a run from one cell, separated by blanks or by
// semicolons, bars or commas.
func (f *Reader) runCell(r *row, u *openRun, text string, p survey.Point) {
	text = strings.TrimSpace(text)
	var parts []string
	switch {
	case strings.ContainsAny(text, ";|"):
		parts = strings.FieldsFunc(text, func(r rune) bool { return r == ';' || r == '|' })
	case strings.Contains(text, ", ") || !f.num.comma && strings.Contains(text, ","):
		parts = strings.FieldsFunc(text, func(r rune) bool { return r == ',' })
	default:
		parts = strings.Fields(text)
	}
	if len(parts) < 2 {
		f.fail(&survey.Error{Pos: p.At(), Element: "run " + u.Name, Found: fmt.Sprintf("%d readings", len(parts)), Want: "at least 2 readings in the cell, separated by blanks, or a column of stations"})
		return
	}
	if at := mixedNumber(parts); at > 0 && !strings.ContainsAny(text, ";|,") {
		f.fail(&survey.Error{Pos: p.At(), Element: "run " + u.Name, Found: fmt.Sprintf("%q, which is one reading or two", parts[at-1]+" "+parts[at]), Want: "readings that blanks do not cut", Hint: "separate the readings of the cell by semicolons"})
		return
	}
	for _, t := range parts {
		f.station(u, t, p)
	}
	f.s.Rows += len(parts) - 1
	if c := f.runs.count; c != nil {
		if n, err := strconv.Atoi(strings.TrimSpace(r.Seq.text)); err != nil || n != len(parts) {
			f.fail(&survey.Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(r.Seq.text), Want: fmt.Sprintf("%d, as many readings as the row holds", len(parts))})
		}
	}
}

// endRuns computes step and place of each run.
func (f *Reader) endRuns() error {
	if len(f.runs.order) == 0 {
		return &survey.Error{Pos: f.pos, Found: "no run", Want: "rows of readings"}
	}
	if err := f.tieRuns(); err != nil {
		return err
	}
	for _, u := range f.runs.order {
		if err := f.endRun(u); err != nil {
			return err
		}
		f.s.Runs = append(f.s.Runs, u.Run)
	}
	return nil
}

// endRun computes step and place of a run.
func (f *Reader) endRun(u *openRun) error {
	if len(u.Stations) < 2 {
		return u.fault(0, "1 reading", "at least 2")
	}
	if u.xs != nil {
		if err := u.alongLine(); err != nil {
			return err
		}
	}
	if u.at != nil {
		if err := f.evenStations(u); err != nil {
			return err
		}
	}
	n := len(u.Stations)
	if !math.IsNaN(u.bearing) && !math.IsNaN(u.Start.X+u.Start.Y) && u.Step > 0 {
		x, y := heading(u.bearing)
		u.End.X, u.End.Y = u.Start.X+x*u.Length(), u.Start.Y+y*u.Length()
	}
	if u.Placed() {
		length := math.Hypot(u.End.X-u.Start.X, u.End.Y-u.Start.Y)
		if u.Step == 0 {
			u.Step = length / float64(n-1)
		} else if math.Abs(length-u.Length()) > 0.05 {
			return u.fault(0, fmt.Sprintf("%d readings a step of %.3f m apart", n, u.Step), fmt.Sprintf("as many as fit the %.3f m between its ends", length))
		}
	}
	u.Start.Z, u.End.Z = u.Stations[0].Z, u.Stations[n-1].Z
	return nil
}

// fault returns the error for station i of a run.
func (u *openRun) fault(i int, found, want string) error {
	return &survey.Error{Pos: u.Stations[i].At, Element: "run " + u.Name, Found: found, Want: want}
}

// alongLine computes how far along the run each reading is, m, from the places of the
// readings.
func (u *openRun) alongLine() error {
	n := len(u.xs)
	u.Start.X, u.Start.Y, u.End.X, u.End.Y = u.xs[0], u.ys[0], u.xs[n-1], u.ys[n-1]
	length := math.Hypot(u.End.X-u.Start.X, u.End.Y-u.Start.Y)
	if length == 0 {
		return u.fault(n-1, "the last reading where the first is", "a straight line")
	}
	for i := range u.xs {
		u.at = append(u.at, math.Hypot(u.xs[i]-u.Start.X, u.ys[i]-u.Start.Y))
		// A station must be within 20 mm, about a finger, of the line.
		across := math.Abs((u.xs[i]-u.Start.X)*(u.End.Y-u.Start.Y)-(u.ys[i]-u.Start.Y)*(u.End.X-u.Start.X)) / length
		if across > 0.02 {
			return u.fault(i, fmt.Sprintf("a reading %.0f mm off the line", across*1e3), "a straight line from the first to the last reading")
		}
	}
	return nil
}

// inOrder sorts the stations along the run and returns their median step. There are at
// least 2 stations.
func (u *openRun) inOrder() (step float64) {
	n := len(u.Stations)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(u.at[a], u.at[b]) })
	stations, at := make([]survey.Station, n), make([]float64, n)
	for k, i := range order {
		stations[k], at[k] = u.Stations[i], u.at[i]
	}
	u.Stations, u.at = stations, at
	steps := make([]float64, n-1)
	for i := range steps {
		steps[i] = at[i+1] - at[i]
	}
	slices.Sort(steps)
	return steps[(n-2)/2]
}

// evenStations puts the stations of a run in order, one a step. A station that the file
// skips has no reading. A step that is not a multiple is an error.
func (f *Reader) evenStations(u *openRun) error {
	step := u.inOrder()
	stations, at := u.Stations, u.at
	slack := 0.005 // m; tapes are read to the half centimetre
	say := func(d float64) string { return fmt.Sprintf("%.3f m", d) }
	if c := f.runs.along; c != nil && c.role == isSeq {
		step, slack = 1, 0
		say = func(d float64) string { return fmt.Sprintf("%g", d) }
	} else if c != nil && c.unit.Imperial() {
		say = func(d float64) string { return fmt.Sprintf("%.2f ft", d/unit.Foot.Metres()) }
	}
	for i := 1; i < len(at); i++ {
		if at[i]-at[i-1] <= slack {
			return u.fault(i, "a second reading at station "+say(at[i]), "one reading a station")
		}
	}
	whole := stations[:1:1]
	for i := 1; i < len(at); i++ {
		d := at[i] - at[i-1]
		k := math.Round(d / step)
		if k < 1 || k > 1000 || math.Abs(d-k*step) > slack*max(1, k) {
			return u.fault(i, "a step of "+say(d)+" before station "+say(at[i]), "steps of "+say(step)+", as most of the run has, or a whole number of them")
		}
		if k > 1 {
			f.note(survey.LeftOut, stations[i].At, "run %s: %.0f without a reading between stations %s and %s", u.Name, k-1, say(at[i-1]), say(at[i]))
		}
		for range int(k) - 1 {
			whole = append(whole, survey.Station{Z: math.NaN(), At: stations[i].At})
		}
		whole = append(whole, stations[i])
	}
	u.Stations = whole
	if slack == 0 {
		return nil // numbers of stations give no step
	}
	step = (at[len(at)-1] - at[0]) / float64(len(whole)-1)
	if u.stated > 0 && math.Abs(step-u.stated) > slack {
		return u.fault(0, "readings every "+say(step), "the step of "+say(u.stated)+" that the file states")
	}
	u.Step = step
	return nil
}

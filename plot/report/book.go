package report

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"pourplane/plot/table"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// levelStyle writes elevations as a level book does.
type levelStyle struct {
	unit.Style
	inches bool // feet and inches
	digits int  // of decimals
}

// LevelStyleOf returns the style of a level book, as booked or as in show.
func LevelStyleOf(s *survey.Survey, show string) levelStyle {
	out := levelStyle{Style: unit.StyleOf(s.Unit, s.Unit), inches: s.Book.FeetInches, digits: 3}
	switch show {
	case "metric":
		out.Imperial, out.inches = false, false
	case "feet":
		out.Imperial, out.inches = true, false
	case "feet-inches":
		out.Imperial, out.inches = true, true
	}
	out.Denominator = 16
	for i := range s.Book.Sights {
		text := s.Book.Sights[i].Text
		if _, d, ok := strings.Cut(text, "/"); ok {
			if n, err := strconv.Atoi(strings.TrimRight(d, `" in`)); err == nil && n <= 64 {
				out.Denominator = max(out.Denominator, n)
			}
		} else if _, d, ok := strings.Cut(text, "."); ok && s.Unit != unit.Millimetre && len(d) <= 5 {
			out.digits = max(out.digits, len(d))
		}
	}
	return out
}

// number writes m without its unit, which is in the head.
func (s levelStyle) number(m float64) string {
	switch {
	case math.IsNaN(m):
		return ""
	case s.inches && math.Abs(m) < unit.Foot.Metres() && m != 0:
		return s.Depth(m)
	case s.inches:
		return s.Length(m)
	case s.Imperial:
		m /= s.Elevations().Metres()
	}
	return strings.Replace(strconv.FormatFloat(m, 'f', s.digits, 64), "-0."+strings.Repeat("0", s.digits), "0."+strings.Repeat("0", s.digits), 1)
}

// unit is the unit of number.
func (s levelStyle) unit() string {
	switch {
	case s.inches:
		return fmt.Sprintf(`feet and inches, to 1/%d"`, s.Denominator)
	}
	return s.Elevations().String()
}

// BookPage prints a level book.
type BookPage struct {
	S        *survey.Survey
	B        *survey.Book
	Style    levelStyle
	RiseFall bool
}

// Print writes the whole book, or its closure, its checks and as many of its rows as fit in
// [mostReadLines] lines.
func (p *BookPage) Print(verbose bool) []byte {
	var out, checks, closures bytes.Buffer
	k, style := p.B, unit.StyleOf(p.S.Plan, p.S.Unit)
	title := fmt.Sprintf("%d sights from %s", len(k.Sights), survey.Plural(len(k.Setups), "set-up"))
	if k.Relative {
		title += "; no benchmark: elevation 0 is the line of sight of set-up " + k.Setups[0].Name
	} else {
		name, z := k.Origin()
		title += fmt.Sprintf(", on %s at %s", name, p.Style.number(z))
	}
	title = Printable(title)
	units := fmt.Sprintf("Elevations in %s; readings as written", p.Style.unit())
	book := p.table()
	p.checks(&checks)
	p.closures(&closures)
	if verbose {
		fmt.Fprintf(&out, "%s\n%s\n\n%s%s%s", title, units, plain(book), &checks, &closures)
		say(&out, p.S.Notes, nil, style)
		return out.Bytes()
	}
	const mostFolded = 16 // lines of closures and checks: a book of many set-ups has more
	var more []string
	fold := func(text []byte, most int, what string) []string {
		var lines []string
		all := strings.Split(strings.Trim(string(text), "\n"), "\n")
		for i, line := range all {
			word := strings.TrimLeft(line, " ")
			lines = append(lines, table.Hang(line[:len(line)-len(word)], word, mostWide)...)
			if len(lines) >= most && i+1 < len(all) {
				more = append(more, survey.Plural(len(all)-i-1, what))
				break
			}
		}
		return append([]string{""}, lines...)
	}
	closed, checked := fold(closures.Bytes(), mostFolded, "line of closures")[1:], fold(checks.Bytes(), 8+2*min(5, len(k.Faults)), "line of checks")
	rows := table.Plain(book, 2)
	warnings := 0
	for _, n := range p.S.Notes {
		if n.Kind == survey.Warning && warnings < 8 {
			warnings += len(table.Hang("  ", Printable(noteLine(n, style)), mostWide))
		}
	}
	// Title and units, two blank lines, what is left to read, the heads of the notes.
	room := max(4, mostReadLines-len(closed)-len(checked)-warnings-9)
	cut := ""
	if len(rows) > room {
		rows = rows[:room-1]
		cut = fmt.Sprintf("… the book goes on: %d of its %s are shown, %s shows all", len(rows)-1, survey.Plural(len(book.Rows), "row"), unit.Flag("verbose"))
	}
	for i := range rows {
		rows[i] = table.Cut(rows[i], mostWide)
	}
	if cut != "" {
		rows = append(rows, cut)
	}
	lines := []AnswerRow{{table: append([]string{units, ""}, closed...), Topic: survey.General}, {table: append([]string{""}, rows...)}, {table: checked}}
	Brief{Title: title, Rows: lines, Notes: p.S.Notes, style: style, more: more, Most: mostReadLines}.Print(&out)
	return out.Bytes()
}

// table is the rows of the book; a turning point has its foresight and the backsight after it
// in one row.
func (p *BookPage) table() table.Table {
	t := table.Table{Columns: p.columns()}
	hi := map[string]float64{}
	for _, u := range p.B.Setups {
		hi[u.Name] = u.HI - u.Correction // as read, beside elevations as read
	}
	for i := 0; i < len(p.B.Sights); i++ {
		s := &p.B.Sights[i]
		last := s // the row ends with its elevation
		var cell [3]string
		cell[map[survey.SightKind]int{survey.Back: 0, survey.Intermediate: 1, survey.Fore: 2}[s.Kind]] = s.Text
		setup, instrument := s.Setup, ""
		if s.Kind == survey.Back {
			instrument = p.Style.number(hi[s.Setup])
		}
		step := math.NaN()
		if i > 0 && p.B.Sights[i-1].Setup == s.Setup {
			step = p.B.Sights[i-1].Reading - s.Reading
		}
		if i+1 < len(p.B.Sights) {
			if next := &p.B.Sights[i+1]; s.Kind == survey.Fore && next.Kind == survey.Back && next.Name == s.Name && next.Setup != s.Setup {
				cell[0], setup, instrument = next.Text, next.Setup, p.Style.number(hi[next.Setup])
				i++
			}
		}
		row := append([]string{setup, cmp.Or(s.Name, "—")}, cell[:]...)
		if p.RiseFall {
			row = append(row, p.riseFall(step)...)
		} else {
			row = append(row, instrument)
		}
		t.Rows = append(t.Rows, text(append(row, p.elevations(last)...)...))
	}
	return t
}

// columns are the heads of the book.
func (p *BookPage) columns() []table.Column {
	heads := []string{"Set-up", "Point", "BS>", "IS>", "FS>", "HI>"}
	if p.RiseFall {
		heads = append(heads[:5], "Rise>", "Fall>")
	}
	switch {
	case p.squares(): // the elevation as read is this one minus its correction: a terminal has no room for it
		heads = append(heads, "Correction>", "Elevation>", "St. dev.>")
	case p.B.Adjust != survey.NoAdjustment:
		heads = append(heads, "As read>", "Correction>", "Elevation>")
	default:
		heads = append(heads, "Elevation>")
	}
	return columns(heads...)
}

// squares reports whether the book was adjusted by least squares.
func (p *BookPage) squares() bool { return !math.IsNaN(p.B.UnitWeight) }

// riseFall writes the step from the sight before in its column; none where the instrument
// was moved.
func (p *BookPage) riseFall(step float64) []string {
	switch {
	case step > 0:
		return []string{p.Style.number(step), ""}
	case step <= 0:
		return []string{"", p.Style.number(-step)}
	}
	return []string{"", ""}
}

// elevations are the last cells of a row: the elevation, and how it was adjusted.
func (p *BookPage) elevations(s *survey.Sight) []string {
	read, now := p.Style.number(s.Elevation-s.Correction), p.Style.number(s.Elevation)
	switch {
	case p.squares():
		return []string{p.signed(s.Correction), now, p.tiny(s.SD)}
	case p.B.Adjust != survey.NoAdjustment:
		return []string{read, p.signed(s.Correction), now}
	}
	return []string{read}
}

// tiny writes a length finer than the book: thousandths of an inch if the book is in inches,
// because a fraction would show nothing.
func (p *BookPage) tiny(m float64) string {
	if p.Style.inches {
		return strconv.FormatFloat(m/unit.Inch.Metres(), 'f', 3, 64) + `"`
	}
	return strconv.FormatFloat(m*1e3, 'f', 2, 64) + " mm"
}

func (p *BookPage) signed(m float64) string {
	if p.Style.inches {
		return p.tiny(m)
	}
	t := p.Style.number(m)
	if m > 0 && strings.Trim(t, "0.") != "" {
		return "+" + t
	}
	return t
}

// checks prints the arithmetic as it is booked.
func (p *BookPage) checks(out *bytes.Buffer) {
	c, n := p.B.Checks, p.Style.number
	fmt.Fprintf(out, "\nCheck\n  sum of backsights %s, of foresights %s: difference %s\n", n(c.SumBS), n(c.SumFS), n(c.SumBS-c.SumFS))
	fmt.Fprintf(out, "  sum of rises %s, of falls %s: difference %s\n", n(c.SumRise), n(c.SumFall), n(c.SumRise-c.SumFall))
	fmt.Fprintf(out, "  last elevation less the first: %s\n", n(c.LastMinusFirst))
	const same = 1e-9 // m; sums of a few hundred readings round by less
	switch {
	case !c.Line:
		fmt.Fprintf(out, "  the three need not agree: the book is not one line of set-ups, each beginning on the point where the last one ended\n")
	case math.Abs(c.SumBS-c.SumFS-c.LastMinusFirst) < same && math.Abs(c.SumRise-c.SumFall-c.LastMinusFirst) < same:
		fmt.Fprintf(out, "  the three agree; that proves the arithmetic, not the readings\n")
	default:
		fmt.Fprintf(out, "  the three do not agree: a set-up depends on something other than the foresight before it (a second backsight, or a benchmark of its own)\n")
	}
	for _, e := range p.B.Faults {
		fmt.Fprintf(out, "  %s\n", Printable(e.Error()))
	}
}

// closures prints the elevations that were found twice.
func (p *BookPage) closures(out *bytes.Buffer) {
	b := p.B
	fmt.Fprintf(out, "\nClosure\n")
	if b.Main() == nil {
		fmt.Fprintf(out, "  %s\n", noClosure)
	}
	for _, c := range b.Closures {
		what := "seen again"
		if c.Closing {
			what = "misclosure"
		}
		verdict := "within"
		if c.Beyond() {
			verdict = "BEYOND"
		}
		fmt.Fprintf(out, "  %s on %s from set-up %s: observed %s, known %s, %s; %s the %s allowed\n", what, Printable(c.On), Printable(c.Setup),
			p.Style.number(c.Observed), p.Style.number(c.Known), p.small(c.Misclosure()), verdict, p.small(c.Allowable))
	}
	for _, t := range b.Ties {
		if len(t.On) > 1 {
			fmt.Fprintf(out, "  set-up %s: tied by %d points, spread %s\n", Printable(t.Setup), len(t.On), p.small(t.Spread()))
		}
	}
	if b.Fault != "" {
		fmt.Fprintf(out, "  most likely at fault: %s\n", Printable(b.Fault))
	}
	switch {
	case b.Adjust == survey.LeastSquares && b.Redundancy > 0:
		fmt.Fprintf(out, "  adjusted by least squares: %s over and above need, standard deviation of unit weight %s\n", survey.Plural(b.Redundancy, "sight"), p.tiny(b.UnitWeight))
	case b.Adjust != survey.NoAdjustment && b.Main() != nil:
		fmt.Fprintf(out, "  the misclosure is spread %s\n", b.Adjust)
	case b.Main() != nil:
		fmt.Fprintf(out, "  not adjusted (%s)\n", unit.Flag("adjust"))
	}
}

const noClosure = "no closing shot on a known benchmark: instrument movement cannot be ruled out"

// agreeing says how well benchmarks and turning points that were read together agree, of the set-up
// where they do so worst; empty if none were.
func agreeing(k *survey.Book, u unit.Style) (text string) {
	worst := -1.0
	for _, t := range k.Ties {
		if t.Known && len(t.On) > 1 && t.Spread() > worst {
			worst = t.Spread()
			text = fmt.Sprintf("%s and %s agree to within %s", strings.Join(t.On[:len(t.On)-1], ", "), t.On[len(t.On)-1], u.Depth(max(u.Step(), worst)))
		}
	}
	for _, c := range k.Closures {
		if off := math.Abs(c.Misclosure()); !c.Closing && off > worst {
			worst = off
			text = fmt.Sprintf("%s agrees to within %s", c.On, u.Depth(max(u.Step(), worst)))
		}
	}
	return text
}

// closes writes in one line how the level book closes.
func closes(k *survey.Book, u unit.Style) string {
	c := k.Main()
	if c == nil {
		if agree := agreeing(k, u); agree != "" {
			return agree + "; " + noClosure
		}
		return noClosure
	}
	adjusted := "not adjusted"
	if k.Adjust != survey.NoAdjustment {
		adjusted = "adjusted: " + k.Adjust.String()
	}
	how := u.Depth(c.Misclosure()) + " high"
	switch off := c.Misclosure(); {
	case math.Abs(off) <= unit.Noise:
		how = "exactly"
	case math.Abs(off) < u.Step()/2:
		how = "to within " + u.Depth(u.Step())
	case off < 0:
		how = u.Depth(-off) + " low"
	}
	allowed := "allowed "
	if c.Beyond() {
		allowed = "BEYOND the allowed "
	}
	return fmt.Sprintf("closes %s on %s, %s%s; %s", how, c.On, allowed, u.Depth(c.Allowable), adjusted)
}

// small writes a misclosure.
func (p *BookPage) small(m float64) string {
	if p.Style.inches {
		fine := p.Style.Style
		fine.Denominator = 32
		return fine.Depth(m)
	}
	if p.Style.Imperial {
		return p.Style.number(m) + " " + p.Style.unit()
	}
	return strconv.FormatFloat(math.Round(m*1e4)/10, 'f', -1, 64) + " mm"
}

// reduction is what reduce --json prints. Fields are added, never renamed.
type reduction struct {
	Stations   []stationJSON `json:"stations"`
	Setups     []setupJSON   `json:"setups"`
	Benchmarks []markJSON    `json:"benchmarks"`
	Checks     checksJSON    `json:"checks"`
	Misclosure *float64      `json:"misclosure_m"` // observed minus known; null when the book does not close
	Allowable  *float64      `json:"allowable_m"`
	Closures   []closureJSON `json:"closures"`
	Ties       []tieJSON     `json:"ties"`
	Adjusted   bool          `json:"adjusted"`
	Adjustment string        `json:"adjustment"`
	Redundancy int           `json:"redundancy"`
	UnitWeight *float64      `json:"unit_weight_sd_m"`
	Fault      string        `json:"fault"`
	Faults     []string      `json:"faults"`
	Assumed    []string      `json:"assumed"`
	LeftOut    []rejected    `json:"left_out"`
	Warnings   []string      `json:"warnings"`
}

type stationJSON struct {
	Name       string   `json:"name"`
	Setup      string   `json:"setup"`
	Sight      string   `json:"sight"`
	Reading    float64  `json:"reading_m"`
	Elevation  float64  `json:"elevation_m"`
	Correction float64  `json:"correction_m"`
	SD         *float64 `json:"sd_m,omitempty"`
	File       string   `json:"file"`
	Line       int      `json:"line"`
}

type setupJSON struct {
	Name       string  `json:"name"`
	HI         float64 `json:"hi_m"`
	Correction float64 `json:"correction_m"`
}

type markJSON struct {
	Name      string  `json:"name"`
	Elevation float64 `json:"elevation_m"`
}

type checksJSON struct {
	SumBS          float64 `json:"sum_bs_m"`
	SumFS          float64 `json:"sum_fs_m"`
	SumRise        float64 `json:"sum_rise_m"`
	SumFall        float64 `json:"sum_fall_m"`
	LastMinusFirst float64 `json:"last_minus_first_m"`
	Line           bool    `json:"one_line"`
}

type closureJSON struct {
	On         string  `json:"on"`
	Setup      string  `json:"setup"`
	Observed   float64 `json:"observed_m"`
	Known      float64 `json:"known_m"`
	Misclosure float64 `json:"misclosure_m"`
	Allowable  float64 `json:"allowable_m"`
	Closing    bool    `json:"closing"`
	Beyond     bool    `json:"beyond"`
}

type tieJSON struct {
	Setup  string    `json:"setup"`
	On     []string  `json:"on"`
	Off    []float64 `json:"off_m"`
	Spread float64   `json:"spread_m"`
}

// finite returns nil for a number that JSON cannot write.
func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func NewReduction(s *survey.Survey) reduction {
	b := s.Book
	c := b.Checks
	r := reduction{
		Stations: []stationJSON{}, Setups: []setupJSON{}, Benchmarks: []markJSON{}, Closures: []closureJSON{}, Ties: []tieJSON{},
		Checks:   checksJSON{c.SumBS, c.SumFS, c.SumRise, c.SumFall, c.LastMinusFirst, c.Line},
		Adjusted: b.Adjust != survey.NoAdjustment && (b.Main() != nil || b.Redundancy > 0), Adjustment: b.Adjust.String(), Redundancy: b.Redundancy, UnitWeight: finite(b.UnitWeight),
		Fault: b.Fault, Faults: []string{},
	}
	for i := range b.Sights {
		v := &b.Sights[i]
		r.Stations = append(r.Stations, stationJSON{v.Name, v.Setup, v.Kind.String(), v.Reading, v.Elevation, v.Correction, finite(v.SD), v.At.File, v.At.Line})
	}
	for _, u := range b.Setups {
		r.Setups = append(r.Setups, setupJSON{u.Name, u.HI, u.Correction})
	}
	for _, m := range b.Benchmarks {
		r.Benchmarks = append(r.Benchmarks, markJSON{m.Name, m.Elevation})
	}
	if m := b.Main(); m != nil {
		v := m.Misclosure()
		r.Misclosure, r.Allowable = &v, &m.Allowable
	}
	for _, v := range b.Closures {
		r.Closures = append(r.Closures, closureJSON{v.On, v.Setup, v.Observed, v.Known, v.Misclosure(), v.Allowable, v.Closing, v.Beyond()})
	}
	for _, t := range b.Ties {
		r.Ties = append(r.Ties, tieJSON{t.Setup, t.On, t.Off, t.Spread()})
	}
	for _, e := range b.Faults {
		r.Faults = append(r.Faults, e.Error())
	}
	r.Assumed, r.Warnings, _, r.LeftOut = notesByKind(s.Notes, unit.StyleOf(s.Plan, s.Unit))
	return r
}

// notesByKind sorts notes for JSON, in the style of the survey, whatever style is shown.
func notesByKind(notes []survey.Note, style unit.Style) (assumed, warnings, cautions []string, out []rejected) {
	assumed, warnings, cautions, out = []string{}, []string{}, []string{}, []rejected{}
	for _, n := range notes {
		switch n.Kind {
		case survey.Assumed:
			assumed = append(assumed, n.In(style))
		case survey.Warning:
			warnings = append(warnings, n.In(style))
		case survey.Caution:
			cautions = append(cautions, n.In(style))
		case survey.LeftOut:
			out = append(out, rejected{n.Pos.File, n.Pos.Line, n.Text.In(style)})
		}
	}
	return assumed, warnings, cautions, out
}

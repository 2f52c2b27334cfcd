package main

import (
	"bytes"
	"cmp"
	"fmt"
	"io/fs"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"

	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"

	"github.com/spf13/cobra"
)

type reduceFlags struct {
	form    string
	show    string
	asJSON  bool
	verbose bool
}

func newReduce() *cobra.Command {
	var f reduceFlags
	var j job.Job
	c := &cobra.Command{
		Use:   "reduce BOOK...",
		Short: "Elevations from a level book, with its checks and its misclosure",
		Long: `reduce works out a level book: rod readings from one or more set-ups, as one row a
sight (columns setup, sight with BS, IS or FS, point, rod) or with columns BS, IS
and FS, in height-of-instrument or rise-and-fall form. Books of several files are
reduced together.

It prints the book with elevations and the checks of arithmetic, tells how it
closes and what it may close by, and spreads the misclosure if asked to. A book
that closes worse than it may is printed all the same, with the set-up most likely
at fault, and ends with status 1.`,
		Example: `  # the benchmark's elevation stands in the book
  pourplane reduce book.csv --units m

  # or here; the line ends on another benchmark
  pourplane reduce book.csv --units ft --benchmark "BM A=100.00" --benchmark "BM B=94.91" --allow 0.05ft

  # spread what is left over, set-up by set-up
  pourplane reduce book.csv --units m --adjust setups

  # points seen from several set-ups: all sights together, with standard deviations
  pourplane reduce book.csv --units m --adjust least-squares`,
		Args: someFiles,
		RunE: func(c *cobra.Command, files []string) error {
			j.Survey.Files = files
			return f.run(c, &j)
		},
	}
	jobFlags(c, &j)
	s := c.Flags()
	s.StringVar(&f.form, "form", "", "`FORM` of the printed book: instrument or rise-fall (default as the file)")
	s.StringVar(&f.show, "show", "", "`SYSTEM` of the numbers shown: metric, feet or feet-inches (default as the book)")
	s.BoolVar(&f.asJSON, "json", false, "print the result as one JSON object, SI units, and nothing else")
	s.BoolVar(&f.verbose, "verbose", false, "print the whole book and all notes")
	complete(c, "form", "instrument", "rise-fall")
	complete(c, "show", "metric", "feet", "feet-inches")
	return c
}

func (f *reduceFlags) run(c *cobra.Command, j *job.Job) error {
	switch {
	case f.asJSON && (f.form != "" || f.show != ""):
		return &usageError{"--form and --show are for the printed book; --json has every form, in SI units", "leave them out"}
	case f.asJSON && f.verbose:
		return &usageError{"--verbose is for print; --json has everything", "leave it out"}
	case f.form != "" && f.form != "instrument" && f.form != "rise-fall":
		return &usageError{fmt.Sprintf("--form: found %q, want instrument or rise-fall", f.form), ""}
	case f.show != "" && f.show != "metric" && f.show != "feet" && f.show != "feet-inches":
		return &usageError{fmt.Sprintf("--show: found %q, want metric, feet or feet-inches", f.show), ""}
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	s, err := bookOf(j, f.show, &disk{stdin: c.InOrStdin}, p.say)
	if err != nil {
		return err
	}
	p.say("listing the book", 0, 0)
	page := &bookPage{s: s, b: s.Book, style: levelStyleOf(s, f.show)}
	page.riseFall = f.form == "rise-fall" || f.form == "" && s.Book.RiseFall
	if f.asJSON {
		data, err := indented(newReduction(s))
		if err != nil {
			return err
		}
		p.end()
		if _, err := c.OutOrStdout().Write(data); err != nil {
			return err
		}
	} else {
		text := page.print(f.verbose)
		p.end()
		if _, err := c.OutOrStdout().Write(text); err != nil {
			return err
		}
	}
	return s.Book.Err(page.style.Style, j.Survey.AcceptMisclosure)
}

// bookOf reads the level books of a job, and refuses a survey that is none. Show is the
// system in which results are shown.
func bookOf(j *job.Job, show string, files fs.FS, watch Watch) (*survey.Survey, error) {
	f := inputOf(j)
	f.show, f.files = show, files
	names := j.Paths(j.Survey.Files)
	s, _, err := f.open(names, watch)
	if err != nil {
		return nil, err
	}
	if s.Book == nil {
		return nil, &survey.Error{Pos: survey.Pos{File: names[0]}, Found: "no sights from set-ups", Want: "a level book: rod readings with a column of set-ups and one of sights (BS, IS, FS), or columns BS, IS and FS",
			Hint: "pourplane read tells how the file was understood"}
	}
	return s, f.idle(s)
}

// levelStyle writes elevations as a level book does.
type levelStyle struct {
	unit.Style
	inches bool // feet and inches
	digits int  // of decimals
}

// levelStyleOf returns the style of a level book, as booked or as show says.
func levelStyleOf(s *survey.Survey, show string) levelStyle {
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

// number writes m without its unit, which stands in the head.
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

// unit names the unit of number.
func (s levelStyle) unit() string {
	switch {
	case s.inches:
		return fmt.Sprintf(`feet and inches, to 1/%d"`, s.Denominator)
	}
	return s.Elevations().String()
}

// bookPage prints a level book.
type bookPage struct {
	s        *survey.Survey
	b        *survey.Book
	style    levelStyle
	riseFall bool
}

// print writes the whole book, or how it closes, its checks and as many of its rows as
// [mostReadLines] lines hold.
func (p *bookPage) print(verbose bool) []byte {
	var out, book, checks, closures bytes.Buffer
	k, style := p.b, unit.StyleOf(p.s.Plan, p.s.Unit)
	title := fmt.Sprintf("%d sights from %s", len(k.Sights), plural(len(k.Setups), "set-up"))
	if k.Relative {
		title += "; no benchmark: elevation 0 is the line of sight of set-up " + k.Setups[0].Name
	} else {
		name, z := k.Origin()
		title += fmt.Sprintf(", on %s at %s", name, p.style.number(z))
	}
	title = printable(title)
	units := fmt.Sprintf("Elevations in %s; readings as written", p.style.unit())
	p.table(&book)
	p.checks(&checks)
	p.closures(&closures)
	if verbose {
		fmt.Fprintf(&out, "%s\n%s\n\n%s%s%s", title, units, &book, &checks, &closures)
		say(&out, p.s.Notes, nil, style)
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
				more = append(more, plural(len(all)-i-1, what))
				break
			}
		}
		return append([]string{""}, lines...)
	}
	closed, checked := fold(closures.Bytes(), mostFolded, "line of closures")[1:], fold(checks.Bytes(), 8+2*min(5, len(k.Faults)), "line of checks")
	rows := strings.Split(strings.TrimRight(book.String(), "\n"), "\n")
	warnings := 0
	for _, n := range p.s.Notes {
		if n.Kind == survey.Warning && warnings < 8 {
			warnings += len(table.Hang("  ", printable(n.In(style)), mostWide))
		}
	}
	// Title and units, two blank lines, what is left to read, the heads of the notes.
	room := max(4, mostReadLines-len(closed)-len(checked)-warnings-9)
	if n := len(rows) - room; n > 0 {
		more = append(more, plural(n, "row")+" of the book")
		rows = rows[:room]
	}
	for i := range rows {
		rows[i] = table.Cut(rows[i], mostWide)
	}
	lines := []answerRow{{table: append([]string{units, ""}, closed...), topic: survey.General}, {table: append([]string{""}, rows...)}, {table: checked}}
	brief{title: title, rows: lines, notes: p.s.Notes, style: style, more: more, most: mostReadLines}.print(&out)
	return out.Bytes()
}

// table prints the rows of the book; a turning point has its foresight and the
// backsight after it in one row.
func (p *bookPage) table(out *bytes.Buffer) {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	adjusted := p.b.Adjust != survey.NoAdjustment
	head := []string{"set-up", "point", "BS", "IS", "FS", "HI", "elevation"}
	if p.riseFall {
		head = []string{"set-up", "point", "BS", "IS", "FS", "rise", "fall", "elevation"}
	}
	if adjusted {
		head[len(head)-1] = "as read"
		head = append(head, "correction", "elevation")
	}
	if p.b.UnitWeight == p.b.UnitWeight {
		head = append(head, "st. dev. mm")
	}
	fmt.Fprintf(w, "%s\t\n", strings.Join(head, "\t"))
	hi := map[string]float64{}
	for _, u := range p.b.Setups {
		hi[u.Name] = u.HI - u.Correction // as read, beside elevations as read
	}
	for i := 0; i < len(p.b.Sights); i++ {
		s := &p.b.Sights[i]
		last := s // whose elevation the row ends with
		var cell [3]string
		cell[map[survey.SightKind]int{survey.Back: 0, survey.Intermediate: 1, survey.Fore: 2}[s.Kind]] = s.Text
		setup, instrument := s.Setup, ""
		if s.Kind == survey.Back {
			instrument = p.style.number(hi[s.Setup])
		}
		step := math.NaN()
		if i > 0 && p.b.Sights[i-1].Setup == s.Setup {
			step = p.b.Sights[i-1].Reading - s.Reading
		}
		if i+1 < len(p.b.Sights) {
			if next := &p.b.Sights[i+1]; s.Kind == survey.Fore && next.Kind == survey.Back && next.Name == s.Name && next.Setup != s.Setup {
				cell[0], setup, instrument = next.Text, next.Setup, p.style.number(hi[next.Setup])
				i++
			}
		}
		row := []string{setup, cmp.Or(s.Name, "—"), cell[0], cell[1], cell[2]}
		if p.riseFall {
			rise, fall := "", ""
			if step > 0 {
				rise = p.style.number(step)
			} else if step <= 0 {
				fall = p.style.number(-step)
			}
			row = append(row, rise, fall)
		} else {
			row = append(row, instrument)
		}
		row = append(row, p.style.number(last.Elevation-last.Correction))
		if adjusted {
			row = append(row, p.signed(last.Correction), p.style.number(last.Elevation))
		}
		if p.b.UnitWeight == p.b.UnitWeight {
			row = append(row, strconv.FormatFloat(last.SD*1e3, 'f', 2, 64))
		}
		for k := range row {
			row[k] = printable(row[k])
		}
		fmt.Fprintf(w, "%s\t\n", strings.Join(row, "\t"))
	}
	w.Flush()
}

func (p *bookPage) signed(m float64) string {
	if p.style.inches {
		return strconv.FormatFloat(m*1e3, 'f', 1, 64) + " mm" // a fraction of an inch would show nothing
	}
	t := p.style.number(m)
	if m > 0 && strings.Trim(t, "0.") != "" {
		return "+" + t
	}
	return t
}

// checks prints the arithmetic as it is booked.
func (p *bookPage) checks(out *bytes.Buffer) {
	c, n := p.b.Checks, p.style.number
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
		fmt.Fprintf(out, "  the three do not agree: a set-up hangs on something else than the foresight before it (a second backsight, or a benchmark of its own)\n")
	}
	for _, e := range p.b.Faults {
		fmt.Fprintf(out, "  %s\n", printable(e.Error()))
	}
}

// closures prints what came out twice.
func (p *bookPage) closures(out *bytes.Buffer) {
	b := p.b
	fmt.Fprintf(out, "\nClosure\n")
	if b.Main() == nil {
		fmt.Fprintf(out, "  no foresight closes on a known benchmark: nothing proves that the instrument stood still\n")
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
		fmt.Fprintf(out, "  %s on %s from set-up %s: observed %s, known %s, %s; %s the %s allowed\n", what, printable(c.On), printable(c.Setup),
			p.style.number(c.Observed), p.style.number(c.Known), p.small(c.Misclosure()), verdict, p.small(c.Allowable))
	}
	for _, t := range b.Ties {
		if len(t.On) > 1 {
			fmt.Fprintf(out, "  set-up %s: tied by %d points, spread %s\n", printable(t.Setup), len(t.On), p.small(t.Spread()))
		}
	}
	if b.Fault != "" {
		fmt.Fprintf(out, "  most likely at fault: %s\n", printable(b.Fault))
	}
	switch {
	case b.Adjust == survey.LeastSquares && b.Redundancy > 0:
		fmt.Fprintf(out, "  adjusted by least squares: %s over and above need, standard deviation of unit weight %.2f mm\n", plural(b.Redundancy, "sight"), b.UnitWeight*1e3)
	case b.Adjust != survey.NoAdjustment && b.Main() != nil:
		fmt.Fprintf(out, "  the misclosure is spread %s\n", b.Adjust)
	case b.Main() != nil:
		fmt.Fprintf(out, "  nothing is spread over the readings (--adjust)\n")
	}
}

// small writes a misclosure.
func (p *bookPage) small(m float64) string {
	if p.style.inches {
		fine := p.style.Style
		fine.Denominator = 32
		return fine.Depth(m)
	}
	if p.style.Imperial {
		return p.style.number(m) + " " + p.style.unit()
	}
	return strconv.FormatFloat(math.Round(m*1e4)/10, 'f', -1, 64) + " mm"
}

// reduction is what reduce --json prints. Fields are added, never renamed.
type reduction struct {
	Stations   []stationJSON `json:"stations"`
	Setups     []setupJSON   `json:"setups"`
	Benchmarks []markJSON    `json:"benchmarks"`
	Checks     checksJSON    `json:"checks"`
	Misclosure *float64      `json:"misclosure_m"` // observed less known; null when the book does not close
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

// finite returns nil for what JSON cannot write.
func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func newReduction(s *survey.Survey) reduction {
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
	r.Assumed, r.Warnings, _, r.LeftOut = told(s.Notes, unit.StyleOf(s.Plan, s.Unit))
	return r
}

// told sorts notes for JSON, in the style of the survey: what is shown changes nothing there.
func told(notes []survey.Note, style unit.Style) (assumed, warnings, cautions []string, out []rejected) {
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

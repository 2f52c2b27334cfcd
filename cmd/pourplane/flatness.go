package main

import (
	"cmp"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"

	"github.com/spf13/cobra"
)

type flatnessFlags struct {
	flatOptions
	out             string
	asJSON, verbose bool
}

// flatOptions are what a judgement takes beside a job.
type flatOptions struct {
	step      string // between the readings of runs
	runs      string // from-file or laid-out; empty: from the file, if it has any
	before    string // survey before the pour
	poured    bool   // lines without elevations in the outline were steps, and are joints now
	leastArea float64
}

// judging is what a job says of how flat its floor is to be.
type judging struct {
	input
	targetFlags
	runs, tolerance, title       string
	before, ordered, pass, yield string
	straightedges, rules         []string
	poured                       bool
	leastArea                    float64
	held                         *work          // of a job: the plane and the floor before, to hold the poured floor against
	house                        []flatness.Row // limits of a job's own
}

// judgeFloor judges the floor of a job, before a pour or after it.
func judgeFloor(j *job.Job, o flatOptions, files fs.FS, watch Watch) (*judged, error) {
	f := judgedBy(j)
	f.step, f.runs, f.before, f.poured, f.leastArea, f.files = o.step, o.runs, o.before, o.poured, o.leastArea, files
	return f.compute(j.Paths(j.Survey.Files), watch)
}

func newFlatness() *cobra.Command {
	var f flatnessFlags
	var j job.Job
	c := &cobra.Command{
		Use:   "flatness SURVEY...",
		Short: "How flat and how level a floor is, by which measure, and what to do about it",
		Long: `flatness judges a floor, before a pour or after it. From runs of readings at 12 in or
300 mm it works out F-numbers and chord departures; from a survey of the whole floor
the gaps under straightedges of any length, in every direction, the departures from
the plane, and runs laid out over it where the shots are dense enough. Each published
limit is held against what was measured, and the highs to grind and the lows to fill
are listed with their places. A straightedge is judged only where readings are no
farther apart than a third of its length; else it is "not measured", with the spacing
that would do.

Runs are a file with columns run, station (or order, and step) and a reading or
elevation, or with one row a run and all its readings in one cell.

F-numbers are by the method of ASTM E1155, constants not checked against a bought
copy; the settings are printed with how each is known.`,
		Example: `  # runs of readings, as measured
  pourplane flatness lines.csv --outline walls.csv

  # the floor after the pour: straightedges of 10 ft and 2 ft, places more than 1/8 in off
  pourplane flatness check.csv --outline walls.csv --poured --benchmark BM1=100ft --straightedge 10ft --straightedge 2ft --target 99.93ft --tolerance 1/8in --out result

  # only what the tile setter asks
  pourplane flatness check.csv --outline walls.csv --poured --benchmark BM1=100ft --rule tile-large

  # what was placed, against what was ordered
  pourplane flatness check.csv --outline walls.csv --poured --benchmark BM1=100ft --before survey.csv --ordered 7.75yd3 --target 99.93ft`,
		Args: func(c *cobra.Command, files []string) error {
			if slices.Contains(j.Flatness.Rules, "list") {
				return nil
			}
			return someFiles(c, files)
		},
		RunE: func(c *cobra.Command, files []string) error {
			j.Survey.Files = files
			return f.run(c, &j)
		},
	}
	jobFlags(c, &j)
	s := c.Flags()
	s.StringVar(&f.step, "step", "", "distance `L` between the readings of runs, where the file does not say; of runs laid out, 12in (default) or 300mm")
	s.StringVar(&f.runs, "runs", "", "`WHICH` runs: from-file, or laid-out over the surface (default from-file if there are any)")
	s.BoolVar(&f.poured, "poured", false, "the floor is one: lines without elevations in the outline were steps, and are joints now")
	s.StringVar(&f.before, "before", "", "survey `FILE` of the same floor before the pour, for what was placed")
	s.Float64Var(&f.leastArea, "least-area", leastMark, "highs and lows smaller than `M2` square metres are counted, not listed: noise of a scan")
	s.StringVar(&f.out, "out", "", "folder `DIR` for maps and result; made if need be")
	s.BoolVar(&f.asJSON, "json", false, "print the result as one JSON object, SI units, and nothing else")
	s.BoolVar(&f.verbose, "verbose", false, "print everything: all runs, rules of sampling, places and limits, all notes")
	complete(c, "runs", "from-file", "laid-out")
	complete(c, "rule", ruleNames()...)
	return c
}

// ruleNames lists the rules of the table, each once.
func ruleNames() []string {
	var out []string
	for _, r := range flatness.Limits() {
		if !slices.Contains(out, r.Name) {
			out = append(out, r.Name)
		}
	}
	return out
}

// judged is everything that flatness has worked out.
type judged struct {
	survey   *survey.Survey
	style    unit.Style
	floor    *surface.Floor // nil for runs alone
	settings flatness.Settings
	joints   []survey.Breakline
	runs     []survey.Run
	laidOut  bool
	whole    *flatness.Whole // nil without runs that F-numbers take
	why      string          // there are none
	chords   []flatness.Chord
	edges    []laid
	apart    float64 // m between shots, or between readings of the runs; 0: none
	plane    surface.Plane
	fitted   bool // plane is the floor's own, of least squares
	off      flatness.Departures
	area     float64 // m²
	tol      float64
	verdicts []flatness.Verdict
	work     flatness.Work
	raised   *flatness.Compensation // nil where nothing stands high
	finish   *surface.Plane         // of the finished floor; nil where it is not known
	placed   *flatness.Placement
	bed      *flatness.Bedding
	covering surface.Covering
	doors    *work // thresholds under the target; nil without one
	notes    []survey.Note

	title     string
	asked     int     // of edges: the user's own come first
	inJob     bool    // the fill of the job has shown its thresholds
	leastArea float64 // m², of a place that is listed
	covered   bool    // a covering was given
}

// laid is a straightedge on the floor, or along the runs.
type laid struct {
	flatness.Straightedge
	run string // that has the worst place; empty on a surface
}

func (f *judging) check() error {
	switch {
	case f.show != "" && f.show != "metric" && f.show != "feet":
		return &usageError{fmt.Sprintf("--show: found %q, want metric or feet", f.show), ""}
	case f.runs != "" && f.runs != "from-file" && f.runs != "laid-out":
		return &usageError{fmt.Sprintf("--runs: found %q, want from-file or laid-out", f.runs), ""}
	case !(f.leastArea >= 0):
		return &usageError{fmt.Sprintf("--least-area: found %g, want 0 or more", f.leastArea), ""}
	case f.ordered != "" && f.before == "" && f.held == nil:
		return &usageError{"--ordered is held against what was placed", "--before FILE"}
	}
	if f.aimed() {
		return f.targetFlags.check()
	}
	for _, v := range []struct {
		flag  string
		given bool
	}{{"--buildup", f.buildup != ""}, {"--low", f.low != ""}, {"--toward", f.toward != ""}, {"--fall", f.fall != 0}, {"--fall-direction", f.direction != ""}, {"--covering", f.covering != ""},
		{"--bed-least", f.bedLeast != ""}, {"--bed-greatest", f.bedMost != ""}, {"--finish-rule", f.rule != "lowest"}} {
		if v.given {
			return &usageError{v.flag + " goes with a target", "--target Z, or --finish Z"}
		}
	}
	return nil
}

// leastMark is the least area of a high or low that is listed, m²: about a hand's
// breadth and a forearm, less than a grinder covers in one place (common practice, no
// source).
const leastMark = 0.05

func (f *flatnessFlags) run(c *cobra.Command, of *job.Job) error {
	if slices.Contains(of.Flatness.Rules, "list") {
		if f.asJSON {
			return &usageError{"--rule list prints a table for people", "--json with a survey, whose classes hold every rule"}
		}
		_, err := c.OutOrStdout().Write(listRules(unit.Style{Imperial: of.Show == "feet"}))
		return err
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	j, err := judgeFloor(of, f.flatOptions, &disk{stdin: c.InOrStdin}, p.say)
	if err != nil {
		return err
	}
	p.say("listing the result", 0, 0)
	style := j.style
	data, err := indented(newFlat(j))
	if err != nil {
		return err
	}
	var written []output
	if f.out != "" {
		if written, err = drawn(j.pictures(j.title, style), p.say); err != nil {
			return err
		}
		written = append([]output{{"flatness.json", data}, {"places.csv", j.places(style)}}, written...)
		if err := writeAll(f.out, written, append(of.Survey.Files, of.Survey.Outline, f.before)); err != nil {
			return err
		}
	}
	p.end()
	if f.asJSON {
		_, err = c.OutOrStdout().Write(data)
		return err
	}
	text := j.short(style, f.out, written)
	if f.verbose {
		text = j.print(style, f.out, written)
	}
	_, err = c.OutOrStdout().Write(text)
	return err
}

// unknownRule refuses a rule that there is not, with the one that may be meant.
func unknownRule(err error, asked []string) error {
	hint, known := "--rule list", ruleNames()
	for _, name := range asked {
		if near := job.Nearest(name, known); near != "" && !slices.Contains(known, name) {
			hint = "did you mean --rule " + near + "? " + hint + " prints all"
			break
		}
	}
	return &usageError{"--rule: " + strings.TrimPrefix(err.Error(), "rule: "), hint}
}

// compute reads the surveys of a floor and judges it.
func (f *judging) compute(files []string, watch Watch) (*judged, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	rows, err := flatness.Choose(slices.Concat(flatness.Limits(), f.house), f.rules...)
	if err != nil {
		return nil, unknownRule(err, f.rules)
	}
	if len(f.rules) == 0 {
		for _, r := range flatness.Limits() {
			if !strings.Contains(r.Class, "walls") { // DIN 18202 has rows for these as well
				rows = append(rows, r)
			}
		}
		rows = append(rows, f.house...)
	}
	f.laysOut = f.runs != "from-file"
	f.another = f.before != ""
	f.marksLater = f.before != ""
	f.apart = f.apart || f.before != ""
	s, err := f.read(files, watch)
	if err != nil {
		return nil, err
	}
	j := &judged{survey: s, style: styleOf(s, f.show), title: cmp.Or(f.title, filepath.Base(s.Name)), inJob: f.held != nil, leastArea: f.leastArea, covered: f.covering != ""}
	j.notes = append(j.notes, ownFoot(j.style)...)
	return j, inFile(f.judge(j, rows, j.style, watch), files[0])
}

// judge measures all that the survey carries and holds it against the rows.
func (f *judging) judge(j *judged, rows []flatness.Row, style unit.Style, watch Watch) error {
	s := j.survey
	j.joints = s.Breaklines
	if f.poured {
		s.Breaklines = slices.DeleteFunc(slices.Clone(s.Breaklines), func(l survey.Breakline) bool {
			return !slices.ContainsFunc(l.Points, survey.Point.HasZ)
		})
	}
	if len(s.Points) > 0 || len(s.Surfaces) > 0 {
		watch.say("triangulating", 0, 0)
		floor, err := f.judgedFloor(s, style)
		if err != nil {
			return err
		}
		j.floor = floor
		j.notes = append(append(j.notes, floor.Notes...), compassNote(floor)...)
	}
	j.notes = append(slices.Clone(s.Notes), j.notes...)
	if j.floor == nil && len(s.Runs) == 0 {
		return &survey.Error{Pos: survey.Pos{File: s.Name}, Found: "neither shots nor runs", Want: "a survey of the floor, or runs of readings", Hint: "pourplane read tells what the file holds"}
	}
	if err := oneRun(s, style); err != nil {
		return err
	}
	// What is measured does not change with what is shown.
	own := unit.Style{Imperial: s.Unit.Imperial() || s.Unit == unit.None && s.Plan.Imperial()}
	if err := f.measureRuns(j, own); err != nil {
		return err
	}
	if err := f.measurePlane(j, own, style); err != nil {
		return err
	}
	if err := f.layEdges(j, rows, own, style, watch); err != nil {
		return err
	}
	if err := f.measureBefore(j, style, watch); err != nil {
		return err
	}
	m, err := f.measured(j)
	if err != nil {
		return err
	}
	j.verdicts = flatness.Judge(m, rows, j.settings)
	j.notes = append(j.notes, f.given.notes()...)
	return nil
}

// judgedFloor makes the floor that a survey describes. It refuses one of which a few
// shots are far above or below the others.
func (f *judging) judgedFloor(s *survey.Survey, style unit.Style) (*surface.Floor, error) {
	floor, err := f.floor(s, style)
	if err != nil {
		return nil, err
	}
	return floor, f.strayFromOthers(s, floor, style)
}

// measureRuns works out F-numbers and chords.
func (f *judging) measureRuns(j *judged, own unit.Style) error {
	s := j.survey
	if f.step != "" {
		v, err := f.given.parse("--step", f.step)
		if err != nil {
			return err
		}
		j.settings.Step = v
	} else if !own.Imperial {
		j.settings.Step = 0.3
	}
	var sections []flatness.Section
	switch {
	case f.runs == "from-file" && len(s.Runs) == 0:
		return &survey.Error{Pos: survey.Pos{File: s.Name}, Found: "no runs", Want: "columns run, station and reading, or one row a run", Hint: "--runs laid-out reads runs off a dense surface"}
	case f.runs != "laid-out" && len(s.Runs) > 0:
		var notes []survey.Note
		sections, notes = flatness.SectionsOf(s.Runs, s.Rings, j.joints)
		j.notes = append(j.notes, notes...)
		if len(sections) == 0 {
			return &survey.Error{Pos: s.Runs[0].At, Element: "run " + s.Runs[0].Name, Found: "all runs outside the outline", Want: "runs on the floor", Hint: "check that both are of one site grid, or leave --outline out"}
		}
		for _, sec := range sections {
			j.runs = append(j.runs, sec.Runs...)
		}
	case j.floor == nil:
		return &survey.Error{Pos: survey.Pos{File: s.Name}, Found: "runs and no surface", Want: "shots over the floor to lay runs on", Hint: "--runs from-file"}
	default:
		j.laidOut = true
		laid, notes, err := flatness.LayOut(j.floor, j.joints, j.settings)
		j.notes = append(j.notes, notes...)
		if err != nil {
			if f.runs == "laid-out" {
				return err
			}
			j.why = err.Error()
			return nil
		}
		sections = laid
		for _, sec := range laid {
			j.runs = append(j.runs, sec.Runs...)
		}
	}
	var results []*flatness.Result
	for _, sec := range sections {
		r, err := flatness.Measure(sec, j.settings)
		if err != nil {
			j.notes = append(j.notes, survey.Notef(survey.Warning, survey.Pos{}, "F-numbers: %v", err))
			j.why = err.Error()
			continue
		}
		results = append(results, r)
		j.notes = append(j.notes, r.Notes...)
	}
	if len(results) > 0 {
		whole, err := flatness.Combine(results, j.settings)
		if err != nil {
			return err
		}
		j.whole, j.why = whole, ""
	}
	chords, err := flatness.Chords(j.runs)
	if err != nil {
		j.notes = append(j.notes, survey.Notef(survey.Warning, survey.Pos{}, "chord departures: %v", err))
	}
	j.chords = chords
	return nil
}

// measurePlane finds the plane that the floor is held against: the target, or the
// floor's own.
func (f *judging) measurePlane(j *judged, own, style unit.Style) error {
	if j.floor == nil {
		if f.aimed() {
			return &survey.Error{Pos: survey.Pos{File: j.survey.Name}, Found: "runs and no surface", Want: "shots over the floor to hold against a target"}
		}
		for _, v := range []struct {
			flag  string
			given bool
		}{{"--tolerance", f.tolerance != ""}, {"--grind-pass", f.pass != ""}, {"--bag-yield", f.yield != ""}, {"--least-area", f.leastArea != leastMark}} {
			if v.given && f.held == nil {
				return &usageError{fmt.Sprintf("%s is for highs and lows of a surface; %s has runs alone", v.flag, j.survey.Name), "leave " + v.flag + " out"}
			}
		}
		return nil
	}
	j.tol = 0.003
	if own.Imperial {
		j.tol = 0.0254 / 8
	}
	if f.tolerance != "" {
		v, err := f.given.parse("--tolerance", f.tolerance)
		if err != nil {
			return err
		}
		j.tol = v
	}
	if f.aimed() {
		if f.held != nil {
			j.plane, j.finish = f.held.fill.Target, f.held.finish
		} else {
			p, err := f.plane(&f.given, j.survey, j.floor, style)
			if err != nil {
				return err
			}
			j.plane, j.finish, j.notes = p.plane, p.finish, append(j.notes, p.notes...)
		}
		if f.finish != "" {
			z, err := f.given.parse("--finish", f.finish)
			if err != nil {
				return err
			}
			whole := j.plane
			whole.Z = z
			j.finish = &whole
		}
	} else {
		d, err := j.floor.Describe()
		if err != nil {
			return &survey.Error{Pos: survey.Pos{File: j.survey.Name}, Found: "shots that carry no plane over the whole floor: too few, or in too narrow a strip",
				Want: "shots on both sides of the floor", Hint: "or measure from a target: --target Z", Err: err}
		}
		j.plane, j.fitted = d.Plane, true
	}
	j.off = flatness.Depart(j.floor, j.plane, j.tol)
	j.area = j.floor.To(j.plane, nil).Area
	rates := flatness.Rates{Pass: 0.001, LeastArea: f.leastArea}
	if own.Imperial {
		rates.Pass = 0.0254 / 32
	}
	if f.pass != "" {
		v, err := f.given.parse("--grind-pass", f.pass)
		if err != nil {
			return err
		}
		rates.Pass = v
	}
	if f.yield != "" {
		v, err := unit.ParseVolume(f.yield)
		if err != nil || !(v > 0) {
			return &usageError{fmt.Sprintf("--bag-yield: found %q, want a volume such as 0.5ft3 or 12l", f.yield), ""}
		}
		rates.BagYield = v
	}
	work, err := flatness.Marks(j.floor, j.plane, j.tol, rates)
	if err != nil {
		return err
	}
	j.work = work
	j.notes = append(j.notes, flatness.Cautions(work)...)
	if work.Grind > 0 {
		// Grinding is the last resort: how far the plane would have to rise.
		deepest := j.off.Highest - j.off.Lowest
		if f.bedMost != "" {
			if deepest, err = f.deepest(j); err != nil {
				return err
			}
		}
		c, err := flatness.Compensate(j.floor, j.plane, j.tol, deepest)
		if err != nil {
			return err
		}
		j.raised = &c
	}
	return nil
}

// deepest returns how far below the plane the floor may lie for the greatest bed: less
// the bed that is there on the plane itself, where the finished level is known.
func (f *judging) deepest(j *judged) (float64, error) {
	most, err := f.given.parse("--bed-greatest", f.bedMost)
	if err != nil || j.finish == nil || f.covering == "" {
		return most, err
	}
	covering, err := f.given.parse("--covering", f.covering)
	if err != nil {
		return 0, err
	}
	at := j.floor.Regions[0].Rings[0][0] // the two are parallel
	return max(0, most-(j.finish.Elevation(at)-covering-j.plane.Elevation(at))), nil
}

// layEdges lays every straightedge that is asked for, by the user or by a rule.
func (f *judging) layEdges(j *judged, rows []flatness.Row, own, style unit.Style, watch Watch) error {
	var lengths []float64
	add := func(v float64) {
		if v > 0 && !slices.ContainsFunc(lengths, func(o float64) bool { return math.Abs(o-v) < 1e-9 }) {
			lengths = append(lengths, v)
		}
	}
	for _, text := range f.straightedges {
		v, err := f.given.parse("--straightedge", text)
		if err != nil {
			return err
		}
		add(v)
	}
	if len(f.straightedges) == 0 {
		if own.Imperial {
			add(10 * unit.Foot.Metres())
		} else {
			add(2)
		}
	}
	j.asked = len(lengths)
	for _, r := range rows {
		switch r.Kind {
		case flatness.ByStraightedge, flatness.ByStep:
			add(r.Length)
		case flatness.BySupports:
			for _, l := range flatness.SupportLengths() {
				add(l)
			}
		}
	}
	slices.Sort(lengths[j.asked:])
	if j.floor != nil {
		all, err := flatness.LayAll(j.floor, flatness.Laying{Target: j.plane, Progress: func(done, total int) {
			watch.say(fmt.Sprintf("laying %d straightedges", len(lengths)), int64(done), int64(total))
		}}, lengths...)
		if err != nil {
			return tooWide(j.survey, err, style)
		}
		for _, e := range all {
			j.edges = append(j.edges, laid{Straightedge: e})
		}
	} else {
		for _, l := range lengths {
			e, run, err := flatness.LayAlongRuns(j.runs, flatness.Laying{Length: l})
			if err != nil {
				return err
			}
			j.edges = append(j.edges, laid{e, run})
		}
	}
	j.measureApart()
	for _, e := range j.edges[:j.asked] {
		if text := j.tooSparse(e.Length, style); text != "" {
			j.notes = append(j.notes, survey.Notef(survey.Warning, survey.Pos{}, "straightedge of %s: %s", edgeLength(e.Length, style), text).About(survey.AboutFlatness))
		}
	}
	return nil
}

// measureApart finds how far apart the readings are that straightedges rest on.
func (j *judged) measureApart() {
	if j.floor != nil {
		j.apart = flatness.Apart(j.floor)
		return
	}
	for _, r := range j.runs {
		j.apart = max(j.apart, r.Step)
	}
}

// tooSparse says why a straightedge of a length carries no verdict; empty if it does.
func (j *judged) tooSparse(length float64, style unit.Style) string {
	if j.settings.Carries(j.apart, length) {
		return ""
	}
	return "not measured: " + j.sparse(j.settings.Wanted(length), style)
}

// readings is what straightedges rest on.
func (j *judged) readings() string {
	if j.floor == nil {
		return "readings"
	}
	return "shots"
}

// sparse says that readings are too far apart, and what would do.
func (j *judged) sparse(wanted float64, style unit.Style) string {
	return fmt.Sprintf("%s %s apart, max %s needed", j.readings(), style.Length(j.apart), style.Length(wanted))
}

// measureBefore works out what was placed between two surveys.
func (f *judging) measureBefore(j *judged, style unit.Style, watch Watch) error {
	if f.before == "" && f.held == nil {
		return nil
	}
	if j.floor == nil {
		return &survey.Error{Pos: survey.Pos{File: j.survey.Name}, Found: "runs and no surface", Want: "a survey of the whole floor to hold against the one before"}
	}
	var before *surface.Floor
	if f.held != nil {
		before = f.held.floor
	} else {
		s, err := f.read([]string{f.before}, watch)
		if err != nil {
			return err
		}
		if err := f.marksFound(j.survey, s); err != nil {
			return err
		}
		if name, want := strangeSheet(f.origins, j.survey, s); name != "" {
			return &usageError{fmt.Sprintf("--grid-origin: found no sheet %s, want %s", name, want), ""}
		}
		if before, err = f.judgedFloor(s, style); err != nil {
			return err
		}
	}
	var ordered float64
	if f.ordered != "" {
		var err error
		if ordered, err = unit.ParseVolume(f.ordered); err != nil || !(ordered > 0) {
			return &usageError{fmt.Sprintf("--ordered: found %q, want a volume such as 7.75yd3 or 6m3", f.ordered), ""}
		}
	}
	placed, err := flatness.Placed(before, j.floor, ordered)
	if err != nil {
		return err
	}
	j.placed = &placed
	return nil
}

// measured puts together what the rows ask for.
func (f *judging) measured(j *judged) (flatness.Measured, error) {
	m := flatness.Measured{F: j.whole}
	m.GapAt = func(length float64) (flatness.Reading, bool) {
		for _, e := range j.edges {
			if math.Abs(e.Length-length) < 1e-9 && e.Fits {
				return flatness.Reading{Value: e.Gap, From: e.SupportA, To: e.SupportB, Share: e.Within, Apart: j.apart}, true
			}
		}
		return flatness.Reading{}, false
	}
	m.StepAt = func(length float64) (flatness.Reading, bool) {
		for _, e := range j.edges {
			if math.Abs(e.Length-length) < 1e-9 && e.Fits && e.run == "" {
				return flatness.Reading{Value: e.Step, From: e.StepAt.From, To: e.StepAt.To, Apart: j.apart}, true
			}
		}
		return flatness.Reading{}, false
	}
	if j.floor != nil {
		if !j.fitted {
			r := j.off.Reading(j.floor, j.plane)
			m.Datum = &r
		}
		if e, err := flatness.FreeMovementE(j.floor); err == nil {
			m.PropertyE = &e
		}
	}
	if e, err := flatness.FreeMovementF(j.runs); err == nil && len(j.runs) > 0 {
		m.PropertyF = &e
	}
	if j.floor != nil && f.aimed() {
		s := *j.survey
		if len(s.Finished) == 0 && f.held != nil {
			s.Finished = f.held.survey.Finished
			j.floor.Thresholds = s.Finished
		}
		t, c, err := f.thresholds(&f.given, &s, j.plane)
		if err != nil {
			return m, err
		}
		// Judged is the floor that is there, not the one that was planned.
		var finished []survey.Point
		for i := range t {
			if p := t[i].Point; !math.IsNaN(p.X + p.Y) {
				finished = append(finished, p)
			}
		}
		t = surface.ThresholdsOn(j.floor, finished, c)
		j.doors = &work{style: j.style, surveyed: true, thresholds: t, covering: c, covered: f.buildup != "" || f.bedMost != ""}
		if f.finish == "" {
			j.doors.finish = j.finish // made by a rule
		}
		if f.covering != "" || f.buildup != "" {
			m.Thresholds, j.covering = t, c
		}
		if c.Thickness > 0 && j.finish != nil {
			v := flatness.Bed(j.floor, *j.finish, c.Thickness)
			j.bed = &v
		}
	}
	return m, nil
}

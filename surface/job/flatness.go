package job

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"strconv"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// FlatOptions are the settings of a judgement that are not in the job.
type FlatOptions struct {
	Step      string // step between the readings of runs
	Runs      string // from-file or laid-out; empty: from the file, if it has any
	Before    string // survey before the pour
	Poured    bool   // lines without elevations in the outline were steps and are now joints
	LeastArea float64
}

// judging is the part of a job about the flatness of its floor.
type judging struct {
	input
	targetFlags
	runs, tolerance, title       string
	before, ordered, pass, yield string
	straightedges, rules         []string
	poured                       bool
	leastArea                    float64
	held                         *Filled        // for a job: the plane and the floor before the pour, with which the poured floor is compared
	left                         []PartLeft     // parts of the floor judged that are not filled
	house                        []flatness.Row // the user's own limits
}

// Judge judges the floor of a job, before a pour or after it.
func Judge(j *Job, o FlatOptions, files fs.FS, watch Watch) (*Judged, error) {
	f := judgedBy(j)
	f.step, f.runs, f.before, f.poured, f.leastArea, f.Files = o.Step, o.Runs, o.Before, o.Poured, o.LeastArea, files
	return f.compute(j.paths(j.Survey.Files), watch)
}

// RuleNames lists the rules of the table, each once.
func RuleNames() []string {
	var out []string
	for _, r := range flatness.Limits() {
		if !slices.Contains(out, r.Name) {
			out = append(out, r.Name)
		}
	}
	return out
}

func (f *judging) check() error {
	switch {
	case f.show != "" && f.show != "metric" && f.show != "feet":
		return misused("show", strconv.Quote(f.show), "metric or feet")
	case f.runs != "" && f.runs != "from-file" && f.runs != "laid-out":
		return misused("runs", strconv.Quote(f.runs), "from-file or laid-out")
	case !(f.leastArea >= 0):
		return misused("least-area", fmt.Sprint(f.leastArea), "0 or more")
	case f.second != "" && f.before == "" && f.held == nil:
		return misuse("before-sheet", "%s goes with %s", unit.Ask("before-sheet", ""), unit.Flag("before")).Hinted("%s FILE", unit.Flag("before"))
	case f.ordered != "" && f.before == "" && f.held == nil:
		return misuse("ordered", "%s is held against what was placed", unit.Ask("ordered", "")).Hinted("%s FILE", unit.Flag("before"))
	}
	if f.aimed() {
		return f.targetFlags.check()
	}
	for _, v := range []struct {
		field string
		given bool
	}{{"setup-sd", f.setup != ""}, {"buildup", f.buildup != ""}, {"low", f.low != ""}, {"toward", f.toward != ""}, {"fall", f.fall != 0}, {"fall-direction", f.direction != ""}, {"walls", f.walls != ""}, {"ramp", len(f.ramps) > 0}, {"covering", f.covering != ""},
		{"bed-least", f.bedLeast != ""}, {"bed-greatest", f.bedMost != ""}, {"finish-rule", f.rule != "lowest"}} {
		if v.given {
			return misuse(v.field, "%s goes with a target", unit.Ask(v.field, "")).Hinted("%s, or %s", unit.Ask("target", "Z"), unit.Ask("finish", "Z"))
		}
	}
	return nil
}

// LeastMark is the min area, m², of a listed high or low: about a hand by a forearm,
// less than a grinder covers in one place (common practice, no source).
const LeastMark = 0.05

// unknownRule refuses an unknown rule and names the most similar one.
func unknownRule(err error, asked []string) error {
	known := RuleNames()
	hint := unit.Textf("pourplane flatness %s list", unit.Flag("rule"))
	for _, name := range asked {
		if near := Nearest(name, known); near != "" && !slices.Contains(known, name) {
			hint = unit.Textf("did you mean %s? %s prints all", unit.Ask("rule", near), hint)
			break
		}
	}
	var e *survey.Error
	if !errors.As(err, &e) {
		return err
	}
	return misused("rule", e.Found, e.Want).Hinting(hint)
}

// chosenRules returns the rows of the rules asked for.
func (f *judging) chosenRules() ([]flatness.Row, error) {
	rows, err := flatness.Choose(slices.Concat(flatness.Limits(), f.house), f.rules...)
	if err != nil {
		return nil, unknownRule(err, f.rules)
	}
	return rows, nil
}

// flatnessSaid refuses what is wrong in the flatness table of a job, which may be long
// before there is a survey after the pour.
func flatnessSaid(j *Job) error {
	f := judgedBy(j)
	var err error
	if f.house, err = houseRules(j); err != nil {
		return err
	}
	_, err = f.chosenRules()
	errs := []error{err}
	_, err = f.orderedVolume()
	errs = append(errs, err)
	_, err = f.rates(false)
	errs = append(errs, err)
	_, err = f.asked()
	errs = append(errs, err)
	_, err = f.tolerated(false)
	errs = append(errs, err)
	_, err = f.accuracy(&survey.Survey{})
	errs = append(errs, err)
	return InJob(j, errors.Join(errs...))
}

// orderedVolume returns the volume that was ordered, m³; 0 if it is not given.
func (f *judging) orderedVolume() (float64, error) {
	if f.ordered == "" {
		return 0, nil
	}
	v, err := unit.ParseVolume(f.ordered)
	if err != nil || !(v > 0) {
		return 0, misused("ordered", strconv.Quote(f.ordered), "a volume such as 7.75yd3 or 6m3")
	}
	return v, nil
}

// compute reads the surveys of a floor and judges it.
func (f *judging) compute(files []string, watch Watch) (*Judged, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	rows, err := f.chosenRules()
	if err != nil {
		return nil, err
	}
	if len(f.rules) == 0 {
		for _, r := range flatness.Limits() {
			if !r.Wall { // DIN 18202 has such rows as well
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
	if f.held != nil {
		if err := f.apartFrom(f.held.Survey, s, s); err != nil {
			return nil, err
		}
	}
	j := &Judged{Survey: s, Title: cmp.Or(f.title, filepath.Base(s.Name)), InJob: f.held != nil, LeastArea: f.leastArea, Covered: f.covering != ""}
	j.Notes = append(j.Notes, ownFoot(s, f.show)...)
	if err := inFile(survey.ErrorIn(f.judge(j, rows, watch), StyleOf(s, f.show)), files[0]); err != nil {
		return nil, err
	}
	return j, nil
}

// whereDoors adds to a refusal for want of finished floors what can stand in for them: the survey
// before the pour often has the doors, and the one after it none.
func (f *judging) whereDoors(err error) error {
	var e *survey.Error
	if f.held != nil || f.before != "" || !errors.Is(err, errNoCode) || !errors.As(err, &e) {
		return err
	}
	return e.AlsoHinted("; if the survey before the pour has them, %s FILE; if their elevation is known, %s %s", unit.Flag("before"), unit.Ask("finish", "Z"), unit.Ask("buildup", cmp.Or(f.buildup, "H")))
}

// judge measures everything that the survey allows and compares it with the rows.
func (f *judging) judge(j *Judged, rows []flatness.Row, watch Watch) error {
	s := j.Survey
	if err := f.doorsBefore(j, watch); err != nil {
		return err
	}
	j.joints = s.Breaklines
	if f.poured {
		s.Breaklines = slices.DeleteFunc(slices.Clone(s.Breaklines), func(l survey.Breakline) bool {
			return !slices.ContainsFunc(l.Points, survey.Point.HasZ)
		})
	}
	if len(s.Points) > 0 || len(s.Surfaces) > 0 {
		watch.Say("triangulating", 0, 0)
		var named *survey.Survey // in which the target names shots; nil: in s
		if f.held != nil {
			named = f.held.Survey
		}
		floor, err := f.judgedFloor(s, named)
		if err != nil {
			return err
		}
		j.Floor, j.NotFilled = floor, f.left
		j.Notes = append(j.Notes, leftNotes(f.left)...)
		j.Notes = append(append(j.Notes, ofVerdict(floor.Notes)...), compassNote(floor)...)
	}
	j.Notes = append(slices.Clone(s.Notes), j.Notes...)
	if j.Floor == nil && len(s.Runs) == 0 {
		return &survey.Error{Pos: survey.Pos{File: s.Name}, Found: "neither shots nor runs", Want: "a survey of the floor, or runs of readings", Hint: "pourplane read shows what the file holds"}
	}
	if err := oneRun(s); err != nil {
		return err
	}
	var err error
	if j.Accuracy, err = f.accuracy(s); err != nil {
		return err
	}
	j.Notes = append(j.Notes, j.Accuracy.notes(survey.AboutFlatness)...)
	// Measurements do not change with the units shown.
	us := s.Unit.Imperial() || s.Unit == unit.None && s.Plan.Imperial()
	for _, step := range []func() error{
		f.stopped,
		func() error { return f.measureRuns(j, us) },
		f.stopped,
		func() error { return f.measurePlane(j, us) },
	} {
		if err := step(); err != nil {
			return f.whereDoors(err)
		}
	}
	if err := f.layEdges(j, rows, us, watch); err != nil {
		return err
	}
	if err := f.measureBefore(j, watch); err != nil {
		return err
	}
	if err := f.betweenShots(j, rows); err != nil {
		return err
	}
	m, err := f.measured(j)
	if err != nil {
		return err
	}
	j.Verdicts = flatness.Judge(m, rows, j.Settings)
	if err := f.standsAfter(j, watch); err != nil {
		return err
	}
	j.Notes = append(j.Notes, f.given.notes()...)
	return nil
}

// ofVerdict turns notes of a floor into notes of flatness: a warning about the order
// becomes one about the verdict.
func ofVerdict(notes []survey.Note) []survey.Note {
	out := slices.Clone(notes)
	for i := range out {
		if out[i].Topic == survey.AboutOrder {
			out[i].Topic = survey.AboutFlatness
		}
	}
	return out
}

// judgedFloor makes the floor of a survey. It refuses a floor with a few shots far above
// or below the others. other is as for
// [targetFlags.takeFinished].
func (f *judging) judgedFloor(s, other *survey.Survey) (*surface.Floor, error) {
	if err := f.takeFinished(s, other); err != nil {
		return nil, err
	}
	floor, err := f.floor(s)
	if err != nil {
		return nil, err
	}
	if err := f.askBegun(s, floor, f.targetFlags.codes); err != nil {
		return nil, err
	}
	if err := f.strayFromOthers(s, floor); err != nil {
		return nil, err
	}
	floor, f.left, err = f.toFill(&f.targetFlags, s, floor, nil)
	return floor, err
}

// measureRuns works out F-numbers and chords.
func (f *judging) measureRuns(j *Judged, us bool) error {
	s := j.Survey
	if f.step != "" {
		v, err := f.given.Parse("step", f.step)
		if err != nil {
			return err
		}
		j.Settings.Step = v
	} else if !us {
		j.Settings.Step = 0.3
	}
	var sections []flatness.Section
	switch {
	case f.runs == "from-file" && len(s.Runs) == 0:
		return (&survey.Error{Pos: survey.Pos{File: s.Name}, Found: "no runs", Want: "columns run, station and reading, or one row a run"}).Hinted("%s laid-out reads runs off a dense surface", unit.Flag("runs"))
	case f.runs != "laid-out" && len(s.Runs) > 0:
		var notes []survey.Note
		sections, notes = flatness.SectionsOf(s.Runs, f.filledRings(s.Rings), j.joints)
		j.Notes = append(j.Notes, notes...)
		if len(sections) == 0 {
			return (&survey.Error{Pos: s.Runs[0].At, Element: "run " + s.Runs[0].Name, Found: "all runs outside the outline", Want: "runs on the floor"}).Hinted("check that both are of one site grid, or %s", unit.LeaveOut("outline"))
		}
		for _, sec := range sections {
			j.Runs = append(j.Runs, sec.Runs...)
		}
	case j.Floor == nil:
		return (&survey.Error{Pos: survey.Pos{File: s.Name}, Found: "runs and no surface", Want: "shots over the floor to lay runs on"}).Hinted("%s from-file", unit.Flag("runs"))
	default:
		j.LaidOut = true
		laid, notes, err := flatness.LayOut(j.Floor, j.joints, j.Settings)
		j.Notes = append(j.Notes, notes...)
		if err != nil {
			if f.runs == "laid-out" {
				return err
			}
			j.Why = unit.Textf("%s", refusal{err})
			return nil
		}
		sections = laid
		for _, sec := range laid {
			j.Runs = append(j.Runs, sec.Runs...)
		}
	}
	j.OnRuns = flatness.CountRuns(sections)
	var results []*flatness.Result
	for _, sec := range sections {
		r, err := flatness.Measure(sec, j.Settings)
		if err != nil {
			j.Notes = append(j.Notes, survey.Notef(survey.Warning, survey.Pos{}, "F-numbers: %s", refusal{err}))
			j.Why = unit.Textf("%s", refusal{err})
			continue
		}
		results = append(results, r)
		j.Notes = append(j.Notes, r.Notes...)
	}
	if len(results) > 0 {
		whole, err := flatness.Combine(results, j.Settings)
		if err != nil {
			return err
		}
		j.Whole, j.Why = whole, unit.Text{}
	}
	chords, err := flatness.Chords(j.Runs)
	if err != nil {
		j.Notes = append(j.Notes, survey.Notef(survey.Warning, survey.Pos{}, "chord departures: %s", refusal{err}))
	}
	j.Chords = chords
	return nil
}

// asked returns the lengths of the straightedges that the user asks for, m.
func (f *judging) asked() (out []float64, err error) {
	for _, text := range f.straightedges {
		v, err := f.given.Parse("straightedge", text)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}

// layEdges lays every straightedge that the user or a rule asks for.
func (f *judging) layEdges(j *Judged, rows []flatness.Row, us bool, watch Watch) error {
	var lengths []float64
	add := func(v float64) {
		if v > 0 && !slices.ContainsFunc(lengths, func(o float64) bool { return math.Abs(o-v) < 1e-9 }) {
			lengths = append(lengths, v)
		}
	}
	asked, err := f.asked()
	if err != nil {
		return err
	}
	for _, v := range asked {
		add(v)
	}
	if len(f.straightedges) == 0 {
		if us {
			add(10 * unit.Foot.Metres())
		} else {
			add(2)
		}
	}
	j.Asked = len(lengths)
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
	slices.Sort(lengths[j.Asked:])
	if j.Floor != nil {
		laid, plane, err := j.underEdges()
		if err != nil {
			return err
		}
		all, err := flatness.LayAll(laid, flatness.Laying{Target: plane, Stop: f.stop, Progress: func(done, total int) {
			watch.Say(fmt.Sprintf("laying %d straightedges", len(lengths)), int64(done), int64(total))
		}}, lengths...)
		if err != nil {
			return tooWide(j.Survey, err)
		}
		for _, e := range all {
			j.Edges = append(j.Edges, Laid{Straightedge: e})
		}
	} else {
		for _, l := range lengths {
			e, run, err := flatness.LayAlongRuns(j.Runs, flatness.Laying{Length: l})
			if err != nil {
				return err
			}
			j.Edges = append(j.Edges, Laid{Straightedge: e, Run: run})
		}
	}
	j.measureApart()
	if err := f.sureEdges(j, watch); err != nil {
		return err
	}
	for _, e := range j.Edges[:j.Asked] {
		if text := j.TooSparse(e.Length); text != (unit.Text{}) {
			if !j.Settings.Carries(j.Apart, e.Length) {
				text = unit.Textf("no verdict: %s", j.far(j.Settings.Wanted(e.Length)))
			}
			j.Notes = append(j.Notes, survey.Notef(survey.Warning, survey.Pos{}, "straightedge of %s: %s. %s", EdgeLength(e.Length), text, j.instead(e.Length)).About(survey.AboutFlatness))
		}
	}
	return nil
}

// measureBefore works out what was placed between two surveys.
func (f *judging) measureBefore(j *Judged, watch Watch) error {
	if f.before == "" && (f.held == nil || j.Floor == nil) {
		return nil
	}
	if j.Floor == nil {
		return &survey.Error{Pos: survey.Pos{File: j.Survey.Name}, Found: "runs and no surface", Want: "a survey of the whole floor to hold against the one before"}
	}
	var before *surface.Floor
	if f.held != nil {
		before = f.held.Old
	} else {
		f.ofSecond()
		s, err := f.read([]string{f.before}, watch)
		if err == nil {
			err = f.apartFrom(s, j.Survey, s)
		}
		if err != nil {
			return err
		}
		j.Notes = append(j.Notes, sheetBefore(s)...)
		if err := f.marksFound(j.Survey, s); err != nil {
			return err
		}
		if name, want := strangeSheet(f.origins, j.Survey, s); name != "" {
			return misused("grid-origin", "no sheet "+name, want)
		}
		if before, err = f.judgedFloor(s, j.Survey); err != nil {
			return err
		}
	}
	ordered, err := f.orderedVolume()
	if err != nil {
		return err
	}
	placed, err := flatness.Placed(before, j.Floor, ordered)
	if err != nil {
		return err
	}
	j.Placed = &placed
	if f.held == nil {
		j.Notes = append(sank(placed, survey.AboutFlatness), j.Notes...)
	}
	return nil
}

// sank warns of a floor that is lower after the pour than before it.
func sank(p flatness.Placement, about survey.Topic) []survey.Note {
	if !p.Sank() {
		return nil
	}
	return []survey.Note{survey.Notef(survey.Warning, survey.Pos{}, "the floor after the pour is lower than before on %s of %s, on average by %s: are the two surveys exchanged? Check that both are on one datum; a slab can settle as well",
		unit.Area(p.LostArea), unit.Area(p.Area), unit.Depth(-p.Mean)).About(about)}
}

// measured collects the measurements for the rows.
func (f *judging) measured(j *Judged) (flatness.Measured, error) {
	m := flatness.Measured{F: j.Whole, Runs: j.OnRuns}
	if f.aimed() && j.Floor != nil {
		_, most, _, err := j.Floor.FallsOf(j.Target)
		if err != nil {
			return m, err
		}
		m.Fall = most
	}
	ofRuns := flatness.Count{} // for a gap
	if j.Floor == nil {
		ofRuns = j.OnRuns
	}
	m.GapAt = func(length float64) (flatness.Reading, bool) {
		for _, e := range j.Edges {
			if math.Abs(e.Length-length) < 1e-9 && e.Fits {
				return flatness.Reading{Value: e.Gap, From: e.SupportA, To: e.SupportB, Share: e.Within, Apart: j.Apart, Count: ofRuns, Sure: e.SureGap, Proof: e.Proof}, true
			}
		}
		return flatness.Reading{}, false
	}
	m.StepAt = func(length float64) (flatness.Reading, bool) {
		for _, e := range j.Edges {
			if math.Abs(e.Length-length) < 1e-9 && e.Fits && e.Run == "" {
				return flatness.Reading{Value: e.Step, From: e.StepAt.From, To: e.StepAt.To, Apart: j.Apart, Sure: e.SureStep}, true
			}
		}
		return flatness.Reading{}, false
	}
	if j.Floor != nil {
		if !j.Fitted {
			r := flatness.AtShots(j.Floor, j.Target)
			r.Apart, r.Count, r.Between = j.Apart, j.Shots, j.Between
			if j.Between == nil {
				r.Lack = flatness.BetweenNot
			}
			r.Sure = j.asStated(flatness.SureDatum(j.Floor, j.Target, j.scatter, j.Accuracy.Setup), 1, j.Accuracy.Setup)
			if proof, ok := flatness.ProveDatum(j.Floor, j.Target, j.ReadingSD, j.Accuracy.Setup); ok {
				r.Proof = &proof
			}
			m.Datum = &r
		}
		if e, err := flatness.FreeMovementE(j.Floor); err == nil {
			e.SD, e.Apart = math.Sqrt2*max(j.ReadingSD, j.between), j.Apart
			m.PropertyE = &e
		}
	}
	if e, err := flatness.FreeMovementF(j.Runs); err == nil && len(j.Runs) > 0 {
		e.SD = math.Sqrt(6) * j.ReadingSD // of h₁ − 2h₂ + h₃
		m.PropertyF = &e
	}
	if j.Floor != nil && f.aimed() {
		s := *j.Survey
		if len(s.Finished) == 0 && f.held != nil {
			s.Finished = f.held.Survey.Finished
			j.Floor.Thresholds = s.Finished
		}
		t, c, err := f.thresholds(&f.given, &s, j.Target)
		if err != nil {
			return m, err
		}
		// The floor judged is the one that exists, not the planned one.
		var finished []survey.Point
		for i := range t {
			if p := t[i].Point; !math.IsNaN(p.X + p.Y) {
				finished = append(finished, p)
			}
		}
		t = surface.ThresholdsOn(j.Floor, finished, c)
		j.Doors = &Filled{Surveyed: true, Thresholds: t, Covering: c, Covered: f.buildup != "" || f.bedMost != ""}
		if f.finish == "" {
			j.Doors.Finish = j.finish // from a finish rule
		}
		if f.covering != "" || f.buildup != "" {
			m.Thresholds, j.Covering = t, c
			m.DoorShots, m.DoorSD = flatness.DoorShots(j.Floor, t), math.Sqrt2*j.ReadingSD
		}
		if c.Thickness > 0 && j.finish != nil {
			v := flatness.Bed(j.Floor, j.finish, c.Thickness)
			j.Bed = &v
		}
	}
	return m, nil
}

package job

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/file"
	"pourplane/survey/unit"
)

// input is how the files of a floor are read: the options of every command that opens a
// survey.
type input struct {
	outline, surface, units, order, instrument, duplicates string
	zeros                                                  string
	benchmarks, codes                                      []string
	retriangulate, despite                                 bool
	step                                                   string // between readings of runs, for commands that read runs
	cells                                                  bool   // the cells of thinned scans are kept
	show                                                   string // system of the numbers shown
	water                                                  bool   // where water stands is worked out
	leaveOut                                               []string
	levelFlags
	gridFlags
	thinFlags
	errorFlags
	given Lengths // lengths in options, and how they are read

	laysOut    bool           // runs may be laid out over the surface with the given step
	afterwards bool           // a second survey is read with the options of the first: some may not apply to it
	another    bool           // a second survey is read with the same options, which may apply to either
	surveys    int            // number of surveys read with the same options, where there may be more than two
	gone       map[string]int // shots of all of them that each of leaveOut removed
	served     []*survey.Survey
	cornerZ    string // what the outline has besides places, as a list of shots has; empty: nothing
	marksLater bool   // benchmarks may belong to another survey: [input.marksFound] is called when both are read
	sourceFlags
}

var roles = map[string]survey.Role{
	"floor": survey.Floor, "outline": survey.Outline, "void": survey.Void,
	"breakline": survey.Break, "finished": survey.Finished, "control": survey.Control,
}

var duplicateRules = map[string]surface.Duplicates{
	"refuse": surface.Refuse, "mean": surface.Mean, "first": surface.First, "last": surface.Last,
}

// options returns the options for the readers.
func (f *input) options() (survey.Options, error) {
	o := survey.Options{Cells: f.cells, Order: f.order, Benchmarks: map[string]float64{}}
	if f.units != "" {
		u, ok := unit.ParseLength(f.units)
		if !ok {
			return o, misused("units", strconv.Quote(f.units), "m, cm, mm, ft, ftUS or in")
		}
		o.Unit = u
	}
	f.given.asked, f.given.show = o.Unit, f.show
	if _, ok := duplicateRules[f.duplicates]; !ok {
		return o, misused("duplicates", strconv.Quote(f.duplicates), "refuse, mean, first or last")
	}
	switch f.zeros {
	case "":
	case "measured":
		o.Zeros = survey.ZerosMeasured
	case "missing":
		o.Zeros = survey.ZerosMissing
	default:
		return o, misused("zeros", strconv.Quote(f.zeros), "measured or missing")
	}
	if f.step != "" {
		if err := f.given.later(&o, "step", f.step, f.step, func(o *survey.Options, v float64) { o.Step = v }); err != nil {
			return o, err
		}
	}
	if f.instrument != "" {
		err := f.given.later(&o, "instrument-height", f.instrument, f.instrument, func(o *survey.Options, v float64) { o.Instrument, o.HasInstrument = v, true })
		if err != nil {
			return o, err
		}
	}
	for _, b := range f.benchmarks {
		name, elev, ok := strings.Cut(b, "=")
		if !ok || name == "" {
			return o, misused("benchmark", strconv.Quote(b), "NAME=ELEV such as BM1=100.00ft")
		}
		err := f.given.later(&o, "benchmark "+name, elev, elev, func(o *survey.Options, v float64) {
			o.Benchmarks = maps.Clone(o.Benchmarks) // one map for each file: their units may differ
			o.Benchmarks[name] = v
		})
		if err != nil {
			return o, err
		}
	}
	if err := f.levelFlags.options(&o, &f.given); err != nil {
		return o, err
	}
	if err := f.gridFlags.options(&o, &f.given); err != nil {
		return o, err
	}
	if err := f.thinFlags.options(&o, &f.given); err != nil {
		return o, err
	}
	if err := f.sourceFlags.options(&o); err != nil {
		return o, err
	}
	var err error
	o.Codes, err = f.codeRoles()
	return o, err
}

// codeRoles returns the roles that the options give codes.
func (f *input) codeRoles() (map[string]survey.Role, error) {
	out := map[string]survey.Role{}
	for _, c := range f.codes {
		code, role, ok := strings.Cut(c, "=")
		r, known := roles[strings.ToLower(role)]
		if !ok || code == "" || !known {
			e := misused("code", strconv.Quote(c), "CODE=ROLE with ROLE floor, outline, void, breakline, finished or control")
			if near := nearestName(role, slices.Sorted(maps.Keys(roles))); near != "" && code != "" {
				e = e.Hinted("did you mean %s?", unit.Ask("code", code+"="+near))
			}
			return nil, e
		}
		out[strings.ToUpper(code)] = r
	}
	return out, nil
}

// open reads the files and joins them into one survey, unchanged.
func (f *input) open(files []string, watch Watch) (*survey.Survey, survey.Options, error) {
	o, err := f.options()
	if err == nil {
		err = f.stopped()
	}
	if err != nil {
		return nil, o, err
	}
	o.Progress = func(done, total int64) { watch.Say(Reading, done, total) }
	o.Progress(0, 0) // the format is found before any progress
	s, err := file.OpenAll(files, o)
	if err != nil {
		return nil, o, f.mistyped(inFile(err, files[0]))
	}
	f.given.knowAll(s)
	s.Notes = append(s.Notes, f.given.notes()...)
	return s, o, nil
}

// inFile sets the file name in the refusals of err that have none.
func inFile(err error, name string) error {
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		var out []error
		for _, e := range many.Unwrap() {
			out = append(out, inFile(e, name))
		}
		return errors.Join(out...)
	}
	if e, ok := err.(*survey.Error); ok && e.Pos == (survey.Pos{}) && e.Field == "" && !e.Usage {
		refusal := *e
		refusal.Pos.File = name
		return &refusal
	}
	return err
}

// StyleOf returns the style of results: as the survey, or as show asks. Feet are those
// of the survey.
func StyleOf(s *survey.Survey, show string) unit.Style {
	style := unit.StyleOf(s.Plan, s.Unit)
	if show != "" {
		style.Imperial = strings.HasPrefix(show, "feet")
	}
	return style
}

// ownFoot notes the foot of the results if it is not the international one.
func ownFoot(s *survey.Survey, show string) []survey.Note {
	style := StyleOf(s, show)
	what := "places and elevations"
	switch {
	case style.Places() != unit.SurveyFoot && style.Elevations() != unit.SurveyFoot:
		return nil
	case style.Places() != unit.SurveyFoot:
		what = "elevations"
	case style.Elevations() != unit.SurveyFoot:
		what = "places"
	}
	return []survey.Note{survey.Notef(survey.Assumed, survey.Pos{}, "%s are shown in US survey feet (ftUS), the unit of the survey", what)}
}

// OpenFloor reads the surveys of a job as a floor to be filled. It also returns how the
// lengths of the job were read.
func OpenFloor(j *Job, files fs.FS, watch Watch) (*survey.Survey, *Lengths, error) {
	f := inputOf(j)
	f.Files = files
	s, err := f.read(j.paths(j.Survey.Files), watch)
	return s, &f.given, err
}

// read opens the files of a floor and joins them into one survey that can be filled.
func (f *input) read(files []string, watch Watch) (*survey.Survey, error) {
	s, o, err := f.open(files, watch)
	if err != nil {
		return nil, err
	}
	if s.Book != nil {
		if err := s.Book.Err(f.despite); err != nil {
			return nil, survey.ErrorIn(err, unit.StyleOf(s.Plan, s.Unit)) // as booked
		}
	}
	if err := s.Unplaced(); err != nil {
		return nil, err
	}
	onlyRuns := f.afterwards && len(s.Points) == 0 && len(s.Runs) > 0 // they need no elevations; the benchmarks are those of the first survey
	if len(o.Benchmarks) > 0 && s.Book == nil && s.RodColumn && !onlyRuns {
		marks := slices.Sorted(maps.Keys(o.Benchmarks))
		return nil, f.noMark(s, files[0], marks)
	}
	if err := f.leave(s); err != nil {
		return nil, err
	}
	if f.outline != "" {
		if err := f.addOutline(s, o); err != nil {
			return nil, err
		}
	}
	if len(s.Rings) == 0 {
		s.Notes = append(s.Notes, s.LostPoints()...)
	}
	return s, f.idle(s)
}

// noMark refuses benchmarks that a list of rod readings does not have.
func (f *input) noMark(s *survey.Survey, file string, marks []string) error {
	e := (&survey.Error{Pos: survey.Pos{File: file}, Found: "no rod reading on " + strings.Join(marks, " nor on "), Marks: marks}).
		Wanted("a row of that name, which %s could serve", unit.Ask("benchmark", "")).Hinted("the name as the file writes it; without such a row, %s", unit.Ask("instrument-height", "H"))
	control := shotNames(&survey.Survey{Control: s.Control, Heights: s.Heights})
	for _, b := range f.benchmarks {
		name, elevation, _ := strings.Cut(b, "=")
		if near := cmp.Or(nearestShot(name, control), nearestName(name, shotNames(s))); near != "" {
			return e.Hinted("did you mean %s? Without such a row, %s", unit.Ask("benchmark", near+"="+elevation), unit.Ask("instrument-height", "H"))
		}
	}
	return e
}

// leave removes the shots that the user lists.
func (f *input) leave(s *survey.Survey) error {
	for _, text := range f.leaveOut {
		which, why, ok := strings.Cut(text, "=")
		if why = strings.TrimSpace(why); !ok || why == "" {
			return misuse("leave-out", "found %q without a reason", text).Hinted("%s; the reason is shown in the result", unit.Ask("leave-out", "NAME=REASON"))
		}
		gone := 0
		s.Points = slices.DeleteFunc(s.Points, func(p survey.Point) bool {
			row := p.At()
			row.Col = 0
			if p.Name() != which && p.At().String() != which && row.String() != which && fmt.Sprintf("%s:%d", filepath.Base(p.At().File), p.At().Line) != which {
				return false
			}
			gone++
			s.Notes = append(s.Notes, survey.Notef(survey.LeftOut, p.At(), "%s left out as asked: %s", cmp.Or(p.Name(), "the shot"), why))
			return true
		})
		if f.surveys > 0 { // another survey may have it: [input.leftOut] is called when all are read
			f.gone[text] += gone
			continue
		}
		if gone == 0 {
			return misuse("leave-out", "no floor shot is %q", which).Hinted("%s, or %s", meant(which, floorNames(s), func(near string) unit.Option { return unit.Ask("leave-out", near+"="+why) }), unit.Ask("leave-out", "FILE:LINE=REASON"))
		}
	}
	return nil
}

// leftOut refuses a shot to leave out that none of several surveys has.
func (f *input) leftOut(surveys []*survey.Survey) error {
	for _, text := range f.leaveOut {
		if f.gone[text] > 0 {
			continue
		}
		which, why, _ := strings.Cut(text, "=")
		var names []string
		for _, s := range surveys {
			names = append(names, floorNames(s)...)
		}
		return misuse("leave-out", "no floor shot of any survey is %q", which).Hinted("%s, or %s", meant(which, names, func(near string) unit.Option { return unit.Ask("leave-out", near+"="+why) }), unit.Ask("leave-out", "FILE:LINE=REASON"))
	}
	return nil
}

func (f *input) addOutline(s *survey.Survey, o survey.Options) error {
	if o.Unit == unit.None {
		o.Unit = s.Plan
	}
	o.Sheet = f.edge
	o.Progress, o.InUnit = nil, nil // no length in the options is for an outline
	edge, err := openOutline(f.outline, o, s.Headed)
	if err != nil {
		return err
	}
	if err := outlineUnit(s, edge); err != nil {
		return survey.ErrorIn(err, StyleOf(s, f.show))
	}
	if len(s.Rings) > 0 {
		s.Notes = append(s.Notes, survey.Notef(survey.Assumed, survey.Pos{File: f.outline}, "this outline is used, not the one in %s", s.Name))
	}
	s.Served.Order = s.Served.Order || edge.Served.Order
	s.Served.Edge = edge.Served.Sheet
	s.Served.Codes = append(s.Served.Codes, edge.Served.Codes...)
	f.cornerZ = heightsOf(edge)
	if edge.RodColumn {
		s.Notes = append(s.Notes, survey.Notef(survey.Warning, survey.Pos{File: f.outline}, "the outline has rod readings, as a list of shots has: are its rows the corners of the walls, in order? If not, %s", unit.LeaveOut("outline")).About(survey.AboutOrder))
	}
	s.Rings = edge.Rings
	s.Breaklines = append(s.Breaklines, edge.Breaklines...)
	s.Notes = append(s.Notes, edge.Notes...)
	return nil
}

// heightsOf names the heights that an outline has, "" if it has none.
func heightsOf(edge *survey.Survey) string {
	if edge.RodColumn {
		return "rod readings"
	}
	for _, r := range edge.Rings {
		if slices.ContainsFunc(r.Points, survey.Point.HasZ) {
			return "elevations"
		}
	}
	return ""
}

// asShots adds to the refusal of an outline that it looks like a list of shots.
func (f *input) asShots(err error) error {
	var e *survey.Error
	if f.cornerZ == "" || !errors.As(err, &e) || e.File != f.outline || e.Hint != "" {
		return err
	}
	return e.Hinted("%s has %s, as a list of shots has: an outline has only the corners of the walls, one a row in order around the room (columns x,y); without one %s",
		f.outline, f.cornerZ, unit.LeaveOut("outline"))
}

// openOutline reads an outline for a survey. The column order of a survey without header
// does not apply to it: it could mirror the room, and no total would show that.
func openOutline(name string, o survey.Options, headed bool) (*survey.Survey, error) {
	if headed || o.Order == "" {
		return file.OpenOutline(name, o)
	}
	o.Order = ""
	edge, err := file.OpenOutline(name, o)
	var e *survey.Error
	if errors.As(err, &e) && slices.ContainsFunc(e.Asks(), func(o unit.Option) bool { return o.Name == "order" }) {
		*e = *e.Hinted("%s applies to the survey; name the outline's own columns in a first row, such as x,y or n,e", unit.Ask("order", ""))
	}
	return edge, err
}

// floor makes the floor of a survey.
func (f *input) floor(s *survey.Survey) (*surface.Floor, error) {
	floor, err := f.built(s)
	if err != nil {
		return nil, f.asShots(err)
	}
	floor.Thresholds = s.Finished
	return floor, f.across(s, floor)
}

// Limits of the size of a floor from side to side, m. Own choice.
const (
	smallestFloor = 0.3
	largestFloor  = 5000
)

// across refuses a floor whose size shows that the plan is in another unit.
func (f *input) across(s *survey.Survey, floor *surface.Floor) error {
	lo, hi := floor.Bounds()
	w := max(hi.X-lo.X, hi.Y-lo.Y)
	if w >= smallestFloor && w <= largestFloor {
		return nil
	}
	file := s.Name
	if f.outline != "" {
		file = f.outline
	}
	size := fmt.Sprintf("%.3g mm", w*1000)
	if w > 1 {
		size = fmt.Sprintf("%.3g km", w/1000)
	}
	return &survey.Error{Pos: survey.Pos{File: file}, Found: fmt.Sprintf("a floor %s across, with x and y in %s", size, cmp.Or(s.Plan, unit.Metre)), Want: "one between 300 mm and 5 km across: is the unit right?",
		Hint: "name the unit in the header, such as x (m) and y (m), or x (ft)"}
}

func (f *input) built(s *survey.Survey) (*surface.Floor, error) {
	if len(s.Points) == 0 && len(s.Surfaces) == 0 && len(s.Outlines) > 0 {
		return nil, (&survey.Error{Pos: survey.Pos{File: s.Name}, Found: fmt.Sprintf("%d outlines and no elevations", len(s.Outlines))}).Wanted("a survey; this file can serve as %s", unit.Ask("outline", ""))
	}
	d := surface.Data{Shots: s.Points, Rings: s.Rings, Lines: s.Breaklines, Duplicates: duplicateRules[f.duplicates]}
	one, err := f.chooseSurface(s)
	if err != nil {
		return nil, err
	}
	if one == nil {
		if err := oneFloor(s, measured(d)); err != nil {
			return nil, err
		}
		floor, err := surface.NewFloor(d)
		if err == nil && floor.Elsewhere != nil {
			floor, err = nil, floor.Elsewhere
		}
		return floor, f.shifted(s, named(s, err))
	}
	if len(s.Points) > 0 {
		s.Notes = append(s.Notes, survey.Notef(survey.Assumed, survey.Pos{File: s.Name}, "surface %q is used; the %d points beside it are not", one.Name, len(s.Points)))
	}
	if len(one.Faces) > 0 && !f.retriangulate {
		if f.outline != "" {
			return nil, misuse("outline", "surface %q comes with faces and has an edge of its own, so %s cannot apply to it", one.Name, unit.Ask("outline", "")).
				Hinted("%s makes new triangles from its points, inside the outline", unit.Ask("retriangulate", ""))
		}
		s.Rows += len(one.Vertices)
		if err := oneFloor(s, one.Vertices); err != nil {
			return nil, err
		}
		return surface.FromFaces(*one)
	}
	d.Shots, d.Lines = one.Points, one.Breaklines
	if len(d.Shots) == 0 && len(d.Lines) == 0 {
		d.Shots = one.Vertices
	}
	s.Rows += len(d.Shots)
	if f.outline == "" {
		d.Rings = one.Rings
	}
	if len(d.Rings) == 0 && len(one.Faces) > 0 {
		edge, err := surface.FromFaces(*one)
		if err != nil {
			return nil, err
		}
		d.Rings = edge.Outlines()
	}
	if err := oneFloor(s, measured(d)); err != nil {
		return nil, err
	}
	floor, err := surface.NewFloor(d)
	return floor, named(s, err)
}

// named sets the file of its survey in an error about a whole floor.
func named(s *survey.Survey, err error) error {
	var e *survey.Error
	if errors.As(err, &e) && e.Element == "" && e.Pos == (survey.Pos{}) {
		named := *e
		named.File = s.Name
		return &named
	}
	return err
}

// shifted shows the option for a grid sheet that misses the outline, with the origin
// that just brings it inside. Only the crew knows where A1 is: many origins fit.
func (f *input) shifted(s *survey.Survey, err error) error {
	var e *survey.Error
	var m *surface.Missed
	if len(s.Sheets) == 0 || !errors.As(err, &e) || !errors.As(err, &m) {
		return err
	}
	refusal := *e
	if len(s.Sheets) == 1 {
		o := s.Sheets[0].Origin
		refusal = *refusal.AlsoFound("; A1 is at %s,%s", f.place(s, o[0]), f.place(s, o[1]))
	}
	if math.IsNaN(m.DX + m.DY) {
		return refusal.Hinted("%s moves A1; else %s", unit.Ask("grid-origin", "X,Y"), refusal.Hint)
	}
	var all []unit.Text
	for _, one := range s.Sheets {
		name := one.Name
		switch {
		case len(s.Sheets) == 1 && len(f.origins) == 0:
		case name == "":
			name = filepath.Base(one.File)
			fallthrough
		default:
			name += "="
		}
		all = append(all, unit.Textf("%s", unit.AskQuoted("grid-origin", name+f.place(s, one.Origin[0]+m.DX)+","+f.place(s, one.Origin[1]+m.DY))))
	}
	what := "the sheet"
	if len(all) > 1 {
		what = "the sheets"
	}
	return refusal.Hinted("give where A1 is on the floor, such as %s: moved by this much %s would just fit, which does not make it the right place", unit.Join(all, " "), what)
}

// place writes a coordinate in the form of an option.
func (f *input) place(s *survey.Survey, m float64) string {
	u := s.Plan
	if u == unit.None {
		u = unit.Metre
	}
	return strconv.FormatFloat(math.Round(m/u.Metres()*1e4)/1e4+0, 'f', -1, 64) + u.String()
}

// chooseSurface returns the surface that the user chooses, nil for a survey of points.
func (f *input) chooseSurface(s *survey.Survey) (*survey.Surface, error) {
	var names []string
	for i := range s.Surfaces {
		names = append(names, unit.Quote(s.Surfaces[i].Name))
	}
	if f.surface != "" {
		i := slices.IndexFunc(s.Surfaces, func(u survey.Surface) bool { return u.Name == f.surface })
		if i < 0 {
			found := "no surface at all"
			if len(names) > 0 {
				found = "the surfaces " + strings.Join(names, ", ")
			}
			return nil, &survey.Error{Pos: survey.Pos{File: s.Name}, Found: found, Want: fmt.Sprintf("a surface named %q", f.surface)}
		}
		return &s.Surfaces[i], nil
	}
	switch len(s.Surfaces) {
	case 0:
		return nil, nil
	case 1:
		return &s.Surfaces[0], nil
	}
	return nil, (&survey.Error{Pos: survey.Pos{File: s.Name}, Found: fmt.Sprintf("%d surfaces: %s", len(names), strings.Join(names, ", ")), Want: "one of them named"}).Hinted("%s", unit.Ask("surface", "NAME"))
}

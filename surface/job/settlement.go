package job

import (
	"io/fs"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/settlement"
	"pourplane/surface/uncertainty"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// SettleOptions are the settings of a comparison of surveys that are not in the job.
type SettleOptions struct {
	Dates     string // of the surveys, with commas; empty: not known
	SameDatum bool   // the elevations are on one datum although no benchmark shows it
}

// Visit is one survey of a floor that was surveyed several times.
type Visit struct {
	Survey   *survey.Survey
	Floor    *surface.Floor
	Name     string    // of its file, or its date
	Date     time.Time // zero if not known
	Accuracy Accuracy
	Setups   int // of the level book; 1 for other surveys
	Shots    int // on the floor, each place once
}

// Settled is how a floor moved between surveys.
type Settled struct {
	Title  string
	Visits []Visit
	Basis  unit.Text // what ties the surveys
	Mark   string    // the benchmark that does; empty: none
	Names  []string  // of the places
	Places []settlement.Place
	Whole  *settlement.Comparison   // from the first survey to the last
	Steps  []*settlement.Comparison // from each survey to the next; nil where too few places are in both
	Change *surface.Floor           // surface of the changes of Whole, m: below 0 is lower
	Area   float64                  // m² of it
	Lower  float64                  // m³ by which the floor is lower, ≥ 0
	Higher float64                  // m³ by which it is higher, ≥ 0
	Speeds *Speeds                  // nil without dates
	Still  Still
	Notes  []survey.Note

	surfaces *bySurface             // nil: places in common are compared
	apart    float64                // m: standard deviation of the mean for what is between places in common; NaN if it is not known
	freedom  float64                // degrees of freedom of apart
	above    surface.Plane          // over every change
	earlier  *settlement.Comparison // from the first survey to the last but one, of three or more; may be nil
}

// Visited names a survey: by its date, or as its file.
func (v Visit) Visited() string {
	if !v.Date.IsZero() {
		return v.Date.Format(time.DateOnly)
	}
	return v.Name
}

// settling is the part of a job about a floor that was surveyed several times.
type settling struct {
	input
	title     string
	dates     string
	sameDatum bool
}

// Settle compares the surveys of a job, each in one file, from the first to the last.
func Settle(j *Job, o SettleOptions, files fs.FS, watch Watch) (*Settled, error) {
	f := &settling{input: inputOf(j), title: j.Title, dates: o.Dates, sameDatum: o.SameDatum}
	f.Files = files
	return f.compare(j.paths(j.Survey.Files), watch)
}

func (f *settling) compare(files []string, watch Watch) (*Settled, error) {
	if f.show != "" && f.show != "metric" && f.show != "feet" {
		return nil, misused("show", strconv.Quote(f.show), "metric or feet")
	}
	if len(files) < 2 {
		return nil, misuse("", "found one survey, want two or more of the same floor, the oldest first").Hinted("pourplane settlement FIRST SECOND")
	}
	if err := f.oneInstrument(); err != nil {
		return nil, err
	}
	dates, err := datesOf(f.dates, len(files))
	if err != nil {
		return nil, err
	}
	r := &Settled{Title: f.title}
	f.another, f.marksLater, f.apart, f.surveys, f.gone = true, true, true, len(files), map[string]int{}
	for i, name := range files {
		v, err := f.visit(name, watch)
		if err != nil {
			return nil, err
		}
		if dates != nil {
			v.Date = dates[i]
		}
		for _, before := range r.Visits {
			if at, same := sameShot(before.Survey, v.Survey); same {
				return nil, &survey.Error{Pos: survey.Pos{File: name, Line: at.Line, Sheet: at.Sheet}, Found: "the readings of " + before.Survey.Name, Want: "another survey of the floor"}
			}
		}
		r.Visits = append(r.Visits, v)
	}
	for i := range r.Visits {
		v := &r.Visits[i]
		watch.Say("triangulating", 0, 0)
		if err := inFile(survey.ErrorIn(f.measure(v), StyleOf(v.Survey, f.show)), files[i]); err != nil {
			return nil, err
		}
	}
	if err := survey.ErrorIn(f.settle(r, watch), StyleOf(r.Visits[0].Survey, f.show)); err != nil {
		return nil, err
	}
	return r, nil
}

// visit reads one survey.
func (f *settling) visit(name string, watch Watch) (Visit, error) {
	s, err := f.read([]string{name}, watch)
	if err != nil {
		return Visit{}, err
	}
	v := Visit{Survey: s, Name: filepath.Base(s.Name), Setups: 1}
	if s.Book != nil {
		v.Setups = max(1, len(s.Book.Setups))
	}
	return v, f.tieable(s)
}

// measure makes the floor of a survey.
func (f *settling) measure(v *Visit) error {
	var err error
	if v.Floor, err = f.floor(v.Survey); err != nil {
		return err
	}
	if err := f.askBegun(v.Survey, v.Floor, nil); err != nil {
		return err
	}
	if err := f.strayFromOthers(v.Survey, v.Floor); err != nil {
		return err
	}
	v.Shots = len(measuredShots(v.Floor))
	v.Accuracy, err = f.accuracy(v.Survey)
	return err
}

// settle compares the visits.
func (f *settling) settle(r *Settled, watch Watch) error {
	var all []*survey.Survey
	for _, v := range r.Visits {
		all = append(all, v.Survey)
	}
	if err := f.marksFound(all...); err != nil {
		return err
	}
	if err := f.leftOut(all); err != nil {
		return err
	}
	if name, want := strangeSheet(f.origins, all...); name != "" {
		return misused("grid-origin", "no sheet "+name, want)
	}
	if err := f.tie(r); err != nil {
		return err
	}
	watch.Say("comparing", 0, 0)
	m := matcher{}
	for _, v := range r.Visits {
		m.add(measuredShots(v.Floor))
	}
	r.Names, r.Places = m.names, m.places
	last := len(r.Visits) - 1
	shots := m.shots
	if first, latest, both := r.commonPlaces(); both < settlement.Fewest || 2*both < min(first, latest) {
		if on := r.onSurfaces(&m, watch); on != nil {
			shots = on
		} else if both < settlement.Fewest {
			return tooFewPlaces(r, &m)
		}
	}
	if err := r.changes(shots); err != nil {
		return err
	}
	if r.surfaces == nil {
		r.apart, r.freedom = r.between(watch)
	}
	var err error
	if r.Whole, err = r.compareVisits(0, last); err != nil {
		return err
	}
	for k := range last {
		step := r.Whole
		if last > 1 {
			step, _ = r.compareVisits(k, k+1) // too few places in both: said as such
		}
		r.Steps = append(r.Steps, step)
	}
	r.speeds()
	r.still()
	r.notes(&m)
	r.Notes = append(append(r.Notes, r.Visits[0].Accuracy.notes(survey.AboutDepth)...), f.given.notes()...)
	return f.stopped()
}

// errors returns the errors of the surveys. From several set-ups the error of each is not
// common to all places, so it counts as one of the readings too.
func (r *Settled) errors() []settlement.Errors {
	var out []settlement.Errors
	for _, v := range r.Visits {
		e := settlement.Errors{Reading: v.Accuracy.Reading, Setup: v.Accuracy.Setup}
		if v.Setups > 1 {
			e.Reading = math.Hypot(e.Reading, e.Setup)
		}
		out = append(out, e)
	}
	return out
}

// between returns the standard deviation of the mean change for what is between the places
// and along the walls, m, as the changes at the places let expect; NaN if they are too few to
// say.
func (r *Settled) between(watch Watch) (sd, freedom float64) {
	watch.Say("weighing what is between the places", 0, 0)
	e := r.errors()
	first, last := e[0], e[len(e)-1]
	m := uncertainty.New(uncertainty.Input{Floor: r.Change, Split: r.Change, Target: r.above, Errors: uncertainty.Errors{
		Reading: math.Hypot(first.Reading, last.Reading), Setup: math.Hypot(first.Setup, last.Setup),
	}})
	v := m.Volume(0)
	if !v.Known {
		return math.NaN(), 0
	}
	return math.Hypot(v.Parts.Sampling, v.Parts.Walls) / r.Area, m.Freedom()
}

// datesOf reads the dates of n surveys.
func datesOf(text string, n int) ([]time.Time, error) {
	if strings.TrimSpace(text) == "" {
		return nil, nil
	}
	var out []time.Time
	for _, one := range strings.Split(text, ",") {
		t, err := time.Parse(time.DateOnly, strings.TrimSpace(one))
		if err != nil {
			return nil, misused("dates", strconv.Quote(one), "dates as year-month-day, such as 2026-01-05,2026-03-02")
		}
		if len(out) > 0 && t.Equal(out[len(out)-1]) {
			return nil, misused("dates", t.Format(time.DateOnly)+" twice", "all shots of one date in one file").
				Hinted("put the rooms of one day into one file: the rows of one list below those of the other, each with its benchmark, and a column setup that tells them apart")
		}
		if len(out) > 0 && !t.After(out[len(out)-1]) {
			return nil, misused("dates", t.Format(time.DateOnly)+" after "+out[len(out)-1].Format(time.DateOnly), "surveys and dates from the oldest to the latest")
		}
		out = append(out, t)
	}
	if len(out) != n {
		return nil, misused("dates", survey.Plural(len(out), "date"), "one for each of the "+strconv.Itoa(n)+" surveys")
	}
	return out, nil
}

// changes makes the surface of the changes from the first survey to the last, and gives
// each place its share of the mean.
func (r *Settled) changes(shots []survey.Point) error {
	last := len(r.Visits) - 1
	first := r.Visits[0].Floor
	var d surface.Data
	at := map[surface.Vec]int{}
	for i, p := range r.Places {
		if change := p.Z[last] - p.Z[0]; !math.IsNaN(change) {
			q := shots[i]
			q.Z = change
			d.Shots = append(d.Shots, q)
			at[surface.Vec{X: q.X, Y: q.Y}] = i
		}
	}
	if !first.Hull {
		d.Rings = first.Outlines()
	}
	floor, err := surface.NewFloor(d)
	if err != nil {
		return err
	}
	r.Change = floor
	fill := floor.FillTo(surface.Horizontal(0), nil)
	r.Area, r.Lower, r.Higher = fill.Area, fill.Fill, fill.Cut
	if r.surfaces != nil {
		placed, err := flatness.Placed(first, r.Visits[last].Floor, 0)
		if err != nil {
			return err
		}
		r.Area, r.Lower, r.Higher = placed.Area, placed.Lost, placed.Placed
	}
	const roundOff = 1e-12 // of the larger
	switch {
	case r.Higher < roundOff*r.Lower:
		r.Higher = 0
	case r.Lower < roundOff*r.Higher:
		r.Lower = 0
	}
	r.above = overAll(floor)
	for k := range floor.Regions {
		region := &floor.Regions[k]
		for v, w := range region.TIN.Measured(floor.FillWeights(floor, r.above, k)) {
			if n := region.TIN.Shot[v]; n >= 0 {
				p := region.Shots[n]
				r.Places[at[surface.Vec{X: p.X, Y: p.Y}]].Weight += w
			}
		}
	}
	return nil
}

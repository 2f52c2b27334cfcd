package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"time"

	"pourplane/surface"
	"pourplane/surface/blunder"
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"

	"github.com/spf13/cobra"
)

type fillFlags struct {
	out, date       string
	profiles        []string
	asJSON, verbose bool
}

func newFill() *cobra.Command {
	var f fillFlags
	var j job.Job
	c := &cobra.Command{
		Use:   "fill SURVEY...",
		Short: "Depth of fill everywhere, exact volume and a first order",
		Long: `fill reads one or more surveys of one floor, triangulates the shots inside the
outline, and works out what it takes to bring the floor to the target plane.

A survey is delimited text (one shot a row: elevations, or rod readings from one
or more set-ups) or a LandXML file (points, or a surface with its own faces).
Without an outline the hull of the shots is used, and the result says how much
floor that may miss.

A length option takes a number with its unit: 20mm, 3/4in, 5'-3 3/8", 99.93ft. A
number without one is in --units where that is given, else in the survey's unit; it
is refused where that could be another: where plan and heights differ, or where the
results show such a length in another unit.`,
		Example: `  # a level target, results on the terminal
  pourplane fill floor.csv --units m --target 10.000

  # rod readings, walls from another file, maps and data into a folder
  pourplane fill survey.csv --outline outline.csv --target 99.930ft --out out

  # meet the lowest adjoining floor: 9/16 in of tile and bed, and stay 1/16 in low
  pourplane fill survey.csv --outline outline.csv --finish-code ADJ --buildup 9/16in --low 1/16in

  # a surface from a LandXML file, falling 1.5 % towards a drain
  pourplane fill hall.xml --surface "as found" --target 10.02m --fall 1:60 --toward 6m,4m

  # for another program
  pourplane fill floor.csv --units m --target 10.000 --json`,
		Args: someFiles,
		RunE: func(c *cobra.Command, files []string) error {
			j.Survey.Files = files
			return f.run(c, &j)
		},
	}
	jobFlags(c, &j)
	s := c.Flags()
	s.StringVar(&f.out, "out", "", "folder `DIR` for maps, result and surface; made if need be")
	s.StringVar(&f.date, "date", "", "`DATE` of the survey surface that is written, as 2026-11-25 (default today)")
	s.StringArrayVar(&f.profiles, "profile", nil, "draw the floor along a line, as `X1,Y1,X2,Y2`, with --out (repeatable)")
	s.BoolVar(&f.verbose, "verbose", false, "print everything: how it was worked out, bands of depth, doors, level book, all notes")
	s.BoolVar(&f.asJSON, "json", false, "print the result as one JSON object, SI units, and nothing else")
	return c
}

// check finds calls that no input could make right.
func (f *fillFlags) check() error {
	switch {
	case len(f.profiles) > 0 && f.out == "":
		return &usageError{"--profile draws into the folder of results", "--out DIR"}
	case f.date == "":
		return nil
	case f.out == "":
		return &usageError{"--date is of the surface that is written", "--out DIR"}
	}
	if _, err := time.Parse(time.DateOnly, f.date); err != nil {
		return &usageError{fmt.Sprintf("--date: found %q, want a date such as 2026-11-25", f.date), ""}
	}
	return nil
}

func (f *fillFlags) run(c *cobra.Command, j *job.Job) error {
	if err := f.check(); err != nil {
		return err
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	w, err := fillFloor(j, f.profiles, &disk{stdin: c.InOrStdin}, p.say)
	if err != nil {
		return err
	}
	data, err := indented(newResult(w))
	if err != nil {
		return err
	}
	sum := &summary{work: w, style: w.style, out: f.out, verbose: f.verbose}
	if f.out != "" {
		written, err := drawn(w.pictures(), p.say)
		if err != nil {
			return err
		}
		xml, err := w.landXML(f.day())
		if err != nil {
			return err
		}
		written = append([]output{{"result.json", data}, xml}, written...)
		if err := writeAll(f.out, written, append(j.Survey.Files, j.Survey.Outline)); err != nil {
			return err
		}
		sum.written = written
	}
	p.end()
	if f.asJSON {
		_, err = c.OutOrStdout().Write(data)
		return err
	}
	return sum.print(c.OutOrStdout())
}

// indented writes a result for other programs.
func indented(v any) ([]byte, error) {
	data, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("the result cannot be written as JSON: %w", err)
	}
	return append(data, '\n'), nil
}

// filling is what a job says of the fill of its floor.
type filling struct {
	input
	targetFlags
	plantFlags
	site      order.Job // the floor and the work on it
	served    bool      // materials are listed, each with its own limits
	byBag     bool      // it gives the price of a bag of concrete
	byPlant   bool      // it says how a plant delivers, be it little
	allowance percent
	weight    unitWeight
	step      string
	title     string
	profiles  []string
}

// fillFloor works out what it takes to fill the floor of a job, and no more of the job.
// Profiles are lines to draw the floor along, each as X1,Y1,X2,Y2.
func fillFloor(j *job.Job, profiles []string, files fs.FS, watch Watch) (*work, error) {
	f := fillOf(j)
	f.files, f.profiles = files, profiles
	if err := f.check(); err != nil {
		if !f.aimed() && f.ofDrops(j.Paths(j.Survey.Files)) {
			return nil, &usageError{err.Error() + " The survey holds depths from the target: it is at elevation 0", "--target 0m"}
		}
		return nil, err
	}
	return f.compute(j.Paths(j.Survey.Files), watch)
}

// ofDrops reports whether the surveys hold depths from the target.
func (f *filling) ofDrops(files []string) bool {
	in := f.input
	s, err := in.read(files, func(string, int64, int64) {})
	return err == nil && s.Served.Drops
}

// compute reads the surveys of a floor and works out what it takes to fill it.
func (f *filling) compute(files []string, watch Watch) (*work, error) {
	w, err := f.workOut(files, watch)
	return w, inFile(err, files[0])
}

// noDatum refuses a target for rod readings that no elevation ties to its datum.
func noDatum(s *survey.Survey, away string) error {
	e := &survey.Error{Pos: survey.Pos{File: s.Name}, Found: fmt.Sprintf("a target %s from the floor, whose elevations are relative: the readings are rod readings, and no elevation of a benchmark is known", away),
		Want: "the elevation of a benchmark, the height of instrument, or a target relative to the readings", Hint: "--instrument-height H"}
	marks := s.Marks(false)
	if s.Book == nil {
		for _, p := range s.Control {
			marks = append(marks, p.Name)
		}
	}
	if len(marks) > 0 {
		e.Hint = survey.BenchmarkOption(marks[0], cmp.Or(s.Unit, unit.Metre)) + " with its elevation in place of 100, or --instrument-height H"
	}
	return e
}

func (f *filling) workOut(files []string, watch Watch) (*work, error) {
	s, err := f.read(files, watch)
	if err != nil {
		return nil, err
	}
	watch.say("triangulating", 0, 0)
	style := f.style(s)
	s.Notes = append(s.Notes, ownFoot(style)...)
	floor, err := f.floor(s, style)
	if err != nil {
		return nil, err
	}
	s.Notes = append(s.Notes, compassNote(floor)...)
	target, err := f.plane(&f.given, s, floor, style)
	if err != nil {
		return nil, err
	}
	plane := target.plane
	least, greatest := floor.Depths(plane)
	most := max(greatest, -least)
	if !(most <= tooFar) {
		if err := f.strayShots(s, floor, plane, style); err != nil {
			return nil, err
		}
	}
	if s.Relative && s.Served.Rods && most > offReadings {
		return nil, noDatum(s, style.Length(most))
	}
	if !(most <= tooFar) {
		return nil, &usageError{fmt.Sprintf("%s: found a target %s from the floor, want one on the datum and in the unit of the survey", f.targetFlag(), style.Length(most)), ""}
	}
	w := &work{title: cmp.Or(f.title, filepath.Base(s.Name)), survey: s, floor: floor, style: style, levels: surface.BandLimits(floor, plane, style), finish: target.finish, falling: target.falling}
	w.fill = floor.To(plane, w.levels)
	listed := func(bands []surface.Band) []surface.Band {
		const none = 1e-9 // of the area: what rounding leaves at a limit
		return slices.DeleteFunc(bands, func(b surface.Band) bool { return b.Area <= none*w.fill.Area })
	}
	w.fill.Bands = listed(w.fill.Bands)
	// What is ordered, and the bands of the JSON, are those of the survey's system: they
	// do not change with what is shown.
	own := unit.Style{Imperial: s.Unit.Imperial()}
	w.bands = w.fill.Bands
	if own != style {
		w.bands = listed(floor.To(plane, surface.BandLimits(floor, plane, own)).Bands)
	}
	if w.mix, err = f.mix(w.fill, own); err != nil {
		return nil, err
	}
	if err := f.takeOff(w); err != nil {
		return nil, err
	}
	if w.thresholds, w.covering, err = f.thresholds(&f.given, s, plane); err != nil {
		return nil, err
	}
	if f.covering != "" && len(w.thresholds) == 0 && !f.marksLater { // after the pour it is the bed's
		return nil, &usageError{fmt.Sprintf("--covering shows the bed at shots on an adjoining finished floor; %s has none, and the target is not lowered by it", s.Name), "leave --covering out; the target is lowered by --buildup, and --code CODE=finished marks such shots"}
	}
	w.covered = f.buildup != "" || f.bedMost != ""
	if d, err := floor.Describe(); err == nil {
		w.found = &d
	}
	for _, text := range f.profiles {
		v, err := f.given.list("--profile", text, "X1,Y1,X2,Y2", 4)
		if err != nil {
			return nil, err
		}
		w.profiles = append(w.profiles, [2]surface.Vec{{X: v[0], Y: v[1]}, {X: v[2], Y: v[3]}})
	}
	var blunderNotes []survey.Note
	w.blunders, blunderNotes = blunder.Find(s, floor)
	w.notes = slices.Concat(s.Notes, f.given.notes(), floor.Notes, blunderNotes, target.notes, judge(w, style), w.takeoff.Notes, w.orderNotes, w.delivery.Notes, order.Cautions(w.mix.Load, f.around(w)))
	return w, nil
}

// around says what there is to be careful of.
func (f *filling) around(w *work) order.Job {
	j := f.site
	j.Cut = w.fill.Cut
	j.Covering = w.covered || f.covering != ""
	j.Pumped = f.bore != ""
	j.Bagged = j.Bagged || w.bag != nil
	return j
}

// check finds calls that no input could make right.
func (f *filling) check() error {
	switch {
	case f.show != "" && f.show != "metric" && f.show != "feet":
		return &usageError{fmt.Sprintf("--show: found %q, want metric or feet", f.show), ""}
	case !(f.allowance >= 0 && f.allowance <= 100):
		return &usageError{fmt.Sprintf("--allowance: found %g, want percent between 0 and 100", f.allowance), ""}
	case (f.bore != "") != (f.line != ""):
		return &usageError{"--line-bore and --line-length go together", "--line-bore 65mm --line-length 30m"}
	}
	return f.targetFlags.check()
}

func (f *filling) style(s *survey.Survey) unit.Style {
	return styleOf(s, f.show)
}

func (f *filling) mix(fill surface.Fill, style unit.Style) (order.Mix, error) {
	step := 0.25
	if style.Imperial {
		step = order.CubicYard / 4
	}
	if f.step != "" {
		v, err := unit.ParseVolume(f.step)
		if err != nil || v <= 0 {
			return order.Mix{}, &usageError{fmt.Sprintf("--order-step: found %q, want a volume such as 0.25yd3 or 0.1m3", f.step), ""}
		}
		step = v
	}
	if !(f.weight >= 100 && f.weight <= 10000) {
		return order.Mix{}, &usageError{fmt.Sprintf("--unit-weight: found %g kg/m³, want between 100 and 10000", f.weight), ""}
	}
	m, err := order.New(fill.Fill, fill.FillArea, fill.Greatest, float64(f.allowance)/100, step, float64(f.weight))
	if err != nil {
		return m, &usageError{err.Error(), ""}
	}
	return m, nil
}

// judge says loudly what is computed but should be looked at.
func judge(w *work, style unit.Style) []survey.Note {
	floor, f := w.floor, w.fill
	var out []survey.Note
	warn := func(t survey.Topic, format string, args ...any) {
		out = append(out, survey.Notef(survey.Warning, survey.Pos{}, format, args...).About(t))
	}
	if floor.Hull {
		strip := floor.Perimeter * floor.Spacing() / 2
		warn(survey.AboutOrder, "no outline: the floor is taken as the hull of the shots. Walls half a shot spacing (%s) outside it would add %s (%.0f %%) of floor and %s of fill; without walls, inside corners are counted as floor. Give --outline FILE.",
			style.Length(floor.Spacing()/2), style.Area(strip), 100*strip/f.Area, style.Volume(strip*max(f.Mean, 0)))
	}
	if f.Fill == 0 && -f.Greatest < style.Step()/2 {
		warn(survey.AboutOrder, "the floor already reaches the target: nothing to fill")
	} else if f.Fill == 0 {
		warn(survey.AboutTarget, "the target is below the whole floor, by at least %s: nothing to fill. Check the sign and the datum of the target", style.Depth(-f.Greatest))
	}
	if f.Cut > 0 && f.Fill > 0 {
		warn(survey.AboutTarget, "%s of the floor (%.1f %%) is above the target, max %s at %s: grind it or raise the target", style.Area(f.CutArea), 100*f.CutArea/f.Area, style.DepthUp(-f.Least), w.place(f.LeastAt))
	}
	for _, b := range w.blunders {
		out = append(out, survey.Notef(survey.Warning, b.Shot.At, "%s", blunderText(b, style)).About(survey.AboutDepth))
	}
	for i := range w.thresholds {
		t := &w.thresholds[i]
		if w.covered && math.Abs(t.Change) > tripping {
			how := "higher"
			if t.Change < 0 {
				how = "lower"
			}
			out = append(out, survey.Notef(survey.Warning, t.Point.At, "at %s the new floor is %s %s than the adjoining finished floor: bevel it, or people trip (accessible routes allow a vertical change of %s; local code decides)",
				cmp.Or(t.Point.Name, "the threshold"), style.Depth(math.Abs(t.Change)), how, style.Depth(tripping)).About(survey.AboutTarget))
		}
	}
	if f.Greatest > 1 {
		warn(survey.AboutDepth, "the fill is %s deep at %s: check the unit and the datum of the target", style.Length(f.Greatest), w.place(f.GreatestAt))
	}
	return out
}

// tooFar is a depth of fill or cut that no floor has, m: above it the target is on
// another datum or in another unit. Own choice.
const tooFar = 20

// offReadings is a depth of fill or cut that shows a target on another zero than rod
// readings without datum, m: the line of sight of a level is seldom as near to the floor.
// Own choice, the same in feet and in metres.
const offReadings = 0.5

// tripping is the change of level that accessible routes allow upright, 1/4 in.
// Source: 2010 ADA Standards, 303.2.
const tripping = 0.00635

// at writes a place in plan.
func at(p surface.Vec, style unit.Style) string {
	return style.Place(p.X, p.Y)
}

// day is the date of the surface that is written.
func (f *fillFlags) day() time.Time {
	if f.date != "" {
		day, _ := time.Parse(time.DateOnly, f.date) // checked before
		return day
	}
	return time.Now().UTC().Truncate(24 * time.Hour)
}

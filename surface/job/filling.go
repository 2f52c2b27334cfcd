package job

import (
	"cmp"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"strconv"

	"pourplane/surface"
	"pourplane/surface/blunder"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// filling is the part of a job about the fill of its floor.
type filling struct {
	input
	targetFlags
	plantFlags
	site                   order.Job // the floor and the work on it
	served                 bool      // materials are listed, each with its own limits
	bonded                 bool      // to the old floor
	byBag                  bool      // the price of a bag of concrete is given
	byPlant                bool      // a delivery by a plant is described
	Allowance              percent
	Weight                 unitWeight
	step                   string
	title                  string
	profiles               []string
	riskPercent, nextShots *float64
	risk                   float64 // of running short, that the order is raised to; 0: none given
	next                   int     // how many of the next shots are looked for
}

// Fill works out the fill of the floor of a job and nothing else of the job. profiles
// are lines along which the floor is drawn, each as X1,Y1,X2,Y2.
func Fill(j *Job, profiles []string, files fs.FS, watch Watch) (*Filled, error) {
	f := fillOf(j)
	f.Files, f.profiles = files, profiles
	if err := f.check(); err != nil {
		if !f.aimed() && f.ofDrops(j.paths(j.Survey.Files)) {
			return nil, misuse("", "%s The survey holds depths from the target: it is at elevation 0", err.Error()).Hinted("%s", unit.Ask("target", "0m"))
		}
		return nil, err
	}
	return f.compute(j.paths(j.Survey.Files), watch)
}

// ofDrops reports whether the surveys hold depths from the target.
func (f *filling) ofDrops(files []string) bool {
	in := f.input
	s, err := in.read(files, func(string, int64, int64) {})
	return err == nil && s.Served.Drops
}

// compute reads the surveys of a floor and works out its fill.
func (f *filling) compute(files []string, watch Watch) (*Filled, error) {
	w, err := f.workOut(files, watch)
	return w, inFile(err, files[0])
}

// noDatum refuses a target for rod readings that are not tied to its datum.
func noDatum(s *survey.Survey, away float64) error {
	e := (&survey.Error{Pos: survey.Pos{File: s.Name}}).Measured(
		unit.Textf("a target %s from the floor, whose elevations are relative: the readings are rod readings, and no elevation of a benchmark is known", unit.Distance(away)),
		unit.Textf("the elevation of a benchmark, the height of instrument, or a target relative to the readings"), unit.Text{})
	marks := s.Marks(false)
	if s.Book == nil {
		for _, p := range s.Control {
			marks = append(marks, p.Name())
		}
	}
	if len(marks) > 0 {
		return e.Hinted("%s with its elevation in place of 100, or %s", survey.BenchmarkOption(marks[0], s.Unit), unit.Ask("instrument-height", "H"))
	}
	return e.Hinted("%s; or a row with the rod on a benchmark, such as BM1, and %s with its elevation in place of 100", unit.Ask("instrument-height", "H"), survey.BenchmarkOption("BM1", s.Unit))
}

func (f *filling) workOut(files []string, watch Watch) (*Filled, error) {
	s, err := f.read(files, watch)
	if err != nil {
		return nil, err
	}
	w, err := f.fill(s, watch)
	return w, survey.ErrorIn(err, StyleOf(s, f.show))
}

// fill works out the fill of the floor of a survey.
func (f *filling) fill(s *survey.Survey, watch Watch) (*Filled, error) {
	watch.Say("triangulating", 0, 0)
	style := StyleOf(s, f.show)
	s.Notes = append(s.Notes, ownFoot(s, f.show)...)
	if err := f.takeFinished(s, nil); err != nil {
		return nil, err
	}
	floor, err := f.floor(s)
	if err == nil {
		err = f.askBegun(s, floor, f.targetFlags.codes)
	}
	if err == nil {
		err = f.stopped()
	}
	if err != nil {
		return nil, err
	}
	floor, left, err := f.toFill(&f.targetFlags, s, floor, watch)
	if err != nil {
		return nil, err
	}
	s.Notes = append(s.Notes, compassNote(floor)...)
	target, err := f.plane(&f.given, s, floor)
	if err != nil {
		return nil, err
	}
	w := &Filled{Title: cmp.Or(f.title, filepath.Base(s.Name)), Survey: s, Old: floor, US: style.Imperial, FinishedBy: f.finishShots(s), Falling: target.falling, Falls: target.falls, Design: target.design, Ramps: target.ramps, NotFilled: left, Best: target.best, plan: f}
	if target.finish != nil {
		w.Finish = *target.finish
	}
	if w.Floor = target.split; target.whole != floor {
		w.Floor, err = floor.Under(target.target)
	}
	if err != nil {
		return nil, err
	}
	if err := f.weighSure(w); err != nil {
		return nil, err
	}
	if err := f.fillTo(w, target.target); err != nil {
		return nil, err
	}
	if f.covering != "" && len(w.Thresholds) == 0 && !f.marksLater { // after the pour the bed gets the marks
		return nil, misuse("covering", "%s shows the bed at shots on an adjoining finished floor; %s has none, and the target is not lowered by it", unit.Ask("covering", ""), s.Name).
			Hinted("%s; the target is lowered by %s, and %s marks such shots", unit.LeaveOut("covering"), unit.Ask("buildup", ""), unit.Ask("code", "CODE=finished"))
	}
	w.Covered = f.buildup != "" || f.bedMost != ""
	if d, err := floor.Describe(); err == nil {
		w.Found = &d
	}
	for _, text := range f.profiles {
		v, err := f.given.list("profile", text, "X1,Y1,X2,Y2", 4)
		if err != nil {
			return nil, err
		}
		w.Profiles = append(w.Profiles, [2]surface.Vec{{X: v[0], Y: v[1]}, {X: v[2], Y: v[3]}})
	}
	if err := f.stopped(); err != nil {
		return nil, err
	}
	waterNotes, err := f.standing(w, watch)
	if err != nil {
		return nil, err
	}
	var blunderNotes []survey.Note
	w.Blunders, blunderNotes = blunder.FindIn(s, floor, w.Fill)
	w.MaxDoubt = w.maxDoubt()
	w.Notes = slices.Concat(s.Notes, f.smallAllowance(), f.given.notes(), floor.Notes, blunderNotes, leftNotes(left), target.notes, f.ends(w), judge(w, target.apart), f.judgeBrought(w),
		survey.By(byTakeoff, w.Takeoff.Notes), w.orderNotes, waterNotes, survey.By(byDelivery, w.Delivery.Notes), survey.By(byLoad, order.Cautions(w.Mix.Load, f.around(w))))
	return w, nil
}

// fillTo works out the fill of the floor of w to a target, its order and its thresholds.
func (f *filling) fillTo(w *Filled, target surface.Target) (err error) {
	if err := f.nearFloor(w.Survey, w.Floor, target, &f.targetFlags, buried); err != nil {
		return err
	}
	w.Fill = bandedFill(w.Floor, target, w.own())
	if w.Mix, err = f.mix(w.Fill, w.own()); err != nil {
		return err
	}
	if err := f.takeOff(w); err != nil {
		return err
	}
	if w.Thresholds, w.Covering, err = f.thresholds(&f.given, w.Survey, target); err != nil {
		return err
	}
	if err := w.featherEdges(nil); err != nil {
		return err
	}
	w.Brought, err = f.brought(w)
	return err
}

// smallAllowance warns of an allowance below 1 %, which is a fraction in place of percent:
// 5 to 10 % is usual (common practice, no source), and 0.05 to 0.1 the same as a fraction.
func (f *filling) smallAllowance() []survey.Note {
	if !(f.Allowance > 0 && f.Allowance < 1) {
		return nil
	}
	return []survey.Note{survey.Notef(survey.Warning, survey.Pos{}, "the allowance is %g %%: it is given in percent, 5 for 5 %%", float64(f.Allowance)).About(survey.AboutOrder)}
}

// nearFloor refuses a target that is farther from the floor than any fill or cut is
// deep, or more than below, m, below all of it. aim are the settings of the target.
func (f *input) nearFloor(s *survey.Survey, floor *surface.Floor, target surface.Target, aim *targetFlags, below float64) error {
	if len(aim.own) > 0 {
		return f.nearParts(s, floor, target, aim, below)
	}
	least, greatest := floor.Depths(target)
	most := max(greatest, -least)
	if !(most <= tooFar) {
		if err := f.strayShots(s, floor, target); err != nil {
			return err
		}
	}
	if s.Relative && s.Served.Rods && most > offReadings {
		return noDatum(s, most)
	}
	if !(most <= tooFar) {
		return misused(aim.targetFlag(), "", "").
			Measured(unit.Textf("a target %s from the floor", unit.Distance(most)), unit.Textf("one on the datum and in the unit of the survey"), aim.slip(&f.given, floor, target))
	}
	if -greatest > below {
		return misused(aim.targetFlag(), "", "").
			Measured(unit.Textf("a target %s or more below all of the floor", unit.Distance(-greatest)), unit.Textf("one that leaves something to fill, on the datum and in the unit of the survey"), aim.slip(&f.given, floor, target))
	}
	return nil
}

// around returns the conditions of the floor that need care.
func (f *filling) around(w *Filled) order.Job {
	j := f.site
	ground, _ := w.Ground()
	j.Cut = ground + w.chased()
	j.Covering = w.Covered || f.covering != ""
	j.Pumped = f.bore != ""
	j.Bagged = j.Bagged || w.Bag != nil
	return j
}

// lineExample returns the example of a length of the pump line, in the system of the other one.
func lineExample(name, other string) string { return lengthOptions[name].example(other) }

// check refuses requests that are wrong whatever the files hold.
func (f *filling) check() error {
	switch {
	case f.show != "" && f.show != "metric" && f.show != "feet":
		return misused("show", strconv.Quote(f.show), "metric or feet")
	case !(f.Allowance >= 0 && f.Allowance <= 100):
		return misused("allowance", fmt.Sprint(float64(f.Allowance)), "percent between 0 and 100")
	case (f.bore != "") != (f.line != ""):
		return misuse("line-bore", "%s and %s go together", unit.Ask("line-bore", ""), unit.Ask("line-length", "")).Hinted("%s %s", unit.Ask("line-bore", cmp.Or(f.bore, lineExample("line-bore", f.line))), unit.Ask("line-length", cmp.Or(f.line, lineExample("line-length", f.bore))))
	}
	return cmp.Or(f.checkSure(), f.targetFlags.check())
}

func (f *filling) mix(fill surface.Fill, us bool) (order.Mix, error) {
	step := 0.25
	if us {
		step = order.CubicYard / 4
	}
	if f.step != "" {
		v, err := unit.ParseVolume(f.step)
		if err != nil || v <= 0 {
			return order.Mix{}, noVolume("order-step", f.step, us)
		}
		step = v
	}
	if !(f.Weight >= 100 && f.Weight <= 10000) {
		return order.Mix{}, misused("unit-weight", bothWeights(float64(f.Weight)), weightsAllowed)
	}
	m, err := order.New(fill.Fill, fill.FillArea, fill.Greatest, float64(f.Allowance)/100, step, float64(f.Weight))
	if err != nil {
		return m, misuse("", "%v", err)
	}
	return m, nil
}

// judge warns of results that are computed but must be checked.
func judge(w *Filled, apart []survey.Pos) []survey.Note {
	floor, f := w.Old, w.Fill
	var out []survey.Note
	warn := func(t survey.Topic, format string, args ...any) {
		out = append(out, survey.Notef(survey.Warning, survey.Pos{}, format, args...).About(t))
	}
	if floor.Hull {
		half := floor.Spacing() / 2
		strip := floor.Perimeter * half
		warn(survey.AboutOrder, "no walls given: the line around the outermost shots is used. Walls half a shot spacing (%s) outside it would add %s (%.0f %%) of floor and %s of fill; inside corners are counted as floor. Give %s.",
			unit.Distance(half), unit.Area(strip), 100*strip/f.Area, unit.SmallVolume(strip*max(f.Mean, 0)), unit.Ask("outline", "FILE"))
	}
	if f.Fill == 0 && -f.Greatest < w.ownStep()/2 {
		warn(survey.AboutOrder, "the floor already reaches the target: nothing to fill")
	} else if f.Fill == 0 {
		warn(survey.AboutTarget, "the target is %s or more below the whole floor: nothing to fill. Check the sign and the datum of the target", unit.Depth(-f.Greatest))
	}
	if f.Cut > 0 && f.Fill > 0 && !w.groundLower() { // that has a warning of its own
		grind := "grind it or raise the target"
		if w.Best != nil {
			grind = "grind it"
		}
		warn(survey.AboutTarget, "%s of the floor (%s) is above the target, max %s at %s: %s", unit.Area(f.CutArea), unit.Percent(f.CutArea/f.Area), LessThanStep(-f.Least), w.Place(f.LeastAt), grind)
	}
	for _, b := range w.Blunders {
		out = append(out, survey.Notef(survey.Warning, b.Shot.At(), "%s", BlunderText(b)).About(survey.AboutDepth))
	}
	out = slices.Concat(out, judgeDoors(w, apart), levelAtDrains(w))
	if !w.plan.served { // by materials with limits of their own
		out = append(out, w.featherNotes()...)
	}
	if f.Greatest > deepFill {
		warn(survey.AboutDepth, "the fill is %s deep at %s: check the unit and the datum of the target", unit.Distance(f.Greatest), w.Place(f.GreatestAt))
	}
	return out
}

// own reports whether the survey is in feet and inches. The order, and the bands of the JSON, use
// its system: they do not change with the units shown.
func (w *Filled) own() bool { return w.Survey.Unit.Imperial() }

// ownStep is the step of depths in the unit of the survey, m.
func (w *Filled) ownStep() float64 { return stepOf(w.own()) }

// stepOf is the step of a rule in inches or millimetres, m.
func stepOf(us bool) float64 { return unit.Style{Imperial: us}.Step() }

// LevelsIn returns the limits of the depth bands, m: whole steps of a rule in inches or
// millimetres.
func (w *Filled) LevelsIn(us bool) []float64 { return levelsOf(w.Floor, w.Fill.Target, us) }

func levelsOf(floor *surface.Floor, target surface.Target, us bool) []float64 {
	return surface.Steps{US: us, Finest: stepOf(us)}.Limits(floor, target)
}

// BandsIn returns the depth bands between [Filled.LevelsIn].
func (w *Filled) BandsIn(us bool) []surface.Band {
	if us == w.own() {
		return w.Fill.Bands
	}
	return bandedFill(w.Floor, w.Fill.Target, us).Bands
}

// bandedFill is the fill of a floor with its depth bands, without those that are empty.
func bandedFill(floor *surface.Floor, target surface.Target, us bool) surface.Fill {
	const none = 1e-9 // fraction of the area: rounding error at a limit
	fill := floor.FillTo(target, levelsOf(floor, target, us))
	fill.Bands = slices.DeleteFunc(fill.Bands, func(b surface.Band) bool { return b.Area <= none*fill.Area })
	return fill
}

// judgeDoors warns of the largest step down from the fill to an adjoining finished
// floor, and, with a covering, of any change of level on which people may trip. apart are
// shots of which a warning already says that they differ.
func judgeDoors(w *Filled, apart []survey.Pos) []survey.Note {
	step := w.ownStep()
	above := func(t *surface.Threshold) bool { return t.Room < -step }
	var worst *surface.Threshold
	count := 0
	var out []survey.Note
	for i := range w.Thresholds {
		t := &w.Thresholds[i]
		if above(t) {
			count++
			if worst == nil || t.Room < worst.Room {
				worst = t
			}
			continue
		}
		if w.Covered && math.Abs(t.Change) > tripping+unit.Noise {
			how := "higher"
			if t.Change < 0 {
				how = "lower"
			}
			name := cmp.Or(t.Point.Name(), "the threshold")
			far := unit.Textf("bevel it, or people trip (accessible routes allow a vertical change of %s; local code decides)", unit.Depth(tripping))
			if math.Abs(t.Change) > bevelled+unit.Noise {
				if slices.Contains(apart, t.Point.At()) {
					continue
				}
				far = unit.Textf("too much for a bevel, which ends at %s (2010 ADA Standards, 303; local code decides): it takes a step or a ramp. Read %s again first", unit.Depth(bevelled), name)
			}
			out = append(out, survey.Notef(survey.Warning, t.Point.At(), "at %s the new floor is %s %s than the adjoining finished floor: %s", name, unit.Change(math.Abs(t.Change)), how, far).About(survey.AboutTarget))
		}
	}
	if worst == nil {
		return out
	}
	likewise, trips := "", unit.Text{}
	switch others := len(w.Thresholds) - 1; {
	case count == 2 && others == 1:
		likewise = " (the other likewise)"
	case count > 1:
		likewise = fmt.Sprintf(" (%d of %d others likewise)", count-1, others)
	}
	if w.Covered {
		trips = unit.Textf(". The covering adds to the step, and people trip (accessible routes allow a vertical change of %s; local code decides)", unit.Depth(tripping))
	}
	return append([]survey.Note{survey.Notef(survey.Warning, worst.Point.At(), "the top of fill is %s above the adjoining finished floor at %s%s: check the target%s",
		LessThanStep(-worst.Room), cmp.Or(worst.Point.Name(), "the threshold"), likewise, trips).About(survey.AboutTarget)}, out...)
}

// tooFar is a depth of fill or cut, m, that no floor has: beyond it the target is on
// another datum or in another unit. Own choice.
const tooFar = 20

// buried is how far below all of a floor, m, a target to fill to is on another datum or in another
// unit. Own choice.
const buried = 1

// deepFill is a depth of fill or cut, m, that few floors have: a target beyond it is
// computed, with a warning to check it. Own choice.
const deepFill = 1

// offReadings is a depth of fill or cut, m, that shows a target on another zero than rod
// readings without datum: the line of sight of a level is seldom so near the floor. Own
// choice, the same in feet and in metres.
const offReadings = 0.5

// tripping is the largest vertical change of level on accessible routes, 1/4 in. Source:
// 2010 ADA Standards, 303.2.
const tripping = 0.00635

// At returns a place in plan, by its coordinates.
func At(p surface.Vec) unit.Place { return unit.Place{X: p.X, Y: p.Y} }

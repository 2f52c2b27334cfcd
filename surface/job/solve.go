package job

import (
	"cmp"
	"context"
	"io/fs"
	"strconv"

	"pourplane/survey"
)

// Result is the complete result of a job.
type Result struct {
	*Filled
	Supplies
	setting
	Job    *Job
	Judged *Judged // survey after the pour; nil without one
}

// Solve works out everything that a job asks for. It reads the files of the job from
// files, and writes and prints nothing. Lengths, areas, volumes and masses of the result
// are in m, m², m³ and kg.
//
// watch is called with the current step; it may be nil. Once ctx is cancelled the work
// ends soon, with ctx.Err() and no result. Other errors are about the job or its files:
// a [*survey.Error] with the place, or several joined.
func Solve(ctx context.Context, j *Job, files fs.FS, watch Watch) (*Result, error) {
	return SolveNamed(ctx, j, files, watch, func(err error) error { return InJob(j, err) })
}

// SolveNamed is [Solve] with the options in refusals written by named.
func SolveNamed(ctx context.Context, j *Job, files fs.FS, watch Watch, named func(error) error) (*Result, error) {
	s, err := solve(ctx, j, files, watch, named)
	if stopped := ctx.Err(); stopped != nil {
		return nil, stopped // whatever else was wrong
	}
	if err != nil {
		return nil, err
	}
	return s, nil
}

// solve is [SolveNamed], except that it may go on for a while when ctx is cancelled.
func solve(ctx context.Context, j *Job, files fs.FS, watch Watch, named func(error) error) (*Result, error) {
	if err := sound(j, files); err != nil {
		return nil, err
	}
	fill := fillOf(j)
	fill.site, fill.Files, fill.stop = siteOf(j), files, ctx.Err
	fill.next = usualNext
	if err := fill.check(); err != nil {
		return nil, named(err)
	}
	w, err := fill.compute(j.paths(j.Survey.Files), watch)
	if err != nil {
		return nil, named(err)
	}
	inFolder(j, w.Notes)
	for i := range w.Blunders {
		shot := &w.Blunders[i].Shot
		t := shot.Tag()
		t.At.File = j.asNamed(t.At.File)
		*shot = shot.With(t)
	}
	watch.Say("working out the order, bars and bays", 0, 0)
	s := &Result{Filled: w, Job: j}
	for _, step := range []func() error{s.supply, s.setOut, s.planLoads, ctx.Err} {
		if err := step(); err != nil {
			return nil, survey.ErrorIn(err, StyleOf(w.Survey, j.Show))
		}
	}
	e := s.entries()
	if s.addUp(e); e.err != nil {
		return nil, survey.ErrorIn(e.err, StyleOf(w.Survey, j.Show))
	}
	w.Mixed = s.mixName()
	keyed(j, s.Notes)
	if len(j.Survey.After) > 0 {
		if s.Judged, err = s.cameOut(watch); err != nil {
			return nil, err
		}
		s.Judged.TakenOff = s.takenOff()
		if p := s.Judged.Placed; p != nil { // none of runs alone
			s.Notes = append(sank(*p, survey.AboutOrder), s.Notes...)
		}
	}
	return s, nil
}

// sound refuses what is wrong whatever the surveys hold.
func sound(j *Job, files fs.FS) error {
	if _, err := j.Day(); err != nil {
		return err
	}
	if b := j.Site.Bearing; b != "" && b != "ground" && b != "suspended" {
		return j.Error("site.bearing", strconv.Quote(b), "ground or suspended")
	}
	if p := j.Outputs.Paper; p != "" && p != "A4" && p != "Letter" {
		return j.Error("outputs.paper", strconv.Quote(p), "A4 or Letter")
	}
	return cmp.Or(j.Lost(files), unitsSaid(j, files), flatnessSaid(j), fallSaid(j), sheetAfter(j))
}

// cameOut judges the survey after the pour.
func (h *Result) cameOut(watch Watch) (*Judged, error) {
	j := h.Job
	flat := flatnessOf(j, h.plan, h.Filled)
	var err error
	if flat.house, err = houseRules(j); err != nil {
		return nil, err
	}
	got, err := flat.afterCarried(j, h.Filled, watch)
	if stopped := flat.stopped(); stopped != nil {
		return nil, stopped
	}
	if err != nil {
		if s, _, errOpen := flat.open(j.paths(j.Survey.After), watch); errOpen == nil {
			// The cause may be an origin under a wrong name.
			err = cmp.Or(sheetsNamed(j, h.Survey, s), h.plan.marksFound(h.Survey, s), err)
		}
		return nil, InJob(j, err)
	}
	if err := h.plan.marksFound(h.Survey, got.Survey); err != nil {
		return nil, InJob(j, err)
	}
	if err := sheetsNamed(j, h.Survey, got.Survey); err != nil {
		return nil, err
	}
	inFolder(j, got.Notes)
	keyed(j, got.Notes)
	return got, nil
}

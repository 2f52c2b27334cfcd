package main

import (
	"cmp"
	"io/fs"
	"strconv"

	"pourplane/surface/job"
)

// solved is everything that a job has come to.
type solved struct {
	*work
	supplies
	setting
	job     *job.Job
	filling *filling
	judged  *judged // of the survey after the pour; nil without one
}

// solve works out everything that a job asks for.
func solve(j *job.Job, files fs.FS, watch Watch) (*solved, error) {
	return solveNamed(j, files, watch, func(err error) error { return inJob(j, err) })
}

// solveNamed is solve with the refusal of an option as named writes it.
func solveNamed(j *job.Job, files fs.FS, watch Watch, named func(error) error) (*solved, error) {
	if err := sound(j, files); err != nil {
		return nil, err
	}
	fill := fillOf(j)
	fill.site, fill.files = siteOf(j), files
	if err := fill.check(); err != nil {
		return nil, named(err)
	}
	w, err := fill.compute(j.Paths(j.Survey.Files), watch)
	if err != nil {
		return nil, named(err)
	}
	inFolder(j, w.notes)
	for i := range w.blunders {
		at := &w.blunders[i].Shot.At
		at.File = j.AsNamed(at.File)
	}
	watch.say("working out the order, bars and bays", 0, 0)
	s := &solved{work: w, job: j, filling: fill}
	if err := s.supply(); err != nil {
		return nil, err
	}
	if err := s.setOut(); err != nil {
		return nil, err
	}
	e := s.entries()
	if s.addUp(e); e.err != nil {
		return nil, e.err
	}
	w.mixed = s.mixName()
	for i := range s.notes {
		s.notes[i].Text = keyed(s.notes[i].Text, unitOf(j)) // a job has no flags
	}
	if len(j.Survey.After) > 0 {
		if s.judged, err = s.cameOut(watch); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// sound refuses what no survey could make right.
func sound(j *job.Job, files fs.FS) error {
	if _, err := j.Day(); err != nil {
		return err
	}
	if b := j.Site.Bearing; b != "" && b != "ground" && b != "suspended" {
		return j.Error("site.bearing", strconv.Quote(b), "ground or suspended")
	}
	if p := j.Outputs.Paper; p != "" && p != "A4" && p != "Letter" {
		return j.Error("outputs.paper", strconv.Quote(p), "A4 or Letter")
	}
	return cmp.Or(j.Lost(files), unitsSaid(j), fallSaid(j))
}

// cameOut judges the survey after the pour.
func (h *solved) cameOut(watch Watch) (*judged, error) {
	j := h.job
	flat := flatnessOf(j, h.filling, h.work)
	var err error
	if flat.house, err = houseRules(j); err != nil {
		return nil, err
	}
	got, err := flat.afterCarried(j, h.work, watch)
	if err != nil {
		if s, _, errOpen := flat.open(j.Paths(j.Survey.After), watch); errOpen == nil {
			// An origin under a wrong name may be why.
			err = cmp.Or(sheetsNamed(j, h.survey, s), h.filling.marksFound(h.survey, s), err)
		}
		return nil, inJob(j, err)
	}
	if err := h.filling.marksFound(h.survey, got.survey); err != nil {
		return nil, inJob(j, err)
	}
	if err := sheetsNamed(j, h.survey, got.survey); err != nil {
		return nil, err
	}
	inFolder(j, got.notes)
	for i := range got.notes {
		got.notes[i].Text = keyed(got.notes[i].Text, unitOf(j))
	}
	return got, nil
}

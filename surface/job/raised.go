package job

import (
	"slices"

	"pourplane/survey"
)

// Raised returns the fill, the order and the thresholds of the job with its target raised by
// h, m (lowered if h is negative), on the floor of r, which stays as it is. Bays are cut anew,
// since trucks may be ordered by them. Pins and bars and the readings in doubt are those of the
// target that was solved: they are left out.
func (r *Result) Raised(h float64) (*Result, error) {
	was, target := r.Filled, r.Fill.Target.Moved(h)
	w := &Filled{Title: was.Title, Survey: was.Survey, Floor: was.Floor, Old: was.Old, US: was.US, Covered: was.Covered, Found: was.Found, NotFilled: was.NotFilled, Design: was.Design, plan: was.plan, margin: was.margin, margins: was.margins}
	w.Falls, w.Ramps, w.RaisedBy = was.Falls, slices.Clone(was.Ramps), was.RaisedBy+h
	if w.raised = was.raised; was.Best != nil {
		w.raised = was.Best
	}
	if f := was.Falling; f != nil {
		w.Falling = lay(f.floor, f.target.Moved(h), f.Place, f.Name)
		w.Falling.among = f.among
	}
	s := &Result{Filled: w, Job: r.Job}
	err := r.plan.fillTo(w, target)
	if err == nil {
		err = s.supply()
	}
	if s.Exit = r.Exit; err == nil && w.Fill.Fill > 0 {
		e := s.entries()
		s.cutBays(e)
		err = e.err
	}
	if err == nil {
		err = s.planLoads()
	}
	if err != nil {
		return nil, InJob(r.Job, survey.ErrorIn(err, StyleOf(r.Survey, r.Job.Show)))
	}
	w.Mixed = s.mixName()
	if len(was.Water) > 0 {
		planned, err := r.plan.standsOnTarget(w)
		if err != nil {
			return nil, err
		}
		w.Water = []*Standing{was.Water[0], planned}
	}
	return s, nil
}

// covers is the fill over what is ground off before the pour, m³.
func (w *Filled) covers() float64 {
	if w.raised != nil {
		return w.raised.Covers(w.RaisedBy, w.Fill.Fill, w.Fill.Area)
	}
	return w.Best.Covers(0, w.Fill.Fill, w.Fill.Area)
}

package job

import (
	"strconv"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// measurePlane finds the plane with which the floor is compared, and the deviation of
// the floor from it.
func (f *judging) measurePlane(j *Judged, us bool) error {
	if j.Floor == nil {
		return f.refuseWithoutSurface(j)
	}
	var err error
	if j.Tol, err = f.tolerated(us); err != nil {
		return err
	}
	if err := f.choosePlane(j); err != nil {
		return err
	}
	j.Off = flatness.DeviationsFrom(j.Floor, j.Target, j.Tol)
	j.Shots, j.Near = flatness.CountShots(j.Floor, j.Target, j.Tol)
	j.Area = j.Floor.FillTo(j.Target, nil).Area
	rates, err := f.rates(us)
	if err != nil {
		return err
	}
	work, err := flatness.FindSpots(j.Floor, j.Target, j.Tol, rates)
	if err != nil {
		return err
	}
	j.Work = work
	j.Notes = append(j.Notes, flatness.Cautions(work, j.InJob)...)
	return f.raise(j)
}

// refuseWithoutSurface refuses settings that need a surface: a target, and those for
// highs and lows.
func (f *judging) refuseWithoutSurface(j *Judged) error {
	if f.held != nil { // the target is the one of the floor before the pour
		j.Notes = append(j.Notes, survey.Notef(survey.Warning, survey.Pos{}, "the survey after the pour has runs alone: how far the floor is from the target, and what was placed, are not measured. Shoot the floor as well").About(survey.AboutFlatness))
		return nil
	}
	if f.aimed() {
		return &survey.Error{Pos: survey.Pos{File: j.Survey.Name}, Found: "runs and no surface", Want: "shots over the floor to hold against a target"}
	}
	for _, v := range []struct {
		field string
		given bool
	}{{"tolerance", f.tolerance != ""}, {"grind-pass", f.pass != ""}, {"bag-yield", f.yield != ""}, {"least-area", f.leastArea != LeastMark}} {
		if v.given && f.held == nil {
			return misuse(v.field, "%s is for highs and lows of a surface; %s has runs alone", unit.Ask(v.field, ""), j.Survey.Name).Hinted("%s", unit.LeaveOut(v.field))
		}
	}
	return nil
}

// tolerated returns the tolerance, m: the given one, or the usual one in the unit of the
// survey.
func (f *judging) tolerated(us bool) (float64, error) {
	switch {
	case f.tolerance != "":
		return f.given.Parse("tolerance", f.tolerance)
	case us:
		return 0.0254 / 8, nil
	}
	return 0.003, nil
}

// choosePlane sets the plane with which the floor is compared: the target, or without
// one the plane fitted to the floor.
func (f *judging) choosePlane(j *Judged) error {
	if f.aimed() {
		return f.aim(j)
	}
	d, err := j.Floor.Describe()
	if err != nil {
		return (&survey.Error{Pos: survey.Pos{File: j.Survey.Name}, Found: "shots that carry no plane over the whole floor: too few, or in too narrow a strip",
			Want: "shots on both sides of the floor", Err: err}).Hinted("or measure from a target: %s", unit.Ask("target", "Z"))
	}
	j.Target, j.Fitted = d.Plane, true
	return nil
}

// aim sets the target and the finished level, from the job or from options.
func (f *judging) aim(j *Judged) error {
	if f.held != nil {
		j.Target, j.finish, j.Design, j.Ramps = f.held.Fill.Target, f.held.Finish, f.held.Design, f.held.Ramps
	} else {
		p, err := f.plane(&f.given, j.Survey, j.Floor)
		if err != nil {
			return err
		}
		if err := f.nearFloor(j.Survey, j.Floor, p.target, &f.targetFlags, tooFar); err != nil {
			return err
		}
		j.Target, j.Best, j.Design, j.Ramps, j.Notes = p.target, p.best, p.design, p.ramps, append(j.Notes, p.notes...)
		if p.finish != nil {
			j.finish = *p.finish
		}
		j.Notes = append(j.Notes, farTarget(j)...)
	}
	if f.finish == "" {
		return nil
	}
	z, err := f.given.Parse("finish", f.finish)
	if err != nil {
		return err
	}
	if whole, ok := surface.IsPlane(j.Target); ok {
		whole.Z = z
		j.finish = whole
	}
	return nil
}

// rates returns the depth of one grinding pass, the yield of a bag and the min area that
// is listed.
func (f *judging) rates(us bool) (flatness.Rates, error) {
	rates := flatness.Rates{Pass: 0.001, LeastArea: f.leastArea}
	if us {
		rates.Pass = 0.0254 / 32
	}
	if f.pass != "" {
		v, err := f.given.Parse("grind-pass", f.pass)
		if err != nil {
			return rates, err
		}
		rates.Pass = v
	}
	if f.yield != "" {
		v, err := unit.ParseVolume(f.yield)
		if err != nil || !(v > 0) {
			return rates, misused("bag-yield", strconv.Quote(f.yield), "a volume such as 0.5ft3 or 12l")
		}
		rates.BagYield = v
	}
	return rates, nil
}

// raise works out how much higher the plane must be so that nothing needs grinding,
// which is the last resort.
func (f *judging) raise(j *Judged) error {
	if j.Work.Grind <= 0 {
		return nil
	}
	deepest := j.Off.Highest - j.Off.Lowest
	if f.bedMost != "" {
		var err error
		if deepest, err = f.deepest(j); err != nil {
			return err
		}
	}
	c, err := flatness.Compensate(j.Floor, j.Target, j.Tol, deepest)
	if err != nil {
		return err
	}
	j.Raised = &c
	return nil
}

// farTarget warns of a target that is far from the whole floor.
func farTarget(j *Judged) []survey.Note {
	least, greatest := j.Floor.Depths(j.Target)
	off, side := -greatest, "above"
	if least > 0 {
		off, side = least, "below"
	}
	if off <= deepFill {
		return nil
	}
	return []survey.Note{survey.Notef(survey.Warning, survey.Pos{}, "the whole floor is %s the target by %s or more: check the unit and the datum of the target", side, unit.Distance(off)).About(survey.AboutFlatness)}
}

// deepest returns the max depth of the floor below the plane that the greatest bed
// allows: the greatest bed minus the bed at the plane, if the finished level is known.
func (f *judging) deepest(j *Judged) (float64, error) {
	most, err := f.given.Parse("bed-greatest", f.bedMost)
	if err != nil || j.finish == nil || f.covering == "" {
		return most, err
	}
	covering, err := f.given.Parse("covering", f.covering)
	if err != nil {
		return 0, err
	}
	at := j.Floor.Regions[0].Rings[0][0] // the two are parallel
	return max(0, most-(j.finish.Elevation(at)-covering-j.Target.Elevation(at))), nil
}

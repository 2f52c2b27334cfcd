package job

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pourplane/survey"
)

// doorsBefore takes the finished floors that the target names from the survey before the
// pour, where the survey after it has none: a door does not move. Elevations of both must be
// on one datum.
func (f *judging) doorsBefore(j *Judged, watch Watch) error {
	s := j.Survey
	if f.before == "" || len(f.targetFlags.codes) == 0 && f.at == "" || len(f.finishShots(s)) > 0 || s.Relative {
		return nil
	}
	if begun, err := f.remarkedDoors(s); err != nil || begun { // they are asked about
		return err
	}
	in := *f // reading a second survey changes how files are read
	in.ofSecond()
	before, err := in.read([]string{f.before}, watch)
	if err != nil {
		return err
	}
	doors := f.finishShots(before)
	if len(doors) == 0 || before.Relative {
		return nil
	}
	s.Finished = append(slices.Clip(s.Finished), doors...)
	var names []string
	for _, d := range doors {
		names = append(names, cmp.Or(d.Name(), fmt.Sprintf("line %d", d.At().Line)))
	}
	s.Notes = append(s.Notes, survey.Notef(survey.Assumed, survey.Pos{File: f.before}, "the finished floor is taken from this survey before the pour: %s", strings.Join(names, ", ")).About(survey.AboutTarget))
	return nil
}

// remarkedDoors reports whether the remark of a shot begins with a code of the target.
func (f *judging) remarkedDoors(s *survey.Survey) (bool, error) {
	own, err := f.codeRoles()
	if err != nil {
		return false, err
	}
	book := survey.NewCodebook(own)
	return slices.ContainsFunc(s.Points, func(p survey.Point) bool {
		lead := book.Lead(cmp.Or(p.Remark(), p.Code()))
		return lead.Word != "" && slices.ContainsFunc(f.targetFlags.codes, func(c string) bool { return strings.EqualFold(c, lead.Word) })
	}), nil
}

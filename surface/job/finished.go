package job

import (
	"cmp"
	"math"
	"slices"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// samePlace is the max distance in plan, m, between two shots of one name in two surveys
// that are of one finished floor: names are often numbered anew. Own choice.
const samePlace = 0.3

// takeFinished moves the floor shots that the target names as finished floor off the old
// floor. A drain without a code that the target falls to is no floor either. The shot is
// named in the survey other, or in s if other is nil.
func (f *targetFlags) takeFinished(s, other *survey.Survey) error {
	gone := func(p survey.Point, as string, why unit.Option) {
		s.Notes = slices.DeleteFunc(s.Notes, func(n survey.Note) bool { return n.Step == survey.ByLead && n.Pos == p.At })
		s.Notes = append(s.Notes, survey.Notef(survey.Assumed, p.At, "%s is %s (%s): not counted as floor", cmp.Or(p.Name, "the shot"), as, why).About(survey.AboutTarget))
	}
	floor := s.Points[:0:0]
	for i := range s.Points {
		p := s.Points[i]
		switch named := f.at != "" && p.Name == f.at; {
		case f.chosen(&p) && (!named || other == nil || nearFinished(p, other.Finished)):
			why := unit.Ask("finish-code", p.Code)
			if named {
				why = unit.Ask("finish-at", p.Name)
			}
			gone(p, "finished floor", why)
			s.Finished = append(s.Finished, p)
		case f.toward != "" && p.Name == f.toward && p.Code == "" && (survey.IsDrain(p.Name) || survey.IsDrain(p.Remark)):
			gone(p, "a drain", unit.Ask("toward", p.Name))
			p.Code = "DRAIN"
			s.Control = append(s.Control, p)
		default:
			floor = append(floor, p)
		}
	}
	if n := len(s.Points); n > 0 && len(floor) == 0 && len(s.Surfaces) == 0 {
		return misuse(f.targetFlag(), "it names all %d shots: no old floor is left", n).Hinted("name the shots on the adjoining finished floor alone")
	}
	if len(floor) < len(s.Points) {
		s.Points = floor
	}
	return nil
}

// nearFinished reports whether a shot is at the place of a finished shot of its name.
func nearFinished(p survey.Point, finished []survey.Point) bool {
	return slices.ContainsFunc(finished, func(q survey.Point) bool {
		return q.Name == p.Name && math.Hypot(q.X-p.X, q.Y-p.Y) <= samePlace
	})
}

package file

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// noteDrains adds a note with the drains. A drain that will be filled over is floor, and
// the user must give its code.
func noteDrains(s *survey.Survey) {
	askDoors(s)
	drains := s.Drains()
	if len(drains) == 0 {
		return
	}
	const most = 5 // max number of drains named; own choice
	var names []string
	for _, p := range drains[:min(len(drains), most)] {
		name := cmp.Or(survey.Abridged(p.Name()), "the shot of "+p.At().String())
		names = append(names, fmt.Sprintf("%s (%s)", name, survey.Abridged(p.Code())))
	}
	if n := len(drains) - len(names); n > 0 {
		names = append(names, fmt.Sprintf("and %d more", n))
	}
	what := "1 drain"
	if n := len(drains); n > 1 {
		what = fmt.Sprintf("%d drains", n)
	}
	s.Notes = append(s.Notes, survey.Notef(survey.Assumed, drains[0].At(), "%s left out of the floor: %s%s", what, strings.Join(names, ", "), unit.Hintf(". A drain that is filled over is floor: give its shot the code FLR")).About(survey.AboutDepth))
}

// askDoors warns of shots coded DR, an abbreviation used for both drain and door. They
// count as floor.
func askDoors(s *survey.Survey) {
	const code = "DR"
	var some []survey.Point
	last, is := "", false // codes come in runs
	for i := range s.Points {
		p := &s.Points[i]
		if c := p.Code(); c != last {
			last, is = c, strings.EqualFold(strings.TrimSpace(c), code)
		}
		if is {
			some = append(some, *p)
		}
	}
	if len(some) == 0 || slices.Contains(s.Served.Codes, code) {
		return
	}
	s.Notes = append(s.Notes, survey.Notef(survey.Warning, some[0].At(), "%s coded %s read as the floor: a door or a drain?%s", survey.Plural(len(some), "shot"), code, unit.Hintf(" %s or %s", unit.Ask("code", code+"=floor"), unit.Ask("code", code+"=control"))).About(survey.AboutDepth))
}

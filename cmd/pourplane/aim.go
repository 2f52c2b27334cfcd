package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/surface/job"
	"pourplane/survey"
)

// aim asks for the target until there is one: its elevation, or the finished floor to
// meet.
func (q *questions) aim(s *survey.Survey, given *job.Lengths) error {
	t := &q.of.Target
	for !job.Aimed(t) && !q.over {
		t.Elevation = q.ask("Elevation of the target plane (top of fill) with its unit, such as "+exampleOf(s)+" (press Enter to take it from the finished floor)", "", nearShots(s, given, "target", "press Enter here: the finished floor is asked next, then the thickness"))
		if t.Elevation != "" {
			break
		}
		if codes := codesOf(s.Finished); len(codes) > 0 {
			on := job.FinishShots(s, codes)
			if q.ask(fmt.Sprintf("Take the finished floor from the %s of %s", survey.Plural(len(on), "shot"), strings.Join(codes, ", ")), "yes", yesOrNo) == "yes" && !q.over {
				t.FinishCodes = codes
			}
		}
		if len(t.FinishCodes) == 0 {
			t.Finish = q.ask("Elevation of the finished floor to meet, with its unit", "", nearShots(s, given, "finish", "it is asked next"))
		}
		if job.Aimed(t) {
			if err := q.below(s, given); err != nil {
				return err
			}
		}
	}
	return nil
}

// nearShots checks an elevation of a target: a thickness typed there is none. then says when
// the thickness is asked.
func nearShots(s *survey.Survey, given *job.Lengths, field, then string) func(string) error {
	parsed := taken(given, field)
	return func(text string) error {
		if err := parsed(text); err != nil {
			return err
		}
		z, err := given.Parse(field, text)
		if err != nil || len(s.Points) == 0 {
			return err
		}
		lo, hi := s.Points[0].Z, s.Points[0].Z
		for _, p := range s.Points {
			lo, hi = min(lo, p.Z), max(hi, p.Z)
		}
		// No covering and bed are thicker than the one; no floor is filled or cut by the other.
		const thick, far = 0.3, 1 // m, own choice
		if math.Abs(z) > thick || lo-z < far && z-hi < far {
			return nil
		}
		u := job.StyleOf(s, "")
		e := wanted(text, fmt.Sprintf("an elevation: the floor is at %s to %s", u.Elevation(lo), u.Elevation(hi)))
		return e.Hinted("if that is the thickness of covering and bed, %s", then)
	}
}

// below asks how far the top of fill is below the finished floor.
func (q *questions) below(s *survey.Survey, given *job.Lengths) error {
	t := &q.of.Target
	thin, none := job.ExampleBuildup(s.Unit.Imperial())
	for t.Buildup == "" && !q.over {
		t.Buildup = q.ask("How much lower than the finished floor is the top of fill (covering and bed together), with its unit, such as "+thin+"; "+none+" for a flush fill (an answer is needed)", "", taken(given, "buildup"))
	}
	if t.Buildup == "" {
		return cmp.Or(q.failed(), job.NoBuildup(s.Unit.Imperial()))
	}
	t.Low = cmp.Or(t.Low, q.ask("How far to stay low, with its unit (press Enter for nothing)", "", taken(given, "low")))
	return nil
}

// taken returns a check of the value of a field. Its messages show the value alone, as
// typed.
func taken(given *job.Lengths, field string) func(string) error {
	return func(text string) error {
		_, err := given.Parse(field, text)
		return survey.Each(err, func(e *survey.Error) error {
			out := e.Unnamed()
			var values []string
			for _, o := range e.Asks() {
				if o.Name == field && o.Value != "" {
					values = append(values, o.Written())
				}
			}
			if len(values) > 0 {
				return out.Hinted("%s", strings.Join(values, " or "))
			}
			return out
		})
	}
}

// codesOf lists the codes of points, each once.
func codesOf(points []survey.Point) []string {
	var out []string
	for _, p := range points {
		if p.Code() != "" && !slices.Contains(out, p.Code()) {
			out = append(out, p.Code())
		}
	}
	return out
}

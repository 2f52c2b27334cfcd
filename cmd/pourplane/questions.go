package main

import (
	"cmp"
	"fmt"

	"pourplane/surface/job"
	"pourplane/survey"
)

// questions asks for what the options and the files of a new job leave open, and asks
// again if an answer is refused.
type questions struct {
	*newFlags
	*asker // nil: no questions
}

// failed returns the reason why no more can be asked, nil if the answers simply ended.
func (q *questions) failed() error {
	if q.asker == nil || q.err == nil {
		return nil
	}
	return fmt.Errorf("the answers cannot be read: %w", q.err)
}

// understand reads the surveys and asks for what they lack.
func (q *questions) understand(p *progress) (*survey.Survey, *job.Lengths, error) {
	datum := false
	for {
		s, given, err := job.OpenFloor(&q.of, &disk{}, p.say)
		p.end()
		switch {
		case err != nil && q.about(err):
			continue
		case err != nil:
			return nil, nil, cmp.Or(q.failed(), err)
		case q.asker != nil && !datum && s.Relative && s.Served.Rods && q.of.Survey.InstrumentHeight == "" && len(q.of.Survey.Benchmarks) == 0:
			if datum = true; q.datum(s) {
				continue
			}
		}
		return s, given, q.failed()
	}
}

// datum asks for the elevation 0 of rod readings.
func (q *questions) datum(s *survey.Survey) bool {
	example := exampleOf(s)
	if marks := s.Marks(false); len(marks) > 0 {
		a := q.ask(fmt.Sprintf("Elevation of %s with its unit, such as %s (press Enter if it is not known)", marks[0], example), "", aLength)
		if a != "" {
			q.of.Survey.Benchmarks = map[string]string{marks[0]: a}
			return true
		}
	}
	h := &q.of.Survey.InstrumentHeight
	*h = q.ask(fmt.Sprintf("Height of instrument (elevation of the line of sight) with its unit, such as %s (press Enter for levels relative to each other)", example), "", aLength)
	return *h != ""
}

// exampleOf returns an example elevation in the unit of a survey.
func exampleOf(s *survey.Survey) string {
	if s.Unit.Imperial() {
		return "100ft"
	}
	return "11.5m"
}

// rest asks for what no survey contains: title, target, walls and the bearing of the
// floor.
func (q *questions) rest(s *survey.Survey, given *job.Lengths) error {
	if q.asker == nil {
		return nil
	}
	q.of.Title = q.ask("Title of the job", q.of.Title, anything)
	if err := q.aim(s, given); err != nil {
		return err
	}
	if q.of.Survey.Outline == "" && len(s.Rings) == 0 && len(s.Surfaces) == 0 {
		q.of.Survey.Outline = q.ask("Outline file, the walls (press Enter for none: the line around the outermost shots is used)", "", aFile)
	}
	q.of.Site.Bearing = q.ask("Does the floor bear on the ground or is it suspended: ground or suspended (press Enter if nobody knows)", "", aBearing)
	return q.failed()
}

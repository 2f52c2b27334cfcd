package page

import (
	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// Sure is how sure the floor is: the ± of its depths, as a floor as far below 0, and the places
// worth another shot.
type Sure struct {
	*report.SureMark
	Floor *Floor `json:"floor,omitempty"` // nil: not measured
}

// sure returns how sure the floor is, of the fill or before there is a target.
func (q *asked) sure() (Reply, [][]byte, error) {
	j, err := job.Parse([]byte(q.Job), jobName)
	if err != nil {
		return Reply{}, nil, err
	}
	var m *report.SureMark
	if job.Aimed(&j.Target) {
		var r *job.Result
		var style unit.Style
		if r, style, err = q.shown(); err == nil {
			m = report.SureMarkOf(r.Filled, style)
		}
	} else {
		h, style, none, err2 := q.found()
		if err2 != nil || none.Refused != nil {
			return none, nil, err2
		}
		m, err = report.GroundSureOf(h, report.GroundOf(h, style).Top, style)
	}
	if err != nil {
		return Reply{}, nil, err
	}
	out := &Sure{SureMark: m}
	var parts [][]byte
	if m.Map != nil {
		out.Floor, parts = floorOf(m.Map)
	}
	return Reply{Sure: out}, parts, nil
}

package page

import (
	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
)

// Ground is the floor as found, to be seen before there is an answer. Depths are below the
// level of its highest place.
type Ground struct {
	Facts    []report.Fact     `json:"facts"`
	Warnings []string          `json:"warnings,omitempty"` // of the whole floor
	Units    Units             `json:"units"`
	Target   Target            `json:"target"` // the level of the highest place
	Shades   []report.Shade    `json:"shades"`
	Spots    []report.SpotMark `json:"spots"` // the highest and the lowest place
	Floor    *Floor            `json:"floor"`
}

// ground returns the floor of a job that may have no target yet.
func (q *asked) ground() (Reply, [][]byte, error) {
	j, err := job.Parse([]byte(q.Job), jobName)
	if err != nil {
		return Reply{}, nil, err
	}
	q.parsed = j
	h, err := job.Hold(j, job.HoldOptions{Doors: true}, q.in, q.in.again, q.watch)
	if err != nil {
		return Reply{}, nil, err
	}
	style, err := q.styleOf(h.S, j.Show)
	if err != nil {
		return Reply{}, nil, err
	}
	h.InKeys(j)
	switch {
	case h.Fault != nil:
		return Reply{}, nil, survey.ErrorIn(h.Fault, style)
	case h.Floor == nil:
		return Reply{Refused: []Refusal{{Text: h.S.Name + ": no floor yet: " + h.Why.In(style), File: h.S.Name}}}, nil, nil
	}
	g := report.GroundOf(h, style)
	f, parts := floorOf(h.Floor)
	f.surveyed(h.S, h.Suspects, style)
	return Reply{Ground: &Ground{g.Facts, g.Warnings, unitsOf(style), targetOf(g.Top, h.Floor, style), g.Shades, g.Spots, f}}, parts, nil
}

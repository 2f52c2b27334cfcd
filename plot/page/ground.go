package page

import (
	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
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

// found is the floor of a job that may have no target yet, and the style that it is shown in. Where
// there is none the reply has the refusal.
func (q *asked) found() (h *job.Holding, style unit.Style, none Reply, err error) {
	j, err := job.Parse([]byte(q.Job), jobName)
	if err != nil {
		return nil, style, none, err
	}
	q.parsed = j
	if h, err = job.Hold(j, job.HoldOptions{Doors: true}, q.in, q.in.again, q.watch); err != nil {
		return nil, style, none, err
	}
	if style, err = q.styleOf(h.S, j.Show); err != nil {
		return nil, style, none, err
	}
	h.InKeys(j)
	switch {
	case h.Fault != nil:
		return nil, style, none, survey.ErrorIn(h.Fault, style)
	case h.Floor == nil:
		none.Refused = []Refusal{{Text: h.S.Name + ": no floor yet: " + h.Why.In(style), File: h.S.Name}}
	}
	return h, style, none, nil
}

// water returns where water stands: on the floor as surveyed, and on the target if it has one.
func (q *asked) water() (Reply, [][]byte, error) {
	j, err := job.Parse([]byte(q.Job), jobName)
	if err != nil {
		return Reply{}, nil, err
	}
	if !job.Aimed(&j.Target) {
		h, style, none, err := q.found()
		if err != nil || none.Refused != nil {
			return none, nil, err
		}
		all, notes := h.Standing()
		return Reply{Water: report.WaterMarks(all, notes, style)}, nil, nil
	}
	r, style, err := q.shown()
	if err != nil {
		return Reply{}, nil, err
	}
	all, notes, err := r.Standing()
	if err != nil {
		return Reply{}, nil, err
	}
	return Reply{Water: report.WaterMarks(all, notes, style)}, nil, nil
}

// ground returns the floor of a job that may have no target yet.
func (q *asked) ground() (Reply, [][]byte, error) {
	h, style, none, err := q.found()
	if err != nil || none.Refused != nil {
		return none, nil, err
	}
	g := report.GroundOf(h, style)
	f, parts := floorOf(h.Floor)
	f.Parts = partsOf(h.Floor.Parts())
	f.surveyed(h.S, h.Suspects, style)
	return Reply{Ground: &Ground{g.Facts, g.Warnings, unitsOf(style), targetOf(g.Top, h.Floor, style), g.Shades, g.Spots, f}}, parts, nil
}

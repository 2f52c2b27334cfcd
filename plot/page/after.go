package page

import (
	"pourplane/plot/report"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// After is the floor as poured. The vertices and triangles of its floor follow those of the
// floor before the pour in the parcel.
type After struct {
	Facts   []report.Fact     `json:"facts"`
	Remarks []report.Remarks  `json:"remarks,omitempty"`
	Tables  []report.Grid     `json:"tables"`
	Target  Target            `json:"target"` // that it is compared with
	Shades  []report.Shade    `json:"shades"`
	Spots   []report.SpotMark `json:"spots"`
	Floor   *Floor            `json:"floor,omitempty"` // none if only runs were measured
}

func newAfter(j *job.Judged, style unit.Style) (*After, [][]byte, error) {
	a := &After{Shades: []report.Shade{}, Spots: []report.SpotMark{}}
	a.Facts, a.Tables, a.Remarks = report.AfterFacts(j, style)
	if j.Floor == nil {
		return a, nil, nil
	}
	floor, err := j.Floor.Under(j.Target)
	if err != nil {
		return nil, nil, err
	}
	a.Target = targetOf(j.Target, floor, style)
	a.Shades, a.Spots = report.AfterShades(j, style), report.SpotMarks(j, style)
	var parts [][]byte
	a.Floor, parts = floorUnder(floor, j.Target)
	if len(j.Survey.Points) <= mostShots {
		for _, p := range j.Survey.Points {
			a.Floor.Shots = append(a.Floor.Shots, Shot{Name: p.Name(), X: p.X, Y: p.Y, Z: p.Z})
		}
	}
	return a, parts, nil
}

// edge lays a straightedge from one place to another: on the floor as poured where there is
// one, else on the old floor. Over a target that bends it is laid on the heights above that, as
// the verdicts are.
func (q *asked) edge() (Reply, [][]byte, error) {
	r, style, err := q.shown()
	if err != nil {
		return Reply{}, nil, err
	}
	floor := r.Floor
	if r.Judged != nil && r.Judged.Floor != nil {
		floor = r.Judged.Floor
		if _, plane := surface.IsPlane(r.Judged.Target); !plane {
			if floor, err = floor.Above(r.Judged.Target); err != nil {
				return Reply{}, nil, err
			}
		}
	}
	e, err := report.EdgeOn(floor, surface.Vec{X: q.From[0], Y: q.From[1]}, surface.Vec{X: q.To[0], Y: q.To[1]}, style)
	return Reply{Edge: &e}, nil, err
}

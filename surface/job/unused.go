package job

import (
	"cmp"
	"strings"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// slightly is the least difference, m, between finished floors that is spoken of: crews read
// rods to the millimetre. Own choice.
const slightly = 0.0005

// judgeUnused warns of shots that are lower than the finished floor of the target and have no
// part in it: those on other finished floors, and those left out beside the walls at about
// the level of a finished floor, whose remark may name a door in the crew's own words. If the
// covering is to be flush there, it would end above them.
func (f *targetFlags) judgeUnused(s *survey.Survey, floor *surface.Floor, p *planned) []survey.Note {
	var out []survey.Note
	warn := func(q *survey.Point, format string, args ...any) {
		out = append(out, survey.Notef(survey.Warning, q.At(), "%s"+format, append([]any{survey.Label(*q)}, args...)...).About(survey.AboutTarget))
	}
	for i := range s.Finished {
		q := &s.Finished[i]
		at := surface.Vec{X: q.X, Y: q.Y}
		if low := p.finish.Elevation(at) - q.Z; low > slightly && !f.chosen(q) {
			warn(q, "on adjoining finished floor, %s lower than the one that the target is taken from: the new floor would end above it. To take the target from it too, %s", unit.Depth(low), unit.Ask("finish-code", cmp.Or(strings.TrimSpace(q.Code()), "CODE")))
		}
	}
	if floor.Hull {
		return survey.By(ByDoors, out)
	}
	gone := map[survey.Pos]bool{}
	for _, n := range floor.Notes {
		if n.Kind == survey.LeftOut {
			gone[n.Pos] = true
		}
	}
	for i := range s.Points {
		q := &s.Points[i]
		at := surface.Vec{X: q.X, Y: q.Y}
		low := p.finish.Elevation(at) - q.Z
		if !gone[q.At()] || f.chosen(q) || low <= slightly || q.Z < p.plane.Elevation(at)-bevelled {
			continue
		}
		if off := setout.Away(floor, at); off > 0 && off <= besideDoor {
			warn(q, "left out, %s outside the walls. If it is adjoining finished floor, it is %s lower than the one that the target is taken from, and the new floor would end above it. Write ADJ before its remark (ADJ - hall), or leave the row out", unit.Distance(off), unit.Depth(low))
		}
	}
	return survey.By(ByDoors, out)
}

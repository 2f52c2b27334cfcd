package job

import (
	"cmp"
	"slices"
	"strings"

	"pourplane/surface"
	"pourplane/surface/blunder"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// slightly is the least difference, m, between finished floors that is spoken of: crews read
// rods to the millimetre. Own choice.
const slightly = 0.0005

// mostDoorWords is the max number of shots warned of by their words. Own choice.
const mostDoorWords = 5

// doorWords lists the floor shots at a wall, inside or outside, whose code or remark speaks of
// a door or of finished floor, and that the options do not call floor.
func (f *targetFlags) doorWords(s *survey.Survey, floor *surface.Floor) []*survey.Point {
	var out []*survey.Point
	last, says := "", false // codes come in runs
	for i := range s.Points {
		q := &s.Points[i]
		if text := q.Code() + "\n" + s.RemarkOn(*q); text != last {
			last, says = text, blunder.DoorWord(text) != ""
		}
		if at := (surface.Vec{X: q.X, Y: q.Y}); !says || f.chosen(q) || f.old[strings.ToUpper(bareCode(q.Code()))] || f.old[strings.ToUpper(bareCode(s.RemarkOn(*q)))] || at.Distance(floor.NearestWall(at)) > inRoom {
			continue
		}
		out = append(out, q)
	}
	return out
}

// noteDoorWords warns of shots that may be doors by their words. finish is the new floor, nil
// if it is not known. Those of which said holds are warned of elsewhere.
func (f *targetFlags) noteDoorWords(s *survey.Survey, floor *surface.Floor, finish *surface.Plane, said map[survey.Pos]bool) []survey.Note {
	var out []survey.Note
	gone := leftOut(floor)
	known := func(q *survey.Point) bool {
		return said[q.At()] || slices.ContainsFunc(s.Notes, func(n survey.Note) bool { return n.Step == survey.ByLead && n.Pos == q.At() })
	}
	for n, q := range slices.DeleteFunc(f.doorWords(s, floor), known) {
		if n == mostDoorWords {
			out = append(out, survey.Notef(survey.Warning, q.At(), "more shots at a wall speak of a door or of finished floor: check what each of them is").About(survey.AboutTarget))
			break
		}
		read := "read as old floor"
		if gone[q.At()] {
			read = "left out"
		}
		then := unit.Text{}
		if finish != nil {
			switch up := finish.Elevation(surface.Vec{X: q.X, Y: q.Y}) - q.Z; {
			case up > slightly:
				then = unit.Textf(": the new floor is to end %s above it", unit.Depth(up))
			case up < -slightly:
				then = unit.Textf(": the new floor is to end %s below it", unit.Depth(-up))
			}
		}
		old := unit.Textf(", give it the code FLR")
		if q.Code() != "" {
			old = unit.Textf(", %s", unit.Ask("code", strings.ToUpper(bareCode(q.Code()))+"=floor"))
		} else if q.Remark() != "" {
			old = unit.Textf(", %s", unit.Ask("code", strings.ToUpper(bareCode(q.Remark()))+"=floor"))
		}
		out = append(out, survey.Notef(survey.Warning, q.At(), "%s%s, at a wall: %s. If it is adjoining finished floor, give it the code ADJ%s. If it is old floor%s",
			survey.Label(*q), unit.Quote(cmp.Or(s.RemarkOn(*q), q.Code())), read, then, old).About(survey.AboutTarget))
	}
	return out
}

// leftOut returns the rows that a floor leaves out.
func leftOut(floor *surface.Floor) map[survey.Pos]bool {
	gone := map[survey.Pos]bool{}
	for _, n := range floor.Notes {
		if n.Kind == survey.LeftOut {
			gone[n.Pos] = true
		}
	}
	return gone
}

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
		return survey.By(ByDoors, append(out, f.noteDoorWords(s, floor, p.finish, nil)...))
	}
	gone, said := leftOut(floor), map[survey.Pos]bool{}
	for i := range s.Points {
		q := &s.Points[i]
		at := surface.Vec{X: q.X, Y: q.Y}
		low := p.finish.Elevation(at) - q.Z
		if !gone[q.At()] || f.chosen(q) || low <= slightly || q.Z < p.plane.Elevation(at)-bevelled {
			continue
		}
		if off := setout.Away(floor, at); off > 0 && off <= besideDoor {
			said[q.At()] = true
			warn(q, "left out, %s outside the walls. If it is adjoining finished floor, it is %s lower than the one that the target is taken from, and the new floor would end above it. Write ADJ before its remark (ADJ - hall), or leave the row out", unit.Distance(off), unit.Depth(low))
		}
	}
	return survey.By(ByDoors, append(out, f.noteDoorWords(s, floor, p.finish, said)...))
}

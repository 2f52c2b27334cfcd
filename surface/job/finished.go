package job

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// samePlace is the max distance in plan, m, between two shots of one name in two surveys
// that are of one finished floor: names are often numbered anew. Own choice.
const samePlace = 0.3

// takeFinished moves the floor shots that the target names as finished floor off the old
// floor. A drain without a code that the target falls to is no floor either, nor is any shot given as a drain. The shot is
// named in the survey other, or in s if other is nil.
func (f *targetFlags) takeFinished(s, other *survey.Survey) error {
	gone := func(p survey.Point, as string, why unit.Option) {
		s.Notes = slices.DeleteFunc(s.Notes, func(n survey.Note) bool { return n.Step == survey.ByLead && n.Pos == p.At() })
		s.Notes = append(s.Notes, survey.Notef(survey.Assumed, p.At(), "%s is %s (%s): not counted as floor", cmp.Or(p.Name(), "the shot"), as, why).About(survey.AboutTarget))
	}
	var floor []survey.Point
	left := false // floor is without the shots named
	for i := range s.Points {
		p := &s.Points[i]
		named := f.at != "" && p.Name() == f.at
		finished := f.chosen(p) && (!named || other == nil || nearFinished(*p, other.Finished))
		ask := unit.Ask("toward", p.Name())
		drain := !finished && f.toward != "" && p.Name() == f.toward && p.Code() == "" && (survey.IsDrain(p.Name()) || survey.IsDrain(p.Remark()))
		if !finished && f.byName(p.Name()) {
			drain, ask = true, unit.Ask("drain", p.Name())
		}
		if !finished && !drain {
			if left {
				floor = append(floor, *p)
			}
			continue
		}
		if !left {
			left = true
			floor = append(make([]survey.Point, 0, len(s.Points)), s.Points[:i]...)
		}
		if drain {
			gone(*p, "a drain", ask)
			t := p.Tag()
			t.Code = "DRAIN"
			s.Control = append(s.Control, p.With(t))
			continue
		}
		why := unit.Ask("finish-code", p.Code())
		if named {
			why = unit.Ask("finish-at", p.Name())
		}
		gone(*p, "finished floor", why)
		s.Finished = append(s.Finished, *p)
	}
	if n := len(s.Points); left && len(floor) == 0 && len(s.Surfaces) == 0 {
		return misuse(f.targetFlag(), "it names all %d shots: no old floor is left", n).Hinted("name the shots on the adjoining finished floor alone")
	}
	if left {
		s.Points = floor
	}
	return nil
}

// nearFinished reports whether a shot is at the place of a finished shot of its name.
func nearFinished(p survey.Point, finished []survey.Point) bool {
	return slices.ContainsFunc(finished, func(q survey.Point) bool {
		return q.Name() == p.Name() && math.Hypot(q.X-p.X, q.Y-p.Y) <= samePlace
	})
}

// finished lists the shots on adjoining finished floors: those with such a code, and those
// that the target names. Those at a part that is not filled are left out.
func (f *targetFlags) finished(s *survey.Survey) []survey.Point {
	all := s.Finished
	for _, list := range [][]survey.Point{s.Control, s.Points, s.Heights} {
		for i := range list {
			if f.chosen(&list[i]) {
				all = append(slices.Clip(all), list[i])
			}
		}
	}
	if f.filled == f.floor {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), func(p survey.Point) bool { return f.beyond(&p, f.filled) })
}

// besideDoor is the max distance, m, of a shot on an adjoining finished floor from the
// nearest wall without a warning: a thick wall and a step into the next room, where the rod
// is held clear of the door. Own choice.
const besideDoor = 2.0

// inRoom is how far from the nearest wall, m, a shot on an adjoining finished floor may be
// inside the walls: a door jamb, and walls measured on the other face. Own choice.
const inRoom = 0.3

// farFinished warns of shots on an adjoining finished floor that are at no wall: a place
// was misread, or they belong to another room. One in the room is a shot of the old floor, and the
// target would be too low. Without an outline the walls may be as far outside the outermost shots
// as the shot spacing, and which shots are in the room is not known.
func farFinished(floor *surface.Floor, shots []survey.Point) []survey.Note {
	if len(shots) == 0 {
		return nil
	}
	most := besideDoor
	if floor.Hull {
		most += floor.Spacing()
	}
	var out []survey.Note
	for i := range shots {
		p := &shots[i]
		at := surface.Vec{X: p.X, Y: p.Y}
		if math.IsNaN(p.X + p.Y) {
			continue
		}
		wall := floor.NearestWall(at)
		off := at.Distance(wall)
		if !floor.Hull && off > inRoom && setout.Away(floor, at) == 0 {
			out = append(out, survey.Notef(survey.Warning, p.At(), "%s is taken for adjoining finished floor, but is in the room, %s from the nearest wall: is it a shot of the old floor, or is its x or y misread? The target and its step there depend on this shot",
				cmp.Or(p.Name(), "the shot"), unit.Distance(off)).About(survey.AboutTarget))
			continue
		}
		if !(off > most) {
			continue
		}
		side := "outside"
		if setout.Away(floor, at) == 0 {
			side = "inside"
		}
		check := "x and y"
		switch dx, dy := math.Abs(at.X-wall.X), math.Abs(at.Y-wall.Y); {
		case side == "inside":
		case dy < dx/4:
			check = "x"
		case dx < dy/4:
			check = "y"
		}
		out = append(out, survey.Notef(survey.Warning, p.At(), "%s is adjoining finished floor, but %s %s the nearest wall: check %s. The target and its step there depend on this shot",
			cmp.Or(p.Name(), "the shot"), unit.Distance(off), side, check).About(survey.AboutTarget))
	}
	return out
}

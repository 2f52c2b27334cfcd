package job

import (
	"math"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// inRoom is how far from the nearest wall, m, a shot on an adjoining finished floor may be
// inside the walls: a door jamb, and walls measured on the other face. Own choice.
const inRoom = 0.3

// doorInside warns of a shot that the target names as finished floor and that is in the
// room: it is a shot of the old floor, and the target would be too low.
func (f *targetFlags) doorInside(s *survey.Survey, floor *surface.Floor) []survey.Note {
	if f.at == "" || floor.Hull {
		return nil
	}
	var out []survey.Note
	for i := range s.Finished {
		p := &s.Finished[i]
		at := surface.Vec{X: p.X, Y: p.Y}
		if _, _, on := floor.Locators().At(at); p.Name() != f.at || !on {
			continue
		}
		near := math.Inf(1)
		for _, w := range floor.Beside(at) {
			near = min(near, w.Distance)
		}
		if near > inRoom && !math.IsInf(near, 1) {
			out = append(out, survey.Notef(survey.Warning, p.At(), "%s, which the target is taken from, is in the room, %s from the nearest wall: is it a shot of the old floor? Name a shot on the adjoining finished floor", p.Name(), unit.Distance(near)).About(survey.AboutTarget))
		}
	}
	return out
}

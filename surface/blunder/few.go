package blunder

import (
	"math"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Where a region has too few shots to weigh slips, one that is far from the plane of all
// others is named, if these are close to it: own choices, of 2 in and of four times.
const (
	farOff = 0.05 // m
	apart  = 4    // times what the others are off their plane
)

// lone returns the one shot of a few that is far from the plane of the others, with its
// distance and theirs, m. A floor of fewer than five shots shows none: any three make a
// plane, and a fourth may be a real hump.
func lone(shots []*shot) (far *shot, off, others float64) {
	if len(shots) < 5 {
		return nil, 0, 0
	}
	for i, s := range shots {
		var rest []survey.Point
		for k, o := range shots {
			if k != i {
				rest = append(rest, survey.Point{X: o.x, Y: o.y, Z: o.z})
			}
		}
		p, _, err := surface.FitPlane(rest)
		if err != nil {
			continue // they are on one line
		}
		from := func(x, y, z float64) float64 { return math.Abs(z - p.Elevation(surface.Vec{X: x, Y: y})) }
		if d := from(s.x, s.y, s.z); d > off {
			far, off, others = s, d, 0
			for _, o := range rest {
				others = max(others, from(o.X, o.Y, o.Z))
			}
		}
	}
	if off <= farOff || off <= apart*others {
		return nil, 0, 0
	}
	return far, off, others
}

// ByLone is the step of a warning of the one shot of a few that is far from the plane of the
// others.
const ByLone = "lone shot"

// loneNote warns of the lone shot of a region, if there is one.
func loneNote(shots []*shot) []survey.Note {
	far, off, others := lone(shots)
	if far == nil {
		return nil
	}
	name := far.point.Name()
	if name == "" {
		name = "this shot"
	}
	return survey.By(ByLone, []survey.Note{survey.Notef(survey.Warning, far.point.At(), "%s is %s from the plane of the other %d shots, which are within %s of it: read it again. It is used as read%s",
		name, unit.Depth(off), len(shots)-1, unit.DepthUp(others), Adjoining(far.point)).About(survey.AboutDepth)})
}

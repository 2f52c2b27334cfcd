package job

import (
	"cmp"
	"fmt"
	"math"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Limits within which an outline fits shots: it is loosest times as wide as they are,
// max, along x and along y, and no shot is farther outside it than strayShare of its
// width. Own choice.
const (
	loosest    = 2
	strayShare = 0.05
)

// extent is the plan area of points, as min and max corner, m.
type extent struct{ lo, hi surface.Vec }

func extentOf(points []survey.Point) extent {
	e := extent{surface.Vec{X: math.Inf(1), Y: math.Inf(1)}, surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for i := range points {
		p := &points[i]
		e.lo = surface.Vec{X: min(e.lo.X, p.X), Y: min(e.lo.Y, p.Y)}
		e.hi = surface.Vec{X: max(e.hi.X, p.X), Y: max(e.hi.Y, p.Y)}
	}
	return e
}

// scaled returns the extent with all coordinates multiplied by k.
func (e extent) scaled(k float64) extent {
	return extent{surface.Vec{X: k * e.lo.X, Y: k * e.lo.Y}, surface.Vec{X: k * e.hi.X, Y: k * e.hi.Y}}
}

// wider reports whether an outline of extent e is at least times as wide as the shots,
// along x and along y.
func (e extent) wider(shots extent, times float64) bool {
	return e.hi.X-e.lo.X >= times*(shots.hi.X-shots.lo.X) && e.hi.Y-e.lo.Y >= times*(shots.hi.Y-shots.lo.Y)
}

// looseness returns the width of an outline of extent e divided by the width of the
// shots, the larger of the two directions. It is infinite if the outline does not fit
// them.
func (e extent) looseness(shots extent) float64 {
	x, y := e.hi.X-e.lo.X, e.hi.Y-e.lo.Y
	out := max(e.lo.X-shots.lo.X, shots.hi.X-e.hi.X)/x > strayShare || max(e.lo.Y-shots.lo.Y, shots.hi.Y-e.hi.Y)/y > strayShare
	times := max(x/(shots.hi.X-shots.lo.X), y/(shots.hi.Y-shots.lo.Y))
	if out || !(times <= loosest) {
		return math.Inf(1)
	}
	return times
}

// An outline in the unit that it states is doubted if it is at least farTooWide times as wide
// as the shots, along x and along y, and at most closest times in another unit. A metre is
// 3.28 feet: the least factor between two units that are taken for one another. Shots cover
// most of a floor. Own choice.
const (
	farTooWide = 3
	closest    = 1.6
)

// outlineUnit asks for the unit of an outline if the shots fit in another unit but not in
// the one used. Where the outline states its unit, much more has to speak for the other.
func outlineUnit(s, edge *survey.Survey) error {
	if err := oneFoot(s, edge); err != nil {
		return err
	}
	if edge.Delimiter == "" || len(s.Points) == 0 || len(edge.Rings) == 0 {
		return nil
	}
	var corners []survey.Point
	for _, r := range edge.Rings {
		corners = append(corners, r.Points...)
	}
	shots, walls, read := extentOf(s.Points), extentOf(corners), cmp.Or(edge.Plan, unit.Metre)
	best, other := walls.looseness(shots), read
	if !math.IsInf(best, 1) || edge.PlanStated && !walls.wider(shots, farTooWide) {
		return nil
	}
	for _, u := range []unit.Length{unit.Metre, unit.Centimetre, unit.Millimetre, unit.Foot, unit.Inch} {
		if times := walls.scaled(u.Metres() / read.Metres()).looseness(shots); times < best {
			best, other = times, u
		}
	}
	if other == read || edge.PlanStated && best > closest {
		return nil
	}
	named := func(u unit.Length) string { return fmt.Sprintf("x (%s),y (%[1]s)", u) }
	if edge.PlanStated {
		return (&survey.Error{Pos: edge.Rings[0].At, Element: "outline"}).Measured(
			unit.Textf("x and y in %s: it reaches from %s to %s, the %d shots from %s to %s, a small part of it", read, At(walls.lo), At(walls.hi), len(s.Points), At(shots.lo), At(shots.hi)),
			unit.Textf("its unit: in %s it fits the shots", other),
			unit.Textf("make the first row of the outline %s. If %s is right, give an outline of the part that was shot, or shoot the rest", named(other), read))
	}
	return (&survey.Error{Pos: edge.Rings[0].At, Element: "outline"}).Measured(
		unit.Textf("no unit; as %s it reaches from %s to %s, the %d shots from %s to %s", named(read), At(walls.lo), At(walls.hi), len(s.Points), At(shots.lo), At(shots.hi)),
		unit.Textf("its unit: as %s it fits the shots", named(other)),
		unit.Textf("make the first row of the outline %s, or %s if it is in %s as read", named(other), named(read), read))
}

// feetApart is the max distance, m, between a point read in one foot and in the other
// that needs no question: less than a tape shows. Own choice.
const feetApart = 0.005

// oneFoot asks for the foot if shots and outline are in different feet. The two differ
// by 2 parts in a million: far from the origin of the grid that is more than the width
// of a floor.
func oneFoot(s, edge *survey.Survey) error {
	two := [2]unit.Length{s.Plan, edge.Plan}
	if two != [2]unit.Length{unit.Foot, unit.SurveyFoot} && two != [2]unit.Length{unit.SurveyFoot, unit.Foot} || len(edge.Rings) == 0 {
		return nil
	}
	far := 0.0
	for _, r := range edge.Rings {
		for _, p := range r.Points {
			far = max(far, math.Hypot(p.X, p.Y)*(1-unit.Foot.Metres()/unit.SurveyFoot.Metres()))
		}
	}
	if far <= feetApart {
		return nil
	}
	return (&survey.Error{Pos: edge.Rings[0].At, Element: "outline"}).Measured(
		unit.Textf("x and y in %s, and those of the shots in %s: so far from 0,0 the two feet differ by %s", edge.Plan, s.Plan, unit.Distance(far)),
		unit.Textf("one foot for both, where they are of one grid"),
		unit.Textf("head the columns of both x (%s),y (%[1]s), or both x (%s),y (%[2]s)", s.Plan, edge.Plan))
}

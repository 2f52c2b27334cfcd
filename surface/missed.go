package surface

import (
	"errors"
	"fmt"
	"math"

	"pourplane/surface/internal/plan"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Missed is the cause when no shot is inside an outline: the two are on different grids.
type Missed struct {
	// DX and DY, m, are the smallest shift that brings the extent of the shots inside that
	// of the outline; both are NaN if the outline is too small.
	DX, DY float64
}

func (m *Missed) Error() string { return "no shot inside the outline" }

// anyInside reports whether a shot is inside an outline; a shot on a wall does not count.
func (b *builder) anyInside() bool {
	for _, r := range b.regions {
		for _, i := range r.shots {
			if r.tree.Side(b.shot[i]) != plan.Outside && len(r.tree.On(b.shot[i], nil)) == 0 {
				return true
			}
		}
	}
	return false
}

// mostlyMissed adds to an error of a floor that most shots are outside its outline, and
// where they are: that comes first, because it is the cause.
func (b *builder) mostlyMissed(err error) error {
	if b.floor.Hull || 2*b.outside <= len(b.shot) {
		return err
	}
	var whole *survey.Error
	var known *Missed
	if errors.As(err, &known) || !errors.As(b.missed(b.howMissed()), &whole) {
		return err
	}
	return whole
}

// howMissed returns how many shots are outside the outline.
func (b *builder) howMissed() string {
	return fmt.Sprintf("%d of %d shots are outside it", b.outside, len(b.shot))
}

// cutOut is the number of shots inside an outline that shows a room cut out of a larger
// survey, such as a scan, although most shots are outside. Own choice.
const cutOut = 100

// togetherInPlan is the refusal of an outline that most shots are outside of, where too few are left
// to be a room cut out of a larger survey. beyond is the number of shots outside the walls.
func (b *builder) togetherInPlan(beyond int) error {
	if b.floor.Hull || 2*beyond <= len(b.shot) || len(b.shot)-b.outside >= cutOut {
		return nil
	}
	return b.missed(b.howMissed())
}

// smallPart is the share of both sides of an outline below which the shots cover so little
// that the units of the two may differ: metres read as feet cover 0.305 of them. A corridor
// or a hall surveyed in part is covered along one side; half of both is a quarter of a
// floor. Own choice between these.
const smallPart = 0.4

// warnSmallPart warns where the shots cover a small part of the outline in both directions.
func (b *builder) warnSmallPart() {
	if b.floor.Hull {
		return
	}
	lo, hi, least, most, _ := b.extents()
	if !(hi.X-lo.X < smallPart*(most.X-least.X) && hi.Y-lo.Y < smallPart*(most.Y-least.Y)) {
		return
	}
	note := survey.Notef(survey.Warning, survey.Pos{}, "the shots cover %s x %s of a floor of %s x %s: check the unit of x and y", unit.Distance(hi.X-lo.X), unit.Distance(hi.Y-lo.Y), unit.Distance(most.X-least.X), unit.Distance(most.Y-least.Y))
	b.floor.Notes = append([]survey.Note{note.About(survey.AboutOrder)}, b.floor.Notes...)
}

// extents returns the extent of the shots, that of the outlines, and where these begin.
func (b *builder) extents() (lo, hi, least, most Vec, at survey.Pos) {
	lo, hi = Vec{X: math.Inf(1), Y: math.Inf(1)}, Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	least, most = lo, hi
	for _, p := range b.data.Shots {
		lo, hi = Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}, Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	for _, r := range b.rings {
		if r.kind != survey.Outer {
			continue
		}
		if at.File == "" {
			at = r.points[0].At()
		}
		for _, p := range r.points {
			least, most = Vec{X: min(least.X, p.X), Y: min(least.Y, p.Y)}, Vec{X: max(most.X, p.X), Y: max(most.Y, p.Y)}
		}
	}
	return lo, hi, least, most, at
}

// missed is the error for shots that are all outside the outlines, or on walls.
func (b *builder) missed(how string) error {
	lo, hi, least, most, at := b.extents()
	m := &Missed{DX: shiftInto(lo.X, hi.X, least.X, most.X), DY: shiftInto(lo.Y, hi.Y, least.Y, most.Y)}
	hint, end := unit.Textf("shifted by %s all shots are within the extent of the outline", placeOf(Vec{X: m.DX, Y: m.DY})), "."
	if math.IsNaN(m.DX) || math.IsNaN(m.DY) {
		m.DX, m.DY = math.NaN(), math.NaN()
		hint, end = unit.Textf("no shift brings all shots into it: is one of the two in another unit, or are x and y exchanged?"), ""
	}
	if b.outside < len(b.shot) {
		hint = unit.Textf("%s%s Of a survey of several rooms, give the shots of this one alone", hint, end)
	}
	return (&survey.Error{Pos: at, Element: "outline", Want: "survey and outline on one site grid", Err: m, Ask: anotherOutline}).
		Saw("%s: the outline reaches from %s to %s, the %d shots from %s to %s", how, placeOf(least), placeOf(most), len(b.data.Shots), placeOf(lo), placeOf(hi)).
		Hinting(hint)
}

// shiftInto returns the smallest shift of lo to hi into least to most, NaN if it is too
// long.
func shiftInto(lo, hi, least, most float64) float64 {
	const rounding = 1e-6 // m; from unit conversion
	switch {
	case hi-lo > most-least+rounding:
		return math.NaN()
	case lo < least:
		return least - lo
	case hi > most:
		return most - hi
	}
	return 0
}

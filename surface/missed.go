package surface

import (
	"errors"
	"fmt"
	"math"

	"pourplane/survey"
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
			if r.tree.side(b.shot[i]) != outside && len(r.tree.on(b.shot[i])) == 0 {
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
	if errors.As(err, &known) || !errors.As(b.missed(fmt.Sprintf("%d of %d shots are outside it", b.outside, len(b.shot))), &whole) {
		return err
	}
	return whole
}

// missed is the error for shots that are all outside the outlines, or on walls.
func (b *builder) missed(how string) error {
	lo, hi := Vec{math.Inf(1), math.Inf(1)}, Vec{math.Inf(-1), math.Inf(-1)}
	least, most := lo, hi
	for _, p := range b.data.Shots {
		lo, hi = Vec{min(lo.X, p.X), min(lo.Y, p.Y)}, Vec{max(hi.X, p.X), max(hi.Y, p.Y)}
	}
	at := survey.Pos{}
	for _, r := range b.rings {
		if r.kind != survey.Outer {
			continue
		}
		if at.File == "" {
			at = r.points[0].At
		}
		for _, p := range r.points {
			least, most = Vec{min(least.X, p.X), min(least.Y, p.Y)}, Vec{max(most.X, p.X), max(most.Y, p.Y)}
		}
	}
	m := &Missed{DX: shiftInto(lo.X, hi.X, least.X, most.X), DY: shiftInto(lo.Y, hi.Y, least.Y, most.Y)}
	hint := fmt.Sprintf("shifted by %s all shots are within the extent of the outline", b.words.Place(Vec{m.DX, m.DY}))
	if math.IsNaN(m.DX) || math.IsNaN(m.DY) {
		m.DX, m.DY = math.NaN(), math.NaN()
		hint = "no shift brings all shots into it: is one of the two in another unit, or are x and y exchanged?"
	}
	p := b.words.Place
	return &survey.Error{Pos: at, Element: "outline",
		Found: fmt.Sprintf("%s: the outline reaches from %s to %s, the %d shots from %s to %s", how, p(least), p(most), len(b.data.Shots), p(lo), p(hi)),
		Want:  "survey and outline on one site grid", Hint: hint, Err: m, Ask: anotherOutline}
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

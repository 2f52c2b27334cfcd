package job

import (
	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Ground returns what is ground off the floor, m³, and its area, m²: what is above the target, or
// with a least depth of the plane of least cost what is above that.
func (w *Filled) Ground() (volume, area float64) {
	if !w.groundLower() {
		return w.Fill.Cut, w.Fill.CutArea
	}
	low := w.Floor.FillTo(w.Fill.Target.Moved(-w.Best.MinDepth), nil)
	return noRounding(low.Cut), low.CutArea
}

// groundLower reports whether the floor is ground to a least depth below the target.
func (w *Filled) groundLower() bool { return w.Best != nil && w.Best.MinDepth > 0 && w.Best.Grinds() }

// levelEnough is a fall that needs no warning, rise over run: the greatest cross slope of a walking
// surface. Source: 2010 ADA Standards, 403.3, from memory.
const levelEnough = 1. / 48

// bestNotes say what is assumed, and what is to be ground.
func (f *targetFlags) bestNotes(b *Best, floor *surface.Floor) (out []survey.Note) {
	assume := func(format string, args ...any) {
		out = append(out, survey.Notef(survey.Assumed, survey.Pos{}, format, args...).About(survey.AboutTarget))
	}
	times, relative, _ := timesFill(f.grindPrice)
	switch {
	case relative:
		assume("a volume ground is taken to cost %g times as much as one filled", times)
	case f.fillPrice == "" && f.grindPrice == "":
		assume("no prices: a volume ground is taken to cost as much as one filled%s", unit.Hintf("; %s and %s give them", unit.Ask("fill-price", "P"), unit.Ask("grind-price", "P")))
	case f.grindPrice == "":
		assume("no price of grinding: it is taken to cost as much as the fill, per volume%s", unit.Hintf("; %s gives it", unit.Ask("grind-price", "P")))
	case f.fillPrice == "" && b.Grinds():
		assume("no price of the fill: it is taken to cost as much as grinding, per volume%s", unit.Hintf("; %s gives it", unit.Ask("fill-price", "P")))
	}
	if f.mixPrice {
		assume("the price of the fill is that of the mix")
	}
	if fall, _ := b.Plane.Slope(); f.maxFall == "" && fall > levelEnough {
		out = append(out, survey.Notef(survey.Warning, survey.Pos{}, "the target falls %.3g %%, as nothing limits its fall%s", 100*fall, unit.Hintf(": %s, or %s for a level one", unit.Ask("max-fall", "1%"), unit.Ask("max-fall", "0"))).About(survey.AboutTarget))
	}
	if b.Cut == 0 {
		return out
	}
	low := b.Plane.Lowered(b.MinDepth)
	fill := floor.FillTo(low, nil)
	if b.MinDepth == 0 || fill.Cut == 0 {
		return out
	}
	out = append(out, survey.Notef(survey.Warning, survey.Pos{}, "grind %s of the floor to %s below the target before the pour, %s, max %s at %s",
		unit.Area(fill.CutArea), unit.Depth(b.MinDepth), unit.SmallVolume(b.Cut), unit.Depth(-fill.Least), Beside(floor, fill.LeastAt)).About(survey.AboutOrder))
	return out
}

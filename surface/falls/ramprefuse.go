package falls

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/exact"
	"pourplane/surface/internal/plan"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// besideWall is how far a threshold may be from the nearest wall, m: a thick wall and a step into
// the next room. Own choice.
const besideWall = 2.0

// insideWall is how far inside its wall a threshold may have been shot, m: with a rod held clear
// of the door. Own choice.
const insideWall = 0.3

// steepestRamp is the max slope of a ramp, rise over run: the one of a bevel. Source: 2010 ADA
// Standards, 303.3.
const steepestRamp = 0.5

// Overlap is the refusal of two ramps that have a place in common, one up to its threshold and one
// down to it.
type Overlap struct{ First, Second string }

func (e *Overlap) Error() string { return "two ramps overlap" }

func (l *laid) refuse(want string, args ...any) *survey.Error {
	return (&survey.Error{Element: rampAt(&l.Ramp)}).Wanted(want, args...)
}

// rampAt names a ramp in a message.
func rampAt(r *Ramp) string { return "ramp at " + unit.Quote(r.Name) }

// oneIn writes a slope as run over rise.
func oneIn(slope float64) string { return "1:" + unit.Digits(1/slope) }

// check refuses what can be refused without the floor.
func (l *laid) check() error {
	const shortest = 0.01 // m, own choice
	switch {
	case !finite(l.At.X, l.At.Y, l.Z) || l.Line && !finite(l.To.X, l.To.Y, l.Zo):
		return l.refuse("a threshold of known place and elevation").Saw("(%g, %g), elevation %g", l.At.X, l.At.Y, l.Z)
	case l.Slope == 0 && !(l.Length >= shortest):
		return l.refuse("min %s, or a slope such as 1:12", unit.Distance(shortest)).Saw("a length of %s", unit.Distance(l.Length))
	case l.Slope != 0 && !(l.Slope > 0 && l.Slope <= steepestRamp):
		return l.refuse("a slope above 0, max 1:2").Saw("%s", percent(l.Slope))
	}
	return nil
}

func (l *laid) farOff(away, most float64, inside bool) error {
	side := "outside"
	if inside {
		side = "inside"
	}
	return l.refuse("a threshold at a wall, no farther than %s from it", unit.Distance(most)).Saw("a shot %s %s the nearest wall", unit.Distance(away), side)
}

// onFloor refuses a line that leaves the floor.
func (l *laid) onFloor() error {
	const least = 0.01 // m, own choice
	long := l.at.Distance(l.to)
	if long < least {
		return l.refuse("shots at two places of the wall, or one of them by its name").Saw("%s from end to end on the wall", unit.FineDepth(long))
	}
	x := plan.Edge{A: l.at, B: l.to}
	cuts := []float64{0, 1}
	for e := range l.w.edges {
		p, q := l.w.ends(e)
		if plan.Meet(l.at, l.to, p, q) == exact.Cross && min(x.Distance(p), x.Distance(q)) > close &&
			min(l.at.Distance(l.at.NearestOn(p, q)), l.to.Distance(l.to.NearestOn(p, q))) > close {
			return l.leaves()
		}
		for _, k := range [2]vec{p, q} {
			if x.Distance(k) <= 2*close {
				cuts = append(cuts, k.Along(l.at, l.to))
			}
		}
	}
	slices.Sort(cuts)
	for i := 1; i < len(cuts); i++ {
		if (cuts[i]-cuts[i-1])*long < least/10 {
			continue
		}
		at := between(l.at, l.to, (cuts[i]+cuts[i-1])/2)
		if _, _, away := l.w.nearest(at); away > 2*close && !l.w.inside(at) {
			return l.leaves()
		}
	}
	return nil
}

func (l *laid) leaves() error {
	return l.refuse("a threshold along one straight wall: name one shot of it").Saw("a wall across the line through its shots")
}

// both refuses a threshold that is above the target at one end and below it at the other.
func (l *laid) both(least, most float64) error {
	return l.refuse("a threshold that is all above the target, or all below it").Saw("one that is %s below it and %s above it", unit.FineDepth(-least), unit.FineDepth(most))
}

func (l *laid) tooLong() error {
	return l.refuse("a ramp that ends on the floor: shorter, or steeper").Saw("a length of %s, where the next wall is %s from the threshold", unit.Distance(l.Length), unit.Distance(l.free))
}

func (l *laid) neverMeets() error {
	rise := l.left(l.Slope, l.free)
	return l.refuse("a ramp that ends on the floor: steeper than %s", oneIn(l.left(0, l.free)/l.free)).
		Saw("a slope of %s, at which it is still %s off the target at the next wall, %s from the threshold", oneIn(l.Slope), unit.FineDepth(rise), unit.Distance(l.free))
}

// noRise refuses a length at which the target itself has come to the elevation of the threshold.
func (l *laid) noRise() error {
	return l.refuse("a shorter ramp, or none").Saw("a length of %s: there the target itself has the elevation of the threshold", unit.Distance(l.Length))
}

func (l *laid) tooSteep(rise float64) error {
	return l.refuse("%s or more: no steeper than 1:2, a bevel", unit.Distance(rise/steepestRamp)).Saw("a length of %s for a rise of %s: a slope of %s", unit.Distance(l.Length), unit.FineDepth(rise), oneIn(l.Slope))
}

func (l *laid) crooked(corner surface.Vec) error {
	return l.refuse("one elevation, by the name of one shot").
		Saw("two ends that differ by %s, and a corner of the walls within the ramp, %s: the slope would not be one round it", unit.FineDepth(math.Abs(l.Z-l.Zo)), surface.Spot{Floor: l.f, At: corner})
}

// apart refuses a second ramp at one threshold.
func (l *laid) apart(others []*laid) error {
	const least = 0.001 // m
	for _, o := range others {
		s, t := settled{Drain: Drain{Channel: l.Line}, at: l.at, to: l.to}, settled{Drain: Drain{Channel: o.Line}, at: o.at, to: o.to}
		if d, _ := apart(&s, &t); d < least {
			return l.refuse("one ramp at a threshold").Saw("the place of the %s", rampAt(&o.Ramp))
		}
	}
	return nil
}

// meets reports whether the ramp has a place in common with others. It refuses that where one goes
// up to its threshold and the other down: there is no order in which both are right.
func (l *laid) meets(others []*laid) (bool, error) {
	meets := false
	for _, o := range others {
		if !touching(o.strip, l.strip) {
			continue
		}
		if meets = true; o.sign != l.sign {
			return true, l.overlaps(o)
		}
	}
	return meets, nil
}

func (l *laid) overlaps(o *laid) error {
	return (&survey.Error{Element: rampAt(&l.Ramp), Want: "shorter or steeper ramps that do not meet", Err: &Overlap{o.Name, l.Name}}).
		Saw("the %s in its way, one up to its threshold and the other down", rampAt(&o.Ramp))
}

// touching reports whether a corner of one surface is on the other, or sides of them cross.
func touching(a, b *surface.TIN) bool {
	for _, pair := range [2][2]*surface.TIN{{a, b}, {b, a}} {
		locator := pair[0].Locator()
		for v := range pair[1].X {
			if _, _, ok := locator.At(pair[1].At(int32(v))); ok {
				return true
			}
		}
	}
	sides := func(t *surface.TIN, see func(p, q vec)) {
		for h, w := range t.Twin {
			if w < 0 {
				see(t.At(t.V[h]), t.At(t.V[surface.Next(int32(h))]))
			}
		}
	}
	cross := false
	sides(a, func(p, q vec) {
		sides(b, func(r, s vec) { cross = cross || plan.Meet(p, q, r, s) == exact.Cross })
	})
	return cross
}

// reached refuses a ramp whose threshold another one covers.
func (l *laid) reached(all []*laid, target surface.Target) error {
	const off = 0.0002 // m
	for i, p := range [2]surface.Vec{l.feet[0], l.feet[1]} {
		z := [2]float64{l.Z, l.Zo}[i]
		if math.Abs(target.Elevation(p)-z) <= off {
			continue
		}
		for _, o := range all {
			if o != l && o.Covers()(p) {
				return l.covered(o)
			}
		}
		return l.covered(nil)
	}
	return nil
}

// covered refuses a ramp whose threshold another ramp, by, goes past.
func (l *laid) covered(by *laid) error {
	e := l.refuse("ramps of which none is across the threshold of another: shorter or steeper ones")
	if by == nil {
		return e.Saw("another ramp across its threshold")
	}
	e.Err = &Overlap{by.Name, l.Name}
	return e.Saw("the %s across its threshold", rampAt(&by.Ramp))
}

// KeepsOff refuses a drain of the target that the ramp goes across. A drain has one elevation, so
// along a channel the ramp is farthest off it at an end or at an edge of a triangle.
func (r *Ramp) KeepsOff(d *Drain) error {
	to := d.At
	if d.Channel {
		to = d.To
	}
	const on = 1e-7 // m: the triangles end at a channel
	places := []vec{d.At, to}
	t := r.strip
	for v := range t.X {
		if p := t.At(int32(v)); d.Channel && p.Distance(p.NearestOn(d.At, to)) <= on {
			places = append(places, p)
		}
	}
	for h := range t.V {
		p, q := t.At(t.V[h]), t.At(t.V[surface.Next(int32(h))])
		if d.Channel && plan.Meet(d.At, to, p, q) == exact.Cross {
			k := cross(minus(p, d.At), minus(q, p)) / cross(minus(to, d.At), minus(q, p))
			places = append(places, between(d.At, to, k))
		}
	}
	elevation := t.Locator()
	for _, p := range places {
		if z, _, ok := elevation.At(p); ok && math.Abs(z-d.Z) > flush {
			return (&survey.Error{Element: rampAt(r)}).Saw("%s under it, to which the floor falls", cmp.Or(d.Name, "a drain")).
				Wanted("a ramp that keeps off the drains: shorter or steeper")
		}
	}
	return nil
}

package surface

import "math"

// lattice holds plan coordinates as whole steps from an origin in whole metres. The step is
// a nanometre. Every decimal, every 1/64 in and every foot that a crew can write is a whole
// number of steps, so places that are on one line or one circle in the survey's decimals are
// exactly so here, wherever the floor is on the site grid. In binary fractions of a metre
// 0.1, 0.2 and 0.3 are not evenly spaced, and the last bit would decide how a square grid is
// cut.
//
// Far out the step is coarser: a power of ten larger than a unit in the last place of the
// coordinates, so that a decimal, which rounds by up to half a unit, comes back to itself.
// Up to 8 388 km the step is a nanometre.
type lattice struct {
	origin Vec
	per    float64 // steps per metre
}

func newLattice(lo, hi Vec) lattice {
	far := max(math.Abs(lo.X), math.Abs(lo.Y), math.Abs(hi.X), math.Abs(hi.Y))
	ulp := math.Nextafter(far, math.Inf(1)) - far
	per := 1e9
	for 1/per <= ulp {
		per /= 10
	}
	return lattice{Vec{math.Floor(lo.X), math.Floor(lo.Y)}, per}
}

// asGiven returns a lattice fine enough to hold coordinates from lo to hi exactly, with no
// bit rounded. Its origin is the next whole metre toward 0 and its step a power of two. Its
// places are not whole steps.
func asGiven(lo, hi Vec) lattice {
	whole := func(lo, hi float64) float64 {
		switch {
		case lo > 0:
			return math.Floor(lo)
		case hi < 0:
			return math.Ceil(hi)
		}
		return 0
	}
	return lattice{Vec{whole(lo.X, hi.X), whole(lo.Y, hi.Y)}, 1 << 30}
}

// exactly returns p in steps from the origin, not rounded.
func (l lattice) exactly(p Vec) Vec {
	return Vec{(p.X - l.origin.X) * l.per, (p.Y - l.origin.Y) * l.per}
}

// steps returns p as whole steps from the origin.
func (l lattice) steps(p Vec) Vec {
	return Vec{math.Round((p.X - l.origin.X) * l.per), math.Round((p.Y - l.origin.Y) * l.per)}
}

// metres returns steps as metres from the origin.
func (l lattice) metres(k Vec) Vec { return Vec{k.X / l.per, k.Y / l.per} }

// grid returns steps as a place on the grid of the survey.
func (l lattice) grid(k Vec) Vec { return Vec{l.origin.X + k.X/l.per, l.origin.Y + k.Y/l.per} }

// less orders places from west to east, then from south to north. It settles every tie, so
// that no answer depends on row order.
func (a Vec) less(b Vec) bool { return a.X < b.X || a.X == b.X && a.Y < b.Y }

// NearestOn returns the place between a and b that is nearest to p.
func (p Vec) NearestOn(a, b Vec) Vec {
	t := p.along(a, b)
	return Vec{a.X + float64(t*(b.X-a.X)), a.Y + float64(t*(b.Y-a.Y))}
}

// along returns where between a and b the place is that is nearest to p, from 0 to 1.
func (p Vec) along(a, b Vec) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	if l := float64(dx*dx) + float64(dy*dy); l > 0 {
		return min(max((float64((p.X-a.X)*dx)+float64((p.Y-a.Y)*dy))/l, 0), 1)
	}
	return 0
}

// Distance returns the distance in plan.
func (a Vec) Distance(b Vec) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }

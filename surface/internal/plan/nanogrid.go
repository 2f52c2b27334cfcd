package plan

import "math"

// NanoGrid holds plan coordinates as whole steps from an origin in whole metres. The step is
// a nanometre. Every decimal, every 1/64 in and every foot that a crew can write is a whole
// number of steps, so places that are on one line or one circle in the survey's decimals are
// exactly so here, wherever the floor is on the site grid. In binary fractions of a metre
// 0.1, 0.2 and 0.3 are not evenly spaced, and the last bit would decide how a square grid is
// cut.
//
// Far out the step is coarser: a power of ten larger than a unit in the last place of the
// coordinates, so that a decimal, which rounds by up to half a unit, comes back to itself.
// Up to 8 388 km the step is a nanometre.
type NanoGrid struct {
	Origin Vec
	Per    float64 // steps per metre
}

// NewNanoGrid returns the grid for coordinates from lo to hi.
func NewNanoGrid(lo, hi Vec) NanoGrid {
	far := max(math.Abs(lo.X), math.Abs(lo.Y), math.Abs(hi.X), math.Abs(hi.Y))
	ulp := math.Nextafter(far, math.Inf(1)) - far
	per := 1e9
	for 1/per <= ulp {
		per /= 10
	}
	return NanoGrid{Vec{math.Floor(lo.X), math.Floor(lo.Y)}, per}
}

// AsGiven returns a grid fine enough to hold coordinates from lo to hi exactly, with no
// bit rounded. Its origin is the next whole metre toward 0 and its step a power of two. Its
// places are not whole steps.
func AsGiven(lo, hi Vec) NanoGrid {
	whole := func(lo, hi float64) float64 {
		switch {
		case lo > 0:
			return math.Floor(lo)
		case hi < 0:
			return math.Ceil(hi)
		}
		return 0
	}
	return NanoGrid{Vec{whole(lo.X, hi.X), whole(lo.Y, hi.Y)}, 1 << 30}
}

// Exactly returns p in steps from the origin, not rounded.
func (l NanoGrid) Exactly(p Vec) Vec {
	return Vec{(p.X - l.Origin.X) * l.Per, (p.Y - l.Origin.Y) * l.Per}
}

// Steps returns p as whole steps from the origin.
func (l NanoGrid) Steps(p Vec) Vec {
	return Vec{math.Round((p.X - l.Origin.X) * l.Per), math.Round((p.Y - l.Origin.Y) * l.Per)}
}

// Metres returns steps as metres from the origin.
func (l NanoGrid) Metres(k Vec) Vec { return Vec{k.X / l.Per, k.Y / l.Per} }

// Site returns steps as a place on the grid of the survey.
func (l NanoGrid) Site(k Vec) Vec { return Vec{l.Origin.X + k.X/l.Per, l.Origin.Y + k.Y/l.Per} }

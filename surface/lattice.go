package surface

import "math"

// lattice holds plan coordinates as whole steps from an origin of whole metres.
// The step is a nanometre, which every decimal, every 1/64 in and every foot a
// crew can write is a whole number of: what lies on one line, or on one circle,
// in the survey's decimals does so exactly here, wherever on the site grid the
// floor lies. In binary fractions of a metre 0.1, 0.2 and 0.3 are not evenly
// spaced, and a square grid would be cut by the noise of the last bit.
//
// Far out the step is coarser: a power of ten that is at least two units in the
// last place of the coordinates themselves.
type lattice struct {
	origin Vec
	per    float64 // steps per metre
}

func newLattice(lo, hi Vec) lattice {
	far := max(math.Abs(lo.X), math.Abs(lo.Y), math.Abs(hi.X), math.Abs(hi.Y))
	ulp := math.Nextafter(far, math.Inf(1)) - far
	per := 1e9
	for 1/per < 2*ulp {
		per /= 10
	}
	return lattice{Vec{math.Floor(lo.X), math.Floor(lo.Y)}, per}
}

// steps returns p as whole steps from the origin.
func (l lattice) steps(p Vec) Vec {
	return Vec{math.Round((p.X - l.origin.X) * l.per), math.Round((p.Y - l.origin.Y) * l.per)}
}

// metres returns steps as metres from the origin.
func (l lattice) metres(k Vec) Vec { return Vec{k.X / l.per, k.Y / l.per} }

// grid returns steps as a place on the grid of the survey.
func (l lattice) grid(k Vec) Vec { return Vec{l.origin.X + k.X/l.per, l.origin.Y + k.Y/l.per} }

// less orders places from west to east, then from south to north. It settles
// every tie, so that no answer depends on the order of rows.
func (a Vec) less(b Vec) bool { return a.X < b.X || a.X == b.X && a.Y < b.Y }

// Distance returns the distance in plan.
func (a Vec) Distance(b Vec) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }

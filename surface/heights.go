package surface

import (
	"math"
	"slices"

	"pourplane/surface/internal/sum"
)

// FilledTo returns the volume of fill below target, m³, and the area that it is on, m² in plan.
func (f *Floor) FilledTo(target Target) (fill, area float64) {
	s := f.submerged(target)
	return s.at(0)
}

// submerged is a floor whose target moves up and down: the depths at the corners, each region by
// itself.
type submerged struct {
	tins    []*TIN
	corners [][]corner
}

func (f *Floor) submerged(target Target) submerged {
	var s submerged
	for _, r := range f.under(target).Regions {
		s.tins, s.corners = append(s.tins, r.TIN), append(s.corners, r.TIN.corners(target))
	}
	return s
}

// at returns the volume of fill, m³, and its area, m², with the target moved up by h.
func (s *submerged) at(h float64) (fill, area float64) {
	var v, a sum.Sum
	for i, t := range s.tins {
		c := s.corners[i]
		parts := make([][2]sum.Sum, (t.Len()+chunk-1)/chunk)
		inChunks(t.Len(), func(lo, hi int) {
			var v, a sum.Sum
			// In blocks, as in [TIN.some].
			const block = 128
			var near [3 * block]corner
			for k := lo; k < hi; k++ {
				at := 3 * ((k - lo) % block)
				if at == 0 {
					for i, v := range t.V[3*k : 3*min(k+block, hi)] {
						near[i] = c[v]
					}
				}
				p, q, r := &near[at], &near[at+1], &near[at+2]
				whole := (float64((q.x-p.x)*(r.y-p.y)) - float64((q.y-p.y)*(r.x-p.x))) / 2
				where, integral := above(whole, p.depth+h, q.depth+h, r.depth+h)
				v.Add(integral)
				a.Add(where)
			}
			parts[lo/chunk] = [2]sum.Sum{v, a}
		})
		for _, p := range parts {
			v.Merge(p[0])
			a.Merge(p[1])
		}
	}
	return v.Value(), a.Value()
}

// level returns the plan area, m², the mean depth and the least and greatest depth, m.
func (s *submerged) level() (area, mean, least, greatest float64) {
	least, greatest = math.Inf(1), math.Inf(-1)
	for i := range s.tins {
		for _, c := range s.corners[i] {
			least, greatest = min(least, c.depth), max(greatest, c.depth)
		}
	}
	// With the target up by that, all of the floor is a metre or more below it.
	up := 1 + max(0, -least)
	fill, area := s.at(up)
	return area, fill/area - up, least, greatest
}

// RaiseFor returns how far target must move up (down if negative), m, for the fill below it to be
// volume, m³, which must be more than 0. No other elevation, to the last bit of the depths, has
// a fill nearer to it; of two equally near the lower one counts.
//
// The fill grows with the height, ever faster, and its rate is the area filled. So Newton's method
// from above comes down to the solution and never jumps past it but by rounding. The start is
// the height at which an even fill of the whole floor would have the volume: where some of the
// floor is above the target, the fill there is more. Bisection takes over where a step would leave
// what is known to hold the solution. Source: own derivation.
func (f *Floor) RaiseFor(target Target, volume float64) float64 {
	s := f.submerged(target)
	area, mean, _, greatest := s.level()
	lo, hi := -greatest, volume/area-mean // fill 0, and at least volume
	// No corner below the target is deeper than greatest, or farther above 0 than the solution.
	grain := func() float64 { return max(ulp(greatest), ulp(lo), ulp(hi)) }
	lo, hi = lo-grain(), max(hi, lo)+grain()
	fillLo, fillHi := 0.0, math.Inf(1)
	reach := 0.0 // how far beyond the solution to look, once Newton has come to it
	for h := hi; hi-lo > grain(); {
		reach = max(reach, grain())
		fill, wet := s.at(h)
		switch {
		case fill < volume && h >= hi: // rounding at the start
			lo, fillLo = hi, fill
			hi += reach
			reach *= 2
			h = hi
			continue
		case fill < volume:
			lo, fillLo = h, fill
			h += onward((volume-fill)/wet, &reach) // Inf, or NaN for no fill at all: bisected below
		default:
			hi, fillHi = h, fill
			h -= onward((fill-volume)/wet, &reach)
		}
		if m := lo + (hi-lo)/2; !(h > lo && h < hi) {
			if m <= lo || m >= hi {
				break
			}
			h = m
		}
	}
	if volume-fillLo <= fillHi-volume {
		return lo
	}
	return hi
}

// onward returns the step to take, at least reach, which grows each time that it is taken: so the
// other side of the solution is found soon.
func onward(step float64, reach *float64) float64 {
	if step < *reach {
		step = *reach
		*reach *= 2
	}
	return step
}

// ulp is the distance to the next larger number of the size of v.
func ulp(v float64) float64 {
	v = math.Abs(v)
	return math.Nextafter(v, math.Inf(1)) - v
}

// Height is the fill of a floor with its target moved up by Raise.
type Height struct {
	Raise           float64 // m; negative: down
	Fill, Cut       float64 // m³, each ≥ 0
	FillArea        float64 // m²
	Least, Greatest float64 // m, depth
	Bands           []Band  // of what is filled
}

// Heights returns the fill of f with target moved up by each of raises, m, with the share of
// each band of depth between neighbouring limits (ascending, m, more than 0), from 0 to the
// greatest depth. All of them come from one pass over the triangles, as the depths above each
// level of [Floor.FillTo] do: what is filled below a target moved up by h is what is deeper than −h.
func (f *Floor) Heights(target Target, raises, limits []float64) []Height {
	cuts := append([]float64{0}, limits...)
	var levels []float64
	for _, h := range raises {
		for _, l := range cuts {
			levels = append(levels, l-h)
		}
	}
	slices.Sort(levels)
	levels = slices.Compact(levels)

	s := f.submerged(target)
	total := newQuantities(len(levels))
	for i, t := range s.tins {
		total.merge(t.quantities(s.corners[i], target, levels))
	}
	area, mean, least, greatest := s.level()
	overArea, overFill := total.above(levels)
	out := make([]Height, len(raises))
	for i, h := range raises {
		at := func(l float64) (a, v float64) {
			k, _ := slices.BinarySearch(levels, l-h)
			return overArea[k], overFill[k]
		}
		o := &out[i]
		o.Raise, o.Least, o.Greatest = h, least+h, greatest+h
		o.FillArea, o.Fill = at(0)
		// All of the depths, less those below the target.
		if o.Least < 0 {
			o.Cut = max(0, o.Fill-(mean+h)*area)
		}
		for k, from := range cuts {
			if from >= o.Greatest {
				break
			}
			a, v := at(from)
			b := Band{From: from, To: o.Greatest, Area: a, Volume: v + from*a}
			if k+1 < len(cuts) && cuts[k+1] < o.Greatest {
				b.To = cuts[k+1]
				a, v = at(b.To)
				b.Area, b.Volume = b.Area-a, b.Volume-(v+b.To*a)
			}
			if b.Area > 0 {
				o.Bands = append(o.Bands, b)
			}
		}
	}
	return out
}

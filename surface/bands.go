package surface

import (
	"math"

	"pourplane/survey/unit"
)

// MostBands is the max number of depth bands: how many colours a reader can tell apart, and
// how many limits a phone can show side by side. Own choice.
const MostBands = 10

// Steps are the round steps between depths that a reader works in.
type Steps struct {
	US     bool    // 1/16, 1/8, 1/4 … in; else 1, 2, 5, 10 … mm
	Finest float64 // m
}

// Levels returns the limits of depth bands, m, ascending: multiples of a round step, from at
// or below least to at or above greatest. There are at most ten bands, and at least one on a
// dead level floor.
func (s Steps) Levels(least, greatest float64) []float64 {
	step, times, round := s.ladder()
	return Ladder(least, greatest, step, s.Finest, times, round)
}

// ladder returns the first step, m, and the factors by which it grows in turn. round puts a
// step on whole tenths of a millimetre or 64ths.
func (s Steps) ladder() (first float64, times []float64, round func(float64) float64) {
	if s.US {
		inch := unit.Inch.Metres()
		return inch / 16, []float64{2}, func(s float64) float64 { return math.Round(s/(inch/64)) * (inch / 64) }
	}
	return 0.001, []float64{2, 2.5, 2}, func(s float64) float64 { return math.Round(s*1e4) / 1e4 }
}

// Ladder returns limits as [Steps.Levels] does. It starts with step, which grows by the factors in
// times until there are at most ten bands and the step is no finer than finest.
func Ladder(least, greatest, step, finest float64, times []float64, round func(float64) float64) []float64 {
	first := func() float64 { return math.Floor(least/step + 1e-9) }
	last := func() float64 { return math.Ceil(greatest/step - 1e-9) }
	for i := 0; last()-first() > MostBands || step < finest; i++ {
		step = round(step * times[i%len(times)])
	}
	lo, hi := first(), max(last(), first()+1)
	var out []float64
	for k := lo; k <= hi; k++ {
		out = append(out, k*step)
	}
	return out
}

// Limits returns the limits of the depth bands of a floor, m, ascending. Their step is
// the finest round step that divides most of the area, so that a pit or a hump does not
// leave the rest of the floor in one colour. Depths with little area get a coarser step.
// Depths with no area, as between a floor and its pit, are one band, which is not listed. At
// most ten bands have area. The target itself is a limit where it divides the floor.
func (s Steps) Limits(f *Floor, target Target) []float64 {
	f = f.under(target)
	least, greatest := f.Depths(target)
	if !(greatest-least <= math.MaxFloat64) {
		return nil // NaN depths have no bands
	}
	step, times, round := s.ladder()
	const finest = 4000 // bins of the first, fine count
	fine := step
	for (greatest-least)/fine > finest {
		fine *= 2
		if !s.US {
			fine *= 5
		}
	}
	from := math.Floor(least / fine)
	share := spread(f, target, from*fine, fine, int(math.Ceil(greatest/fine)-from)+1)
	var steps []float64
	for i := 0; len(steps) == 0 || steps[len(steps)-1] <= 2*(greatest-least); i++ {
		if step >= fine && step >= s.Finest {
			steps = append(steps, step)
		}
		step = round(step * times[i%len(times)])
	}
	for i, own := range steps {
		for _, coarse := range steps[i:] {
			g := grouping{bins: share, from: from, step: int(math.Round(own / fine)), coarse: int(math.Round(coarse / own)), target: least < 0 && greatest > 0}
			if math.Abs(float64(g.coarse)*own-coarse) < fine/2 && g.divides() {
				for k := range g.limits {
					g.limits[k] *= own
				}
				return g.limits
			}
		}
	}
	return s.Levels(least, greatest)
}

// spread returns the share of the area of f in each of n bins of depth; from is the first
// depth, size the bin's. The area of a triangle is taken as even between its min and max
// depth, which is near enough to choose limits by.
func spread(f *Floor, target Target, from, size float64, n int) []float64 {
	// density[i] changes at the lower edge of bin i, part[i] belongs to bin i alone.
	density, part := make([]float64, n+1), make([]float64, n)
	total := 0.0
	for _, r := range f.Regions {
		corners := r.TIN.corners(target)
		for k := range r.TIN.Len() {
			a, b, c := &corners[r.TIN.V[3*k]], &corners[r.TIN.V[3*k+1]], &corners[r.TIN.V[3*k+2]]
			area := ((b.x-a.x)*(c.y-a.y) - (c.x-a.x)*(b.y-a.y)) / 2
			lo := (min(a.depth, b.depth, c.depth) - from) / size
			hi := (max(a.depth, b.depth, c.depth) - from) / size
			total += area
			// A depth that differs from a limit by rounding alone is on it.
			const hair = 1e-6
			i := min(int(lo+hair), n-1)
			j := min(max(i, int(math.Ceil(hi-hair))-1), n-1)
			if i == j {
				part[i] += area
				continue
			}
			even := area / (hi - lo)
			part[i] += even * (float64(i+1) - lo)
			part[j] += even * (hi - float64(j))
			density[i+1] += even
			density[j] -= even
		}
	}
	sum := 0.0
	for i := range part {
		sum += density[i]
		part[i] = max(part[i]+sum, 0) / total
	}
	return part
}

// grouping gathers bins of depth into steps of so many bins; from is the number of the first
// bin. A step with enough area is a band. Steps with less are gathered again, coarse of them
// at a time. Steps with no area, as between a floor and its pit, are gathered too.
type grouping struct {
	bins         []float64 // share of the area
	from         float64
	step, coarse int
	target       bool // 0, the target, is a limit

	limits       []float64 // in steps
	bands        int       // with area
	main, little float64   // share of the area in steps with enough area; in bands with too little
}

const (
	enough = 0.02 // of the area, for a band. Own choice, as are the next two.
	// A step suits a floor where most of the area is in bands of that step: an even tilt has
	// little area in every fine step.
	mostOfIt = 0.5
	// of the area, in bands with less than enough: the ends of the range, a pit.
	mostLittle = 0.1
)

// divides sets the limits and reports whether they suit the floor.
func (g *grouping) divides() bool {
	first := math.Floor(g.from / float64(g.step))
	var share []float64
	for i, s := range g.bins {
		k := int(math.Floor((g.from+float64(i))/float64(g.step)) - first)
		for len(share) <= k {
			share = append(share, 0)
		}
		share[k] += s
	}
	const none = 1e-12 // of the area: rounding
	kind := func(k int) int {
		switch {
		case share[k] >= enough:
			return 2
		case share[k] > none:
			return 1
		}
		return 0
	}
	for len(share) > 1 && kind(len(share)-1) == 0 {
		share = share[:len(share)-1]
	}
	band := 0.0
	end := func() {
		if band > none {
			g.bands++
		}
		if band < enough {
			g.little += band
		}
		band = 0
	}
	for k, s := range share {
		here, now := first+float64(k), kind(k)
		if len(g.limits) == 0 && now == 0 {
			continue // begins with the first area
		}
		apart := len(g.limits) == 0 || now == 2 || now != kind(k-1) || here == 0 && g.target ||
			now == 1 && int(math.Abs(here))%g.coarse == 0
		if apart {
			end()
			g.limits = append(g.limits, here)
		}
		if band += s; now == 2 {
			g.main += s
		}
	}
	end()
	g.limits = append(g.limits, first+float64(len(share)))
	return g.bands <= MostBands && g.little <= mostLittle && g.main >= mostOfIt
}

// Between returns the levels halfway between neighbouring limits, for minor
// contour lines.
func Between(limits []float64) []float64 {
	var out []float64
	for i := range len(limits) - 1 {
		out = append(out, (limits[i]+limits[i+1])/2)
	}
	return out
}

package surface

import (
	"math"

	"pourplane/survey/unit"
)

// MostBands is how many bands a reader can tell apart, and a telephone can show the
// limits of side by side.
const MostBands = 10

// Levels returns the limits of depth bands, m, ascending: multiples of a round
// step in the unit of u that take in least and greatest. There are at most ten
// bands, and at least one on a dead level floor.
func Levels(least, greatest float64, u unit.Style) []float64 {
	step, times, round := roundSteps(u)
	return Ladder(least, greatest, step, u.Step(), times, round)
}

// roundSteps returns the first step between depths in the unit of u, m, and what it grows by
// in turn: 1, 2, 5, 10 … mm, or 1/16, 1/8, 1/4 … in. round keeps a step on whole
// millimetres or sixteenths.
func roundSteps(u unit.Style) (first float64, times []float64, round func(float64) float64) {
	if u.Imperial {
		inch := unit.Inch.Metres()
		return inch / 16, []float64{2}, func(s float64) float64 { return math.Round(s/(inch/64)) * (inch / 64) }
	}
	return 0.001, []float64{2, 2.5, 2}, func(s float64) float64 { return math.Round(s*1e4) / 1e4 }
}

// Ladder returns limits as [Levels] does: from a first step, which grows by times in
// turn until there are at most ten bands and the step is no finer than finest.
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

// BandLimits returns the limits of the depth bands of a floor, m, ascending: the finest
// round step that divides most of the area, so that a pit or a hump does not leave the
// rest of the floor in one colour. Stretches of depth that hold little area are one
// band, and so are those that hold none, as between a floor and its pit; such a band has
// no area and is not listed. At most ten bands have some. The target itself is a limit
// where it divides the floor.
func BandLimits(f *Floor, target Plane, u unit.Style) []float64 {
	least, greatest := f.Depths(target)
	if !(greatest-least <= math.MaxFloat64) {
		return nil // depths that are no numbers have no bands
	}
	step, times, round := roundSteps(u)
	const finest = 4000 // bins of the first, fine count
	fine := step
	for (greatest-least)/fine > finest {
		fine *= 2
		if !u.Imperial {
			fine *= 5
		}
	}
	from := math.Floor(least / fine)
	share := spread(f, target, from*fine, fine, int(math.Ceil(greatest/fine)-from)+1)
	for i := 0; ; i++ {
		if step >= fine && step >= u.Step() {
			if out, n := group(share, from, int(math.Round(step/fine)), least, greatest); n <= MostBands {
				for k := range out {
					out[k] *= step
				}
				return out
			}
		}
		step = round(step * times[i%len(times)])
	}
}

// spread returns the share of the area of f in bins of depth of a size, the first from a
// depth on. The area of a triangle is taken as even between its least and greatest
// depth, which is near enough to choose limits by.
func spread(f *Floor, target Plane, from, size float64, n int) []float64 {
	// density[i] changes at the lower edge of bin i, part[i] belongs to bin i alone.
	density, part := make([]float64, n+1), make([]float64, n)
	total := 0.0
	for _, r := range f.Regions {
		t, depth := r.TIN, r.TIN.Depths(target)
		for k := range t.Len() {
			a, b, c := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
			area := ((t.X[b]-t.X[a])*(t.Y[c]-t.Y[a]) - (t.Y[b]-t.Y[a])*(t.X[c]-t.X[a])) / 2
			lo := (min(depth[a], depth[b], depth[c]) - from) / size
			hi := (max(depth[a], depth[b], depth[c]) - from) / size
			total += area
			// A depth that rounding has put a hair off a limit lies on it.
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

// group gathers bins, the first of which is from, into steps of so many and returns the
// limits of bands in steps: a step with enough area is one, and what lies between two
// such is one together, with a limit where its area begins and ends. n is how many have
// area.
func group(bins []float64, from float64, times int, least, greatest float64) (limits []float64, n int) {
	const enough = 0.02 // of the area
	first := math.Floor(from / float64(times))
	var share []float64
	for i, s := range bins {
		k := int(math.Floor((from+float64(i))/float64(times)) - first)
		for len(share) <= k {
			share = append(share, 0)
		}
		share[k] += s
	}
	const none = 1e-12 // of the area: what rounding leaves
	kind := func(k int) int {
		switch {
		case share[k] >= enough:
			return 2
		case share[k] > none:
			return 1
		}
		return 0
	}
	for k := 0; k < len(share); k++ {
		here := first + float64(k)
		was := 0
		if k > 0 {
			was = kind(k - 1)
		}
		if k > 0 && kind(k) != 2 && kind(k) == was && !(here == 0 && least < 0 && greatest > 0) {
			continue
		}
		if k == 0 && kind(k) == 0 {
			continue // begins with the first area
		}
		if len(limits) == 0 || limits[len(limits)-1] != here {
			limits = append(limits, here)
		}
		if kind(k) > 0 {
			n++
		}
	}
	last := len(share)
	for last > 0 && kind(last-1) == 0 {
		last--
	}
	for len(limits) > 0 && limits[len(limits)-1] >= first+float64(last) {
		limits = limits[:len(limits)-1]
	}
	return append(limits, first+float64(last)), n
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

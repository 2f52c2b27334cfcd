package plot

import (
	"image/color"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// rounding is how far a depth may pass a limit before a band is opened for it, m:
// far below anything measured, above the rounding of a subtraction.
const rounding = 1e-9

// most is how many bands a reader can tell apart, and a telephone can show the
// limits of side by side.
const most = 10

const inch = 0.0254 // m

// Levels returns the limits of depth bands, m, ascending: multiples of a round
// step in the unit of u that take in least and greatest. There are at most ten
// bands, and at least one on a dead level floor.
func Levels(least, greatest float64, u unit.Style) []float64 {
	step, times, round := roundSteps(u)
	return ladder(least, greatest, step, u.Step(), times, round)
}

// roundSteps returns the first step between depths in the unit of u, m, and what it grows by
// in turn: 1, 2, 5, 10 … mm, or 1/16, 1/8, 1/4 … in. round keeps a step on whole
// millimetres or sixteenths.
func roundSteps(u unit.Style) (first float64, times []float64, round func(float64) float64) {
	if u.Imperial {
		return inch / 16, []float64{2}, func(s float64) float64 { return math.Round(s/(inch/64)) * (inch / 64) }
	}
	return 0.001, []float64{2, 2.5, 2}, func(s float64) float64 { return math.Round(s*1e4) / 1e4 }
}

// ladder returns limits as [Levels] does: from a first step, which grows by times in
// turn until there are at most ten bands and the step is no finer than finest.
func ladder(least, greatest, step, finest float64, times []float64, round func(float64) float64) []float64 {
	first := func() float64 { return math.Floor(least/step + 1e-9) }
	last := func() float64 { return math.Ceil(greatest/step - 1e-9) }
	for i := 0; last()-first() > most || step < finest; i++ {
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
func BandLimits(f *surface.Floor, target surface.Plane, u unit.Style) []float64 {
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
			if out, n := group(share, from, int(math.Round(step/fine)), least, greatest); n <= most {
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
func spread(f *surface.Floor, target surface.Plane, from, size float64, n int) []float64 {
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

// bands are the classes of depth that a drawing shows: band i runs from
// limits[i-1] to limits[i], the first and the last are open.
type bands struct {
	limits      []float64
	first, last int // those that occur
	listed      []int
	colors      []color.NRGBA
}

// newBands sorts the limits and adds the target itself where it divides the
// floor, since no band may hold both fill and cut.
func newBands(limits []float64, least, greatest float64) *bands {
	l := slices.Clone(limits)
	if least < 0 && greatest > 0 {
		l = append(l, 0)
	}
	slices.Sort(l)
	b := &bands{limits: slices.Compact(l)}
	b.first = b.of(least)
	b.last = b.first
	for b.last < len(b.limits) && b.limits[b.last] < greatest-rounding {
		b.last++
	}
	all := make([]float64, b.last-b.first+1)
	for i := range all {
		all[i] = 1
	}
	b.list(all, greatest)
	return b
}

// list chooses the bands that are shown, by the share of the area of each that occurs,
// and colours them.
func (b *bands) list(share []float64, greatest float64) {
	const none = 1e-9 // of the area: what rounding leaves at a limit
	b.listed = b.listed[:0]
	cuts := 0
	for i := b.first; i <= b.last; i++ {
		if share[i-b.first] <= none {
			continue
		}
		b.listed = append(b.listed, i)
		if b.cut(i, greatest) {
			cuts++
		}
	}
	b.colors = make([]color.NRGBA, len(b.limits)+1)
	next := 0 // the listed band that i, or the one of no area before it, is coloured as
	for i := b.first; i <= b.last; i++ {
		k := min(next, len(b.listed)-1)
		if k < cuts {
			b.colors[i] = ramp(cutInks, cuts-1-k, cuts)
		} else {
			b.colors[i] = ramp(fillInks, k-cuts, len(b.listed)-cuts)
		}
		if next < len(b.listed) && b.listed[next] == i {
			next++
		}
	}
}

// color returns the colour of depth d.
func (b *bands) color(d float64) color.NRGBA { return b.colors[min(max(b.of(d), b.first), b.last)] }

// of returns the band that depth d lies in.
func (b *bands) of(d float64) int {
	i := 0
	for i < len(b.limits) && d >= b.limits[i] {
		i++
	}
	return i
}

// cut reports whether band i lies above the target, on a floor of which greatest
// is the greatest depth.
func (b *bands) cut(i int, greatest float64) bool {
	if i < len(b.limits) {
		return b.limits[i] <= 0
	}
	return greatest < 0
}

// Inks from pale to dark: lightness falls evenly, so that the order survives grey
// print and every kind of colour blindness. Fill goes to blue and cut to brown,
// which differ for all of them too.
var (
	fillInks = []color.NRGBA{rgb(0xf5f3de), rgb(0xc9dfc2), rgb(0x8ec2b4), rgb(0x549dab), rgb(0x2f7398), rgb(0x27497a)}
	cutInks  = []color.NRGBA{rgb(0xfbdcbc), rgb(0xe5a163), rgb(0xb5652b)}
)

func rgb(hex uint32) color.NRGBA {
	return color.NRGBA{uint8(hex >> 16), uint8(hex >> 8), uint8(hex), 255}
}

// ramp returns ink i of n.
func ramp(inks []color.NRGBA, i, n int) color.NRGBA {
	t := 0.4 // a single band is neither the palest nor the darkest
	if n > 1 {
		t = float64(i) / float64(n-1)
	}
	t *= float64(len(inks) - 1)
	k := min(int(t), len(inks)-2)
	t -= float64(k)
	mix := func(a, b uint8) uint8 { return uint8(math.Round(float64(a) + t*(float64(b)-float64(a)))) }
	a, b := inks[k], inks[k+1]
	return color.NRGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 255}
}

// lightness returns L* of CIE 1976, 0 to 100, of a colour in sRGB
// (IEC 61966-2-1).
func lightness(c color.NRGBA) float64 {
	lin := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	y := 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
	if y <= 216./24389 {
		return y * 24389. / 27
	}
	return 116*math.Cbrt(y) - 16
}

// on returns the ink for lettering on a ground: black, or white where that reads
// better.
func on(ground color.NRGBA) color.NRGBA {
	if lightness(ground) < 52 {
		return white
	}
	return black
}

var (
	black = rgb(0x000000)
	white = rgb(0xffffff)
	grey  = rgb(0x5a5a5a)
)

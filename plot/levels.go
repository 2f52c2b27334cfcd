package plot

import (
	"image/color"
	"math"
	"slices"
)

// rounding is how far a depth may pass a limit without opening a band, m: far less than
// anything measured, more than the rounding of a subtraction.
const rounding = 1e-9

// bands are the classes of depth of a drawing: band i is from limits[i-1] to limits[i]; the
// first and the last are open.
type bands struct {
	limits      []float64
	first, last int // those that occur
	listed      []int
	colors      []color.NRGBA
}

// newBands sorts the limits and adds the target itself if it divides the floor, because no
// band may have both fill and cut.
func newBands(limits []float64, least, greatest float64) *bands {
	if least < 0 && greatest > 0 {
		limits = append(slices.Clip(limits), 0)
	}
	return sortedBands(limits, least, greatest)
}

// sortedBands sorts the limits.
func sortedBands(limits []float64, least, greatest float64) *bands {
	l := slices.Clone(limits)
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

// list chooses the bands to show, by the share of the area of each that occurs, and sets
// their colours.
func (b *bands) list(share []float64, greatest float64) {
	const none = 1e-9 // of the area: rounding at a limit
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
	next := 0 // the listed band whose colour i, or the band of no area before it, gets
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

// notShown is the colour of changes that are no more than error.
var notShown = rgb(0xe4e4e4)

// grey gives the band of no change its colour, which is neither of lower nor of higher.
func (b *bands) grey() { b.colors[b.of(0)] = notShown }

// ink colours the listed bands, and those of no area before each, from the first of inks to the last.
func (b *bands) ink(inks []color.NRGBA) {
	next := 0
	for i := b.first; i <= b.last; i++ {
		b.colors[i] = ramp(inks, min(next, len(b.listed)-1), len(b.listed))
		if next < len(b.listed) && b.listed[next] == i {
			next++
		}
	}
}

// color returns the colour of depth d.
func (b *bands) color(d float64) color.NRGBA { return b.colors[min(max(b.of(d), b.first), b.last)] }

// of returns the band of depth d.
func (b *bands) of(d float64) int {
	i := 0
	for i < len(b.limits) && d >= b.limits[i] {
		i++
	}
	return i
}

// cut reports whether band i is above the target, on a floor with max depth greatest.
func (b *bands) cut(i int, greatest float64) bool {
	if i < len(b.limits) {
		return b.limits[i] <= 0
	}
	return greatest < 0
}

// Inks from pale to dark: lightness decreases evenly, so that the order is visible in grey
// print and with any kind of colour blindness. Fill goes to blue and cut to brown, which
// differ for all of them too.
var (
	fillInks = []color.NRGBA{rgb(0xf5f3de), rgb(0xc9dfc2), rgb(0x8ec2b4), rgb(0x549dab), rgb(0x2f7398), rgb(0x27497a)}
	cutInks  = []color.NRGBA{rgb(0xfbdcbc), rgb(0xe5a163), rgb(0xb5652b)}
	// Of a ±: violet, which is neither of fill nor of cut nor of water.
	errorInks = []color.NRGBA{rgb(0xf7f2f8), rgb(0xdfcce4), rgb(0xbf9dca), rgb(0x996cab), rgb(0x704189), rgb(0x462060)}
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

// on returns the ink for lettering on a ground: black, or white if that is easier to read.
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

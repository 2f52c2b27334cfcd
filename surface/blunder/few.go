package blunder

import (
	"math"

	"pourplane/surface"
	"pourplane/survey"
)

// Where a region has too few shots to weigh slips, one that is far from the plane of all
// others is named, if these are close to it: own choices, of 2 in and of four times.
const (
	farOff = 0.05 // m
	apart  = 4    // times what the others are off their plane
)

// lone returns the one shot of a few that is far from the plane of the others, with its height
// above that, negative below, and their max distance from it, m. A floor of fewer than five
// shots shows none: any three make a plane, and a fourth may be a real hump.
func lone(shots []*shot) (far *shot, off, others float64) {
	if len(shots) < 5 {
		return nil, 0, 0
	}
	for i, s := range shots {
		var rest []survey.Point
		for k, o := range shots {
			if k != i {
				rest = append(rest, survey.Point{X: o.x, Y: o.y, Z: o.z})
			}
		}
		p, _, err := surface.FitPlane(rest)
		if err != nil {
			continue // they are on one line
		}
		over := func(x, y, z float64) float64 { return z - p.Elevation(surface.Vec{X: x, Y: y}) }
		if d := over(s.x, s.y, s.z); math.Abs(d) > math.Abs(off) {
			far, off, others = s, d, 0
			for _, o := range rest {
				others = max(others, math.Abs(over(o.X, o.Y, o.Z)))
			}
		}
	}
	if math.Abs(off) <= farOff || math.Abs(off) <= apart*others {
		return nil, 0, 0
	}
	return far, off, others
}

// loneOf returns the finding of the lone shot of a region, if there is one. Where it would fit is
// on the plane of the others: what depends on it is what changes if it is there.
func (b *book) loneOf(shots []*shot) []Finding {
	far, off, others := lone(shots)
	if far == nil {
		return nil
	}
	r, say := b.readingOf(far)
	f := Finding{Reading: r, Shot: far.point, Kind: Lone, Found: r.Text, Off: off, Fits: far.z - off, Doubt: true, Others: len(shots) - 1, Within: others,
		restated: map[survey.Point]float64{far.point: far.z - off}}
	f.WouldFit = say.write(r.Value - upward(r.Measure)*off)
	if b.survey.Relative && far.reading >= 0 {
		f.Rod = f.WouldFit
	}
	return []Finding{f}
}

package flatness

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
)

// crossing is a stretch of floor on the line through two corners.
type crossing struct {
	corner  surface.Vec
	degrees float64 // from east
	length  float64 // m
}

// grazing is how far beside the line through two corners to try as well, m: by rounding, a
// line that touches a corner of the wall may be on either side of it.
const grazing = 1e-8

// crossings returns the longest stretch of floor on each line through two corners, the
// longest first. The longest way over a floor touches at least two corners: one that touches
// fewer can be turned or moved to a longer one. With more than about two hundred corners
// only the pairs farthest apart are tried, with more than a thousand only some corners.
func crossings(rings [][]surface.Vec) []crossing {
	type pair struct {
		segment
		apart float64
	}
	corners := slices.Concat(rings...)
	every := 1 + len(corners)/1000
	var pairs []pair
	for i := 0; i < len(corners); i += every {
		for k := 0; k < i; k += every {
			a, b := corners[i], corners[k]
			if d := a.Distance(b); d > 0 {
				pairs = append(pairs, pair{segment{a, b}, d})
			}
		}
	}
	slices.SortStableFunc(pairs, func(p, q pair) int { return cmp.Compare(q.apart, p.apart) })
	pairs = pairs[:min(len(pairs), 4_000_000/len(corners))]
	var out []crossing
	for _, p := range pairs {
		seen := newPlan(rings, nil, newFrame(p.a, p.bearing()))
		best := crossing{corner: p.a, degrees: math.Mod(p.bearing()*180/math.Pi+180, 180)}
		for _, y := range [...]float64{0, -grazing, grazing} {
			for _, w := range seen.floorAlong(y) {
				best.length = max(best.length, w.Hi-w.Lo)
			}
		}
		out = append(out, best)
	}
	slices.SortStableFunc(out, func(a, b crossing) int { return cmp.Compare(b.length, a.length) })
	return out
}

// fromCornerToCorner lays the edge along the longest ways over a region, in up to a dozen
// directions. Lines run through the corners themselves.
func (s *search) fromCornerToCorner(r surface.Region) {
	all, f := crossings(r.Rings), newField(r.TIN)
	s.total.longest = max(s.total.longest, all[0].length)
	var tried []float64
	for _, c := range all {
		if c.length < s.Length-1e-7 || len(tried) == 12 {
			return
		}
		if slices.Contains(tried, c.degrees) {
			continue
		}
		tried = append(tried, c.degrees)
		if !slices.Contains(s.out.Directions, c.degrees) {
			s.out.Directions = append(s.out.Directions, c.degrees)
		}
		d := f.turn(c.degrees)
		x, y := c.corner.X-r.TIN.Origin.X, c.corner.Y-r.TIN.Origin.Y
		w := float64(y*d.cos) - float64(x*d.sin)
		lines := append(d.lines(s.Spacing), w-grazing, w, w+grazing)
		slices.Sort(lines)
		_ = direction([]*search{s}, d, lines, &progress{}) // few lines, which nothing stops
	}
}

package uncertainty

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
)

// places returns the centroids of the cells of p.
func (p *piece) places() []surface.Vec {
	out := make([]surface.Vec, len(p.cells))
	for i, c := range p.cells {
		out[i] = surface.Vec{X: c.x, Y: c.y}
	}
	return out
}

// offWall is how far from a wall a rod is set, m: as near as its foot and the hand allow. Own choice.
const offWall = 0.1

// atWall reports whether a place is nearer to a wall than a rod can be set.
func atWall(r surface.Region, p surface.Vec) bool {
	for _, ring := range r.Rings {
		for i, a := range ring {
			if p.Distance(p.NearestOn(a, ring[(i+1)%len(ring)])) < offWall*0.999 {
				return true
			}
		}
	}
	return false
}

// along returns places along the walls of a region where a rod can be set, at most apart from each
// other, m: at its corners, and between them.
func along(r surface.Region, apart float64) []surface.Vec {
	locate := r.TIN.Locator()
	var out []surface.Vec
	add := func(p surface.Vec) {
		if _, _, ok := locate.At(p); ok {
			out = append(out, p)
		}
	}
	for _, ring := range r.Rings {
		for i, a := range ring {
			b, c := ring[(i+1)%len(ring)], ring[(i+2)%len(ring)]
			long, next := a.Distance(b), b.Distance(c)
			if long == 0 || next == 0 {
				continue
			}
			// The floor is on the left of its walls.
			u := surface.Vec{X: (b.X - a.X) / long, Y: (b.Y - a.Y) / long}
			v := surface.Vec{X: (c.X - b.X) / next, Y: (c.Y - b.Y) / next}
			n := math.Ceil(long / apart)
			for j := 1.0; j < n; j++ {
				t := j / n * long
				add(surface.Vec{X: a.X + t*u.X - offWall*u.Y, Y: a.Y + t*u.Y + offWall*u.X})
			}
			add(surface.Vec{X: b.X - offWall*(u.Y+v.Y), Y: b.Y + offWall*(u.X+v.X)})
		}
	}
	return out
}

// open returns places of a region where a rod can be set, at most about half the distance of the
// shots from each other: along the walls, then between them.
func (m *Model) open(i int) []surface.Vec {
	g, r := m.regions[i], m.in.Floor.Regions[i]
	half := g.apart / 2
	out := slices.DeleteFunc(along(r, half), func(at surface.Vec) bool { return atWall(r, at) })
	for _, p := range g.pieces {
		for _, c := range p.cells {
			at := surface.Vec{X: p.origin.X + c.x, Y: p.origin.Y + c.y}
			if !atWall(r, at) && distance(at, out) > 0.8*half {
				out = append(out, at)
			}
		}
	}
	return out
}

// distance returns the distance from a place to the nearest of others, m; infinite where there is none.
func distance(at surface.Vec, others []surface.Vec) float64 {
	near := math.Inf(1)
	for _, o := range others {
		near = min(near, at.Distance(o))
	}
	return near
}

// farthest returns the k places that are farthest from all shots, each with those before it read: where
// the shots say nothing of the floor between them.
func (m *Model) farthest(k int) []Shot {
	var all []Shot
	read := make([][]surface.Vec, len(m.regions))
	for i, g := range m.regions {
		for _, p := range g.pieces {
			for j := range p.x {
				read[i] = append(read[i], surface.Vec{X: p.origin.X + p.x[j], Y: p.origin.Y + p.y[j]})
			}
		}
		for _, at := range m.open(i) {
			all = append(all, Shot{At: at, Region: i, SDAfter: math.NaN()})
		}
	}
	var out []Shot
	for range min(k, len(all)) {
		far := slices.MaxFunc(all, func(a, b Shot) int {
			return cmp.Compare(distance(a.At, read[a.Region]), distance(b.At, read[b.Region]))
		})
		read[far.Region] = append(read[far.Region], far.At)
		out = append(out, far)
	}
	return out
}

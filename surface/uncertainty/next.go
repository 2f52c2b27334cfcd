package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"pourplane/surface"
)

// Shot is a place where one more reading is worth taking.
type Shot struct {
	At      surface.Vec
	Region  int
	SDAfter float64 // m³: standard deviation of the fill once it and those before it are read
}

// places returns the centroids of the cells of p.
func (p *piece) places() []surface.Vec {
	out := make([]surface.Vec, len(p.cells))
	for i, c := range p.cells {
		out[i] = surface.Vec{X: c.x, Y: c.y}
	}
	return out
}

// choice is a piece under one field on the way to the next shots.
type choice struct {
	joint            // of the centroids of the cells, then of the places along the walls
	weight float64   // probability of the field
	with   []float64 // m⁴: covariance of the elevation at each place with the fill of the piece
	own    float64   // m²: variance of one more reading
	square float64   // m⁶: mean square of what the fill of the piece is off by
	most   float64   // m²: floor that one more shot changes the triangles of; about what a shot of the survey represents
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

// Next returns the k places where one more reading narrows what is known of the fill most, each
// with those before it read. Each is the one that takes most from the variance of the fill,
// averaged over the fields that the shots allow: the greedy choice of Krause, Singh and Guestrin
// 2008, Journal of Machine Learning Research 9:235-284, for an integral. Of a region of so many
// shots that only a part of its tiles was looked at it returns none. now is what the fill is known to.
func (m *Model) Next(k int, now Parts) []Shot {
	if !m.Known {
		return nil
	}
	type tile struct {
		region  int
		origin  surface.Vec
		places  []surface.Vec // m from origin
		near    []bool        // too near a wall for a rod
		z       []float64     // m: of the triangulated floor there, from the mean elevation of the piece
		choices []*choice
	}
	var tiles []tile
	for i, g := range m.regions {
		if g.each > 1 {
			continue
		}
		fields, weights := g.most(likely)
		first := len(tiles)
		for _, p := range g.pieces {
			t := tile{region: i, origin: p.origin, places: p.places()}
			for _, c := range p.cells {
				t.z = append(t.z, c.z)
			}
			tiles = append(tiles, t)
		}
		locate := m.in.Floor.Regions[i].TIN.Locator()
		for _, at := range along(m.in.Floor.Regions[i], g.apart/2) {
			b := g.nearest(at)
			t := &tiles[first+b]
			z, _, _ := locate.At(at)
			t.z = append(t.z, z-g.pieces[b].mean)
			t.places = append(t.places, surface.Vec{X: at.X - t.origin.X, Y: at.Y - t.origin.Y})
		}
		for b := range g.pieces {
			t := &tiles[first+b]
			for _, p := range t.places {
				t.near = append(t.near, atWall(m.in.Floor.Regions[i], surface.Vec{X: t.origin.X + p.X, Y: t.origin.Y + p.Y}))
			}
			for w, f := range fields {
				t.choices = append(t.choices, newChoice(g.under[f][b], t.places, t.z, g.fields[f], weights[w], m.in.Errors.Reading, g.apart))
			}
		}
	}
	var out []Shot
	// What no shot on the floor changes stays: the set-ups, and the readings behind the target.
	stays, all := 0.0, 0.0
	for _, g := range m.regions {
		for _, w := range g.whole {
			stays += w
		}
	}
	stays = square(now.Setup) + square(m.in.AimSD*stays)
	for _, t := range tiles {
		for _, c := range t.choices {
			all += c.weight * c.square
		}
	}
	variance, left := max(0, square(now.Total)-stays), all
	for range k {
		bestTile, bestPlace, best := -1, -1, 0.0
		for t := range tiles {
			for c := range tiles[t].places {
				if tiles[t].near[c] {
					continue
				}
				gain := 0.0
				for _, of := range tiles[t].choices {
					gain += of.weight * of.gain(c)
				}
				if gain > best {
					bestTile, bestPlace, best = t, c, gain
				}
			}
		}
		if bestTile < 0 {
			break
		}
		t := tiles[bestTile]
		for _, of := range t.choices {
			of.read(bestPlace)
		}
		left -= best
		at := t.places[bestPlace]
		out = append(out, Shot{At: surface.Vec{X: t.origin.X + at.X, Y: t.origin.Y + at.Y}, Region: t.region, SDAfter: math.Sqrt(stays + variance*max(0, left)/all)})
	}
	return out
}

func newChoice(k *kriging, places []surface.Vec, z []float64, w weighed, weight, reading, apart float64) *choice {
	c := &choice{joint: k.at(places, w.sill, true), weight: weight, own: max(w.own*w.sill, reading*reading), most: apart * apart}
	if len(places) == 0 {
		return c
	}
	// What the triangles are off by counts, not only what the field leaves open.
	for i := range places {
		for j := i; j < len(places); j++ {
			c.cov.SetSym(i, j, c.cov.At(i, j)+(c.mean[i]-z[i])*(c.mean[j]-z[j]))
		}
	}
	area := mat.NewVecDense(len(places), append(k.p.areas(nil), make([]float64, len(places)-len(k.p.cells))...))
	with := mat.NewVecDense(len(places), nil)
	with.MulVec(c.cov, area)
	c.with = with.RawVector().Data
	c.square = mat.Dot(area, with)
	return c
}

// gain returns by how much a reading at place q lowers the mean square error of the fill, m⁶: the
// triangles round it move by what they were off there, over no more floor than a shot has.
func (c *choice) gain(q int) float64 {
	v := c.cov.At(q, q) + c.own
	w := min(math.Abs(c.with[q])/v, c.most)
	return 2*w*math.Abs(c.with[q]) - w*w*v
}

// read updates c for a reading at place q.
func (c *choice) read(q int) {
	n := len(c.with)
	v := c.cov.At(q, q) + c.own
	col := make([]float64, n)
	for i := range n {
		col[i] = c.cov.At(q, i)
	}
	g := c.with[q]
	for i := range n {
		c.with[i] -= g * col[i] / v
		for j := i; j < n; j++ {
			c.cov.SetSym(i, j, c.cov.At(i, j)-col[i]*col[j]/v)
		}
	}
}

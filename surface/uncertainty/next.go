package uncertainty

import (
	"math"

	"pourplane/surface"
)

// Shot is a place where one more reading is worth taking.
type Shot struct {
	At      surface.Vec
	Region  int
	SDAfter float64 // m³: standard deviation of the fill once it and those before it are read; NaN where it is not known
}

// tile is a piece on the way to the next shots.
type tile struct {
	region  int
	origin  surface.Vec
	places  []surface.Vec // m from origin
	z       []float64     // m: of the triangulated floor there, from the mean elevation of the piece
	choices []*choice
}

// choice is a tile under one field.
type choice struct {
	joint            // of the places
	weight float64   // probability of the field
	with   []float64 // m⁴: covariance of the elevation at each place with the fill of the piece
	own    float64   // m²: variance of one more reading
	square float64   // m⁶: mean square of what the fill of the piece is off by
	most   float64   // m²: floor that one more shot changes the triangles of; about what a shot of the survey represents
}

// The next shots are those under the fields that have nextShare of the probability, at most nextFields.
// With few shots many fields are possible: the five most likely alone choose worse places (see
// package doc).
const (
	nextShare  = 0.95
	nextFields = 40
)

// Next returns the k places where one more reading narrows what is known of the fill most, each
// with those before it read. Each is the one that takes most from the variance of the fill,
// averaged over the fields that the shots allow: the greedy choice of Krause, Singh and Guestrin
// 2008, Journal of Machine Learning Research 9:235-284, for an integral. Of a region of so many
// shots that only a part of its tiles was looked at it returns none. now is what the fill is known to.
// Where the shots are too few to say, they are the places farthest from all of them.
func (m *Model) Next(k int, now Parts) []Shot {
	if !m.Known {
		return m.farthest(k)
	}
	tiles := m.tiles()
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

// tiles returns the pieces with the places where one more shot can be read.
func (m *Model) tiles() []tile {
	var tiles []tile
	for i, g := range m.regions {
		if g.each > 1 {
			continue
		}
		first := len(tiles)
		for _, p := range g.pieces {
			tiles = append(tiles, tile{region: i, origin: p.origin})
		}
		locate := m.in.Floor.Regions[i].TIN.Locator()
		for _, at := range m.open(i) {
			b := g.nearest(at)
			t := &tiles[first+b]
			z, _, _ := locate.At(at)
			t.z = append(t.z, z-g.pieces[b].mean)
			t.places = append(t.places, surface.Vec{X: at.X - t.origin.X, Y: at.Y - t.origin.Y})
		}
		fields, weights := g.most(g.enough(nextShare, nextFields))
		for b := range g.pieces {
			t := &tiles[first+b]
			t.choices = make([]*choice, len(fields))
			inParallel(len(fields), func(w int) {
				t.choices[w] = newChoice(g.under[fields[w]][b], t.places, t.z, g.fields[fields[w]], weights[w], m.in.Errors.Reading, g.apart)
			})
		}
	}
	return tiles
}

func newChoice(k *kriging, places []surface.Vec, z []float64, w weighed, weight, reading, apart float64) *choice {
	c := &choice{joint: k.at(places, w.sill, true), weight: weight, own: max(w.own*w.sill, reading*reading), most: apart * apart}
	b := k.whole()
	// What the triangles are off by counts, not only what the field leaves open.
	off := -k.p.higher(b)
	c.square = w.sill*b.variance + off*off
	c.with = make([]float64, len(places))
	for i, at := range places {
		c.with[i] = w.sill*k.withWhole(at, b) + (c.mean[i]-z[i])*off
		for j := i; j < len(places); j++ {
			c.cov.SetSym(i, j, c.cov.At(i, j)+(c.mean[i]-z[i])*(c.mean[j]-z[j]))
		}
	}
	return c
}

// withWhole returns the covariance of the elevation at a place with the integral over the cells, m² and
// units of the sill. b is the integral.
func (k *kriging) withWhole(at surface.Vec, b block) float64 {
	cov := b.plane[0] + at.X*b.plane[1] + at.Y*b.plane[2]
	for _, q := range k.p.cells {
		cov += q.area * matern(k.c.smooth, math.Hypot(at.X-q.x, at.Y-q.y)/k.c.reach)
	}
	for i := range k.p.x {
		cov -= b.weights.AtVec(i) * matern(k.c.smooth, math.Hypot(at.X-k.p.x[i], at.Y-k.p.y[i])/k.c.reach)
	}
	return cov
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

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
	joint
	weight float64   // probability of the field
	with   []float64 // m⁴ of depth × area: covariance of each cell with the fill of the piece
	own    float64   // m²: variance of one more reading
}

// Next returns the k places where one more reading narrows what is known of the fill most, each
// with those before it read. Each is the one that takes most from the variance of the fill,
// averaged over the fields that the shots allow: the greedy choice of Krause, Singh and Guestrin
// 2008, Journal of Machine Learning Research 9:235-284, for an integral. Of a region of so many
// shots that only a part of its tiles was looked at it returns none. total is the standard
// deviation of the fill now, m³.
func (m *Model) Next(k int, total float64) []Shot {
	if !m.Known {
		return nil
	}
	type tile struct {
		region  int
		p       *piece
		choices []*choice
	}
	var tiles []tile
	for i, g := range m.regions {
		if g.each > 1 {
			continue
		}
		fields, weights := g.most(likely)
		for b, p := range g.pieces {
			t := tile{region: i, p: p}
			for w, f := range fields {
				t.choices = append(t.choices, newChoice(g.under[f][b], g.fields[f], weights[w], m.in.Errors.Reading))
			}
			tiles = append(tiles, t)
		}
	}
	var out []Shot
	variance := total * total
	for range k {
		bestTile, bestCell, best := -1, -1, 0.0
		for t := range tiles {
			for c := range tiles[t].p.cells {
				gain := 0.0
				for _, of := range tiles[t].choices {
					gain += of.weight * of.gain(c)
				}
				if gain > best {
					bestTile, bestCell, best = t, c, gain
				}
			}
		}
		if bestTile < 0 {
			break
		}
		t := tiles[bestTile]
		for _, of := range t.choices {
			of.read(bestCell)
		}
		variance = max(0, variance-best)
		q := t.p.cells[bestCell]
		out = append(out, Shot{At: surface.Vec{X: t.p.origin.X + q.x, Y: t.p.origin.Y + q.y}, Region: t.region, SDAfter: math.Sqrt(variance)})
	}
	return out
}

func newChoice(k *kriging, w weighed, weight, reading float64) *choice {
	c := &choice{joint: k.at(k.p.places(), w.sill, true), weight: weight, own: max(w.own*w.sill, reading*reading)}
	area := mat.NewVecDense(len(k.p.cells), k.p.areas(nil))
	with := mat.NewVecDense(len(k.p.cells), nil)
	with.MulVec(c.cov, area)
	c.with = with.RawVector().Data
	return c
}

// gain returns by how much a reading at cell q lowers the variance of the fill, m⁶.
func (c *choice) gain(q int) float64 { return c.with[q] * c.with[q] / (c.cov.At(q, q) + c.own) }

// read updates c for a reading at cell q.
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

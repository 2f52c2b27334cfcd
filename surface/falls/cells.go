package falls

import (
	"math"
	"slices"
)

// piece is a part of the edge of the floor that runs to a source: along one wall, or along the
// part of one other source.
type piece struct {
	q0, q1 float64
	bound
}

// cells divide the floor among the sources. The part of each is in sight of it, and each of
// its lines has one end. Where a line of s ends at the part of t, both have the same level
// there; beyond it t is lower. As the shortest way changes gradually, that end is the first
// place at which any source in sight is as low as s.
type cells struct {
	*walls
	sources []source
	bounds  [][]bound // per source: the others that may end its lines
	at      [][]float64
	pieces  [][]piece
}

// divide returns the parts of the sources.
func (w *walls) divide(sources []source) *cells {
	c := &cells{walls: w, sources: sources, bounds: make([][]bound, len(sources)), at: make([][]float64, len(sources)), pieces: make([][]piece, len(sources))}
	for i := range sources {
		s := &sources[i]
		far := 0.0
		for k, e := range s.wall {
			for _, q := range [3]float64{s.breaks[k], (s.breaks[k] + s.breaks[k+1]) / 2, s.breaks[k+1]} {
				if r := w.reach(s, e, q); !math.IsInf(r, 1) {
					far = max(far, r)
				}
			}
		}
		for j := range sources {
			if j == i {
				continue
			}
			if b, ok := boundBy(s, &sources[j], j, far+close); ok {
				c.bounds[i] = append(c.bounds[i], b)
			}
		}
		c.at[i] = slices.Clone(s.breaks)
	}
	c.markSeams()
	for i := range sources {
		c.resolve(i)
	}
	return c
}

// within is how far inside an interval, in its parameter, it is looked at to find what is at
// its start: less than any part of a floor is wide.
const within = 1e-10

// markSeams makes breaks where the outermost lines of a source end at the part of another:
// there a third part begins, of the same fall, and the other may not notice.
func (c *cells) markSeams() {
	for i := range c.sources {
		s := &c.sources[i]
		if s.wide >= 2*math.Pi {
			continue
		}
		for _, q := range [2]float64{within, s.most() - within} {
			r, by := c.end(i, q)
			if by.by < 0 {
				continue
			}
			if q, _, ok := c.sources[by.by].param(s.place(q, r)); ok {
				c.at[by.by] = append(c.at[by.by], q)
			}
		}
	}
	for i := range c.at {
		slices.Sort(c.at[i])
		c.at[i] = slices.Compact(c.at[i])
	}
}

// end returns how far the line of parameter q of source i goes, and what ends it.
func (c *cells) end(i int, q float64) (float64, bound) {
	s := &c.sources[i]
	best := c.wallBound(s, s.wall[s.interval(q)])
	r := best.at(s, q)
	for _, b := range c.bounds[i] {
		at := b.at(s, q)
		if at >= r || at <= close {
			continue
		}
		if _, ok := c.value(&c.sources[b.by], s.place(q, at)); ok {
			r, best = at, b
		}
	}
	return r, best
}

// resolve finds the pieces round the part of source i.
func (c *cells) resolve(i int) {
	c.pieces[i] = nil
	at := c.at[i]
	for k := 1; k < len(at); k++ {
		lo, hi := at[k-1], at[k]
		if hi-lo < 3*within {
			continue
		}
		_, a := c.end(i, lo+within)
		_, b := c.end(i, hi-within)
		c.narrow(i, lo, lo+within, a, hi, hi-within, b, 0)
	}
	c.dropSlivers(i)
}

// dropSlivers drops pieces that rounding makes: where the sight of a source ends, two others
// may agree less well than places on the grid.
func (c *cells) dropSlivers(i int) {
	const least = sameVertex / 3
	s := &c.sources[i]
	all := c.pieces[i]
	c.pieces[i] = nil
	for _, p := range all {
		wide := p.q1 - p.q0
		if !s.strip {
			wide *= max(p.at(s, p.q0), p.at(s, p.q1))
		}
		if n := len(c.pieces[i]) - 1; n >= 0 && p.by != noLength && wide < least {
			continue
		} else if n >= 0 && c.pieces[i][n].q1 != p.q0 {
			p.q0 = c.pieces[i][n].q1 // a sliver was dropped
		}
		c.addPiece(i, p)
	}
}

// narrow adds the pieces between lo and hi, which end at a and b; in and to are just inside.
func (c *cells) narrow(i int, lo, in float64, a bound, hi, to float64, b bound, depth int) {
	const deepest = 60
	if a.by == b.by || depth > deepest {
		if q, by, ok := c.entry(i, in, to, a); ok && depth <= deepest {
			c.narrow(i, lo, in, a, q, q, by, depth+1)
			c.narrow(i, q, q, by, hi, to, b, depth+1)
			return
		}
		c.addPiece(i, piece{lo, hi, a})
		return
	}
	// The first change after a.
	x, y, by := in, to, b
	for _, q := range meets(&c.sources[i], &a, &b, in, to) {
		_, before := c.end(i, max(in, q-within))
		_, after := c.end(i, min(to, q+within))
		if before.by == a.by && after.by == b.by {
			x, y = max(in, q-within), min(to, q+within)
			break
		}
	}
	for y-x > within {
		mid := (x + y) / 2
		if mid <= x || mid >= y {
			break
		}
		if _, m := c.end(i, mid); m.by == a.by {
			x = mid
		} else {
			y, by = mid, m
		}
	}
	change := (x + y) / 2
	for _, q := range meets(&c.sources[i], &a, &by, x-within, y+within) {
		change = min(max(q, x), y)
	}
	c.narrow(i, lo, in, a, change, x, a, depth+1)
	c.narrow(i, change, y, by, hi, to, b, depth+1)
}

// entry looks for a place between lo and hi, at both of which the lines end at a, where they
// end at something else.
func (c *cells) entry(i int, lo, hi float64, a bound) (float64, bound, bool) {
	if hi <= lo {
		return 0, bound{}, false
	}
	s := &c.sources[i]
	look := func(q float64) (bound, bool) {
		if q <= lo || q >= hi {
			return bound{}, false
		}
		_, by := c.end(i, q)
		return by, by.by != a.by
	}
	for _, b := range c.bounds[i] {
		if b.by == a.by {
			continue
		}
		roots := meets(s, &a, &b, lo, hi)
		for _, q := range roots {
			if _, ok := c.value(&c.sources[b.by], s.place(q, a.at(s, q))); !ok {
				continue
			}
			for _, off := range [...]float64{1e-9, 1e-7, 1e-5, 1e-3} {
				for _, p := range [2]float64{q - off, q + off} {
					if by, ok := look(p); ok {
						return p, by, true
					}
				}
			}
		}
		if len(roots) == 2 {
			q := (roots[0] + roots[1]) / 2
			if by, ok := look(q); ok {
				return q, by, true
			}
		}
	}
	q := (lo + hi) / 2
	by, ok := look(q)
	return q, by, ok
}

// addPiece adds a piece, or lengthens the last one by it.
func (c *cells) addPiece(i int, p piece) {
	all := c.pieces[i]
	if n := len(all) - 1; n >= 0 && all[n].by == p.by && all[n].q1 == p.q0 {
		s := &c.sources[i]
		if math.Abs(all[n].at(s, p.q0)-p.at(s, p.q0)) <= close {
			all[n].q1 = p.q1
			return
		}
	}
	c.pieces[i] = append(all, p)
}

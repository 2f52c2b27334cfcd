package flatness

import (
	"math"
	"slices"
)

// sameHeight is how far heights may differ and still count as equal, m: a nanometre, more
// than the rounding of elevations of some hundred metres and far less than anything
// measured. A plane floor has no humps from rounding.
const sameHeight = 1e-9

// block is how many nodes are checked together: the nodes of a block are within bounds above
// and below the line from its first to its last, so a view along the edge skips most blocks
// without checking their nodes.
const block = 8

// stretch is the floor along a line from wall to wall: straight between nodes.
type stretch struct {
	x, z   []float64 // m along the line, ascending; elevation
	slopes []float64 // from each node to the next, if bound has been called
	blocks []bounds  // of each whole block, if bound has been called
	hinge  hinge
	hollow hollow
	hulls  hulls
}

// bounds is the first and the last node of a block, and the min and max height of its nodes above
// the line through these.
type bounds struct{ x0, z0, x1, z1, lo, hi float64 }

func (p *stretch) reset() {
	p.x, p.z, p.slopes, p.blocks = p.x[:0], p.z[:0], p.slopes[:0], p.blocks[:0]
}

// add puts a node at the end. One within a tenth of a micrometre of the last counts as the
// same: triangles meet at a vertex to a few nanometres.
func (p *stretch) add(x, z float64) {
	if n := len(p.x); n == 0 || x-p.x[n-1] > 1e-7 {
		p.x, p.z = append(p.x, x), append(p.z, z)
	}
}

// bound finds the slopes and the bounds of the nodes added since the last call.
func (p *stretch) bound() {
	if n, k := len(p.x)-1, len(p.slopes); n > k {
		p.slopes = slices.Grow(p.slopes, n-k)[:n]
		x, z := p.x[k:], p.z[k:]
		for i := range p.slopes[k:] {
			p.slopes[k+i] = (z[i+1] - z[i]) / (x[i+1] - x[i])
		}
	}
	for i := len(p.blocks); i < len(p.x)/block; i++ {
		x, z := (*[block]float64)(p.x[i*block:]), (*[block]float64)(p.z[i*block:])
		c := chord{x[0], z[0], (z[block-1] - z[0]) / (x[block-1] - x[0])}
		lo, hi := 0.0, 0.0
		for k := range block - 1 {
			if d := z[k] - c.at(x[k]); d < lo {
				lo = d
			} else if d > hi {
				hi = d
			}
		}
		p.blocks = append(p.blocks, bounds{x[0], z[0], x[block-1], z[block-1], lo, hi})
	}
}

// over returns the height of c above the first and the last node of b, m.
func (b *bounds) over(c chord) (first, last float64) { return c.at(b.x0) - b.z0, c.at(b.x1) - b.z1 }

// length returns the length from wall to wall, m.
func (p *stretch) length() float64 {
	if len(p.x) == 0 {
		return 0
	}
	return p.x[len(p.x)-1] - p.x[0]
}

// chord is a straight line in the vertical plane of a stretch.
type chord struct{ x, z, slope float64 }

func (c chord) at(x float64) float64 { return c.z + float64(c.slope*(x-c.x)) }

// look is the floor between two nodes relative to a chord.
type look struct {
	clear float64 // m, min height of the chord above a node; negative if one is above it
	high  int     // the node of that min
	gap   float64 // m, max height of the chord above a node
	low   int     // the node of that max; -1: none exceeds the initial gap
}

// under checks the nodes from first to last, both included, against c, for clear heights
// below −sameHeight and gaps above gap.
func (p *stretch) under(c chord, first, last int, gap float64) look {
	out := look{-sameHeight, -1, gap, -1}
	for k := first; k <= last; {
		end := min(last+1, (k/block+1)*block)
		if k%block == 0 && end == k+block {
			bound := &p.blocks[k/block]
			if a, b := bound.over(c); a-bound.hi >= out.clear && b-bound.hi >= out.clear && a-bound.lo <= out.gap && b-bound.lo <= out.gap {
				k = end
				continue
			}
		}
		z := p.z[k:end]
		for i, x := range p.x[k:end] {
			switch d := c.at(x) - z[i]; {
			case d < out.clear:
				out.clear, out.high = d, k+i
			case d > out.gap:
				out.gap, out.low = d, k+i
			}
		}
		k = end
	}
	return out
}

// lower returns the node from first to last with the max gap under c above gap; -1 if there
// is none.
func (p *stretch) lower(c chord, first, last int, gap float64) int {
	low := -1
	for k := first; k <= last; {
		end := min(last+1, (k/block+1)*block)
		if k%block == 0 && end == k+block {
			bound := &p.blocks[k/block]
			if a, b := bound.over(c); a-bound.lo <= gap && b-bound.lo <= gap {
				k = end
				continue
			}
		}
		z := p.z[k:end]
		for i, x := range p.x[k:end] {
			if d := c.at(x) - z[i]; d > gap {
				gap, low = d, k+i
			}
		}
		k = end
	}
	return low
}

// touching returns the first node from first to last that is on or above c, or up to sameHeight
// below it; -1 if there is none.
func (p *stretch) touching(c chord, first, last int) int {
	for k := first; k <= last; {
		end := min(last+1, (k/block+1)*block)
		if k%block == 0 && end == k+block {
			bound := &p.blocks[k/block]
			if a, b := bound.over(c); a-bound.hi > sameHeight && b-bound.hi > sameHeight {
				k = end
				continue
			}
		}
		for ; k < end; k++ {
			if p.z[k] >= c.at(p.x[k])-sameHeight {
				return k
			}
		}
	}
	return -1
}

// steepest returns the node from first to last to which the line from (x, z) is steepest
// upward, the farthest of several; -1 if the line of the given slope passes above them all. One
// beside (x, z) may be within sameHeight of the steepest line, and the line to it far below other
// nodes: then it is not of several.
func (p *stretch) steepest(x, z float64, first, last int, slope float64) int {
	best, c := -1, chord{x, z, slope}
	for k := first; k <= last; {
		end := min(last+1, (k/block+1)*block)
		if k%block == 0 && end == k+block {
			bound := &p.blocks[k/block]
			if a, b := bound.over(c); a-bound.hi > 0 && b-bound.hi > 0 {
				k = end
				continue
			}
		}
		for ; k < end; k++ {
			if p.z[k] >= c.at(p.x[k]) {
				best, c.slope = k, (p.z[k]-z)/(p.x[k]-x)
			}
		}
	}
	far := best
	for k := best; k >= 0; k = p.touching(c, k+1, last) {
		far = k
	}
	if far != best && p.under(chord{x, z, (p.z[far] - z) / (p.x[far] - x)}, first, last, math.Inf(1)).high >= 0 {
		return best
	}
	return far
}

// rising returns where in 0 to 1 the function f0 + (f1−f0)·t + q·t(1−t) first rises from
// about zero or below to above sameHeight; 2 if it does not.
func rising(f0, f1, q float64) float64 {
	if q <= 0 && f1 <= sameHeight {
		return 2
	}
	return rises(f0, f1, q)
}

func rises(f0, f1, q float64) float64 {
	top := f1
	if q > 0 {
		if t := (1 + (f1-f0)/q) / 2; t > 0 && t < 1 {
			top = f0 + (f1-f0)*t + q*t*(1-t)
		}
	}
	if top <= sameHeight {
		return 2
	}
	return root(f0, f1, q)
}

// root returns where in 0 to 1 the function f0 + (f1−f0)·t + q·t(1−t), which begins at about
// zero or below, first rises through it; 0 if it is above all the way.
func root(f0, f1, q float64) float64 {
	b := f1 - f0 + q // slope at 0
	d := math.Sqrt(max(0, b*b+4*q*f0))
	switch {
	case b <= 0 && q < 0: // down first
		if t := (b - d) / (2 * q); t <= 1 || f0 <= 0 {
			return min(1, t)
		}
		return 0
	case f0 >= 0:
		return 0
	}
	return min(1, -2*f0/(b+d))
}

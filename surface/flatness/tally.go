package flatness

import "math"

// gapStep is the step of the grid for the distribution of gaps, m: 1/160 mm, so that every
// tenth of a millimetre and every 1/32 in is on it.
const gapStep = 1e-3 / 160

// mostBins limits the grid: gaps above 100 mm share the last bin. No limit is that large,
// and a wrong reading makes gaps of any size.
const mostBins = 100 * 160

// spot is a position of the edge worth keeping, in metres along a line.
type spot struct {
	value       float64 // by which spots are compared
	gap         float64
	line        float64 // m, across
	s, a, b, at float64 // start of the edge, supports, place of the max gap
}

// tally is the results on some lines.
type tally struct {
	maximum   bool // only the worst place is required, not the distribution of gaps
	limit     func(d float64) float64
	positions float64   // m of way of the start of the edge
	bins      []float64 // m of way with a gap up to gapStep times the index, and above the one before; the last of mostBins has all larger ones
	fits      bool
	rocking   float64 // m
	longest   float64 // m
	rock      spot    // value: turn of the edge
	ratio     spot
	step      spot    // value: m, without sign
	from, per float64 // cells along the lines: start, cells per metre
	cells     []spot  // worst in each
}

// binOf returns the bin of a gap. Up to a nanometre over a step counts as on it.
func binOf(gap float64) int {
	switch bin := math.Ceil((gap - sameHeight) / gapStep); {
	case bin <= 0:
		return 0
	case bin >= mostBins:
		return mostBins
	default:
		return int(bin)
	}
}

// reach extends the bins up to one.
func (t *tally) reach(bin int) {
	if bin >= len(t.bins) {
		t.bins = append(t.bins, make([]float64, bin+1-len(t.bins))...)
	}
}

func (t *tally) add(bin int, way float64) {
	t.reach(bin)
	t.bins[bin] += way
}

// mark keeps the edge that starts at s in p.
func (r *resting) mark(p *spot, value, s, gap float64, k int) {
	p.a, p.b = r.apart(s)
	p.value, p.gap, p.line, p.s, p.at = value, gap, r.line, s, s+r.length/2
	if k >= 0 {
		p.at = r.x[k]
	}
}

// consider keeps the edge that starts at s if it is worse than any before.
func (t *tally) consider(r *resting, s, gap float64, k int) {
	if k < 0 {
		return
	}
	i := int((r.x[k] - t.from) * t.per)
	if i < 0 {
		i = 0
	} else if i >= len(t.cells) {
		i = len(t.cells) - 1
	}
	if c := &t.cells[i]; gap > c.value {
		r.mark(c, gap, s, gap, k)
	}
	if t.limit != nil {
		xa, xb := r.apart(s)
		if ratio := gap / t.limit(xb-xa); ratio > t.ratio.value {
			r.mark(&t.ratio, ratio, s, gap, k)
		}
	}
}

// flip records that the edge turned by turn, a difference of slopes, when its middle passed
// its left support.
func (t *tally) flip(r *resting, turn float64) {
	if turn > t.rock.value {
		r.mark(&t.rock, turn, r.s, r.gapUnder(r.edge(), r.low), r.low)
		t.rock.at = r.x[r.a]
	}
}

// differ records how much more, or less, the floor rises than the target from one end of the
// edge to the other.
func (t *tally) differ(r *resting) {
	if d := math.Abs(r.stop - r.start - r.rise); d > t.step.value {
		t.differs(r, d)
	}
}

func (t *tally) differs(r *resting, d float64) {
	r.mark(&t.step, d, r.s, r.gapUnder(r.edge(), r.low), r.low)
}

// hold takes a way on two nodes.
func (t *tally) hold(h *holding, way float64) {
	t.positions += way
	if !t.maximum {
		t.add(h.bin, way)
	}
	if h.rock {
		t.rocking += way
	}
}

// piece takes the way from s to u, with the edge at c and at d, on the same supports. The max
// gap is at node k at its start and at m at its end.
func (t *tally) piece(r *resting, s, u float64, c, d chord, k, m int) {
	if r.a != free && r.b != free {
		gap := r.gapUnder(c, k)
		t.hold(&holding{gap: gap, bin: binOf(gap), rock: r.x[r.b]-r.x[r.a] < r.length/3}, u-s)
		t.consider(r, (s+u)/2, gap, k)
		return
	}
	switch {
	case k < 0:
		k = m
	case m < 0:
		m = k
	}
	if k == m {
		t.over(r, s, u, c, d, k)
		return
	}
	// The heights of the edge over two nodes are equal when it is parallel to the
	// line through them.
	f := min(max(((r.z[m]-r.z[k])/(r.x[m]-r.x[k])-c.slope)/(d.slope-c.slope), 0), 1)
	v := r.way(s, u, f)
	if !(s < v && v < u) {
		t.over(r, s, u, c, d, m)
		return
	}
	// On the way the slope of the edge only increases or only decreases, and with it the max
	// gap goes from node to node in one direction.
	e := r.edgeAt(v)
	n := r.under(e, min(k, m)+1, max(k, m)-1, max(r.gapUnder(e, k), r.gapUnder(e, m))+sameHeight).low
	if n < 0 {
		t.over(r, s, v, c, e, k)
		t.over(r, v, u, e, d, m)
		return
	}
	t.piece(r, s, v, c, e, k, n)
	t.piece(r, v, u, e, d, n, m)
}

// turning is the change of the slope of the edge on a piece of the way with one support on a
// node: of first order in one over the distance of the supports.
type turning struct{ node, side, first, change float64 }

// turning returns the turning from s to u. The edge rests on one node.
func (r *resting) turning(s, u float64) turning {
	if r.b != free {
		x := r.x[r.b]
		return turning{x, -1, 1 / (x - s), 1/(x-u) - 1/(x-s)}
	}
	x := r.x[r.a] - r.length
	return turning{x, 1, 1 / (s - x), 1/(u-x) - 1/(s-x)}
}

// at returns where the slope has changed by the fraction f of its whole change.
func (t turning) at(f float64) float64 { return t.node + t.side*(1/(t.first+float64(f*t.change))) }

// way returns where between s and u the slope of the edge has changed by the fraction f of
// its whole change. With both ends on the floor the slope is of first order in s.
func (r *resting) way(s, u, f float64) float64 {
	if r.a == free && r.b == free {
		return s + f*(u-s)
	}
	return r.turning(s, u).at(f)
}

// over takes the way from s to u, with the edge at c and at d, with the max gap at node k.
func (t *tally) over(r *resting, s, u float64, c, d chord, k int) {
	g, h := r.gapUnder(c, k), r.gapUnder(d, k)
	if r.a == free && r.b == free {
		if q := r.bend(u - s); q > 0 {
			if f := (1 + (h-g)/q) / 2; 0 < f && f < 1 {
				v := s + f*(u-s)
				most := r.gapUnder(r.edgeAt(v), k)
				t.monotone(r, s, v, g, most, k)
				t.monotone(r, v, u, most, h, k)
				return
			}
		}
	}
	t.monotone(r, s, u, g, h, k)
}

// monotone takes the way from s to u, on which the gap at node k only increases or only
// decreases, from g to h.
func (t *tally) monotone(r *resting, s, u, g, h float64, k int) {
	t.positions += u - s
	switch {
	case t.limit != nil:
		t.consider(r, s, g, k)
		t.consider(r, u, h, k)
	case g < h:
		t.consider(r, u, h, k)
	default: // of equal ones the first
		t.consider(r, s, g, k)
	}
	if t.limit != nil && (r.a != free || r.b != free) {
		t.between(r, s, u, g, h, k)
	}
	if t.maximum {
		return
	}
	i, j := binOf(g), binOf(h)
	t.reach(max(i, j))
	if i == j {
		t.bins[i] += u - s
		return
	}
	at, bins := s, t.bins
	// A bin's upper edge has the bin's index.
	step, edge := 1, 0
	if j < i {
		step, edge = -1, -1
	}
	if r.a != free || r.b != free {
		turn := r.turning(s, u)
		for ; i != j; i += step {
			gap := float64(i+edge) * gapStep
			next := turn.at((gap - g) / (h - g))
			if next < at { // no more than rounding
				next = at
			}
			if next > u {
				next = u
			}
			bins[i] += next - at
			at = next
		}
	} else {
		q := r.bend(u - s)
		for ; i != j; i += step {
			gap := float64(i+edge) * gapStep
			var next float64
			if g < h {
				next = s + (u-s)*root(g-gap, h-gap, q)
			} else {
				next = u - (u-s)*root(h-gap, g-gap, q)
			}
			if next < at {
				next = at
			}
			if next > u {
				next = u
			}
			bins[i] += next - at
			at = next
		}
	}
	bins[j] += u - at
}

// between looks for the worst gap, as a share of the limit at the distance of the supports,
// if one support is a node and the other an end of the edge. With y, one over the distance,
// the gap is c + m·y; with a limit p + q/y the ratio has its max where its derivative is
// zero: p·m·y² + 2·m·q·y + c·q = 0. p and q come from the limit at s and u.
func (t *tally) between(r *resting, s, u, g, h float64, k int) {
	distance := func(s float64) float64 {
		xa, xb := r.apart(s)
		return xb - xa
	}
	d, e := distance(s), distance(u)
	q := (t.limit(e) - t.limit(d)) / (e - d)
	p := t.limit(d) - q*d
	m := (h - g) / (1/e - 1/d)
	c := g - m/d
	d2 := math.Sqrt(m*m*q*q - p*m*c*q)
	for _, y := range []float64{(-m*q + d2) / (p * m), (-m*q - d2) / (p * m)} {
		if min(1/d, 1/e) < y && y < max(1/d, 1/e) {
			v := s + (1/y-d)*(u-s)/(e-d)
			t.consider(r, v, r.gapUnder(r.edgeAt(v), k), k)
		}
	}
}

// merge adds the results on other lines, after those of t. Cells are not merged.
func (t *tally) merge(o *tally) {
	t.positions += o.positions
	t.rocking += o.rocking
	t.longest = max(t.longest, o.longest)
	t.fits = t.fits || o.fits
	for i, way := range o.bins {
		t.add(i, way)
	}
	if o.rock.value > t.rock.value {
		t.rock = o.rock
	}
	if o.ratio.value > t.ratio.value {
		t.ratio = o.ratio
	}
	if o.step.value > t.step.value {
		t.step = o.step
	}
}

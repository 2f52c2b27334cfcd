package flatness

import "math"

// hinge is what is known of the floor on the left of a node that the edge turns about: the
// nodes that a line through that node meets first as it turns up, from right to left, each
// flatter than all before. It is worked out once a node; the edge leaves its nodes in order.
type hinge struct {
	p     int
	peaks []peak
}

type peak struct {
	k     int
	slope float64 // from k to the node the edge turns about
}

// flattest returns the min slope to node p from the nodes under the edge on its left; infinite
// if there is none.
func (r *resting) flattest(p int) float64 {
	h := &r.hinge
	if h.p != p {
		h.p, h.peaks = p, h.peaks[:0]
		x, z, m := r.x[p], r.z[p], math.Inf(1)
		for k := p - 1; k > r.i; k-- {
			if rise, way := z-r.z[k], x-r.x[k]; rise < float64(m*way) {
				m = rise / way
				h.peaks = append(h.peaks, peak{k, m})
			}
		}
	}
	for n := len(h.peaks) - 1; n >= 0; n-- {
		if h.peaks[n].k > r.i {
			return h.peaks[n].slope
		}
		h.peaks = h.peaks[:n]
	}
	return math.Inf(1)
}

// hollow is what is known of the floor about the node with the max gap: while the slope of the
// edge is from least to most, the gap above none of the nodes from first to last is larger, nor
// equal by rounding.
type hollow struct {
	low         int
	first, last int
	least, most float64
}

// about returns the hollow of the node with the max gap.
func (r *resting) about() *hollow {
	h := &r.hollow
	if h.low != r.low {
		*h = hollow{r.low, r.low, r.low, math.Inf(-1), math.Inf(1)}
	}
	return h
}

// downRight returns the slope of the edge up to which the max gap does not go to the right, up
// to node last.
func (r *resting) downRight(last int) float64 {
	h := r.about()
	x, z := r.x[h.low], r.z[h.low]+sameHeight
	for h.last < last {
		h.last++
		if rise, way := r.z[h.last]-z, r.x[h.last]-x; rise < float64(h.most*way) {
			h.most = rise / way
		}
	}
	return h.most
}

// downLeft returns the slope of the edge down to which the max gap does not go to the left, up
// to node first.
func (r *resting) downLeft(first int) float64 {
	h := r.about()
	x, z := r.x[h.low], r.z[h.low]+sameHeight
	for h.first > first {
		h.first--
		if rise, way := z-r.z[h.first], x-r.x[h.first]; rise > float64(h.least*way) {
			h.least = rise / way
		}
	}
	return h.least
}

package flatness

import "math"

// hinge is what is known of the floor on the left of a node that the edge turns about: the
// nodes that a line through that node meets first as it turns up, from right to left, each
// flatter than all before. It is worked out once a node; the edge leaves its nodes in order.
type hinge struct {
	p     int
	peaks []peak
	last  peak // of those under the edge
}

type peak struct {
	k     int
	slope float64 // from k to the node the edge turns about
}

// flattest returns the min slope to node p from the nodes under the edge on its left; infinite
// if there is none.
func (r *resting) flattest(p int) float64 {
	if r.hinge.p == p && r.hinge.last.k > r.i {
		return r.hinge.last.slope
	}
	return r.peaks(p)
}

// peaks finds the peaks on the left of p, or leaves out those that the edge has left.
func (r *resting) peaks(p int) float64 {
	h := &r.hinge
	if h.p != p {
		h.p, h.peaks = p, h.peaks[:0]
		c := chord{r.x[p], r.z[p], math.Inf(1)}
		for k := p - 1; k > r.i; {
			first := k &^ (block - 1)
			if len(h.peaks) > 0 && k-first == block-1 && first > r.i {
				bound := &r.blocks[k/block]
				if a, b := bound.over(c); a-bound.hi > 0 && b-bound.hi > 0 {
					k = first - 1
					continue
				}
			}
			first = max(first, r.i+1)
			x, z := r.x[first:k+1], r.z[first:k+1]
			for ; k >= first; k-- {
				if rise, way := c.z-z[k-first], c.x-x[k-first]; rise < float64(c.slope*way) {
					c.slope = rise / way
					h.peaks = append(h.peaks, peak{k, c.slope})
				}
			}
		}
	}
	n := len(h.peaks)
	for n > 0 && h.peaks[n-1].k <= r.i {
		n--
	}
	h.last = peak{free, math.Inf(1)}
	if h.peaks = h.peaks[:n]; n > 0 {
		h.last = h.peaks[n-1]
	}
	return h.last.slope
}

// flatter returns the last node that is above an edge of the given slope.
func (h *hinge) flatter(slope float64) int {
	n := len(h.peaks) - 1
	for n > 0 && h.peaks[n-1].slope < slope {
		n--
	}
	return h.peaks[n].k
}

// hollow is what is known of the floor about the node with the max gap: while the slope of the
// edge is from least to most, the gap above none of the nodes from first to last is larger, nor
// equal by rounding.
type hollow struct {
	first, last int
	least, most float64
}

// lowAt puts the max gap at node k, -1 if there is none.
func (r *resting) lowAt(k int) {
	if k != r.low {
		r.low, r.hollow = k, hollow{k, k, math.Inf(-1), math.Inf(1)}
	}
}

// downRight returns the slope of the edge up to which the max gap does not go to the right, up
// to node last.
func (r *resting) downRight(last int) float64 {
	if r.hollow.last >= last {
		return r.hollow.most
	}
	return r.lookRight(last)
}

func (r *resting) lookRight(last int) float64 {
	h := &r.hollow
	x, z := r.x[r.low], r.z[r.low]+sameHeight
	for k := h.last + 1; k <= last; k++ {
		if rise, way := r.z[k]-z, r.x[k]-x; rise < float64(h.most*way) {
			h.most = rise / way
		}
	}
	h.last = last
	return h.most
}

// downLeft returns the slope of the edge down to which the max gap does not go to the left, up
// to node first.
func (r *resting) downLeft(first int) float64 {
	if r.hollow.first <= first {
		return r.hollow.least
	}
	return r.lookLeft(first)
}

func (r *resting) lookLeft(first int) float64 {
	h := &r.hollow
	x, z := r.x[r.low], r.z[r.low]+sameHeight
	for k := h.first - 1; k >= first; k-- {
		if rise, way := z-r.z[k], x-r.x[k]; rise > float64(h.least*way) {
			h.least = rise / way
		}
	}
	h.first = first
	return h.least
}

// hulls is what is known of the upper hull of the floor on both sides of a node about the middle
// of an edge between two ends: for each node on the left the hull's next corner to the right, up
// to that node, and for each on the right the next to the left.
type hulls struct {
	cut, last int
	next      []int32   // by node
	slope     []float64 // to the next corner
}

// clears is true if the edge between its two ends, at a slope, is certain to be above all nodes.
// An end is between two nodes, and so is the slope from it to any other node between theirs.
func (r *resting) clears(slope float64) bool {
	h := &r.hulls
	if quarter := (r.j - r.i) / 4; h.cut-r.i <= quarter || r.j-h.cut <= quarter {
		r.cut((r.i + r.j) / 2)
	}
	for h.last <= r.j {
		h.last++
		k, q := h.last, h.last-1
		rise := r.slopes[q]
		for q != h.cut && h.slope[q] <= rise {
			q = int(h.next[q])
			rise = (r.z[k] - r.z[q]) / (r.x[k] - r.x[q])
		}
		h.next[k], h.slope[k] = int32(q), rise
	}
	return h.slope[r.i] <= slope && h.slope[r.i+1] <= slope && h.slope[r.j] >= slope && h.slope[r.j+1] >= slope
}

// cut begins the hulls at a node.
func (r *resting) cut(cut int) {
	h := &r.hulls
	if n := len(r.x); len(h.next) < n {
		h.next, h.slope = make([]int32, 2*n), make([]float64, 2*n)
	}
	h.cut, h.last = cut, cut
	for k := cut - 1; k >= r.i; k-- {
		q, rise := k+1, r.slopes[k]
		for q != cut && h.slope[q] >= rise {
			q = int(h.next[q])
			rise = (r.z[q] - r.z[k]) / (r.x[q] - r.x[k])
		}
		h.next[k], h.slope[k] = int32(q), rise
	}
}

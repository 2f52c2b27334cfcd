package uncertainty

// Over returns by how much the quantity is above v on average, counting 0 where it is below:
// E max(0, X − v), of the distribution as [Distribution.Below] reads it, between its outermost
// nodes.
func (d Distribution) Over(v float64) float64 {
	if len(d) == 0 {
		return max(0, -v)
	}
	// ∫ P(X > u) du from v: the probability is linear between nodes.
	out := max(0, d[0]-v)
	for i := 1; i < len(d); i++ {
		from := max(d[i-1], v)
		if width := d[i] - from; width > 0 {
			out += width * (1 - (d.Below(from)+nodes[i])/2)
		}
	}
	return out
}

// Mean returns the mean of the quantity.
func (d Distribution) Mean() float64 {
	if len(d) == 0 {
		return 0
	}
	return d[0] + d.Over(d[0])
}

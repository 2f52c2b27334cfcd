package uncertainty

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// nodes are the probabilities at which a distribution is kept: denser in the tails, from about
// 3e-5 to 1 − 3e-5.
var nodes = func() []float64 {
	const n = 161
	out := make([]float64, n)
	for i := range out {
		out[i] = distuv.UnitNormal.CDF(-4 + 8*float64(i)/(n-1))
	}
	return out
}()

// masses is the probability that each node has to itself: from half-way to the one before to
// half-way to the one after.
var masses = func() []float64 {
	out := make([]float64, len(nodes))
	for i := range nodes {
		lo, hi := 0.0, 1.0
		if i > 0 {
			lo = (nodes[i-1] + nodes[i]) / 2
		}
		if i+1 < len(nodes) {
			hi = (nodes[i] + nodes[i+1]) / 2
		}
		out[i] = hi - lo
	}
	return out
}()

// Distribution is what is known of a quantity: its values at [nodes], ascending. The zero
// Distribution is that of a quantity known to be zero.
type Distribution []float64

// Quantile returns the value that the quantity is below with probability p.
func (d Distribution) Quantile(p float64) float64 {
	if len(d) == 0 {
		return 0
	}
	i := sort.SearchFloat64s(nodes, p)
	switch {
	case i == 0:
		return d[0]
	case i == len(nodes):
		return d[len(d)-1]
	}
	// Between nodes in the scale of a normal distribution, in which quantiles run nearly straight.
	z := func(p float64) float64 { return distuv.UnitNormal.Quantile(p) }
	t := (z(p) - z(nodes[i-1])) / (z(nodes[i]) - z(nodes[i-1]))
	return d[i-1] + t*(d[i]-d[i-1])
}

// Below returns the probability that the quantity is below v.
func (d Distribution) Below(v float64) float64 {
	if len(d) == 0 {
		if v > 0 {
			return 1
		}
		return 0
	}
	i := sort.SearchFloat64s(d, v)
	switch {
	case i == 0:
		return nodes[0]
	case i == len(d):
		return nodes[len(nodes)-1]
	}
	return nodes[i-1] + (nodes[i]-nodes[i-1])*(v-d[i-1])/(d[i]-d[i-1])
}

// Shifted returns the distribution of the quantity plus by.
func (d Distribution) Shifted(by float64) Distribution {
	out := make(Distribution, len(nodes))
	for i := range out {
		out[i] = by
		if len(d) > 0 {
			out[i] += d[i]
		}
	}
	return out
}

// Scaled returns the distribution of the quantity times by, which is positive.
func (d Distribution) Scaled(by float64) Distribution {
	out := slices.Clone(d)
	for i := range out {
		out[i] *= by
	}
	return out
}

// Plus returns the distribution of the sum of two independent quantities.
func (d Distribution) Plus(e Distribution) Distribution {
	if len(d) == 0 {
		return e
	}
	if len(e) == 0 {
		return d
	}
	type pair struct{ v, p float64 }
	all := make([]pair, 0, len(d)*len(e))
	for i, v := range d {
		for j, w := range e {
			all = append(all, pair{v + w, masses[i] * masses[j]})
		}
	}
	slices.SortFunc(all, func(a, b pair) int {
		switch {
		case a.v < b.v:
			return -1
		case a.v > b.v:
			return 1
		}
		return 0
	})
	out := make(Distribution, len(nodes))
	k, before := 0, 0.0
	for i, p := range nodes {
		for k+1 < len(all) && before+all[k].p/2 < p {
			before += all[k].p
			k++
		}
		out[i] = all[k].v
		if k > 0 { // between the middles of two pairs
			lo, hi := before-all[k-1].p/2, before+all[k].p/2
			t := min(max((p-lo)/(hi-lo), 0), 1)
			out[i] = all[k-1].v + t*(all[k].v-all[k-1].v)
		}
	}
	return out
}

// Drawn returns the distribution of a quantity, never negative, of which values were drawn. Its tails, which few of them
// are in, have the shape of those of a related quantity.
func Drawn(values []float64, related Distribution) Distribution {
	const tail = 0.025
	sorted := slices.Sorted(slices.Values(values))
	at := func(p float64) float64 { // value i of n is at (i + ½)/n
		x := min(max(p*float64(len(sorted))-0.5, 0), float64(len(sorted)-1))
		i := min(int(x), len(sorted)-2)
		return sorted[i] + (x-float64(i))*(sorted[i+1]-sorted[i])
	}
	beyond := func(p, end float64) float64 {
		from, middle := related.Quantile(end), related.Quantile(0.5)
		if from == middle {
			return at(end)
		}
		return at(end) + (at(end)-at(0.5))*(related.Quantile(p)-from)/(from-middle)
	}
	out := make(Distribution, len(nodes))
	for i, p := range nodes {
		switch {
		case p < tail:
			out[i] = max(0, beyond(p, tail))
		case p > 1-tail:
			out[i] = beyond(p, 1-tail)
		default:
			out[i] = at(p)
		}
	}
	return out
}

// Normal returns the normal distribution about zero.
func Normal(sd float64) Distribution {
	out := make(Distribution, len(nodes))
	for i := range out {
		out[i] = sd * (-4 + 8*float64(i)/float64(len(nodes)-1))
	}
	return out
}

// term is one of several descriptions of a quantity: Student's t about a mean.
type term struct{ weight, mean, scale, freedom float64 }

// mixture returns the distribution of a quantity that one of terms describes, with probabilities as
// their weights, which add up to 1.
func mixture(terms []term) Distribution {
	below := func(v float64) float64 {
		p := 0.0
		for _, t := range terms {
			switch {
			case t.scale > 0:
				p += t.weight * studentBelow((v-t.mean)/t.scale, t.freedom)
			case v >= t.mean:
				p += t.weight
			}
		}
		return p
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, t := range terms {
		lo, hi = min(lo, t.mean-t.scale), max(hi, t.mean+t.scale)
	}
	if lo == hi {
		return Distribution(nil).Shifted(lo)
	}
	for step := hi - lo; below(lo) > nodes[0] && step < 1e6*(hi-lo); step *= 1.5 {
		lo -= step
	}
	for step := hi - lo; below(hi) < nodes[len(nodes)-1] && step < 1e6*(hi-lo); step *= 1.5 {
		hi += step
	}
	// Node by node, by regula falsi with the Illinois rule (Dowell and Jarratt 1971, BIT 11:168-174)
	// from the node before to the end, or to a few of the last steps further where that is enough.
	out := make(Distribution, len(nodes))
	a, fa := lo, below(lo)
	for i, p := range nodes {
		b, fb := hi, 1.0
		if i > 1 {
			if near := a + 3*(out[i-1]-out[i-2]); near < hi {
				if f := below(near); f > p {
					b, fb = near, f
				}
			}
		}
		out[i] = solve(below, p, a, fa, b, fb)
		a, fa = out[i], p
	}
	return out
}

// solve returns where an increasing function is p, between a, where it is fa ≤ p, and b, where it is
// fb ≥ p.
func solve(f func(float64) float64, p, a, fa, b, fb float64) float64 {
	ga, gb := fa-p, fb-p
	narrow := 1e-9 * (math.Abs(a) + math.Abs(b))
	for side := 0; b-a > narrow; {
		m := b - gb*(b-a)/(gb-ga)
		if !(m > a && m < b) {
			m = (a + b) / 2
		}
		g := f(m) - p
		if math.Abs(g) < 1e-5*min(p, 1-p) {
			return m
		}
		if g < 0 {
			if a, ga = m, g; side == -1 {
				gb /= 2
			}
			side = -1
		} else {
			if b, gb = m, g; side == 1 {
				ga /= 2
			}
			side = 1
		}
	}
	return (a + b) / 2
}

// studentBelow returns the probability that Student's t is below v.
func studentBelow(v, freedom float64) float64 {
	if freedom > 200 {
		return distuv.UnitNormal.CDF(v)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.CDF(v)
}

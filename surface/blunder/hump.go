package blunder

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

const (
	// humps is the assumed share of shots on a real hump or in a real hollow that the field
	// does not have: a patch, a trowel mark, a dish where a machine was. Common practice, no
	// count: half as many as slips.
	humps = 1.0 / 50
	// humpHeight is the standard deviation of the height of such a hump, m, and highest its
	// max height.
	humpHeight = 0.030
	highest    = 0.060
)

// humpWidths are the standard deviations of a round hump to try, in distances to the nearest
// shots.
var humpWidths = []float64{0.5, 0.8, 1.2, 1.8}

// hump returns the density of shot i, 1/m, if there is a real hump or hollow near it, given
// the readings of the shots round it: those are raised too, each by the shape of the hump at
// its place. rough is the factor of [window.roughness].
//
// With C the covariance of the departures e of i and its neighbours, and g the shape, e is
// normal with covariance C + h²ggᵀ. A rank-one update has a closed form (Sherman and
// Morrison 1950, Annals of Mathematical Statistics 21:124-127). The centre and the width are
// unknown: the result is the mean over some of each.
func (w *window) hump(i int, rough float64) float64 {
	if w.near == nil {
		w.near = nearest(w.shots)
	}
	v := w.copy()
	block := []int{i}
	for _, j := range w.near[i] {
		if !w.out[j] || math.Abs(w.r[j]) <= highest {
			block = append(block, j)
		}
	}
	for _, j := range block {
		if !v.out[j] {
			v.sweep(j)
		}
	}
	m := len(block)
	c := mat.NewSymDense(m, nil)
	e := mat.NewVecDense(m, nil)
	for a, j := range block {
		e.SetVec(a, v.r[j])
		for b, k := range block[:a+1] {
			s := w.sill * v.at(j, k)
			if a == b {
				s += ownReading * ownReading
			}
			c.SetSym(a, b, s*rough*rough)
		}
	}
	var all, others mat.Cholesky
	if !all.Factorize(c) || m > 1 && !others.Factorize(c.SliceSym(1, m)) {
		return 0
	}
	var ce mat.VecDense
	if all.SolveVecTo(&ce, e) != nil {
		return 0
	}
	// Of i given the others, no hump.
	base := -0.5*(mat.Dot(e, &ce)+all.LogDet()) - 0.5*math.Log(2*math.Pi)
	if m > 1 {
		var oe mat.VecDense
		rest := e.SliceVec(1, m)
		if others.SolveVecTo(&oe, rest) != nil {
			return 0
		}
		base += 0.5 * (mat.Dot(rest, &oe) + others.LogDet())
	}
	s := w.shots[i]
	var total float64
	n := 0
	g, cg := mat.NewVecDense(m, nil), &mat.VecDense{}
	for _, k := range block {
		// At i, and half way to each neighbour.
		x, y := (s.x+w.shots[k].x)/2, (s.y+w.shots[k].y)/2
		for _, width := range humpWidths {
			width *= w.reach(i)
			for a, j := range block {
				dx, dy := w.shots[j].x-x, w.shots[j].y-y
				g.SetVec(a, math.Exp(-(dx*dx+dy*dy)/(2*width*width)))
			}
			if all.SolveVecTo(cg, g) != nil {
				return 0
			}
			q, t := humpHeight*humpHeight*mat.Dot(g, cg), humpHeight*mat.Dot(g, &ce)
			total += math.Exp(min(base+0.5*t*t/(1+q), 300)) / math.Sqrt(1+q)
			n++
		}
	}
	return total / float64(n)
}

// reach returns the distance from shot i to the second nearest shot, m.
func (w *window) reach(i int) float64 {
	near := w.near[i]
	if len(near) == 0 {
		return 1
	}
	t := w.shots[near[min(1, len(near)-1)]]
	return math.Hypot(t.x-w.shots[i].x, t.y-w.shots[i].y)
}

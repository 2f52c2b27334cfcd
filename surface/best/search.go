package best

import (
	"cmp"
	"math"
	"slices"
)

// cut is a plane that was looked at: cost ≥ f + g·(u − at) for all others. Costs here are per
// area and price, so they are metres.
type cut struct {
	at point
	f  float64
	g  point
	up vec3 // the gradient by the plane itself
}

// search is for the least cost of one problem.
type search struct {
	p     *problem
	k     int
	cuts  []cut
	best  int // of cuts
	sums  totals
	bend  [3][3]float64 // second derivative at the best
	cone  float64       // multiplier of the greatest fall
	size  float64       // the least is within this of the best, in each unknown
	bound float64
}

func newSearch(p *problem, start vec3) *search {
	r := &search{p: p, k: len(p.basis), best: -1, bound: 0}
	r.look(point{})
	least := min(p.s.FillPrice, p.s.GrindPrice)
	// Cheaper planes are near: the mean distance of two planes from the floor bounds that
	// between them, and the greatest distance is at most far × the root mean square.
	far := 0.0
	for i := range p.g.corner {
		a := p.along(p.g.corner[i].at())
		far = max(far, a.dot(&a))
	}
	moved := 2 * (r.cuts[0].f - r.cover()) * r.unit() / least / p.g.area()
	r.size = moved*math.Sqrt(far)*1.01 + 1e-9
	return r
}

// unit is the cost of one metre over the floor at both prices.
func (r *search) unit() float64 {
	s := r.p.s
	if s.grinds() {
		return r.p.g.area() * (s.FillPrice + s.GrindPrice)
	}
	return r.p.g.area() * s.FillPrice
}

// cover is the part of the cost that all planes share: the least depth over the whole floor.
func (r *search) cover() float64 { return r.p.s.FillPrice * r.p.s.MinDepth * r.p.g.area() / r.unit() }

// look works out the cost at u and adds its bound. It reports whether u is the best so far.
func (r *search) look(u point) bool {
	sums := r.price(u)
	if r.best >= 0 && r.cuts[len(r.cuts)-1].f >= r.cuts[r.best].f {
		return false
	}
	r.keep(len(r.cuts)-1, sums)
	return true
}

// price works out the cost at u and adds its bound.
func (r *search) price(u point) totals {
	p, s := r.p, r.p.s
	q := p.at(&u)
	q[0] -= s.MinDepth
	sums := p.g.sums(func(t *totals, f *[3]corner) { t.under(f, q) })
	var f float64
	var grad vec3
	if s.grinds() {
		f = s.FillPrice*sums.fill + s.GrindPrice*sums.cut
		grad = vec3{}.plus(s.FillPrice/r.unit(), sums.above).plus(-s.GrindPrice/r.unit(), sums.below)
	} else {
		f = s.FillPrice * (sums.fill - sums.cut)
		grad = vec3{}.plus(s.FillPrice/r.unit(), p.g.moment[0])
	}
	r.cuts = append(r.cuts, cut{at: u, f: f/r.unit() + r.cover(), g: p.along(grad), up: grad})
	return sums
}

// keep makes the plane of a cut the best.
func (r *search) keep(i int, sums totals) {
	p, s := r.p, r.p.s
	r.best, r.sums, r.bend = i, sums, [3][3]float64{}
	if !s.grinds() {
		return
	}
	for i := range r.k {
		for j := range r.k {
			b := p.basis[j]
			row := vec3{sums.bend[0].dot(b), sums.bend[1].dot(b), sums.bend[2].dot(b)}
			r.bend[i][j] = (s.FillPrice + s.GrindPrice) * p.basis[i].dot(row) / r.unit()
		}
	}
}

// under returns the bound of c at the best, less its cost: 0 or negative but for rounding.
func (r *search) under(c *cut) float64 {
	b := &r.cuts[r.best]
	d := c.f - b.f
	for i := range r.k {
		d += float64(c.g[i] * (b.at[i] - c.at[i]))
	}
	return min(d, 0)
}

// rows are the limits around the best, in units of size.
func (r *search) rows() []row {
	q := r.p.at(&r.cuts[r.best].at)
	var out []row
	for i := range r.p.limits {
		l := &r.p.limits[i]
		out = append(out, row{a: r.p.along(l.v), b: max(0, -r.p.over(l, q)) / r.size})
	}
	return out
}

// shrink narrows the box to where the bounds leave room for a lower cost.
func (r *search) shrink() {
	rows := r.rows()
	for i := range r.cuts {
		c := &r.cuts[i]
		rows = append(rows, row{a: c.g, b: -r.under(c) / r.size})
	}
	reach := 0.0
	for i := range r.k {
		for _, side := range []float64{1, -1} {
			var c point
			c[i] = side
			x, ok := maximise(r.k, c, rows)
			if !ok {
				return
			}
			reach = max(reach, math.Abs(x[i]))
		}
	}
	r.size = max(r.size*min(1, reach*(1+1e-9)+1e-12), 1e-13)
}

// steep is more than a bound rises in the box, per size: the gradient is less than 1 for each of
// the unknowns.
const steep = 4

// lowestBound returns the place where the bounds leave the least cost, and sets that cost.
func (r *search) lowestBound() (point, bool) {
	rows := r.rows()
	for i := range r.cuts {
		c := &r.cuts[i]
		one := row{a: c.g, b: -r.under(c) / r.size}
		one.a[r.k] = -steep
		rows = append(rows, one)
	}
	var c point
	c[r.k] = -1
	x, ok := maximise(r.k+1, c, rows)
	if !ok {
		return x, false
	}
	r.bound = max(r.bound, r.cuts[r.best].f+steep*r.size*x[r.k])
	return r.moved(&x), true
}

// middle returns the centre of the largest ball in what the bounds leave.
func (r *search) middle() (point, bool) {
	rows := r.rows()
	for i := range r.cuts {
		c := &r.cuts[i]
		rows = append(rows, row{a: c.g, b: -r.under(c) / r.size})
	}
	for i := range rows {
		rows[i].a[r.k] = math.Sqrt(rows[i].a.dot(&rows[i].a))
	}
	var c point
	c[r.k] = 1
	x, ok := maximise(r.k+1, c, rows)
	return r.moved(&x), ok
}

// moved is the best, moved by x in units of size.
func (r *search) moved(x *point) point {
	u := r.cuts[r.best].at
	for i := range r.k {
		u[i] += x[i] * r.size
	}
	return u
}

// closeEnough is the gap between cost and bound at which the search ends.
func (r *search) closeEnough() bool {
	f := r.cuts[r.best].f
	return f-r.bound <= 1e-11*f+1e-15
}

// tries is the max number of planes looked at. A smooth cost takes about ten.
const tries = 600

// creeping is how many steps in a row may gain little.
const creeping = 3

func (r *search) run() error {
	if r.bound = r.cover(); r.k == 0 {
		r.bound = r.cuts[0].f
		return nil
	}
	good, turn, creep := true, 0, 0
	for range tries {
		r.shrink()
		low, ok := r.lowestBound()
		if r.closeEnough() {
			return nil
		}
		var u point
		switch turn++; {
		case good:
			if u, good = r.newton(); !good {
				continue
			}
		case turn%2 == 0:
			if u = low; !ok {
				continue
			}
		default:
			if u, ok = r.middle(); !ok {
				continue
			}
			good = turn%4 == 1
		}
		q := r.p.at(&u)
		worst, added := r.p.missed(q, 0)
		if added || worst > 2*feasible {
			good = good && added
			continue
		}
		before := r.cuts[r.best].f
		better := r.look(u)
		won := before - r.cuts[r.best].f
		if creep++; won > 0.01*(before-r.bound) {
			creep = 0
		}
		// Newton's steps may gain little because they have arrived, or creep along limits.
		if !better || won < 1e-12*before || creep > creeping {
			good, creep = false, 0
		}
	}
	if r.cuts[r.best].f-r.bound <= 1e-9*r.cuts[r.best].f+1e-13 {
		return nil
	}
	return ErrNotFound
}

// newton returns the lowest point of the quadratic with the exact first and second derivatives
// at the best, within the limits. It is found by trying which limits bind, at most as many as
// there are unknowns.
func (r *search) newton() (point, bool) {
	b := &r.cuts[r.best]
	h := r.bend
	if n := len(r.p.limits); r.cone > 0 && n > 0 {
		r.addCone(&h, b)
	}
	top := 0.0
	for i := range r.k {
		top = max(top, h[i][i])
	}
	if !(top > 1e-9) {
		return b.at, false
	}
	var m [most]point
	for i := range r.k {
		copy(m[i][:], h[i][:])
		m[i][i] += 1e-13 * top
	}
	rows := r.nearRows(12)
	var least point
	lowest, cone := math.Inf(1), 0.0
	subsets(len(rows), r.k, func(on []int) {
		d, mult, ok := r.stationary(m, b.g, rows, on)
		if !ok {
			return
		}
		v := b.g.dot(&d)
		for i := range r.k {
			v += m[i].dot(&d) * d[i] / 2
		}
		if v < lowest {
			least, lowest, cone = d, v, 0
			for i, k := range on {
				if rows[k].kind == MaxFall {
					cone += mult[i]
				}
			}
		}
	})
	if math.IsInf(lowest, 1) {
		return b.at, false
	}
	r.cone = cone
	u := b.at
	for i := range r.k {
		if math.Abs(least[i]) > 2*r.size {
			return u, false
		}
		u[i] += least[i]
	}
	back := r.inCone(u)
	q := r.p.at(&back)
	for i := range r.p.limits {
		if r.p.over(&r.p.limits[i], q) > 2*feasible {
			return u, true
		}
	}
	return back, true
}

// nearRow is a limit around the best, in metres.
type nearRow struct {
	row
	kind Kind
	of   int // of problem.limits
}

// nearRows returns the n limits with the least room at the best.
func (r *search) nearRows(n int) []nearRow {
	q := r.p.at(&r.cuts[r.best].at)
	var out []nearRow
	for i := range r.p.limits {
		l := &r.p.limits[i]
		a := r.p.along(l.v)
		if a.dot(&a) > 1e-24 {
			out = append(out, nearRow{row{a, max(0, -r.p.over(l, q))}, l.kind, i})
		}
	}
	slices.SortStableFunc(out, func(a, b nearRow) int { return cmp.Compare(a.b, b.b) })
	return out[:min(n, len(out))]
}

// stationary returns the step d with m·d + g + Σ λ·a = 0 that keeps the rows of on exactly, if it
// keeps the others and no λ is negative.
func (r *search) stationary(m [most]point, g point, rows []nearRow, on []int) (d point, mult []float64, ok bool) {
	var down point
	for i := range r.k {
		down[i] = -g[i]
	}
	if d, ok = linear(r.k, m, down); !ok {
		return d, nil, false
	}
	if n := len(on); n > 0 {
		var s [most]point
		var left point
		across := make([]point, n)
		for i, k := range on {
			if across[i], ok = linear(r.k, m, rows[k].a); !ok {
				return d, nil, false
			}
			left[i] = rows[k].a.dot(&d) - rows[k].b
		}
		for i, k := range on {
			for j := range on {
				s[i][j] = rows[k].a.dot(&across[j])
			}
		}
		l, ok := linear(n, s, left)
		if !ok {
			return d, nil, false
		}
		for i := range on {
			if l[i] < -1e-14 {
				return d, nil, false
			}
			mult = append(mult, l[i])
			for j := range r.k {
				d[j] -= float64(l[i] * across[i][j])
			}
		}
	}
	for i := range rows {
		if rows[i].a.dot(&d) > rows[i].b+feasible {
			return d, nil, false
		}
	}
	return d, mult, true
}

// subsets calls do with each set of at most most numbers below n, the smaller sets first.
func subsets(n, most int, do func(on []int)) {
	for size := range min(n, most) + 1 {
		on := make([]int, size)
		var pick func(at, from int)
		pick = func(at, from int) {
			if at == size {
				do(on)
				return
			}
			for k := from; k < n; k++ {
				on[at] = k
				pick(at+1, k+1)
			}
		}
		pick(0, 0)
	}
}

// addCone adds the bend of the limit on the fall, whose edge is round.
func (r *search) addCone(h *[3][3]float64, b *cut) {
	q := r.p.at(&b.at)
	n := math.Hypot(q[1], q[2])
	if n == 0 {
		return
	}
	across := vec3{0, -q[2] / n, q[1] / n}
	a := r.p.along(across)
	for i := range r.k {
		for j := range r.k {
			h[i][j] += r.cone * r.p.g.reach / n * a[i] * a[j]
		}
	}
}

// inCone moves a plane that is a little too steep back to the greatest fall.
func (r *search) inCone(u point) point {
	f := r.p.s.MaxFall
	if f == 0 {
		return u
	}
	for range 3 {
		q := r.p.at(&u)
		n := math.Hypot(q[1], q[2])
		if n*r.p.g.reach <= f*r.p.g.reach+feasible/2 {
			return u
		}
		// The shortest way within the basis.
		a := r.p.along(vec3{0, q[1] / n, q[2] / n})
		m := a.dot(&a)
		if m < 1e-24 {
			return u
		}
		for i := range r.k {
			u[i] -= (n - f) / m * a[i]
		}
	}
	return u
}

// polish takes Newton's steps while they get shorter: cost alone does not show the last digits
// of the plane.
func (r *search) polish() {
	if r.k == 0 || r.sums.flat > 0 {
		return
	}
	last := math.Inf(1)
	for range 8 {
		b := r.cuts[r.best]
		u, ok := r.newton()
		step := 0.0
		for i := range r.k {
			step = max(step, math.Abs(u[i]-b.at[i]))
		}
		if !ok || !(step < last/2) {
			return
		}
		if worst, added := r.p.missed(r.p.at(&u), 0); added || worst > 2*feasible {
			return
		}
		best, sums, bend := r.best, r.sums, r.bend
		r.best = -1
		r.look(u)
		if r.cuts[r.best].f > b.f+1e-14*b.f {
			r.best, r.sums, r.bend = best, sums, bend
			return
		}
		last = step
	}
}

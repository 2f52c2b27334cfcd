package best

import "math"

// wide is by how much planes of the same cost must differ to be told apart, m: a micrometre.
const wide = 1e-6

// lowest moves to the plane that is lowest at the middle of the floor of all those of the same
// cost, and to the nearest to level of these. It moves only if there are others: the best plane
// on a smooth part has more digits than a search by cost can find.
//
// Planes cost the same if the floor is of parts at different levels and the plane is between
// them, or if a plane turns about one high spot.
func (r *search) lowest() {
	if r.k == 0 || r.size < wide || r.bowl() {
		return
	}
	r.size *= 2 // the best has moved since the box was drawn
	t := &ties{search: r, limit: r.cuts[r.best].f*(1+1e-13) + 1e-16}
	from := r.p.at(&r.cuts[r.best].at)
	low, ok := t.find(func(rows []row) (point, bool) {
		return maximise(r.k, r.p.along(vec3{-1}), rows)
	}, func(vec3) bool { return true })
	if !ok {
		return
	}
	z := min(low[0], from[0]) + 1e-3*wide
	flattest, ok := t.flattest(z, from)
	if !ok {
		return
	}
	moved := math.Abs(flattest[0] - from[0])
	for i := 1; i < 3; i++ {
		moved = max(moved, math.Abs(flattest[i]-from[i])*r.p.g.reach)
	}
	if moved > wide {
		r.keep(t.at, t.sums)
	}
}

// bowl reports whether the cost rises from the best in all directions by its second derivative.
func (r *search) bowl() bool {
	h := r.bend
	for i := range r.k {
		if !(h[i][i] > 1e-6) {
			return false
		}
		for j := i + 1; j < r.k; j++ {
			f := h[j][i] / h[i][i]
			for m := i; m < r.k; m++ {
				h[j][m] -= float64(f * h[i][m])
			}
		}
	}
	return true
}

// ties is the search among planes of the same cost.
type ties struct {
	*search
	limit float64 // the cost
	at    int     // of cuts: the plane last found
	sums  totals
}

// find takes what pick returns until that costs no more than the limit and done holds for it. pick
// gets the limits and bounds around the best, in units of size.
func (t *ties) find(pick func(rows []row) (point, bool), done func(q vec3) bool) (vec3, bool) {
	for range tries / 10 {
		rows := t.rows()
		for i := range t.cuts {
			c := &t.cuts[i]
			rows = append(rows, row{a: c.g, b: (t.limit - t.cuts[t.best].f - t.under(c)) / t.size})
		}
		x, ok := pick(rows)
		if !ok {
			return vec3{}, false
		}
		u := t.moved(&x)
		q := t.p.at(&u)
		worst, added := t.p.missed(q, 0)
		if added {
			continue
		}
		if worst > 2*feasible {
			return q, false
		}
		sums := t.price(u)
		if t.cuts[len(t.cuts)-1].f <= t.limit && done(q) {
			t.at, t.sums = len(t.cuts)-1, sums
			return q, true
		}
	}
	return vec3{}, false
}

// flattest returns the plane nearest to level of those no higher than z at the middle. The fall is
// the greatest of the slopes in all directions; those that matter are added one by one.
func (t *ties) flattest(z float64, from vec3) (vec3, bool) {
	r := t.p.g.reach
	steep := 1.0
	for _, b := range t.p.basis {
		steep += math.Hypot(b[1], b[2]) * r
	}
	now := math.Hypot(from[1], from[2]) * r
	ways := []vec3{{0, r, 0}, {0, -r, 0}, {0, 0, r}, {0, 0, -r}}
	fall := 0.0
	return t.find(func(rows []row) (point, bool) {
		rows = append(rows, row{a: t.p.along(vec3{1}), b: (z - from[0]) / t.size})
		k := t.k
		var least point
		least[k] = -steep
		rows = append(rows, row{a: least, b: now / t.size})
		for _, w := range ways {
			a := t.p.along(w)
			a[k] = -steep
			rows = append(rows, row{a: a, b: (now - w.dot(from)) / t.size})
		}
		var c point
		c[k] = -1
		x, ok := maximise(k+1, c, rows)
		fall = now + steep*t.size*x[k]
		return x, ok
	}, func(q vec3) bool {
		n := math.Hypot(q[1], q[2])
		if n*r <= fall+1e-3*wide {
			return true
		}
		ways = append(ways, vec3{0, q[1] / n * r, q[2] / n * r})
		return false
	})
}

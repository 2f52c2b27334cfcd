package best

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// result is the best plane, with what binds it.
func (r *search) result() *Best {
	p, s := r.p, r.p.s
	b := &r.cuts[r.best]
	out := &Best{Plane: p.g.plane(p.at(&b.at)), Looked: len(r.cuts), Bound: min(r.bound, b.f) * r.unit()}
	out.Fill = r.sums.fill + s.MinDepth*p.g.area()
	out.Cost = s.FillPrice * out.Fill
	if s.grinds() {
		out.Cut = r.sums.cut
		out.Cost += s.GrindPrice * out.Cut
	} else {
		out.Fill -= r.sums.cut // rounding of corners at the least depth
		out.Cost = s.FillPrice * out.Fill
	}
	h := r.balance()
	out.Residual = h.off * r.unit()
	for _, set := range h.alike() {
		out.bind(p, h, set, r.unit())
	}
	r.fixedPrices(out, h)
	if s.grinds() {
		out.Cover = math.Inf(1)
		for i := range h.ways {
			out.Cover = min(out.Cover, s.FillPrice*p.g.area()-h.cost(i)[0]*r.unit())
		}
	} else {
		for _, b := range out.Binding {
			if b.Kind == MinDepth {
				out.Cover += b.Price
			}
		}
	}
	slices.SortStableFunc(out.Binding, func(a, b Bind) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.At.Y, b.At.Y), strings.Compare(a.Name, b.Name))
	})
	return out
}

// hold is how the limits hold the cost at the best: what the cost gains in any direction, they
// take. Where more limits meet than a plane has unknowns they share it in several ways.
type hold struct {
	r    *search
	off  float64 // how far from balance
	near []int   // of search.cuts: the gradients at the best
	rows []nearRow
	ways [][]float64 // of each of near, which sum to 1, then of each of rows
}

// cost returns the gradient of the cost in one of the ways.
func (h *hold) cost(way int) (sum vec3) {
	for i, n := range h.near {
		sum = sum.plus(h.ways[way][i], h.r.cuts[n].up)
	}
	return sum
}

// pull returns what the limits leave of the gradient of the cost in one of the ways: what fixed
// points and a level plane hold.
func (h *hold) pull(way int) vec3 {
	sum := h.cost(way)
	for i, n := range h.rows {
		sum = sum.plus(h.ways[way][len(h.near)+i], h.r.p.limits[n.of].v)
	}
	return sum
}

// balance finds the prices of the limits at the best: numbers ≥ 0 with which the limits there hold
// a mean of the gradients there. On a smooth part there is one gradient; where the plane is a
// part of the floor there are several.
func (r *search) balance() *hold {
	h := &hold{r: r, near: []int{r.best}, rows: r.nearRows(10)}
	for i, n := range h.rows {
		if n.b > touching {
			h.rows = h.rows[:i]
			break
		}
	}
	if h.share(); h.off < 1e-7 {
		return h
	}
	b := &r.cuts[r.best]
	for i := range r.cuts {
		if i != r.best && r.under(&r.cuts[i]) > -1e-9*b.f-1e-13 {
			h.near = append(h.near, i)
		}
	}
	slices.SortStableFunc(h.near[1:], func(x, y int) int {
		return cmp.Compare(r.under(&r.cuts[y]), r.under(&r.cuts[x]))
	})
	h.near = h.near[:min(len(h.near), 10)]
	h.share()
	return h
}

// share finds the ways.
func (h *hold) share() {
	k := h.r.k
	columns := make([]point, 0, len(h.rows)+len(h.near))
	for _, n := range h.near {
		c := h.r.cuts[n].g
		c[k] = 1
		columns = append(columns, c)
	}
	for _, n := range h.rows {
		columns = append(columns, n.a)
	}
	var want point
	want[k] = 1
	h.ways, h.off = nonnegative(k+1, columns, want)
}

// alike returns the rows that are one limit: the tangents of the greatest fall, the corners at one
// depth.
func (h *hold) alike() (sets [][]int) {
next:
	for i, n := range h.rows {
		l := &h.r.p.limits[n.of]
		for k, set := range sets {
			o := &h.r.p.limits[h.rows[set[0]].of]
			if o.kind == l.kind && (o.kind != Highest && o.kind != Lowest || o.place == l.place) {
				sets[k] = append(set, i)
				continue next
			}
		}
		sets = append(sets, []int{i})
	}
	return sets
}

// bind adds one limit with its price: the least that it holds in any of the ways, since only that
// is saved if this limit alone is loosened.
func (b *Best) bind(p *problem, h *hold, set []int, unit float64) {
	least, way := math.Inf(1), 0
	held := false
	for w, y := range h.ways {
		sum := 0.0
		for _, i := range set {
			sum += y[len(h.near)+i]
		}
		held = held || sum > slight
		if sum < least {
			least, way = sum, w
		}
	}
	if !held {
		return
	}
	l := &p.limits[h.rows[set[0]].of]
	switch l.kind {
	case Highest, Lowest:
		if at := p.s.Places[l.place]; at.Least != at.Most {
			b.Binding = append(b.Binding, Bind{Kind: l.kind, Name: at.Name, At: at.At, Price: least * unit})
		}
	case MaxFall:
		b.Binding = append(b.Binding, Bind{Kind: MaxFall, Price: least * unit * p.g.reach})
	case MinDepth, MaxDepth:
		for _, i := range set {
			price := h.ways[way][len(h.near)+i]
			if c := p.limits[h.rows[i].of].corner; price > slight || least <= slight {
				b.Binding = append(b.Binding, Bind{Kind: l.kind, Name: p.g.name(c), At: p.g.place[c], Price: price * unit})
			}
		}
	}
}

// slight is a price that is rounding, of the cost of one metre over the floor at both prices.
const slight = 1e-9

// fixedPrices adds the places that have one elevation, and a plane kept level.
func (r *search) fixedPrices(out *Best, h *hold) {
	s, g := r.p.s, r.p.g
	pull := h.pull(0)
	pull[1], pull[2] = pull[1]/g.reach, pull[2]/g.reach
	var at []vec3
	var fixed []Place
	for _, p := range s.Places {
		if p.Least == p.Most {
			fixed = append(fixed, p)
			at = append(at, vec3{1, (p.At.X - g.at.X) / g.reach, (p.At.Y - g.at.Y) / g.reach})
		}
	}
	for i, p := range fixed {
		one := Bind{Kind: Highest, Name: p.Name, At: p.At, Fixed: true}
		v := at[i]
		if s.Level {
			v = vec3{1}
		}
		var others []vec3
		for k, o := range at {
			if s.Level {
				o = vec3{1}
			}
			if k != i {
				others = append(others, o)
			}
		}
		// What is left of v beside the others is moved by this place alone.
		if left := beside(v, others); left.dot(left) > 1e-18 {
			price := -pull.dot(left) / v.dot(left) * r.unit()
			if price < 0 {
				one.Kind = Lowest
			}
			one.Price = math.Abs(price)
		}
		out.Binding = append(out.Binding, one)
	}
	if !s.Level {
		return
	}
	// A fall turns the plane about the places that are fixed.
	var turns []vec3
	for i, v := range at {
		if i == 0 {
			pull = pull.plus(-pull[0], v)
			continue
		}
		turns = append(turns, v.plus(-1, at[0]))
	}
	pull[0] = 0
	left := beside(pull, turns)
	out.Binding = append(out.Binding, Bind{Kind: Level, Price: math.Sqrt(left.dot(left)) * r.unit() * g.reach})
}

// beside returns the part of v at right angles to all of others.
func beside(v vec3, others []vec3) vec3 {
	var axes []vec3
	for _, o := range others {
		for _, a := range axes {
			o = o.plus(-o.dot(a), a)
		}
		if n := math.Sqrt(o.dot(o)); n > 1e-9 {
			axes = append(axes, vec3{}.plus(1/n, o))
		}
	}
	for range 2 {
		for _, a := range axes {
			v = v.plus(-v.dot(a), a)
		}
	}
	return v
}

// nonnegative returns the numbers ≥ 0 with which columns come nearest to want, in every way that
// has no more than n of them above 0, and how near that is.
func nonnegative(n int, columns []point, want point) (ways [][]float64, off float64) {
	off = math.Inf(1)
	var offs []float64
	subsets(len(columns), n, func(on []int) {
		if len(on) == 0 {
			return
		}
		var m [most]point
		var b point
		for i, k := range on {
			b[i] = columns[k].dot(&want)
			for j, l := range on {
				m[i][j] = columns[k].dot(&columns[l])
			}
		}
		y, ok := linear(len(on), m, b)
		if !ok {
			return
		}
		left := want
		for i, k := range on {
			if y[i] < 0 {
				return
			}
			for j := range n {
				left[j] -= y[i] * columns[k][j]
			}
		}
		d := math.Sqrt(left.dot(&left))
		if d > 2*off+1e-10 {
			return
		}
		off = min(off, d)
		all := make([]float64, len(columns))
		for i, k := range on {
			all[k] = y[i]
		}
		ways, offs = append(ways, all), append(offs, d)
	})
	kept := ways[:0]
	for i, w := range ways {
		if offs[i] <= 2*off+1e-10 {
			kept = append(kept, w)
		}
	}
	return kept, off
}

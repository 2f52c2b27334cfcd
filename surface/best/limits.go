package best

import (
	"math"
)

// feasible is by how much a limit may be missed, m: the rounding of the arithmetic.
const feasible = 5e-13

// touching is by how much limits that leave one plane may seem to clash, m: the rounding of
// elevations far above the datum.
const touching = 1e-9

// limit is v·q ≤ b, in metres.
type limit struct {
	v      vec3
	b      float64
	kind   Kind
	place  int // of Spec.Places
	corner int // of Ground.corner
}

// problem is the search for one Spec: planes are base + Σ u_i·basis_i, with a basis for which
// the mean square of what is added over the floor is |u|².
type problem struct {
	g      *Ground
	s      *Spec
	base   vec3
	basis  []vec3
	limits []limit // those found so far to matter
	capped bool    // the fall is limited, to s.MaxFall
	slack  float64 // all limits are loosened by this, m: rounding
	// loose picks the limits that may be missed, if not all of them may.
	loose func(*limit) bool
}

func newProblem(g *Ground, s *Spec) *problem {
	p := &problem{g: g, s: s, capped: s.MaxFall > 0}
	ways := []vec3{{1}, {0, 1}, {0, 0, 1}}
	if s.Level {
		ways = ways[:1]
	}
	for _, w := range ways {
		p.basis = p.joined(p.basis, w)
	}
	for i, at := range s.Places {
		v := vec3{1, at.At.X - g.at.X, at.At.Y - g.at.Y}
		if !math.IsInf(at.Most, 1) {
			p.limits = append(p.limits, limit{v: v, b: at.Most - g.z, kind: Highest, place: i})
		}
		if !math.IsInf(at.Least, -1) {
			p.limits = append(p.limits, limit{v: vec3{-1, -v[1], -v[2]}, b: g.z - at.Least, kind: Lowest, place: i})
		}
	}
	return p
}

// joined adds w to an orthonormal basis, by Gram and Schmidt, twice against rounding.
func (p *problem) joined(basis []vec3, w vec3) []vec3 {
	for range 2 {
		for _, b := range basis {
			w = w.plus(-p.inner(w, b), b)
		}
		n := math.Sqrt(p.inner(w, w))
		if !(n > 1e-12) {
			return basis
		}
		w = vec3{}.plus(1/n, w)
	}
	return append(basis, w)
}

// inner is the mean of a·b over the floor.
func (p *problem) inner(a, b vec3) float64 {
	m := &p.g.moment
	return (float64(a[0]*m[0].dot(b)) + float64(a[1]*m[1].dot(b)) + float64(a[2]*m[2].dot(b))) / p.g.area()
}

func (p *problem) at(u *point) vec3 {
	q := p.base
	for i, b := range p.basis {
		q = q.plus(u[i], b)
	}
	return q
}

// along returns the part of v that a step in the basis changes.
func (p *problem) along(v vec3) (a point) {
	for i, b := range p.basis {
		a[i] = v.dot(b)
	}
	return a
}

// over returns by how much q misses a limit.
func (p *problem) over(l *limit, q vec3) float64 { return l.v.dot(q) - l.b - p.slack }

// missed finds, for each kind of limit, the one that q keeps the worst, beyond slack, and adds
// it. It returns by how much the worst of all limits is missed, and whether one is new.
func (p *problem) missed(q vec3, slack float64) (worst float64, added bool) {
	worst = math.Inf(-1)
	count := func(l *limit) (over, may float64) {
		over = p.over(l, q)
		switch {
		case p.loose == nil || p.loose(l):
			worst = max(worst, over)
			return over, slack
		case over > touching:
			worst = math.Inf(1)
		}
		return over, 0
	}
	for i := range p.limits {
		count(&p.limits[i])
	}
	note := func(l limit) {
		if over, may := count(&l); over <= may+feasible {
			return
		}
		for i := range p.limits {
			if p.limits[i] == l {
				return
			}
		}
		p.limits, added = append(p.limits, l), true
	}
	if f := p.s.MaxFall; p.capped {
		if n := math.Hypot(q[1], q[2]); n > 0 {
			r := p.g.reach
			note(limit{v: vec3{0, q[1] / n * r, q[2] / n * r}, b: f * r, kind: MaxFall})
		}
	}
	hard := !p.s.grinds()
	if !hard && p.s.MaxDepth == 0 {
		return worst, added
	}
	low, high := p.g.extremes(q)
	if hard {
		c := &p.g.corner[low]
		note(limit{v: vec3{-1, -c.x, -c.y}, b: -c.z - p.s.MinDepth, kind: MinDepth, corner: low})
	}
	if p.s.MaxDepth > 0 {
		c := &p.g.corner[high]
		note(limit{v: c.at(), b: c.z + p.s.MaxDepth, kind: MaxDepth, corner: high})
	}
	return worst, added
}

// extremes returns the corners of min and max depth under q; of equal ones the most western, then
// the most southern.
func (g *Ground) extremes(q vec3) (low, high int) {
	n := (len(g.corner) + few - 1) / few
	lows, highs := make([]int, n), make([]int, n)
	depth := func(i int) float64 { return q.dot(g.corner[i].at()) - g.corner[i].z }
	pick := func(a, b int, side float64) int {
		da, db := side*depth(a), side*depth(b)
		if db < da || db == da && g.place[b].Less(g.place[a]) {
			return b
		}
		return a
	}
	inParts(n, func(k int) {
		lo, hi := k*few, k*few
		least, greatest := depth(lo), depth(hi)
		for i := k*few + 1; i < min((k+1)*few, len(g.corner)); i++ {
			if d := depth(i); d <= least {
				lo = pick(lo, i, 1)
				least = d
			} else if d >= greatest {
				hi = pick(hi, i, -1)
				greatest = d
			}
		}
		lows[k], highs[k] = lo, hi
	})
	low, high = lows[0], highs[0]
	for k := range n {
		low, high = pick(low, lows[k], 1), pick(high, highs[k], -1)
	}
	return low, high
}

// within returns the plane that keeps all limits, or those of loose, by as much as can be, and by
// how much it misses them, m; 0 or less if it keeps them.
func (p *problem) within() (q vec3, short float64) {
	k := len(p.basis)
	size := 1e3 * (p.span() + 0.1)
	q = p.base
	for range 4 {
		before := short // within the box around the last answer
		for range 300 {
			rows := make([]row, len(p.limits))
			for i := range p.limits {
				l := &p.limits[i]
				rows[i] = row{a: p.along(l.v), b: -p.over(l, q) / size}
				if p.loose == nil || p.loose(l) {
					rows[i].b += before / size
					rows[i].a[k] = 1
				} else {
					rows[i].b += feasible / size
				}
			}
			var c point
			c[k] = 1
			x, ok := maximise(k+1, c, rows)
			if !ok {
				return q, math.Inf(1)
			}
			short = before - x[k]*size
			next := q
			for i, b := range p.basis {
				next = next.plus(x[i]*size, b)
			}
			if _, added := p.missed(next, short); !added {
				q = next
				break
			}
		}
		if short, _ = p.missed(q, math.Inf(1)); math.IsInf(short, 1) {
			return q, short
		}
		size *= 1e-3
	}
	return q, short
}

// span is how far apart the elevations of the floor and of the places are, m.
func (p *problem) span() float64 {
	span := p.g.relief + p.s.MinDepth + p.s.MaxDepth
	for _, at := range p.s.Places {
		for _, z := range []float64{at.Least, at.Most} {
			if !math.IsInf(z, 0) {
				span = max(span, math.Abs(z-p.g.z))
			}
		}
	}
	return span
}

// fix moves the base to a plane within the limits and takes the ways out of the basis that fixed
// points rule out.
func (p *problem) fix(q vec3) {
	p.base = q
	for _, at := range p.s.Places {
		if at.Least != at.Most {
			continue
		}
		v := vec3{1, at.At.X - p.g.at.X, at.At.Y - p.g.at.Y}
		a := p.along(v)
		n := math.Sqrt(a.dot(&a))
		if n < 1e-9 {
			continue
		}
		step := (at.Least - p.g.z - v.dot(p.base)) / (n * n)
		for i, b := range p.basis {
			p.base = p.base.plus(step*a[i], b)
		}
		// The remaining ways are at right angles to a.
		var across []vec3
		first := vec3{}
		for i, b := range p.basis {
			first = first.plus(a[i]/n, b)
		}
		seen := p.joined(nil, first)
		for range len(p.basis) - 1 {
			far, most := p.basis[0], -1.0
			for _, b := range p.basis {
				left := b
				for _, o := range seen {
					left = left.plus(-p.inner(left, o), o)
				}
				if n := p.inner(left, left); n > most {
					far, most = b, n
				}
			}
			seen = p.joined(seen, far)
			across = append(across, seen[len(seen)-1])
		}
		p.basis = across
	}
}

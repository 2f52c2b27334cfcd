package water

import (
	"pourplane/surface"
	"pourplane/surface/internal/sum"
)

// drainage is where the water of each place runs. Ends are numbered: outlets, then the lowest
// places of parts without one, then the ponds listed.
type drainage struct {
	m       *mesh
	f       *flood
	p       *ponds
	outlets int32
	first   int // number of the first pond
	lowest  map[int32]int32

	ends  []int32   // per vertex, where its water runs; unknown at first
	half  []int32   // per half-edge over which water leaves its triangle: where it runs; or divided, see parts
	parts [][]piece // of the half-edges whose water runs to several ends
	area  []sum.Sum
	level sum.Sum
}

// States of a vertex or half-edge that has no one end.
const (
	unknown = -1 - iota
	busy    // being worked out
	divided // and lower: divided - i has parts i
)

// piece is a part of a half-edge whose water runs to one end.
type piece struct {
	until float64 // share of the way along the half-edge
	end   int32
}

func newDrainage(m *mesh, f *flood, p *ponds, outlets int) *drainage {
	return &drainage{m: m, f: f, p: p, outlets: int32(outlets), lowest: map[int32]int32{}}
}

// run works out where all water runs, and sums the areas.
func (d *drainage) run() {
	m := d.m
	for i, v := range d.f.lowest {
		d.lowest[v] = d.outlets + int32(i)
	}
	d.first = int(d.outlets) + len(d.f.lowest)
	d.area = make([]sum.Sum, d.first+len(d.p.listed))
	d.ends, d.half = make([]int32, len(m.x)), make([]int32, len(m.v))
	for v := range d.ends {
		d.ends[v] = unknown
	}
	for h := range d.half {
		d.half[h] = unknown
	}
	// From low to high, so that the edges below are known. Where they are not, as in a spiral
	// down a hill, [drainage.over] follows just the part that it needs.
	taken := make([]int32, len(m.x))
	for v, i := range d.f.order {
		taken[i] = int32(v)
	}
	var pieces []piece
	for _, v := range taken {
		for _, h := range m.leaving(v) {
			for _, e := range [2]int32{h, next(next(h))} {
				if d.out(e) && d.half[e] == unknown {
					pieces = d.over(e, 0, 1, pieces[:0], 0)
				}
			}
		}
	}
	for t := range m.len() {
		pieces = d.share(t, pieces)
	}
}

// out reports whether the water of its triangle leaves over half-edge h.
func (d *drainage) out(h int32) bool { return d.m.across[next(h)] > d.m.across[h] }

// share adds the area of triangle t to the ends of its water.
func (d *drainage) share(t int, pieces []piece) []piece {
	m, h := d.m, int32(3*t)
	u := m.across[h : h+3]
	least, most := min(u[0], u[1], u[2]), max(u[0], u[1], u[2])
	if !(least < most) {
		if v := m.v[h]; d.f.wet(v) {
			d.area[d.end(v)].Add(m.area(t))
		} else {
			d.level.Add(m.area(t))
		}
		return pieces
	}
	middle := max(min(u[0], u[1]), min(max(u[0], u[1]), u[2]))
	whole := m.area(t)
	// The length down the triangle grows from 0 at the least to the most at the middle.
	upTo := func(x float64) float64 {
		if x <= middle {
			if middle == least {
				return 0
			}
			return whole * ((x - least) / (most - least)) * ((x - least) / (middle - least))
		}
		return whole - whole*((most-x)/(most-least))*((most-x)/(most-middle))
	}
	for i := range int32(3) {
		e := h + i
		if !d.out(e) {
			continue
		}
		from, to := m.across[e], m.across[next(e)]
		at := upTo(from)
		pieces = d.over(e, 0, 1, pieces[:0], 0)
		for k, p := range pieces {
			x := to
			if k < len(pieces)-1 {
				x = between(from, to, p.until)
			}
			d.area[p.end].Add(upTo(x) - at)
			at = upTo(x)
		}
	}
	return pieces
}

// maxTurns bounds how often a spiral is followed round a hilltop: what is left after that is
// nearer to the top than any survey resolves.
const maxTurns = 300

// over appends where the water runs that leaves its triangle over half-edge h between two
// shares of the way along it.
func (d *drainage) over(h int32, lo, hi float64, out []piece, turns int) []piece {
	switch s := d.half[h]; {
	case s >= 0:
		return add(out, hi, s)
	case s <= divided:
		for _, p := range d.parts[divided-s] {
			if p.until > lo {
				out = add(out, min(p.until, hi), p.end)
			}
			if p.until >= hi {
				break
			}
		}
		return out
	case s == busy:
		if turns >= maxTurns || hi-lo < 1e-12 {
			return add(out, hi, d.end(d.lower(h)))
		}
		return d.follow(h, lo, hi, out, turns+1)
	}
	d.half[h] = busy
	all := d.follow(h, 0, 1, nil, turns)
	switch len(all) {
	case 0: // rounding left no part
		d.half[h] = d.end(d.lower(h))
	case 1:
		d.half[h] = all[0].end
	default:
		d.half[h] = int32(divided - len(d.parts))
		d.parts = append(d.parts, all)
	}
	return d.over(h, lo, hi, out, turns)
}

// add appends a piece, joined to the one before if that has the same end.
func add(out []piece, until float64, end int32) []piece {
	if n := len(out); n > 0 && out[n-1].end == end {
		out[n-1].until = until
		return out
	}
	return append(out, piece{until, end})
}

// follow is [drainage.over] of a half-edge that is not known yet.
func (d *drainage) follow(h int32, lo, hi float64, out []piece, turns int) []piece {
	m := d.m
	a, b := m.v[h], m.v[next(h)]
	wetA, wetB := d.f.wet(a), d.f.wet(b)
	switch {
	case wetA && wetB:
		return add(out, hi, d.end(a))
	case wetA:
		if s := (d.f.level[a] - m.z[a]) / (m.z[b] - m.z[a]); s > lo {
			out = add(out, min(s, hi), d.end(a))
			lo = s
		}
	case wetB:
		if s := 1 - (d.f.level[b]-m.z[b])/(m.z[a]-m.z[b]); s < hi {
			if s > lo {
				out = d.dry(h, lo, s, out, turns)
			}
			return add(out, hi, d.end(b))
		}
	}
	if lo >= hi {
		return out
	}
	return d.dry(h, lo, hi, out, turns)
}

// dry is [drainage.follow] where no water stands.
func (d *drainage) dry(h int32, lo, hi float64, out []piece, turns int) []piece {
	m := d.m
	w, along := d.onto(h)
	if w < 0 {
		return add(out, hi, d.end(along))
	}
	// Shares of h count from the end of w.
	ub, ua, uc := m.across[w], m.across[next(w)], m.across[next(next(w))]
	share := func(u float64) float64 { return (u - ua) / (ub - ua) }
	n := next(w)
	for _, e := range [2]int32{n, next(n)} { // from ua up
		from, to := m.across[e], m.across[next(e)]
		if !(from < to) {
			continue
		}
		s, t := lo, hi
		if from > ua {
			s = max(s, share(uc))
		}
		if to < ub {
			t = min(t, share(uc))
		}
		if s >= t {
			continue
		}
		inE := func(s float64) float64 { return min(max((between(ua, ub, s)-from)/(to-from), 0), 1) }
		begun := len(out)
		var buffer [4]piece
		for _, p := range d.over(e, inE(s), inE(t), buffer[:0], turns) {
			out = add(out, min(max(share(between(from, to, p.until)), s), t), p.end)
		}
		if len(out) > begun || begun > 0 {
			out[len(out)-1].until = t
		}
	}
	return out
}

// onto returns the half-edge by which water that leaves over h enters the next triangle; -1 if
// it runs along an edge to a vertex instead: in a valley, along a wall, at the foot of a step.
func (d *drainage) onto(h int32) (w, along int32) {
	m := d.m
	w = m.twin[h]
	lower := d.lower(h)
	if w < 0 && m.step != nil && m.step[h] >= 0 {
		g := m.step[h]
		a, b, c, e := m.v[h], m.v[next(h)], m.v[next(g)], m.v[g]
		if m.z[c] <= m.z[a] && m.z[e] <= m.z[b] {
			w = g
			lower = d.lower(g)
		}
	}
	// w runs against h; its triangle takes water in over it if it falls from it.
	if w < 0 || !(m.across[next(w)] < m.across[w]) {
		return -1, lower
	}
	return w, lower
}

// lower returns the lower end of an edge; of a level one the end that drains first.
func (d *drainage) lower(h int32) int32 {
	a, b := d.m.v[h], d.m.v[next(h)]
	if za, zb := d.m.z[a], d.m.z[b]; za < zb || za == zb && d.f.order[a] < d.f.order[b] {
		return a
	}
	return b
}

// end returns where the water at vertex v runs.
func (d *drainage) end(v int32) int32 {
	switch e := d.ends[v]; {
	case e >= 0:
		return e
	case e == busy && !d.f.wet(v): // only where rounding sends water uphill
		return d.drift(v)
	}
	d.ends[v] = busy
	d.ends[v] = d.find(v)
	return d.ends[v]
}

func (d *drainage) find(v int32) int32 {
	if i := d.p.of[v]; i >= 0 {
		q := d.p.all[i]
		if q.listed >= 0 {
			return int32(d.first) + q.listed
		}
		return d.onward(q.root)
	}
	if end, is := d.stop(v); is {
		return end
	}
	switch w, e, s := d.leave(v); {
	case w >= 0:
		return d.end(w)
	case e >= 0:
		return d.point(e, s)
	}
	return d.drift(v)
}

// stop returns the end at a dry vertex, if there is one.
func (d *drainage) stop(v int32) (end int32, is bool) {
	if i := d.f.outlet[v]; i >= 0 {
		return i, true
	}
	end, is = d.lowest[v]
	return end, is
}

// onward returns where water runs over the sill of the pond that was reached by root.
func (d *drainage) onward(root int32) int32 {
	if d.f.from[root] < 0 {
		return d.f.outlet[root]
	}
	return d.drift(d.f.from[root])
}

// drift returns where water runs that goes from v the way by which the filled surface reached
// it, until it falls.
func (d *drainage) drift(v int32) int32 {
	for {
		if end, is := d.stop(v); is {
			return end
		}
		w := d.f.from[v]
		if d.f.wet(w) || d.m.z[w] < d.m.z[v] {
			return d.end(w)
		}
		v = w
	}
}

// point returns where water runs that leaves its triangle over half-edge h, a share s of the
// way along it.
func (d *drainage) point(h int32, s float64) int32 {
	for range maxCrossed {
		if k := d.half[h]; k >= 0 {
			return k
		} else if k <= divided {
			for _, p := range d.parts[divided-k] {
				if s <= p.until {
					return p.end
				}
			}
		}
		v, e, t := d.cross(h, s)
		if v >= 0 {
			return d.end(v)
		}
		h, s = e, t
	}
	return d.end(d.lower(h))
}

// maxCrossed is how many triangles water may cross between two vertices: more than there are
// in a row on any floor. Only rounding on a nearly level part can send it in a circle.
const maxCrossed = 100_000

// cross follows water that leaves its triangle over half-edge h, a share s of the way along it:
// to a vertex v, or through the next triangle to half-edge e and a share t of the way along it.
// In a pond it goes to a vertex under water.
func (d *drainage) cross(h int32, s float64) (v, e int32, t float64) {
	m := d.m
	z := between(m.z[m.v[h]], m.z[m.v[next(h)]], s)
	for _, v := range [2]int32{m.v[h], m.v[next(h)]} {
		if d.f.wet(v) && z <= d.f.level[v] {
			return v, -1, 0
		}
	}
	w, along := d.onto(h)
	if w < 0 {
		return along, -1, 0
	}
	u := between(m.across[next(w)], m.across[w], s)
	n := next(w)
	if !(m.across[n] < m.across[next(n)]) || u > m.across[next(n)] && m.across[next(n)] < m.across[next(next(n))] {
		n = next(n)
	}
	from, to := m.across[n], m.across[next(n)]
	return -1, n, min(max((u-from)/(to-from), 0), 1)
}

// leave returns how water leaves a dry vertex by the steepest descent: along an edge to vertex
// w, or through a triangle to half-edge e, a share s of the way along it. Both are -1 where
// nothing is lower.
func (d *drainage) leave(v int32) (w, e int32, s float64) {
	m := d.m
	w, e = -1, -1
	steepest, toward := 0.0, surface.Vec{}
	better := func(fall float64, p surface.Vec) bool {
		if fall > steepest || fall == steepest && fall > 0 && p.Less(toward) {
			steepest, toward = fall, p
			return true
		}
		return false
	}
	if m.pairs != nil {
		for _, p := range m.pairs[v] {
			if m.z[p] < m.z[v] && (w < 0 || m.z[p] < m.z[w]) {
				w = p // over the step
			}
		}
		if w >= 0 {
			return w, -1, 0
		}
	}
	edge := func(p int32) {
		if m.z[p] < m.z[v] && better((m.z[v]-m.z[p])/m.local(v).Distance(m.local(p)), m.local(p)) {
			w, e = p, -1
		}
	}
	for _, h := range m.leaving(v) {
		n := next(h)
		edge(m.v[n])
		if last := next(n); m.twin[last] < 0 {
			edge(m.v[last])
		}
		if from, at, to := m.across[n], m.across[h], m.across[next(n)]; from < at && at < to && min(m.z[m.v[n]], m.z[m.v[next(n)]]) < m.z[v] {
			share := (at - from) / (to - from)
			a, b := m.v[n], m.v[next(n)]
			p := surface.Vec{X: between(m.x[a], m.x[b], share), Y: between(m.y[a], m.y[b], share)}
			if better(m.fall(int(h/3)), p) {
				w, e, s = -1, n, share
			}
		}
	}
	return w, e, s
}

// target names an end.
func (d *drainage) target(end int32) Target {
	switch i := int(end); {
	case end < 0:
		return Target{}
	case i < int(d.outlets):
		return Target{ToOutlet, i}
	case i < d.first:
		return Target{ToLowest, i - int(d.outlets)}
	default:
		return Target{ToPond, i - d.first}
	}
}

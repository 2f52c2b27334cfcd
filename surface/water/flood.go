package water

import (
	"cmp"
	"slices"

	"pourplane/surface/internal/sum"
)

// flood is the filled surface. It grows from the outlets, always over the lowest place next.
type flood struct {
	m      *mesh
	level  []float64 // m, per vertex: of the water, or of the floor where it is dry
	from   []int32   // per vertex: the one from which it was reached, -1 at the start
	order  []int32   // per vertex: when it was taken
	outlet []int32   // per vertex: the outlet there, -1 for none
	lowest []int32   // vertices where parts without an outlet are lowest
	begun  []int32   // when each of those parts was begun
	heap   []entry
}

// entry is a vertex reached and not yet taken.
type entry struct {
	level float64
	v     int32
}

// newFlood fills m from outlets at vertices; parts without an outlet from their lowest place.
func newFlood(m *mesh, at []int32, outlets []Drained) *flood {
	n := len(m.x)
	f := &flood{m: m, level: make([]float64, n), from: make([]int32, n), order: make([]int32, n), outlet: make([]int32, n)}
	reached := make([]bool, n)
	for v := range n {
		f.from[v], f.outlet[v], f.order[v] = -1, -1, -1
	}
	// Of several outlets at a vertex the lowest takes the water, then the first in name and order.
	first := make([]int32, len(at))
	for i := range first {
		first[i] = int32(i)
	}
	slices.SortStableFunc(first, func(i, j int32) int {
		return cmp.Or(cmp.Compare(outlets[i].Level, outlets[j].Level), cmp.Compare(outlets[i].Name, outlets[j].Name))
	})
	for _, i := range first {
		v := at[i]
		if reached[v] {
			continue
		}
		reached[v] = true
		f.outlet[v], f.level[v] = i, outlets[i].Level
		f.push(entry{f.level[v], v})
	}
	taken := int32(0)
	spread := func() {
		for len(f.heap) > 0 {
			e := f.pop()
			if f.order[e.v] >= 0 {
				continue // an outlet that was reached below its level
			}
			f.order[e.v] = taken
			taken++
			m.neighbours(e.v, func(w int32) {
				level := max(m.z[w], e.level)
				if reached[w] {
					if f.outlet[w] < 0 || f.order[w] >= 0 || level >= f.level[w] {
						return
					}
					f.outlet[w] = -1 // the water never gets as high as it
				}
				reached[w] = true
				f.from[w], f.level[w] = e.v, level
				f.push(entry{f.level[w], w})
			})
		}
	}
	spread()
	for int(taken) < n {
		low := int32(-1)
		for v := range int32(n) {
			if !reached[v] && (low < 0 || m.z[v] < m.z[low] || m.z[v] == m.z[low] && m.before(v, low)) {
				low = v
			}
		}
		reached[low] = true
		f.level[low] = m.z[low]
		f.lowest, f.begun = append(f.lowest, low), append(f.begun, taken)
		f.push(entry{m.z[low], low})
		spread()
	}
	return f
}

// sooner reports whether a is taken before b.
func (f *flood) sooner(a, b entry) bool {
	if a.level != b.level {
		return a.level < b.level
	}
	return f.m.before(a.v, b.v)
}

func (f *flood) push(e entry) {
	f.heap = append(f.heap, e)
	i := len(f.heap) - 1
	for i > 0 {
		up := (i - 1) / 4
		if !f.sooner(e, f.heap[up]) {
			break
		}
		f.heap[i] = f.heap[up]
		i = up
	}
	f.heap[i] = e
}

func (f *flood) pop() entry {
	top := f.heap[0]
	n := len(f.heap) - 1
	e := f.heap[n]
	f.heap = f.heap[:n]
	for i := 0; n > 0; {
		least := -1
		for c := 4*i + 1; c < min(4*i+5, n); c++ {
			if least < 0 || f.sooner(f.heap[c], f.heap[least]) {
				least = c
			}
		}
		if least < 0 || !f.sooner(f.heap[least], e) {
			f.heap[i] = e
			break
		}
		f.heap[i] = f.heap[least]
		i = least
	}
	return top
}

// wet reports whether water stands over vertex v.
func (f *flood) wet(v int32) bool { return f.level[v] > f.m.z[v] }

// part returns the plan area of a part without an outlet, m².
func (f *flood) part(i int) float64 {
	to := int32(len(f.order))
	if i+1 < len(f.begun) {
		to = f.begun[i+1]
	}
	var s sum.Sum
	for t := range f.m.len() {
		if n := f.order[f.m.v[3*t]]; n >= f.begun[i] && n < to {
			s.Add(f.m.area(t))
		}
	}
	return s.Value()
}

// ponds are the places under water.
type ponds struct {
	of          []int32 // per vertex: its pond, -1 for none
	all         []*found
	listed      []*found // those not shallow, the largest volume first
	shallow     int
	shallowArea float64
}

// found is a pond and how it was reached.
type found struct {
	Pond
	root         int32 // the vertex by which it was reached first
	listed       int32 // index among those listed, -1 for a shallow one
	deepest      int32
	over         *found // of the lowest place without an outlet: the pond that it joins; else nil
	gone         bool   // under the water of another
	area, volume sum.Sum
}

// depth returns the depth of q, m.
func (q *found) depth(f *flood) float64 { return f.level[q.root] - f.m.z[q.deepest] }

// fillLowest makes a pond of the lowest place of part i without an outlet, up to the lowest
// sill of the ponds that are not shallow there: it joins that pond next. Without one it has no
// level to stop at, and there is none.
func (p *ponds) fillLowest(f *flood, i int, shallow float64) {
	m := f.m
	to := int32(len(f.order))
	if i+1 < len(f.begun) {
		to = f.begun[i+1]
	}
	var first *found
	for _, q := range p.all {
		if n := f.order[q.root]; q.over != nil || n < f.begun[i] || n >= to || q.depth(f) < shallow {
			continue
		}
		if first == nil || f.level[q.root] < f.level[first.root] || f.level[q.root] == f.level[first.root] && f.order[q.root] < f.order[first.root] {
			first = q
		}
	}
	low := f.lowest[i]
	if first == nil || !(f.level[first.root] > m.z[low]) || f.level[first.root]-m.z[low] < shallow {
		return
	}
	level, id := f.level[first.root], int32(len(p.all))
	p.all = append(p.all, &found{root: low, deepest: low, listed: -1, over: first})
	take := func(v int32) {
		if j := p.of[v]; j >= 0 {
			p.all[j].gone = true
		}
		p.of[v], f.level[v] = id, level
	}
	take(low)
	for queue := []int32{low}; len(queue) > 0; {
		u := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		m.neighbours(u, func(w int32) {
			if p.of[w] != id && m.z[w] < level {
				take(w)
				queue = append(queue, w)
			}
		})
	}
}

// ponds finds the connected places under water, and measures them.
func (f *flood) ponds(shallow float64) *ponds {
	m := f.m
	p := &ponds{of: make([]int32, len(m.x))}
	var queue []int32
	for v := range p.of {
		p.of[v] = -1
	}
	for v := range int32(len(m.x)) {
		if !f.wet(v) || p.of[v] >= 0 {
			continue
		}
		id := int32(len(p.all))
		q := &found{root: v, deepest: v, listed: -1}
		p.all = append(p.all, q)
		p.of[v] = id
		queue = append(queue[:0], v)
		for len(queue) > 0 {
			u := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			if f.order[u] < f.order[q.root] {
				q.root = u
			}
			if m.z[u] < m.z[q.deepest] || m.z[u] == m.z[q.deepest] && m.before(u, q.deepest) {
				q.deepest = u
			}
			m.neighbours(u, func(w int32) {
				if f.wet(w) && p.of[w] < 0 {
					p.of[w] = id
					queue = append(queue, w)
				}
			})
		}
	}
	for i := range f.lowest {
		p.fillLowest(f, i, shallow)
	}
	for t := range m.len() {
		for _, v := range m.v[3*t : 3*t+3] {
			if i := p.of[v]; i >= 0 {
				q := p.all[i]
				area, volume := m.under(t, f.level[v])
				q.area.Add(area)
				for _, x := range volume {
					q.volume.Add(x)
				}
				break
			}
		}
	}
	p.close(f, shallow)
	return p
}

// close works out the ponds and lists those not shallow.
func (p *ponds) close(f *flood, shallow float64) {
	m := f.m
	var little sum.Sum
	for _, q := range p.all {
		if q.gone {
			continue
		}
		q.SpillZ = f.level[q.root]
		sill := q.root // an outlet whose level is over the floor
		if q.over != nil {
			sill = q.over.root
		}
		if f.from[sill] >= 0 {
			sill = f.from[sill]
		}
		q.At, q.SpillsAt = m.at(q.deepest), m.at(sill)
		q.Depth = q.SpillZ - m.z[q.deepest]
		q.Area, q.Volume = q.area.Value(), q.volume.Value()
		if q.Depth < shallow {
			p.shallow++
			little.Add(q.Area)
			continue
		}
		p.listed = append(p.listed, q)
	}
	p.shallowArea = little.Value()
	slices.SortFunc(p.listed, func(a, b *found) int {
		return cmp.Or(cmp.Compare(b.Volume, a.Volume), cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.At.Y, b.At.Y), cmp.Compare(a.SpillZ, b.SpillZ))
	})
	for i, q := range p.listed {
		q.listed = int32(i)
	}
}

// under returns the part of triangle t below a level: its area, m², and the volume from it up
// to the level, m³, as terms that are not negative.
func (m *mesh) under(t int, level float64) (area float64, volume [2]float64) {
	a, b, c := m.fromWest(t)
	whole := m.area(t)
	// Turn so that a is the one corner below, or c the one above.
	for range 2 {
		if wa, wb, wc := m.z[a] < level, m.z[b] < level, m.z[c] < level; wa && !wb && !wc || wa && wb {
			break
		}
		a, b, c = b, c, a
	}
	da, db, dc := level-m.z[a], level-m.z[b], level-m.z[c]
	switch {
	case da <= 0:
		return 0, volume
	case db <= 0: // one corner
		area = whole * (da / (da - db)) * (da / (da - dc))
		return area, [2]float64{area * da / 3, 0}
	case dc >= 0: // all
		return whole, [2]float64{whole * (da + db + dc) / 3, 0}
	}
	// Two corners: the triangle from a to b to the water's edge on the side of b, and the one
	// from a to the water's edge on both sides.
	ofB := db / (db - dc)
	near := whole * ofB
	far := whole * (1 - ofB) * (da / (da - dc))
	return near + far, [2]float64{near * (da + db) / 3, far * da / 3}
}

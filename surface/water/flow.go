package water

import (
	"maps"
	"math"
	"slices"

	"pourplane/surface"
)

// Flow is the way of water from a place.
type Flow struct {
	Line []surface.Vec // on the grid of the survey, downhill
	To   Target        // where it ends
}

// Flow follows water from a place by steepest descent until it reaches an outlet, a pond that
// is listed, a level triangle or the lowest place of a part without an outlet; false off the floor. It crosses
// ponds that are not listed, and level edges, the way by which the filled surface reached them:
// their sill comes next.
func (w *Water) Flow(p surface.Vec) (Flow, bool) {
	p = surface.Vec{X: p.X - w.m.origin.X, Y: p.Y - w.m.origin.Y}
	t, on := w.m.triangleAt(p)
	if !on {
		return Flow{}, false
	}
	return w.d.from(t, p), true
}

// Flows follows water from places on a square grid over the floor, step metres apart, in the
// order of the places.
func (w *Water) Flows(step float64) []Flow {
	if !(step > 0) {
		return nil
	}
	m := w.m
	held := map[[2]int]int32{}
	for t := range m.len() {
		a, b, c := m.v[3*t], m.v[3*t+1], m.v[3*t+2]
		x0, x1 := min(m.x[a], m.x[b], m.x[c])/step, max(m.x[a], m.x[b], m.x[c])/step
		y0, y1 := min(m.y[a], m.y[b], m.y[c])/step, max(m.y[a], m.y[b], m.y[c])/step
		for i := int(math.Ceil(x0 - 0.5)); float64(i)+0.5 <= x1; i++ {
			for j := int(math.Ceil(y0 - 0.5)); float64(j)+0.5 <= y1; j++ {
				p := surface.Vec{X: (float64(i) + 0.5) * step, Y: (float64(j) + 0.5) * step}
				if m.side(a, b, p) < 0 || m.side(b, c, p) < 0 || m.side(c, a, p) < 0 {
					continue
				}
				if u, is := held[[2]int{i, j}]; !is || m.firstBy(t, int(u)) {
					held[[2]int{i, j}] = int32(t)
				}
			}
		}
	}
	var out []Flow
	keys := slices.SortedFunc(maps.Keys(held), func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
	for _, k := range keys {
		p := surface.Vec{X: (float64(k[0]) + 0.5) * step, Y: (float64(k[1]) + 0.5) * step}
		out = append(out, w.d.from(int(held[k]), p))
	}
	return out
}

// way is a flow line as it grows.
type way struct {
	d    *drainage
	flow Flow
}

// reach appends a place, m from the origin.
func (w *way) reach(p surface.Vec) {
	p = w.d.m.site(p)
	if n := len(w.flow.Line); n == 0 || w.flow.Line[n-1] != p {
		w.flow.Line = append(w.flow.Line, p)
	}
}

// end ends the line.
func (w *way) end(t Target) Flow {
	w.flow.To = t
	return w.flow
}

// from follows water from a place in triangle t.
func (d *drainage) from(t int, p surface.Vec) Flow {
	m, w := d.m, &way{d: d}
	w.reach(p)
	h := int32(3 * t)
	u := m.across[h : h+3]
	if least, most := min(u[0], u[1], u[2]), max(u[0], u[1], u[2]); !(least < most) {
		if d.f.wet(m.v[h]) {
			return w.fromVertex(m.v[h])
		}
		return w.end(Target{Kind: OnTheFlat})
	}
	if q := d.pondAt(t, p); q != nil {
		return w.fromPond(q)
	}
	dx, dy, _ := m.descent(t)
	o, _, _ := m.fromWest(t)
	here := float64(dx*(p.Y-m.y[o])) - float64(dy*(p.X-m.x[o]))
	for e := h; e < h+3; e++ {
		from, to := m.across[e], m.across[next(e)]
		if from < to && from <= here && here <= to {
			return w.over(e, (here-from)/(to-from))
		}
	}
	// Rounding put the place outside the triangle: the corner it is nearest to.
	return w.fromVertex(d.lower(h))
}

// pondAt returns the pond over a place in triangle t, nil for none.
func (d *drainage) pondAt(t int, p surface.Vec) *found {
	m := d.m
	for _, v := range m.v[3*t : 3*t+3] {
		if i := d.p.of[v]; i >= 0 && m.heightIn(t, p) < d.f.level[v] {
			return d.p.all[i]
		}
	}
	return nil
}

// over follows water that leaves its triangle over half-edge h, a share s of the way along it.
func (w *way) over(h int32, s float64) Flow {
	d, m := w.d, w.d.m
	for range maxCrossed {
		a, b := m.v[h], m.v[next(h)]
		w.reach(surface.Vec{X: between(m.x[a], m.x[b], s), Y: between(m.y[a], m.y[b], s)})
		v, e, t := d.cross(h, s)
		if v >= 0 {
			if !d.f.wet(v) {
				w.reach(m.local(v))
			}
			return w.fromVertex(v)
		}
		h, s = e, t
	}
	return w.fromVertex(d.lower(h))
}

// fromPond follows water over the sill of a pond, if it is not listed.
func (w *way) fromPond(q *found) Flow {
	if q.listed >= 0 {
		return w.end(Target{ToPond, int(q.listed)})
	}
	sill := w.d.f.from[q.root]
	if sill < 0 {
		w.reach(w.d.m.local(q.root))
		return w.end(Target{ToOutlet, int(w.d.f.outlet[q.root])})
	}
	w.reach(w.d.m.local(sill))
	return w.drift(sill)
}

// fromVertex follows water from vertex v.
func (w *way) fromVertex(v int32) Flow {
	d := w.d
	if i := d.p.of[v]; i >= 0 {
		return w.fromPond(d.p.all[i])
	}
	if end, is := d.stop(v); is {
		return w.end(d.target(end))
	}
	if len(w.flow.Line) > maxCrossed {
		return w.end(d.target(d.end(v)))
	}
	u, e, s := d.leave(v)
	switch {
	case u >= 0:
		if !d.f.wet(u) {
			w.reach(d.m.local(u))
		}
		return w.fromVertex(u)
	case e >= 0:
		return w.over(e, s)
	}
	return w.drift(v)
}

// drift follows water from v the way by which the filled surface reached it, until it falls.
func (w *way) drift(v int32) Flow {
	d := w.d
	for {
		if end, is := d.stop(v); is {
			return w.end(d.target(end))
		}
		u := d.f.from[v]
		if d.f.wet(u) {
			return w.fromVertex(u)
		}
		w.reach(d.m.local(u))
		if d.m.z[u] < d.m.z[v] {
			return w.fromVertex(u)
		}
		v = u
	}
}

package water

import (
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
)

// Deeper returns the area under more than a depth of water, m, of the ponds listed, m².
func (w *Water) Deeper(depth float64) float64 {
	var area sum.Sum
	for t := range w.m.len() {
		if level, wet := w.d.levelOver(t); wet {
			a, _ := w.m.under(t, level-depth)
			area.Add(a)
		}
	}
	return area.Value()
}

// levelOver returns the level of the listed pond over triangle t, if there is one.
func (d *drainage) levelOver(t int) (level float64, wet bool) {
	for _, v := range d.m.v[3*t : 3*t+3] {
		if i := d.p.of[v]; i >= 0 && d.p.all[i].listed >= 0 {
			return d.f.level[v], true
		}
	}
	return 0, false
}

// Under returns the edges of the floor under more than a depth of water, m, of the ponds
// listed: loops with the water on their left.
func (w *Water) Under(depth float64) [][]surface.Vec {
	var edges [][2]surface.Vec
	for t := range w.m.len() {
		if level, wet := w.d.levelOver(t); wet {
			edges = w.m.cutEdges(edges, t, level-depth)
		}
	}
	return w.m.loops(edges)
}

// cutEdges appends the edges of the part of triangle t below a level that no neighbour has:
// the water's edge, and walls.
func (m *mesh) cutEdges(out [][2]surface.Vec, t int, level float64) [][2]surface.Vec {
	var leaves, enters surface.Vec // where the edge of the triangle comes out of the water, and goes into it
	cut := false
	for h := int32(3 * t); h < int32(3*t+3); h++ {
		a, b := m.v[h], m.v[next(h)]
		from, to := m.local(a), m.local(b)
		switch wetA, wetB := m.z[a] < level, m.z[b] < level; {
		case !wetA && !wetB:
			continue
		case wetA && !wetB:
			to = m.shore(a, b, level)
			leaves, cut = to, true
		case !wetA:
			from = m.shore(a, b, level)
			enters = from
		}
		if m.twin[h] < 0 && from != to {
			out = append(out, [2]surface.Vec{from, to})
		}
	}
	if cut && leaves != enters {
		out = append(out, [2]surface.Vec{leaves, enters})
	}
	return out
}

// shore returns the place between two vertices at a level, the same from both sides.
func (m *mesh) shore(a, b int32, level float64) surface.Vec {
	if m.before(b, a) {
		a, b = b, a
	}
	switch s := (level - m.z[a]) / (m.z[b] - m.z[a]); {
	case s <= 0:
		return m.local(a)
	case s >= 1:
		return m.local(b)
	default:
		return surface.Vec{X: between(m.x[a], m.x[b], s), Y: between(m.y[a], m.y[b], s)}
	}
}

// loops chains edges, each of which starts where another ends.
func (m *mesh) loops(edges [][2]surface.Vec) [][]surface.Vec {
	slices.SortFunc(edges, func(a, b [2]surface.Vec) int {
		for i := range a {
			if a[i] != b[i] {
				if a[i].Less(b[i]) {
					return -1
				}
				return 1
			}
		}
		return 0
	})
	from := map[surface.Vec][]int{}
	for i := len(edges) - 1; i >= 0; i-- {
		from[edges[i][0]] = append(from[edges[i][0]], i)
	}
	used := make([]bool, len(edges))
	var out [][]surface.Vec
	for i := range edges {
		if used[i] {
			continue
		}
		var loop []surface.Vec
		for k := i; ; {
			used[k] = true
			loop = append(loop, m.site(edges[k][0]))
			end := edges[k][1]
			next := from[end]
			for len(next) > 0 && used[next[len(next)-1]] {
				next = next[:len(next)-1]
			}
			from[end] = next
			if end == edges[i][0] || len(next) == 0 {
				break
			}
			k = next[len(next)-1]
		}
		out = append(out, loop)
	}
	return out
}

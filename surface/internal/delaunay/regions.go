package delaunay

import (
	"cmp"
	"slices"
)

// Inside reports, per triangle, whether it is inside the edges with any bit of mark: each
// such edge crossed on the way in from outside the hull changes outside to inside or back.
// They must form closed lines, as rings forced with [Toggle] do; otherwise the answer
// depends on the way. Ghosts are outside.
func (m *Mesh) Inside(mark uint8) []bool {
	// One array for both what is known and whether it is known: half as much to load.
	const unknown, out, in = 0, 1, 2
	state := make([]uint8, m.Len())
	var stack []int32
	for t := range int32(m.Len()) {
		if m.Ghost(t) {
			// No forced edge ends at infinity, so all ghosts are outside.
			state[t] = out
			stack = append(stack, t)
		}
	}
	for len(stack) > 0 {
		t := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		here := state[t]
		for h := 3 * t; h < 3*t+3; h++ {
			n := m.Twin[h] / 3
			if state[n] != unknown {
				continue
			}
			state[n] = here
			if m.Mark[h]&mark != 0 {
				state[n] = out + in - here
			}
			stack = append(stack, n)
		}
	}
	inside := make([]bool, len(state))
	for t, s := range state {
		inside[t] = s == in
	}
	return inside
}

// InsideOf is [Mesh.Inside] for lines of edges with the inside on their left. It visits only
// what is outside them, which on most floors is little.
func (m *Mesh) InsideOf(mark uint8, edges [][2]int32) []bool {
	outside := make([]bool, m.Len())
	var stack []int32
	visit := func(t int32) {
		if !outside[t] {
			outside[t] = true
			stack = append(stack, t)
		}
	}
	first := int32(slices.Index(m.V, m.Inf()))
	for h, all := first, false; !all; all = h == first {
		visit(h / 3) // a ghost; the next one starts where its edge ends
		h = Next(m.Twin[h])
	}
	for _, e := range edges {
		h := m.edge(e[0], e[1])
		if h < 0 { // it is in pieces
			return m.Inside(mark)
		}
		visit(m.Twin[h] / 3)
	}
	for len(stack) > 0 {
		t := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		for h := 3 * t; h < 3*t+3; h++ {
			if m.Mark[h]&mark == 0 {
				visit(m.Twin[h] / 3)
			}
		}
	}
	// Only one answer has a change at each edge and at no other: if this is it, it is the
	// one that Inside finds.
	for h, s := range m.Mark {
		if s&mark != 0 && outside[h/3] == outside[m.Twin[h]/3] {
			return m.Inside(mark)
		}
	}
	for t, out := range outside {
		outside[t] = !out
	}
	return outside
}

// edge returns the half-edge from vertex a to vertex b, -1 if there is none. An edge has been
// forced.
func (m *Mesh) edge(a, b int32) int32 {
	if m.out == nil {
		return -1
	}
	first := m.out[a]
	for h := first; ; {
		if m.V[Next(h)] == b {
			return h
		}
		if h = m.Twin[Prev(h)]; h == first {
			return -1
		}
	}
}

// Label numbers the connected parts of the triangles inside; an edge with any bit of barrier
// separates its two triangles. It returns the number of each triangle's part, -1 for one not
// inside, and the number of parts. Parts are numbered from west to east, then from south to
// north, by their first triangle in that order.
func (m *Mesh) Label(barrier uint8, inside []bool) (label []int32, n int) {
	label = make([]int32, m.Len())
	for t := range label {
		label[t] = -1
	}
	var first [][3]int32 // per part found so far: its westernmost triangle
	var stack []int32
	for seed := range int32(m.Len()) {
		if !inside[seed] || label[seed] >= 0 {
			continue
		}
		part := int32(len(first))
		label[seed] = part
		west := m.corners(seed)
		stack = append(stack, seed)
		for len(stack) > 0 {
			t := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if c := m.corners(t); m.compare(c, west) < 0 {
				west = c
			}
			for h := 3 * t; h < 3*t+3; h++ {
				if n := m.Twin[h] / 3; inside[n] && label[n] < 0 && m.Mark[h]&barrier == 0 {
					label[n] = part
					stack = append(stack, n)
				}
			}
		}
		first = append(first, west)
	}
	order := make([]int32, len(first))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int { return m.compare(first[a], first[b]) })
	number := make([]int32, len(first))
	for i, o := range order {
		number[o] = int32(i)
	}
	for t, l := range label {
		if l >= 0 {
			label[t] = number[l]
		}
	}
	return label, len(first)
}

// corners returns the corners of triangle t, the westernmost, then southernmost first.
func (m *Mesh) corners(t int32) [3]int32 {
	a, b, c := m.V[3*t], m.V[3*t+1], m.V[3*t+2]
	switch {
	case m.less(b, a) && m.less(b, c):
		return [3]int32{b, c, a}
	case m.less(c, a) && m.less(c, b):
		return [3]int32{c, a, b}
	}
	return [3]int32{a, b, c}
}

// compare orders triangles by their corners.
func (m *Mesh) compare(a, b [3]int32) int {
	for i := range a {
		if a[i] != b[i] {
			return cmp.Or(cmp.Compare(m.X[a[i]], m.X[b[i]]), cmp.Compare(m.Y[a[i]], m.Y[b[i]]))
		}
	}
	return 0
}

package plan

import "pourplane/surface/internal/delaunay"

// Largest returns the largest triangle of each of n parts of m; label is the part of each
// triangle, -1 for none. The others of a part may be a nanometre wide, and then on the wrong
// side of a line with rounded ends.
func Largest(m *delaunay.Mesh, label []int32, n int) []int {
	largest := make([]int, n)
	size := make([]float64, n)
	for t, l := range label {
		if l < 0 {
			continue
		}
		a, c, d := m.V[3*t], m.V[3*t+1], m.V[3*t+2]
		area := (m.X[c]-m.X[a])*(m.Y[d]-m.Y[a]) - (m.Y[c]-m.Y[a])*(m.X[d]-m.X[a])
		if area > size[l] {
			largest[l], size[l] = t, area
		}
	}
	return largest
}

// TripleMiddle returns three times the middle of triangle t.
func TripleMiddle(m *delaunay.Mesh, t int) Vec {
	var mid Vec
	for _, v := range m.V[3*t : 3*t+3] {
		mid.X += m.X[v]
		mid.Y += m.Y[v]
	}
	return mid
}

// Borders are the edges of the regions that a plan is divided into.
type Borders struct {
	Loops [][][]int32 // per region: closed lines of vertices, the region on their left, one of the outer ones first
	Walls [][2]int32  // with a region on one side
	Steps [][2]int32  // with a region on either side
	Loose [][2]int32  // forced edges with the same region on both sides
}

// FindBorders returns the borders of n regions; region is that of each triangle of m, -1 for
// none. Loose edges are those forced with any bit of mark.
func FindBorders(m *delaunay.Mesh, region []int32, n int, mark uint8) Borders {
	out := Borders{Loops: make([][][]int32, n)}
	of := func(h int32) int32 { return region[h/3] }
	seen := make([]bool, len(m.V))
	for h := range int32(len(m.V)) {
		r, other := of(h), of(m.Twin[h])
		if r < 0 || other == r {
			continue
		}
		switch e := [2]int32{m.V[h], m.V[delaunay.Next(h)]}; {
		case other < 0:
			out.Walls = append(out.Walls, e)
		case other < r:
			out.Steps = append(out.Steps, e)
		}
		if seen[h] {
			continue
		}
		var loop []int32
		for g := h; !seen[g]; {
			seen[g] = true
			loop = append(loop, m.V[g])
			for g = delaunay.Next(g); of(m.Twin[g]) == r; {
				g = delaunay.Next(m.Twin[g])
			}
		}
		out.Loops[r] = append(out.Loops[r], loop)
	}
	for _, loops := range out.Loops {
		for i, loop := range loops {
			if turning(m, loop) > 0 {
				loops[0], loops[i] = loops[i], loops[0]
				break
			}
		}
	}
	for h := range int32(len(m.V)) {
		if m.Mark[h]&mark != 0 && h < m.Twin[h] && of(h) >= 0 && of(h) == of(m.Twin[h]) {
			out.Loose = append(out.Loose, [2]int32{m.V[h], m.V[delaunay.Next(h)]})
		}
	}
	return out
}

// turning returns the sign of the area inside a loop.
func turning(m *delaunay.Mesh, loop []int32) int {
	at := func(i int) Vec {
		v := loop[(i+len(loop))%len(loop)]
		return Vec{m.X[v], m.Y[v]}
	}
	low := 0
	for i := range loop {
		if at(i).Less(at(low)) {
			low = i
		}
	}
	return Orient(at(low-1), at(low), at(low+1))
}

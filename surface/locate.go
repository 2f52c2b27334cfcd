package surface

import (
	"math"
	"slices"

	"pourplane/surface/internal/exact"
)

// Locator finds the triangle at a place. It divides the plan into square cells, about one
// per two triangles; each lists the triangles whose box overlaps it.
type Locator struct {
	t          *TIN
	x, y       float64 // corner of the first cell, m from the origin of t
	cell       float64 // m
	wide, high int
	first      []int32 // start of each cell's list in list
	list       []int32
}

// Locator returns a Locator on t, which must not change afterwards.
func (t *TIN) Locator() *Locator {
	l := &Locator{t: t, x: slices.Min(t.X), y: slices.Min(t.Y)}
	w, h := slices.Max(t.X)-l.x, slices.Max(t.Y)-l.y
	l.cell = math.Sqrt(2 * w * h / float64(t.Len()))
	l.wide, l.high = int(w/l.cell)+1, int(h/l.cell)+1
	l.first = make([]int32, l.wide*l.high+1)
	each := func(visit func(cell int, triangle int32)) {
		for k := range int32(t.Len()) {
			v := t.V[3*k : 3*k+3]
			i0, j0 := l.column(min(t.X[v[0]], t.X[v[1]], t.X[v[2]]), min(t.Y[v[0]], t.Y[v[1]], t.Y[v[2]]))
			i1, j1 := l.column(max(t.X[v[0]], t.X[v[1]], t.X[v[2]]), max(t.Y[v[0]], t.Y[v[1]], t.Y[v[2]]))
			for j := j0; j <= j1; j++ {
				for i := i0; i <= i1; i++ {
					visit(j*l.wide+i, k)
				}
			}
		}
	}
	each(func(cell int, _ int32) { l.first[cell+1]++ })
	for i := 1; i < len(l.first); i++ {
		l.first[i] += l.first[i-1]
	}
	l.list = make([]int32, l.first[len(l.first)-1])
	next := slices.Clone(l.first)
	each(func(cell int, k int32) {
		l.list[next[cell]] = k
		next[cell]++
	})
	return l
}

func (l *Locator) column(x, y float64) (i, j int) {
	i, j = int((x-l.x)/l.cell), int((y-l.y)/l.cell)
	return min(max(i, 0), l.wide-1), min(max(j, 0), l.high-1)
}

// At returns the elevation of the surface at a place, m, and the triangle used; false off
// the surface. Which triangle holds a place is decided exactly. A place that rounding put
// off the surface, by up to a micrometre, uses the nearest triangle.
//
// Neighbours agree on a shared place except for the last bits. Of several triangles the one
// with the westernmost corners is used, so that the answer does not depend on how triangles
// are numbered.
func (l *Locator) At(p Vec) (z float64, triangle int, ok bool) {
	const near = 1e-6 // m
	t := l.t
	x, y := p.X-t.Origin.X, p.Y-t.Origin.Y
	if math.IsNaN(x) || math.IsNaN(y) {
		return 0, 0, false
	}
	i, j := l.column(x, y)
	c := j*l.wide + i
	var best [3]int32
	found, off := int32(-1), near
	for _, k := range l.list[l.first[c]:l.first[c+1]] {
		v := [3]int32(t.V[3*k : 3*k+3])
		a, b, c := t.place(v[0]), t.place(v[1]), t.place(v[2])
		if x < min(a.X, b.X, c.X)-near || x > max(a.X, b.X, c.X)+near || y < min(a.Y, b.Y, c.Y)-near || y > max(a.Y, b.Y, c.Y)+near {
			continue // beyond the tip of a needle its sides are near but the triangle is not
		}
		d, inside := 0.0, true
		for i := range v {
			a, b := v[i], v[(i+1)%3]
			side := exact.Orient(t.X[a], t.Y[a], t.X[b], t.Y[b], x, y)
			if side < 0 {
				d = max(d, t.toEdge(a, b, x, y))
			}
			inside = inside && side > 0
		}
		if inside { // of no other triangle
			best, found = t.fromWest(k), k
			break
		}
		if d > off {
			continue
		}
		if v = t.fromWest(k); d < off || found < 0 || t.west(v, best) {
			best, found, off = v, k, d
		}
	}
	if found < 0 {
		return 0, 0, false
	}
	return t.elevationOn(best, x, y), int(found), true
}

// elevationOn returns the elevation of the plane through three vertices at a place, m from the
// origin of t.
func (t *TIN) elevationOn(v [3]int32, x, y float64) float64 {
	var side [3]float64 // twice the area opposite each corner
	for i := range v {
		a, b := v[(i+1)%3], v[(i+2)%3]
		side[i] = float64((t.X[a]-x)*(t.Y[b]-y)) - float64((t.X[b]-x)*(t.Y[a]-y))
	}
	whole := side[0] + side[1] + side[2]
	// From the first corner's elevation, so that a level triangle gives exactly its level.
	z := t.Z[v[0]]
	return z + float64(side[1]/whole*(t.Z[v[1]]-t.Z[v[0]])) + float64(side[2]/whole*(t.Z[v[2]]-t.Z[v[0]]))
}

// box returns the least and the greatest coordinates of t on the grid of the survey.
func (t *TIN) box() (lo, hi Vec) {
	west, east := extremes(t.X)
	south, north := extremes(t.Y)
	return Vec{X: t.Origin.X + west, Y: t.Origin.Y + south}, Vec{X: t.Origin.X + east, Y: t.Origin.Y + north}
}

// fromWest returns the corners of triangle k, the westernmost first.
func (t *TIN) fromWest(k int32) [3]int32 {
	v := [3]int32(t.V[3*k : 3*k+3])
	for range 2 {
		if t.place(v[1]).Less(t.place(v[0])) || t.place(v[2]).Less(t.place(v[0])) {
			v = [3]int32{v[1], v[2], v[0]}
		}
	}
	return v
}

// place returns vertex v, m from the origin of t.
func (t *TIN) place(v int32) Vec { return Vec{X: t.X[v], Y: t.Y[v]} }

// west reports whether the corners of a come before those of b.
func (t *TIN) west(a, b [3]int32) bool {
	for i := range a {
		if p, q := t.place(a[i]), t.place(b[i]); p != q {
			return p.Less(q)
		}
	}
	return false
}

// toEdge returns the distance from (x, y) to the line from vertex a to b, m.
func (t *TIN) toEdge(a, b int32, x, y float64) float64 {
	dx, dy := t.X[b]-t.X[a], t.Y[b]-t.Y[a]
	return math.Abs(dx*(y-t.Y[a])-dy*(x-t.X[a])) / math.Hypot(dx, dy)
}

// Locators finds places on a floor of one or more regions.
type Locators []*Locator

// Locators returns one locator per region of f.
func (f *Floor) Locators() Locators {
	var g Locators
	for _, r := range f.Regions {
		g = append(g, r.TIN.Locator())
	}
	return g
}

// At returns the elevation of the floor at a place, m, and its region; false off the floor.
// On a step between two regions it is the upper one, where there is less to fill.
func (g Locators) At(p Vec) (z float64, region int, ok bool) {
	for i, l := range g {
		if zi, _, in := l.At(p); in && (!ok || zi > z) {
			z, region, ok = zi, i, true
		}
	}
	return z, region, ok
}

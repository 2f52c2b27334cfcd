package uncertainty

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/survey"
)

const (
	// wholeUpTo is the max number of measured vertices of a region that is described as one piece.
	wholeUpTo = 200
	// ofTile is how many triangles a tile of a larger region has, about; with the measured vertices
	// around it a tile has at most wholeTile.
	ofTile    = 150
	wholeTile = 150
	// sampled is the max number of tiles that are looked at. More are represented by these, spread
	// evenly over the floor.
	sampled = 24
	// fewest is the min number of measured vertices to say anything: a plane takes three.
	fewest = 4
)

// cell is a piece of the filled floor, small beside the spacing of the shots.
type cell struct {
	x, y  float64 // m from the origin of the piece: of its centroid, so that planes are integrated exactly
	area  float64 // m²
	depth float64 // m, mean over the cell, of the triangulated floor
	z     float64 // m from the mean elevation of the piece, likewise
	wall  bool    // most of it is in triangles with a corner that was fitted at a wall
}

// piece is a region, or a tile of a large one: its measured vertices and its filled part.
type piece struct {
	origin  surface.Vec
	x, y, z []float64 // m from origin and from the mean elevation, of measured vertices
	setup   []string  // of each
	weight  []float64 // m²: of each in the integral of the triangulated floor over the filled part
	ofWalls []float64 // m²: the same over triangles with a corner that was fitted at a wall
	cells   []cell
	apart   []float64 // m: distances between measured vertices, n × n
	mean    float64   // m: mean elevation of the measured vertices

}

// extractor makes the pieces of one region.
type extractor struct {
	old, split *surface.TIN
	within     *surface.Locator // nil if split is old
	depths     []float64        // of split
	shots      surface.Region
	setupOf    func(survey.Point) string
	of         []int32 // of each triangle of split, the triangle of old that it is in; nil if it is the same
}

func newExtractor(region surface.Region, split *surface.TIN, target surface.Target, setupOf func(survey.Point) string) *extractor {
	e := &extractor{old: region.TIN, split: split, shots: region, depths: split.Depths(target), setupOf: setupOf}
	if e.old != e.split {
		e.within = e.old.Locator()
		e.of = make([]int32, split.Len())
		for k := range e.of {
			_, of, ok := e.within.At(middle(split, k))
			if !ok {
				of = -1
			}
			e.of[k] = int32(of)
		}
	}
	return e
}

func middle(t *surface.TIN, k int) surface.Vec {
	a, b, c := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
	return surface.Vec{X: t.Origin.X + (t.X[a]+t.X[b]+t.X[c])/3, Y: t.Origin.Y + (t.Y[a]+t.Y[b]+t.Y[c])/3}
}

// inOld returns the triangle of the floor as surveyed that triangle k is in; -1 if none.
func (e *extractor) inOld(k int32) int32 {
	if e.of == nil {
		return k
	}
	return e.of[k]
}

// measured reports whether vertex v of the floor as surveyed has an elevation of its own.
func (e *extractor) measured(v int32) bool { return e.old.Fitted == nil || !e.old.Fitted[v] }

// pieces returns the pieces of the region, and for how many each one counts.
func (e *extractor) pieces() (pieces []*piece, each float64) {
	n := 0
	for v := range int32(len(e.old.Z)) {
		if e.measured(v) {
			n++
		}
	}
	all := make([]int32, e.split.Len())
	for k := range all {
		all[k] = int32(k)
	}
	if n <= wholeUpTo {
		var vertices []int32
		for v := range int32(len(e.old.Z)) {
			if e.measured(v) {
				vertices = append(vertices, v)
			}
		}
		return []*piece{e.piece(all, vertices)}, 1
	}
	count := tileCount(len(all))
	take := make([]int, min(count, sampled))
	for i := range take {
		take[i] = (2*i + 1) * count / (2 * len(take))
	}
	for _, t := range e.tiles(all, take) {
		pieces = append(pieces, e.piece(t, e.around(t)))
	}
	return pieces, float64(count) / float64(len(take))
}

// tileCount returns how many parts n triangles are divided into.
func tileCount(n int) int {
	if n <= ofTile {
		return 1
	}
	return tileCount(n/2) + tileCount(n-n/2)
}

// tiles halves the triangles across their longer side until each part is small. It returns those
// parts, in the order of their places, whose numbers are in take, ascending.
func (e *extractor) tiles(triangles []int32, take []int) [][]int32 {
	at := make([]placed, len(triangles))
	for i, k := range triangles {
		at[i] = placed{middle(e.split, int(k)), k}
	}
	return halve(nil, at, 0, take)
}

// placed is a triangle and its middle.
type placed struct {
	surface.Vec
	triangle int32
}

// halve adds to tiles the parts of k that are in take. The first part is number first.
func halve(tiles [][]int32, k []placed, first int, take []int) [][]int32 {
	if i, _ := slices.BinarySearch(take, first); i == len(take) || take[i] >= first+tileCount(len(k)) {
		return tiles
	}
	if len(k) <= ofTile {
		tile := make([]int32, len(k))
		for i, p := range k {
			tile[i] = p.triangle
		}
		return append(tiles, tile)
	}
	lo, hi := k[0].Vec, k[0].Vec
	for _, p := range k {
		lo = surface.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = surface.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	wide := hi.X-lo.X > hi.Y-lo.Y
	slices.SortFunc(k, func(a, b placed) int {
		if wide {
			return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y), cmp.Compare(a.triangle, b.triangle))
		}
		return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X), cmp.Compare(a.triangle, b.triangle))
	})
	half := len(k) / 2
	tiles = halve(tiles, k[:half], first, take)
	return halve(tiles, k[half:], first+tileCount(half), take)
}

// around returns the measured vertices of triangles, and the nearest measured ones round them.
func (e *extractor) around(tile []int32) []int32 {
	in := map[int32]bool{}
	lo, hi := surface.Vec{X: math.Inf(1), Y: math.Inf(1)}, surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, k := range tile {
		o := e.inOld(k)
		if o < 0 {
			continue
		}
		for _, v := range e.old.V[3*o : 3*o+3] {
			p := surface.Vec{X: e.old.X[v], Y: e.old.Y[v]}
			lo = surface.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
			hi = surface.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
			if e.measured(v) {
				in[v] = true
			}
			for _, s := range e.old.Shares(v) {
				in[s.Vertex] = true
			}
		}
	}
	type other struct {
		v int32
		d float64
	}
	var near []other
	reach := max(hi.X-lo.X, hi.Y-lo.Y) / 2
	for v := range int32(len(e.old.Z)) {
		dx, dy := max(lo.X-e.old.X[v], e.old.X[v]-hi.X, 0), max(lo.Y-e.old.Y[v], e.old.Y[v]-hi.Y, 0)
		if e.measured(v) && !in[v] && dx < reach && dy < reach {
			near = append(near, other{v, math.Hypot(dx, dy)})
		}
	}
	slices.SortFunc(near, func(a, b other) int { return cmp.Or(cmp.Compare(a.d, b.d), cmp.Compare(a.v, b.v)) })
	for _, o := range near[:min(len(near), max(0, wholeTile-len(in)))] {
		in[o.v] = true
	}
	out := make([]int32, 0, len(in))
	for v := range in {
		out = append(out, v)
	}
	slices.Sort(out)
	return out
}

// piece makes a piece of triangles of the split floor and measured vertices.
func (e *extractor) piece(triangles, vertices []int32) *piece {
	p := &piece{}
	// By place, so that nothing depends on the order of the rows.
	slices.SortFunc(vertices, func(a, b int32) int {
		return cmp.Or(cmp.Compare(e.old.X[a], e.old.X[b]), cmp.Compare(e.old.Y[a], e.old.Y[b]))
	})
	n := float64(len(vertices))
	mean := 0.0
	for _, v := range vertices {
		at := e.old.At(v)
		p.origin.X += at.X / n
		p.origin.Y += at.Y / n
		mean += e.old.Z[v] / n
	}
	p.mean = mean
	number := make(map[int32]int, len(vertices))
	for i, v := range vertices {
		at := e.old.At(v)
		number[v] = i
		p.x, p.y, p.z = append(p.x, at.X-p.origin.X), append(p.y, at.Y-p.origin.Y), append(p.z, e.old.Z[v]-mean)
		setup := ""
		if s := e.old.Shot; e.setupOf != nil && s != nil && s[v] >= 0 {
			setup = e.setupOf(e.shots.Shots[s[v]])
		}
		p.setup = append(p.setup, setup)
	}
	p.weight, p.ofWalls = make([]float64, len(vertices)), make([]float64, len(vertices))
	e.weigh(p, triangles, number)
	p.cut(e, triangles)
	p.apart = make([]float64, len(vertices)*len(vertices))
	for i := range vertices {
		for j := range i {
			d := math.Hypot(p.x[i]-p.x[j], p.y[i]-p.y[j])
			p.apart[i*len(vertices)+j], p.apart[j*len(vertices)+i] = d, d
		}
	}
	return p
}

// weigh sets the weights of the measured vertices. See [surface.Floor.FillWeights].
func (e *extractor) weigh(p *piece, triangles []int32, number map[int32]int) {
	give := func(v int32, w float64, wall bool) {
		i := number[v]
		p.weight[i] += w
		if wall {
			p.ofWalls[i] += w
		}
	}
	for _, k := range triangles {
		o := e.inOld(k)
		if o < 0 {
			continue
		}
		wall := e.atWall(o)
		e.parts(k, func(area float64, at surface.Vec) {
			for c, w := range e.old.Barycentric(int(o), at) {
				v := e.old.V[3*int(o)+c]
				if e.measured(v) {
					give(v, area*w, wall)
					continue
				}
				for _, s := range e.old.Shares(v) {
					give(s.Vertex, area*w*s.Weight, wall)
				}
			}
		})
	}
}

// atWall reports whether a triangle of the floor as surveyed has a corner that was fitted at a
// wall.
func (e *extractor) atWall(o int32) bool {
	for _, v := range e.old.V[3*o : 3*o+3] {
		if !e.measured(v) {
			return true
		}
	}
	return false
}

// parts calls do with the area, m², and the centroid of each triangle that the filled part of
// triangle k is made of: the integral of a linear function is the sum of area times its value
// there.
func (e *extractor) parts(k int32, do func(area float64, at surface.Vec)) {
	t := e.split
	v := t.V[3*k : 3*k+3]
	corners := surface.FilledPart([3]float64{e.depths[v[0]], e.depths[v[1]], e.depths[v[2]]})
	place := func(w [3]float64) (at surface.Vec) {
		for j, u := range v {
			q := t.At(u)
			at.X += w[j] * q.X
			at.Y += w[j] * q.Y
		}
		return at
	}
	for i := 2; i < len(corners); i++ {
		split3(place(corners[0]), place(corners[i-1]), place(corners[i]), 0, math.Inf(1), do)
	}
}

// split3 halves a triangle across its longest side until none is longer than most, and calls do
// with the area and the centroid of each part.
func split3(a, b, c surface.Vec, depth int, most float64, do func(area float64, at surface.Vec)) {
	ab, bc, ca := a.Distance(b), b.Distance(c), c.Distance(a)
	longest := max(ab, bc, ca)
	if longest <= most || depth > 14 {
		area := ((b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)) / 2
		do(area, surface.Vec{X: (a.X + b.X + c.X) / 3, Y: (a.Y + b.Y + c.Y) / 3})
		return
	}
	half := func(p, q surface.Vec) surface.Vec { return surface.Vec{X: (p.X + q.X) / 2, Y: (p.Y + q.Y) / 2} }
	switch longest {
	case ab:
		m := half(a, b)
		split3(a, m, c, depth+1, most, do)
		split3(m, b, c, depth+1, most, do)
	case bc:
		m := half(b, c)
		split3(b, m, a, depth+1, most, do)
		split3(m, c, a, depth+1, most, do)
	default:
		m := half(c, a)
		split3(c, m, b, depth+1, most, do)
		split3(m, a, b, depth+1, most, do)
	}
}

// cut makes the cells: parts of the filled triangles, gathered by the squares of a lattice.
func (p *piece) cut(e *extractor, triangles []int32) {
	whole := 0.0
	for _, k := range triangles {
		e.parts(k, func(area float64, _ surface.Vec) { whole += area })
	}
	if whole == 0 {
		return
	}
	want := min(max(4*len(p.x), 160), 420)
	side := math.Sqrt(whole / float64(want))
	type square struct{ i, j int }
	found := map[square]int{}
	walls := []float64{}
	t := e.split
	for _, k := range triangles {
		o := e.inOld(k)
		if o < 0 {
			continue
		}
		wall := e.atWall(o)
		v := t.V[3*k : 3*k+3]
		d := [3]float64{e.depths[v[0]], e.depths[v[1]], e.depths[v[2]]}
		corners := surface.FilledPart(d)
		place := func(w [3]float64) (at surface.Vec) {
			for j, u := range v {
				q := t.At(u)
				at.X += w[j] * q.X
				at.Y += w[j] * q.Y
			}
			return at
		}
		for i := 2; i < len(corners); i++ {
			split3(place(corners[0]), place(corners[i-1]), place(corners[i]), 0, side, func(area float64, at surface.Vec) {
				x, y := at.X-p.origin.X, at.Y-p.origin.Y
				s := square{int(math.Floor(x / side)), int(math.Floor(y / side))}
				c, ok := found[s]
				if !ok {
					c = len(p.cells)
					found[s] = c
					p.cells, walls = append(p.cells, cell{}), append(walls, 0)
				}
				w := t.Barycentric(int(k), at)
				q := &p.cells[c]
				q.x, q.y = q.x+area*x, q.y+area*y
				q.area += area
				q.depth += area * (w[0]*d[0] + w[1]*d[1] + w[2]*d[2])
				z := t.Z[v[0]]
				q.z += area * (z + w[1]*(t.Z[v[1]]-z) + w[2]*(t.Z[v[2]]-z) - p.mean)
				if wall {
					walls[c] += area
				}
			})
		}
	}
	for i := range p.cells {
		c := &p.cells[i]
		c.x, c.y, c.depth, c.z = c.x/c.area, c.y/c.area, c.depth/c.area, c.z/c.area
		c.wall = walls[i] > c.area/2
	}
	slices.SortFunc(p.cells, func(a, b cell) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y)) })
}

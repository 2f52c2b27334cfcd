package uncertainty

import (
	"cmp"
	"math"
	"slices"
	"sync"

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
	sampled = 16
	// Fewest is the min number of measured places of a region to say anything: a plane takes three.
	Fewest = 4
)

// cell is a piece of the filled floor, small beside the spacing of the shots.
type cell struct {
	x, y  float64 // m from the origin of the piece: of its centroid, so that planes are integrated exactly
	area  float64 // m²
	depth float64 // m, mean over the cell, of the triangulated floor
	z     float64 // m from the mean elevation of the piece, likewise
	span  float64 // m: width of the even spread of depths with their variance over the cell
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
	edge    []cell    // those, and parts of the floor above the target, whose depth is near 0
	apart   []float64 // m: distances between measured vertices, n × n
	mean    float64   // m: mean elevation of the measured vertices

	mutex  sync.Mutex
	shapes map[correlation]*shape
}

// extractor makes the pieces of one region.
type extractor struct {
	old, split *surface.TIN
	within     *surface.Locator // nil if split is old
	depths     []float64        // of split
	shots      surface.Region
	setupOf    func(survey.Point) string
}

func newExtractor(region surface.Region, split *surface.TIN, target surface.Target, setupOf func(survey.Point) string) *extractor {
	e := &extractor{old: region.TIN, split: split, shots: region, depths: split.Depths(target), setupOf: setupOf}
	if e.old != e.split {
		e.within = e.old.Locator()
	}
	return e
}

func middle(t *surface.TIN, k int) surface.Vec {
	a, b, c := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
	return surface.Vec{X: t.Origin.X + (t.X[a]+t.X[b]+t.X[c])/3, Y: t.Origin.Y + (t.Y[a]+t.Y[b]+t.Y[c])/3}
}

// inOld returns the triangle of the floor as surveyed that triangle k is in; -1 if none.
func (e *extractor) inOld(k int32) int32 {
	if e.within == nil {
		return k
	}
	_, of, ok := e.within.At(middle(e.split, int(k)))
	if !ok {
		return -1
	}
	return int32(of)
}

// measured reports whether vertex v of the floor as surveyed has an elevation of its own.
func (e *extractor) measured(v int32) bool { return e.old.Fitted == nil || !e.old.Fitted[v] }

// pieces returns the pieces of the region, and for how many each one counts.
func (e *extractor) pieces() (pieces []*piece, each float64) {
	var vertices []int32
	for v := range int32(len(e.old.Z)) {
		if e.measured(v) {
			vertices = append(vertices, v)
		}
	}
	all := make([]int32, e.split.Len())
	for k := range all {
		all[k] = int32(k)
	}
	if len(vertices) <= wholeUpTo {
		return []*piece{e.piece(all, vertices)}, 1
	}
	tiles, each := e.tiles(all)
	near := newBuckets(len(e.old.Z), func(v int) (surface.Vec, bool) {
		return surface.Vec{X: e.old.X[v], Y: e.old.Y[v]}, e.measured(int32(v))
	})
	for _, t := range tiles {
		pieces = append(pieces, e.piece(t, e.around(t, near)))
	}
	return pieces, each
}

// tiles divides triangles into tiles that lie together, and returns them, or as many as are looked
// at, spread evenly over the floor, and for how many each one counts: by the floor that they have.
func (e *extractor) tiles(all []int32) (tiles [][]int32, each float64) {
	if len(all) <= 2*sampled*ofTile {
		tiles = e.halved(all)
	} else {
		squares := newBuckets(len(all), func(k int) (surface.Vec, bool) { return middle(e.split, k), true })
		for _, s := range squares.list() {
			if len(s) > 0 {
				tiles = append(tiles, s)
			}
		}
	}
	if len(tiles) <= sampled {
		return tiles, 1
	}
	var take [][]int32
	for i := range sampled {
		t := e.halved(tiles[(2*i+1)*len(tiles)/(2*sampled)]) // one square of a scan may have many
		take = append(take, t[len(t)/2])
	}
	part := 0.0
	for _, t := range take {
		for _, k := range t {
			e.parts(k, func(area float64, _ surface.Vec) { part += area })
		}
	}
	whole := 0.0
	for k := range int32(e.split.Len()) {
		e.parts(k, func(area float64, _ surface.Vec) { whole += area })
	}
	if part == 0 {
		return take, 1
	}
	return take, whole / part
}

// halved halves triangles across their longer side until each part is small. The parts are in the
// order of their places.
func (e *extractor) halved(k []int32) [][]int32 {
	if len(k) <= ofTile {
		return [][]int32{k}
	}
	lo, hi := surface.Vec{X: math.Inf(1), Y: math.Inf(1)}, surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	type centre struct {
		surface.Vec
		k int32
	}
	at := make([]centre, len(k))
	for i, t := range k {
		m := middle(e.split, int(t))
		at[i] = centre{m, t}
		lo = surface.Vec{X: min(lo.X, m.X), Y: min(lo.Y, m.Y)}
		hi = surface.Vec{X: max(hi.X, m.X), Y: max(hi.Y, m.Y)}
	}
	wide := hi.X-lo.X > hi.Y-lo.Y
	slices.SortFunc(at, func(p, q centre) int {
		if wide {
			return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y), cmp.Compare(p.k, q.k))
		}
		return cmp.Or(cmp.Compare(p.Y, q.Y), cmp.Compare(p.X, q.X), cmp.Compare(p.k, q.k))
	})
	sorted := make([]int32, len(k))
	for i, c := range at {
		sorted[i] = c.k
	}
	half := len(k) / 2
	return append(e.halved(sorted[:half:half]), e.halved(sorted[half:])...)
}

// buckets are things by the square that they are in.
type buckets struct {
	lo         surface.Vec
	side       float64
	wide, high int
	first      []int32
	of         []int32
}

// newBuckets puts n things at places into squares of about ofTile of them; those without a place
// are left out.
func newBuckets(n int, at func(i int) (surface.Vec, bool)) *buckets {
	b := &buckets{lo: surface.Vec{X: math.Inf(1), Y: math.Inf(1)}}
	hi := surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	count := 0
	for i := range n {
		if p, ok := at(i); ok {
			count++
			b.lo = surface.Vec{X: min(b.lo.X, p.X), Y: min(b.lo.Y, p.Y)}
			hi = surface.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
	}
	w, h := hi.X-b.lo.X, hi.Y-b.lo.Y
	tiles := max(1, float64(count)/ofTile)
	b.side = max(math.Sqrt(w*h/tiles), max(w, h)/tiles, 1e-6)
	b.wide, b.high = int(w/b.side)+1, int(h/b.side)+1
	b.first = make([]int32, b.wide*b.high+1)
	for i := range n {
		if p, ok := at(i); ok {
			b.first[b.square(p)+1]++
		}
	}
	for s := 1; s < len(b.first); s++ {
		b.first[s] += b.first[s-1]
	}
	b.of = make([]int32, count)
	next := slices.Clone(b.first)
	for i := range n {
		if p, ok := at(i); ok {
			s := b.square(p)
			b.of[next[s]] = int32(i)
			next[s]++
		}
	}
	return b
}

func (b *buckets) square(p surface.Vec) int {
	return int((p.Y-b.lo.Y)/b.side)*b.wide + int((p.X-b.lo.X)/b.side)
}

// list returns the things of each square, row by row.
func (b *buckets) list() [][]int32 {
	out := make([][]int32, len(b.first)-1)
	for s := range out {
		out[s] = b.of[b.first[s]:b.first[s+1]:b.first[s+1]]
	}
	return out
}

// within calls do for the things of the squares that a rectangle overlaps.
func (b *buckets) within(lo, hi surface.Vec, do func(i int32)) {
	x0, x1 := max(0, int((lo.X-b.lo.X)/b.side)), min(b.wide-1, int((hi.X-b.lo.X)/b.side))
	y0, y1 := max(0, int((lo.Y-b.lo.Y)/b.side)), min(b.high-1, int((hi.Y-b.lo.Y)/b.side))
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			s := y*b.wide + x
			for _, i := range b.of[b.first[s]:b.first[s+1]] {
				do(i)
			}
		}
	}
}

// around returns the measured vertices of triangles, and the nearest measured ones round them.
func (e *extractor) around(tile []int32, all *buckets) []int32 {
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
	all.within(surface.Vec{X: lo.X - reach, Y: lo.Y - reach}, surface.Vec{X: hi.X + reach, Y: hi.Y + reach}, func(v int32) {
		dx, dy := max(lo.X-e.old.X[v], e.old.X[v]-hi.X, 0), max(lo.Y-e.old.Y[v], e.old.Y[v]-hi.Y, 0)
		if !in[v] && dx < reach && dy < reach {
			near = append(near, other{v, math.Hypot(dx, dy)})
		}
	})
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

// higher returns by how much the triangles are higher than b, the integral of the likely floor, over the
// filled part, m³: by so much the true fill is more. The weights of the shots do not give it where elevations
// fitted at walls are not linear in those of the shots.
func (p *piece) higher(b block) float64 {
	off := -b.mean
	for _, c := range p.cells {
		off += c.area * c.z
	}
	return off
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

// cut makes the cells: parts of the filled triangles, gathered by the squares of a lattice. Where some
// of the floor is near the target or above it, it makes the cells of the edge of the fill as well.
func (p *piece) cut(e *extractor, triangles []int32) {
	whole, all, least := 0.0, 0.0, math.Inf(1)
	for _, k := range triangles {
		e.parts(k, func(area float64, _ surface.Vec) { whole += area })
		v := e.split.V[3*k : 3*k+3]
		split3(e.split.At(v[0]), e.split.At(v[1]), e.split.At(v[2]), 0, math.Inf(1), func(area float64, _ surface.Vec) { all += area })
		least = min(least, e.depths[v[0]], e.depths[v[1]], e.depths[v[2]])
	}
	if whole == 0 {
		return
	}
	want := min(max(8*len(p.x), 320), 840)
	side := math.Sqrt(whole / float64(want))
	p.cells = p.gather(e, triangles, side, 1)
	if least > nearTarget {
		return
	}
	// What is wanted of the edge changes less from place to place than the floor does, and what is
	// filled may be a small part of the floor.
	side = 2 * math.Sqrt(all/float64(want))
	p.edge = p.gather(e, triangles, side, 1)
	if least <= 0 {
		p.edge = append(p.edge, p.gather(e, triangles, side, -1)...)
	}
	p.edge = slices.DeleteFunc(p.edge, func(c cell) bool { return math.Abs(c.depth) > nearTarget })
}

// gather makes cells of the parts of triangles that are filled, or with sign -1 of those that are not.
func (p *piece) gather(e *extractor, triangles []int32, side, sign float64) []cell {
	type square struct{ i, j int }
	found := map[square]int{}
	var cells []cell
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
		corners := surface.FilledPart([3]float64{sign * d[0], sign * d[1], sign * d[2]})
		if sign < 0 && max(d[0], d[1], d[2]) <= 0 { // at the target too
			corners = [][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
		}
		place := func(w [3]float64) (at surface.Vec) {
			for j, u := range v {
				q := t.At(u)
				at.X += w[j] * q.X
				at.Y += w[j] * q.Y
			}
			return at
		}
		steep := gradient(t.At(v[0]), t.At(v[1]), t.At(v[2]), d)
		for i := 2; i < len(corners); i++ {
			split3(place(corners[0]), place(corners[i-1]), place(corners[i]), 0, side, func(area float64, at surface.Vec) {
				x, y := at.X-p.origin.X, at.Y-p.origin.Y
				s := square{int(math.Floor(x / side)), int(math.Floor(y / side))}
				c, ok := found[s]
				if !ok {
					c = len(cells)
					found[s] = c
					cells, walls = append(cells, cell{}), append(walls, 0)
				}
				w := t.Barycentric(int(k), at)
				q := &cells[c]
				q.x, q.y = q.x+area*x, q.y+area*y
				q.area += area
				depth := w[0]*d[0] + w[1]*d[1] + w[2]*d[2]
				q.depth += area * depth
				q.span += area * (depth*depth + steep*steep*area/12) // the variance over a square of that area
				z := t.Z[v[0]]
				q.z += area * (z + w[1]*(t.Z[v[1]]-z) + w[2]*(t.Z[v[2]]-z) - p.mean)
				if wall {
					walls[c] += area
				}
			})
		}
	}
	for i := range cells {
		c := &cells[i]
		c.x, c.y, c.depth, c.z = c.x/c.area, c.y/c.area, c.depth/c.area, c.z/c.area
		c.span = math.Sqrt(12 * max(0, c.span/c.area-c.depth*c.depth))
		c.wall = walls[i] > c.area/2
	}
	slices.SortFunc(cells, func(a, b cell) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y)) })
	return cells
}

// gradient returns how steep a depth is over a triangle, m per m.
func gradient(a, b, c surface.Vec, d [3]float64) float64 {
	twice := (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
	if twice == 0 {
		return 0
	}
	x := ((d[1]-d[0])*(c.Y-a.Y) - (d[2]-d[0])*(b.Y-a.Y)) / twice
	y := ((d[2]-d[0])*(b.X-a.X) - (d[1]-d[0])*(c.X-a.X)) / twice
	return math.Hypot(x, y)
}

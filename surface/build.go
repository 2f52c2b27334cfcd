package surface

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/surface/internal/delaunay"
	"pourplane/surface/internal/exact"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// Duplicates says what to do with two shots at one place that differ in
// elevation.
type Duplicates uint8

const (
	Refuse Duplicates = iota // an error that names both
	Mean
	First
	Last
)

// Data is what a floor is built from.
type Data struct {
	Shots      []survey.Point
	Rings      []survey.Ring      // none: the hull of the shots is the outline
	Lines      []survey.Breakline // with elevations: creases; without: steps
	Duplicates Duplicates
	Words      Words
}

// Words says how notes and errors write lengths, given in metres. What is nil is
// written in metres and millimetres.
type Words struct {
	Depth, Length, Elevation func(m float64) string
	Place                    func(Vec) string // in plan, on the grid of the survey
}

// filled returns w with the metric words where it has none.
func (w Words) filled() Words {
	if w.Depth == nil {
		w.Depth = func(m float64) string { return fmt.Sprintf("%.1f mm", m*1000) }
	}
	if w.Length == nil {
		w.Length = func(m float64) string { return fmt.Sprintf("%.3f m", m) }
	}
	if w.Elevation == nil {
		w.Elevation = func(m float64) string { return fmt.Sprintf("%.4f m", m) }
	}
	if w.Place == nil {
		w.Place = func(p Vec) string { return fmt.Sprintf("(%.3f, %.3f) m", p.X, p.Y) }
	}
	return w
}

// sameElevation is how far two elevations at one place may differ and still be
// one: a micrometre, below anything that is measured, above the rounding of a
// change of unit.
const sameElevation = 1e-6

// crossingElevation is how far two breaklines may differ where they cross, m.
const crossingElevation = 0.0005

// Constraint marks in the plan and in each region's mesh. None is
// [delaunay.Toggle]: an edge that two rings share is a wall all the same.
const (
	wall   uint8 = 1 << (iota + 1) // an edge of a ring
	step                           // a line without elevations
	crease                         // a line with elevations
)

// NewFloor triangulates the shots inside the outline, region by region.
//
// The plan is cut into regions by the outlines and by the lines without
// elevations; each region is a surface of its own, so that a step keeps both of
// its elevations. A shot belongs to the region it lies in, or to the one its
// Part names; on the edge of two regions to both, or to the one whose shots it clearly
// agrees with, see [Floor.Notes]. Corners and walls without an elevation get one from a plane fitted
// to the nearest shots, see [TIN.Fitted]. A breakline that meets a wall gives the
// wall its elevation there.
//
// Errors are [*survey.Error] naming file and line: an outline that crosses
// itself or another, an opening outside every outline, two elevations at one
// place, a region without three shots off one line, breaklines that cross at
// different elevations.
func NewFloor(d Data) (*Floor, error) {
	if len(d.Shots) == 0 && len(d.Rings) == 0 {
		return nil, &survey.Error{Found: "no shots", Want: "at least 3 that do not lie on one line"}
	}
	b := &builder{data: d, words: d.Words.filled(), floor: &Floor{Data: d, Shots: len(d.Shots)}, vertex: map[Vec]int32{}, loose: map[[2]int32]bool{}}
	b.setLattice()
	for _, stage := range []func() error{b.checkRings, b.cutPlan, b.crossCreases, b.placeShots, b.triangulate} {
		if err := stage(); err != nil {
			return nil, err
		}
	}
	return b.floor, nil
}

// builder holds the stages of NewFloor. Its vertices are the corners of rings
// and lines and the places where they cross; shots join them region by region.
type builder struct {
	data  Data
	words Words
	floor *Floor
	lattice
	shot    []Vec // shots on the lattice
	dropped []bool

	vertex map[Vec]int32
	k      []Vec
	z      []float64 // NaN: none measured
	at     []survey.Pos

	rings   []*ring
	regions []*region
	boxes   *edgeTree         // round the regions, see [builder.setBoxes]
	parting []chain           // lines without elevations, cut where they meet anything
	loose   map[[2]int32]bool // pieces of them that part nothing
	creases []chain           // lines with elevations and loose pieces of steps
	shared  []sharedShot      // shots on an edge of several regions, in all of them until their side is found
}

// region is a piece of the plan.
type region struct {
	name  string
	outer string    // name of the outline it lies in
	rings [][]int32 // vertices, floor on the left
	tree  *edgeTree
	round *edgeTree    // of the outer walls alone
	edge  []borderEdge // as tree counts them in edge.at
	shots []int32
}

type borderEdge struct {
	a, b   int32
	splits []int32 // vertices between a and b
	shots  []int32 // shots that lie on it
}

// chain is a line as vertices.
type chain struct {
	name string
	at   survey.Pos
	v    []int32
}

func (b *builder) setLattice() {
	lo := Vec{math.Inf(1), math.Inf(1)}
	hi := Vec{math.Inf(-1), math.Inf(-1)}
	see := func(points []survey.Point) {
		for i := range points {
			p := &points[i]
			lo = Vec{min(lo.X, p.X), min(lo.Y, p.Y)}
			hi = Vec{max(hi.X, p.X), max(hi.Y, p.Y)}
		}
	}
	see(b.data.Shots)
	for _, r := range b.data.Rings {
		see(r.Points)
	}
	for _, l := range b.data.Lines {
		see(l.Points)
	}
	b.lattice = newLattice(lo, hi)
	b.shot = make([]Vec, len(b.data.Shots))
	b.dropped = make([]bool, len(b.shot))
	for i := range b.data.Shots {
		p := &b.data.Shots[i]
		b.shot[i] = b.steps(Vec{p.X, p.Y})
	}
}

// drop leaves shot i out, for the reason given; it is told once.
func (b *builder) drop(i int32, format string, args ...any) {
	if !b.dropped[i] {
		b.dropped[i] = true
		b.note(survey.LeftOut, b.data.Shots[i].At, format, args...)
	}
}

func (b *builder) note(k survey.NoteKind, at survey.Pos, format string, args ...any) {
	b.floor.Notes = append(b.floor.Notes, survey.Notef(k, at, format, args...))
}

// add returns the vertex at k, made if it is new. A vertex takes the first
// elevation that it is given; another one there is an error.
func (b *builder) add(k Vec, z float64, at survey.Pos) (int32, error) {
	v, ok := b.vertex[k]
	if !ok {
		v = int32(len(b.k))
		b.vertex[k] = v
		b.k = append(b.k, k)
		b.z = append(b.z, z)
		b.at = append(b.at, at)
		return v, nil
	}
	switch {
	case math.IsNaN(z):
	case math.IsNaN(b.z[v]):
		b.z[v], b.at[v] = z, at
	case math.Abs(b.z[v]-z) > sameElevation:
		return v, b.twoElevations(k, b.at[v], b.z[v], at, z)
	}
	return v, nil
}

func (b *builder) twoElevations(k Vec, at1 survey.Pos, z1 float64, at2 survey.Pos, z2 float64) error {
	g := b.grid(k)
	return &survey.Error{
		Pos:   at2,
		Found: fmt.Sprintf("elevation %s at %s, where %s gives %s (%s apart)", b.words.Elevation(z2), b.words.Place(g), at1, b.words.Elevation(z1), b.words.Depth(math.Abs(z1-z2))),
		Want:  "one elevation at one place",
		Hint:  "--duplicates mean, first or last takes one of them; for a step, give each side an outline of its own",
	}
}

func (b *builder) checkRings() error {
	outers := 0
	for _, r := range b.data.Rings {
		if len(r.Points) == 0 {
			continue
		}
		c, err := newRing(r, b.lattice, b.words)
		if err != nil {
			return err
		}
		b.rings = append(b.rings, c)
		if r.Kind == survey.Outer {
			outers++
		}
	}
	if outers > 0 {
		return nil
	}
	hull := convexHull(b.shot)
	if len(hull) < 3 {
		what := fmt.Sprintf("%d shots", len(b.shot))
		if len(b.shot) >= 3 {
			what += " that all lie on one line"
		}
		return &survey.Error{Pos: survey.Pos{File: firstFile(b.data.Shots)}, Found: what, Want: "at least 3 that do not lie on one line"}
	}
	r := &ring{kind: survey.Outer, name: "hull of the shots"}
	var twice sum.Sum
	for i, v := range hull {
		p := b.data.Shots[v]
		r.k = append(r.k, b.shot[v])
		p.Z = math.NaN() // the shot itself brings its elevation
		r.points = append(r.points, p)
		n := b.shot[hull[(i+1)%len(hull)]]
		twice.Add((b.shot[v].X - b.shot[hull[0]].X) * (n.Y - b.shot[hull[0]].Y))
		twice.Add(-(b.shot[v].Y - b.shot[hull[0]].Y) * (n.X - b.shot[hull[0]].X))
	}
	r.area = twice.Value()
	b.rings = append(b.rings, r)
	b.floor.Hull = true
	return nil
}

func firstFile(points []survey.Point) string {
	if len(points) == 0 {
		return ""
	}
	return points[0].At.File
}

// convexHull returns the corners of the hull, counter-clockwise from the most
// western; none that lies on an edge between two others. Source: Andrew 1979,
// Information Processing Letters 9:216-219, with exact turns.
func convexHull(p []Vec) []int32 {
	// What lies inside the polygon of the extremes in eight directions cannot be
	// on the hull; on a large survey few points are left to sort.
	var ring []Vec
	for _, dir := range []Vec{{-1, 0}, {-1, -1}, {0, -1}, {1, -1}, {1, 0}, {1, 1}, {0, 1}, {-1, 1}} {
		best := 0
		for i := range p {
			a, c := dir.X*p[i].X+dir.Y*p[i].Y, dir.X*p[best].X+dir.Y*p[best].Y
			if a > c || a == c && p[i].less(p[best]) {
				best = i
			}
		}
		if len(p) > 0 && (len(ring) == 0 || ring[len(ring)-1] != p[best]) {
			ring = append(ring, p[best])
		}
	}
	var keep []int32
	for i := range p {
		in := len(ring) > 2
		for j := 0; in && j < len(ring); j++ {
			a, c := ring[j], ring[(j+1)%len(ring)]
			in = a == c || orient(a, c, p[i]) > 0
		}
		if !in {
			keep = append(keep, int32(i))
		}
	}
	slices.SortFunc(keep, func(i, j int32) int {
		if c := cmp.Compare(p[i].X, p[j].X); c != 0 {
			return c
		}
		return cmp.Compare(p[i].Y, p[j].Y)
	})
	keep = slices.CompactFunc(keep, func(i, j int32) bool { return p[i] == p[j] })
	if len(keep) < 3 {
		return keep
	}
	var hull []int32
	half := func(i int32, floor int) {
		for len(hull) >= floor+2 && orient(p[hull[len(hull)-2]], p[hull[len(hull)-1]], p[i]) <= 0 {
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, i)
	}
	for _, i := range keep {
		half(i, 0)
	}
	lower := len(hull) - 1
	for _, i := range slices.Backward(keep[:len(keep)-1]) {
		half(i, lower)
	}
	return hull[:len(hull)-1]
}

// pieces collects the edges of chains and where they are to be split.
type pieces struct {
	edges  []edge // owner: which chain; at: which piece of it
	splits [][]int32
}

func (p *pieces) add(b *builder, owner int, v []int32, closed bool) {
	n := len(v) - 1
	if closed {
		n = len(v)
	}
	for i := range n {
		p.edges = append(p.edges, edge{b.k[v[i]], b.k[v[(i+1)%len(v)]], owner, len(p.edges)})
	}
	p.splits = make([][]int32, len(p.edges))
}

// between returns the vertices of piece i from a to c, its ends included.
func (b *builder) between(a, c int32, splits []int32) []int32 {
	s := slices.Clone(splits)
	from := b.k[a]
	slices.SortFunc(s, func(i, j int32) int {
		return cmp.Compare(from.Distance(b.k[i]), from.Distance(b.k[j]))
	})
	return slices.Compact(append(append([]int32{a}, s...), c))
}

// touch splits e at an end of f that lies on it. An edge that is also crossed is
// cut in pieces whose ends are rounded, on which that end would lie no longer.
func (p *pieces) touch(b *builder, e, f *edge) {
	for _, k := range []Vec{f.a, f.b} {
		if k != e.a && k != e.b && within(e.a, e.b, k) && orient(e.a, e.b, k) == 0 {
			p.splits[e.at] = append(p.splits[e.at], b.vertex[k])
		}
	}
}

func isStep(l survey.Breakline) bool {
	for _, p := range l.Points {
		if p.HasZ() {
			return false
		}
	}
	return true
}

// cutPlan cuts the plan into regions along rings and steps.
func (b *builder) cutPlan() error {
	var lines []chain // rings first, closed
	for _, r := range b.rings {
		c := chain{name: r.name}
		for i, k := range r.k {
			v, err := b.add(k, r.points[i].Z, r.points[i].At)
			if err != nil {
				return err
			}
			c.v = append(c.v, v)
		}
		lines = append(lines, c)
	}
	for _, l := range b.data.Lines {
		c := chain{name: l.Name, at: l.At}
		for _, p := range l.Points {
			v, err := b.add(b.steps(Vec{p.X, p.Y}), p.Z, p.At)
			if err != nil {
				return err
			}
			if n := len(c.v); n == 0 || c.v[n-1] != v {
				c.v = append(c.v, v)
			}
		}
		if len(c.v) < 2 {
			return &survey.Error{Pos: l.At, Element: fmt.Sprintf("line %q", l.Name), Found: "1 place", Want: "at least 2"}
		}
		if isStep(l) {
			lines = append(lines, c)
		} else {
			b.creases = append(b.creases, c)
		}
	}
	var p pieces
	for i, c := range lines {
		p.add(b, i, c.v, i < len(b.rings))
	}
	err := eachPair(p.edges, func(e, f *edge) error {
		if meet(e.a, e.b, f.a, f.b) != exact.Cross {
			p.touch(b, e, f)
			p.touch(b, f, e)
			return nil
		}
		at, _ := intersection(e.a, e.b, f.a, f.b)
		if e.owner < len(b.rings) && f.owner < len(b.rings) {
			r, s := b.rings[e.owner], b.rings[f.owner]
			g := b.grid(at)
			return &survey.Error{
				Pos:     s.points[0].At,
				Element: ringName(survey.Ring{Name: s.name, Kind: s.kind}),
				Found: fmt.Sprintf("an edge that crosses %s (%s) near %s",
					ringName(survey.Ring{Name: r.name, Kind: r.kind}), b.words.source(r.points[0]), b.words.Place(g)),
				Want: "outlines and openings that do not cross each other",
			}
		}
		v, err := b.add(at, math.NaN(), survey.Pos{})
		p.splits[e.at] = append(p.splits[e.at], v)
		p.splits[f.at] = append(p.splits[f.at], v)
		return err
	})
	if err != nil {
		return err
	}
	mesh, err := b.mesh(b.k)
	if err != nil {
		return err
	}
	i := 0
	for n, c := range lines {
		mark := step
		var pieces []int32
		last := len(c.v) - 1
		if n < len(b.rings) {
			mark, last = wall, len(c.v)
		}
		for j := range last {
			chain := b.between(c.v[j], c.v[(j+1)%len(c.v)], p.splits[i])
			i++
			if mark == step {
				pieces = append(pieces, chain[:len(chain)-1]...)
			}
			for s := 1; s < len(chain); s++ {
				if err := mesh.Constrain(chain[s-1], chain[s], mark); err != nil {
					return b.tooClose(c, err)
				}
			}
		}
		if mark == step {
			c.v = append(pieces, c.v[last])
			b.parting = append(b.parting, c)
		}
	}
	return b.regionsOf(mesh)
}

// mesh triangulates vertices.
func (b *builder) mesh(k []Vec) (*delaunay.Mesh, error) {
	x, y := make([]float64, len(k)), make([]float64, len(k))
	for i, p := range k {
		x[i], y[i] = p.X, p.Y
	}
	return delaunay.Triangulate(x, y)
}

// tooClose explains a crossing that rounding to the lattice brought about.
func (b *builder) tooClose(c chain, err error) error {
	return &survey.Error{Pos: c.at, Element: fmt.Sprintf("line %q", c.name),
		Found: "an edge that passes within a nanometre of another line", Want: "lines that cross clearly or meet at a common place", Err: err}
}

// regionsOf reads the regions off the plan.
func (b *builder) regionsOf(m *delaunay.Mesh) error {
	ghost := int32(len(m.X))
	finite := make([]bool, len(m.V)/3)
	for t := range finite {
		finite[t] = m.V[3*t] != ghost && m.V[3*t+1] != ghost && m.V[3*t+2] != ghost
	}
	label, n := m.Label(wall|step, finite)

	// The place asked about is the middle of a triangle; in coordinates times
	// three it is whole, so the answer is exact.
	var tripled []*edgeTree
	for _, r := range b.rings {
		e := r.edges(0)
		for i := range e {
			e[i].a, e[i].b = Vec{3 * e[i].a.X, 3 * e[i].a.Y}, Vec{3 * e[i].b.X, 3 * e[i].b.Y}
		}
		tripled = append(tripled, newEdgeTree(e))
	}
	// The largest triangle of each piece is asked: one a nanometre wide may lie on
	// the wrong side of a wall whose ends were rounded.
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
	owner := make([]int, n) // the outline a piece lies in, -1 for none
	for l, t := range largest {
		var mid Vec
		for _, v := range m.V[3*t : 3*t+3] {
			mid.X += m.X[v]
			mid.Y += m.Y[v]
		}
		best := -1
		for i, s := range tripled {
			if s.side(mid) != inside {
				continue
			}
			switch {
			case best < 0 || b.rings[i].area < b.rings[best].area:
				best = i
			case b.rings[i].area == b.rings[best].area && b.rings[i].kind == survey.Outer:
				if b.rings[best].kind == survey.Outer {
					return &survey.Error{Pos: b.rings[i].points[0].At, Element: ringName(survey.Ring{Name: b.rings[i].name}),
						Found: fmt.Sprintf("the same area as %s (%s)", ringName(survey.Ring{Name: b.rings[best].name}), b.words.source(b.rings[best].points[0])),
						Want:  "each region outlined once"}
				}
				best = i
			}
		}
		owner[l] = best
		if best >= 0 && b.rings[best].kind == survey.Hole {
			owner[l] = -1
		}
	}
	if err := b.openingsInside(tripled); err != nil {
		return err
	}

	id := make([]int, n)
	many := map[string]int{}
	for l := range n {
		id[l] = -1
		if owner[l] < 0 {
			continue
		}
		id[l] = len(b.regions)
		name := b.rings[owner[l]].name
		b.regions = append(b.regions, &region{outer: name})
		many[name]++
	}
	count := map[string]int{}
	for _, r := range b.regions {
		r.name = r.outer
		if many[r.outer] > 1 {
			count[r.outer]++
			r.name = strings.TrimSpace(fmt.Sprintf("%s %d", cmp.Or(r.outer, "part"), count[r.outer]))
		}
	}
	b.walkBorders(m, label, id)
	return nil
}

// openingsInside checks that every opening takes away some floor.
func (b *builder) openingsInside(tripled []*edgeTree) error {
	for _, r := range b.rings {
		if r.kind != survey.Hole {
			continue
		}
		ok := false
		for j, s := range b.rings {
			if s.kind != survey.Outer || s.area < r.area {
				continue
			}
			all := true
			for _, k := range r.k {
				all = all && tripled[j].side(Vec{3 * k.X, 3 * k.Y}) != outside
			}
			ok = ok || all
		}
		if !ok {
			return &survey.Error{Pos: r.points[0].At, Element: ringName(survey.Ring{Name: r.name, Kind: r.kind}),
				Found: "an opening that does not lie inside an outline", Want: "openings inside the floor"}
		}
	}
	return nil
}

// walkBorders chains the edges of each region into rings with the floor on the
// left, and measures walls and steps.
func (b *builder) walkBorders(m *delaunay.Mesh, label []int32, id []int) {
	of := func(h int32) int {
		if l := label[h/3]; l >= 0 {
			return id[l]
		}
		return -1
	}
	length := map[bool]*sum.Sum{true: {}, false: {}}
	seen := make([]bool, len(m.V))
	for h := range int32(len(m.V)) {
		r := of(h)
		if r < 0 || of(m.Twin[h]) == r {
			continue
		}
		a, c := m.V[h], m.V[next(h)]
		other := of(m.Twin[h])
		d := b.k[a].Distance(b.k[c]) / b.per
		switch {
		case other < 0:
			length[true].Add(d)
		case other < r:
			length[false].Add(d)
			b.floor.Steps = append(b.floor.Steps, [2]Vec{b.grid(b.k[a]), b.grid(b.k[c])})
		}
		if seen[h] {
			continue
		}
		var loop []int32
		for g := h; !seen[g]; {
			seen[g] = true
			loop = append(loop, m.V[g])
			for g = next(g); of(m.Twin[g]) == r; {
				g = next(m.Twin[g])
			}
		}
		b.regions[r].rings = append(b.regions[r].rings, loop)
	}
	b.floor.Perimeter, b.floor.StepLength = length[true].Value(), length[false].Value()
	for _, r := range b.regions {
		for i, loop := range r.rings {
			if b.turning(loop) > 0 {
				r.rings[0], r.rings[i] = r.rings[i], r.rings[0]
				break
			}
		}
		for _, loop := range r.rings {
			for i := range loop {
				r.edge = append(r.edge, borderEdge{a: loop[i], b: loop[(i+1)%len(loop)]})
			}
		}
	}
	// What lies between lines that do not part the floor stays in one region; the
	// loose pieces are kept as edges there.
	for h := range int32(len(m.V)) {
		if m.Mark[h]&step != 0 && h < m.Twin[h] && of(h) >= 0 && of(h) == of(m.Twin[h]) {
			u, v := m.V[h], m.V[next(h)]
			b.creases = append(b.creases, chain{name: "step", v: []int32{u, v}})
			b.loose[[2]int32{min(u, v), max(u, v)}] = true
		}
	}
	for _, ring := range b.rings {
		if ring.kind == survey.Hole {
			var g []Vec
			for _, k := range ring.k {
				g = append(g, b.grid(k))
			}
			b.floor.Openings = append(b.floor.Openings, g)
		}
	}
}

// turning returns the sign of the area that a loop runs round.
func (b *builder) turning(loop []int32) int {
	low := 0
	for i := range loop {
		if b.k[loop[i]].less(b.k[loop[low]]) {
			low = i
		}
	}
	n := len(loop)
	return orient(b.k[loop[(low+n-1)%n]], b.k[loop[low]], b.k[loop[(low+1)%n]])
}

// crossCreases makes a vertex wherever a line with elevations crosses a border
// or another such line.
func (b *builder) crossCreases() error {
	if len(b.creases) > 0 {
		if err := b.splitCreases(); err != nil {
			return err
		}
	}
	for _, r := range b.regions {
		var edges []edge
		for i := range r.edge {
			e := &r.edge[i]
			v := b.between(e.a, e.b, e.splits)
			for j := 1; j < len(v); j++ {
				edges = append(edges, edge{b.k[v[j-1]], b.k[v[j]], 0, i})
			}
		}
		r.tree = newEdgeTree(edges)
		outer := slices.IndexFunc(edges, func(e edge) bool { return e.at >= len(r.rings[0]) })
		if outer < 0 {
			outer = len(edges)
		}
		r.round = newEdgeTree(edges[:outer])
	}
	b.setBoxes()
	b.judgeSteps()
	return nil
}

// judgeSteps warns of steps that part nothing: most stop a little short of a wall,
// and the fill of both sides is then wrong.
func (b *builder) judgeSteps() {
	for _, c := range b.parting {
		var loose sum.Sum
		over := false
		for i := 1; i < len(c.v); i++ {
			u, v := c.v[i-1], c.v[i]
			if b.loose[[2]int32{min(u, v), max(u, v)}] {
				loose.Add(b.k[u].Distance(b.k[v]) / b.per)
			}
			mid := Vec{(b.k[u].X + b.k[v].X) / 2, (b.k[u].Y + b.k[v].Y) / 2}
			over = over || slices.ContainsFunc(b.regionsAt(mid), func(r *region) bool { return r.tree.side(mid) != outside })
		}
		switch l := loose.Value(); {
		case !over && l == 0:
			b.note(survey.Warning, c.at, "line %q lies outside the floor: it does nothing", c.name)
		case l > 0:
			ends := [2]Vec{b.k[c.v[0]], b.k[c.v[len(c.v)-1]]}
			gap := math.Inf(1)
			for _, e := range ends {
				for _, r := range b.regionsAt(e) {
					if r.tree.side(e) == inside {
						gap = min(gap, r.tree.distance(e)/b.per)
					}
				}
			}
			how := ""
			if !math.IsInf(gap, 1) {
				how = fmt.Sprintf("; an end of it is %s from the nearest wall", b.words.Length(gap))
			}
			b.note(survey.Warning, c.at, "line %q does not reach from wall to wall: along %s of it the two sides are one surface, and no step is kept%s", c.name, b.words.Length(l), how)
		}
	}
}

func (b *builder) splitCreases() error {
	var p pieces
	for i, c := range b.creases {
		p.add(b, i, c.v, false)
	}
	lines := len(p.edges)
	type borderOf struct{ r, e int }
	var border []borderOf
	for i, r := range b.regions {
		for j, e := range r.edge {
			p.edges = append(p.edges, edge{b.k[e.a], b.k[e.b], -1, len(p.edges)})
			border = append(border, borderOf{i, j})
		}
	}
	p.splits = make([][]int32, len(p.edges))
	// elevation returns that of a line where it is crossed, NaN if it has none.
	elevation := func(e *edge, at Vec) float64 {
		za, zb := b.z[b.vertex[e.a]], b.z[b.vertex[e.b]]
		return za + e.a.Distance(at)/e.a.Distance(e.b)*(zb-za)
	}
	err := eachPair(p.edges, func(e, f *edge) error {
		if e.owner < 0 && f.owner < 0 {
			return nil
		}
		if meet(e.a, e.b, f.a, f.b) != exact.Cross {
			// A line through a corner gives it its elevation, as it does a wall.
			for _, g := range [][2]*edge{{e, f}, {f, e}} {
				line, other := g[0], g[1]
				p.touch(b, line, other)
				for _, k := range []Vec{other.a, other.b} {
					v := b.vertex[k]
					if line.owner >= 0 && math.IsNaN(b.z[v]) && k != line.a && k != line.b && within(line.a, line.b, k) && orient(line.a, line.b, k) == 0 {
						b.z[v], b.at[v] = elevation(line, k), b.creases[line.owner].at
					}
				}
			}
			return nil
		}
		at, _ := intersection(e.a, e.b, f.a, f.b)
		z := math.NaN()
		where := survey.Pos{}
		if e.owner >= 0 {
			z, where = elevation(e, at), b.creases[e.owner].at
		}
		if f.owner >= 0 {
			zf := elevation(f, at)
			switch {
			case math.IsNaN(z):
				z, where = zf, b.creases[f.owner].at
			case math.IsNaN(zf):
			case math.Abs(z-zf) > crossingElevation:
				ce, cf, g := b.creases[e.owner], b.creases[f.owner], b.grid(at)
				return &survey.Error{
					Pos: cf.at, Element: fmt.Sprintf("breakline %q", cf.name),
					Found: fmt.Sprintf("elevation %s where it crosses breakline %q (%s) of elevation %s, at %s", b.words.Elevation(zf), ce.name, ce.at, b.words.Elevation(z), b.words.Place(g)),
					Want:  "breaklines that agree where they cross",
				}
			default:
				z = (z + zf) / 2
			}
		}
		if v, ok := b.vertex[at]; ok && math.Abs(b.z[v]-z) <= crossingElevation {
			z = math.NaN() // a third line through the same place: what stands there holds
		}
		v, err := b.add(at, z, where)
		p.splits[e.at] = append(p.splits[e.at], v)
		p.splits[f.at] = append(p.splits[f.at], v)
		return err
	})
	if err != nil {
		return err
	}
	i := 0
	for n := range b.creases {
		c := &b.creases[n]
		var v []int32
		for j := 1; j < len(c.v); j++ {
			part := b.between(c.v[j-1], c.v[j], p.splits[i])
			i++
			v = append(v, part[:len(part)-1]...)
		}
		c.v = append(v, c.v[len(c.v)-1])
	}
	for j, s := range p.splits[lines:] {
		e := &b.regions[border[j].r].edge[border[j].e]
		e.splits = append(e.splits, s...)
	}
	return nil
}

// atWall is how far outside an outline a shot still stands at the wall, m: places on
// the plan are measured with tapes, to the half centimetre at best (common practice, no
// source), and turning or rounding them pushes a wall shot out by less.
const atWall = 0.005

// wallShot is a shot just outside the outline and the place on it that is nearest.
type wallShot struct {
	shot int32
	part string
	foot Vec
	off  float64 // steps
}

// placeShots gives each shot to the region it lies in.
func (b *builder) placeShots() error {
	named := map[string]bool{}
	for _, r := range b.regions {
		if r.outer != "" {
			named[strings.ToLower(r.outer)] = true
		}
	}
	var near []wallShot
	outside := 0
	for i := range b.shot {
		p := &b.data.Shots[i]
		part := ""
		if p.Part != "" && named[strings.ToLower(p.Part)] {
			part = p.Part
		}
		placed, elsewhere := b.place(int32(i), part)
		if placed {
			continue
		}
		if elsewhere == "" {
			if w := b.toWall(int32(i), part); w.off <= atWall*b.per {
				near = append(near, w)
				continue
			}
		}
		b.leaveOut(i, part, elsewhere)
		outside++
	}
	if !b.floor.Hull && 2*outside > len(b.shot) && !b.anyInside() {
		return b.missed()
	}
	b.moveToWalls(near)
	b.findSides()
	b.judgeShared()
	for _, r := range b.regions {
		if len(r.shots) == 0 && !b.enoughOnBorder(r) {
			at := survey.Pos{}
			for _, ring := range b.rings {
				if ring.name == r.outer {
					at = ring.points[0].At
				}
			}
			return &survey.Error{Pos: at, Element: ringName(survey.Ring{Name: r.name}),
				Found: "no shot inside it", Want: "at least 3 shots",
				Hint: "are outline and survey in the same unit, and x and y the same way round?"}
		}
	}
	return nil
}

// place gives a shot to the regions it lies in or on; elsewhere is the region that it
// lies in though it is marked for another.
func (b *builder) place(i int32, part string) (placed bool, elsewhere string) {
	var in []*region
	for _, r := range b.regionsAt(b.shot[i]) {
		s := r.tree.side(b.shot[i])
		on := r.tree.on(b.shot[i])
		if len(on) > 0 {
			s = onBorder
		}
		if s == outside {
			continue
		}
		if part != "" && !strings.EqualFold(part, r.outer) {
			elsewhere = r.name
			continue
		}
		r.shots = append(r.shots, i)
		in = append(in, r)
		if s == onBorder {
			for _, e := range on {
				r.edge[e.at].shots = append(r.edge[e.at].shots, i)
			}
		}
	}
	if len(in) > 1 {
		b.shared = append(b.shared, sharedShot{shot: i, regions: in})
	}
	return len(in) > 0, elsewhere
}

// toWall returns the place on a wall that is nearest to a shot.
func (b *builder) toWall(i int32, part string) wallShot {
	w := wallShot{shot: i, part: part, off: math.Inf(1)}
	reach := math.Inf(1)
	b.nearRegions(b.shot[i], &reach, func(r *region) {
		if part != "" && !strings.EqualFold(part, r.outer) {
			return
		}
		r.tree.near(b.shot[i], &reach, func(e *edge) {
			foot := e.nearest(b.shot[i])
			foot = Vec{math.Round(foot.X), math.Round(foot.Y)}
			if off := foot.Distance(b.shot[i]); off < w.off || off == w.off && foot.less(w.foot) {
				w.foot, w.off = foot, off
				reach = w.off + 1 // the foot is rounded to a step
			}
		})
	})
	return w
}

// moveToWalls makes wall shots of those that lie just outside. Of several at one
// place, and where the outline or a shot has an elevation already, the others are left
// out as any shot outside is.
func (b *builder) moveToWalls(near []wallShot) {
	if len(near) == 0 {
		return
	}
	taken := map[Vec]bool{}
	for k, v := range b.vertex {
		taken[k] = !math.IsNaN(b.z[v])
	}
	for _, r := range b.regions {
		for _, e := range r.edge {
			for _, i := range e.shots {
				taken[b.shot[i]] = true
			}
		}
	}
	slices.SortFunc(near, func(v, w wallShot) int {
		return cmp.Or(cmp.Compare(v.off, w.off), cmp.Compare(b.data.Shots[v.shot].Z, b.data.Shots[w.shot].Z), cmp.Compare(v.shot, w.shot))
	})
	moved, farthest := 0, wallShot{}
	for _, w := range near {
		if !taken[w.foot] {
			taken[w.foot] = true
			from := b.shot[w.shot]
			b.shot[w.shot] = w.foot
			if placed, _ := b.place(w.shot, w.part); placed {
				moved, farthest = moved+1, w
				continue
			}
			b.shot[w.shot] = from
		}
		b.leaveOut(int(w.shot), w.part, "")
	}
	if moved > 0 {
		what := "1 shot that lies"
		if moved > 1 {
			what = fmt.Sprintf("%d shots that lie", moved)
		}
		b.note(survey.Assumed, b.data.Shots[farthest.shot].At, "%s outside the outline, by %s at the most, taken to stand at the wall", what, b.words.Depth(max(farthest.off/b.per, 0.001)))
	}
}

func (b *builder) enoughOnBorder(r *region) bool {
	n := 0
	for _, e := range r.edge {
		if !math.IsNaN(b.z[e.a]) {
			n++
		}
	}
	return n >= 3
}

func (b *builder) leaveOut(i int, part, elsewhere string) {
	p := b.data.Shots[i]
	name := cmp.Or(p.Name, "shot")
	if elsewhere != "" {
		b.drop(int32(i), "%s is marked for region %q but lies in %q", name, part, elsewhere)
		return
	}
	best, where := b.toEdge(b.shot[i]), "outside the outline"
	for _, ring := range b.rings {
		if ring.kind != survey.Hole {
			continue
		}
		if ring.tree == nil {
			ring.tree = newEdgeTree(ring.edges(0))
		}
		if ring.tree.side(b.shot[i]) == inside {
			where = "inside " + ringName(survey.Ring{Name: ring.name, Kind: ring.kind})
		}
	}
	b.drop(int32(i), "%s lies %s, %s from its edge", name, where, b.words.Length(best/b.per))
}

// triangulate makes the surface of each region.
func (b *builder) triangulate() error {
	for _, r := range b.regions {
		t, err := b.surfaceOf(r)
		if err != nil {
			return err
		}
		out := Region{Name: r.name, TIN: t, Shots: b.data.Shots}
		if len(b.regions) > 1 || slices.Contains(b.dropped, true) {
			out.Shots = nil // a million shots are not copied without need
			for v, i := range t.Shot {
				if i >= 0 {
					t.Shot[v] = int32(len(out.Shots))
					out.Shots = append(out.Shots, b.data.Shots[i])
				}
			}
		}
		for _, loop := range r.rings {
			var g []Vec
			for _, v := range loop {
				g = append(g, b.grid(b.k[v]))
			}
			out.Rings = append(out.Rings, g)
		}
		b.floor.Regions = append(b.floor.Regions, out)
	}
	for _, d := range b.dropped {
		if !d {
			b.floor.Used++
		}
	}
	return nil
}

// surfaceOf triangulates one region.
func (b *builder) surfaceOf(r *region) (*TIN, error) {
	s := &sheet{b: b, r: r, given: map[int32]survey.Pos{}}
	s.table.grow(len(r.shots) + 4*len(r.edge))
	if err := s.addShots(); err != nil {
		return nil, err
	}
	if err := s.addBorder(); err != nil {
		return nil, err
	}
	if err := s.addCreases(); err != nil {
		return nil, err
	}
	if err := s.fitWalls(); err != nil {
		return nil, err
	}
	return s.tin()
}

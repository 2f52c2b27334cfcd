package surface

import (
	"fmt"
	"math"
	"slices"

	"pourplane/surface/internal/delaunay"
	"pourplane/surface/internal/exact"
	"pourplane/surface/internal/plan"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Duplicates is what to do with two shots at one place with different elevations.
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
	Without    []string // parts that are left out of the floor, see [Floor.Without]
	Within     *Shape   // what it does not cover is left out of the floor, see [Floor.Covered]
}

// sameElevation is how far two elevations at one place may differ and still count as one: a
// micrometre, less than anyone can measure and more than the rounding of a unit conversion.
const sameElevation = 1e-6

// crossingElevation is how far two breaklines may differ where they cross, m.
const crossingElevation = 0.0005

// Constraint marks in the plan and in each region's mesh. None equals [delaunay.Toggle]: an
// edge shared by two rings still counts as a wall.
const (
	wall   uint8 = 1 << (iota + 1) // an edge of a ring
	step                           // a line without elevations
	crease                         // a line with elevations
)

// NewFloor triangulates the shots inside the outline, region by region.
//
// Outlines and lines without elevations cut the plan into regions. Each region is a surface
// of its own, so a step keeps both its elevations. A shot belongs to the region it is in, or
// to the one that its Part names. On the edge of two regions it belongs to both, or to the
// one whose shots it clearly agrees with, see [Floor.Notes]. Corners and walls without an
// elevation get one from a plane fitted to the nearest shots, see [TIN.Fitted]. A breakline
// that meets a wall gives the wall its elevation there.
//
// Errors are [*survey.Error] with file and line: an outline that crosses itself or another,
// an opening outside every outline, two elevations at one place, a region without three
// shots off one line, breaklines that cross at different elevations.
func NewFloor(d Data) (*Floor, error) {
	if len(d.Shots) == 0 && len(d.Rings) == 0 {
		return nil, &survey.Error{Found: "no shots", Want: "at least 3 that are not on one line"}
	}
	b := &builder{data: d, floor: &Floor{Data: d, Shots: len(d.Shots)}, corners: map[int32][]cornerZ{}, loose: map[[2]int32]bool{}}
	b.setGrid()
	for _, stage := range []func() error{b.checkRings, b.cutPlan, b.crossCreases, b.placeShots, b.triangulate} {
		if err := stage(); err != nil {
			return nil, b.mostlyMissed(err)
		}
	}
	b.floor.Notes = append(b.floor.Notes, b.ofWalls...)
	floor := b.floor.Without(d.Without...)
	if d.Within == nil {
		return floor, nil
	}
	return floor.Covered(*d.Within)
}

// builder holds the stages of NewFloor. Its vertices are the corners of rings and lines and
// the places where they cross. Shots are added region by region.
type builder struct {
	ofWalls []survey.Note // after all others
	data    Data
	floor   *Floor
	plan.NanoGrid
	shot    []Vec          // shots on the nanometre grid
	marked  bool           // a shot names its part
	byLine  []bool         // per shot: it may be at an edge or line; nil: any may be
	mesh    *delaunay.Mesh // of all shots, if their hull is the outline and no two are at one place
	dropped []bool
	outside int // shots

	plan.Vertices
	z  []float64 // of lines, NaN: none measured
	at []survey.Pos

	corners map[int32][]cornerZ // of rings, by vertex

	rings   []*ring
	regions []*region
	boxes   plan.BoxTree // round the regions, see [builder.setBoxes]
	held    []int        // scratch of [builder.regionsAt]
	near    []*region
	edges   []plan.Edge       // scratch of [builder.place]
	parting []polyline        // lines without elevations, cut where they meet any other
	loose   map[[2]int32]bool // pieces of them that separate nothing
	creases []polyline        // lines with elevations and loose pieces of steps
	shared  []sharedShot      // shots on an edge of several regions, in all of them until one side is chosen
}

// region is a piece of the plan.
type region struct {
	name  string
	outer string    // name of its outline
	ring  int       // its outline
	rings [][]int32 // vertices, floor on the left
	tree  *plan.EdgeTree
	round *plan.EdgeTree // of the outer walls only
	edge  []borderEdge   // numbered as edge.at in tree
	shots []int32
}

type borderEdge struct {
	a, b   int32
	splits []int32 // vertices between a and b
	shots  []int32 // shots on the edge
}

// polyline is a line as vertices.
type polyline struct {
	name string
	at   survey.Pos
	v    []int32
}

func (b *builder) setGrid() {
	lo := Vec{X: math.Inf(1), Y: math.Inf(1)}
	hi := Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	see := func(points []survey.Point) {
		for i := range points {
			p := &points[i]
			lo = Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
			hi = Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
	}
	for _, r := range b.data.Rings {
		see(r.Points)
	}
	for _, l := range b.data.Lines {
		see(l.Points)
	}
	n := len(b.data.Shots)
	b.shot = make([]Vec, n)
	b.dropped = make([]bool, n)
	// Shots are large, so each is looked at once.
	for i := range b.data.Shots {
		p := &b.data.Shots[i]
		b.shot[i] = Vec{X: p.X, Y: p.Y}
		lo = Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		b.marked = b.marked || p.Part() != ""
	}
	b.NanoGrid = plan.NewNanoGrid(lo, hi)
	for i, p := range b.shot {
		b.shot[i] = b.Steps(p)
	}
}

// drop leaves shot i out for the reason given and reports it once.
func (b *builder) drop(i int32, format string, args ...any) {
	if !b.dropped[i] {
		b.dropped[i] = true
		b.note(survey.LeftOut, b.data.Shots[i].At(), format, args...)
	}
}

func (b *builder) note(k survey.NoteKind, at survey.Pos, format string, args ...any) {
	b.floor.Notes = append(b.floor.Notes, survey.Notef(k, at, format, args...))
}

// add returns the vertex at k and makes it if it is new. A vertex takes the first elevation
// it is given; a different one is an error.
func (b *builder) add(k Vec, z float64, at survey.Pos) (int32, error) {
	v, made := b.Vertices.Add(k)
	if made {
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
	g := b.Site(k)
	return (&survey.Error{Pos: at2, Want: "one elevation at one place"}).
		Saw("elevation %s at %s, where %s gives %s (%s apart)", unit.FineLevel(z2), b.beside(g), at1, unit.FineLevel(z1), unit.FineDepth(math.Abs(z1-z2))).
		Hinted("%s, first or last takes one of them; for a step, give each side an outline of its own and name the side of each shot at it in a column part", unit.Ask("duplicates", "mean"))
}

// beside gives a place in an error by the walls of the outlines, as the finished floor
// would.
func (b *builder) beside(p Vec) Spot {
	walls := &Floor{Data: b.data, Hull: true}
	for _, r := range b.rings {
		if r.kind != survey.Outer {
			continue
		}
		out := make([]Vec, len(r.k))
		for i, k := range r.k {
			out[i] = b.Site(k)
		}
		if RingArea(out) < 0 {
			slices.Reverse(out)
		}
		walls.Regions, walls.Hull = append(walls.Regions, Region{Name: r.name, Rings: [][]Vec{out}}), false
	}
	return Spot{Floor: walls, At: p}
}

func (b *builder) checkRings() error {
	outers := 0
	for _, r := range b.data.Rings {
		if len(r.Points) == 0 {
			continue
		}
		c, err := newRing(r, b.NanoGrid)
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
	var hull []int32
	if mesh, err := plan.Triangulate(b.shot); err == nil {
		b.mesh, hull = mesh, plan.HullOf(mesh)
	} else {
		hull = plan.ConvexHull(b.shot)
	}
	if len(hull) < 3 {
		what := fmt.Sprintf("%d shots", len(b.shot))
		if len(b.shot) >= 3 {
			what += " that are all on one line"
		}
		return &survey.Error{Pos: survey.Pos{File: firstFile(b.data.Shots)}, Found: what, Want: "at least 3 that are not on one line"}
	}
	r := &ring{kind: survey.Outer, name: "line around the outermost shots"}
	for _, v := range hull {
		p := b.data.Shots[v]
		r.k = append(r.k, b.shot[v])
		p.Z = math.NaN() // the shot itself gives its elevation
		r.points = append(r.points, p)
	}
	r.area = plan.TwiceArea(r.k)
	b.rings = append(b.rings, r)
	b.floor.Hull = true
	return nil
}

func firstFile(points []survey.Point) string {
	if len(points) == 0 {
		return ""
	}
	return points[0].At().File
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
	lines, err := b.planLines()
	if err != nil {
		return err
	}
	var p plan.Splits
	for i, c := range lines {
		p.AddLine(&b.Vertices, i, c.v, i < len(b.rings))
	}
	err = plan.EachPair(p.Edges, func(e, f *plan.Edge) error {
		if plan.Meet(e.A, e.B, f.A, f.B) == exact.Cross {
			return b.splitPlan(&p, e, f)
		}
		p.Touch(&b.Vertices, e, f)
		p.Touch(&b.Vertices, f, e)
		return nil
	})
	if err != nil {
		return err
	}
	mesh, err := plan.Triangulate(b.K)
	if err != nil {
		return err
	}
	if err := b.keepLines(mesh, lines, &p); err != nil {
		return err
	}
	return b.regionsOf(mesh)
}

// planLines returns the lines that cut the plan: rings, which are closed, then steps. Lines
// with elevations are kept for the surfaces.
func (b *builder) planLines() ([]polyline, error) {
	var out []polyline
	for n, r := range b.rings {
		c := polyline{name: r.name}
		for i, k := range r.k {
			v, err := b.add(k, math.NaN(), r.points[i].At())
			if err == nil {
				err = b.giveCorner(n, v, r.points[i])
			}
			if err != nil {
				return nil, err
			}
			c.v = append(c.v, v)
		}
		out = append(out, c)
	}
	for _, l := range b.data.Lines {
		c := polyline{name: l.Name, at: l.At}
		for _, p := range l.Points {
			v, err := b.add(b.Steps(Vec{X: p.X, Y: p.Y}), p.Z, p.At())
			if err == nil {
				err = b.lineThrough(v, p)
			}
			if err != nil {
				return nil, err
			}
			if n := len(c.v); n == 0 || c.v[n-1] != v {
				c.v = append(c.v, v)
			}
		}
		if len(c.v) < 2 {
			return nil, &survey.Error{Pos: l.At, Element: fmt.Sprintf("line %q", l.Name), Found: "1 place", Want: "at least 2"}
		}
		if isStep(l) {
			out = append(out, c)
		} else {
			b.creases = append(b.creases, c)
		}
	}
	return out, nil
}

// splitPlan makes a vertex where e and f cross. Rings may not cross each other.
func (b *builder) splitPlan(p *plan.Splits, e, f *plan.Edge) error {
	at, _ := plan.Intersection(e.A, e.B, f.A, f.B)
	if e.Owner < len(b.rings) && f.Owner < len(b.rings) {
		r, s := b.rings[e.Owner], b.rings[f.Owner]
		return (&survey.Error{
			Pos:     s.points[0].At(),
			Element: ringName(survey.Ring{Name: s.name, Kind: s.kind}),
			Want:    "outlines and openings that do not cross each other", Ask: anotherOutline,
		}).Saw("an edge that crosses %s (%s) near %s", ringName(survey.Ring{Name: r.name, Kind: r.kind}), source(r.points[0]), placeOf(b.Site(at)))
	}
	v, err := b.add(at, math.NaN(), survey.Pos{})
	p.Cross(e, f, v)
	return err
}

// keepLines makes the lines edges of the mesh, marked as walls and steps, split as p has
// them.
func (b *builder) keepLines(mesh *delaunay.Mesh, lines []polyline, p *plan.Splits) error {
	next := 0
	for n, c := range lines {
		mark := step
		if n < len(b.rings) {
			mark = wall
		}
		c.v, next = p.Line(&b.Vertices, c.v, mark == wall, next)
		for s := 1; s < len(c.v); s++ {
			if err := mesh.Constrain(c.v[s-1], c.v[s], mark); err != nil {
				return b.tooClose(c, err)
			}
		}
		if mark == step {
			b.parting = append(b.parting, c)
		}
	}
	return nil
}

// tooClose is the error for a crossing that rounding to the nanometre grid caused.
func (b *builder) tooClose(c polyline, err error) error {
	return &survey.Error{Pos: c.at, Element: fmt.Sprintf("line %q", c.name),
		Found: "an edge that passes within a nanometre of another line", Want: "lines that cross clearly or meet at a common place", Err: err}
}

// triangulate makes the surface of each region.
func (b *builder) triangulate() error {
	for _, r := range b.regions {
		t, err := b.surfaceOf(r)
		if err != nil {
			return err
		}
		out := Region{Name: r.name, Part: r.outer, TIN: t, Shots: b.data.Shots}
		if len(b.regions) > 1 || slices.Contains(b.dropped, true) {
			out.Shots = nil // saves a copy of up to a million shots
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
				g = append(g, b.Site(b.K[v]))
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

// surfaceOf triangulates one region. A shot that is by no line can only be at the place of
// another shot, which is found when they are triangulated: at first its place is not looked
// up.
func (b *builder) surfaceOf(r *region) (*TIN, error) {
	if b.byLine != nil {
		notes, dropped := len(b.floor.Notes), slices.Clone(b.dropped)
		if t, err := b.tinOf(r); err == nil {
			return t, nil
		}
		b.floor.Notes, b.dropped, b.byLine = b.floor.Notes[:notes], dropped, nil
	}
	return b.tinOf(r)
}

func (b *builder) tinOf(r *region) (*TIN, error) {
	s := &regionMesh{b: b, r: r, given: map[int32]survey.Pos{}}
	for _, stage := range []func() error{s.addShots, s.addBorder, s.addCreases, s.fitWalls} {
		if err := stage(); err != nil {
			return nil, err
		}
	}
	return s.tin()
}

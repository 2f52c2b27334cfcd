package surface

import (
	"fmt"
	"math"
	"slices"

	"pourplane/surface/internal/plan"
	"pourplane/survey"
	"pourplane/survey/unit"
)

const (
	// nearLine is how far from a line, in steps, a place still counts as on it:
	// places on walls, creases and steps that run at an angle are rounded to the nanometre grid.
	// The rounding of the arithmetic below is under a quarter of a step, so the side of a
	// place is never a guess.
	nearLine = 2

	// If a line meets a wall at a small angle, rounding moves the meeting place many steps
	// along the line. A bit of line up to this length, a micrometre, that separates nothing
	// comes from that. It is not a line that ends inside the floor.
	looseEnd = 1000

	// farthestLine is the max distance of a line from the floor's origin, m.
	farthestLine = 1e6
)

// Parts is a floor cut along lines.
type Parts struct {
	Pieces []*Floor // from west to east by their westernmost corner, then from south to north
	Joins  []Join   // where two pieces meet
}

// Join is a straight stretch of a line along which two pieces meet.
type Join struct {
	Line   int    // number of the line among those given, from 0; -1 along a step
	Pieces [2]int // numbers in Parts.Pieces, the smaller first
	// Run is the floor along the stretch from its western end, straight between stations; at
	// a step it is the lower side.
	Run []Station
}

// Length returns the length of a stretch in plan, m.
func (j Join) Length() float64 { return j.Run[len(j.Run)-1].Distance }

// Heights returns the min and max depth from the floor along j to target, m; negative where
// the floor is above target. Between two parts the higher of their targets counts.
func (j Join) Heights(target Target) (least, greatest float64) {
	least, greatest = math.Inf(1), math.Inf(-1)
	sides := []Target{target}
	if of, ok := target.(PartTargets); ok {
		a, b := j.Run[0].At, j.Run[len(j.Run)-1].At
		sides = of.meeting(Vec{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2})
	}
	for _, s := range j.Run {
		d := math.Inf(-1)
		for _, t := range sides {
			d = max(d, t.Elevation(s.At)-s.Elevation)
		}
		least, greatest = min(least, d), max(greatest, d)
	}
	return least, greatest
}

// Cut cuts the floor along lines without changing its surface. Triangles that a line crosses
// are split there and the new corners are on the surface, so the areas and fills of the
// pieces sum to those of the whole except for rounding. Lines are on the grid of the survey;
// parts beyond the walls do nothing. The two sides of a step are one piece unless a line
// runs along it.
//
// A place within two steps (nanometres) of a line is on it. A line that ends or
// turns that close to a corner or an edge of the surface does so on it. A triangle as thin
// as that may have parts with no area.
//
// Each piece is a separate floor with its own shots; shots on a line belong to both sides.
// Its Data is empty. Its Perimeter counts walls, not lines; if it is
// cut again, its whole edge is wall.
//
// Errors are [*survey.Error] that give the line's number from 1: fewer than two places, a
// place that is not finite or too far away, a line that does not cross the floor, one that
// ends inside the floor or does not divide it. Or they name the floor, if rounding leaves
// its cut triangles on top of each other.
func (f *Floor) Cut(lines [][]Vec) (*Parts, error) { return f.cut(lines, nil, false) }

// CutRegions cuts as [Floor.Cut] does, and also along every step, so that each piece is in
// one region. Line i cuts only region number only[i]; if only is nil each line cuts every
// region it crosses.
func (f *Floor) CutRegions(lines [][]Vec, only []int) (*Parts, error) {
	return f.cut(lines, only, true)
}

func (f *Floor) cut(lines [][]Vec, only []int, apart bool) (*Parts, error) {
	lo, hi := f.Bounds()
	c := &cutter{f: f, NanoGrid: plan.NewNanoGrid(lo, hi), only: only, apart: apart}
	c.Origin = f.Regions[0].TIN.Origin // that of all regions of a floor
	for _, r := range f.Regions {
		c.patches = append(c.patches, c.newPatch(r))
	}
	for i, l := range lines {
		if err := c.addLine(i, l); err != nil {
			return nil, err
		}
	}
	if err := c.checkEnds(); err != nil {
		return nil, err
	}
	for i, p := range c.patches {
		courses := p.courses(c.segments, func(s segment) bool { return only == nil || only[s.Owner] == i })
		for i := range courses {
			p.cut(&courses[i])
		}
		p.place(c)
		if a, b, ok := p.join(); !ok {
			return nil, p.tangled(c, a, b)
		}
		p.bar(courses)
		c.label(p)
	}
	c.linkSteps()
	c.unite()
	return c.parts(len(lines))
}

// tangled is the error for p when triangles a and b are on the same side of one edge.
func (p *patch) tangled(c *cutter, a, b int32) error {
	name := "floor"
	if p.region.Name != "" {
		name = fmt.Sprintf("floor %q", p.region.Name)
	}
	return (&survey.Error{Element: name, Want: "one on either side"}).
		Saw("two triangles on the same side of one edge where it is cut, by %s and %s", c.beside(p.centroid(a)), c.beside(p.centroid(b))).
		Hinted("move the lines that cross the floor there by %s", unit.Either{Metric: "a few millimetres", US: "1/4 in"})
}

// segment is a straight piece of a line, on the nanometre grid. Its ends are in the order of
// [Vec.less], so a line cuts the same in either direction.
type segment struct {
	plan.Edge // owner: which line; at: which piece of it
	length    float64
}

// off returns how far p is to the left of the line through s, in steps; 0 on it.
func (s *segment) off(p Vec) float64 {
	d := s.left(p)
	if math.Abs(d) <= nearLine {
		return 0
	}
	return d
}

// left is off without its tolerance.
func (s *segment) left(p Vec) float64 {
	return (float64((s.B.X-s.A.X)*(p.Y-s.A.Y)) - float64((s.B.Y-s.A.Y)*(p.X-s.A.X))) / s.length
}

// along returns how far along s the foot of p is, in steps.
func (s *segment) along(p Vec) float64 {
	return (float64((s.B.X-s.A.X)*(p.X-s.A.X)) + float64((s.B.Y-s.A.Y)*(p.Y-s.A.Y))) / s.length
}

// covers reports whether the stretch from p to q, both on the line through s, is part of s.
// Lines are split where they turn, so checking the middle is enough.
func (s *segment) covers(p, q Vec) bool {
	m := (s.along(p) + s.along(q)) / 2
	return 0 <= m && m <= s.length
}

func (s *segment) middle() Vec { return Vec{X: (s.A.X + s.B.X) / 2, Y: (s.A.Y + s.B.Y) / 2} }

// cutter holds the stages of Cut.
type cutter struct {
	f *Floor
	plan.NanoGrid
	only     []int     // per line: the region it cuts; nil: every line cuts all
	apart    bool      // steps divide the floor as lines do
	lines    [][]Vec   // on the nanometre grid
	segments []segment // of the lines, then the dividing steps, with -1 as owner
	patches  []*patch

	cells []cell
	links []link
	joint []int32 // cells that are one piece, as a disjoint-set forest
}

// patch is the surface of a region while it is cut.
type patch struct {
	region  Region
	t       *TIN
	k       []Vec      // on the nanometre grid; new corners may be between its places
	ends    [][2]int32 // per corner: the ends of the edge that it splits, -1 where it splits none
	near    nearby
	changed []bool    // per triangle: split before near was made
	turn    int32     // counts the courses
	off     []float64 // per corner: how far it is to the left of the course that was last asked of it, in steps
	at      []int32   // per corner: the turn of that course
	crossed []int32   // triangles, while a course is cut
	dam     []int32   // per half-edge: the segment along it, -1 for none
	cell    []int32   // per triangle
	thin    []bool    // per triangle: a sliver between lines that almost meet, joined to a neighbour
}

// cell is a part of a patch that no line crosses.
type cell struct {
	patch *patch
	first [2]Vec // the westernmost corner, and the middle of its triangles
	piece int
}

// link is a stretch of a step, with a cell on either side of it.
type link struct {
	cells  [2]int32
	p, q   Vec        // on the nanometre grid
	zp, zq [2]float64 // elevation at p and q on either side
	dam    int32
}

func (c *cutter) newPatch(r Region) *patch {
	p := &patch{region: r, k: make([]Vec, len(r.TIN.X))}
	p.t = &TIN{Origin: r.TIN.Origin, X: slices.Clone(r.TIN.X), Y: slices.Clone(r.TIN.Y), Z: slices.Clone(r.TIN.Z),
		V: slices.Clone(r.TIN.V), Fitted: slices.Clone(r.TIN.Fitted), Shot: slices.Clone(r.TIN.Shot)}
	p.t.top = top{r.TIN.top.of, slices.Clone(r.TIN.top.z)}
	p.ends = make([][2]int32, len(p.k))
	for v := range p.k {
		p.k[v] = Vec{X: c.back(p.t.X[v]), Y: c.back(p.t.Y[v])}
		p.ends[v] = noEdge
	}
	p.off, p.at = make([]float64, len(p.k)), make([]int32, len(p.k))
	p.near = newNearby(p)
	return p
}

// twins returns the twins of the half-edges of p, as they are before any triangle is split, or
// after [patch.reindex].
func (p *patch) twins() []int32 {
	if p.t.Twin != nil {
		return p.t.Twin
	}
	return p.region.TIN.Twin
}

// join sets Twin of the triangles of p, as [TIN.join] does.
func (p *patch) join() (a, b int32, ok bool) {
	old := p.region.TIN.Twin
	p.t.Twin = make([]int32, len(p.t.V))
	whole := func(h int32) bool {
		return int(h) < len(old) && p.near.next[h/3] < 0 && (p.changed == nil || !p.changed[h/3])
	}
	var loose []int32
	for h := range int32(len(p.t.V)) {
		if whole(h) && (old[h] < 0 || whole(old[h])) {
			p.t.Twin[h] = old[h]
		} else {
			loose = append(loose, h)
		}
	}
	return p.t.pair(loose)
}

// back returns metres from the origin as steps: whole ones for a place of the nanometre grid,
// fractions at the corners that an earlier cut made.
func (c *cutter) back(m float64) float64 {
	if k := math.Round(m * c.Per); k/c.Per == m {
		return k
	}
	return m * c.Per
}

// beside gives the place k of the nanometre grid by the walls of the floor.
func (c *cutter) beside(k Vec) Spot { return Spot{Floor: c.f, At: c.Site(k)} }

func lineName(i int) string { return fmt.Sprintf("cut line %d", i+1) }

func (c *cutter) addLine(i int, line []Vec) error {
	var k []Vec
	for _, p := range line {
		if !(math.Abs(p.X-c.Origin.X) <= farthestLine && math.Abs(p.Y-c.Origin.Y) <= farthestLine) {
			return (&survey.Error{Element: lineName(i), Want: "places on or beside the floor"}).Saw("the place %s", placeOf(p))
		}
		if q := c.Steps(p); len(k) == 0 || k[len(k)-1] != q {
			k = append(k, q)
		}
	}
	if len(k) < 2 {
		return &survey.Error{Element: lineName(i), Found: fmt.Sprintf("%d different places", len(k)), Want: "at least 2"}
	}
	for j := 1; j < len(k); j++ {
		s := segment{plan.Edge{A: k[j-1], B: k[j], Owner: i, At: j - 1}, k[j-1].Distance(k[j])}
		if s.B.Less(s.A) {
			s.A, s.B = s.B, s.A
		}
		c.segments = append(c.segments, s)
	}
	c.lines = append(c.lines, k)
	return nil
}

// checkEnds refuses lines that end inside the floor and not on another line.
func (c *cutter) checkEnds() error {
	for i, l := range c.lines {
		last := len(l) - 1
		if l[0] == l[last] {
			continue
		}
		for n, e := range []Vec{l[0], l[last]} {
			own := []int{0, last - 1}[n]
			if slices.ContainsFunc(c.segments, func(s segment) bool {
				return (s.Owner != i || s.At != own) && s.Distance(e) <= nearLine
			}) {
				continue
			}
			if gap := c.depthInside(e); gap > nearLine {
				return (&survey.Error{Element: lineName(i), Want: "a line that runs from wall to wall or to another line",
					Hint: "let the line reach a little beyond the wall: what is outside does nothing"}).
					Saw("an end inside the floor at %s, %s from the nearest wall", c.beside(e), unit.Distance(gap/c.Per))
			}
		}
	}
	return nil
}

// depthInside returns the distance of e from the edge of its region, in steps; 0 outside the
// floor.
func (c *cutter) depthInside(e Vec) float64 {
	lo, hi := c.f.Bounds()
	if at := c.Site(e); at.X < lo.X || at.X > hi.X || at.Y < lo.Y || at.Y > hi.Y {
		return 0
	}
	for i, p := range c.patches {
		t := c.f.Regions[i].TIN
		for h := 0; h < len(t.V); h += 3 {
			a, b, d := p.k[t.V[h]], p.k[t.V[h+1]], p.k[t.V[h+2]]
			if plan.Orient(a, b, e) < 0 || plan.Orient(b, d, e) < 0 || plan.Orient(d, a, e) < 0 {
				continue
			}
			gap := math.Inf(1)
			for h, w := range t.Twin {
				if w < 0 {
					gap = min(gap, plan.Edge{A: p.k[t.V[h]], B: p.k[t.V[Next(int32(h))]]}.Distance(e))
				}
			}
			return gap
		}
	}
	return 0
}

// label divides p into cells.
func (c *cutter) label(p *patch) {
	p.cell = make([]int32, p.t.Len())
	p.thin = make([]bool, len(p.cell))
	// A strip no wider than the tolerance of a place on a line is not a cell: it joins the
	// neighbour along its longest edge.
	p.flood(0, func(strip []int32) {
		beside := c.besideStrip(p, strip)
		if beside < 0 {
			return
		}
		for _, t := range strip {
			p.thin[t] = true
		}
		p.dam[beside], p.dam[p.t.Twin[beside]] = -1, -1
	})
	p.flood(int32(len(c.cells)), func(found []int32) {
		c.cells = append(c.cells, p.cellOf(found))
	})
}

// flood labels the triangles of p that are joined, no dam between them, with one number
// from first on, and passes each group to see.
func (p *patch) flood(first int32, see func(group []int32)) {
	for t := range p.cell {
		p.cell[t] = -1
	}
	var stack, group []int32
	id := first
	for seed := range int32(len(p.cell)) {
		if p.cell[seed] >= 0 {
			continue
		}
		group = group[:0]
		p.cell[seed] = id
		stack = append(stack, seed)
		for len(stack) > 0 {
			t := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			group = append(group, t)
			for h := 3 * t; h < 3*t+3; h++ {
				if w := p.t.Twin[h]; w >= 0 && p.dam[h] < 0 && p.cell[w/3] != id {
					p.cell[w/3] = id
					stack = append(stack, w/3)
				}
			}
		}
		id++
		see(group)
	}
}

// besideStrip returns the longest edge that a group of triangles has in common with another,
// if the group is a strip no wider than nearLine; else -1.
func (c *cutter) besideStrip(p *patch, group []int32) int32 {
	var area, border, longest float64
	beside := int32(-1)
	for _, t := range group {
		area += p.t.area(int(t)) * c.Per * c.Per
		for h := 3 * t; h < 3*t+3; h++ {
			w := p.t.Twin[h]
			if w >= 0 && p.dam[h] < 0 {
				continue
			}
			d := p.k[p.t.V[h]].Distance(p.k[p.t.V[Next(h)]])
			border += d
			if w >= 0 && p.cell[w/3] != p.cell[t] && d > longest {
				longest, beside = d, h
			}
		}
	}
	if area > nearLine*border {
		return -1
	}
	return beside
}

// cellOf makes a cell of a group of triangles; its first corner and middle tell where it is
// among the others.
func (p *patch) cellOf(group []int32) cell {
	inf := Vec{X: math.Inf(1), Y: math.Inf(1)}
	out := cell{patch: p, first: [2]Vec{inf, inf}}
	for _, t := range group {
		if m := p.middle(t); m.Less(out.first[1]) {
			out.first[1] = m
		}
		for _, v := range p.t.V[3*t : 3*t+3] {
			if p.k[v].Less(out.first[0]) {
				out.first[0] = p.k[v]
			}
		}
	}
	return out
}

// centroid returns the centroid of triangle t, on the nanometre grid.
func (p *patch) centroid(t int32) Vec {
	m := p.middle(t)
	return Vec{X: m.X / 3, Y: m.Y / 3}
}

// middle returns three times the centroid of triangle t, on the nanometre grid.
func (p *patch) middle(t int32) Vec {
	a, b, c := p.k[p.t.V[3*t]], p.k[p.t.V[3*t+1]], p.k[p.t.V[3*t+2]]
	// The sum must not depend on which corner comes first.
	x, y := []float64{a.X, b.X, c.X}, []float64{a.Y, b.Y, c.Y}
	slices.Sort(x)
	slices.Sort(y)
	return Vec{X: x[0] + x[1] + x[2], Y: y[0] + y[1] + y[2]}
}

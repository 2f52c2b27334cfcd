package setout

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"pourplane/surface"
	"pourplane/survey"
)

// ShotGrid is the places to shoot on one part of a floor: where its columns, which have
// letters, cross its rows, which have numbers. A tape gives them from two walls.
type ShotGrid struct {
	Part        string      // outline that it is for; often empty if there is only one
	Origin      surface.Vec // the corner from which columns and rows are measured
	Bearing     float64     // in which the letters run, degrees clockwise from north; numbers run to the left of it
	Columns     []float64   // m from the wall West, growing
	Rows        []float64   // m from the wall South, growing
	On          [][]bool    // by row and column: a shot is here, as the floor is
	West, South string      // the walls that Columns and Rows are from: "west wall"
}

// GridRule is how a grid is laid over a floor.
type GridRule struct {
	Spacing float64 // m, between lines away from the walls
	Off     float64 // m, from a wall to the line beside it
	Mark    float64 // m: a line beside a far wall is at a whole number of these from the near one, as a tape shows it
}

// mostCrossings is the max number of crossings of a grid, on the floor or off it: far more than
// anyone shoots by hand. Own choice.
const mostCrossings = 20_000

// Name returns the name of a crossing, "B3": letters I and O are not used, which look as 1
// and 0 do.
func (g *ShotGrid) Name(row, column int) string { return Letter(column) + strconv.Itoa(row+1) }

// Letter returns the name of column n, from 0: A to Z without I and O, then AA.
func Letter(n int) string {
	const used = "ABCDEFGHJKLMNPQRSTUVWXYZ"
	if n < len(used) {
		return used[n : n+1]
	}
	return Letter(n/len(used)-1) + used[n%len(used):n%len(used)+1]
}

// At returns the place of a crossing.
func (g *ShotGrid) At(row, column int) surface.Vec {
	return g.frame().out(surface.Vec{X: g.Columns[column], Y: g.Rows[row]})
}

// Local returns a place as its distances from the walls West and South, m.
func (g *ShotGrid) Local(p surface.Vec) surface.Vec { return g.frame().in(p) }

// Shots returns the places to shoot, at elevation 0, row by row.
func (g *ShotGrid) Shots() (out []survey.Point) {
	for r, row := range g.On {
		for c, on := range row {
			if on {
				p := g.At(r, c)
				out = append(out, survey.Point{X: p.X, Y: p.Y}.With(survey.Tag{Name: g.Name(r, c), Part: g.Part}))
			}
		}
	}
	return out
}

func (g *ShotGrid) frame() frame { return frameAt(g.Origin, g.Bearing) }

// frame is local axes: u along the letters of a grid, v along its numbers.
type frame struct {
	at surface.Vec
	u  surface.Vec
}

// frameAt returns axes of a bearing, exact for whole right angles.
func frameAt(at surface.Vec, bearing float64) frame {
	switch math.Mod(math.Mod(bearing, 360)+360, 360) {
	case 0:
		return frame{at, surface.Vec{Y: 1}}
	case 90:
		return frame{at, surface.Vec{X: 1}}
	case 180:
		return frame{at, surface.Vec{Y: -1}}
	case 270:
		return frame{at, surface.Vec{X: -1}}
	}
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	return frame{at, surface.Vec{X: sin, Y: cos}}
}

func (f frame) in(p surface.Vec) surface.Vec {
	x, y := p.X-f.at.X, p.Y-f.at.Y
	return surface.Vec{X: float64(x*f.u.X) + float64(y*f.u.Y), Y: float64(y*f.u.X) - float64(x*f.u.Y)}
}

func (f frame) out(p surface.Vec) surface.Vec {
	return surface.Vec{X: f.at.X + float64(p.X*f.u.X) - float64(p.Y*f.u.Y), Y: f.at.Y + float64(p.X*f.u.Y) + float64(p.Y*f.u.X)}
}

// LayShotGrids lays a grid over each outline of a floor: lines beside its walls, and between
// them lines at whole spacings from the west and the south wall, none nearer than half a spacing to
// another; where that leaves a wider gap than the spacing, lines evenly between those beside the
// walls. It is turned with the walls. Where a line of the outline cuts
// the floor, as a step does, lines run on both sides of it. No shot is in an opening, nor
// nearer to a wall than half of r.Off.
func LayShotGrids(f *surface.Floor, r GridRule) ([]ShotGrid, error) {
	var out []ShotGrid
	done := map[string]bool{}
	on := f.Locators()
	for _, region := range f.Regions {
		if done[region.Part] {
			continue
		}
		done[region.Part] = true
		var of []int
		for i := range f.Regions {
			if f.Regions[i].Part == region.Part {
				of = append(of, i)
			}
		}
		g, err := layShotGrid(f, of, r, on)
		if err != nil {
			return nil, err
		}
		out = append(out, g)
	}
	return out, nil
}

// layShotGrid lays a grid over the regions of one outline.
func layShotGrid(f *surface.Floor, of []int, r GridRule, on surface.Locators) (ShotGrid, error) {
	g := ShotGrid{Part: f.Regions[of[0]].Part}
	g.Bearing = along(f, of)
	g.Origin = surface.Vec{}
	lo, hi := g.bounds(f, of)
	g.Origin = rounded(g.frame().out(lo))
	lo, hi = g.bounds(f, of)
	if w, h := hi.X-lo.X, hi.Y-lo.Y; (w/r.Spacing+4)*(h/r.Spacing+4) > mostCrossings {
		return g, &survey.Error{Part: "spacing", Element: "grid", Found: fmt.Sprintf("more than %d crossings", mostCrossings), Want: "a wider spacing"}
	}
	areas := make([]*gridArea, len(f.Regions))
	var columns, rows []float64 // beside the walls of any of them: the others use those too, if they can
	for _, i := range of {
		areas[i] = newGridArea(&g, f.Regions[i].Rings)
		columns, rows = append(columns, areas[i].ends(across, r)...), append(rows, areas[i].ends(up, r)...)
	}
	slices.Sort(columns)
	slices.Sort(rows)
	for _, i := range of {
		areas[i].layLines(r, columns, rows)
		g.Columns, g.Rows = append(g.Columns, areas[i].columns...), append(g.Rows, areas[i].rows...)
	}
	g.Columns, g.Rows = apart(g.Columns), apart(g.Rows)
	for row := range g.Rows {
		g.On = append(g.On, make([]bool, len(g.Columns)))
		for column := range g.Columns {
			_, i, in := on[:len(f.Regions)].At(g.At(row, column))
			g.On[row][column] = in && areas[i] != nil && areas[i].takes(g.Columns[column], g.Rows[row])
		}
	}
	g.dropEmpty()
	g.West, g.South = g.wall(f, 0), g.wall(f, 1)
	return g, nil
}

// along returns the bearing of the letters of a grid over some regions: along the walls that are
// longest together, and as near to the east as they allow.
func along(f *surface.Floor, of []int) float64 {
	type way struct{ turn, length float64 }
	var all []way
	for _, i := range of {
		outer := f.Regions[i].Rings[0]
		for k, a := range outer {
			b := outer[(k+1)%len(outer)]
			turn := math.Mod(math.Atan2(b.Y-a.Y, b.X-a.X)*180/math.Pi+360, 90) // counter-clockwise from east
			if turn > 45 {
				turn -= 90
			}
			all = append(all, way{turn, a.Distance(b)})
		}
	}
	best, most := 0.0, 0.0
	for _, w := range all {
		sum := 0.0
		for _, v := range all {
			const same = 0.5 // degrees
			if d := math.Abs(math.Remainder(v.turn-w.turn, 90)); d < same {
				sum += v.length
			}
		}
		// The first of equal ones, whatever the order of the corners: the one nearest to the axes.
		if sum > most+hair || sum > most-hair && (math.Abs(w.turn) < math.Abs(best) || math.Abs(w.turn) == math.Abs(best) && w.turn > best) {
			best, most = w.turn, sum
		}
	}
	const level = 0.05 // degrees: 1 cm in 12 m, as far as an outline is drawn true
	if math.Abs(best) < level {
		return 90
	}
	return math.Round((90-best)*1000) / 1000
}

// rounded returns a place to the millimetre, as it is written.
func rounded(p surface.Vec) surface.Vec {
	return surface.Vec{X: math.Round(p.X*1e3) / 1e3, Y: math.Round(p.Y*1e3) / 1e3}
}

// bounds returns the extent of regions in the axes of g.
func (g *ShotGrid) bounds(f *surface.Floor, of []int) (lo, hi surface.Vec) {
	lo, hi = surface.Vec{X: math.Inf(1), Y: math.Inf(1)}, surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, i := range of {
		for _, p := range f.Regions[i].Rings[0] {
			q := g.Local(p)
			lo = surface.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}
			hi = surface.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
		}
	}
	return lo, hi
}

// gridArea is one region in the axes of a grid, with its own lines.
type gridArea struct {
	rings         [][]surface.Vec
	columns, rows []float64
	clear         float64 // m that a shot keeps from every wall
}

func newGridArea(g *ShotGrid, rings [][]surface.Vec) *gridArea {
	a := &gridArea{}
	for _, ring := range rings {
		var local []surface.Vec
		for _, p := range ring {
			local = append(local, g.Local(p))
		}
		a.rings = append(a.rings, local)
	}
	return a
}

// axis is one direction of a grid: where a place is across its lines, and along them.
type axis struct {
	at    func(p surface.Vec) (at, along float64)
	floor float64 // sign of the side that the floor is on, of a wall that runs to larger values along
}

var (
	across = axis{func(p surface.Vec) (float64, float64) { return p.X, p.Y }, -1}
	up     = axis{func(p surface.Vec) (float64, float64) { return p.Y, p.X }, 1}
)

func (a *gridArea) layLines(r GridRule, columns, rows []float64) {
	var w, h float64
	a.columns, w = a.lines(across, r, columns)
	a.rows, h = a.lines(up, r, rows)
	a.clear = min(r.Off, w/4, h/4)/2 - hair
}

// extent returns the least and the greatest value of the region across some lines, how far
// they are off its walls, and what rounds a line to a mark of the tape.
func (a *gridArea) extent(x axis, r GridRule) (lo, hi, off float64, mark func(float64) float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range a.rings[0] {
		v, _ := x.at(p)
		lo, hi = min(lo, v), max(hi, v)
	}
	off = r.Off
	step := r.Mark
	if off > (hi-lo)/4 { // too narrow for marks
		off, step = (hi-lo)/4, 0.001
	}
	return lo, hi, off, func(v float64) float64 { return math.Round(v/step) * step }
}

// ends returns the first and the last line of the region.
func (a *gridArea) ends(x axis, r GridRule) []float64 {
	lo, hi, off, mark := a.extent(x, r)
	return []float64{mark(lo + off), mark(hi - off)}
}

// lines returns the lines of one direction, and the width of the region across them. Those of
// others are taken before any at whole spacings.
func (a *gridArea) lines(x axis, r GridRule, others []float64) (out []float64, width float64) {
	lo, hi, off, mark := a.extent(x, r)
	out = a.ends(x, r)
	add := func(v float64) {
		if v < lo+off || v > hi-off || slices.ContainsFunc(out, func(have float64) bool { return math.Abs(have-v) < r.Spacing/2-hair }) {
			return
		}
		out = append(out, v)
	}
	for _, v := range a.besideWalls(x, r.Spacing/2, off) {
		add(mark(v))
	}
	for _, v := range others {
		add(v)
	}
	slices.Sort(out)
	return between(out, r, mark), hi - lo
}

// between adds lines to those in order, see [linesFrom].
func between(fixed []float64, r GridRule, mark func(float64) float64) (out []float64) {
	for i, to := range fixed {
		if i > 0 {
			out = append(out, linesFrom(fixed[i-1], to, r, mark)...)
		}
		out = append(out, to)
	}
	return out
}

// linesFrom returns the lines between two others: at whole spacings, none nearer than half a spacing
// to either; evenly where a gap would be wider than the spacing, but for what a tape rounds.
func linesFrom(from, to float64, r GridRule, mark func(float64) float64) (out []float64) {
	half := r.Spacing/2 - hair
	last, widest := from, 0.0
	for k := math.Ceil((from + half) / r.Spacing); k*r.Spacing <= to-half; k++ {
		v := k * r.Spacing
		out = append(out, v)
		widest, last = max(widest, v-last), v
	}
	if most := r.Spacing + r.Mark + hair; max(widest, to-last) <= most {
		return out
	}
	out = nil
	n := math.Ceil((to - from - r.Mark - hair) / r.Spacing)
	for k := 1.0; k < n; k++ {
		out = append(out, mark(from+(to-from)*k/n))
	}
	return out
}

// besideWalls returns the lines beside walls that run along them, the longest wall first.
func (a *gridArea) besideWalls(x axis, least, off float64) (out []float64) {
	type beside struct{ line, length float64 }
	var walls []beside
	for _, ring := range a.rings {
		for k, p := range ring {
			from, start := x.at(p)
			to, end := x.at(ring[(k+1)%len(ring)])
			const askew = 0.02 // of its length: within about a degree
			length := math.Abs(end - start)
			if math.Abs(to-from) <= askew*length && length >= least {
				walls = append(walls, beside{(from+to)/2 + math.Copysign(off, (end-start)*x.floor), length})
			}
		}
	}
	slices.SortFunc(walls, func(p, q beside) int {
		return cmp.Or(cmp.Compare(q.length, p.length), cmp.Compare(p.line, q.line))
	})
	for _, w := range walls {
		out = append(out, w.line)
	}
	return out
}

// takes reports whether a crossing is of two lines of a and clear of its walls.
func (a *gridArea) takes(column, row float64) bool {
	if !hasLine(a.columns, column) || !hasLine(a.rows, row) {
		return false
	}
	p := surface.Vec{X: column, Y: row}
	for _, ring := range a.rings {
		for k, q := range ring {
			if p.Distance(p.NearestOn(q, ring[(k+1)%len(ring)])) < a.clear {
				return false
			}
		}
	}
	return true
}

// oneLine is how far apart lines of two regions still count as one, m: less than a tape shows.
const oneLine = 0.0005

func hasLine(lines []float64, x float64) bool {
	return slices.ContainsFunc(lines, func(y float64) bool { return math.Abs(x-y) <= oneLine })
}

// apart returns lines in order, each once.
func apart(lines []float64) []float64 {
	slices.Sort(lines)
	return slices.CompactFunc(lines, func(a, b float64) bool { return math.Abs(a-b) <= oneLine })
}

// dropEmpty drops rows and columns without a shot.
func (g *ShotGrid) dropEmpty() {
	for row := len(g.Rows) - 1; row >= 0; row-- {
		if !slices.Contains(g.On[row], true) {
			g.On, g.Rows = slices.Delete(g.On, row, row+1), slices.Delete(g.Rows, row, row+1)
		}
	}
	for column := len(g.Columns) - 1; column >= 0; column-- {
		if !slices.ContainsFunc(g.On, func(row []bool) bool { return row[column] }) {
			g.Columns = slices.Delete(g.Columns, column, column+1)
			for row := range g.On {
				g.On[row] = slices.Delete(g.On[row], column, column+1)
			}
		}
	}
}

// wall names what columns (0) or rows (1) are measured from: the wall of that side, by its name
// in the outline if it has one, else the outermost point of that side.
func (g *ShotGrid) wall(f *surface.Floor, axis int) string {
	u := g.frame().u
	way := surface.CompassPoint(-u.X, -u.Y)
	if axis == 1 {
		way = surface.CompassPoint(u.Y, -u.X)
	}
	at := func(p survey.Point) float64 {
		q := g.Local(surface.Vec{X: p.X, Y: p.Y})
		return []float64{q.X, q.Y}[axis]
	}
	const flush, wide = 0.02, 0.1 // m: on the line of the wall, and long enough to hold a tape to
	found := false
	for _, ring := range f.Data.Rings {
		if ring.Kind != survey.Outer || ring.Name != g.Part {
			continue
		}
		for k, p := range ring.Points {
			q := ring.Points[(k+1)%len(ring.Points)]
			if math.Abs(at(p)) > flush || math.Abs(at(q)) > flush || math.Hypot(q.X-p.X, q.Y-p.Y) < wide {
				continue
			}
			found = true
			if k < len(ring.Walls) && ring.Walls[k] != "" {
				return ring.Walls[k]
			}
		}
	}
	if !found {
		return way + "ernmost point"
	}
	return way + " wall"
}

// CornerShots returns the corners of outlines and lines as shots at elevation 0: enough to
// build a floor of before it is surveyed.
func CornerShots(rings []survey.Ring, lines []survey.Breakline) (out []survey.Point) {
	at := map[surface.Vec]bool{}
	add := func(points []survey.Point) {
		for _, p := range points {
			if v := (surface.Vec{X: p.X, Y: p.Y}); !at[v] {
				at[v] = true
				out = append(out, survey.Point{X: p.X, Y: p.Y}.With(survey.Tag{At: p.At()}))
			}
		}
	}
	for _, r := range rings {
		add(r.Points)
	}
	for _, l := range lines {
		add(l.Points)
	}
	return out
}

package flatness

import (
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
)

const (
	// carried is the share of the floor that must have a reading near it; the rest is for
	// corners and occasional gaps. Own choice.
	carried = 0.95
	// onGrid is the max distance of 95 % of a square grid from the nearest reading, in
	// spacings of the grid: π·r² − 4·(r²·acos(1/2r) − √(r² − 1/4)/2) = 0.95 (own
	// derivation).
	onGrid = 0.59905
	// long is the square of the edge of a floor over its area from which it is a corridor: a
	// rectangle four times as long as wide. Own choice.
	long = 25
	// tapes is the share by which readings may be farther apart than the max: they are set
	// out with a tape. Own choice.
	tapes = 0.02
	// samples is the number of places checked: they give a thousandth of the area.
	samples = 1 << 15
)

// Apart returns how far apart the readings of a floor are, m: the side of the square grid
// with 95 % of the floor as near to a reading as on this floor. Places in the strip between the
// outermost readings and a wall, where elevations are estimated, count as any other: half a
// side off the walls is as near as on the grid. Random readings are 1.6 times as far apart as
// their number per area suggests, because they leave larger gaps.
//
// A straightedge along a narrow floor passes no readings beside it. A place there counts as
// far from a reading as the readings before and behind it, along the nearest wall, are from
// each other, where that is more than the width of the floor. Where most of the floor is
// strip at a wall, as with readings along the middle only, half the width is enough: places
// are no farther from that line. In a corridor, four times as long as wide, places in such a
// strip up to one side from a reading count as near.
//
// Places are taken by the R2 sequence of irrational steps (Roberts 2018), which matches no
// grid of readings.
func Apart(f *surface.Floor) float64 {
	apart, _ := ApartOn(f)
	return apart
}

// ApartOn is [Apart], with a function that returns on which share of the floor, 0 to 1,
// readings are no farther apart than a length in m.
func ApartOn(f *surface.Floor) (apart float64, share func(wanted float64) float64) {
	var all []float64
	lo, hi := f.Bounds()
	var parts []*part
	for _, r := range f.Regions {
		parts = append(parts, newPart(r))
	}
	const plastic = 1.32471795724474602596 // root of x³ = x + 1
	// Long narrow floors fill a small part of their bounds.
	for i := 1; i <= 16*samples && len(all) < samples; i++ {
		_, u := math.Modf(float64(i) / plastic)
		_, w := math.Modf(float64(i) / (plastic * plastic))
		p := surface.Vec{X: lo.X + u*(hi.X-lo.X), Y: lo.Y + w*(hi.Y-lo.Y)}
		for _, r := range parts {
			if d, ok := r.apart(p); ok {
				all = append(all, d)
				break
			}
		}
	}
	if len(all) == 0 {
		return math.Inf(1), func(float64) float64 { return 0 }
	}
	slices.Sort(all)
	return all[int(carried*float64(len(all)-1))], func(wanted float64) float64 {
		n, _ := slices.BinarySearch(all, math.Nextafter(wanted*(1+tapes), math.Inf(1)))
		return float64(n) / float64(len(all))
	}
}

// part is a region with its readings.
type part struct {
	surface.Region
	on       *surface.Locator
	near     *nearest
	wide     float64 // m: readings farther apart than this along the nearest wall count so
	corridor bool    // long and narrow, with readings along its middle
	walls    *wallSearch
}

func newPart(r surface.Region) *part {
	p := &part{Region: r, on: r.TIN.Locator(), near: newNearest(r.TIN), walls: newWalls(r.Rings)}
	edge, whole := 0.0, area(r.Rings)
	for a, b := range p.walls.all {
		edge += a.Distance(b)
	}
	p.wide = 2 * whole / edge // width of the strip of the same area and edge
	if p.strip() > whole/2 {
		p.wide /= 2
		p.corridor = edge*edge >= long*whole
	}
	return p
}

// strip returns the area with elevations estimated at a wall, m².
func (r *part) strip() float64 {
	var total sum.Sum
	t := r.TIN
	for k := range t.Len() {
		if atWall(t, k) {
			a, b, c := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
			total.Add(((t.X[b]-t.X[a])*(t.Y[c]-t.Y[a]) - (t.Y[b]-t.Y[a])*(t.X[c]-t.X[a])) / 2)
		}
	}
	return total.Value()
}

// wallSearch finds the wall nearest to a place among the sides of rings.
type wallSearch struct {
	rings [][]surface.Vec
	cell  float64                     // m, side of the squares that near has lists for
	near  map[[2]int][][2]surface.Vec // walls that may be the nearest to a place in a square
}

func newWalls(rings [][]surface.Vec) *wallSearch {
	w := &wallSearch{rings: rings, near: map[[2]int][][2]surface.Vec{}}
	lo, hi := surface.Vec{X: math.Inf(1), Y: math.Inf(1)}, surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for a := range w.all {
		lo, hi = surface.Vec{X: min(lo.X, a.X), Y: min(lo.Y, a.Y)}, surface.Vec{X: max(hi.X, a.X), Y: max(hi.Y, a.Y)}
	}
	const squares = 32 // along the longer side: thousands of walls are searched once for each
	w.cell = max(hi.X-lo.X, hi.Y-lo.Y) / squares
	return w
}

// all yields every wall.
func (w *wallSearch) all(yield func(a, b surface.Vec) bool) {
	for _, ring := range w.rings {
		for i, v := range ring {
			if !yield(v, ring[(i+1)%len(ring)]) {
				return
			}
		}
	}
}

// direction returns that of the wall nearest to p.
func (w *wallSearch) direction(p surface.Vec) surface.Vec {
	best, along := math.Inf(1), surface.Vec{X: 1}
	for _, side := range w.around(p) {
		if d, u := toWall(p, side[0], side[1]); d < best {
			best, along = d, u
		}
	}
	return along
}

// around returns the walls that may be the nearest to p, in the order of the rings: those
// hardly farther from the middle of its square than the nearest one there.
func (w *wallSearch) around(p surface.Vec) [][2]surface.Vec {
	key := [2]int{int(math.Floor(p.X / w.cell)), int(math.Floor(p.Y / w.cell))}
	if near, ok := w.near[key]; ok {
		return near
	}
	middle := surface.Vec{X: (float64(key[0]) + 0.5) * w.cell, Y: (float64(key[1]) + 0.5) * w.cell}
	var away []float64
	for a, b := range w.all {
		d, _ := toWall(middle, a, b)
		away = append(away, d)
	}
	most := slices.Min(away) + 1.5*w.cell // the diagonal of a square, and some
	var near [][2]surface.Vec
	i := 0
	for a, b := range w.all {
		if away[i] <= most {
			near = append(near, [2]surface.Vec{a, b})
		}
		i++
	}
	w.near[key] = near
	return near
}

// toWall returns the distance from p to the wall from a to b, m, and the direction of the
// wall; it is infinite for a wall without length.
func toWall(p, a, b surface.Vec) (float64, surface.Vec) {
	long := a.Distance(b)
	if long == 0 {
		return math.Inf(1), surface.Vec{}
	}
	u := surface.Vec{X: (b.X - a.X) / long, Y: (b.Y - a.Y) / long}
	t := min(max((p.X-a.X)*u.X+(p.Y-a.Y)*u.Y, 0), long)
	return math.Hypot(a.X+t*u.X-p.X, a.Y+t*u.Y-p.Y), u
}

// apart returns how far apart the readings near p are, m. False: p is not on the region.
func (r *part) apart(p surface.Vec) (float64, bool) {
	_, k, ok := r.on.At(p)
	if !ok {
		return 0, false
	}
	at := surface.Vec{X: p.X - r.TIN.Origin.X, Y: p.Y - r.TIN.Origin.Y}
	a, d := r.near.to(at.X, at.Y)
	if a < 0 {
		return d, true
	}
	if !r.corridor || !atWall(r.TIN, k) {
		d /= onGrid
	}
	b, gap := r.near.gap(a, at, r.walls.direction(p))
	if b < 0 || gap <= max(d, r.wide) {
		return d, true
	}
	// Readings with no floor between them are round a corner from each other.
	x, y := (r.near.x[a]+r.near.x[b])/2, (r.near.y[a]+r.near.y[b])/2
	if _, _, ok := r.on.At(surface.Vec{X: r.TIN.Origin.X + x, Y: r.TIN.Origin.Y + y}); ok {
		d = gap
	}
	return d, true
}

// atWall reports whether an elevation of triangle k was estimated at a wall.
func atWall(t *surface.TIN, k int) bool {
	return t.Fitted != nil && (t.Fitted[t.V[3*k]] || t.Fitted[t.V[3*k+1]] || t.Fitted[t.V[3*k+2]])
}

// nearest finds the reading nearest to a place: readings are kept in square cells, about two
// per cell.
type nearest struct {
	x, y       []float64
	x0, y0     float64
	cell       float64
	wide, high int
	first      []int32
	list       []int32
}

func newNearest(t *surface.TIN) *nearest {
	n := &nearest{}
	for v := range t.Z {
		if t.Fitted == nil || !t.Fitted[v] {
			n.x, n.y = append(n.x, t.X[v]), append(n.y, t.Y[v])
		}
	}
	if len(n.x) == 0 {
		return n
	}
	n.x0, n.y0 = slices.Min(n.x), slices.Min(n.y)
	w, h := slices.Max(n.x)-n.x0, slices.Max(n.y)-n.y0
	many := float64(len(n.x))
	n.cell = max(math.Sqrt(2*w*h/many), max(w, h)/many, 1e-6)
	n.wide, n.high = int(w/n.cell)+1, int(h/n.cell)+1
	n.first = make([]int32, n.wide*n.high+1)
	for i := range n.x {
		n.first[n.at(i)+1]++
	}
	for i := 1; i < len(n.first); i++ {
		n.first[i] += n.first[i-1]
	}
	n.list = make([]int32, len(n.x))
	next := slices.Clone(n.first)
	for i := range n.x {
		c := n.at(i)
		n.list[next[c]] = int32(i)
		next[c]++
	}
	return n
}

func (n *nearest) at(i int) int {
	return int((n.y[i]-n.y0)/n.cell)*n.wide + int((n.x[i]-n.x0)/n.cell)
}

// to returns the reading nearest to a place, and the distance to it, m; −1 and +Inf without
// one.
func (n *nearest) to(x, y float64) (int, float64) {
	return n.find(x, y, nil)
}

// gap returns the distance from reading a to the nearest reading beyond a place in a
// direction, within 45° of it, −1 without one, and the distance between the two, m; on a
// square grid that is its side, for a direction along it.
func (n *nearest) gap(a int, place, along surface.Vec) (int, float64) {
	ahead := func(x, y float64) float64 { return (x-n.x[a])*along.X + (y-n.y[a])*along.Y }
	t := ahead(place.X, place.Y)
	return n.find(n.x[a], n.y[a], func(r int) bool {
		far, aside := ahead(n.x[r], n.y[r]), (n.y[r]-n.y[a])*along.X-(n.x[r]-n.x[a])*along.Y
		return r != a && (far-t)*t >= 0 && math.Abs(aside) <= math.Abs(far)
	})
}

// find returns the nearest reading to a place of those that count: all, if counts is nil.
func (n *nearest) find(x, y float64, counts func(r int) bool) (found int, best float64) {
	found, best = -1, math.Inf(1) // best is the square of the distance
	if len(n.x) == 0 {
		return found, best
	}
	ci := min(max(int(math.Floor((x-n.x0)/n.cell)), 0), n.wide-1)
	cj := min(max(int(math.Floor((y-n.y0)/n.cell)), 0), n.high-1)
	// Readings of ring k and beyond are at least k − 1 cells away from a place in the middle
	// cell, or from one outside all cells.
	for k := 0; k <= max(n.wide, n.high); k++ {
		if least := float64(k-1) * n.cell; k > 0 && least*least >= best {
			break
		}
		for j := max(cj-k, 0); j <= min(cj+k, n.high-1); j++ {
			step := 2 * k
			if j == cj-k || j == cj+k || k == 0 {
				step = 1
			}
			for i := ci - k; i <= ci+k; i += step {
				if i < 0 || i >= n.wide {
					continue
				}
				c := j*n.wide + i
				for _, r := range n.list[n.first[c]:n.first[c+1]] {
					dx, dy := n.x[r]-x, n.y[r]-y
					if d := dx*dx + dy*dy; d < best && (counts == nil || counts(int(r))) {
						found, best = int(r), d
					}
				}
			}
		}
	}
	if found < 0 {
		return found, best
	}
	return found, math.Hypot(n.x[found]-x, n.y[found]-y)
}

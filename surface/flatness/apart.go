package flatness

import (
	"math"
	"slices"

	"pourplane/surface"
)

const (
	// carried is the share of the floor that must have a reading near it; the rest is for
	// corners and occasional gaps. Own choice.
	carried = 0.95
	// onGrid is the max distance of 95 % of a square grid from the nearest reading, in
	// spacings of the grid: π·r² − 4·(r²·acos(1/2r) − √(r² − 1/4)/2) = 0.95 (own
	// derivation).
	onGrid = 0.59905
	// tapes is the share by which readings may be farther apart than the max: they are set
	// out with a tape. Own choice.
	tapes = 0.02
	// samples is the number of places checked: they give a thousandth of the area.
	samples = 1 << 15
)

// Apart returns how far apart the readings of a floor are, m: the side of the square grid
// with 95 % of the floor as near to a reading as on this floor. In the strip between the
// outermost readings and a wall, where elevations are estimated, places up to one side from
// a reading count as near. Random readings are 1.6 times as far apart as their number per
// area suggests, because they leave larger gaps.
//
// Places are taken by the R2 sequence of irrational steps (Roberts 2018), which matches no
// grid of readings.
func Apart(f *surface.Floor) float64 {
	var all []float64
	lo, hi := f.Bounds()
	type region struct {
		t    *surface.TIN
		on   *surface.Locator
		near *nearest
	}
	var regions []region
	for _, r := range f.Regions {
		regions = append(regions, region{r.TIN, r.TIN.Locator(), newNearest(r.TIN)})
	}
	const plastic = 1.32471795724474602596 // root of x³ = x + 1
	// Long narrow floors fill a small part of their bounds.
	for i := 1; i <= 16*samples && len(all) < samples; i++ {
		_, u := math.Modf(float64(i) / plastic)
		_, w := math.Modf(float64(i) / (plastic * plastic))
		p := surface.Vec{X: lo.X + u*(hi.X-lo.X), Y: lo.Y + w*(hi.Y-lo.Y)}
		for _, r := range regions {
			_, k, ok := r.on.At(p)
			if !ok {
				continue
			}
			d := r.near.to(p.X-r.t.Origin.X, p.Y-r.t.Origin.Y)
			if !atWall(r.t, k) {
				d /= onGrid
			}
			all = append(all, d)
			break
		}
	}
	if len(all) == 0 {
		return math.Inf(1)
	}
	slices.Sort(all)
	return all[int(carried*float64(len(all)-1))]
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

// to returns the distance from a place to the nearest reading, m; +Inf without one.
func (n *nearest) to(x, y float64) float64 {
	best := math.Inf(1)
	if len(n.x) == 0 {
		return best
	}
	ci := min(max(int(math.Floor((x-n.x0)/n.cell)), 0), n.wide-1)
	cj := min(max(int(math.Floor((y-n.y0)/n.cell)), 0), n.high-1)
	// Readings of ring k and beyond are at least k − 1 cells away from a place in the middle
	// cell, or from one outside all cells.
	for k := 0; k <= max(n.wide, n.high) && float64(k-1)*n.cell < best; k++ {
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
					best = min(best, math.Hypot(n.x[r]-x, n.y[r]-y))
				}
			}
		}
	}
	return best
}

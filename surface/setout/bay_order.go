package setout

import (
	"math"
	"slices"
	"strconv"

	"pourplane/surface"
	"pourplane/surface/internal/exact"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// walk is the crew's way over the pieces of a floor that are not yet placed.
type walk struct {
	beyond  []float64 // m from the exit to each piece, in a straight line
	reached [][]int   // from the exit outward; lists after the first are pieces not connected to it
	placing []int     // the reverse of it, bays only
}

// newWalk orders the pieces for placing. The bays are reached from the exit in the order of
// the way to where they are entered, over the middles of the dams (Dijkstra 1959, Numerische
// Mathematik 1:269-271): each next to one reached before. They are placed in reverse, so at
// any time the rest connects to the exit. A piece that is not a bay is never placed: the way
// can always lead over it.
func newWalk(parts *surface.Parts, exit surface.Vec, isBay func(piece int) bool) *walk {
	w := &walk{}
	for _, p := range parts.Pieces {
		w.beyond = append(w.beyond, Away(p, exit))
	}
	wide := widths(parts.Joins)
	n := len(parts.Pieces)
	seen := make([]bool, n)
	way := make([]float64, n) // m to the entrance of the bay
	entry := make([]surface.Vec, n)
	for i := range way {
		way[i] = math.Inf(1)
	}
	nearest := func(d []float64) int {
		best := -1
		for i := range n {
			if !seen[i] && !math.IsInf(d[i], 1) && (best < 0 || d[i] < d[best]) {
				best = i
			}
		}
		return best
	}
	for start := nearest(w.beyond); start >= 0; start = nearest(w.beyond) {
		way[start], entry[start] = w.beyond[start], exit
		var group []int
		for i := start; i >= 0; i = nearest(way) {
			seen[i] = true
			group = append(group, i)
			for m, j := range parts.Joins {
				if wide[m] < passage || j.Pieces[0] != i && j.Pieces[1] != i {
					continue
				}
				k := j.Pieces[0] + j.Pieces[1] - i
				at := halfway(j)
				if d := way[i] + entry[i].Distance(at); d < way[k] {
					way[k], entry[k] = d, at
				}
			}
		}
		w.reached = append(w.reached, group)
	}
	for _, g := range w.reached {
		w.placing = append(w.placing, g...)
	}
	w.placing = slices.DeleteFunc(w.placing, func(i int) bool { return !isBay(i) })
	slices.Reverse(w.placing)
	return w
}

// widths returns the width over which two pieces meet at each of joins, m: along a line or
// step that turns, as the edge of a round pit, all of the connected part.
func widths(joins []surface.Join) []float64 {
	group := make([]int, len(joins))
	for i, a := range joins {
		group[i] = i
		for k, b := range joins[:i] {
			if a.Line != b.Line || a.Pieces != b.Pieces || !touch(a, b) {
				continue
			}
			for n, g := range group[:i] {
				if g == group[k] && n != k {
					group[n] = group[i]
				}
			}
			group[k] = group[i]
		}
	}
	sum := map[int]float64{}
	for i, j := range joins {
		sum[group[i]] += j.Length()
	}
	out := make([]float64, len(joins))
	for i := range joins {
		out[i] = sum[group[i]]
	}
	return out
}

// touch reports whether two stretches have an end in common.
func touch(a, b surface.Join) bool {
	for _, p := range []surface.Vec{a.Run[0].At, a.Run[len(a.Run)-1].At} {
		for _, q := range []surface.Vec{b.Run[0].At, b.Run[len(b.Run)-1].At} {
			if p.Distance(q) <= same {
				return true
			}
		}
	}
	return false
}

// notes lists what the order depends on and where it does not work.
func (w *walk) notes(hasExit bool) []survey.Note {
	var out []survey.Note
	note := func(k survey.NoteKind, format string, args ...any) {
		out = append(out, survey.Notef(k, survey.Pos{}, format, args...))
	}
	if !hasExit {
		note(survey.Assumed, "no exit is given: the bays are placed from one end of the floor to the other")
	} else if d := w.beyond[w.reached[0][0]]; d > farExit {
		note(survey.Warning, "the exit is %s from the floor: check its coordinates", unit.Distance(d))
	}
	var apart []int
	for _, g := range w.reached[1:] {
		for _, i := range g {
			if k := slices.Index(w.placing, i); k >= 0 {
				apart = append(apart, k+1)
			}
		}
	}
	if len(apart) == 0 {
		return out
	}
	slices.Sort(apart)
	var names []string
	for _, n := range apart {
		names = append(names, strconv.Itoa(n))
	}
	bays, need, beyond := "bay "+names[0]+" does", "it needs a way out of its own", "the other bays"
	if len(names) > 1 {
		bays, need = "bays "+and(names)+" do", "they need a way out of their own"
	}
	if hasExit {
		beyond = "the bays at the exit"
	}
	note(survey.Warning, "%s not join %s over a width of %s: %s", bays, beyond, unit.Distance(passage), need)
	return out
}

// farExit is the max distance of an exit from the floor without a warning, m: a door with
// its landing.
const farExit = 3.0

func halfway(j surface.Join) surface.Vec {
	a, b := j.Run[0].At, j.Run[len(j.Run)-1].At
	return surface.Vec{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
}

// farEnd returns the corner of f that a sweep reaches last; of several the westernmost, then
// the southernmost.
func farEnd(f *surface.Floor, sweep *surface.Sweep) surface.Vec {
	const same = 1e-6 // m: corners of one wall
	var out surface.Vec
	far := math.Inf(-1)
	for _, r := range f.Regions {
		for _, p := range r.Rings[0] {
			d := sweep.Of(p)
			west := p.X < out.X || p.X == out.X && p.Y < out.Y
			if d > far+same || d > far-same && west {
				out, far = p, max(far, d)
			}
		}
	}
	return out
}

// toEdge returns the distance from p to the nearest of rings, m, and whether p is inside: in
// the first, not in the others. An edge counts as inside.
func toEdge(rings [][]surface.Vec, p surface.Vec) (d float64, in bool) {
	d = math.Inf(1)
	for i, ring := range rings {
		x, y := make([]float64, len(ring)), make([]float64, len(ring))
		for j, q := range ring {
			x[j], y[j] = q.X, q.Y
			d = min(d, wall{q, ring[(j+1)%len(ring)]}.to(p))
		}
		if side := exact.InRing(x, y, p.X, p.Y); i == 0 {
			in = side >= 0
		} else if side > 0 {
			in = false
		}
	}
	return d, in
}

// Away returns the distance of p from a floor in plan, m; 0 on it.
func Away(f *surface.Floor, p surface.Vec) float64 {
	best := math.Inf(1)
	for _, r := range f.Regions {
		d, in := toEdge(r.Rings, p)
		if in {
			return 0
		}
		best = min(best, d)
	}
	return best
}

// wellInside returns a place of the largest region of f that is far from its edges, out of
// the middles of a grid of squares over it; of several the southernmost, then the
// westernmost.
func wellInside(f *surface.Floor) surface.Vec {
	const squares = 24
	largest, most := 0, 0.0
	for i, r := range f.Regions {
		if area, _ := r.TIN.Area(); area > most*(1+slack) {
			largest, most = i, area
		}
	}
	r := f.Regions[largest]
	lo, hi := r.Rings[0][0], r.Rings[0][0]
	for _, p := range r.Rings[0] {
		lo = surface.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = surface.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	// For a bay too thin for any square, its first triangle.
	a, b, c := r.TIN.At(r.TIN.V[0]), r.TIN.At(r.TIN.V[1]), r.TIN.At(r.TIN.V[2])
	out, far := surface.Vec{X: (a.X + b.X + c.X) / 3, Y: (a.Y + b.Y + c.Y) / 3}, 0.0
	for j := range squares {
		for i := range squares {
			p := surface.Vec{X: lo.X + float64((float64(i)+0.5)/squares*(hi.X-lo.X)), Y: lo.Y + float64((float64(j)+0.5)/squares*(hi.Y-lo.Y))}
			if d, in := toEdge(r.Rings, p); in && d > far*(1+1e-6) {
				out, far = p, d
			}
		}
	}
	return out
}

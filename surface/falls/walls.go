package falls

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/plan"
)

type vec = surface.Vec

func plus(a, b vec) vec               { return vec{X: a.X + b.X, Y: a.Y + b.Y} }
func minus(a, b vec) vec              { return vec{X: a.X - b.X, Y: a.Y - b.Y} }
func times(k float64, a vec) vec      { return vec{X: k * a.X, Y: k * a.Y} }
func dot(a, b vec) float64            { return float64(a.X*b.X) + float64(a.Y*b.Y) }
func cross(a, b vec) float64          { return float64(a.X*b.Y) - float64(a.Y*b.X) }
func size(a vec) float64              { return math.Hypot(a.X, a.Y) }
func angle(a vec) float64             { return math.Atan2(a.Y, a.X) }
func between(a, b vec, t float64) vec { return plus(a, times(t, minus(b, a))) }

// turn returns the angle a as one from 0 up to a whole turn.
func turn(a float64) float64 {
	a = math.Mod(a, 2*math.Pi)
	if a < 0 {
		a += 2 * math.Pi
	}
	if a >= 2*math.Pi {
		return 0
	}
	return a
}

// close is how far, m, two places may be apart and still count as one: two steps of the grid
// of the plan, so that a line that grazes a corner is clear.
const close = 2e-9

// edge is a straight piece of wall, floor on the left.
type edge struct {
	a, b int // corners
	out  vec // unit vector out of the floor
}

// corner is a corner of the walls. Angles are counter-clockwise, from the wall that leaves it.
type corner struct {
	at       vec
	in, out  int     // edges
	from     float64 // direction of the wall that leaves it
	interior float64 // angle of the floor
}

// flat is how far a corner may turn, in radians, and still be straight: rounding of places on
// a wall turns it by that.
const flat = 1e-7

func (c *corner) inner() bool { return c.interior > math.Pi+flat }

// walls are all walls of a floor, in metres from its origin. Edges that two regions share are
// not walls. Their order does not depend on where rings start.
type walls struct {
	plan.NanoGrid
	rings   [][]int // corners
	corners []corner
	edges   []edge
}

// wallsOf returns the walls of f.
func wallsOf(f *surface.Floor) *walls {
	lo, hi := f.Bounds()
	for _, r := range f.Regions {
		for _, ring := range r.Rings {
			for _, p := range ring {
				lo = vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
				hi = vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
			}
		}
	}
	w := &walls{NanoGrid: plan.NewNanoGrid(lo, hi)}
	next := map[vec][]vec{}
	for _, r := range f.Regions {
		for _, ring := range r.Rings {
			for i, p := range ring {
				a, b := w.Steps(p), w.Steps(ring[(i+1)%len(ring)])
				if a == b {
					continue
				}
				if k := slices.Index(next[b], a); k >= 0 {
					next[b] = slices.Delete(next[b], k, k+1)
				} else {
					next[a] = append(next[a], b)
				}
			}
		}
	}
	var starts []vec
	for p, to := range next {
		if len(to) > 0 {
			starts = append(starts, p)
		}
	}
	slices.SortFunc(starts, byPlace)
	for _, p := range starts {
		for len(next[p]) > 0 {
			w.addRing(loopFrom(next, p))
		}
	}
	return w
}

func byPlace(a, b vec) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) }

// loopFrom takes a closed line out of next. Where several lines meet at a place it turns left
// as far as it can: the floor on the left of the line stays one.
func loopFrom(next map[vec][]vec, start vec) []vec {
	loop := []vec{start}
	from, at := start, start
	for {
		to := next[at]
		slices.SortFunc(to, byPlace)
		best := 0
		if len(to) > 1 && at != from {
			back := angle(minus(from, at))
			for i := range to {
				// The floor is left of both lines: the least angle clockwise from the way back.
				if turn(back-angle(minus(to[i], at))) < turn(back-angle(minus(to[best], at))) {
					best = i
				}
			}
		}
		from, at = at, to[best]
		next[from] = slices.Delete(to, best, best+1)
		if at == start {
			return loop
		}
		loop = append(loop, at)
	}
}

// addRing adds a closed line of places in steps.
func (w *walls) addRing(loop []vec) {
	var k []vec
	n := len(loop)
	for i, p := range loop {
		if plan.Orient(loop[(i+n-1)%n], p, loop[(i+1)%n]) != 0 {
			k = append(k, p)
		}
	}
	if len(k) < 3 {
		return
	}
	least := 0
	for i := range k {
		if k[i].Less(k[least]) {
			least = i
		}
	}
	k = slices.Concat(k[least:], k[:least])
	first := len(w.corners)
	var ring []int
	n = len(k)
	for i := range k {
		ring = append(ring, first+i)
		a, b := w.Metres(k[i]), w.Metres(k[(i+1)%n])
		l := a.Distance(b)
		w.edges = append(w.edges, edge{first + i, first + (i+1)%n, vec{X: (b.Y - a.Y) / l, Y: (a.X - b.X) / l}})
		back := w.Metres(k[(i+n-1)%n])
		from := angle(minus(b, a))
		w.corners = append(w.corners, corner{at: a, in: first + (i+n-1)%n, out: first + i, from: from, interior: turn(angle(minus(back, a)) - from)})
	}
	w.rings = append(w.rings, ring)
}

// local returns a place of the survey in metres from the origin, on the grid.
func (w *walls) local(p vec) vec { return w.Metres(w.Steps(p)) }

// site is the inverse of local.
func (w *walls) site(p vec) vec { return vec{X: p.X + w.Origin.X, Y: p.Y + w.Origin.Y} }

func (w *walls) ends(e int) (a, b vec) {
	return w.corners[w.edges[e].a].at, w.corners[w.edges[e].b].at
}

// nearest returns the place on the walls nearest to p, its edge and its distance.
func (w *walls) nearest(p vec) (at vec, on int, away float64) {
	away = math.Inf(1)
	for e := range w.edges {
		a, b := w.ends(e)
		q := p.NearestOn(a, b)
		if d := p.Distance(q); d < away {
			at, on, away = q, e, d
		}
	}
	return at, on, away
}

// inside reports whether p is on the floor, by parity; the answer for a place on a wall may be
// either.
func (w *walls) inside(p vec) bool {
	in := false
	for e := range w.edges {
		a, b := w.ends(e)
		if (a.Y > p.Y) != (b.Y > p.Y) && (plan.Orient(a, b, p) > 0) == (b.Y > a.Y) {
			in = !in
		}
	}
	return in
}

// span is a range of directions, counter-clockwise from an angle.
type span struct{ from, wide float64 }

// open returns the directions from p that lead into the floor: all, or those between the walls
// that p is on. Where corners of two walls touch there are several.
func (w *walls) open(p vec) []span {
	var out []span
	for i := range w.corners {
		if c := &w.corners[i]; c.at.Distance(p) <= close {
			out = append(out, span{c.from, c.interior})
		}
	}
	if out != nil {
		return out
	}
	for e := range w.edges {
		a, b := w.ends(e)
		if p.Distance(p.NearestOn(a, b)) <= close {
			// To the corners themselves: p is rounded to the grid.
			from := angle(minus(b, p))
			return []span{{from, turn(angle(minus(a, p)) - from)}}
		}
	}
	return []span{{0, 2 * math.Pi}}
}

// both returns the directions in s and in t.
func (s span) both(t span) []span {
	const least = 1e-9
	var out []span
	add := func(from, to float64) {
		if to-from > least {
			out = append(out, span{turn(s.from + from), to - from})
		}
	}
	if t.wide >= 2*math.Pi {
		return []span{s}
	}
	if s.wide >= 2*math.Pi {
		return []span{t}
	}
	at := turn(t.from - s.from)
	if at > 2*math.Pi-least {
		at = 0
	}
	add(at, min(at+t.wide, s.wide))
	add(0, min(at+t.wide-2*math.Pi, s.wide))
	return out
}

package falls

import (
	"container/heap"
	"math"
)

// hides returns the directions at an inner corner c that it hides from a line that arrives in
// direction dir after r metres: those between the line going straight on and a wall. There are
// none if the line would run into a wall.
func (c *corner) hides(dir vec, r float64) (span, bool) {
	least := max(1e-9, 2*close/r) // a line along a wall may start beside it
	back := turn(angle(times(-1, dir)) - c.from)
	if back > 2*math.Pi-least {
		back = 0
	}
	if back > c.interior && back <= c.interior+least {
		back = c.interior
	}
	switch {
	case back > c.interior:
		return span{}, false
	case back+math.Pi < c.interior-least:
		return span{turn(c.from + back + math.Pi), c.interior - back - math.Pi}, true
	case back-math.Pi > least:
		return span{c.from, back - math.Pi}, true
	}
	return span{}, false
}

// arrival is a shortest way to a corner.
type arrival struct {
	w    float64
	from int // source
	dir  vec
	r    float64 // m from the source
}

// front is how far shortest ways to inner corners are known.
type front struct {
	w     *walls
	best  []float64 // per corner
	ways  [][]arrival
	queue []arrival // from is the corner here
}

func (f *front) Len() int { return len(f.queue) }
func (f *front) Less(i, j int) bool {
	return f.queue[i].w < f.queue[j].w || f.queue[i].w == f.queue[j].w && f.queue[i].from < f.queue[j].from
}
func (f *front) Swap(i, j int) { f.queue[i], f.queue[j] = f.queue[j], f.queue[i] }
func (f *front) Push(x any)    { f.queue = append(f.queue, x.(arrival)) }
func (f *front) Pop() any {
	n := len(f.queue) - 1
	x := f.queue[n]
	f.queue = f.queue[:n]
	return x
}

// spread adds to the sources those inner corners that hide a part of the floor from all
// others, each with the shortest way there: Dijkstra's algorithm on lines of sight.
func (w *walls) spread(sources []source) []source {
	f := &front{w: w, best: make([]float64, len(w.corners)), ways: make([][]arrival, len(w.corners))}
	for i := range f.best {
		f.best[i] = math.Inf(1)
	}
	done := make([]bool, len(w.corners))
	for c := range w.corners {
		if at, covered := w.drainAt(c, sources); at >= 0 {
			f.best[c], done[c] = sources[at].w, true
			for _, s := range covered {
				sources = append(sources, source{at: w.corners[c].at, w: f.best[c], drain: sources[at].drain, corner: c, span: s})
			}
		}
	}
	for i := range sources {
		w.look(&sources[i])
		f.from(i, &sources[i])
	}
	for f.Len() > 0 {
		next := heap.Pop(f).(arrival)
		c := next.from
		if done[c] {
			continue
		}
		done[c] = true
		all := []span{{0, 2 * math.Pi}}
		drain := -1
		for _, a := range f.ways[c] {
			if a.w > f.best[c]+close {
				continue
			}
			if drain < 0 || a.w <= f.best[c] {
				drain = sources[a.from].drain
			}
			// A source that the corner hides nothing from is nearer to all places round it.
			hidden, ok := w.corners[c].hides(a.dir, a.r)
			var left []span
			for _, s := range all {
				if ok {
					left = append(left, s.both(hidden)...)
				}
			}
			all = left
		}
		for _, s := range all {
			sources = append(sources, source{at: w.corners[c].at, w: f.best[c], drain: drain, corner: c, span: s})
			w.look(&sources[len(sources)-1])
			f.from(len(sources)-1, &sources[len(sources)-1])
		}
	}
	return sources
}

// drainAt returns the source of a drain that inner corner c is at, -1 for none, and the directions
// that a corner at a channel hides from it: those over which the corner leans.
func (w *walls) drainAt(c int, sources []source) (at int, hidden []span) {
	k := &w.corners[c]
	if !k.inner() {
		return -1, nil
	}
	at = -1
	for i := range sources {
		s := &sources[i]
		d := minus(k.at, s.at)
		if s.corner >= 0 || !s.strip && size(d) > close {
			continue
		}
		if !s.strip {
			at = i
			continue
		}
		q := dot(d, s.along)
		if q < -close || q > s.long+close || math.Abs(dot(d, s.out)) > close {
			continue
		}
		at = i
		if q < s.long-close {
			hidden = append(hidden, k.leans(s.along, s.out)...)
		}
		if q > close {
			hidden = append(hidden, k.leans(times(-1, s.along), s.out)...)
		}
	}
	return at, hidden
}

// leans returns the directions between the walls of a corner that is at a channel and the
// line square to it, where the walls are over the channel: along leads from the corner along the
// channel, out away from it.
func (c *corner) leans(along, out vec) []span {
	const least = 1e-9
	solid := 2*math.Pi - c.interior
	start, end := c.from+c.interior, c.from // of the walls, counter-clockwise
	first := turn(start - angle(along))
	if cross(along, out) < 0 {
		first = turn(angle(along) - end)
	}
	if first > 2*math.Pi-least {
		first = 0 // a wall along the channel
	}
	wide := math.Pi/2 - first - solid
	switch {
	case wide < least:
		return nil
	case cross(along, out) < 0:
		return []span{{angle(out), wide}}
	}
	return []span{{turn(end), wide}}
}

// from adds the ways from source number i to the inner corners in its sight.
func (f *front) from(i int, s *source) {
	for b := range s.breaks {
		for _, c := range s.corners[b] {
			if !f.w.corners[c].inner() || c == s.corner {
				continue
			}
			r, ok := f.w.seen(s, b, c)
			if !ok || r <= close || s.w+r > f.best[c]+close {
				continue
			}
			_, dir := s.line(s.breaks[b])
			f.ways[c] = append(f.ways[c], arrival{s.w + r, i, dir, r})
			if s.w+r < f.best[c] {
				f.best[c] = s.w + r
				heap.Push(f, arrival{w: s.w + r, from: c})
			}
		}
	}
}

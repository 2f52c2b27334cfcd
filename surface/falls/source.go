package falls

import (
	"math"
	"slices"
)

// A source is what water on its part of the floor runs to in straight lines: a drain, an end of
// a channel, a side of a channel, or an inner corner that hides a part of the floor from these.
// The lines are numbered by a parameter: the angle round a point, from the first direction, or
// the distance along a channel.
type source struct {
	at     vec
	w      float64 // m: the shortest way from here to the level of reference, at the fall
	drain  int
	corner int // the inner corner that it is, -1 for none

	span // of a point

	strip bool // a side of a channel: along from at, for long metres, lines in direction out
	along vec
	out   vec
	long  float64

	// Between two breaks each line ends at one edge, the same for all, -1 if it has no length.
	breaks  []float64
	wall    []int
	corners [][]int // per break: corners in that direction, seen or not
}

// most is the last value of the parameter.
func (s *source) most() float64 {
	if s.strip {
		return s.long
	}
	return s.wide
}

// line returns where the line of parameter q starts, and its direction.
func (s *source) line(q float64) (foot, dir vec) {
	if s.strip {
		return plus(s.at, times(q, s.along)), s.out
	}
	sin, cos := math.Sincos(s.from + q)
	return s.at, vec{X: cos, Y: sin}
}

// place returns the place on the line of parameter q at distance r.
func (s *source) place(q, r float64) vec {
	foot, dir := s.line(q)
	return plus(foot, times(r, dir))
}

// param returns the parameter of the line of s that p is on, and how far along it; false if
// there is none. A place beyond the outermost lines by less than [close] is on these.
func (s *source) param(p vec) (q, r float64, ok bool) {
	d := minus(p, s.at)
	if s.strip {
		q, r = dot(d, s.along), dot(d, s.out)
		if q < -close || q > s.long+close || r < -close {
			return q, r, false
		}
		return min(max(q, 0), s.long), max(r, 0), true
	}
	r = size(d)
	if r <= close {
		return 0, r, true
	}
	q = turn(angle(d) - s.from)
	switch {
	case q <= s.wide:
	case (q-s.wide)*r <= close:
		q = s.wide
	case (2*math.Pi-q)*r <= close:
		q = 0
	default:
		return q, r, false
	}
	return q, r, true
}

// reach returns how far the line of parameter q goes to edge e, m.
func (w *walls) reach(s *source, e int, q float64) float64 {
	if e < 0 {
		return 0
	}
	foot, dir := s.line(q)
	out := w.edges[e].out
	h, along := dot(out, minus(w.corners[w.edges[e].a].at, foot)), dot(out, dir)
	if along <= 0 {
		return math.Inf(1)
	}
	return max(h/along, 0)
}

// interval returns the number of the interval between breaks that q is in.
func (s *source) interval(q float64) int {
	i, found := slices.BinarySearch(s.breaks, q)
	if !found {
		i--
	}
	return min(max(i, 0), len(s.wall)-1)
}

// value returns the way from p to the level of reference by s; false if p is out of its sight.
func (w *walls) value(s *source, p vec) (float64, bool) {
	q, r, ok := s.param(p)
	if !ok {
		return 0, false
	}
	if r <= close {
		return s.w + r, true
	}
	i := s.interval(q)
	if r <= w.reach(s, s.wall[i], q)+close {
		return s.w + r, true
	}
	scale := 1.0 // m per unit of q
	if !s.strip {
		scale = r
	}
	if i > 0 && (q-s.breaks[i])*scale <= close && r <= w.reach(s, s.wall[i-1], q)+close {
		return s.w + r, true
	}
	if i+1 < len(s.wall) && (s.breaks[i+1]-q)*scale <= close && r <= w.reach(s, s.wall[i+1], q)+close {
		return s.w + r, true
	}
	return 0, false
}

// look sets the breaks of s and the edges that its lines end at.
func (w *walls) look(s *source) {
	type seen struct {
		q float64
		c int
	}
	var all []seen
	if !s.strip && s.wide >= 2*math.Pi {
		s.from = angle(minus(w.corners[0].at, s.at))
	}
	for i := range w.corners {
		p := w.corners[i].at
		if !s.strip && p.Distance(s.at) <= close {
			continue
		}
		if q, r, ok := s.param(p); ok {
			wide := close // of the parameter: as near to an outermost line, the corner is on it
			if !s.strip {
				wide = close / r
			}
			if s.strip || s.wide < 2*math.Pi {
				if q <= wide {
					q = 0
				} else if q >= s.most()-wide {
					q = s.most()
				}
			}
			all = append(all, seen{q, i})
		}
	}
	slices.SortFunc(all, func(a, b seen) int {
		switch {
		case a.q < b.q:
			return -1
		case a.q > b.q:
			return 1
		}
		return a.c - b.c
	})
	const same = 1e-11
	s.breaks, s.corners = []float64{0}, [][]int{nil}
	for _, a := range all {
		if a.q > s.most()-same {
			a.q = s.most()
		}
		if n := len(s.breaks) - 1; a.q-s.breaks[n] <= same {
			s.corners[n] = append(s.corners[n], a.c)
		} else {
			s.breaks, s.corners = append(s.breaks, a.q), append(s.corners, []int{a.c})
		}
	}
	if n := len(s.breaks) - 1; s.breaks[n] < s.most() {
		s.breaks, s.corners = append(s.breaks, s.most()), append(s.corners, nil)
		if !s.strip && s.wide >= 2*math.Pi {
			s.corners[n+1] = s.corners[0]
		}
	}
	s.wall = make([]int, len(s.breaks)-1)
	for i := range s.wall {
		s.wall[i] = w.first(s, (s.breaks[i]+s.breaks[i+1])/2)
	}
}

// first returns the first edge that the line of parameter q meets from inside; -1 if the line
// starts at a wall and leads out of the floor.
func (w *walls) first(s *source, q float64) int {
	foot, dir := s.line(q)
	best, at := math.Inf(1), -1
	for e := range w.edges {
		a, b := w.ends(e)
		a, b = minus(a, foot), minus(b, foot)
		out := w.edges[e].out
		h := dot(out, a)
		if s.strip && math.Abs(h) <= close && dot(out, dir) > 0 && dot(a, b) < 0 {
			return -1
		}
		// Floor on the left: the line leaves the floor through edges that run from its right
		// to its left.
		if h <= close || cross(dir, a) > 0 || cross(dir, b) <= 0 {
			continue
		}
		if r := h / dot(out, dir); r < best {
			best, at = r, e
		}
	}
	return at
}

// seen reports whether corner c, in the direction of break i, is in sight of s, and how far it
// is along the line.
func (w *walls) seen(s *source, i, c int) (r float64, ok bool) {
	_, r, ok = s.param(w.corners[c].at)
	if !ok {
		return r, false
	}
	far := 0.0
	if i > 0 {
		far = w.reach(s, s.wall[i-1], s.breaks[i])
	}
	if i < len(s.wall) {
		far = max(far, w.reach(s, s.wall[i], s.breaks[i]))
	}
	return r, r <= far+close
}

package setout

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
)

// hair is how far places may differ by rounding, m: on a site grid of 10⁶ m a place is known
// to a tenth of a nanometre, and the sums here lose a digit or two.
const hair = 1e-8

// wall is a straight piece of wall with the floor on its left.
type wall struct{ a, b surface.Vec }

// Ends returns the start and the end of w.
func (w wall) Ends() (a, b surface.Vec) { return w.a, w.b }

func (w wall) length() float64 { return w.a.Distance(w.b) }

// bearing returns the direction of w, radians from east.
func (w wall) bearing() float64 { return math.Atan2(w.b.Y-w.a.Y, w.b.X-w.a.X) }

// along returns the place d metres from the start of w and off metres to its left.
func (w wall) along(d, off float64) surface.Vec {
	l := w.length()
	ux, uy := (w.b.X-w.a.X)/l, (w.b.Y-w.a.Y)/l
	return surface.Vec{X: w.a.X + d*ux - off*uy, Y: w.a.Y + d*uy + off*ux}
}

// to returns the distance from w to p, m. A wall without length counts as a place.
func (w wall) to(p surface.Vec) float64 {
	return p.Distance(p.NearestOn(w.a, w.b))
}

// straight is the max turn between walls of one side, radians: walls are surveyed shot by
// shot, and round ones are many short pieces.
const straight = 20 * math.Pi / 180

// turn returns the turn from w to the next wall, radians, positive to the left: a corner of
// the room. At an outer corner of a column it is negative.
func (w wall) turn(next wall) float64 {
	return math.Remainder(next.bearing()-w.bearing(), 2*math.Pi)
}

// side is the walls between two corners, which turn little. A closed side has no corners, as
// a round column.
type side struct {
	walls  []wall
	closed bool
	before wall // the neighbouring walls, round the corners
	after  wall
}

// inner reports whether the floor goes round s or round its first corner.
func (s side) inner() bool {
	if !s.closed {
		return s.before.turn(s.walls[0]) < 0
	}
	turn := 0.0
	for i, w := range s.walls {
		turn += w.turn(s.walls[(i+1)%len(s.walls)])
	}
	return turn < 0
}

func (s side) length() float64 {
	l := 0.0
	for _, w := range s.walls {
		l += w.length()
	}
	return l
}

// at returns the place d metres along s and off metres to its left.
func (s side) at(d, off float64) surface.Vec {
	for i, w := range s.walls {
		l := w.length()
		if d <= l || i == len(s.walls)-1 {
			return w.along(d, off)
		}
		d -= l
	}
	return surface.Vec{} // no side is without a wall
}

// room is floor not divided by walls: one region, or several with steps between them.
type room struct {
	regions []int
	sides   []side // outer walls first, each loop with the floor on the left
	walls   []wall
}

// roomsOf returns the rooms of f, in the order of their first regions. Steps are not walls:
// bars and grid lines continue over them.
func roomsOf(f *surface.Floor) []room {
	step := map[[2]surface.Vec]bool{}
	for _, s := range f.Steps {
		step[s] = true
		step[[2]surface.Vec{s[1], s[0]}] = true
	}
	// Regions that share a step are one room.
	owner := make([]int, len(f.Regions))
	for i := range owner {
		owner[i] = i
	}
	met := map[[2]surface.Vec]int{}
	of := make([][]wall, len(f.Regions))
	for i, r := range f.Regions {
		for _, ring := range r.Rings {
			for j, a := range ring {
				b := ring[(j+1)%len(ring)]
				if !step[[2]surface.Vec{a, b}] {
					of[i] = append(of[i], wall{a, b})
					continue
				}
				if k, ok := met[[2]surface.Vec{b, a}]; ok {
					from, to := owner[i], owner[k]
					for n := range owner {
						if owner[n] == max(from, to) {
							owner[n] = min(from, to)
						}
					}
				}
				met[[2]surface.Vec{a, b}] = i
			}
		}
	}
	var out []room
	for i := range f.Regions {
		if owner[i] != i {
			continue
		}
		var r room
		for k := range f.Regions {
			if owner[k] == i {
				r.regions = append(r.regions, k)
				r.walls = append(r.walls, of[k]...)
			}
		}
		r.sides = sidesOf(r.walls)
		out = append(out, r)
	}
	return out
}

// before orders places from west to east, then from south to north.
func before(p, q surface.Vec) int { return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y)) }

// sidesOf chains walls, each loop from its westernmost corner, and cuts the loops at their
// corners. The loop with the westernmost corner is an outer one.
func sidesOf(walls []wall) []side {
	walls = slices.Clone(walls)
	slices.SortFunc(walls, func(v, w wall) int { return cmp.Or(before(v.a, w.a), before(v.b, w.b)) })
	from := map[surface.Vec][]int{}
	for i, w := range walls {
		from[w.a] = append(from[w.a], i)
	}
	used := make([]bool, len(walls))
	var out []side
	for i := range walls {
		if used[i] {
			continue
		}
		var loop []wall
		for n := i; n >= 0 && !used[n]; {
			used[n] = true
			w := walls[n]
			loop = append(loop, w)
			// Where walls touch at a corner, the next is the first one met when swinging
			// back over the floor.
			n = -1
			for _, k := range from[w.b] {
				if !used[k] && (n < 0 || w.turn(walls[k]) > w.turn(walls[n])) {
					n = k
				}
			}
		}
		out = append(out, cutAtCorners(loop)...)
	}
	return out
}

func cutAtCorners(loop []wall) []side {
	n := len(loop)
	corner := func(i int) bool { return math.Abs(loop[(i+n-1)%n].turn(loop[i%n])) > straight }
	first := 0
	for first < n && !corner(first) {
		first++
	}
	if first == n {
		return []side{{walls: loop, closed: true}}
	}
	var out []side
	for i := range n {
		k := (first + i) % n
		if corner(k) {
			out = append(out, side{before: loop[(k+n-1)%n]})
		}
		s := &out[len(out)-1]
		s.walls = append(s.walls, loop[k])
		s.after = loop[(k+1)%n]
	}
	return out
}

// main returns the axes of a room: from the start of its longest side along that side, with
// the floor to the left. Of equal sides the westernmost counts.
func (r room) main() axes {
	best, found := wall{}, 0.0
	for _, s := range r.sides {
		w := wall{s.walls[0].a, s.walls[len(s.walls)-1].b}
		if s.closed {
			for _, p := range s.walls {
				if p.length() > w.length() {
					w = p
				}
			}
		}
		if w.length() > found*(1+1e-9) || w.length() > found*(1-1e-9) && before(w.a, best.a) < 0 {
			best, found = w, w.length()
		}
	}
	return newAxes(best.a, best.bearing())
}

// axes rotate a plan so that x runs along a wall.
type axes struct {
	o        surface.Vec
	cos, sin float64
}

func newAxes(o surface.Vec, bearing float64) axes {
	a := axes{o, math.Cos(bearing), math.Sin(bearing)}
	// A quarter turn is exact, so that walls to the points of the compass stay exact.
	if q := bearing / (math.Pi / 2); q == math.Round(q) {
		a.cos, a.sin = math.Round(a.cos), math.Round(a.sin)
	}
	return a
}

// in returns p relative to the axes.
func (a axes) in(p surface.Vec) surface.Vec {
	x, y := p.X-a.o.X, p.Y-a.o.Y
	return surface.Vec{X: float64(x*a.cos) + float64(y*a.sin), Y: float64(y*a.cos) - float64(x*a.sin)}
}

// out returns a place on the axes as a place on the grid of the survey.
func (a axes) out(p surface.Vec) surface.Vec {
	return surface.Vec{X: a.o.X + (float64(p.X*a.cos) - float64(p.Y*a.sin)), Y: a.o.Y + (float64(p.X*a.sin) + float64(p.Y*a.cos))}
}

// across returns the axes turned left by a quarter turn.
func (a axes) across() axes { return axes{a.o, -a.sin, a.cos} }

// toEast returns a turned by quarter turns so that x is as near to east as possible.
func (a axes) toEast() axes {
	for a.cos < math.Abs(a.sin)-1e-12 || a.cos < 0 {
		a = a.across()
	}
	return a
}

// layout is the walls of a room on axes.
type layout struct {
	axes  axes
	walls []wall
	sides [][]wall
	lo    surface.Vec // min coordinates of all corners
	hi    surface.Vec

	joints []wall // movement joints, see [layout.addJoints]
	along  []surface.Span
}

func (r room) on(a axes) layout {
	p := layout{axes: a, lo: surface.Vec{X: math.Inf(1), Y: math.Inf(1)}, hi: surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for _, s := range r.sides {
		var turned []wall
		for _, w := range s.walls {
			t := wall{a.in(w.a), a.in(w.b)}
			turned = append(turned, t)
			p.lo = surface.Vec{X: min(p.lo.X, t.a.X), Y: min(p.lo.Y, t.a.Y)}
			p.hi = surface.Vec{X: max(p.hi.X, t.a.X), Y: max(p.hi.Y, t.a.Y)}
		}
		p.sides = append(p.sides, turned)
		p.walls = append(p.walls, turned...)
	}
	return p
}

// clear returns the stretches of the line at y over floor that keep r or more from every
// wall and joint, at any angle.
func (p layout) clear(y, r float64) []surface.Span {
	var shut []surface.Span
	for _, list := range [][]wall{p.walls, p.joints} {
		for _, w := range list {
			if s, ok := surface.Near(w, y, r-hair); ok {
				shut = append(shut, s)
			}
		}
	}
	return surface.Free(surface.Across(p.walls, y), shut)
}

// square is how far a wall or joint that runs along x may rise over its run; own choice.
const square = 0.03

// reach returns the min and max y of the floor between the walls that run along x. A wall a
// little out of square counts with its inner end; otherwise a last line beside it would be
// cut away.
func (p layout) reach() (lo, hi float64) {
	lo, hi = p.lo.Y, p.hi.Y
	for _, s := range p.sides {
		low, high, west, east := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, w := range s {
			for _, q := range [...]surface.Vec{w.a, w.b} {
				low, high = min(low, q.Y), max(high, q.Y)
				west, east = min(west, q.X), max(east, q.X)
			}
		}
		if high-low > square*(east-west) {
			continue
		}
		if low == p.lo.Y {
			lo = max(lo, high)
		}
		if high == p.hi.Y {
			hi = min(hi, low)
		}
	}
	return lo, hi
}

// addJoints adds movement joints. One that runs along x has bars of its own beside it.
func (p *layout) addJoints(joints [][]surface.Vec) {
	for _, line := range joints {
		var low, high surface.Vec
		for i, v := range line {
			q := p.axes.in(v)
			if i == 0 {
				low, high = q, q
				continue
			}
			p.joints = append(p.joints, wall{p.axes.in(line[i-1]), q})
			low = surface.Vec{X: min(low.X, q.X), Y: min(low.Y, q.Y)}
			high = surface.Vec{X: max(high.X, q.X), Y: max(high.Y, q.Y)}
		}
		if high.Y-low.Y <= square*(high.X-low.X) && high.X > p.lo.X && low.X < p.hi.X {
			p.along = append(p.along, surface.Span{Lo: low.Y, Hi: high.Y})
		}
	}
}

// parts returns the stretches across x that bars are spaced over: edge from the walls and
// from the joints that run along x.
func (p layout) parts(edge float64) []surface.Span {
	lo, hi := p.reach()
	if len(p.along) == 0 {
		return []surface.Span{{Lo: lo + edge, Hi: hi - edge}}
	}
	var shut []surface.Span
	for _, s := range p.along {
		shut = append(shut, surface.Span{Lo: s.Lo - edge, Hi: s.Hi + edge})
	}
	return surface.Free([]surface.Span{{Lo: lo + edge, Hi: hi - edge}}, shut)
}

// inside reports whether p is over floor and at least far from every wall. far is above
// hair, so that rounding does not decide the side of a wall.
func (r room) inside(p surface.Vec, far float64) bool {
	in := false
	for _, w := range r.walls {
		if w.to(p) < far-hair {
			return false
		}
		if (w.a.Y <= p.Y) != (w.b.Y <= p.Y) && (w.a.X+(p.Y-w.a.Y)/(w.b.Y-w.a.Y)*(w.b.X-w.a.X) > p.X) {
			in = !in
		}
	}
	return in
}

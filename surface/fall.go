package surface

import (
	"math"
	"slices"

	"pourplane/surface/internal/sum"
)

// Beyond is the part of a floor past a place in the direction of a fall, where the plane is
// lower than at the place.
type Beyond struct {
	Area     float64 // m²
	Farthest float64 // m along the fall, 0 if nothing is beyond
	At       Vec     // the farthest place

	moment float64 // m³, integral of the distance along the fall over that area
}

// sameCorner is the difference, m, of places that differ by rounding alone: of these the first by
// x and y is named.
const sameCorner = 1e-9

// Beyond returns the part of f past a place in the direction dir, a unit vector.
func (f *Floor) Beyond(place, dir Vec) Beyond {
	var b Beyond
	var area, moment sum.Sum
	for _, r := range f.Regions {
		for k, ring := range r.Rings {
			last := ring[len(ring)-1]
			s0, t0 := downhill(last, place, dir)
			for _, c := range ring {
				s1, t1 := downhill(c, place, dir)
				switch {
				case k > 0:
				case s1 > b.Farthest+sameCorner:
					b.Farthest, b.At = s1, c
				case s1 > 0 && s1 >= b.Farthest-sameCorner && c.Less(b.At):
					b.Farthest, b.At = max(s1, b.Farthest), c
				}
				// Green's theorem: the integrals of 1 and of s over s > 0 are integrals of s
				// and of s²/2 along the boundary, which is linear between corners.
				if s0 > 0 || s1 > 0 {
					p0, p1, dt := max(s0, 0), max(s1, 0), t1-t0
					if (s0 < 0) != (s1 < 0) {
						dt *= (p0 + p1) / (math.Abs(s0) + math.Abs(s1)) // the part beyond
					}
					area.Add((p0 + p1) / 2 * dt)
					moment.Add((p0*p0 + p0*p1 + p1*p1) / 6 * dt)
				}
				s0, t0 = s1, t1
			}
		}
	}
	b.Area, b.moment = math.Abs(area.Value()), math.Abs(moment.Value())
	return b
}

// downhill returns the distance of c from a place in the direction dir, and across it.
func downhill(c, place, dir Vec) (s, t float64) {
	x, y := c.X-place.X, c.Y-place.Y
	return float64(x*dir.X) + float64(y*dir.Y), float64(y*dir.X) - float64(x*dir.Y)
}

// alike is how much more of the plane a direction may leave lower and still count as equally
// good. Own choice.
const alike = 1.02

// Falls returns the directions, unit vectors, in which one plane drains a floor to a place.
// The first is the one that leaves the least of the plane lower than at the place, by
// volume. The others differ from it by more than 20 degrees and leave at most 2 % more. They
// run clockwise from north. For a place at a straight wall the direction is square to the
// wall. For one in a corner it is the middle of the directions that leave nothing lower. In
// the middle of a room there are several. Own formulation.
func (f *Floor) Falls(place Vec) []Vec {
	const n = turns
	cost := func(dir Vec) float64 { return f.Beyond(place, dir).moment }
	var costs [n]float64
	best := 0
	for k := range costs {
		if costs[k] = cost(turned(float64(k))); costs[k] < costs[best] {
			best = k
		}
	}
	lo, hi := f.Bounds()
	size := lo.Distance(hi)
	nothing := 1e-12 * size * size * size // volume that is only rounding
	if costs[best] <= nothing {
		if dir, wide := middleOf(best, n, func(k float64) bool { return cost(turned(k)) <= nothing }); wide {
			return []Vec{turned(dir)}
		}
		return []Vec{f.steepest(place, best, nothing)}
	}
	const apart = 40 // half degrees; own choice
	near := []int{best}
	for k := range costs {
		if costs[k] > alike*costs[best] || costs[k] > costs[(k+1)%n] || costs[k] > costs[(k+n-1)%n] {
			continue
		}
		if !slices.ContainsFunc(near, func(of int) bool { off := (k - of + n) % n; return min(off, n-off) <= apart }) {
			near = append(near, k)
		}
	}
	slices.Sort(near)
	var out []Vec
	squares := f.squares()
	for _, k := range near {
		dir := f.steepest(place, k, nothing)
		if len(near) > 1 {
			// Several directions mean a question to the user. Use one square to a wall if it
			// is as good and within half the spacing of the directions, so that no two
			// become one.
			for _, s := range squares {
				if s.X*dir.X+s.Y*dir.Y > math.Cos(apart*math.Pi/turns) && cost(s) <= alike*costs[best] {
					dir = s
					break
				}
			}
		}
		out = append(out, dir)
	}
	return out
}

// nearWall is the max distance from a wall of a drain at that wall, m. Own choice: the body
// of a drain is narrower.
const nearWall = 0.3

// FallsAt returns the directions of [Floor.Falls] for a place. If it is at a wall and the
// floor continues past that wall, as at the inner corner of an L, the best direction may
// slant. Then the direction square to the wall comes first. If it is as good as the best it
// is the only one; if not, past is true.
func (f *Floor) FallsAt(place Vec) (dirs []Vec, past bool) {
	dirs = f.Falls(place)
	square, ok := f.square(place)
	if !ok || slices.Contains(dirs, square) {
		return dirs, false
	}
	if len(dirs) == 1 && f.Beyond(place, square).moment <= alike*f.Beyond(place, dirs[0]).moment {
		return []Vec{square}, false
	}
	return append([]Vec{square}, dirs...), true
}

// square returns the direction square to the wall at a place, if the floor continues past
// that wall. ok is false away from walls and in a corner.
func (f *Floor) square(place Vec) (dir Vec, ok bool) {
	var distance float64
	corner := false
	f.facing(place, func(_, _, e Vec, away float64) {
		if away > nearWall {
			return
		}
		out := Vec{X: e.Y, Y: 0 - e.X} // the floor is on the left
		switch {
		case !ok:
			dir, distance, ok = out, away, true
		case out.X*dir.X+out.Y*dir.Y < 0.9999: // another direction
			corner = true
		default:
			distance = max(distance, away)
		}
	})
	const touch = 1e-6 // m: rounding
	return dir, ok && !corner && f.Beyond(place, dir).Farthest > distance+touch
}

// turns is the number of directions tried first: every half degree.
const turns = 720

// turned returns the direction k half degrees clockwise from north.
func turned(k float64) Vec {
	if q := math.Mod(k, turns/4); q == 0 { // quarter turns are exact
		return [4]Vec{{X: 0, Y: 1}, {X: 1, Y: 0}, {X: 0, Y: -1}, {X: -1, Y: 0}}[int(math.Mod(k, turns))/(turns/4)]
	}
	sin, cos := math.Sincos(k * math.Pi / (turns / 2))
	return Vec{X: sin, Y: cos}
}

// steepest finds the best direction within half a degree of k half degrees.
func (f *Floor) steepest(place Vec, k int, nothing float64) Vec {
	cost := func(dir Vec) float64 { return f.Beyond(place, dir).moment }
	// Golden section.
	const golden = 0.6180339887498949
	a, b := float64(k)-1, float64(k)+1
	for range 60 {
		l, r := b-golden*(b-a), a+golden*(b-a)
		if cost(turned(l)) <= cost(turned(r)) {
			b = r
		} else {
			a = l
		}
	}
	dir := turned((a + b) / 2)
	// Exactly square to a wall, if that is as good.
	least := cost(dir)
	for _, square := range append(f.squares(), turned(float64(k))) {
		if c := cost(square); c <= least*(1+1e-9)+nothing && square.X*dir.X+square.Y*dir.Y > 0.9999 {
			return square
		}
	}
	return dir
}

// middleOf returns the middle of the directions round k for which ok is true, with n to a
// full turn, and whether there is more than one.
func middleOf(k, n int, ok func(float64) bool) (middle float64, wide bool) {
	edge := func(way float64) float64 {
		in := 0.0
		for in < float64(n)/2 && ok(math.Mod(float64(k+n)+way*(in+1), float64(n))) {
			in++
		}
		out := in + 1
		for range 40 {
			if m := (in + out) / 2; ok(math.Mod(float64(k+n)+way*m, float64(n))) {
				in = m
			} else {
				out = m
			}
		}
		return in
	}
	left, right := edge(-1), edge(1)
	middle = float64(k+n) + (right-left)/2
	if r := math.Round(middle); math.Abs(middle-r) < 1e-6 {
		middle = r
	}
	return math.Mod(middle, float64(n)), left+right > 1
}

// squares returns the directions square to the longest walls, outward.
func (f *Floor) squares() []Vec {
	type wall struct {
		length float64
		out    Vec
	}
	var walls []wall
	for _, r := range f.Regions {
		ring := r.Rings[0]
		for i, b := range ring {
			a := ring[(i+len(ring)-1)%len(ring)]
			if l := a.Distance(b); l > 0 {
				walls = append(walls, wall{l, Vec{X: (b.Y - a.Y) / l, Y: 0 - (b.X-a.X)/l}}) // counter-clockwise: outside is on the right
			}
		}
	}
	slices.SortStableFunc(walls, func(a, b wall) int {
		switch {
		case a.length > b.length:
			return -1
		case a.length < b.length:
			return 1
		}
		return 0
	})
	var out []Vec
	for _, w := range walls[:min(len(walls), 24)] {
		out = append(out, w.out)
	}
	return out
}

// RangeOf returns the min and max elevation of a target over the floor, m, and their places.
func (f *Floor) RangeOf(target Target) (least, greatest float64, leastAt, greatestAt Vec) {
	if plane, ok := IsPlane(target); ok {
		return f.Range(plane)
	}
	least, greatest = math.Inf(1), math.Inf(-1)
	leastAt, greatestAt = Vec{X: math.Inf(1)}, Vec{X: math.Inf(1)}
	for _, r := range f.under(target).Regions {
		top, up := r.TIN.tops(target)
		for v, z := range top {
			z, at := z+up, r.TIN.At(int32(v))
			if z < least-sameCorner || z <= least+sameCorner && at.Less(leastAt) {
				least, leastAt = min(z, least), at
			}
			if z > greatest+sameCorner || z >= greatest-sameCorner && at.Less(greatestAt) {
				greatest, greatestAt = max(z, greatest), at
			}
		}
	}
	return least, greatest, leastAt, greatestAt
}

// Range returns the min and max elevation of a plane over the floor, m, and their places.
func (f *Floor) Range(p Plane) (least, greatest float64, leastAt, greatestAt Vec) {
	least, greatest = math.Inf(1), math.Inf(-1)
	for _, r := range f.Regions {
		for _, c := range r.Rings[0] {
			z := p.Elevation(c)
			least, greatest = min(least, z), max(greatest, z)
		}
	}
	leastAt, greatestAt = Vec{X: math.Inf(1)}, Vec{X: math.Inf(1)}
	for _, r := range f.Regions {
		for _, c := range r.Rings[0] {
			z := p.Elevation(c)
			if z <= least+sameCorner && c.Less(leastAt) {
				leastAt = c
			}
			if z >= greatest-sameCorner && c.Less(greatestAt) {
				greatestAt = c
			}
		}
	}
	return least, greatest, leastAt, greatestAt
}

package blunder

import (
	"math"
	"slices"

	"pourplane/survey"
)

const (
	// leastLeap is the smallest shift that leap reports, m: smaller ones are left to
	// [book.moves], which weighs them against the field of the floor.
	leastLeap = 0.015
	// leapScale is how much larger the shift must be than the 90 % of the differences
	// between near shots of one side, plane removed. Own choice, from the simulated books.
	leapScale = 2.5
	// leapShare is the min share of the pairs across that show the shift within half of it.
	leapShare = 0.8
	// leapPairs is the min number of pairs across.
	leapPairs = 6
	// leapNear is the number of nearest shots that a shot is paired with.
	leapNear = 4
	// leapEdge, in spacings, is how far inside the area of the other rows a shot counts as
	// among them.
	leapEdge = 0.25
)

// pair is two shots near each other, by their order in the list.
type pair struct {
	a, b       int     // a is before b
	dx, dy, dz float64 // m, from a to b
}

// leap looks in each set-up for a row from which all elevations are shifted by one large
// amount: the laser was moved and no row records it. It compares each shot with the nearest
// ones. A step of the floor itself is where all later shots are in an area of their own; it
// is not reported.
func (b *book) leap(regions []*region) (jumped, bool) {
	var best jumped
	for _, r := range regions {
		if len(r.shots) > mostFromOne {
			continue
		}
		of := map[int][]*shot{}
		for _, s := range r.shots {
			if s.reading >= 0 && b.readings[s.reading].Measure != survey.Elevation {
				of[s.setup] = append(of[s.setup], s)
			}
		}
		for setup := range b.setups {
			rows := of[setup]
			slices.SortFunc(rows, func(p, q *shot) int { return p.reading - q.reading })
			if k, by := leapAt(rows); k > 0 && math.Abs(by) > math.Abs(best.by) {
				at := rows[k].reading
				best = jumped{from: at, last: rows[len(rows)-1].reading, first: at, late: at, by: by, sure: 1}
			}
		}
	}
	return best, best.by != 0
}

// leapAt returns the row from which rows, in list order, are shifted, and the shift, m; 0
// if there is none.
func leapAt(rows []*shot) (int, float64) {
	if len(rows) < fewest {
		return 0, 0
	}
	pairs := nearPairs(rows)
	at, least, shift := 0, math.Inf(1), 0.0
	for k := eachSide; k <= len(rows)-eachSide; k++ {
		if by, misfit, ok := leapFit(pairs, k); ok && misfit < least {
			at, least, shift = k, misfit, by
		}
	}
	if at == 0 || ownArea(rows, at) {
		return 0, 0
	}
	return at, shift
}

// nearPairs pairs each shot with its nearest ones.
func nearPairs(rows []*shot) []pair {
	type other struct {
		i int
		d float64
	}
	seen := map[[2]int]bool{}
	var out []pair
	for i, s := range rows {
		var near []other // nearest first
		for j, t := range rows {
			d := math.Hypot(s.x-t.x, s.y-t.y)
			if j == i || len(near) == leapNear && d >= near[leapNear-1].d {
				continue
			}
			at := len(near)
			for at > 0 && near[at-1].d > d {
				at--
			}
			near = slices.Insert(near, at, other{j, d})
			near = near[:min(len(near), leapNear)]
		}
		for _, o := range near {
			key := [2]int{min(i, o.i), max(i, o.i)}
			if seen[key] {
				continue
			}
			seen[key] = true
			p, q := rows[key[0]], rows[key[1]]
			out = append(out, pair{key[0], key[1], q.x - p.x, q.y - p.y, q.z - p.z})
		}
	}
	return out
}

// leapFit returns the shift of the rows from k on, and the sum of what the pairs differ
// from it. ok is set if the shift is large, and common to the pairs across.
func leapFit(pairs []pair, k int) (by, misfit float64, ok bool) {
	var xx, xy, yy, xz, yz float64 // of pairs on one side
	for _, p := range pairs {
		if p.a < k && p.b >= k {
			continue
		}
		xx, xy, yy = xx+p.dx*p.dx, xy+p.dx*p.dy, yy+p.dy*p.dy
		xz, yz = xz+p.dx*p.dz, yz+p.dy*p.dz
	}
	det := xx*yy - xy*xy
	if !(det > 1e-9*xx*yy) { // all on one line
		return 0, 0, false
	}
	gx, gy := (yy*xz-xy*yz)/det, (xx*yz-xy*xz)/det
	var within, across []float64
	for _, p := range pairs {
		rest := p.dz - gx*p.dx - gy*p.dy
		if p.a < k && p.b >= k {
			across = append(across, rest)
		} else {
			within = append(within, math.Abs(rest))
			misfit += math.Abs(rest)
		}
	}
	if len(across) < leapPairs || len(within) < leapPairs {
		return 0, 0, false
	}
	slices.Sort(within)
	slices.Sort(across)
	by = across[len(across)/2]
	size, same := math.Abs(by), 0
	for _, d := range across {
		misfit += math.Abs(d - by)
		if math.Abs(d-by) <= size/2 {
			same++
		}
	}
	usual := within[len(within)*9/10]
	return by, misfit, size >= max(leastLeap, leapScale*usual) && float64(same) >= leapShare*float64(len(across))
}

// ownArea reports whether the rows before k or those from k on have an area of their own,
// along the rows walked or across a slanting line. The floor may have a step there.
func ownArea(rows []*shot, k int) bool {
	var c, s float64 // rows and columns have one direction, four times the angle
	var gaps []float64
	for i := 1; i < len(rows); i++ {
		dx, dy := rows[i].x-rows[i-1].x, rows[i].y-rows[i-1].y
		gaps = append(gaps, math.Hypot(dx, dy))
		angle := 4 * math.Atan2(dy, dx)
		c, s = c+math.Cos(angle), s+math.Sin(angle)
	}
	slices.Sort(gaps)
	edge := leapEdge * gaps[len(gaps)/2]
	along := math.Atan2(s, c) / 4
	if ownBox(rows[:k], rows[k:], along, edge) || ownBox(rows[k:], rows[:k], along, edge) {
		return true
	}
	for degrees := 20.0; degrees <= 160; degrees += 5 {
		if math.Abs(degrees-90) < 20 {
			continue
		}
		lo, hi := spread(rows[:k], along+degrees*math.Pi/180)
		low, high := spread(rows[k:], along+degrees*math.Pi/180)
		if hi <= low+edge || high <= lo+edge {
			return true
		}
	}
	return false
}

// ownBox reports whether the box round some shots, turned by an angle, has no shot of the
// others in it or within edge, m, of it.
func ownBox(some, others []*shot, angle, edge float64) bool {
	x0, x1 := spread(some, angle)
	y0, y1 := spread(some, angle+math.Pi/2)
	return !slices.ContainsFunc(others, func(s *shot) bool {
		x, y := s.on(angle), s.on(angle+math.Pi/2)
		return x >= x0-edge && x <= x1+edge && y >= y0-edge && y <= y1+edge
	})
}

// on returns how far s is in the direction of an angle, m.
func (s *shot) on(angle float64) float64 { return s.x*math.Cos(angle) + s.y*math.Sin(angle) }

// spread returns the range of some shots in the direction of an angle, m.
func spread(some []*shot, angle float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, s := range some {
		lo, hi = min(lo, s.on(angle)), max(hi, s.on(angle))
	}
	return lo, hi
}

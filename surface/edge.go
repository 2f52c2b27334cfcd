package surface

import "math"

// Wall is a straight piece of wall, along which depth is linear. The floor is on its left.
type Wall struct {
	From, To   Vec
	Start, End float64 // m, depth at From and To
	Last       bool    // the last wall of its loop; each opening in the floor is a loop too
}

// Walls returns the walls of f, outer edges and openings, loop by loop, with the depth to
// target along them. Steps between regions are not walls: walls on both sides of a step are
// in one loop, each with its own depths. Their lengths sum to Perimeter.
func (f *Floor) Walls(target Target) []Wall {
	f = f.under(target)
	inside := f.inside()
	var runs [][]Wall // walls of one region from step to step, or from corner to corner
	for _, r := range f.Regions {
		corner := map[Vec]bool{}
		for _, ring := range r.Rings {
			for _, p := range ring {
				corner[p] = true
			}
		}
		t := r.TIN
		depth := t.Depths(target)
		seen := make([]bool, len(t.V))
		for h := range int32(len(t.V)) {
			// The surface has more vertices along a wall than the outline has corners; an
			// edge is a step from corner to corner.
			if t.Twin[h] >= 0 || seen[h] || !corner[t.At(t.V[h])] {
				continue
			}
			var side []Wall
			for g := h; !seen[g]; {
				seen[g] = true
				a, b := t.V[g], t.V[Next(g)]
				w := Wall{From: t.At(a), To: t.At(b), Start: depth[a], End: depth[b]}
				if side = append(side, w); corner[w.To] {
					if !inside[[2]Vec{side[0].From, w.To}] {
						runs = append(runs, side)
					}
					side = nil
				}
				for g = Next(g); t.Twin[g] >= 0; {
					g = Next(t.Twin[g])
				}
			}
		}
	}
	return chained(runs)
}

// chained orders runs so that each starts where the one before it ends, and marks where a
// loop closes.
func chained(runs [][]Wall) []Wall {
	from := map[Vec][]int{}
	for i, r := range runs {
		from[r[0].From] = append(from[r[0].From], i)
	}
	used := make([]bool, len(runs))
	var out []Wall
	for i := range runs {
		for n := i; n >= 0 && !used[n]; {
			used[n] = true
			out = append(out, runs[n]...)
			// Where loops touch, the next wall is the first one met when swinging back over
			// the floor.
			last, turn := out[len(out)-1], math.Inf(-1)
			n = -1
			for _, k := range from[last.To] {
				if t := last.turn(runs[k][0]); (!used[k] || k == i) && t > turn {
					n, turn = k, t
				}
			}
			out[len(out)-1].Last = n < 0 || n == i
		}
	}
	return out
}

// turn returns the turn from w to the next wall, radians, positive to the left.
func (w Wall) turn(next Wall) float64 {
	return math.Remainder(math.Atan2(next.To.Y-next.From.Y, next.To.X-next.From.X)-math.Atan2(w.To.Y-w.From.Y, w.To.X-w.From.X), 2*math.Pi)
}

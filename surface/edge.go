package surface

// Wall is a straight piece of wall with the floor on its left, along which the depth
// is linear.
type Wall struct {
	From, To   Vec
	Start, End float64 // m, depth at From and To
	Last       bool    // it ends where the walls of its loop began; an opening in the floor is a loop
}

// Walls returns the walls of f, outer edges and openings, loop by loop, with the
// depth to target along them. Steps between regions are no walls. Together they are as
// long as Perimeter.
func (f *Floor) Walls(target Plane) []Wall {
	step := map[[2]Vec]bool{}
	for _, s := range f.Steps {
		step[s], step[[2]Vec{s[1], s[0]}] = true, true
	}
	var out []Wall
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
			// The surface has more vertices along a wall than the outline has corners, so that
			// whether it is a step is known from corner to corner.
			if t.Twin[h] >= 0 || seen[h] || !corner[t.At(t.V[h])] {
				continue
			}
			loop, side := len(out), len(out)
			for g := h; !seen[g]; {
				seen[g] = true
				a, b := t.V[g], t.V[next(g)]
				out = append(out, Wall{From: t.At(a), To: t.At(b), Start: depth[a], End: depth[b]})
				if corner[out[len(out)-1].To] {
					if step[[2]Vec{out[side].From, out[len(out)-1].To}] {
						out = out[:side]
					}
					side = len(out)
				}
				for g = next(g); t.Twin[g] >= 0; {
					g = next(t.Twin[g])
				}
			}
			if len(out) > loop {
				out[len(out)-1].Last = true
			}
		}
	}
	return out
}

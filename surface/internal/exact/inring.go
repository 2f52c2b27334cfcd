package exact

// InRing reports where p is relative to the ring through the corners (x[i], y[i]), the last
// joined to the first: +1 inside, 0 on it, -1 outside. It is exact for all finite input. The
// ring may run in either direction, and its first corner may be repeated at its end. If the
// ring crosses itself, inside is what an odd number of its edges encloses. x and y have the
// same length.
func InRing(x, y []float64, px, py float64) int {
	side := -1
	for i := range x {
		j := i + 1
		if j == len(x) {
			j = 0
		}
		ax, ay, bx, by := x[i], y[i], x[j], y[j]
		switch {
		case ax == px && ay == py:
			return 0
		case ay == py && by == py:
			if (ax < px) != (bx < px) {
				return 0
			}
		case (ay > py) != (by > py): // an edge owns its lower end, not its upper one
			o := Orient(ax, ay, bx, by, px, py)
			if o == 0 {
				return 0
			}
			if (o > 0) == (by > ay) { // p is west of the edge
				side = -side
			}
		}
	}
	return side
}

package surface

// Contour is a line of equal depth. A closed line does not repeat its first place. Depth
// increases to the left of its direction.
type Contour struct {
	Level  float64
	Line   []Vec // on the grid of the survey
	Closed bool
}

// Contours traces the lines along which depth equals each of levels, on the triangles
// themselves: within a triangle a line is straight and exact. depth has one value per
// vertex, see [TIN.Depths].
//
// A vertex exactly on a level counts as above it, so every line is closed or ends at an edge
// of the floor, and none branches.
func (t *TIN) Contours(depth, levels []float64) []Contour {
	var out []Contour
	done := make([]bool, t.Len())
	var touched []int32
	for _, level := range levels {
		up := func(h int32) bool { return depth[t.V[h]] >= level }
		// entry returns the half-edge through which the line enters triangle k:
		// from above to below, -1 when the level misses the triangle.
		entry := func(k int32) int32 {
			for h := 3 * k; h < 3*k+3; h++ {
				if up(h) && !up(Next(h)) {
					return h
				}
			}
			return -1
		}
		exit := func(k int32) int32 {
			for h := 3 * k; h < 3*k+3; h++ {
				if !up(h) && up(Next(h)) {
					return h
				}
			}
			panic("surface: a contour enters a triangle and does not leave it")
		}
		walk := func(k, in int32) Contour {
			c := Contour{Level: level}
			c.add(t.cross(depth, level, in))
			for {
				done[k] = true
				touched = append(touched, k)
				h := exit(k)
				twin := t.Twin[h]
				if twin >= 0 && done[twin/3] {
					c.Closed = true
					break
				}
				c.add(t.cross(depth, level, h))
				if twin < 0 {
					break
				}
				k = twin / 3
			}
			if c.Closed && len(c.Line) > 1 && c.Line[0] == c.Line[len(c.Line)-1] {
				c.Line = c.Line[:len(c.Line)-1]
			}
			return c
		}
		keep := func(c Contour) {
			if len(c.Line) > 2 || len(c.Line) == 2 && !c.Closed {
				out = append(out, c)
			}
		}
		n := int32(t.Len())
		for k := range n {
			if in := entry(k); in >= 0 && t.Twin[in] < 0 && !done[k] {
				keep(walk(k, in))
			}
		}
		for k := range n {
			if done[k] {
				continue
			}
			if in := entry(k); in >= 0 {
				keep(walk(k, in))
			}
		}
		for _, k := range touched {
			done[k] = false
		}
		touched = touched[:0]
	}
	return out
}

func (c *Contour) add(p Vec) {
	if n := len(c.Line); n == 0 || c.Line[n-1] != p {
		c.Line = append(c.Line, p)
	}
}

// cross returns the place where half-edge h meets level. It is computed from the upper end,
// so that both triangles get the same bits.
func (t *TIN) cross(depth []float64, level float64, h int32) Vec {
	a, b := t.V[h], t.V[Next(h)]
	if depth[a] < depth[b] {
		a, b = b, a
	}
	s := (level - depth[a]) / (depth[b] - depth[a])
	return Vec{
		X: t.Origin.X + t.X[a] + float64(s*(t.X[b]-t.X[a])),
		Y: t.Origin.Y + t.Y[a] + float64(s*(t.Y[b]-t.Y[a])),
	}
}

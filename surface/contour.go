package surface

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

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
	crossed := t.crossed(depth, levels)
	for i, level := range levels {
		up := func(h int32) bool { return depth[t.V[h]] >= level }
		// entry returns the half-edge through which the line enters triangle k: from above
		// to below.
		entry := func(k int32) int32 {
			for h := 3 * k; h < 3*k+3; h++ {
				if up(h) && !up(Next(h)) {
					return h
				}
			}
			panic("surface: a level crosses a triangle without a way in")
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
		for _, k := range crossed[i] {
			if in := entry(k); t.Twin[in] < 0 && !done[k] {
				keep(walk(k, in))
			}
		}
		for _, k := range crossed[i] {
			if !done[k] {
				keep(walk(k, entry(k)))
			}
		}
		for _, k := range touched {
			done[k] = false
		}
		touched = touched[:0]
	}
	return out
}

// crossed returns the triangles that each level crosses, in their order.
func (t *TIN) crossed(depth, levels []float64) [][]int32 {
	order := make([]int, len(levels))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Compare(levels[i], levels[j]) })
	sorted := make([]float64, len(levels))
	for i, o := range order {
		sorted[i] = levels[o]
	}
	out := make([][]int32, len(levels))
	sorted = append(sorted, math.Inf(1))
	// Most triangles are between the same two levels as the one before.
	below, over := math.Inf(-1), sorted[0]
	for k := range int32(t.Len()) {
		v := t.V[3*k : 3*k+3 : 3*k+3]
		d0, d1, d2 := depth[v[0]], depth[v[1]], depth[v[2]]
		if d0 >= below && d0 < over && d1 >= below && d1 < over && d2 >= below && d2 < over {
			continue
		}
		lo, hi := min(d0, d1, d2), max(d0, d1, d2)
		next := sort.Search(len(levels), func(i int) bool { return sorted[i] > lo })
		for i := next; sorted[i] <= hi; i++ {
			out[order[i]] = append(out[order[i]], k)
		}
		below, over = math.Inf(-1), sorted[next]
		if next > 0 {
			below = sorted[next-1]
		}
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

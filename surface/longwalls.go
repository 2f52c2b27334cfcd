package surface

import (
	"math"
	"slices"

	"pourplane/surface/internal/plan"
	"pourplane/survey"
)

// A wall measured at both ends is long if this many shots are nearer to its middle than its
// ends: on a grid, from about three spacings.
const besideLong = 3

// cutLongWalls cuts walls that are measured at both ends and long compared with the spacing
// of the shots beside them. Between its ends such a wall follows the floor, as a wall
// without elevations does, not the straight line from end to end. A breakline with
// elevations along a wall was measured on purpose and stays straight. The hull of the shots
// is not a wall.
func (s *regionMesh) cutLongWalls(n *plan.Neighbours, wide func() *plan.Neighbours) {
	if s.b.floor.Hull {
		return
	}
	lines := make(map[[2]int32]bool, len(s.crease))
	for _, e := range s.crease {
		lines[[2]int32{min(e[0], e[1]), max(e[0], e[1])}] = true
	}
	s.onLong = map[int32]bool{}
	var border [][2]int32
	for _, e := range s.border {
		u, w := e[0], e[1]
		line := lines[[2]int32{min(u, w), max(u, w)}]
		if line || math.IsNaN(s.z[u]) || math.IsNaN(s.z[w]) || !s.long(u, w, n, wide) {
			border = append(border, e)
			continue
		}
		pieces := s.cutWall(u, w, max(2, s.piecesOf(u, w)))
		for _, piece := range pieces[1:] {
			s.onLong[piece[0]] = true
		}
		border = append(border, pieces...)
		s.longWalls = append(s.longWalls, e)
	}
	s.border = border
}

// long reports whether the wall from u to w is long, see [besideLong]. Shots hidden from its
// middle by a wall do not count.
func (s *regionMesh) long(u, w int32, n *plan.Neighbours, wide func() *plan.Neighbours) bool {
	a, c := s.K[u], s.K[w]
	middle := Vec{X: (a.X + c.X) / 2, Y: (a.Y + c.Y) / 2}
	reach := a.Distance(c) / 2 * (1 - 1e-9) // a shot as near as the ends, within rounding, does not count as nearer
	seen := func(v int32) bool { return !s.r.round.Blocked(middle, s.K[v]) }
	enough, all := n.Nearer(middle, reach, besideLong, closest, seen)
	if !all {
		enough, _ = wide().Nearer(middle, reach, besideLong, len(wide().Of), seen)
	}
	return enough
}

// trend returns the least-squares plane through the places of n, level if they are in a row.
func (s *regionMesh) trend(n *plan.Neighbours) Plane {
	of := slices.Clone(n.Of) // sorted, so that sums do not depend on row order
	slices.SortFunc(of, func(u, v int32) int {
		if s.K[u].Less(s.K[v]) {
			return -1
		}
		return 1
	})
	points, weight := make([]survey.Point, len(of)), make([]float64, len(of))
	for i, v := range of {
		at := s.b.Metres(s.K[v])
		points[i], weight[i] = survey.Point{X: at.X, Y: at.Y, Z: s.z[v]}, 1
	}
	plane, _ := quickPlane(points, weight)
	return plane
}

// fitOnLong returns the elevation fitted at vertex v of a long wall. If the shots near it do
// not determine a slope, it uses the slope of the whole region instead of a level one: the
// measured ends show it.
func (s *regionMesh) fitOnLong(v int32, n *plan.Neighbours, wide func() *plan.Neighbours, trend Plane) wallFit {
	f := s.fitAt(v, n, wide, trend)
	if f.slope != both {
		f.slope, f.variance = both, f.mean
	}
	return f
}

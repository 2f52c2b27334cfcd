package landxml

import (
	"hash/maphash"
	"math/bits"

	"pourplane/survey"
)

// weld joins vertices at one place and returns how many it removed. In a file where each
// face has its own corners, every side of every face would otherwise be an edge of the
// floor.
func weld(s *survey.Surface) int {
	if !mayCoincide(s.Vertices) {
		return 0
	}
	index := make(map[[3]float64]int32, len(s.Vertices))
	to := make([]int32, len(s.Vertices))
	for i, p := range s.Vertices {
		at := [3]float64{p.X, p.Y, p.Z}
		j, ok := index[at]
		if !ok {
			j = int32(len(index))
			index[at] = j
			s.Vertices[j] = p
		}
		to[i] = j
	}
	gone := len(s.Vertices) - len(index)
	s.Vertices = s.Vertices[:len(index)]
	for i, f := range s.Faces {
		s.Faces[i] = [3]int32{to[f[0]], to[f[1]], to[f[2]]}
	}
	return gone
}

// mayCoincide reports whether two points have the same hash of their place. Most
// surfaces have no such pair and need no map, which is ten times slower.
func mayCoincide(points []survey.Point) bool {
	seed := maphash.MakeSeed()
	table := make([]uint64, 2<<bits.Len(uint(len(points)))) // 0: free
	mask := uint64(len(table) - 1)
	for i := range points {
		p := &points[i]
		h := maphash.Comparable(seed, [3]float64{p.X, p.Y, p.Z}) | 1<<63
		k := h & mask
		for table[k] != 0 {
			if table[k] == h {
				return true
			}
			k = (k + 1) & mask
		}
		table[k] = h
	}
	return false
}

package landxml

import (
	"hash/maphash"
	"math/bits"

	"pourplane/survey"
)

// weld joins vertices of one place and returns how many went. A file that gives
// each face corners of its own would otherwise have an edge of the floor along
// every side of every face.
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

// mayCoincide reports whether two points share a hash of their place. Most
// surfaces have no such two, and are spared the map of weld, ten times as slow.
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

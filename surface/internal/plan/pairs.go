package plan

import (
	"cmp"
	"slices"

	"pourplane/surface/internal/exact"
)

// EachPair calls visit for every pair of edges that touch or cross: edges from west to east
// by their western ends, each with those before it, in the same order. It stops at the first
// error. Each edge is looked up in a tree of all edges, so long edges close together, as in
// a star, cost no more than short ones.
func EachPair(edges []Edge, visit func(e, f *Edge) error) error {
	order := make([]int, len(edges))
	for i := range order {
		order[i] = i
	}
	west := func(i int) float64 { return min(edges[i].A.X, edges[i].B.X) }
	slices.SortFunc(order, func(i, j int) int { return cmp.Or(cmp.Compare(west(i), west(j)), cmp.Compare(i, j)) })
	ranked := make([]Edge, len(edges))
	for rank, i := range order {
		ranked[rank] = Edge{A: edges[i].A, B: edges[i].B, At: rank}
	}
	tree := NewEdgeTree(ranked)
	var before []int
	for rank, j := range order {
		f := &edges[j]
		before = before[:0]
		s := newSight(f.A, f.B)
		tree.each(s.mayMeet, func(e *Edge) bool {
			if e.At < rank && Meet(e.A, e.B, f.A, f.B) != exact.Apart {
				before = append(before, e.At)
			}
			return true
		})
		slices.Sort(before)
		for _, i := range before {
			if err := visit(&edges[order[i]], f); err != nil {
				return err
			}
		}
	}
	return nil
}

package surface

import (
	"cmp"
	"slices"

	"pourplane/surface/internal/exact"
)

// eachPair calls visit for every pair of edges that touch or cross: edges from west to east
// by their western ends, each with those before it, in the same order. It stops at the first
// error. Each edge is looked up in a tree of all edges, so long edges close together, as in
// a star, cost no more than short ones.
func eachPair(edges []edge, visit func(e, f *edge) error) error {
	order := make([]int, len(edges))
	for i := range order {
		order[i] = i
	}
	west := func(i int) float64 { return min(edges[i].a.X, edges[i].b.X) }
	slices.SortFunc(order, func(i, j int) int { return cmp.Or(cmp.Compare(west(i), west(j)), cmp.Compare(i, j)) })
	ranked := make([]edge, len(edges))
	for rank, i := range order {
		ranked[rank] = edge{a: edges[i].a, b: edges[i].b, at: rank}
	}
	tree := newEdgeTree(ranked)
	var before []int
	for rank, j := range order {
		f := &edges[j]
		before = before[:0]
		s := newSight(f.a, f.b)
		tree.each(s.mayMeet, func(e *edge) bool {
			if e.at < rank && meet(e.a, e.b, f.a, f.b) != exact.Apart {
				before = append(before, e.at)
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

package surface

import (
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/surface/internal/exact"
)

// starEdges returns the n edges of a star on a lattice of micrometres.
func starEdges(n int) []edge {
	c := circleOf(n, 0.5)
	r := ring{}
	for _, p := range c.Points {
		r.k = append(r.k, Vec{1e6 * p.X, 1e6 * p.Y})
	}
	return r.edges(0)
}

// Every pair that touches or crosses is visited once and no other, in the order in the doc
// comment, compared with a check of all pairs. Places are small whole numbers, so that ends
// touch and edges overlap.
func TestPairsThatMeet(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	sets := [][]edge{starEdges(400), nil}
	for range 60 {
		var edges []edge
		for range rng.IntN(100) {
			a := Vec{float64(rng.IntN(40)), float64(rng.IntN(40))}
			edges = append(edges, edge{a: a, b: Vec{a.X + float64(rng.IntN(15)-7), a.Y + float64(rng.IntN(15)-7)}})
		}
		sets = append(sets, edges)
	}
	all := 0
	for _, edges := range sets {
		for i := range edges {
			edges[i].at = i
		}
		order := slices.Clone(edges)
		slices.SortStableFunc(order, func(e, f edge) int {
			switch u, v := min(e.a.X, e.b.X), min(f.a.X, f.b.X); {
			case u < v:
				return -1
			case u > v:
				return 1
			}
			return 0
		})
		var want, got [][2]int
		for j, f := range order {
			for _, e := range order[:j] {
				if meet(e.a, e.b, f.a, f.b) != exact.Apart {
					want = append(want, [2]int{e.at, f.at})
				}
			}
		}
		if err := eachPair(edges, func(e, f *edge) error { got = append(got, [2]int{e.at, f.at}); return nil }); err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(got, want) {
			t.Fatalf("pairs %v\nwant  %v\namong %v", got, want, edges)
		}
		all += len(want)
	}
	if all < 1500 {
		t.Errorf("only %d pairs: the test wants many", all)
	}
}

// The cost of an outline: how many boxes are checked for one of its edges. Rays of a star
// have boxes that overlap by thousands, and still few are checked, no more than the depth of
// the tree.
func TestBoxesLookedAtForAnEdge(t *testing.T) {
	per := func(n int) float64 {
		edges := starEdges(n)
		tree := newEdgeTree(edges)
		asked := 0
		for _, f := range edges {
			s := newSight(f.a, f.b)
			tree.each(func(n *edgeNode) bool { asked++; return s.mayMeet(n) }, func(*edge) bool { return true })
		}
		return float64(asked) / float64(n)
	}
	few, many := per(1000), per(16000)
	t.Logf("%.1f boxes an edge among 1,000, %.1f among 16,000", few, many)
	if many > 2*few || many > 60 {
		t.Errorf("%.1f boxes an edge among 1,000 and %.1f among 16,000: want about as many more as the tree is deeper", few, many)
	}
}

// The places hidden from one place are those that separate sights find, with few walls in
// the way and with many, from a place among the others and from one beside them.
func TestHiddenIsBlocked(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	var hidden, few, wedges [2]int
	count := func(n *[2]int, yes bool) {
		if yes {
			n[1]++
		} else {
			n[0]++
		}
	}
	for range 400 {
		at := func(lo, n int) Vec { return Vec{float64(lo + rng.IntN(n)), float64(lo + rng.IntN(n))} }
		var edges []edge
		for range 1 + rng.IntN(600) {
			a := at(0, 90)
			edges = append(edges, edge{a: a, b: Vec{a.X + float64(rng.IntN(9)-4), a.Y + float64(rng.IntN(9)-4)}})
		}
		tree := newEdgeTree(edges)
		var k []Vec
		var of []int32
		lo := rng.IntN(60)
		for i := range 2 + rng.IntN(20) {
			k = append(k, at(lo, 30))
			of = append(of, int32(i))
		}
		p := at(0, 90)
		f := newFan(p, k, of)
		_, ok := tree.inFan(f)
		count(&few, ok)
		count(&wedges, f.wedge)
		for i, got := range tree.hidden(p, k, of, nil) {
			want := false
			for j := range edges {
				s := newSight(p, k[i])
				want = want || s.stoppedBy(&edges[j])
			}
			if got != want {
				t.Fatalf("from %v %v is hidden: %v, want %v, among %v", p, k[i], got, want, edges)
			}
			count(&hidden, want)
		}
	}
	for what, n := range map[string][2]int{"hidden": hidden, "few walls": few, "wedge": wedges} {
		if min(n[0], n[1]) < 20 {
			t.Errorf("%s: %d no, %d yes; the test wants many of both", what, n[0], n[1])
		}
	}
}

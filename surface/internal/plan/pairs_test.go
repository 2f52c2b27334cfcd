package plan

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/surface/internal/exact"
)

// starEdges returns the n edges of a star on a grid of micrometres.
func starEdges(n int) []Edge {
	var k []Vec
	for i := range n {
		a, r := 2*math.Pi*float64(i)/float64(n), 1e7
		if i%2 == 1 {
			r /= 2
		}
		k = append(k, Vec{math.Round(r * math.Cos(a)), math.Round(r * math.Sin(a))})
	}
	var out []Edge
	for i := range k {
		out = append(out, Edge{k[i], k[(i+1)%n], 0, i})
	}
	return out
}

// Every pair that touches or crosses is visited once and no other, in the order in the doc
// comment, compared with a check of all pairs. Places are small whole numbers, so that ends
// touch and edges overlap.
func TestPairsThatMeet(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	sets := [][]Edge{starEdges(400), nil}
	for range 60 {
		var edges []Edge
		for range rng.IntN(100) {
			a := Vec{float64(rng.IntN(40)), float64(rng.IntN(40))}
			edges = append(edges, Edge{A: a, B: Vec{a.X + float64(rng.IntN(15)-7), a.Y + float64(rng.IntN(15)-7)}})
		}
		sets = append(sets, edges)
	}
	all := 0
	for _, edges := range sets {
		for i := range edges {
			edges[i].At = i
		}
		order := slices.Clone(edges)
		slices.SortStableFunc(order, func(e, f Edge) int {
			switch u, v := min(e.A.X, e.B.X), min(f.A.X, f.B.X); {
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
				if Meet(e.A, e.B, f.A, f.B) != exact.Apart {
					want = append(want, [2]int{e.At, f.At})
				}
			}
		}
		if err := EachPair(edges, func(e, f *Edge) error { got = append(got, [2]int{e.At, f.At}); return nil }); err != nil {
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
		tree := NewEdgeTree(edges)
		asked := 0
		for _, f := range edges {
			s := newSight(f.A, f.B)
			tree.each(func(n *edgeNode) bool { asked++; return s.mayMeet(n) }, func(*Edge) bool { return true })
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
		var edges []Edge
		for range 1 + rng.IntN(600) {
			a := at(0, 90)
			edges = append(edges, Edge{A: a, B: Vec{a.X + float64(rng.IntN(9)-4), a.Y + float64(rng.IntN(9)-4)}})
		}
		tree := NewEdgeTree(edges)
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
		for i, got := range tree.Hidden(p, k, of, nil) {
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

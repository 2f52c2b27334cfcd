package plan

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// placesOf returns places from x and y in turn.
func placesOf(xy ...float64) []Vec {
	var out []Vec
	for i := 0; i < len(xy); i += 2 {
		out = append(out, Vec{xy[i], xy[i+1]})
	}
	return out
}

// Numbers of places against a map. Some places are given twice, some with a zero of the other
// sign, which is the same place.
func TestVerticesAgainstMap(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 21))
	var v Vertices
	numbers := map[Vec]int32{}
	minusZero := -1 / rng.Float64() * 0
	for range 3000 {
		k := Vec{float64(rng.IntN(60)), float64(rng.IntN(60))}
		if k.X == 0 && rng.IntN(2) == 0 {
			k.X = minusZero
		}
		want, known := numbers[k]
		if got, ok := v.Find(k); ok != known || ok && got != want {
			t.Fatalf("found %v as %d, %v; want %d, %v", k, got, ok, want, known)
		}
		if !known {
			want = int32(len(numbers))
			numbers[k] = want
		}
		if got, made := v.Add(k); got != want || made == known || v.K[got] != k {
			t.Fatalf("added %v as %d, new: %v; want %d, %v", k, got, made, want, !known)
		}
	}
}

// The hull against its definition: no place is to the right of an edge, the corners turn
// left, and the first is the westernmost.
func TestHullAgainstEveryPlace(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 22))
	for n := range 300 {
		var k []Vec
		for range n % 40 {
			k = append(k, Vec{float64(rng.IntN(12)), float64(rng.IntN(1 + n%12))})
		}
		hull := ConvexHull(k)
		flat := !slices.ContainsFunc(k, func(p Vec) bool {
			return slices.ContainsFunc(k, func(q Vec) bool { return Orient(k[0], p, q) != 0 })
		})
		if flat != (len(hull) < 3) {
			t.Fatalf("%d corners of %v, all on one line: %v", len(hull), k, flat)
		}
		if mesh, err := Triangulate(k); err == nil && !slices.Equal(HullOf(mesh), hull) {
			t.Fatalf("hull %v of the triangles, %v of the places", HullOf(mesh), hull)
		}
		for i := 0; i < len(hull) && !flat; i++ {
			a, b, c := k[hull[i]], k[hull[(i+1)%len(hull)]], k[hull[(i+2)%len(hull)]]
			if Orient(a, b, c) <= 0 || b.Less(k[hull[0]]) {
				t.Fatalf("corners %v %v %v of the hull from %v", a, b, c, k[hull[0]])
			}
			for _, p := range k {
				if Orient(a, b, p) < 0 {
					t.Fatalf("%v is outside the edge from %v to %v", p, a, b)
				}
			}
		}
	}
}

// Rings that meet themselves, drawn by hand.
func TestCheckRing(t *testing.T) {
	for _, c := range []struct {
		name string
		k    []Vec
		want *RingFault
	}{
		{"square", placesOf(0, 0, 4, 0, 4, 4, 0, 4), nil},
		{"bow tie", placesOf(0, 0, 4, 4, 4, 0, 0, 4), &RingFault{E: 0, F: 2, Crosses: true, Near: Vec{2, 2}}},
		{"a corner on an edge", placesOf(0, 0, 4, 0, 4, 4, 2, 0, 0, 4), &RingFault{E: 0, F: 3, Near: Vec{2, 0}}},
		{"there and back", placesOf(0, 0, 4, 0, 2, 0, 2, 4), &RingFault{E: 0, F: 1, Near: Vec{4, 0}}},
	} {
		got := CheckRing(c.k)
		if (got == nil) != (c.want == nil) {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
			continue
		}
		if got != nil && *got != *c.want {
			t.Errorf("%s: %+v, want %+v", c.name, *got, *c.want)
		}
	}
}

// A square of 12 with one of 4 in its middle, and one beside them.
func TestRingsAround(t *testing.T) {
	r := NewRings([][]Vec{placesOf(0, 0, 12, 0, 12, 12, 0, 12), placesOf(4, 4, 8, 4, 8, 8, 4, 8), placesOf(12, 0, 20, 0, 20, 12, 12, 12)})
	for _, c := range []struct {
		tripled Vec
		want    []int
	}{{Vec{18, 18}, []int{0, 1}}, {Vec{13, 12}, []int{0}}, {Vec{13, 13}, []int{0, 1}}, {Vec{36, 5}, nil}, {Vec{37, 5}, []int{2}}, {Vec{-1, 5}, nil}} {
		if got := r.Around(c.tripled); !slices.Equal(got, c.want) {
			t.Errorf("around %v / 3: %v, want %v", c.tripled, got, c.want)
		}
	}
	if !r.Holds(0, placesOf(0, 0, 12, 5, 6, 6)) || r.Holds(1, placesOf(5, 5, 9, 5)) {
		t.Error("a ring holds what is in it or on it, and nothing else")
	}
}

// Two rooms of 4 × 4 with a common wall at x = 4, and a line in the east one that divides
// nothing.
func TestBordersOfTwoRooms(t *testing.T) {
	const wall, step = 2, 4
	var v Vertices
	line := func(xy ...float64) (out []int32) {
		for _, k := range placesOf(xy...) {
			i, _ := v.Add(k)
			out = append(out, i)
		}
		return out
	}
	ring := line(0, 0, 8, 0, 8, 4, 0, 4)
	across := line(4, -1, 4, 5)
	loose := line(5, 1, 6, 2, 7, 1)
	var s Splits
	s.AddLine(&v, 0, ring, true)
	s.AddLine(&v, 1, across, false)
	s.AddLine(&v, 2, loose, false)
	err := EachPair(s.Edges, func(e, f *Edge) error {
		if at, ok := Intersection(e.A, e.B, f.A, f.B); ok && e.Passes(at) && f.Passes(at) {
			i, _ := v.Add(at)
			s.Cross(e, f, i)
			return nil
		}
		s.Touch(&v, e, f)
		s.Touch(&v, f, e)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	m, err := Triangulate(v.K)
	if err != nil {
		t.Fatal(err)
	}
	next := 0
	for i, l := range [][]int32{ring, across, loose} {
		mark := uint8(step)
		if i == 0 {
			mark = wall
		}
		l, next = s.Line(&v, l, i == 0, next)
		if want := []int{7, 4, 3}[i]; len(l) != want {
			t.Errorf("line %d has %d vertices, want %d", i, len(l), want)
		}
		for j := 1; j < len(l); j++ {
			if err := m.Constrain(l[j-1], l[j], mark); err != nil {
				t.Fatal(err)
			}
		}
	}
	label, n := m.Label(wall|step, m.Inside(wall))
	if n != 2 {
		t.Fatalf("%d parts, want 2", n)
	}
	b := FindBorders(m, label, n, step)
	area := func(loop []int32) float64 {
		var k []Vec
		for _, i := range loop {
			k = append(k, v.K[i])
		}
		return TwiceArea(k) / 2
	}
	for i, loops := range b.Loops {
		if len(loops) != 1 || area(loops[0]) != 16 {
			t.Errorf("part %d has the loops %v, want one round 16", i, loops)
		}
	}
	length := func(edges [][2]int32) (sum float64) {
		for _, e := range edges {
			sum += v.K[e[0]].Distance(v.K[e[1]])
		}
		return sum
	}
	if length(b.Walls) != 24 || length(b.Steps) != 4 || len(b.Loose) != 2 {
		t.Errorf("walls of %g, steps of %g, %d loose edges; want 24, 4 and 2", length(b.Walls), length(b.Steps), len(b.Loose))
	}
	if e := b.Steps[0]; v.K[e[0]].Y < v.K[e[1]].Y {
		t.Error("a step runs with the later of its regions on the left, here to the south")
	}
	for l, tri := range Largest(m, label, n) {
		if label[tri] != int32(l) {
			t.Errorf("the largest triangle of part %d is in part %d", l, label[tri])
		}
		if mid := TripleMiddle(m, tri); (mid.X < 12) != (l == 0) {
			t.Errorf("part %d has its middle at %v / 3", l, mid)
		}
	}
}

// Two triangles that overlap, those of a triangulation, which do not, and one of them moved.
func TestOverlap(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 23))
	found := 0
	for range 200 {
		var v Vertices
		for range 4 + rng.IntN(30) {
			v.Add(Vec{float64(rng.IntN(40)), float64(rng.IntN(40))})
		}
		m, err := Triangulate(v.K)
		if err != nil {
			continue
		}
		var corners []int32
		for i := range int32(m.Len()) {
			if !m.Ghost(i) {
				corners = append(corners, m.V[3*i:3*i+3]...)
			}
		}
		if a, b, ok := Overlap(corners, v.K); ok {
			t.Fatalf("triangles %d and %d of a triangulation overlap", a, b)
		}
		// A triangle from corners of the hull is on top of others unless it is one of them.
		hull := ConvexHull(v.K)
		more := append(corners, hull[0], hull[1], hull[2])
		a, b, ok := Overlap(more, v.K)
		if !ok || max(a, b) != int32(len(corners))/3 {
			t.Fatalf("a second triangle over %v: overlap of %d and %d, %v", hull[:3], a, b, ok)
		}
		found++
	}
	if found < 150 {
		t.Errorf("only %d sets of triangles", found)
	}
}

// The nearest places against a check of all, from places among them and outside.
func TestNeighboursAgainstEveryPlace(t *testing.T) {
	rng := rand.New(rand.NewPCG(24, 24))
	for range 200 {
		var v Vertices
		for range 1 + rng.IntN(200) {
			v.Add(Vec{float64(rng.IntN(50)), float64(rng.IntN(20))})
		}
		var all []int32
		for i := range v.K {
			all = append(all, int32(i))
		}
		n := NewNeighbours(v.K, all)
		p := Vec{float64(rng.IntN(80) - 15), float64(rng.IntN(50) - 15)}
		slices.SortFunc(all, func(i, j int32) int {
			if d, e := square(p, v.K[i]), square(p, v.K[j]); d != e {
				if d < e {
					return -1
				}
				return 1
			}
			if v.K[i].Less(v.K[j]) {
				return -1
			}
			return 1
		})
		want := 1 + rng.IntN(8)
		for want = min(want, len(all)); want < len(all) && square(p, v.K[all[want]]) == square(p, v.K[all[want-1]]); {
			want++
		}
		if got := n.Around(p, min(want, len(all))); !slices.Equal(got, all[:want]) {
			t.Fatalf("near %v: %v, want %v, of %v", p, got, all[:want], v.K)
		}
	}
}

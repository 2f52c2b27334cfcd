package surface

import (
	"cmp"
	"fmt"
	"strings"

	"pourplane/surface/internal/delaunay"
	"pourplane/surface/internal/plan"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// regionsOf finds the regions of the plan.
func (b *builder) regionsOf(m *delaunay.Mesh) error {
	ghost := int32(len(m.X))
	finite := make([]bool, len(m.V)/3)
	for t := range finite {
		finite[t] = m.V[3*t] != ghost && m.V[3*t+1] != ghost && m.V[3*t+2] != ghost
	}
	label, n := m.Label(wall|step, finite)
	tripled := b.tripledRings()
	owner := make([]int, n) // the outline each piece is in, -1 for none
	for l, t := range largestOf(m, label, n) {
		var mid Vec
		for _, v := range m.V[3*t : 3*t+3] {
			mid.X += m.X[v]
			mid.Y += m.Y[v]
		}
		var err error
		if owner[l], err = b.innermost(tripled, mid); err != nil {
			return err
		}
		if o := owner[l]; o >= 0 && b.rings[o].kind == survey.Hole {
			owner[l] = -1
		}
	}
	if err := b.openingsInside(tripled); err != nil {
		return err
	}
	b.walkBorders(m, label, b.nameRegions(owner))
	return nil
}

// tripledRings are the rings with their coordinates times three. The place at which a
// piece is tested is the middle of a triangle: times three its coordinates are whole, so
// the answer is exact.
func (b *builder) tripledRings() []*plan.EdgeTree {
	var out []*plan.EdgeTree
	for _, r := range b.rings {
		e := r.edges(0)
		for i := range e {
			e[i].A, e[i].B = Vec{X: 3 * e[i].A.X, Y: 3 * e[i].A.Y}, Vec{X: 3 * e[i].B.X, Y: 3 * e[i].B.Y}
		}
		out = append(out, plan.NewEdgeTree(e))
	}
	return out
}

// largestOf returns the largest triangle of each of n pieces: one a nanometre wide may be
// on the wrong side of a wall with rounded ends.
func largestOf(m *delaunay.Mesh, label []int32, n int) []int {
	largest := make([]int, n)
	size := make([]float64, n)
	for t, l := range label {
		if l < 0 {
			continue
		}
		a, c, d := m.V[3*t], m.V[3*t+1], m.V[3*t+2]
		area := (m.X[c]-m.X[a])*(m.Y[d]-m.Y[a]) - (m.Y[c]-m.Y[a])*(m.X[d]-m.X[a])
		if area > size[l] {
			largest[l], size[l] = t, area
		}
	}
	return largest
}

// innermost returns the smallest ring around a place, -1 for none. Both are times three.
// Of an outline and an opening of the same area it is the outline.
func (b *builder) innermost(tripled []*plan.EdgeTree, at Vec) (int, error) {
	best := -1
	for i, s := range tripled {
		if s.Side(at) != plan.Inside {
			continue
		}
		switch {
		case best < 0 || b.rings[i].area < b.rings[best].area:
			best = i
		case b.rings[i].area == b.rings[best].area && b.rings[i].kind == survey.Outer:
			if b.rings[best].kind == survey.Outer {
				return -1, &survey.Error{Pos: b.rings[i].points[0].At, Element: ringName(survey.Ring{Name: b.rings[i].name}),
					Found: fmt.Sprintf("the same area as %s (%s)", ringName(survey.Ring{Name: b.rings[best].name}), b.words.source(b.rings[best].points[0])),
					Want:  "each region outlined once", Ask: anotherOutline}
			}
			best = i
		}
	}
	return best, nil
}

// nameRegions makes a region of each piece that is in an outline, and returns the region
// of each piece, -1 for none. Several in one outline are numbered.
func (b *builder) nameRegions(owner []int) (id []int) {
	id = make([]int, len(owner))
	many := map[string]int{}
	for l := range owner {
		id[l] = -1
		if owner[l] < 0 {
			continue
		}
		id[l] = len(b.regions)
		name := b.rings[owner[l]].name
		b.regions = append(b.regions, &region{outer: name, ring: owner[l]})
		many[name]++
	}
	count := map[string]int{}
	for _, r := range b.regions {
		r.name = r.outer
		if many[r.outer] > 1 {
			count[r.outer]++
			r.name = strings.TrimSpace(fmt.Sprintf("%s %d", cmp.Or(r.outer, "part"), count[r.outer]))
		}
	}
	return id
}

// openingsInside checks that every opening removes some floor.
func (b *builder) openingsInside(tripled []*plan.EdgeTree) error {
	for _, r := range b.rings {
		if r.kind != survey.Hole {
			continue
		}
		ok := false
		for j, s := range b.rings {
			if s.kind != survey.Outer || s.area < r.area {
				continue
			}
			all := true
			for _, k := range r.k {
				all = all && tripled[j].Side(Vec{X: 3 * k.X, Y: 3 * k.Y}) != plan.Outside
			}
			ok = ok || all
		}
		if !ok {
			return &survey.Error{Pos: r.points[0].At, Element: ringName(survey.Ring{Name: r.name, Kind: r.kind}),
				Found: "an opening that is not inside an outline", Want: "openings inside the floor", Ask: anotherOutline}
		}
	}
	return nil
}

// walkBorders chains the edges of each region into rings with the floor on the left, and
// measures walls and steps.
func (b *builder) walkBorders(m *delaunay.Mesh, label []int32, id []int) {
	of := func(h int32) int {
		if l := label[h/3]; l >= 0 {
			return id[l]
		}
		return -1
	}
	length := map[bool]*sum.Sum{true: {}, false: {}}
	seen := make([]bool, len(m.V))
	for h := range int32(len(m.V)) {
		r := of(h)
		if r < 0 || of(m.Twin[h]) == r {
			continue
		}
		a, c := m.V[h], m.V[Next(h)]
		other := of(m.Twin[h])
		d := b.k[a].Distance(b.k[c]) / b.Per
		switch {
		case other < 0:
			length[true].Add(d)
		case other < r:
			length[false].Add(d)
			b.floor.Steps = append(b.floor.Steps, [2]Vec{b.Site(b.k[a]), b.Site(b.k[c])})
		}
		if seen[h] {
			continue
		}
		var loop []int32
		for g := h; !seen[g]; {
			seen[g] = true
			loop = append(loop, m.V[g])
			for g = Next(g); of(m.Twin[g]) == r; {
				g = Next(m.Twin[g])
			}
		}
		b.regions[r].rings = append(b.regions[r].rings, loop)
	}
	b.floor.Perimeter, b.floor.StepLength = length[true].Value(), length[false].Value()
	for _, r := range b.regions {
		for i, loop := range r.rings {
			if b.turning(loop) > 0 {
				r.rings[0], r.rings[i] = r.rings[i], r.rings[0]
				break
			}
		}
		for _, loop := range r.rings {
			for i := range loop {
				r.edge = append(r.edge, borderEdge{a: loop[i], b: loop[(i+1)%len(loop)]})
			}
		}
	}
	// The floor between lines that do not divide it stays in one region; the loose pieces
	// are kept as edges there.
	for h := range int32(len(m.V)) {
		if m.Mark[h]&step != 0 && h < m.Twin[h] && of(h) >= 0 && of(h) == of(m.Twin[h]) {
			u, v := m.V[h], m.V[Next(h)]
			b.creases = append(b.creases, chain{name: "step", v: []int32{u, v}})
			b.loose[[2]int32{min(u, v), max(u, v)}] = true
		}
	}
	for _, ring := range b.rings {
		if ring.kind == survey.Hole {
			var g []Vec
			for _, k := range ring.k {
				g = append(g, b.Site(k))
			}
			b.floor.Openings = append(b.floor.Openings, g)
		}
	}
}

// turning returns the sign of the area inside a loop.
func (b *builder) turning(loop []int32) int {
	low := 0
	for i := range loop {
		if b.k[loop[i]].Less(b.k[loop[low]]) {
			low = i
		}
	}
	n := len(loop)
	return plan.Orient(b.k[loop[(low+n-1)%n]], b.k[loop[low]], b.k[loop[(low+1)%n]])
}

package surface

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pourplane/surface/internal/plan"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// linkSteps finds the cells that face each other across the steps of the floor. Each side of
// a step has its own corners along it.
func (c *cutter) linkSteps() {
	type bank struct {
		from, to float64 // along the step
		zf, zt   float64
		cell     int32
	}
	var steps []segment
	for _, st := range c.f.Steps {
		s := segment{Edge: plan.Edge{A: c.Steps(st[0]), B: c.Steps(st[1]), Owner: -1}}
		s.length = s.A.Distance(s.B)
		if s.length == 0 {
			continue
		}
		if s.B.Less(s.A) {
			s.A, s.B = s.B, s.A
		}
		steps = append(steps, s)
	}
	slices.SortFunc(steps, func(s, t segment) int {
		return cmp.Or(cmp.Compare(s.A.X, t.A.X), cmp.Compare(s.A.Y, t.A.Y), cmp.Compare(s.B.X, t.B.X), cmp.Compare(s.B.Y, t.B.Y))
	})
	lines := len(c.segments)
	if c.apart {
		c.segments = append(c.segments, steps...)
	}
	given := lines
	if c.only != nil {
		given = 0 // a line for one region only does not count at the step beside it
	}
	for n, s := range steps {
		var sides [2][]bank
		for _, p := range c.patches {
			for h, w := range p.t.Twin {
				u, v := p.t.V[h], p.t.V[Next(int32(h))]
				if w >= 0 || s.Distance(p.k[u]) > nearLine || s.Distance(p.k[v]) > nearLine {
					continue
				}
				b := bank{s.along(p.k[u]), s.along(p.k[v]), p.t.Z[u], p.t.Z[v], p.cell[h/3]}
				side := 0
				if b.from > b.to {
					b.from, b.to, b.zf, b.zt = b.to, b.from, b.zt, b.zf
					side = 1
				}
				sides[side] = append(sides[side], b)
			}
		}
		for i := range sides {
			slices.SortFunc(sides[i], func(a, b bank) int { return cmp.Compare(a.from, b.from) })
		}
		for i, j := 0, 0; i < len(sides[0]) && j < len(sides[1]); {
			a, b := sides[0][i], sides[1][j]
			from, to := max(a.from, b.from), min(a.to, b.to)
			if to-from > 2*nearLine {
				z := func(b bank, at float64) float64 { return b.zf + float64((at-b.from)/(b.to-b.from)*(b.zt-b.zf)) }
				l := link{cells: [2]int32{a.cell, b.cell}, p: s.place(from), q: s.place(to), dam: -1,
					zp: [2]float64{z(a, from), z(b, from)}, zq: [2]float64{z(a, to), z(b, to)}}
				if c.apart {
					l.dam = int32(lines + n)
				}
				for i := range given {
					d := &c.segments[i]
					if (l.dam < 0 || int(l.dam) >= lines) && d.off(l.p) == 0 && d.off(l.q) == 0 && d.covers(l.p, l.q) {
						l.dam = int32(i)
					}
				}
				c.links = append(c.links, l)
			}
			if a.to < b.to {
				i++
			} else {
				j++
			}
		}
	}
}

// place returns the place at a distance along s.
func (s *segment) place(along float64) Vec {
	t := along / s.length
	return Vec{X: s.A.X + float64(t*(s.B.X-s.A.X)), Y: s.A.Y + float64(t*(s.B.Y-s.A.Y))}
}

// root returns the cell that represents all cells in one piece with cell i.
func (c *cutter) root(i int32) int32 {
	for c.joint[i] != i {
		c.joint[i] = c.joint[c.joint[i]]
		i = c.joint[i]
	}
	return i
}

// unite joins cells that are one piece across steps.
func (c *cutter) unite() {
	c.joint = make([]int32, len(c.cells))
	for i := range c.joint {
		c.joint[i] = int32(i)
	}
	for _, l := range c.links {
		if l.dam < 0 {
			c.joint[c.root(l.cells[0])] = c.root(l.cells[1])
		}
	}
}

// stretch is an edge along which two pieces meet.
type stretch struct {
	segment  int32
	pieces   [2]int
	p, q     Vec // on the nanometre grid, p the first along the segment
	zp, zq   float64
	from, to float64 // along the segment
}

// parts numbers the pieces and makes a floor from each.
func (c *cutter) parts(lines int) (*Parts, error) {
	cells, n := c.numberPieces()
	stretches, err := c.stretches(lines)
	if err != nil {
		return nil, err
	}
	out := &Parts{Pieces: make([]*Floor, n), Joins: c.joins(stretches)}
	for i := range out.Pieces {
		out.Pieces[i] = &Floor{Hull: c.f.Hull}
	}
	c.measureEdges(out.Pieces)
	for _, p := range c.patches {
		c.cellRegions(p, cells, out.Pieces)
	}
	for _, f := range out.Pieces {
		f.Used = f.Shots
	}
	return out, nil
}

// numberPieces numbers the n pieces in the order of their places, and returns the cells in
// that order. The first cell of a piece represents it.
func (c *cutter) numberPieces() (cells []int32, n int) {
	cells = make([]int32, len(c.cells))
	for i := range cells {
		cells[i] = int32(i)
	}
	slices.SortStableFunc(cells, func(a, b int32) int {
		p, q := c.cells[a].first, c.cells[b].first
		return cmp.Or(cmp.Compare(p[0].X, q[0].X), cmp.Compare(p[0].Y, q[0].Y), cmp.Compare(p[1].X, q[1].X), cmp.Compare(p[1].Y, q[1].Y))
	})
	number := map[int32]int{}
	for _, i := range cells {
		r := c.root(i)
		if _, ok := number[r]; !ok {
			number[r] = len(number)
		}
		c.cells[i].piece = number[r]
	}
	return cells, len(number)
}

// measureEdges gives each piece the length of its walls and its steps. A link between two
// cells is no wall; within one piece it is a step.
func (c *cutter) measureEdges(pieces []*Floor) {
	walls, steps := make([]sum.Sum, len(pieces)), make([]sum.Sum, len(pieces))
	for _, p := range c.patches {
		for h, w := range p.t.Twin {
			if w < 0 {
				walls[c.cells[p.cell[h/3]].piece].Add(p.k[p.t.V[h]].Distance(p.k[p.t.V[Next(int32(h))]]) / c.Per)
			}
		}
	}
	for _, l := range c.links {
		d := l.p.Distance(l.q) / c.Per
		a, b := c.cells[l.cells[0]].piece, c.cells[l.cells[1]].piece
		walls[a].Add(-d)
		walls[b].Add(-d)
		if a == b {
			steps[a].Add(d)
			pieces[a].Steps = append(pieces[a].Steps, [2]Vec{c.Site(l.p), c.Site(l.q)})
		}
	}
	for i, f := range pieces {
		f.Perimeter, f.StepLength = max(0, walls[i].Value()), steps[i].Value()
	}
}

// cellRegions makes a region of each cell of p, in the order of cells, for the piece that it
// is of. Several of one piece are numbered.
func (c *cutter) cellRegions(p *patch, cells []int32, pieces []*Floor) {
	triangles := map[int32][]int32{}
	for t, l := range p.cell {
		triangles[l] = append(triangles[l], int32(t))
	}
	many, count := map[int]int{}, map[int]int{}
	for l := range triangles {
		many[c.cells[l].piece]++
	}
	for _, i := range cells {
		if c.cells[i].patch != p {
			continue
		}
		n := c.cells[i].piece
		r := c.region(p, triangles[i])
		if many[n] > 1 {
			count[n]++
			r.Name = strings.TrimSpace(fmt.Sprintf("%s %d", cmp.Or(r.Name, "part"), count[n]))
		}
		f := pieces[n]
		f.Regions = append(f.Regions, r)
		f.Shots += len(r.Shots)
		for _, ring := range r.Rings {
			if RingArea(ring) < 0 {
				f.Openings = append(f.Openings, ring)
			}
		}
	}
}

// stretches returns the edges along which pieces meet. It refuses lines that divide nothing.
func (c *cutter) stretches(lines int) ([]stretch, error) {
	var out []stretch
	parts := make([]bool, lines)
	see := func(dam int32, a, b int32, p, q Vec, zp, zq float64) error {
		s := &c.segments[dam]
		m, n := c.cells[a].piece, c.cells[b].piece
		if m == n && (p.Distance(q) <= looseEnd || s.Owner < 0) {
			return nil
		}
		if m == n {
			return (&survey.Error{Element: lineName(s.Owner), Want: "a line that runs from wall to wall or to another line, on both sides of an opening"}).
				Saw("a line that does not divide the floor: the same piece is on both sides of it at %s", c.beside(s.place((s.along(p)+s.along(q))/2)))
		}
		if s.Owner >= 0 {
			parts[s.Owner] = true
		}
		st := stretch{dam, [2]int{min(m, n), max(m, n)}, p, q, zp, zq, s.along(p), s.along(q)}
		if st.from > st.to {
			st.p, st.q, st.zp, st.zq, st.from, st.to = q, p, zq, zp, st.to, st.from
		}
		out = append(out, st)
		return nil
	}
	for _, p := range c.patches {
		for h, w := range p.t.Twin {
			if w < int32(h) || p.dam[h] < 0 || p.cell[h/3] == p.cell[w/3] && (p.thin[h/3] || p.thin[w/3]) {
				continue // a wall, a free edge, one already seen from its other side, or one inside a piece
			}
			u, v := p.t.V[h], p.t.V[w]
			if err := see(p.dam[h], p.cell[h/3], p.cell[w/3], p.k[u], p.k[v], p.t.Z[u], p.t.Z[v]); err != nil {
				return nil, err
			}
		}
	}
	for _, l := range c.links {
		if l.dam < 0 {
			continue
		}
		if err := see(l.dam, l.cells[0], l.cells[1], l.p, l.q, min(l.zp[0], l.zp[1]), min(l.zq[0], l.zq[1])); err != nil {
			return nil, err
		}
	}
	if i := slices.Index(parts, false); i >= 0 {
		at := c.segments[slices.IndexFunc(c.segments, func(s segment) bool { return s.Owner == i })]
		return nil, (&survey.Error{Element: lineName(i), Want: "a line that runs from wall to wall over floor, and no line twice"}).
			Saw("a line that does not cross the floor (it runs by %s)", c.beside(at.middle()))
	}
	return out, nil
}

// joins chains stretches. Those of a straight step continue over the shots along it.
func (c *cutter) joins(all []stretch) []Join {
	slices.SortFunc(all, func(a, b stretch) int {
		return cmp.Or(cmp.Compare(a.segment, b.segment), cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	})
	var out []Join
	var start float64
	for i, s := range all {
		station := func(k Vec, z, along float64) Station {
			return Station{Distance: (along - start) / c.Per, At: c.Site(k), Elevation: z}
		}
		if i == 0 || all[i-1].segment != s.segment || all[i-1].pieces != s.pieces || s.from-all[i-1].to > 2*nearLine {
			start = s.from
			line := c.segments[s.segment].Owner
			k := -1
			if line < 0 {
				k = slices.IndexFunc(out, func(j Join) bool {
					last := j.Run[len(j.Run)-1].At
					return j.Line < 0 && j.Pieces == s.pieces && last.Distance(c.Site(s.p)) <= looseEnd/c.Per &&
						(plan.Edge{A: j.Run[0].At, B: c.Site(s.q)}).Distance(last) <= looseEnd/c.Per
				})
			}
			if k < 0 {
				out = append(out, Join{Line: line, Pieces: s.pieces, Run: []Station{station(s.p, s.zp, s.from)}})
			} else {
				// The next piece of a straight step starts where the last one ended.
				j := out[k]
				out = append(slices.Delete(out, k, k+1), j)
				start -= j.Length() * c.Per
			}
		}
		j := &out[len(out)-1]
		if last := &j.Run[len(j.Run)-1]; s.zp < last.Elevation {
			last.Elevation = s.zp // stretches of a step share this place
		}
		j.Run = append(j.Run, station(s.q, s.zq, s.to))
	}
	return out
}

// region makes a region from triangles of p.
func (c *cutter) region(p *patch, triangles []int32) Region {
	t := &TIN{Origin: p.t.Origin, top: top{of: p.t.top.of}}
	out := Region{Name: p.region.Name, Part: p.region.Part, TIN: t}
	id := make([]int32, len(p.k)) // + 1
	for _, tri := range triangles {
		for _, v := range p.t.V[3*tri : 3*tri+3] {
			if id[v] == 0 {
				t.X, t.Y, t.Z = append(t.X, p.t.X[v]), append(t.Y, p.t.Y[v]), append(t.Z, p.t.Z[v])
				if p.t.Fitted != nil {
					t.Fitted = append(t.Fitted, p.t.Fitted[v])
				}
				if p.t.top.of != nil {
					t.top.z = append(t.top.z, p.t.top.z[v])
				}
				shot := int32(-1)
				if i := p.t.Shot[v]; i >= 0 {
					shot = int32(len(out.Shots))
					out.Shots = append(out.Shots, p.region.Shots[i])
				}
				t.Shot = append(t.Shot, shot)
				id[v] = int32(len(t.X))
			}
			t.V = append(t.V, id[v]-1)
		}
	}
	t.join()
	for _, loop := range t.borders() {
		out.Rings = append(out.Rings, c.straightened(loop, nil))
	}
	return out
}

// straightened returns a ring without the places between the ends of its straight edges, but for
// those of keep.
func (c *cutter) straightened(ring []Vec, keep map[Vec]bool) []Vec {
	// Start from a place that is certainly a corner.
	west := 0
	for i, p := range ring {
		if p.Less(ring[west]) {
			west = i
		}
	}
	n := len(ring)
	out := []Vec{ring[west]}
	for i := 1; i < n; i++ {
		p, after := ring[(west+i)%n], ring[(west+i+1)%n]
		if keep[p] || (plan.Edge{A: out[len(out)-1], B: after}).Distance(p) > nearLine/c.Per {
			out = append(out, p)
		}
	}
	return out
}

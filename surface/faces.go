package surface

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pourplane/surface/internal/plan"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// FromFaces returns the floor of a surface that comes with faces. They are kept as they are,
// not triangulated again. Faces may run clockwise or counter-clockwise; the result runs
// counter-clockwise.
//
// Faces without area in plan (upright ones) are left out and counted. Errors are
// [*survey.Error]: faces that overlap in plan, an edge that more than two faces share. A
// declared area or elevation that disagrees with the faces is a warning.
//
// Faces overlap only if they do so both on the coordinates as given and on these rounded to
// whole steps, see [plan.NanoGrid]. Decimals as given may differ by half a unit in the last place,
// which can push a corner over the edge it is on. Rounded ones can turn over a face as thin
// as a step.
func FromFaces(s survey.Surface) (*Floor, error) {
	lo, hi := Vec{X: math.Inf(1), Y: math.Inf(1)}, Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for i := range s.Vertices {
		p := &s.Vertices[i]
		lo = Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	rounded, given := plan.NewNanoGrid(lo, hi), plan.AsGiven(lo, hi)
	ways := []func() (*Floor, error){
		func() (*Floor, error) { return fromFaces(s, rounded, rounded.Steps) },
		func() (*Floor, error) { return fromFaces(s, given, given.Exactly) },
	}
	if max(math.Abs(lo.X), math.Abs(lo.Y), math.Abs(hi.X), math.Abs(hi.Y)) >= 1<<22 {
		// From 4 194 km on, neighbouring coordinates are about as far apart as the steps.
		slices.Reverse(ways)
	}
	f, err := ways[0]()
	if err != nil {
		if other, no := ways[1](); no == nil {
			f, err = other, nil
		}
	}
	if err != nil {
		return nil, err
	}
	f.compare(s)
	return f, nil
}

// fromFaces is [FromFaces] on one grid; place returns a corner in steps.
func fromFaces(s survey.Surface, l plan.NanoGrid, place func(Vec) Vec) (*Floor, error) {
	f := &Floor{Shots: len(s.Vertices)}
	all := make([]Vec, len(s.Vertices))
	for i := range s.Vertices {
		all[i] = place(Vec{X: s.Vertices[i].X, Y: s.Vertices[i].Y})
	}
	t := &TIN{Origin: l.Origin, V: make([]int32, 0, 3*len(s.Faces))}
	// Vertices that no face uses are not part of the floor or of its min and max.
	id := make([]int32, len(all))
	var k []Vec
	vertex := func(v int32) int32 {
		if id[v] == 0 {
			at := l.Metres(all[v])
			k = append(k, all[v])
			t.X, t.Y, t.Z = append(t.X, at.X), append(t.Y, at.Y), append(t.Z, s.Vertices[v].Z)
			t.Shot = append(t.Shot, v)
			id[v] = int32(len(k))
		}
		return id[v] - 1
	}
	at := func(i int) survey.Pos {
		if s.FaceLine == nil {
			return s.At
		}
		return survey.Pos{File: s.At.File, Line: int(s.FaceLine[i])}
	}
	var from []int // face of each triangle
	for i, c := range s.Faces {
		switch plan.Orient(all[c[0]], all[c[1]], all[c[2]]) {
		case 0:
			f.Notes = append(f.Notes, survey.Notef(survey.LeftOut, at(i), "face %d of surface %q has no area in plan", i+1, s.Name))
			continue
		case -1:
			c[1], c[2] = c[2], c[1]
		}
		t.V = append(t.V, vertex(c[0]), vertex(c[1]), vertex(c[2]))
		from = append(from, i)
	}
	if t.Len() == 0 {
		return nil, &survey.Error{Pos: s.At, Element: fmt.Sprintf("surface %q", s.Name), Found: "no face with an area in plan", Want: "at least one"}
	}
	clash := func(a, b int32, what string) error {
		if from[a] < from[b] {
			a, b = b, a
		}
		return &survey.Error{Pos: at(from[a]), Element: fmt.Sprintf("face %d of surface %q", from[a]+1, s.Name),
			Found: fmt.Sprintf("%s face %d (%s)", what, from[b]+1, at(from[b])), Want: "faces that do not overlap in plan"}
	}
	if a, b, ok := t.join(); !ok {
		return nil, clash(a, b, "the same edge, on the same side, as")
	}
	if !plan.Sealed(t.V, t.Twin, k) {
		if a, b, ok := plan.Overlap(t.V, k); ok {
			return nil, clash(a, b, "an overlap in plan with")
		}
	}
	f.Used = len(k)
	f.Regions = []Region{{Name: s.Name, Part: s.Name, TIN: t, Rings: t.borders(), Shots: s.Vertices}}
	var edge sum.Sum
	for h, w := range t.Twin {
		if w < 0 {
			a, b := t.V[h], t.V[Next(int32(h))]
			edge.Add(math.Hypot(t.X[b]-t.X[a], t.Y[b]-t.Y[a]))
		}
	}
	f.Perimeter = edge.Value()
	for _, ring := range f.Regions[0].Rings {
		if RingArea(ring) < 0 {
			f.Openings = append(f.Openings, ring)
		}
	}
	return f, nil
}

// compare warns if a surface differs from what its file declares.
func (f *Floor) compare(s survey.Surface) {
	t := f.Regions[0].TIN
	plan, sloped := t.Area()
	for _, d := range []struct {
		what           string
		declared, have float64
		unit           string
	}{
		{"plan area", s.Declared.Area2D, plan, "m²"},
		{"area along the slope", s.Declared.Area3D, sloped, "m²"},
		{"lowest elevation", s.Declared.ElevMin, slices.Min(t.Z), "m"},
		{"highest elevation", s.Declared.ElevMax, slices.Max(t.Z), "m"},
	} {
		if math.Abs(d.declared-d.have) > 1e-6*math.Max(math.Abs(d.have), 1e-3) {
			f.Notes = append(f.Notes, survey.Notef(survey.Warning, s.At, "surface %q declares a %s of %.6g %s, its visible faces have %.6g", s.Name, d.what, d.declared, d.unit, d.have))
		}
	}
}

// join sets Twin. It returns two triangles and false if an edge is shared by more than two
// triangles, or by two on the same side.
func (t *TIN) join() (a, b int32, ok bool) {
	t.Twin = make([]int32, len(t.V))
	all := make([]int32, len(t.V))
	for h := range all {
		all[h] = int32(h)
	}
	return t.pair(all)
}

// pair sets Twin of some half-edges, each a twin of another of them or at an edge of t. Its
// results are those of [TIN.join].
func (t *TIN) pair(loose []int32) (a, b int32, ok bool) {
	// Half-edges by their first vertex: the twin of u-v is among those that start at v.
	start := make([]int32, len(t.X)+1)
	for _, h := range loose {
		start[t.V[h]+1]++
	}
	for i := 1; i < len(start); i++ {
		start[i] += start[i-1]
	}
	by := make([]int32, len(loose))
	fill := slices.Clone(start)
	for _, h := range loose {
		v := t.V[h]
		by[fill[v]] = h
		fill[v]++
	}
	for _, h := range loose {
		u, v := t.V[h], t.V[Next(h)]
		for _, g := range by[start[u]:start[u+1]] {
			if g != h && t.V[Next(g)] == v {
				return h / 3, g / 3, false
			}
		}
		t.Twin[h] = -1
		for _, g := range by[start[v]:start[v+1]] {
			if t.V[Next(g)] == u {
				t.Twin[h] = g
			}
		}
	}
	return 0, 0, true
}

// borders chains the edges of t into rings with the floor on the left, the largest outer
// ring first.
func (t *TIN) borders() [][]Vec {
	var out [][]Vec
	seen := make([]bool, len(t.V))
	for h := range int32(len(t.V)) {
		if t.Twin[h] >= 0 || seen[h] {
			continue
		}
		var loop []Vec
		for g := h; !seen[g]; {
			seen[g] = true
			loop = append(loop, t.At(t.V[g]))
			for g = Next(g); t.Twin[g] >= 0; {
				g = Next(t.Twin[g])
			}
		}
		out = append(out, loop)
	}
	slices.SortStableFunc(out, func(a, b []Vec) int { return cmp.Compare(RingArea(b), RingArea(a)) })
	return out
}

// RingArea returns the area of a ring, m², positive when it runs
// counter-clockwise.
func RingArea(ring []Vec) float64 {
	return plan.TwiceArea(ring) / 2
}

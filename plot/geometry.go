package plot

import (
	"cmp"
	"image"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"

	"pourplane/surface"
)

// frame maps the floor to the page with one scale for both axes.
type frame struct {
	base   surface.Vec // on the grid of the survey, near the floor
	origin vg.Point    // base on the page
	scale  float64     // points per metre
}

func (f frame) at(p surface.Vec) vg.Point {
	return vg.Point{
		X: f.origin.X + vg.Length((p.X-f.base.X)*f.scale),
		Y: f.origin.Y + vg.Length((p.Y-f.base.Y)*f.scale),
	}
}

// place is the inverse of at.
func (f frame) place(p vg.Point) surface.Vec {
	return surface.Vec{X: f.base.X + float64(p.X-f.origin.X)/f.scale, Y: f.base.Y + float64(p.Y-f.origin.Y)/f.scale}
}

// vertices returns the vertices of t on the page. The shift to base is applied to the
// origins, so that sites far out on a grid lose no digits.
func (f frame) vertices(t *surface.TIN) []vg.Point {
	ox, oy := t.Origin.X-f.base.X, t.Origin.Y-f.base.Y
	out := make([]vg.Point, len(t.X))
	for i := range out {
		out[i] = vg.Point{
			X: f.origin.X + vg.Length((t.X[i]+ox)*f.scale),
			Y: f.origin.Y + vg.Length((t.Y[i]+oy)*f.scale),
		}
	}
	return out
}

// above returns the part of t where depth is at least level, as one path: its border runs
// counter-clockwise, and clockwise round holes. The path's nodes are only the places where
// the level crosses edges and the vertices on the edge of the floor, so it stays short. One
// path shows no seams between triangles.
func above(t *surface.TIN, depth []float64, at []vg.Point, level float64) vg.Path {
	return part(t, depth, at, level, func(d float64) bool { return d >= level })
}

// below returns the part of t where depth is less than level, as above does.
func below(t *surface.TIN, depth []float64, at []vg.Point, level float64) vg.Path {
	return part(t, depth, at, level, func(d float64) bool { return d < level })
}

// part returns the part of t on one side of a level; in tells which.
func part(t *surface.TIN, depth []float64, at []vg.Point, level float64, in func(depth float64) bool) vg.Path {
	up := func(h int32) bool { return in(depth[t.V[h]]) }
	// A node is a vertex, or an edge that the level crosses, numbered after the vertices.
	cross := func(h int32) int32 {
		if w := t.Twin[h]; w >= 0 {
			h = min(h, w)
		}
		return int32(len(at)) + h
	}
	to := map[int32][]int32{}
	var starts []int32
	link := func(a, b int32) {
		if to[a] == nil {
			starts = append(starts, a)
		}
		to[a] = append(to[a], b)
	}
	for k := range int32(t.Len()) {
		leave, enter := int32(-1), int32(-1)
		for h := 3 * k; h < 3*k+3; h++ {
			n := surface.Next(h)
			a, b := t.V[h], t.V[n]
			switch {
			case up(h) && !up(n):
				leave = h
				b = cross(h)
			case !up(h) && up(n):
				enter = h
				a = cross(h)
			case !up(h):
				continue
			}
			if t.Twin[h] < 0 {
				link(a, b)
			}
		}
		if leave >= 0 {
			link(cross(leave), cross(enter))
		}
	}
	place := func(n int32) vg.Point {
		if int(n) < len(at) {
			return at[n]
		}
		h := n - int32(len(at))
		a, b := t.V[h], t.V[surface.Next(h)]
		if depth[a] < depth[b] {
			a, b = b, a // computed as the contour lines are
		}
		s := vg.Length((level - depth[a]) / (depth[b] - depth[a]))
		return at[a].Add(at[b].Sub(at[a]).Scale(s))
	}
	var path vg.Path
	for _, s := range starts {
		for len(to[s]) > 0 {
			// As many links enter a node as leave it, so a walk ends where it started.
			path.Move(place(s))
			for n := s; ; {
				links := to[n]
				next := links[len(links)-1]
				to[n] = links[:len(links)-1]
				if n = next; n == s {
					break
				}
				path.Line(place(n))
			}
			path.Close()
		}
	}
	return path
}

// ringPath returns rings as one path.
func (f frame) ringPath(rings ...[]surface.Vec) vg.Path {
	var p vg.Path
	for _, r := range rings {
		for i, v := range r {
			if i == 0 {
				p.Move(f.at(v))
			} else {
				p.Line(f.at(v))
			}
		}
		p.Close()
	}
	return p
}

// paint colours the pixels of img with centres in t. The image spans r on the page.
func paint(img *image.NRGBA, r vg.Rectangle, t *surface.TIN, depth []float64, at []vg.Point, b *bands) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	sx := float64(w) / (r.Max.X - r.Min.X).Points()
	sy := float64(h) / (r.Max.Y - r.Min.Y).Points()
	x := make([]float64, len(at))
	y := make([]float64, len(at))
	for i, p := range at {
		x[i] = (p.X - r.Min.X).Points() * sx
		y[i] = float64(h) - (p.Y-r.Min.Y).Points()*sy
	}
	for k := range t.Len() {
		v := t.V[3*k : 3*k+3]
		x0, y0, x1, y1, x2, y2 := x[v[0]], y[v[0]], x[v[1]], y[v[1]], x[v[2]], y[v[2]]
		d0, d1, d2 := depth[v[0]], depth[v[1]], depth[v[2]]
		area := (x1-x0)*(y2-y0) - (x2-x0)*(y1-y0)
		if area == 0 {
			continue // too thin for the page
		}
		gx := ((d1-d0)*(y2-y0) - (d2-d0)*(y1-y0)) / area
		gy := ((d2-d0)*(x1-x0) - (d1-d0)*(x2-x0)) / area
		lo, hi := min(d0, d1, d2), max(d0, d1, d2)
		top := max(0, int(math.Ceil(min(y0, y1, y2)-0.5)))
		bottom := min(h-1, int(math.Floor(max(y0, y1, y2)-0.5)))
		for py := top; py <= bottom; py++ {
			cy := float64(py) + 0.5
			from, to := math.Inf(1), math.Inf(-1)
			span := func(xa, ya, xb, yb float64) {
				if (ya <= cy) != (yb <= cy) {
					c := xa + (cy-ya)/(yb-ya)*(xb-xa)
					from, to = min(from, c), max(to, c)
				}
			}
			span(x0, y0, x1, y1)
			span(x1, y1, x2, y2)
			span(x2, y2, x0, y0)
			left := max(0, int(math.Ceil(from-0.5)))
			right := min(w-1, int(math.Floor(to-0.5)))
			for px := left; px <= right; px++ {
				d := d0 + gx*(float64(px)+0.5-x0) + gy*(cy-y0)
				img.SetNRGBA(px, py, b.color(min(max(d, lo), hi)))
			}
		}
	}
}

// hatch returns the pieces of parallel lines at 45° inside the polygons. Pieces that touch are
// joined. Lines rise to the right for slope 1 and fall for slope −1.
func hatch(polygons [][]vg.Point, slope, spacing vg.Length) [][2]vg.Point {
	areas := make([][][]vg.Point, len(polygons))
	for i := range areas {
		areas[i] = polygons[i : i+1]
	}
	return hatchAreas(areas, slope, spacing)
}

// hatchAreas is hatch for areas with several rings, by the even-odd rule for each area.
func hatchAreas(areas [][][]vg.Point, slope, spacing vg.Length) [][2]vg.Point {
	type place struct {
		line int
		x    vg.Length
	}
	type piece struct {
		line     int
		from, to vg.Length
	}
	var cuts []piece
	var hits []place
	for _, rings := range areas {
		hits = hits[:0]
		for _, ring := range rings {
			for i, a := range ring {
				b := ring[(i+1)%len(ring)]
				ca, cb := (a.Y-slope*a.X)/spacing, (b.Y-slope*b.X)/spacing
				if ca > cb {
					a, b, ca, cb = b, a, cb, ca
				}
				for n := int(math.Ceil(float64(ca))); vg.Length(n) < cb; n++ {
					s := (vg.Length(n) - ca) / (cb - ca)
					hits = append(hits, place{n, a.X + s*(b.X-a.X)})
				}
			}
		}
		slices.SortFunc(hits, func(p, q place) int { return cmp.Or(cmp.Compare(p.line, q.line), cmp.Compare(p.x, q.x)) })
		// A closed line meets each line of the hatching an even number of times.
		for i := 0; i+1 < len(hits); i += 2 {
			cuts = append(cuts, piece{hits[i].line, hits[i].x, hits[i+1].x})
		}
	}
	slices.SortFunc(cuts, func(p, q piece) int { return cmp.Or(cmp.Compare(p.line, q.line), cmp.Compare(p.from, q.from)) })
	var out [][2]vg.Point
	for i := 0; i < len(cuts); {
		n, from, to := cuts[i].line, cuts[i].from, cuts[i].to
		for i++; i < len(cuts) && cuts[i].line == n && cuts[i].from <= to+0.01; i++ {
			to = max(to, cuts[i].to)
		}
		on := func(x vg.Length) vg.Point { return vg.Point{X: x, Y: slope*x + vg.Length(n)*spacing} }
		out = append(out, [2]vg.Point{on(from), on(to)})
	}
	return out
}

// rings returns the closed lines of a path.
func rings(path vg.Path) [][]vg.Point {
	var out [][]vg.Point
	for _, c := range path {
		switch last := len(out) - 1; c.Type {
		case vg.MoveComp:
			out = append(out, []vg.Point{c.Pos})
		case vg.LineComp:
			out[last] = append(out[last], c.Pos)
		}
	}
	return out
}

// withAlpha returns c at opacity a of 255.
func withAlpha(c color.NRGBA, a uint8) color.NRGBA {
	c.A = a
	return c
}

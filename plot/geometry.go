package plot

import (
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
	up := func(h int32) bool { return depth[t.V[h]] >= level }
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

// hatch returns the pieces of parallel lines at 45° inside the polygons, by the even-odd
// rule for each polygon. Pieces that touch are joined. Lines rise to the right for slope 1
// and fall for slope −1.
func hatch(polygons [][]vg.Point, slope, spacing vg.Length) [][2]vg.Point {
	cuts := map[int][][2]vg.Length{} // per line: pieces from x to x
	for _, poly := range polygons {
		hits := map[int][]vg.Length{}
		for i, a := range poly {
			b := poly[(i+1)%len(poly)]
			ca, cb := (a.Y-slope*a.X)/spacing, (b.Y-slope*b.X)/spacing
			if ca > cb {
				a, b, ca, cb = b, a, cb, ca
			}
			for n := int(math.Ceil(float64(ca))); vg.Length(n) < cb; n++ {
				s := (vg.Length(n) - ca) / (cb - ca)
				hits[n] = append(hits[n], a.X+s*(b.X-a.X))
			}
		}
		for n, x := range hits {
			slices.Sort(x)
			for i := 0; i+1 < len(x); i += 2 {
				cuts[n] = append(cuts[n], [2]vg.Length{x[i], x[i+1]})
			}
		}
	}
	lines := make([]int, 0, len(cuts))
	for n := range cuts {
		lines = append(lines, n)
	}
	slices.Sort(lines)
	var out [][2]vg.Point
	for _, n := range lines {
		c := cuts[n]
		slices.SortFunc(c, func(p, q [2]vg.Length) int {
			switch {
			case p[0] < q[0]:
				return -1
			case p[0] > q[0]:
				return 1
			}
			return 0
		})
		on := func(x vg.Length) vg.Point { return vg.Point{X: x, Y: slope*x + vg.Length(n)*spacing} }
		from, to := c[0][0], c[0][1]
		for _, p := range c[1:] {
			if p[0] > to+0.01 {
				out = append(out, [2]vg.Point{on(from), on(to)})
				from, to = p[0], p[1]
			}
			to = max(to, p[1])
		}
		out = append(out, [2]vg.Point{on(from), on(to)})
	}
	return out
}

// partsBelow returns the part of each triangle where depth is less than level, if there is
// one.
func partsBelow(t *surface.TIN, depth []float64, at []vg.Point, level float64) [][]vg.Point {
	var out [][]vg.Point
	for k := range t.Len() {
		v := t.V[3*k : 3*k+3]
		if min(depth[v[0]], depth[v[1]], depth[v[2]]) >= level {
			continue
		}
		var poly []vg.Point
		for i := range 3 {
			a, b := v[i], v[(i+1)%3]
			if depth[a] < level {
				poly = append(poly, at[a])
			}
			if depth[a] < level != (depth[b] < level) {
				s := vg.Length((depth[a] - level) / (depth[a] - depth[b]))
				poly = append(poly, at[a].Add(at[b].Sub(at[a]).Scale(s)))
			}
		}
		out = append(out, poly)
	}
	return out
}

// withAlpha returns c at opacity a of 255.
func withAlpha(c color.NRGBA, a uint8) color.NRGBA {
	c.A = a
	return c
}

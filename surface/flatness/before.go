package flatness

import (
	"math"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Placement is the difference between a floor before and after the work.
type Placement struct {
	Area      float64     // m² in both surveys
	Before    float64     // m² only in the survey before
	After     float64     // m² only in the survey after
	Placed    float64     // m³ where the floor rose
	Lost      float64     // m³ where it is lower than before, ≥ 0
	LostArea  float64     // m² of that
	Net       float64     // m³, Placed minus Lost
	Mean      float64     // m, Net over Area
	Most      float64     // m, max rise
	MostAt    surface.Vec // where
	Least     float64     // m, min rise; negative where the floor is lower
	LeastAt   surface.Vec
	Ordered   float64 // m³, as given
	Remainder float64 // m³, Ordered minus Net: left over, lost, or thicker than surveyed; negative: more was placed than ordered
}

// sinking is the mean fall of a floor between two surveys, m, above which it is more than
// error: readings good to 2 mm in each survey (common practice, no source) shift it by
// 2 mm times the root of 2, rounded up.
const sinking = 0.003

// Sank reports whether the floor is lower after the work than before it over most of its
// area, by more than the error of the readings. A slab can settle; more often the two
// surveys are exchanged, or one is on another datum.
func (p Placement) Sank() bool {
	return 2*p.LostArea > p.Area && p.Mean < -sinking
}

// Placed compares two surveys of one floor, before and after the work, on the overlay of
// their triangles. Over the common part of two triangles the difference is linear, so its
// volume, cut at zero, is exact. ordered is the volume ordered in m³, 0 if unknown.
//
// Errors are [*survey.Error]: surveys that have no area in common.
func Placed(before, after *surface.Floor, ordered float64) (Placement, error) {
	lo, hi := before.Bounds()
	old := facets(before, lo)
	cells := newCells(old, surface.Vec{X: hi.X - lo.X, Y: hi.Y - lo.Y})
	out := Placement{Ordered: ordered, Most: math.Inf(-1), Least: math.Inf(1)}
	var area, placed, lost, lostArea sum.Sum
	var clip clipper
	for _, b := range facets(after, lo) {
		cells.near(b, func(a facet) {
			poly := clip.common(a, b)
			deepest := 0.0
			for _, p := range poly {
				deepest = min(deepest, p.beyond)
				at := surface.Vec{X: lo.X + p.X, Y: lo.Y + p.Y}
				if p.beyond > out.Most {
					out.Most, out.MostAt = p.beyond, at
				}
				if p.beyond < out.Least {
					out.Least, out.LeastAt = p.beyond, at
				}
			}
			plan, rose := volume(poly)
			area.Add(plan)
			if deepest < -sameHeight { // what did not move is not lost
				where, sank := volume(clip.keep(poly, func(p corner) float64 { return -p.beyond }))
				lostArea.Add(where)
				lost.Add(-sank)
				rose -= sank
			}
			placed.Add(rose)
		})
	}
	out.Area = area.Value()
	if !(out.Area > 0) {
		return Placement{}, (&survey.Error{Element: "survey after the work", Found: "no area that the survey before the work covers too", Want: "two surveys of one floor on one grid"}).
			Hinted("the survey before begins at %s", unit.Place{X: lo.X, Y: lo.Y})
	}
	out.Placed, out.Lost, out.LostArea = placed.Value(), lost.Value(), lostArea.Value()
	out.Net = out.Placed - out.Lost
	out.Mean = out.Net / out.Area
	out.Before, out.After = max(0, planArea(before)-out.Area), max(0, planArea(after)-out.Area)
	if ordered > 0 {
		out.Remainder = ordered - out.Net
	}
	return out, nil
}

func planArea(f *surface.Floor) float64 {
	var s sum.Sum
	for _, r := range f.Regions {
		plan, _ := r.TIN.Area()
		s.Add(plan)
	}
	return s.Value()
}

// facet is a triangle in metres from a common origin; beyond is its elevation.
type facet [3]corner

func facets(f *surface.Floor, origin surface.Vec) []facet {
	var out []facet
	for _, r := range f.Regions {
		for k := range r.TIN.Len() {
			var t facet
			for i, v := range r.TIN.V[3*k : 3*k+3] {
				at := r.TIN.At(v)
				t[i] = corner{surface.Vec{X: at.X - origin.X, Y: at.Y - origin.Y}, r.TIN.Z[v]}
			}
			out = append(out, t)
		}
	}
	return out
}

// left returns twice the area of the triangle a, b, p: positive if p is left of the line
// from a to b.
func left(a, b, p surface.Vec) float64 {
	return float64((b.X-a.X)*(p.Y-a.Y)) - float64((b.Y-a.Y)*(p.X-a.X))
}

func (t facet) bounds() (lo, hi surface.Vec) {
	return surface.Vec{X: min(t[0].X, t[1].X, t[2].X), Y: min(t[0].Y, t[1].Y, t[2].Y)},
		surface.Vec{X: max(t[0].X, t[1].X, t[2].X), Y: max(t[0].Y, t[1].Y, t[2].Y)}
}

// elevation returns the elevation of the plane through t at p, m.
func (t facet) elevation(p surface.Vec) float64 {
	u, v := left(t[2].Vec, t[0].Vec, p), left(t[0].Vec, t[1].Vec, p)
	all := left(t[0].Vec, t[1].Vec, t[2].Vec)
	return t[0].beyond + float64(u/all*(t[1].beyond-t[0].beyond)) + float64(v/all*(t[2].beyond-t[0].beyond))
}

// clipper cuts convex polygons. Its result is valid until it has been used twice more.
type clipper struct {
	room [3][]corner
	last int
}

// keep returns the part of a convex polygon where side, linear over it, is at least
// zero: Sutherland and Hodgman 1974, Communications of the ACM 17:32-42.
func (c *clipper) keep(poly []corner, side func(corner) float64) []corner {
	c.last = (c.last + 1) % len(c.room)
	out := c.room[c.last][:0]
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		a, b := side(p), side(q)
		if a >= 0 {
			out = append(out, p)
		}
		if a > 0 && b < 0 || a < 0 && b > 0 {
			f := a / (a - b)
			out = append(out, corner{
				surface.Vec{X: p.X + float64(f*(q.X-p.X)), Y: p.Y + float64(f*(q.Y-p.Y))},
				p.beyond + float64(f*(q.beyond-p.beyond)),
			})
		}
	}
	c.room[c.last] = out
	return out
}

// common returns the common part of two triangles in plan, with the height of b above a at
// its corners; nil if they have no area in common.
func (c *clipper) common(a, b facet) []corner {
	poly := b[:]
	for i := range a {
		if poly = c.keep(poly, func(p corner) float64 { return left(a[i].Vec, a[(i+1)%3].Vec, p.Vec) }); len(poly) < 3 {
			return nil
		}
	}
	for i := range poly {
		poly[i].beyond -= a.elevation(poly[i].Vec)
	}
	return poly
}

// cells finds triangles by place.
type cells struct {
	of    []facet
	per   float64 // cells a metre
	nx    int
	ny    int
	in    [][]int32
	asked []int32 // the last query that met each triangle
	n     int32
}

func newCells(of []facet, size surface.Vec) *cells {
	// About one cell per two triangles, as in a grid.
	per := math.Sqrt(float64(len(of)) / 2 / (size.X * size.Y))
	c := &cells{of: of, per: per, nx: int(size.X*per) + 1, ny: int(size.Y*per) + 1, asked: make([]int32, len(of))}
	c.in = make([][]int32, c.nx*c.ny)
	for i, t := range of {
		c.over(t, func(cell int) { c.in[cell] = append(c.in[cell], int32(i)) })
	}
	return c
}

// over calls visit for every cell that the bounds of t overlap.
func (c *cells) over(t facet, visit func(cell int)) {
	lo, hi := t.bounds()
	at := func(v float64, n int) int { return min(max(int(v*c.per), 0), n-1) }
	for y := at(lo.Y, c.ny); y <= at(hi.Y, c.ny); y++ {
		for x := at(lo.X, c.nx); x <= at(hi.X, c.nx); x++ {
			visit(y*c.nx + x)
		}
	}
}

// near calls visit once for every triangle in the cells that t overlaps.
func (c *cells) near(t facet, visit func(facet)) {
	c.n++
	c.over(t, func(cell int) {
		for _, i := range c.in[cell] {
			if c.asked[i] != c.n {
				c.asked[i] = c.n
				visit(c.of[i])
			}
		}
	})
}

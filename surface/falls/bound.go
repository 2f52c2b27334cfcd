package falls

import (
	"math"
)

// bound is where the lines of a source end if one wall or one other source ends them all: for
// a point 1/r = k[0] + k[1]·cos + k[2]·sin of the direction, for a side of a channel
// r = k[0] + k[1]·q + k[2]·q². Both follow from w + |p − s| = w' + |p − s'|: in polar
// coordinates round one focus a hyperbola and a straight line have this form.
type bound struct {
	by int // source; a wall is ^edge
	k  [3]float64
}

// noLength is the bound of lines that have no length.
const noLength = math.MinInt

func (c *bound) at(s *source, q float64) float64 {
	if c.by == noLength {
		return 0
	}
	if s.strip {
		return c.k[0] + float64(q*(c.k[1]+float64(q*c.k[2])))
	}
	sin, cos := math.Sincos(s.from + q)
	if inverse := c.k[0] + float64(c.k[1]*cos) + float64(c.k[2]*sin); inverse > 1e-12 {
		return 1 / inverse
	}
	return math.Inf(1)
}

// wallBound returns edge e as a bound of s.
func (w *walls) wallBound(s *source, e int) bound {
	if e < 0 {
		return bound{by: noLength}
	}
	out := w.edges[e].out
	h := dot(out, minus(w.corners[w.edges[e].a].at, s.at))
	if s.strip {
		n := dot(out, s.out)
		return bound{^e, [3]float64{h / n, -dot(out, s.along) / n, 0}}
	}
	return bound{^e, [3]float64{0, out.X / h, out.Y / h}}
}

// boundBy returns source j as a bound of s, whose lines go no farther than far; false if it
// ends none of them.
func boundBy(s, other *source, j int, far float64) (bound, bool) {
	delta := s.w - other.w
	d := minus(other.at, s.at)
	b := bound{by: j}
	switch {
	case s.strip && other.strip:
		n := 1 - dot(s.out, other.out)
		if n < 1e-12 {
			return b, false
		}
		b.k = [3]float64{(-dot(other.out, d) - delta) / n, dot(other.out, s.along) / n, 0}
		return b, max(b.k[0], b.k[0]+b.k[1]*s.long) > close
	case s.strip:
		x, y := dot(d, s.along), dot(d, s.out)
		n := 2 * (y + delta)
		if n < 1e-12 {
			return b, false
		}
		b.k = [3]float64{(x*x + y*y - delta*delta) / n, -2 * x / n, 1 / n}
		return b, true
	case other.strip:
		h := -dot(other.out, d) - delta
		if h <= close || h > 2*far {
			return b, false
		}
		b.k = [3]float64{1 / h, -other.out.X / h, -other.out.Y / h}
		return b, true
	}
	l := size(d)
	if l-math.Abs(delta) <= close || l-delta > 2*far {
		return b, false
	}
	n := (l - delta) * (l + delta)
	b.k = [3]float64{2 * delta / n, 2 * d.X / n, 2 * d.Y / n}
	return b, true
}

// meets returns the parameters from lo to hi at which two bounds of s are equal. A place where
// they touch counts.
func meets(s *source, f, g *bound, lo, hi float64) []float64 {
	a, b, c := f.k[0]-g.k[0], f.k[1]-g.k[1], f.k[2]-g.k[2]
	var all []float64
	if s.strip {
		if c == 0 {
			if b != 0 {
				all = append(all, -a/b)
			}
		} else {
			d := b*b - 4*a*c
			if d < 0 && d > -1e-9*b*b {
				d = 0
			}
			if d >= 0 {
				t := -(b + math.Copysign(math.Sqrt(d), b)) / 2
				all = append(all, t/c)
				if t != 0 {
					all = append(all, a/t)
				}
			}
		}
	} else if size := math.Hypot(b, c); size > 0 {
		x := -a / size
		if math.Abs(x) < 1+1e-9 {
			mid, half := math.Atan2(c, b), math.Acos(min(max(x, -1), 1))
			all = append(all, turn(mid+half-s.from), turn(mid-half-s.from))
		}
	}
	var out []float64
	for _, q := range all {
		if q > lo && q < hi {
			out = append(out, q)
		}
	}
	return out
}

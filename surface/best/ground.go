package best

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
)

// vec3 is a plane (z at the middle, slope to the east, slope to the north), or what a plane is
// multiplied by at a place: (1, x, y).
type vec3 [3]float64

func (a vec3) dot(b vec3) float64 {
	return float64(a[0]*b[0]) + float64(a[1]*b[1]) + float64(a[2]*b[2])
}

func (a vec3) plus(k float64, b vec3) vec3 {
	return vec3{a[0] + float64(k*b[0]), a[1] + float64(k*b[1]), a[2] + float64(k*b[2])}
}

// corner is a vertex of the floor, from the middle of the floor.
type corner struct{ x, y, z float64 }

func (c *corner) at() vec3 { return vec3{1, c.x, c.y} }

// Ground is a floor made ready for the search.
type Ground struct {
	floor  *surface.Floor
	at     surface.Vec // middle of the bounds: where a plane's elevation is measured
	z      float64     // m, half way between the lowest and the highest vertex
	relief float64     // m, from the one to the other
	reach  float64     // m, from the middle to a corner of the bounds
	faces  [][3]corner
	corner []corner
	place  []surface.Vec // of each corner, on the grid of the survey
	name   func(i int) string
	moment [3]vec3 // integral of (1, x, y)ᵀ(1, x, y)
}

// NewGround prepares a floor. Places count from the middle of its bounds, so that coordinates
// of 10⁶ m cost no digits.
func NewGround(f *surface.Floor) *Ground {
	g := &Ground{floor: f}
	lo, hi := f.Bounds()
	g.at = surface.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2}
	g.reach = math.Hypot(hi.X-lo.X, hi.Y-lo.Y) / 2
	least, greatest := math.Inf(1), math.Inf(-1)
	first := make([]int, len(f.Regions))
	for i, r := range f.Regions {
		first[i] = len(g.corner)
		t := r.TIN
		dx, dy := t.Origin.X-g.at.X, t.Origin.Y-g.at.Y
		for v, z := range t.Z {
			least, greatest = min(least, z), max(greatest, z)
			g.corner = append(g.corner, corner{t.X[v] + dx, t.Y[v] + dy, z})
			g.place = append(g.place, t.At(int32(v)))
		}
	}
	g.z, g.relief = least+(greatest-least)/2, greatest-least
	for i := range g.corner {
		g.corner[i].z -= g.z
	}
	for i, r := range f.Regions {
		for k := range r.TIN.Len() {
			var face [3]corner
			for j := range face {
				face[j] = g.corner[first[i]+int(r.TIN.V[3*k+j])]
			}
			g.faces = append(g.faces, face)
		}
	}
	g.name = func(c int) string {
		for i := len(first) - 1; i >= 0; i-- {
			if c < first[i] {
				continue
			}
			if s := f.Regions[i].TIN.Shot[c-first[i]]; s >= 0 {
				return f.Regions[i].Shots[s].Name()
			}
			break
		}
		return ""
	}
	w := g.sums(func(t *totals, f *[3]corner) { t.moments(f) })
	g.moment = w.bend
	return g
}

func (g *Ground) area() float64 { return g.moment[0][0] }

// totals are sums over triangles.
type totals struct {
	fill, cut float64 // integrals of depth, each ≥ 0
	above     vec3    // integral of (1, x, y) where depth is positive
	below     vec3    // and where it is negative
	flat      float64 // area where the plane is the floor
	bend      [3]vec3 // integral of (1, x, y)ᵀ(1, x, y)/|grad depth| along the zero line
}

// few is how many triangles are summed plainly; the parts are then added with compensation, in
// order, so that the result is the same on any number of processors.
const few = 1 << 11

// sums adds do over all triangles.
func (g *Ground) sums(do func(*totals, *[3]corner)) totals {
	parts := make([]totals, (len(g.faces)+few-1)/few)
	inParts(len(parts), func(i int) {
		faces := g.faces[i*few : min((i+1)*few, len(g.faces))]
		for k := range faces {
			do(&parts[i], &faces[k])
		}
	})
	var all [18]sum.Sum
	for i := range parts {
		for j, v := range parts[i].list() {
			all[j].Add(v)
		}
	}
	var out totals
	out.set(func(j int) float64 { return all[j].Value() })
	return out
}

// inParts shares n parts of the work among the processors.
func inParts(n int, do func(i int)) {
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		all.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				do(i)
			}
		})
	}
	all.Wait()
}

func (t *totals) list() [18]float64 {
	return [18]float64{
		t.fill, t.cut, t.above[0], t.above[1], t.above[2], t.below[0], t.below[1], t.below[2], t.flat,
		t.bend[0][0], t.bend[0][1], t.bend[0][2], t.bend[1][0], t.bend[1][1], t.bend[1][2], t.bend[2][0], t.bend[2][1], t.bend[2][2],
	}
}

func (t *totals) set(v func(int) float64) {
	t.fill, t.cut, t.flat = v(0), v(1), v(8)
	for i := range 3 {
		t.above[i], t.below[i] = v(2+i), v(5+i)
		for j := range 3 {
			t.bend[i][j] = v(9 + 3*i + j)
		}
	}
}

func area(f *[3]corner) float64 {
	ux, uy := f[1].x-f[0].x, f[1].y-f[0].y
	vx, vy := f[2].x-f[0].x, f[2].y-f[0].y
	return (float64(ux*vy) - float64(uy*vx)) / 2
}

// moments adds the integral of (1, x, y)ᵀ(1, x, y) over a triangle, in bend: its area times a
// twelfth of the squares of its corners and of their sum.
func (t *totals) moments(f *[3]corner) {
	w := area(f) / 12
	a, b, c := f[0].at(), f[1].at(), f[2].at()
	s := a.plus(1, b).plus(1, c)
	for _, v := range []vec3{a, b, c, s} {
		t.square(w, v)
	}
}

// square adds w·v vᵀ to bend.
func (t *totals) square(w float64, v vec3) {
	for i := range 3 {
		for j := range 3 {
			t.bend[i][j] += float64(w * float64(v[i]*v[j]))
		}
	}
}

// under adds a triangle under the plane q. A triangle that the plane crosses has one corner
// alone on its side: the corner cut off is similar to the whole, and the remainder is the
// difference. Along the crossing, length over gradient is the derivative of that area by the
// depth (own derivation, from the ratio of sides).
func (t *totals) under(f *[3]corner, q vec3) {
	var d [3]float64
	positive, negative := 0, 0
	for i := range f {
		d[i] = q[0] + float64(q[1]*f[i].x) + float64(q[2]*f[i].y) - f[i].z
		if d[i] > 0 {
			positive++
		} else if d[i] < 0 {
			negative++
		}
	}
	whole := area(f)
	middle := vec3{whole, whole * (f[0].x + f[1].x + f[2].x) / 3, whole * (f[0].y + f[1].y + f[2].y) / 3}
	integral := whole * (d[0] + d[1] + d[2]) / 3
	switch {
	case positive == 0 && negative == 0:
		t.flat += whole
		return
	case negative == 0:
		t.fill += integral
		t.above = t.above.plus(1, middle)
		return
	case positive == 0:
		t.cut -= integral
		t.below = t.below.plus(1, middle)
		return
	}
	alone := 0
	for i := range d {
		if positive == 1 && d[i] > 0 || positive == 2 && d[i] < 0 {
			alone = i
		}
	}
	p, e, l := &f[alone], &f[(alone+1)%3], &f[(alone+2)%3]
	dp, de, dl := d[alone], d[(alone+1)%3], d[(alone+2)%3]
	te, tl := dp/(dp-de), dp/(dp-dl)
	part := whole * te * tl
	a := vec3{1, p.x + float64(te*(e.x-p.x)), p.y + float64(te*(e.y-p.y))}
	b := vec3{1, p.x + float64(tl*(l.x-p.x)), p.y + float64(tl*(l.y-p.y))}
	small := vec3{part, part * (p.x + a[1] + b[1]) / 3, part * (p.y + a[2] + b[2]) / 3}
	tip := part * dp / 3
	w := 2 * whole * math.Abs(dp/(dp-de)/(dp-dl)) / 6
	t.square(w, a)
	t.square(w, b)
	t.square(w, a.plus(1, b))
	if positive == 1 {
		t.fill += tip
		t.cut += tip - integral
		t.above = t.above.plus(1, small)
		t.below = t.below.plus(1, middle.plus(-1, small))
		return
	}
	t.cut -= tip
	t.fill += integral - tip
	t.below = t.below.plus(1, small)
	t.above = t.above.plus(1, middle.plus(-1, small))
}

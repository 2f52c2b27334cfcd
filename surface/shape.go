package surface

import (
	"maps"
	"math"
)

// Shape is a target of triangles: falls to drains, ramps, or a surface from a design. Make it with
// [NewShape].
type Shape struct {
	of *shape
	up float64 // m
}

// shape is one or more surfaces of triangles over a plane or over nothing. The first that covers a
// place counts, but those of ramps only where they are past what is under them.
type shape struct {
	layers []layer
	base   *Plane
	doors  map[Vec]float64 // elevation at places in the thickness of a wall, where a ramp ends
}

// layer is a surface of triangles with its index.
type layer struct {
	tin  *TIN
	at   *Locator
	fall float64 // rise over run, of the smooth surface that the triangles follow; 0: each has its own

	past  int      // 1: counts only where it is higher than what is under it, -1: lower; 0: everywhere
	bends [][2]Vec // where it counts, the lines along which it bends, and those where it comes to what is under it
}

// NewShape returns the target that is over at a place where over has triangles, and base
// elsewhere. base is nil, or a [Plane] or [Shape].
//
// Where over ends and base goes on they should have one elevation: a target has no upright faces.
func NewShape(over *Floor, base Target) Shape { return newShape(over, base, 0) }

// NewEvenShape returns the target that is over, whose triangles follow a surface of one fall
// everywhere, rise over run: that is its fall, not that of each triangle.
func NewEvenShape(over *Floor, fall float64) Shape { return newShape(over, nil, fall) }

func newShape(over *Floor, base Target, fall float64) Shape {
	s := &shape{}
	for _, r := range over.Regions {
		s.layers = append(s.layers, layer{tin: r.TIN, at: r.TIN.Locator(), fall: fall})
	}
	s.doors = map[Vec]float64{}
	s.under(base)
	return Shape{of: s}
}

// NewRamp returns the target that is base, a [Plane] or [Shape], but for the places where ramp is
// higher, or lower if down. bends are the lines there along which ramp bends, and those where the
// two have one elevation. doors are places outside the walls that the ramp leads
// to, with their elevation.
func NewRamp(ramp *TIN, down bool, bends [][2]Vec, doors map[Vec]float64, base Target) Shape {
	l := layer{tin: ramp, at: ramp.Locator(), past: 1, bends: bends}
	if down {
		l.past = -1
	}
	s := &shape{layers: []layer{l}, doors: maps.Clone(doors)}
	s.under(base)
	return Shape{of: s}
}

// under puts base under the layers of s.
func (s *shape) under(base Target) {
	switch b := base.(type) {
	case Plane:
		s.base = &b
	case Shape:
		below := b.Moved(0).(Shape)
		if b.up != 0 {
			below = b.raised()
		}
		s.layers = append(s.layers, below.of.layers...)
		s.base = below.of.base
		for at, z := range below.of.doors {
			s.doors[at] = z
		}
	}
}

// raised returns s with its height in its triangles.
func (s Shape) raised() Shape {
	out := &shape{doors: map[Vec]float64{}}
	for at, z := range s.of.doors {
		out.doors[at] = z + s.up
	}
	for _, l := range s.of.layers {
		t := *l.tin
		t.Z = make([]float64, len(l.tin.Z))
		for v, z := range l.tin.Z {
			t.Z[v] = z + s.up
		}
		at := *l.at
		at.t = &t
		l.tin, l.at = &t, &at
		out.layers = append(out.layers, l)
	}
	if s.of.base != nil {
		p := s.of.base.Lowered(-s.up)
		out.base = &p
	}
	return Shape{of: out}
}

// Elevation returns the elevation at a place, m; beyond the triangles of a shape without a base
// that of the nearest place on their edge.
func (s Shape) Elevation(at Vec) float64 { return s.of.elevation("", at) + s.up }

// Within returns s: it is the same in every part of a floor.
func (s Shape) Within(string) Target { return s }

// Level returns false: a shape bends.
func (s Shape) Level() bool { return false }

// Moved returns s moved up by h metres.
func (s Shape) Moved(h float64) Target { return Shape{s.of, s.up + h} }

func (s Shape) bent() (bend, float64) { return s.of, s.up }

// Covers reports whether s has a triangle, or a base, at a place.
func (s Shape) Covers(at Vec) bool {
	if s.of.base != nil {
		return true
	}
	for _, l := range s.of.layers {
		if _, _, ok := l.at.At(at); ok {
			return true
		}
	}
	return false
}

func (s *shape) elevation(_ string, at Vec) float64 {
	if z, ok := s.doors[at]; ok {
		return z
	}
	if z, _, _, ok := s.topmost(s.layers, at); ok {
		return z
	}
	if s.base != nil {
		return s.base.Elevation(at)
	}
	return s.beyond(at)
}

// topmost returns the elevation of the first of layers that counts at a place, its number and its
// triangle; false if that is the base, or nothing.
func (s *shape) topmost(layers []layer, at Vec) (z float64, i, triangle int, ok bool) {
	for i, l := range layers {
		z, k, ok := l.at.At(at)
		switch {
		case !ok:
			continue
		case l.past == 0:
			return z, i, k, true
		}
		under, j, n, ok := s.topmost(layers[i+1:], at)
		if !ok && s.base != nil {
			under = s.base.Elevation(at)
		} else if !ok {
			return z, i, k, true
		}
		// Where the two meet, places are rounded: what is under the ramp may be level there.
		if float64(l.past)*(z-under) > on {
			return z, i, k, true
		}
		return under, i + 1 + j, n, ok
	}
	return 0, 0, 0, false
}

// fallAt returns the fall at a place, rise over run, and its direction: of the triangle it is on, or
// of the base.
func (s *shape) fallAt(at Vec) (fall float64, down Vec) {
	if len(s.layers) > 0 {
		if _, i, k, ok := s.topmost(s.layers, at); ok {
			t := s.layers[i].tin
			a, b, c := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
			ux, uy, uz := t.X[b]-t.X[a], t.Y[b]-t.Y[a], t.Z[b]-t.Z[a]
			vx, vy, vz := t.X[c]-t.X[a], t.Y[c]-t.Y[a], t.Z[c]-t.Z[a]
			x, y := uy*vz-uz*vy, uz*vx-ux*vz
			steep := math.Hypot(x, y)
			if steep > 0 {
				down = Vec{X: x / steep, Y: y / steep}
			}
			if fall = s.layers[i].fall; fall == 0 {
				fall = steep / (ux*vy - uy*vx)
			}
			return fall, down
		}
	}
	if s.base == nil {
		return 0, Vec{}
	}
	return s.base.Slope()
}

// beyond returns the elevation at the place on the edge of s that is nearest to a place off it.
func (s *shape) beyond(at Vec) float64 {
	nearest, z := math.Inf(1), math.NaN()
	place := Vec{X: math.Inf(1)}
	for _, l := range s.layers {
		t := l.tin
		if l.past != 0 {
			continue
		}
		for h, w := range t.Twin {
			if w >= 0 {
				continue
			}
			u, v := t.V[h], t.V[Next(int32(h))]
			a, b := t.At(u), t.At(v)
			p := at.NearestOn(a, b)
			d := at.Distance(p)
			if d < nearest || d == nearest && p.Less(place) {
				nearest, place = d, p
				z = t.Z[u] + p.Along(a, b)*(t.Z[v]-t.Z[u])
			}
		}
	}
	if s.layers[0].past != 0 {
		z, _, _, _ = s.topmost(s.layers, place)
	}
	return z
}

// creases returns the edges of the triangles of s, once each, but those inside level ground.
func (s *shape) creases(string) [][][2]Vec {
	var out [][][2]Vec
	for _, l := range s.layers {
		if l.past != 0 {
			out = append(out, l.bends)
			continue
		}
		t := l.tin
		var lines [][2]Vec
		for h, w := range t.Twin {
			if w >= 0 && (w < int32(h) || t.level(int32(h)/3) && t.level(w/3)) {
				continue
			}
			lines = append(lines, [2]Vec{t.At(t.V[h]), t.At(t.V[Next(int32(h))])})
		}
		out = append(out, lines)
	}
	return out
}

// level reports whether the corners of triangle k have one elevation.
func (t *TIN) level(k int32) bool {
	return t.Z[t.V[3*k]] == t.Z[t.V[3*k+1]] && t.Z[t.V[3*k]] == t.Z[t.V[3*k+2]]
}

// WithoutRamps returns what is under the ramps of a target: itself, if there are none.
func WithoutRamps(t Target) Target {
	s, ok := t.(Shape)
	if !ok {
		return t
	}
	n := 0
	for n < len(s.of.layers) && s.of.layers[n].past != 0 {
		n++
	}
	switch {
	case n == 0:
		return t
	case n == len(s.of.layers) && s.of.base != nil:
		return s.of.base.Moved(s.up)
	}
	return Shape{&shape{layers: s.of.layers[n:], base: s.of.base}, s.up}
}

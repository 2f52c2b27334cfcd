package flatness

import (
	"math"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
)

// segment is a straight piece of a wall or joint.
type segment struct{ a, b surface.Vec }

// Ends returns the ends of s.
func (s segment) Ends() (a, b surface.Vec) { return s.a, s.b }

func ringSegments(rings [][]surface.Vec) []segment {
	var out []segment
	for _, r := range rings {
		for i := range r {
			out = append(out, segment{r[i], r[(i+1)%len(r)]})
		}
	}
	return out
}

// toPoint returns the distance from s to p, m.
func (s segment) toPoint(p surface.Vec) float64 {
	return p.Distance(p.NearestOn(s.a, s.b))
}

// to returns the distance between two segments, m; 0 where they cross.
func (s segment) to(o segment) float64 {
	side := func(s segment, p surface.Vec) float64 {
		return (s.b.X-s.a.X)*(p.Y-s.a.Y) - (s.b.Y-s.a.Y)*(p.X-s.a.X)
	}
	if side(s, o.a)*side(s, o.b) < 0 && side(o, s.a)*side(o, s.b) < 0 {
		return 0
	}
	return min(s.toPoint(o.a), s.toPoint(o.b), o.toPoint(s.a), o.toPoint(s.b))
}

// bearing returns the direction of s, radians from east.
func (s segment) bearing() float64 { return math.Atan2(s.b.Y-s.a.Y, s.b.X-s.a.X) }

// apartBy returns the angle between two lines of these directions, in degrees from 0 to 90.
func apartBy(a, b float64) float64 {
	d := math.Abs(math.Remainder(a-b, math.Pi))
	return d * 180 / math.Pi
}

// frame is a plan turned so that runs are along x, counted from a corner of the outline.
type frame struct {
	o        surface.Vec
	cos, sin float64
}

func newFrame(o surface.Vec, bearing float64) frame {
	return frame{o, math.Cos(bearing), math.Sin(bearing)}
}

func (f frame) in(p surface.Vec) surface.Vec {
	x, y := p.X-f.o.X, p.Y-f.o.Y
	return surface.Vec{X: x*f.cos + y*f.sin, Y: y*f.cos - x*f.sin}
}

func (f frame) out(p surface.Vec) surface.Vec {
	return surface.Vec{X: f.o.X + p.X*f.cos - p.Y*f.sin, Y: f.o.Y + p.X*f.sin + p.Y*f.cos}
}

// plan is an outline with its joints, in a frame.
type plan struct {
	rings, joints []segment
}

func newPlan(rings [][]surface.Vec, joints []segment, f frame) plan {
	turn := func(in []segment) []segment {
		out := make([]segment, len(in))
		for i, s := range in {
			out[i] = segment{f.in(s.a), f.in(s.b)}
		}
		return out
	}
	return plan{turn(ringSegments(rings)), turn(joints)}
}

// extent returns the min and max coordinates of the outline.
func (p plan) extent() (lo, hi surface.Vec) {
	lo, hi = p.rings[0].a, p.rings[0].a
	for _, s := range p.rings {
		lo = surface.Vec{X: min(lo.X, s.a.X), Y: min(lo.Y, s.a.Y)}
		hi = surface.Vec{X: max(hi.X, s.a.X), Y: max(hi.Y, s.a.Y)}
	}
	return lo, hi
}

// floorAlong returns the stretches of the line at y over floor.
func (p plan) floorAlong(y float64) []surface.Span { return surface.Across(p.rings, y) }

// free returns the stretches of the line at y over floor that keep band away from walls and
// joints. Joints are not crossed even if band is 0.
func (p plan) free(y, band float64) []surface.Span {
	var shut []surface.Span
	for _, set := range [][]segment{p.rings, p.joints} {
		for _, s := range set {
			if n, ok := surface.Near(s, y, band); ok {
				shut = append(shut, n)
			}
		}
	}
	return surface.Free(p.floorAlong(y), shut)
}

// excluded returns the share of the floor's area within band of walls and joints, by 400
// lines across it: to about a thousandth.
func (p plan) excluded(band float64) float64 {
	lo, hi := p.extent()
	var whole, open sum.Sum
	const lines = 400
	for i := range lines {
		y := lo.Y + (float64(i)+0.5)/lines*(hi.Y-lo.Y)
		for _, s := range p.floorAlong(y) {
			whole.Add(s.Hi - s.Lo)
		}
		for _, s := range p.free(y, band) {
			open.Add(s.Hi - s.Lo)
		}
	}
	return 1 - open.Value()/whole.Value()
}

// area returns the plan area of rings, m²: the outer one counter-clockwise, openings
// clockwise.
func area(rings [][]surface.Vec) float64 {
	var twice sum.Sum
	for _, r := range rings {
		for i := range r {
			a, b := r[i], r[(i+1)%len(r)]
			twice.Add((a.X-r[0].X)*(b.Y-r[0].Y) - (b.X-r[0].X)*(a.Y-r[0].Y))
		}
	}
	return twice.Value() / 2
}

// longest returns the longest straight side of the outer ring. Corners that turn by
// less than half a degree do not end a side: walls are surveyed shot by shot.
func longest(ring []surface.Vec) segment {
	n := len(ring)
	turns := func(i int) bool {
		a, b, c := ring[(i+n-1)%n], ring[i%n], ring[(i+1)%n]
		return apartBy(segment{a, b}.bearing(), segment{b, c}.bearing()) > 0.5
	}
	start := 0
	for start < n && !turns(start) {
		start++
	}
	best := segment{ring[0], ring[1%n]}
	found := 0.0
	from := ring[start%n]
	for i := start + 1; i <= start+n; i++ {
		if !turns(i) {
			continue
		}
		s := segment{from, ring[i%n]}
		from = s.b
		if d := s.a.Distance(s.b); d > found*(1+1e-9) {
			best, found = s, d
		}
	}
	return best
}

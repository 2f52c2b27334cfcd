package surface

import (
	"math"
	"slices"
)

// Target is the top of fill over a floor: a [Plane], or a surface that bends, a [Shape], or one
// target for each part of the floor, [PartTargets]. Targets can be compared with ==.
type Target interface {
	// Elevation returns the elevation of the target at a place, m. Where a surface that bends
	// has none it is that of the nearest place on its edge.
	Elevation(at Vec) float64

	// Within returns the target in a part of a floor, by [Region.Part].
	Within(part string) Target

	// Moved returns the target moved up by h metres.
	Moved(h float64) Target

	// Level reports whether the target has one elevation everywhere.
	Level() bool

	// bent returns what the target is on the triangles of a floor that [Floor.Under] has
	// split, and how far it is moved up from it, m; nil for a plane.
	bent() (of bend, up float64)
}

// bend is a target that is not one plane. It is compared by identity.
type bend interface {
	// creases returns the lines over a part of a floor along which the target bends, in groups.
	// Lines of one group meet at their ends only.
	creases(part string) [][][2]Vec
	// elevation returns the elevation at a place in a part of a floor, m.
	elevation(part string, at Vec) float64
}

// Within returns p: it is the same in every part of a floor.
func (p Plane) Within(string) Target { return p }

// Moved returns p moved up by h metres.
func (p Plane) Moved(h float64) Target { return p.Lowered(-h) }

func (Plane) bent() (bend, float64) { return nil, 0 }

// IsPlane returns the plane that a target is, and whether it is one. A target whose parts all have
// the same plane is that plane.
func IsPlane(t Target) (Plane, bool) {
	switch t := t.(type) {
	case Plane:
		return t, true
	case PartTargets:
		return t.plane()
	}
	return Plane{}, false
}

// top is a bent target on the triangles of a TIN that does not bend within any of them.
type top struct {
	of bend
	z  []float64 // m, by vertex
}

// tops returns the elevation of a target at each vertex, m. On a TIN that the target bends
// within, it is right at the vertices only; [Floor.Under] splits it.
func (t *TIN) tops(target Target) (z []float64, up float64) {
	of, up := target.bent()
	if of != nil && t.top.of == of {
		return t.top.z, up
	}
	z = make([]float64, len(t.Z))
	inChunks(len(z), func(lo, hi int) {
		for v := lo; v < hi; v++ {
			z[v] = target.Elevation(t.At(int32(v)))
		}
	})
	return z, 0
}

// under returns f split for a target. It panics where [Floor.Under] fails; a floor that Under
// returned has been split already.
func (f *Floor) under(target Target) *Floor {
	split, err := f.Under(target)
	if err != nil {
		panic(err)
	}
	return split
}

// Finished returns f as it is when it has been brought to target everywhere: the same
// triangles, at the elevations of the target. Errors are those of [Floor.Under].
func (f *Floor) Finished(target Target) (*Floor, error) {
	return f.with(target, func(t *TIN) []float64 {
		z, up := t.tops(target)
		if up == 0 {
			return slices.Clone(z)
		}
		raised := make([]float64, len(z))
		for v := range z {
			raised[v] = z[v] + up
		}
		return raised
	})
}

// Above returns f with its heights above target, m, as its elevations: a floor that came out as
// planned is level. Errors are those of [Floor.Under].
func (f *Floor) Above(target Target) (*Floor, error) {
	return f.with(target, func(t *TIN) []float64 {
		above := t.Depths(target)
		for v, d := range above {
			above[v] = 0 - d
		}
		return above
	})
}

// with returns f, split for target, with other elevations of its vertices.
func (f *Floor) with(target Target, elevations func(*TIN) []float64) (*Floor, error) {
	split, err := f.Under(target)
	if err != nil {
		return nil, err
	}
	out := *split
	out.Regions = slices.Clone(split.Regions)
	for i, r := range split.Regions {
		t := *r.TIN
		t.Z, t.top = elevations(r.TIN), top{}
		out.Regions[i].TIN = &t
	}
	return &out, nil
}

// FallsOf returns the least and the greatest fall of target over f, rise over run, and a place
// of the least: the middle of a triangle of f there, the first by x and y of those alike.
// Errors are those of [Floor.Under].
func (f *Floor) FallsOf(target Target) (least, greatest float64, at Vec, err error) {
	split, err := f.Under(target)
	if err != nil {
		return 0, 0, Vec{}, err
	}
	if plane, ok := target.(Plane); ok {
		fall, _ := plane.Slope()
		_, _, _, at := f.Range(plane)
		return fall, fall, at, nil
	}
	const alike = 1e-9 // of falls that differ by rounding
	least, at = math.Inf(1), Vec{X: math.Inf(1)}
	for _, r := range split.Regions {
		t := r.TIN
		for k := range t.Len() {
			a, b, c := t.At(t.V[3*k]), t.At(t.V[3*k+1]), t.At(t.V[3*k+2])
			middle := Vec{X: (a.X + b.X + c.X) / 3, Y: (a.Y + b.Y + c.Y) / 3}
			fall, _ := FallAt(target.Within(r.Part), middle)
			greatest = max(greatest, fall)
			if fall < least-alike || fall <= least+alike && middle.Less(at) {
				least, at = min(least, fall), middle
			}
		}
	}
	return least, greatest, at, nil
}

// FallAt returns the fall of a target at a place, rise over run, and the direction in which it falls,
// a unit vector; (0, 0) where it is level.
func FallAt(target Target, at Vec) (fall float64, down Vec) {
	switch t := target.(type) {
	case Shape:
		return t.of.fallAt(at)
	case PartTargets:
		return FallAt(t.Within(t.of.floor.partAt(at)), at)
	}
	return target.(Plane).Slope()
}

// Slope returns the fall of a plane, rise over run, and the direction in which it falls, a unit
// vector; (0, 0) for a level one.
func (p Plane) Slope() (fall float64, down Vec) {
	if fall = math.Hypot(p.SlopeX, p.SlopeY); fall == 0 {
		return 0, Vec{}
	}
	return fall, Vec{X: 0 - p.SlopeX/fall, Y: 0 - p.SlopeY/fall}
}

package surface

import (
	"math"
	"slices"

	"pourplane/surface/internal/exact"
)

// PartTargets is a target of its own for parts of a floor. Make it with [NewPartTargets].
type PartTargets struct {
	of *partTargets
	up float64 // m
}

type partTargets struct {
	floor *Floor
	each  map[string]Target // by [Region.Part]
}

// NewPartTargets returns the target that is each[part] in every part of f, by [Region.Part].
// each must have them all.
func NewPartTargets(f *Floor, each map[string]Target) PartTargets {
	return PartTargets{of: &partTargets{f, each}}
}

// Elevation returns the elevation at a place, m: that of the part it is in, or else of the part
// with the nearest wall. Of parts that meet there the first by name counts.
func (p PartTargets) Elevation(at Vec) float64 {
	return p.Within(p.of.floor.partAt(at)).Elevation(at)
}

// Within returns the target in a part of a floor.
func (p PartTargets) Within(part string) Target {
	if p.up == 0 {
		return p.of.each[part]
	}
	return p.of.each[part].Moved(p.up)
}

// Level reports whether every part has the same one elevation.
func (p PartTargets) Level() bool {
	plane, ok := p.plane()
	return ok && plane.Level()
}

// Moved returns p moved up by h metres.
func (p PartTargets) Moved(h float64) Target { return PartTargets{p.of, p.up + h} }

func (p PartTargets) bent() (bend, float64) { return p.of, p.up }

// plane returns the one plane of all parts, if they have one.
func (p PartTargets) plane() (Plane, bool) {
	var first Plane
	for i, r := range p.of.floor.Regions {
		plane, ok := IsPlane(p.Within(r.Part))
		if !ok || i > 0 && plane != first {
			return Plane{}, false
		}
		first = plane
	}
	return first, true
}

func (p *partTargets) creases(part string) [][][2]Vec {
	if of, _ := p.each[part].bent(); of != nil {
		return of.creases(part)
	}
	return nil
}

func (p *partTargets) elevation(part string, at Vec) float64 { return p.each[part].Elevation(at) }

// partAt returns the part of f that a place is in, or else the one with the nearest wall. Of
// several it is the first by name.
func (f *Floor) partAt(at Vec) string {
	best, part := math.Inf(1), ""
	for _, r := range f.Regions {
		off := r.away(at)
		if off < best || off == best && r.Part < part {
			best, part = off, r.Part
		}
	}
	return part
}

// meeting returns the targets of the parts that a place is in or on the edge of.
func (p PartTargets) meeting(at Vec) []Target {
	const near = 2 * nearLine * 1e-9 // m
	out := []Target{}
	for _, n := range p.of.floor.Parts() {
		if slices.ContainsFunc(p.of.floor.Regions, func(r Region) bool { return r.Part == n && r.away(at) <= near }) {
			out = append(out, p.Within(n))
		}
	}
	if len(out) == 0 {
		out = append(out, p.Within(p.of.floor.partAt(at)))
	}
	return out
}

// away returns the distance of a place from a region, m; 0 in it and on its edge.
func (r Region) away(at Vec) float64 {
	inside := 0 // rings round the place
	least := math.Inf(1)
	for _, ring := range r.Rings {
		x, y := make([]float64, len(ring)), make([]float64, len(ring))
		for i, c := range ring {
			x[i], y[i] = c.X, c.Y
			least = min(least, at.Distance(at.NearestOn(c, ring[(i+1)%len(ring)])))
		}
		switch exact.InRing(x, y, at.X, at.Y) {
		case 0:
			return 0
		case 1:
			inside++
		}
	}
	if inside%2 == 1 {
		return 0
	}
	return least
}

// Parts returns the names of the parts of f, by [Region.Part], in order.
func (f *Floor) Parts() []string {
	var out []string
	for _, r := range f.Regions {
		out = append(out, r.Part)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

package surface

import (
	"math"
	"slices"

	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// Without returns f without some of its parts, by [Region.Part]: their edges with the rest are
// no walls and no steps, but [Floor.Open]. A floor that is built again from its Data is without
// them too.
func (f *Floor) Without(parts ...string) *Floor {
	if len(parts) == 0 {
		return f
	}
	out := *f
	out.Data.Without = slices.Clip(f.Data.Without)
	for _, p := range parts {
		if !slices.Contains(out.Data.Without, p) {
			out.Data.Without = append(out.Data.Without, p)
		}
	}
	out.Regions, out.Left = nil, slices.Clip(f.Left)
	for _, r := range f.Regions {
		if slices.Contains(parts, r.Part) {
			out.Left = append(out.Left, r)
		} else {
			out.Regions = append(out.Regions, r)
		}
	}
	out.keepEdges(f)
	out.keepInside(f)
	return &out
}

// keepInside gives f, some of the regions of whole, the openings of these and the number of their
// shots.
func (f *Floor) keepInside(whole *Floor) {
	corner, used := map[Vec]bool{}, map[survey.Point]bool{}
	for _, r := range f.Regions {
		for _, ring := range r.Rings {
			for _, p := range ring {
				corner[p] = true
			}
		}
		for _, p := range r.Shots {
			used[p] = true
		}
	}
	f.Openings = slices.DeleteFunc(slices.Clone(whole.Openings), func(ring []Vec) bool {
		return !slices.ContainsFunc(ring, func(p Vec) bool { return corner[p] })
	})
	f.Used = len(used)
}

// Only returns f without all but one of its parts.
func (f *Floor) Only(part string) *Floor {
	return f.Without(slices.DeleteFunc(f.Parts(), func(p string) bool { return p == part })...)
}

// keepEdges gives f, some of the regions of whole, the steps, open edges and walls of these. cuts
// are open too.
func (f *Floor) keepEdges(whole *Floor, cuts ...[2]Vec) {
	sides := map[[2]Vec]int{} // by edge, in either direction
	f.edges(func(a, b Vec) { sides[[2]Vec{a, b}]++; sides[[2]Vec{b, a}]++ })
	f.Steps, f.Open = nil, cuts
	for _, s := range whole.Steps {
		switch sides[s] {
		case 0:
		case 1:
			f.Open = append(f.Open, s)
		default:
			f.Steps = append(f.Steps, s)
		}
	}
	for _, s := range whole.Open {
		if sides[s] > 0 {
			f.Open = append(f.Open, s)
		}
	}
	var walls, steps sum.Sum
	for _, s := range f.Steps {
		steps.Add(s[0].Distance(s[1]))
	}
	inside := f.inside()
	f.edges(func(a, b Vec) {
		if !inside[[2]Vec{a, b}] {
			walls.Add(a.Distance(b))
		}
	})
	f.Perimeter, f.StepLength = walls.Value(), steps.Value()
}

// edges calls see for every straight edge of every region, with the floor on its left.
func (f *Floor) edges(see func(a, b Vec)) {
	for _, r := range f.Regions {
		for _, ring := range r.Rings {
			for i, a := range ring {
				see(a, ring[(i+1)%len(ring)])
			}
		}
	}
}

// inside returns the edges of regions that are no walls, in both directions: steps, and edges
// with parts that were left out.
func (f *Floor) inside() map[[2]Vec]bool {
	out := map[[2]Vec]bool{}
	for _, list := range [][][2]Vec{f.Steps, f.Open} {
		for _, s := range list {
			out[s], out[[2]Vec{s[1], s[0]}] = true, true
		}
	}
	return out
}

// Parted returns f with a wall in place of each step at which the targets of two parts differ:
// what is laid in the fill does not run on over it.
func (f *Floor) Parted(target Target) *Floor {
	part := map[[2]Vec]string{} // by edge, with the floor on its left
	for _, r := range f.Regions {
		for _, ring := range r.Rings {
			for i, a := range ring {
				part[[2]Vec{a, ring[(i+1)%len(ring)]}] = r.Part
			}
		}
	}
	const alike = 1e-6 // m, by rounding
	out := *f
	out.Steps = slices.DeleteFunc(slices.Clone(f.Steps), func(s [2]Vec) bool {
		one, other := target.Within(part[s]), target.Within(part[[2]Vec{s[1], s[0]}])
		return math.Abs(one.Elevation(s[0])-other.Elevation(s[0])) > alike || math.Abs(one.Elevation(s[1])-other.Elevation(s[1])) > alike
	})
	return &out
}

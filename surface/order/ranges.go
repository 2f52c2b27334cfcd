package order

import (
	"math"
	"slices"
)

// Range is a range of depths, m, that one material serves.
type Range struct {
	From, To float64 // infinite where nothing is deeper
	Material int
}

// Ranges returns which material serves which depths of a floor that is not quite as measured: all
// depths above 0, less those that are not served. A depth that no material in use may be laid in goes to
// the one that serves nearest in depth, unless the floor as measured has such depths.
func (s Service) Ranges() []Range {
	cuts := Limits(s.Materials)
	for _, p := range s.Parts {
		cuts = append(cuts, max(0, p.From), max(0, p.To))
	}
	for _, p := range s.Problems {
		cuts = append(cuts, max(0, p.From), max(0, p.To))
	}
	slices.Sort(cuts)
	for i := range len(cuts) - 1 { // what is between two materials is halved
		cuts = append(cuts, (cuts[i]+cuts[i+1])/2)
	}
	slices.Sort(cuts)
	cuts = append(slices.Compact(cuts), math.Inf(1))
	var out []Range
	for i, from := range cuts[:len(cuts)-1] {
		to := cuts[i+1]
		middle := from + 1
		if to < math.Inf(1) {
			middle = (from + to) / 2
		}
		k := s.at(middle)
		switch last := len(out) - 1; {
		case k < 0:
		case last >= 0 && out[last].Material == k && out[last].To == from:
			out[last].To = to
		default:
			out = append(out, Range{from, to, k})
		}
	}
	return out
}

// at returns the material for a depth; -1: none. See [Service.Ranges].
func (s Service) at(depth float64) int {
	if k, _ := s.Materials.pick(depth, depth); slices.ContainsFunc(s.Uses, func(u Use) bool { return u.Material == k }) {
		return k
	}
	best, off := -1, math.Inf(1)
	for _, p := range s.Problems {
		if depth >= p.From-hair && depth <= p.To+hair {
			return -1
		}
	}
	for _, p := range s.Parts {
		if d := max(p.From-depth, depth-p.To); d < off {
			best, off = p.Material, d
		}
	}
	return best
}

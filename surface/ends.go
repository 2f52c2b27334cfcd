package surface

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface/internal/sum"
)

// End is where the fill of a part of a floor ends in the open: beside a part whose target is
// lower, or that is not filled.
type End struct {
	Part, Beside string  // by [Region.Part]
	Length       float64 // m of edge
	Height       float64 // m, max, of the face: above the floor it is on, and the fill and the floor beside it
	Step         float64 // m, max, down to the fill or the floor beside it, whichever is higher
}

// Ends returns where the fill to target ends in the open, by the names of both parts. Errors are
// those of [Floor.Under].
func (f *Floor) Ends(target Target) ([]End, error) {
	split, err := f.Under(target)
	if err != nil {
		return nil, err
	}
	var sides [2]map[[2]Vec]side // filled, left out
	for i, list := range [][]Region{split.Regions, f.Left} {
		sides[i] = map[[2]Vec]side{}
		for _, r := range list {
			r.sides(sides[i])
		}
	}
	type meeting struct{ part, beside string }
	lengths, heights, steps := map[meeting]*sum.Sum{}, map[meeting]float64{}, map[meeting]float64{}
	add := func(on, other side, filled bool) {
		length, height, step := on.stands(other, target, filled)
		if length == 0 {
			return
		}
		m := meeting{on.part, other.part}
		if lengths[m] == nil {
			lengths[m] = &sum.Sum{}
		}
		lengths[m].Add(length)
		heights[m], steps[m] = max(heights[m], height), max(steps[m], step)
	}
	for _, list := range [][][2]Vec{f.Steps, f.Open} {
		for _, s := range list {
			a, b := s, [2]Vec{s[1], s[0]}
			for _, e := range [][2][2]Vec{{a, b}, {b, a}} {
				on, ok := sides[0][e[0]]
				if !ok {
					continue
				}
				if other, ok := sides[0][e[1]]; ok {
					add(on, other, true)
				} else if other, ok := sides[1][e[1]]; ok {
					add(on, other, false)
				}
			}
		}
	}
	var out []End
	for m, l := range lengths {
		out = append(out, End{m.part, m.beside, l.Value(), heights[m], steps[m]})
	}
	slices.SortFunc(out, func(a, b End) int { return cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(a.Beside, b.Beside)) })
	return out, nil
}

// side is one side of a straight edge of a region: its surface from end to end.
type side struct {
	part string
	run  []Station
}

// sides adds the straight edges of r, by their ends with the floor on the left.
func (r Region) sides(to map[[2]Vec]side) {
	corner := map[Vec]bool{}
	for _, ring := range r.Rings {
		for _, p := range ring {
			corner[p] = true
		}
	}
	t := r.TIN
	for h := range int32(len(t.V)) {
		if t.Twin[h] >= 0 || !corner[t.At(t.V[h])] {
			continue
		}
		from := t.At(t.V[h])
		run := []Station{{At: from, Elevation: t.Z[t.V[h]]}}
		for g := h; ; {
			v := t.V[Next(g)]
			at := t.At(v)
			run = append(run, Station{Distance: from.Distance(at), At: at, Elevation: t.Z[v]})
			if corner[at] {
				break
			}
			for g = Next(g); t.Twin[g] >= 0; {
				g = Next(t.Twin[g])
			}
		}
		to[[2]Vec{from, run[len(run)-1].At}] = side{r.Part, run}
	}
}

// at returns the elevation at a distance along s.
func (s side) at(d float64) float64 {
	i, _ := slices.BinarySearchFunc(s.run, d, func(q Station, d float64) int { return cmp.Compare(q.Distance, d) })
	i = min(max(i, 1), len(s.run)-1)
	p, q := s.run[i-1], s.run[i]
	if q.Distance == p.Distance {
		return q.Elevation
	}
	return p.Elevation + (d-p.Distance)/(q.Distance-p.Distance)*(q.Elevation-p.Elevation)
}

// stands returns the length along which the fill on s is above what is on the other side of the
// edge, the height of its face there, and the step down to what is beside it, each the max, m. filled:
// the other side is filled to the target too.
func (s side) stands(other side, target Target, filled bool) (length, height, step float64) {
	whole := s.run[len(s.run)-1].Distance
	var cuts []float64
	for _, q := range s.run {
		cuts = append(cuts, q.Distance)
	}
	for _, q := range other.run {
		cuts = append(cuts, min(max(whole-q.Distance, 0), whole))
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	from, to := s.run[0].At, s.run[len(s.run)-1].At
	own, next := target.Within(s.part), target
	if filled {
		next = target.Within(other.part)
	}
	// The fill ends as high as the least of these, all linear between cuts.
	above := func(d float64) [3]float64 {
		p := Vec{X: from.X + d/whole*(to.X-from.X), Y: from.Y + d/whole*(to.Y-from.Y)}
		top := own.Elevation(p)
		out := [3]float64{top - s.at(d), top - other.at(whole-d), math.Inf(1)}
		if filled {
			out[2] = top - next.Elevation(p)
		}
		return out
	}
	const none = 1e-6 // m: rounding
	var total sum.Sum
	for i := 1; i < len(cuts); i++ {
		lo, hi := cuts[i-1], cuts[i]
		at := []float64{lo, hi}
		u, v := above(lo), above(hi)
		cross := func(a, b float64) {
			if a < 0 != (b < 0) && !math.IsInf(a, 0) && !math.IsNaN(a) {
				at = append(at, lo+(hi-lo)*a/(a-b))
			}
		}
		for j := range u {
			cross(u[j], v[j])
			for k := range j {
				cross(u[j]-u[k], v[j]-v[k])
			}
		}
		slices.Sort(at)
		for j := 1; j < len(at); j++ {
			m := above((at[j-1] + at[j]) / 2)
			if min(m[0], m[1], m[2]) <= none {
				continue
			}
			total.Add(at[j] - at[j-1])
			for _, d := range at[j-1 : j+1] {
				e := above(d)
				height = max(height, min(e[0], e[1], e[2]))
				step = max(step, min(e[1], e[2]))
			}
		}
	}
	return total.Value(), height, step
}

package setout

import (
	"cmp"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
)

// Thin is where a pour to a target is not deep enough.
type Thin struct {
	Need   float64 // m, depth
	Area   float64 // m² in plan where the depth is less than Need, including dry places
	Dry    float64 // m² of that where the floor is above the target and nothing is poured
	Volume float64 // m³ of mix over Area
	Places []Place // the largest first
	Lines  []surface.Contour
}

// Place is a connected piece of floor where the depth is too little.
type Place struct {
	Room  string
	Area  float64     // m²
	Least float64     // m, min depth; negative above the target
	At    surface.Vec // of Least
}

// Shallow finds where a pour on f to target is less than need deep, m. Areas and volumes are
// exact on the triangles. Lines are the contours of that depth, for drawing. The error is a
// [*survey.Error]: a need or a target that is not a finite number.
func Shallow(f *surface.Floor, target surface.Target, need float64) (Thin, error) {
	if err := cmp.Or(check(depth("needed depth", need)), checkTarget(target)); err != nil {
		return Thin{}, err
	}
	f, err := f.Under(target)
	if err != nil {
		return Thin{}, err
	}
	if least, _ := f.Depths(target); least >= need {
		return Thin{Need: need}, nil
	}
	fill := f.FillTo(target, []float64{0, need})
	out := Thin{Need: need, Dry: fill.CutArea}
	var area, volume sum.Sum
	for _, b := range fill.Bands {
		if b.To <= need {
			area.Add(b.Area)
			if b.To > 0 {
				volume.Add(b.Volume)
			}
		}
	}
	out.Area, out.Volume = area.Value(), volume.Value()
	for _, r := range f.Regions {
		depths := r.TIN.Depths(target)
		out.Lines = append(out.Lines, r.TIN.Contours(depths, []float64{need})...)
		places := thinPlaces(r.TIN, depths, need)
		for i := range places {
			if len(f.Regions) > 1 {
				places[i].Room = r.Name
			}
		}
		out.Places = append(out.Places, places...)
	}
	slices.SortStableFunc(out.Places, func(p, q Place) int {
		return cmp.Or(cmp.Compare(q.Area, p.Area), before(p.At, q.At))
	})
	return out, nil
}

// thinPlaces joins the vertices of t with less depth than need along its edges. A triangle
// with some of them has all of them in one place.
func thinPlaces(t *surface.TIN, depth []float64, need float64) []Place {
	parent := make([]int32, len(depth))
	for v := range parent {
		parent[v] = int32(v)
	}
	root := func(v int32) int32 {
		for parent[v] != v {
			parent[v] = parent[parent[v]]
			v = parent[v]
		}
		return v
	}
	for h, v := range t.V {
		w := t.V[h-h%3+(h+1)%3]
		if depth[v] < need && depth[w] < need {
			a, b := root(v), root(w)
			parent[max(a, b)] = min(a, b)
		}
	}
	area := make([]sum.Sum, len(depth)) // by root
	for k := range t.Len() {
		v := t.V[3*k : 3*k+3]
		for _, u := range v {
			if depth[u] >= need {
				continue
			}
			ux, uy := t.X[v[1]]-t.X[v[0]], t.Y[v[1]]-t.Y[v[0]]
			wx, wy := t.X[v[2]]-t.X[v[0]], t.Y[v[2]]-t.Y[v[0]]
			area[root(u)].Add((ux*wy - uy*wx) / 2 * below(need-depth[v[0]], need-depth[v[1]], need-depth[v[2]]))
			break
		}
	}
	at := map[int32]*Place{}
	var order []int32
	for i, d := range depth {
		if d >= need {
			continue
		}
		r, here := root(int32(i)), t.At(int32(i))
		p := at[r]
		if p == nil {
			p = &Place{Area: area[r].Value(), Least: d, At: here}
			at[r], order = p, append(order, r)
		}
		if d < p.Least || d == p.Least && before(here, p.At) < 0 {
			p.Least, p.At = d, here
		}
	}
	var out []Place
	for _, r := range order {
		out = append(out, *at[r])
	}
	return out
}

// below returns the share of a triangle where a linear function is above zero, given its
// values a, b, c at the corners. The part that zero cuts off at one corner is a similar
// triangle: own derivation, from the ratio of sides along two edges.
func below(a, b, c float64) float64 {
	v := []float64{a, b, c}
	slices.Sort(v)
	lo, mid, hi := v[0], v[1], v[2]
	switch {
	case hi <= 0:
		return 0
	case lo >= 0:
		return 1
	case mid <= 0:
		return hi / (hi - mid) * (hi / (hi - lo))
	}
	return 1 - lo/(lo-hi)*(lo/(lo-mid))
}

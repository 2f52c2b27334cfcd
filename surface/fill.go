package surface

import (
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"pourplane/surface/internal/sum"
)

// Depths returns the depth of fill at each vertex of t, m: target minus surface. It is
// positive where fill is needed and negative where the floor is above the target.
func (t *TIN) Depths(target Plane) []float64 {
	base := target.Elevation(t.Origin)
	d := make([]float64, len(t.Z))
	for i, z := range t.Z {
		d[i] = base + float64(target.SlopeX*t.X[i]) + float64(target.SlopeY*t.Y[i]) - z
	}
	return d
}

// area returns the plan area of triangle k, m².
func (t *TIN) area(k int) float64 {
	a, b, c := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
	ux, uy := t.X[b]-t.X[a], t.Y[b]-t.Y[a]
	vx, vy := t.X[c]-t.X[a], t.Y[c]-t.Y[a]
	return (float64(ux*vy) - float64(uy*vx)) / 2
}

// Area returns the area in plan and the area along the slope, m².
func (t *TIN) Area() (plan, sloped float64) {
	var p, s sum.Sum
	for k := range t.Len() {
		a, b, c := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
		ux, uy, uz := t.X[b]-t.X[a], t.Y[b]-t.Y[a], t.Z[b]-t.Z[a]
		vx, vy, vz := t.X[c]-t.X[a], t.Y[c]-t.Y[a], t.Z[c]-t.Z[a]
		nz := float64(ux*vy) - float64(uy*vx)
		nx := float64(uy*vz) - float64(uz*vy)
		ny := float64(uz*vx) - float64(ux*vz)
		p.Add(nz / 2)
		s.Add(math.Sqrt(float64(nx*nx)+float64(ny*ny)+float64(nz*nz)) / 2)
	}
	return p.Value(), s.Value()
}

// above returns, for a triangle of the given plan area with depths a, b, c at
// its corners, the area where depth exceeds zero and the integral of depth over
// that area.
//
// Depth is linear over a triangle, so the integral is area × mean corner depth, exactly.
// Where zero crosses the triangle, the corner cut off is a similar triangle: own derivation,
// from the ratio of sides along two edges.
func above(area, a, b, c float64) (where, integral float64) {
	hi, mid, lo := a, b, c
	if hi < mid {
		hi, mid = mid, hi
	}
	if mid < lo {
		mid, lo = lo, mid
	}
	if hi < mid {
		hi, mid = mid, hi
	}
	switch {
	case lo >= 0:
		if hi == 0 {
			return 0, 0
		}
		return area, area * (hi + mid + lo) / 3
	case hi <= 0:
		return 0, 0
	case mid <= 0:
		where = area * (hi / (hi - mid)) * (hi / (hi - lo))
		return where, where * hi / 3
	}
	below := area * (lo / (lo - hi)) * (lo / (lo - mid))
	return area - below, area*(hi+mid+lo)/3 - below*lo/3
}

// FillCut returns the volume to fill below target and to cut above it over t,
// each in m³ and ≥ 0, never netted: a triangle that target crosses is split
// along the crossing. Terms are summed with compensation, so the result is good
// to a few units in the last place for any number of triangles.
func FillCut(t *TIN, target Plane) (fill, cut float64) {
	q := t.quantities(t.Depths(target), nil)
	return q.fill.Value(), q.cut.Value()
}

// Band is the floor between two depths.
type Band struct {
	From, To float64 // m
	Area     float64 // m², in plan
	Volume   float64 // m³: the integral of depth over the band, negative above the target
}

// Fill is the work to bring a floor to a target. Areas are in plan.
type Fill struct {
	Target              Plane
	Area                float64 // m²
	Sloped              float64 // m², along the old floor
	Fill, Cut           float64 // m³, each ≥ 0
	FillArea, CutArea   float64 // m² below and above the target
	Mean                float64 // m, depth over the whole area: fill minus cut, divided by area
	Least, Greatest     float64 // m, min and max depth; Least is negative where the floor is above the target
	LeastAt             Vec
	GreatestAt          Vec
	FittedArea          float64 // m² of triangles with a corner whose elevation was fitted at a wall
	FittedFill          float64 // m³ of fill over them
	Bands               []Band
	Regions             []Fill // one per region of the floor, if there are several
	Vertices, Triangles int
}

// quantities are running totals over triangles.
type quantities struct {
	area, fill, cut, fillArea, cutArea, fittedArea, fittedFill sum.Sum
	overArea, overFill                                         []sum.Sum // above each level
}

// chunk is how many triangles are summed together. Chunks are summed on all processors and
// added in order, so the result is the same on any machine.
const chunk = 1 << 15

func newQuantities(levels int) *quantities {
	return &quantities{overArea: make([]sum.Sum, levels), overFill: make([]sum.Sum, levels)}
}

func (t *TIN) quantities(depth, levels []float64) *quantities {
	parts := make([]*quantities, (t.Len()+chunk-1)/chunk)
	var next atomic.Int32
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(parts)) {
		wait.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= len(parts) {
					return
				}
				parts[i] = t.some(i*chunk, min((i+1)*chunk, t.Len()), depth, levels)
			}
		})
	}
	wait.Wait()
	q := newQuantities(len(levels))
	for _, p := range parts {
		q.merge(p)
	}
	return q
}

// some sums the triangles from first up to, not including, last.
func (t *TIN) some(first, last int, depth, levels []float64) *quantities {
	q := newQuantities(len(levels))
	for k := first; k < last; k++ {
		va, vb, vc := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
		a, b, c := depth[va], depth[vb], depth[vc]
		area := t.area(k)
		q.area.Add(area)
		w, v := above(area, a, b, c)
		q.fillArea.Add(w)
		q.fill.Add(v)
		if t.Fitted != nil && (t.Fitted[va] || t.Fitted[vb] || t.Fitted[vc]) {
			q.fittedArea.Add(area)
			q.fittedFill.Add(v)
		}
		w, v = above(area, -a, -b, -c)
		q.cutArea.Add(w)
		q.cut.Add(v)
		top := max(a, b, c)
		for i, l := range levels {
			if l > top {
				break
			}
			w, v := above(area, a-l, b-l, c-l)
			q.overArea[i].Add(w)
			q.overFill[i].Add(v)
		}
	}
	return q
}

func (q *quantities) merge(o *quantities) {
	q.area.Merge(o.area)
	q.fill.Merge(o.fill)
	q.cut.Merge(o.cut)
	q.fillArea.Merge(o.fillArea)
	q.cutArea.Merge(o.cutArea)
	q.fittedArea.Merge(o.fittedArea)
	q.fittedFill.Merge(o.fittedFill)
	for i := range q.overArea {
		q.overArea[i].Merge(o.overArea[i])
		q.overFill[i].Merge(o.overFill[i])
	}
}

// FillTo computes the fill and cut that bring f to target, with the share of each band between
// neighbouring levels (ascending, m of depth). Bands beyond the first and last level are
// added if depths reach that far, so the areas of all bands sum to the whole.
func (f *Floor) FillTo(target Plane, levels []float64) Fill {
	depths := make([][]float64, len(f.Regions))
	least, greatest := math.Inf(1), math.Inf(-1)
	for i, r := range f.Regions {
		depths[i] = r.TIN.Depths(target)
		least = min(least, slices.Min(depths[i]))
		greatest = max(greatest, slices.Max(depths[i]))
	}
	levels = slices.Clone(levels)
	if len(levels) == 0 || least < levels[0] {
		levels = slices.Insert(levels, 0, least)
	}
	if greatest > levels[len(levels)-1] {
		levels = append(levels, greatest)
	}
	if len(levels) == 1 {
		levels = append(levels, levels[0])
	}

	total := newQuantities(len(levels))
	var whole Fill
	for i, r := range f.Regions {
		q := r.TIN.quantities(depths[i], levels)
		part := q.fillResult(target, levels)
		part.extremes(r.TIN, depths[i])
		_, part.Sloped = r.TIN.Area()
		whole.Sloped += part.Sloped
		whole.Regions = append(whole.Regions, part)
		total.merge(q)
	}
	out := total.fillResult(target, levels)
	out.Sloped = whole.Sloped
	for i, p := range whole.Regions {
		out.Vertices += p.Vertices
		out.Triangles += p.Triangles
		if i == 0 || p.Least < out.Least || p.Least == out.Least && p.LeastAt.Less(out.LeastAt) {
			out.Least, out.LeastAt = p.Least, p.LeastAt
		}
		if i == 0 || p.Greatest > out.Greatest || p.Greatest == out.Greatest && p.GreatestAt.Less(out.GreatestAt) {
			out.Greatest, out.GreatestAt = p.Greatest, p.GreatestAt
		}
	}
	if len(whole.Regions) > 1 {
		out.Regions = whole.Regions
	}
	return out
}

func (q *quantities) fillResult(target Plane, levels []float64) Fill {
	f := Fill{
		Target: target,
		Area:   q.area.Value(),
		Fill:   q.fill.Value(), Cut: q.cut.Value(),
		FillArea: q.fillArea.Value(), CutArea: q.cutArea.Value(),
		FittedArea: q.fittedArea.Value(), FittedFill: q.fittedFill.Value(),
	}
	f.Mean = (f.Fill - f.Cut) / f.Area
	last := len(levels) - 1
	for i := range last {
		// The whole floor is above the lowest level, dead level parts included.
		lo, hi := levels[i], levels[i+1]
		areaLo, areaHi := q.overArea[i].Value(), q.overArea[i+1].Value()
		overLo, overHi := q.overFill[i].Value(), q.overFill[i+1].Value()
		if i == 0 {
			areaLo, overLo = f.Area, f.Fill-f.Cut-lo*f.Area
		}
		if i == last-1 {
			areaHi, overHi = 0, 0
		}
		f.Bands = append(f.Bands, Band{lo, hi, areaLo - areaHi, overLo - overHi + lo*areaLo - hi*areaHi})
	}
	return f
}

func (f *Fill) extremes(t *TIN, depth []float64) {
	f.Vertices, f.Triangles = len(t.Z), t.Len()
	for i, d := range depth {
		at := t.At(int32(i))
		if i == 0 || d < f.Least || d == f.Least && at.Less(f.LeastAt) {
			f.Least, f.LeastAt = d, at
		}
		if i == 0 || d > f.Greatest || d == f.Greatest && at.Less(f.GreatestAt) {
			f.Greatest, f.GreatestAt = d, at
		}
	}
}

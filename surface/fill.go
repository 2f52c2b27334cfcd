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
//
// Between the vertices depth is linear only if t belongs to a floor that [Floor.Under] returned
// for target; of a plane it always is.
func (t *TIN) Depths(target Target) []float64 {
	d := make([]float64, len(t.Z))
	plane, ok := target.(Plane)
	if !ok {
		top, up := t.tops(target)
		for i, z := range t.Z {
			d[i] = top[i] + up - z
		}
		return d
	}
	base := plane.Elevation(t.Origin)
	for i, z := range t.Z {
		d[i] = base + float64(plane.SlopeX*t.X[i]) + float64(plane.SlopeY*t.Y[i]) - z
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

// slopedArea returns the area of triangle k along the slope, m².
func (t *TIN) slopedArea(k int) float64 {
	a, b, c := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
	ux, uy, uz := t.X[b]-t.X[a], t.Y[b]-t.Y[a], t.Z[b]-t.Z[a]
	vx, vy, vz := t.X[c]-t.X[a], t.Y[c]-t.Y[a], t.Z[c]-t.Z[a]
	nz := float64(ux*vy) - float64(uy*vx)
	nx := float64(uy*vz) - float64(uz*vy)
	ny := float64(uz*vx) - float64(ux*vz)
	return math.Sqrt(float64(nx*nx)+float64(ny*ny)+float64(nz*nz)) / 2
}

// PlanArea returns the area in plan, m², the same as [TIN.Area].
func (t *TIN) PlanArea() float64 {
	parts := make([]sum.Sum, (t.Len()+chunk-1)/chunk)
	inChunks(t.Len(), func(lo, hi int) {
		var p sum.Sum
		for k := lo; k < hi; k++ {
			p.Add(t.area(k))
		}
		parts[lo/chunk] = p
	})
	var p sum.Sum
	for _, part := range parts {
		p.Merge(part)
	}
	return p.Value()
}

// Area returns the area in plan and the area along the slope, m².
func (t *TIN) Area() (plan, sloped float64) {
	parts := make([][2]sum.Sum, (t.Len()+chunk-1)/chunk)
	inChunks(t.Len(), func(lo, hi int) {
		var p, s sum.Sum
		for k := lo; k < hi; k++ {
			p.Add(t.area(k))
			s.Add(t.slopedArea(k))
		}
		parts[lo/chunk] = [2]sum.Sum{p, s}
	})
	var p, s sum.Sum
	for _, part := range parts {
		p.Merge(part[0])
		s.Merge(part[1])
	}
	return p.Value(), s.Value()
}

// corner is a vertex with its depth: what a sum over triangles reads of it, side by side in
// memory.
type corner struct{ x, y, depth float64 }

// corners returns the vertices of t with their depth to a target that does not bend within its
// triangles.
func (t *TIN) corners(target Target) []corner {
	c := make([]corner, len(t.Z))
	plane, ok := target.(Plane)
	if !ok {
		top, up := t.tops(target)
		inChunks(len(c), func(lo, hi int) {
			for i := lo; i < hi; i++ {
				c[i] = corner{t.X[i], t.Y[i], top[i] + up - t.Z[i]}
			}
		})
		return c
	}
	base := plane.Elevation(t.Origin)
	inChunks(len(c), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			x, y := t.X[i], t.Y[i]
			c[i] = corner{x, y, base + float64(plane.SlopeX*x) + float64(plane.SlopeY*y) - t.Z[i]}
		}
	})
	return c
}

// inChunks divides the numbers below n among the processors, chunk by chunk, and returns when do
// has worked through all of them.
func inChunks(n int, do func(lo, hi int)) {
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), (n+chunk-1)/chunk) {
		all.Go(func() {
			for {
				hi := int(next.Add(chunk))
				if hi-chunk >= n {
					return
				}
				do(hi-chunk, min(hi, n))
			}
		})
	}
	all.Wait()
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
func FillCut(t *TIN, target Target) (fill, cut float64) {
	q := t.quantities(t.corners(target), target, nil)
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
	Target            Target  // of a region its own
	Area              float64 // m²
	Sloped            float64 // m², along the old floor
	Fill, Cut         float64 // m³, each ≥ 0
	FillArea, CutArea float64 // m² below and above the target
	Mean              float64 // m, depth over the whole area: fill minus cut, divided by area
	Least, Greatest   float64 // m, min and max depth; Least is negative where the floor is above the target
	LeastAt           Vec
	GreatestAt        Vec
	FittedArea        float64 // m² of triangles with a corner whose elevation was fitted at a wall
	FittedFill        float64 // m³ of fill over them
	Bands             []Band
	Regions           []Fill // one per region of the floor, if there are several
	Triangles         int
}

// quantities are running totals over triangles.
type quantities struct {
	sloped                   sum.Sum
	level                    sum.Sum // area of triangles at the target itself
	fill, cut                sum.Sum
	fillArea, cutArea        sum.Sum
	fittedArea, fittedFill   sum.Sum
	overArea, overFill       []sum.Sum // above each level, of triangles that it crosses
	wholeArea, wholeIntegral []sum.Sum // of triangles wholly above this level and no higher one
}

// chunk is how many triangles are summed together. Chunks are summed on all processors and
// added in order, so the result is the same on any machine.
const chunk = 1 << 15

func newQuantities(levels int) *quantities {
	return &quantities{
		overArea: make([]sum.Sum, levels), overFill: make([]sum.Sum, levels),
		wholeArea: make([]sum.Sum, levels), wholeIntegral: make([]sum.Sum, levels),
	}
}

// quantities sums over t. target is that of the depths.
func (t *TIN) quantities(c []corner, target Target, levels []float64) *quantities {
	parts := make([]*quantities, (t.Len()+chunk-1)/chunk)
	plane, ok := target.(Plane)
	var rise []float64
	if !ok {
		rise = t.Z
	}
	inChunks(t.Len(), func(lo, hi int) { parts[lo/chunk] = t.some(lo, hi, c, plane, rise, levels) })
	q := newQuantities(len(levels))
	for _, p := range parts {
		q.merge(p)
	}
	return q
}

// some sums the triangles from first up to, not including, last. The floor rises as the plane
// target does, less the depth; for a target that is none by its elevations z.
func (t *TIN) some(first, last int, corners []corner, target Plane, z []float64, levels []float64) *quantities {
	q := newQuantities(len(levels))
	// Corners are copied in blocks: such a short loop waits for many places in memory at once.
	const block = 128
	var near [3 * block]corner
	whole := -1 // the last level that the triangle is wholly above
	for k := first; k < last; k++ {
		at := 3 * ((k - first) % block)
		if at == 0 {
			for i, v := range t.V[3*k : 3*min(k+block, last)] {
				near[i] = corners[v]
			}
		}
		p0, p1, p2 := &near[at], &near[at+1], &near[at+2]
		d0, d1, d2 := p0.depth, p1.depth, p2.depth
		lo, hi := min(d0, d1, d2), max(d0, d1, d2)
		ux, uy := p1.x-p0.x, p1.y-p0.y
		vx, vy := p2.x-p0.x, p2.y-p0.y
		uz := float64(target.SlopeX*ux) + float64(target.SlopeY*uy) - (d1 - d0)
		vz := float64(target.SlopeX*vx) + float64(target.SlopeY*vy) - (d2 - d0)
		if z != nil {
			v := t.V[3*k : 3*k+3 : 3*k+3]
			uz, vz = z[v[1]]-z[v[0]], z[v[2]]-z[v[0]]
		}
		nz := float64(ux*vy) - float64(uy*vx)
		nx := float64(uy*vz) - float64(uz*vy)
		ny := float64(uz*vx) - float64(ux*vz)
		q.sloped.Add(math.Sqrt(float64(nx*nx)+float64(ny*ny)+float64(nz*nz)) / 2)
		area := nz / 2
		integral := area * (d0 + d1 + d2) / 3
		fill := 0.0
		switch {
		case lo >= 0 && hi > 0:
			q.fillArea.Add(area)
			q.fill.Add(integral)
			fill = integral
		case hi <= 0 && lo < 0:
			q.cutArea.Add(area)
			q.cut.Add(-integral)
		case lo == hi:
			q.level.Add(area)
		default:
			where, v := above(area, d0, d1, d2)
			q.fillArea.Add(where)
			q.fill.Add(v)
			fill = v
			where, v = above(area, -d0, -d1, -d2)
			q.cutArea.Add(where)
			q.cut.Add(v)
		}
		if c := t.V[3*k : 3*k+3 : 3*k+3]; t.Fitted != nil && (t.Fitted[c[0]] || t.Fitted[c[1]] || t.Fitted[c[2]]) {
			q.fittedArea.Add(area)
			q.fittedFill.Add(fill)
		}
		// Triangles side by side are between the same levels.
		for whole >= 0 && !(levels[whole] <= lo && levels[whole] < hi) {
			whole--
		}
		for whole+1 < len(levels) && levels[whole+1] <= lo && levels[whole+1] < hi {
			whole++
		}
		for i := whole + 1; i < len(levels) && !(levels[i] >= hi); i++ {
			l := levels[i]
			where, v := above(area, d0-l, d1-l, d2-l)
			q.overArea[i].Add(where)
			q.overFill[i].Add(v)
		}
		if whole >= 0 {
			q.wholeArea[whole].Add(area)
			q.wholeIntegral[whole].Add(integral)
		}
	}
	return q
}

func (q *quantities) merge(o *quantities) {
	q.sloped.Merge(o.sloped)
	q.level.Merge(o.level)
	q.fill.Merge(o.fill)
	q.cut.Merge(o.cut)
	q.fillArea.Merge(o.fillArea)
	q.cutArea.Merge(o.cutArea)
	q.fittedArea.Merge(o.fittedArea)
	q.fittedFill.Merge(o.fittedFill)
	for i := range q.overArea {
		q.overArea[i].Merge(o.overArea[i])
		q.overFill[i].Merge(o.overFill[i])
		q.wholeArea[i].Merge(o.wholeArea[i])
		q.wholeIntegral[i].Merge(o.wholeIntegral[i])
	}
}

// above returns the area of the floor above each level, and the volume of fill above it.
func (q *quantities) above(levels []float64) (area, fill []float64) {
	area, fill = make([]float64, len(levels)), make([]float64, len(levels))
	var whole, integral sum.Sum
	for i := len(levels) - 1; i >= 0; i-- {
		whole.Merge(q.wholeArea[i])
		integral.Merge(q.wholeIntegral[i])
		a, v := q.overArea[i], q.overFill[i]
		a.Merge(whole)
		v.Merge(integral)
		v.Add(-levels[i] * whole.Value())
		area[i], fill[i] = a.Value(), v.Value()
	}
	return area, fill
}

// FillTo computes the fill and cut that bring f to target, with the share of each band between
// neighbouring levels (ascending, m of depth). Bands beyond the first and last level are
// added if depths reach that far, so the areas of all bands sum to the whole.
func (f *Floor) FillTo(target Target, levels []float64) Fill {
	f = f.under(target)
	corners := make([][]corner, len(f.Regions))
	least, greatest := math.Inf(1), math.Inf(-1)
	parts := make([]Fill, len(f.Regions))
	for i, r := range f.Regions {
		corners[i] = r.TIN.corners(target)
		parts[i].extremes(r.TIN, corners[i])
		least, greatest = min(least, parts[i].Least), max(greatest, parts[i].Greatest)
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
	for i, r := range f.Regions {
		q := r.TIN.quantities(corners[i], target, levels)
		q.fillResult(&parts[i], target.Within(r.Part), levels)
		total.merge(q)
	}
	var out Fill
	total.fillResult(&out, target, levels)
	for i, p := range parts {
		out.Triangles += p.Triangles
		if i == 0 || p.Least < out.Least || p.Least == out.Least && p.LeastAt.Less(out.LeastAt) {
			out.Least, out.LeastAt = p.Least, p.LeastAt
		}
		if i == 0 || p.Greatest > out.Greatest || p.Greatest == out.Greatest && p.GreatestAt.Less(out.GreatestAt) {
			out.Greatest, out.GreatestAt = p.Greatest, p.GreatestAt
		}
	}
	if len(parts) > 1 {
		out.Regions = parts
	}
	return out
}

// fillResult sets all of f but its extremes and regions.
func (q *quantities) fillResult(f *Fill, target Target, levels []float64) {
	var area sum.Sum
	for _, s := range []sum.Sum{q.fillArea, q.cutArea, q.level} {
		area.Merge(s)
	}
	f.Target = target
	f.Area, f.Sloped = area.Value(), q.sloped.Value()
	f.Fill, f.Cut = q.fill.Value(), q.cut.Value()
	f.FillArea, f.CutArea = q.fillArea.Value(), q.cutArea.Value()
	f.FittedArea, f.FittedFill = q.fittedArea.Value(), q.fittedFill.Value()
	f.Mean = (f.Fill - f.Cut) / f.Area
	overArea, overFill := q.above(levels)
	last := len(levels) - 1
	for i := range last {
		// The whole floor is above the lowest level, dead level parts included.
		lo, hi := levels[i], levels[i+1]
		areaLo, areaHi := overArea[i], overArea[i+1]
		overLo, overHi := overFill[i], overFill[i+1]
		if i == 0 {
			areaLo, overLo = f.Area, f.Fill-f.Cut-lo*f.Area
		}
		if i == last-1 {
			areaHi, overHi = 0, 0
		}
		f.Bands = append(f.Bands, Band{lo, hi, areaLo - areaHi, overLo - overHi + lo*areaLo - hi*areaHi})
	}
}

// extremes sets the min and max depth of f, where they are, and the number of triangles.
func (f *Fill) extremes(t *TIN, c []corner) {
	f.Triangles = t.Len()
	var least, greatest int32
	for i := range c {
		v, d := int32(i), c[i].depth
		if low := c[least].depth; d < low || d == low && t.At(v).Less(t.At(least)) {
			least = v
		}
		if high := c[greatest].depth; d > high || d == high && t.At(v).Less(t.At(greatest)) {
			greatest = v
		}
	}
	f.Least, f.LeastAt = c[least].depth, t.At(least)
	f.Greatest, f.GreatestAt = c[greatest].depth, t.At(greatest)
}

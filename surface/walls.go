package surface

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"pourplane/surface/internal/delaunay"
	"pourplane/surface/internal/plan"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// nearest is how many shots the elevation of a wall is first fitted to: on a usual grid, the
// two or three rows next to it.
const nearest = 12

// For a wall far away, more shots from the same few rows add no information, and thousands
// would have to be sorted per place. So shots from farther round are used, one per square of
// a coarse grid.
const (
	closest = 192  // max shots used one by one
	coarse  = 4000 // squares of the coarse grid
)

// fewPlaces are fitted sooner than another processor is at work.
const fewPlaces = 16

// fitWalls gives an elevation to every vertex that has none: that of a plane through the
// nearest shots in sight, weighted by distance. A plane through few shots, or through shots
// in a row, is uncertain beyond them. So shots are added until least squares makes the place
// as certain as a single shot, or there are no more. A slope that is still too uncertain at
// the place is not used, see [reach]. Walls between measured places that are long for the
// shots beside them first get places of their own.
func (s *regionMesh) fitWalls() error {
	var known []int32
	for v, z := range s.z {
		if !math.IsNaN(z) {
			known = append(known, int32(v))
		}
	}
	if err := s.enough(known); err != nil {
		return err
	}
	s.fitted = make([]bool, len(s.K))
	if len(known) == len(s.K) && s.b.floor.Hull {
		return nil
	}
	n := plan.NewNeighbours(s.K, known)
	wide := sync.OnceValue(func() *plan.Neighbours { return s.widely(known, n) }) // most floors never ask
	s.cutLongWalls(n, wide)
	s.fitted = append(s.fitted, make([]bool, len(s.K)-len(s.fitted))...)
	if len(known) == len(s.K) {
		return nil
	}
	var trend Plane
	if len(s.longWalls) > 0 {
		trend = s.trend(wide())
	}
	var places []int32
	for v, z := range s.z {
		if math.IsNaN(z) {
			places = append(places, int32(v))
			s.fitted[v] = true
		}
	}
	s.fits = make(map[int32]wallFit, len(places))
	for i, f := range s.fitPlaces(places, n, wide, trend) {
		v := places[i]
		s.fits[v], s.z[v] = f, f.z
	}
	return nil
}

// fitPlaces returns the elevations fitted at places, on all processors: no fit depends on
// another.
func (s *regionMesh) fitPlaces(places []int32, n *plan.Neighbours, wide func() *plan.Neighbours, trend Plane) []wallFit {
	fits := make([]wallFit, len(places))
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), 1+len(places)/fewPlaces) {
		all.Go(func() {
			n := n.Share()
			wide := sync.OnceValue(func() *plan.Neighbours {
				if w := wide(); !w.Same(n) {
					return w.Share()
				}
				return n
			})
			for i := next.Add(1) - 1; i < int64(len(places)); i = next.Add(1) - 1 {
				if v := places[i]; s.onLong[v] {
					fits[i] = s.fitOnLong(v, n, wide, trend)
				} else {
					fits[i] = s.fitAt(v, n, wide, Plane{})
				}
			}
		})
	}
	all.Wait()
	return fits
}

// widely returns a finder of at most about [coarse] known places: n itself, or one place per
// square of a coarse grid.
func (s *regionMesh) widely(known []int32, n *plan.Neighbours) *plan.Neighbours {
	if len(known) <= coarse {
		return n
	}
	var some []int32
	for _, i := range plan.Thin(coarse, len(known), func(i int) (Vec, bool) { return s.K[known[i]], true }) {
		some = append(some, known[i])
	}
	return plan.NewNeighbours(s.K, some)
}

// wallFit is an elevation fitted at a wall.
type wallFit struct {
	z        float64
	variance float64 // of the least-squares plane there, in units of the variance of one shot
	mean     float64 // variance of the mean of its shots, in the same unit
	slope    slopes
	shares   []Share // of the shots in it
}

// slopes is which slopes of the fitted plane were used in full.
type slopes uint8

const (
	both  slopes = iota
	along        // along the strip of the shots, but not (or not in full) across it
	less         // not even along it
)

// judgeWalls warns of walls whose elevation is too uncertain, and of how much floor depends
// on them. m is the region with its walls, in the triangles where in is true.
func (s *regionMesh) judgeWalls(m *delaunay.Mesh, in []bool) {
	var at [less + 1]Vec        // the least certain place
	var worst [less + 1]float64 // its variance
	for v, f := range s.fits {
		if k := s.K[v]; f.variance > worst[f.slope] || f.variance == worst[f.slope] && k.Less(at[f.slope]) {
			at[f.slope], worst[f.slope] = k, f.variance
		}
	}
	if worst[along]+worst[less] == 0 && worst[both] <= 4 {
		return
	}
	var whole sum.Sum
	var part [less + 1]sum.Sum
	for t, ok := range in {
		if !ok {
			continue
		}
		v := m.V[3*t : 3*t+3]
		o := s.K[v[0]]
		a, c := Vec{X: s.K[v[1]].X - o.X, Y: s.K[v[1]].Y - o.Y}, Vec{X: s.K[v[2]].X - o.X, Y: s.K[v[2]].Y - o.Y}
		twice := float64(a.X*c.Y) - float64(a.Y*c.X)
		whole.Add(twice)
		rests := both
		for _, u := range v {
			if s.fitted[u] {
				rests = max(rests, s.fits[u].slope)
			}
		}
		part[rests].Add(twice)
	}
	floor := "the floor"
	if len(s.b.regions) > 1 {
		floor = ringName(survey.Ring{Name: s.r.name})
	}
	warn := func(p Vec, format string, args ...any) {
		args = append(args, Spot{Floor: s.b.floor, At: s.b.Site(p)})
		s.b.ofWalls = append(s.b.ofWalls, survey.Notef(survey.Warning, survey.Pos{}, format, args...).About(survey.AboutDepth))
	}
	if worst[along] > 0 {
		warn(at[along], "%s of %s is beside shots in a strip too narrow to show a fall across it: no fall across was assumed there; shoot the floor at the walls, first at %s",
			share(part[along].Value(), whole.Value()), floor)
	}
	if worst[less] > 0 {
		warn(at[less], "%s of %s is too far from any shot to know its fall: it was taken as level with the nearest shots; shoot the floor there, first at %s",
			share(part[less].Value(), whole.Value()), floor)
	}
	if worst[both] > 4 {
		warn(at[both], "the wall at %[2]s is far from any shot: its elevation may be wrong by %.0[1]f times as much as a shot; shoot the floor there", math.Sqrt(worst[both]))
	}
}

// share writes a part of a whole as a percentage.
func share(part, whole float64) string {
	if p := 100 * part / whole; p >= 0.5 {
		return fmt.Sprintf("%.0f %%", p)
	}
	return "less than 1 %"
}

// enough checks that the known elevations determine a surface.
func (s *regionMesh) enough(known []int32) error {
	for i := 2; i < len(known); i++ {
		if plan.Orient(s.K[known[0]], s.K[known[1]], s.K[known[i]]) != 0 {
			return nil
		}
	}
	shots := 0
	for _, v := range known {
		if s.shot[v] >= 0 {
			shots++
		}
	}
	what := survey.Plural(shots, "shot")
	if n := len(known) - shots; n > 0 {
		what += " and " + survey.Plural(n, "other elevation")
	}
	if len(known) >= 3 {
		what += " that are all on one line"
	}
	hint := moreShots
	if s.b.floor.Hull {
		hint = shootMore // without an outline there are no corners to give one
	}
	at := survey.Pos{}
	if len(known) > 0 {
		at.File = s.at(known[0]).File
	}
	return &survey.Error{Pos: at, Element: ringName(survey.Ring{Name: s.r.name}), Found: what, Want: "at least 3 shots that are not on one line", Hint: hint, Ask: anotherOutline}
}

// moreShots is the hint for a region of an outline with too few elevations.
const (
	shootMore = "shoot 3 or more places in it, not all on one line"
	moreShots = shootMore + ", or give its corners an elevation in the outline"
)

// fitAt returns the elevation fitted at vertex v. Slopes that the shots do not determine are
// those of trend.
func (s *regionMesh) fitAt(v int32, n *plan.Neighbours, wide func() *plan.Neighbours, trend Plane) wallFit {
	p := s.K[v]
	at := s.b.Metres(p)
	var near []int32
	var hidden []bool
	for k := nearest; ; k *= 2 {
		if k > closest && n != wide() {
			n, k, near = wide(), 4*nearest, nil
		}
		if len(near) < min(k, len(n.Of)) {
			near = n.Around(p, 4*k) // enough for most places
			hidden = s.hidden(p, near, hidden[:0])
		}
		take := n.Alike(p, near, k)
		last := k >= len(n.Of) && n == wide()
		points, weight, of := s.weighed(p, near[:take], hidden, trend)
		if !last && scatterOf(points, weight).reach(at).variance() > 1 {
			continue
		}
		plane, r, moving := steadyPlane(at, points, weight)
		if !last && r.slope() != both {
			continue // the shots that determined the slope are not part of this floor
		}
		return wallFit{plane.Elevation(at) + trend.Elevation(at), r.variance(), r.mean, r.slope(), sharesIn(at, points, moving, of[:len(points)])}
	}
}

// weighed returns those of near that no wall hides from p, or all if fewer than three are in
// sight. Their elevations are minus that of trend, with tricube weights by distance. Source:
// Cleveland 1979, Journal of the American Statistical Association 74:829-836.
func (s *regionMesh) weighed(p Vec, near []int32, hidden []bool, trend Plane) (points []survey.Point, weight []float64, of []int32) {
	seen := 0
	for i := range near {
		if !hidden[i] {
			seen++
		}
	}
	points = make([]survey.Point, 0, len(near))
	weight = make([]float64, 0, len(near))
	of = make([]int32, 0, len(near))
	reach := 0.0
	for i, u := range near {
		if hidden[i] && seen >= 3 {
			continue
		}
		at := s.b.Metres(s.K[u])
		d := p.Distance(s.K[u])
		reach = max(reach, d)
		points = append(points, survey.Point{X: at.X, Y: at.Y, Z: s.z[u] - trend.Elevation(at)})
		weight = append(weight, d)
		of = append(of, u)
	}
	reach *= 1.1 // the farthest still counts a little
	for i, d := range weight {
		c := d / reach
		c = 1 - c*c*c
		weight[i] = c * c * c
	}
	return points, weight, of
}

// hidden appends to out whether an outer wall hides each of near from p. A column or another
// opening hides nothing: the floor round it is one floor, and places next to each other on
// its rim must not use different shots.
func (s *regionMesh) hidden(p Vec, near []int32, out []bool) []bool {
	return s.r.round.Hidden(p, s.K, near, out)
}

// steadyPlane fits a plane, for use at p, that ignores shots which clearly do not belong to
// it: at a drain, the foot of a step or a misread rod. It is an M-estimate with Tukey's
// biweight, by re-weighted least squares, from a wide bound that narrows to the unevenness
// of floors over a few shots (graduated non-convexity: Blake and Zisserman 1987, Visual
// Reconstruction). It changes smoothly with the shots, and an even floor whose slope they
// determine is fitted exactly, whatever else is in it. The second result is how well the
// remaining shots determine the plane at p, the third the weights with which its elevation changes
// when the points move up or down: those of the estimate's derivative, ψ' in place of ψ/r (Huber
// and Ronchetti, Robust Statistics), or the last ones where it has points so far off that they pull
// the other way.
func steadyPlane(p Vec, points []survey.Point, weight []float64) (Plane, reach, []float64) {
	const uneven = 0.030 // m: shots farther off have no weight
	steady, r := planeAt(p, points, weight)
	w, moving := make([]float64, len(points)), slices.Clone(weight)
	bound := uneven
	for _, q := range points {
		bound = max(bound, 1.5*math.Abs(q.Z-steady.Elevation(Vec{X: q.X, Y: q.Y})))
	}
	for final := 0; final < 6; bound = max(0.6*bound, uneven) {
		if bound == uneven {
			final++
		}
		total, against := 0.0, false
		for i, q := range points {
			d := (q.Z - steady.Elevation(Vec{X: q.X, Y: q.Y})) / bound
			near := max(0, 1-d*d)
			w[i] = weight[i] * math.Pow(near, 2)
			moving[i] = weight[i] * near * (1 - 5*d*d)
			against = against || moving[i] < 0
			total += w[i]
		}
		if total == 0 {
			break // no shot is near this plane
		}
		if against {
			copy(moving, w)
		}
		steady, r = planeAt(p, points, w)
	}
	return steady, r, moving
}

// sharesIn returns the weight of each point in the elevation at p of the plane that [planeAt] fits
// with the given weights: with x the vector from the mean of the places, w/Σw + w·(x·S⁻¹d),
// without the slopes that are not used.
func sharesIn(p Vec, points []survey.Point, weight []float64, of []int32) []Share {
	s := scatterOf(points, weight)
	r := s.reach(p)
	if r.slope() == both {
		r.used = [2]float64{1, 1}
	}
	var out []Share
	for i, q := range points {
		if weight[i] == 0 {
			continue
		}
		share := 1 / s.w
		for k, axis := range [2]Vec{r.axis, {X: -r.axis.Y, Y: r.axis.X}} {
			if r.used[k] > 0 {
				at := axis.X*(q.X-s.mean.X) + axis.Y*(q.Y-s.mean.Y)
				to := axis.X*(p.X-s.mean.X) + axis.Y*(p.Y-s.mean.Y)
				share += r.used[k] * at * to / r.spread[k]
			}
		}
		out = append(out, Share{of[i], weight[i] * share})
	}
	return out
}

// planeAt returns the least-squares plane through points, without the slopes that they do
// not determine at p. The centred normal equations are as good as a QR decomposition for the
// few shots near a wall place, and are solved thousands of times.
func planeAt(p Vec, points []survey.Point, weight []float64) (Plane, reach) {
	s := scatterOf(points, weight)
	r := s.reach(p)
	if r.slope() == both {
		plane, _ := quickPlane(points, weight)
		return plane, r
	}
	z, bx, by := s.moments(points, weight)
	plane := Plane{At: s.mean, Z: z}
	for i, axis := range [2]Vec{r.axis, {X: -r.axis.Y, Y: r.axis.X}} {
		if r.used[i] > 0 {
			slope := r.used[i] * (axis.X*bx + axis.Y*by) / r.spread[i]
			plane.SlopeX += slope * axis.X
			plane.SlopeY += slope * axis.Y
		}
	}
	return plane, r
}

// quickPlane is fitPlane by the centred normal equations; false for points in a row.
func quickPlane(points []survey.Point, weight []float64) (Plane, bool) {
	s := scatterOf(points, weight)
	if s.row() {
		return Plane{}, false
	}
	z, bx, by := s.moments(points, weight)
	det := s.xx*s.yy - s.xy*s.xy
	return Plane{At: s.mean, Z: z, SlopeX: (s.yy*bx - s.xy*by) / det, SlopeY: (s.xx*by - s.xy*bx) / det}, true
}

// moments returns the weighted mean elevation of points and the weighted sums of elevation
// times place about the mean.
func (s scatter) moments(points []survey.Point, weight []float64) (z, bx, by float64) {
	for i, q := range points {
		z += weight[i] * (q.Z - points[0].Z)
	}
	z /= s.w
	for i, q := range points {
		bx += weight[i] * (q.X - s.mean.X) * (q.Z - points[0].Z - z)
		by += weight[i] * (q.Y - s.mean.Y) * (q.Z - points[0].Z - z)
	}
	return points[0].Z + z, bx, by
}

// scatter is the weighted spread of places about their mean.
type scatter struct {
	w          float64
	mean       Vec
	xx, xy, yy float64
}

func scatterOf(points []survey.Point, weight []float64) scatter {
	var s scatter
	for i, q := range points {
		s.w += weight[i]
		s.mean.X += weight[i] * q.X
		s.mean.Y += weight[i] * q.Y
	}
	s.mean = Vec{X: s.mean.X / s.w, Y: s.mean.Y / s.w}
	for i, q := range points {
		dx, dy := q.X-s.mean.X, q.Y-s.mean.Y
		s.xx += weight[i] * dx * dx
		s.xy += weight[i] * dx * dy
		s.yy += weight[i] * dy * dy
	}
	return s
}

// row reports whether the places are (nearly) in a row: the narrow side of their spread is
// under a thousandth of the long one. It does not depend on the floor's direction.
func (s scatter) row() bool {
	sum, det := s.xx+s.yy, s.xx*s.yy-s.xy*s.xy
	return !(det > 1e-6*sum*sum)
}

// reach is how well a scatter of shots determines a plane at a place: along the principal
// axes of the scatter, the long one first.
type reach struct {
	axis   Vec        // the long axis, of unit length
	spread [2]float64 // weighted sum of squares along each axis, m²
	mean   float64    // variance of the mean elevation, in units of the variance of one shot of weight 1
	slopes float64    // what both slopes add to it at the place
	used   [2]float64 // fraction of the slope used along each axis, 0 to 1
}

// A slope that adds up to carried to the variance at a place is used in full. One that adds
// lost or more is not used. Between the two the share is linear. So the elevation never has
// more than about three times the standard deviation of a shot, and changes smoothly with
// the places of the shots. Four shots a quarter of a room's width from its walls add 4.9 at
// its corners.
const (
	carried = 9.0
	lost    = 36.0
)

// reach returns how well s determines a plane at p. The variance of a weighted least-squares
// plane there, in units of the variance of one point of weight 1, is 1/Σw + dᵀ S⁻¹ d, with S
// the weighted scatter of the places about their mean and d the vector from that mean to p.
// Source: Draper and Smith, Applied Regression Analysis, variance of a predicted mean.
//
// The slope across counts all of dᵀ S⁻¹ d. The slope along the long axis counts its own part
// plus what the part across would be for a scatter as long as it is wide: when both axes are
// alike it does not matter which is which.
func (s scatter) reach(p Vec) reach {
	half, diff := (s.xx+s.yy)/2, math.Hypot((s.xx-s.yy)/2, s.xy)
	sin, cos := math.Sincos(math.Atan2(2*s.xy, s.xx-s.yy) / 2)
	r := reach{axis: Vec{X: cos, Y: sin}, mean: 1 / s.w, spread: [2]float64{half + diff, 0}}
	if !s.row() {
		// From the determinant: half − diff would cancel.
		r.spread[1] = (s.xx*s.yy - s.xy*s.xy) / r.spread[0]
	}
	u := cos*(p.X-s.mean.X) + sin*(p.Y-s.mean.Y)
	v := cos*(p.Y-s.mean.Y) - sin*(p.X-s.mean.X)
	// In a row, or all at one place, a slope is not determined.
	q := [2]float64{math.Inf(1), math.Inf(1)}
	if r.spread[0] > 0 {
		q[0] = u*u/r.spread[0] + r.spread[1]/r.spread[0]*v*v/r.spread[0]
	}
	if r.spread[1] > 0 {
		q[1] = u*u/r.spread[0] + v*v/r.spread[1]
	}
	r.slopes = q[1]
	for i := range q {
		r.used[i] = min(max(0, (lost-q[i])/(lost-carried)), 1)
	}
	return r
}

// variance returns the variance of the least-squares plane, with both slopes used.
func (r reach) variance() float64 { return r.mean + r.slopes }

// slope returns which slopes are used in full.
func (r reach) slope() slopes {
	switch {
	case r.used[0] < 1:
		return less
	case r.used[1] < 1:
		return along
	}
	return both
}

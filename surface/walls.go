package surface

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pourplane/survey"
)

// nearest is how many shots a wall's elevation is first fitted to: the two or
// three rows next to it on a usual grid.
const nearest = 12

// Beyond some rows of close shots, more of them say no more about a wall that is
// far away, while thousands would have to be sorted for each place: then shots
// from farther round are asked, one for each square of a coarse grid.
const (
	closest = 192  // shots asked at most as they stand
	coarse  = 4000 // squares of the coarse grid
)

// fitWalls gives an elevation to every vertex that has none: that of a plane
// through the nearest shots in sight, weighted by distance. A plane through too
// few, or through shots that stand in a row, says little about a place beyond
// them; so shots are added until the place is known at least as well as a single
// shot would tell it, as least squares reckons it, or there are no more.
func (s *sheet) fitWalls() error {
	s.fitted = make([]bool, len(s.k))
	var known, unknown []int32
	for v, z := range s.z {
		if math.IsNaN(z) {
			unknown = append(unknown, int32(v))
		} else {
			known = append(known, int32(v))
		}
	}
	if err := s.enough(known); err != nil {
		return err
	}
	if len(unknown) == 0 {
		return nil
	}
	n := newNeighbours(s.k, known)
	wide := n
	if len(known) > coarse {
		var some []int32
		for _, i := range thin(len(known), func(i int) (Vec, bool) { return s.k[known[i]], true }) {
			some = append(some, known[i])
		}
		wide = newNeighbours(s.k, some)
	}
	fitted := make([]float64, len(unknown))
	far, farAt := 0.0, Vec{}
	for i, v := range unknown {
		z, spread := s.fitAt(v, n, wide)
		fitted[i] = z
		if at := s.k[v]; spread > far || spread == far && at.less(farAt) {
			far, farAt = spread, at
		}
	}
	for i, v := range unknown {
		s.z[v], s.fitted[v] = fitted[i], true
	}
	g := s.b.grid(farAt)
	switch {
	case math.IsInf(far, 1):
		s.b.note(survey.Warning, survey.Pos{}, "the shots in sight of the edge at %s stand in one row: the floor beside them was taken as level; shoot the floor there", s.b.words.Place(g))
	case far > 4:
		s.b.note(survey.Warning, survey.Pos{}, "the edge at %s is far from any shot: its fitted elevation is %.0f times less certain than a shot; shoot the floor there", s.b.words.Place(g), math.Sqrt(far))
	}
	return nil
}

// enough checks that the known elevations carry a surface.
func (s *sheet) enough(known []int32) error {
	for i := 2; i < len(known); i++ {
		if orient(s.k[known[0]], s.k[known[1]], s.k[known[i]]) != 0 {
			return nil
		}
	}
	what := fmt.Sprintf("%d shots", len(known))
	if len(known) >= 3 {
		what += " that all lie on one line"
	}
	at := survey.Pos{}
	if len(known) > 0 {
		at.File = s.at(known[0]).File
	}
	return &survey.Error{Pos: at, Element: ringName(survey.Ring{Name: s.r.name}), Found: what, Want: "at least 3 shots that do not lie on one line"}
}

// fitAt returns the fitted elevation at vertex v and the variance of that fit,
// in units of the variance of one shot.
func (s *sheet) fitAt(v int32, n, wide *neighbours) (z, spread float64) {
	p := s.k[v]
	var near []int32
	var hidden []bool
	for k := nearest; ; k *= 2 {
		if k > closest && n != wide {
			n, k, near = wide, 4*nearest, nil
		}
		if len(near) < min(k, len(n.of)) {
			near = n.around(p, 4*k) // most places want no more
			hidden = s.hidden(p, near, hidden[:0])
		}
		take := n.alike(p, near, k)
		last := n == wide && k >= len(n.of)
		points, weight := s.weighed(p, near[:take], hidden)
		spread = variance(s.b.metres(p), points, weight)
		if spread > 1 && !last {
			continue
		}
		plane, err := steadyPlane(points, weight)
		if err != nil {
			if !last {
				continue
			}
			// All that can be seen stands in a row: take the mean.
			var sw, sz float64
			for i := range points {
				sw += weight[i]
				sz += weight[i] * points[i].Z
			}
			return sz / sw, math.Inf(1)
		}
		return plane.Elevation(s.b.metres(p)), spread
	}
}

// weighed returns the shots among near that no wall hides from p, all if fewer
// than three are in sight, with tricube weights by distance. Source: Cleveland
// 1979, Journal of the American Statistical Association 74:829-836.
func (s *sheet) weighed(p Vec, near []int32, hidden []bool) ([]survey.Point, []float64) {
	seen := 0
	for i := range near {
		if !hidden[i] {
			seen++
		}
	}
	points := make([]survey.Point, 0, len(near))
	weight := make([]float64, 0, len(near))
	reach := 0.0
	for i, u := range near {
		if hidden[i] && seen >= 3 {
			continue
		}
		at := s.b.metres(s.k[u])
		d := p.Distance(s.k[u])
		reach = max(reach, d)
		points = append(points, survey.Point{X: at.X, Y: at.Y, Z: s.z[u]})
		weight = append(weight, d)
	}
	reach *= 1.1 // the farthest still counts a little
	for i, d := range weight {
		c := d / reach
		c = 1 - c*c*c
		weight[i] = c * c * c
	}
	return points, weight
}

// hidden appends to out whether an outer wall hides each of near from p. A column, or
// what else is an opening, hides nothing: the floor round it is one, and places side by
// side on its rim must not rest on different shots.
func (s *sheet) hidden(p Vec, near []int32, out []bool) []bool {
	for _, u := range near {
		out = append(out, s.r.round.blocked(p, s.k[u]))
	}
	return out
}

// steadyPlane fits a plane that shots which plainly do not belong to it, at a
// drain, the foot of a step or a misread rod, do not pull along. It is an
// M-estimate with Tukey's biweight, by re-weighted least squares from a wide
// bound that narrows to what floors are uneven by over a few shots (graduated
// non-convexity: Blake and Zisserman 1987, Visual Reconstruction). It changes
// smoothly with the shots, and an even floor is fitted exactly whatever stands in
// it.
func steadyPlane(points []survey.Point, weight []float64) (Plane, error) {
	const uneven = 0.030 // m: shots farther off than this count nothing
	plane, _, err := fitPlane(points, weight)
	if err != nil {
		return plane, err
	}
	steady := plane
	w := make([]float64, len(points))
	bound := uneven
	for _, p := range points {
		bound = max(bound, 1.5*math.Abs(p.Z-plane.Elevation(Vec{p.X, p.Y})))
	}
	for final := 0; final < 6; bound = max(0.6*bound, uneven) {
		if bound == uneven {
			final++
		}
		for i, p := range points {
			r := (p.Z - steady.Elevation(Vec{p.X, p.Y})) / bound
			w[i] = weight[i] * math.Pow(max(0, 1-r*r), 2)
		}
		again, ok := quickPlane(points, w)
		if !ok {
			return plane, nil // what is left stands in a row
		}
		steady = again
	}
	return steady, nil
}

// quickPlane is fitPlane by the centred normal equations: for the few near points
// of a wall they are as good as the QR decomposition, and thousands are wanted.
func quickPlane(points []survey.Point, weight []float64) (Plane, bool) {
	s := scatterOf(points, weight)
	if s.row() {
		return Plane{}, false
	}
	var xz, yz, z float64
	for i, q := range points {
		z += weight[i] * (q.Z - points[0].Z)
	}
	z /= s.w
	for i, q := range points {
		xz += weight[i] * (q.X - s.mean.X) * (q.Z - points[0].Z - z)
		yz += weight[i] * (q.Y - s.mean.Y) * (q.Z - points[0].Z - z)
	}
	det := s.xx*s.yy - s.xy*s.xy
	return Plane{At: s.mean, Z: points[0].Z + z, SlopeX: (s.yy*xz - s.xy*yz) / det, SlopeY: (s.xx*yz - s.xy*xz) / det}, true
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
	s.mean = Vec{s.mean.X / s.w, s.mean.Y / s.w}
	for i, q := range points {
		dx, dy := q.X-s.mean.X, q.Y-s.mean.Y
		s.xx += weight[i] * dx * dx
		s.xy += weight[i] * dx * dy
		s.yy += weight[i] * dy * dy
	}
	return s
}

// row reports whether the places stand (nearly) in a row: the narrow side of
// their spread is under a thousandth of the long one. It turns with the floor.
func (s scatter) row() bool {
	sum, det := s.xx+s.yy, s.xx*s.yy-s.xy*s.xy
	return !(det > 1e-6*sum*sum)
}

// variance returns that of a weighted least-squares plane at p, in units of the
// variance of one point of weight 1: 1/Σw + dᵀ S⁻¹ d with S the weighted scatter
// of the places about their mean and d the way from that mean to p. Infinite for
// points in a row. Source: Draper and Smith, Applied Regression Analysis, variance
// of a predicted mean.
func variance(p Vec, points []survey.Point, weight []float64) float64 {
	s := scatterOf(points, weight)
	if s.row() {
		return math.Inf(1)
	}
	dx, dy := p.X-s.mean.X, p.Y-s.mean.Y
	return 1/s.w + (dx*dx*s.yy-2*dx*dy*s.xy+dy*dy*s.xx)/(s.xx*s.yy-s.xy*s.xy)
}

// neighbours finds the known vertices nearest to a place, by square cells of
// about two each.
type neighbours struct {
	k      []Vec
	of     []int32 // sorted by cell
	start  []int32
	lo     Vec
	cell   float64
	nx, ny int

	found []neighbour // scratch
	near  []int32     // scratch
}

func newNeighbours(k []Vec, of []int32) *neighbours {
	n := &neighbours{k: k}
	lo, hi := k[of[0]], k[of[0]]
	for _, v := range of {
		lo = Vec{min(lo.X, k[v].X), min(lo.Y, k[v].Y)}
		hi = Vec{max(hi.X, k[v].X), max(hi.Y, k[v].Y)}
	}
	w, h := hi.X-lo.X, hi.Y-lo.Y
	n.lo = lo
	n.cell = max(math.Sqrt(2*w*h/float64(len(of))), max(w, h)/1e4, 1)
	n.nx, n.ny = int(w/n.cell)+1, int(h/n.cell)+1
	n.start = make([]int32, n.nx*n.ny+1)
	for _, v := range of {
		n.start[n.index(k[v])+1]++
	}
	for i := 1; i < len(n.start); i++ {
		n.start[i] += n.start[i-1]
	}
	n.of = make([]int32, len(of))
	fill := slices.Clone(n.start)
	for _, v := range of {
		c := n.index(k[v])
		n.of[fill[c]] = v
		fill[c]++
	}
	return n
}

// thin returns one of n places for each square of a grid of about [coarse]
// squares, the one nearest to its middle. at returns place i, false for one that
// does not count.
func thin(n int, at func(i int) (Vec, bool)) []int32 {
	lo, hi := Vec{math.Inf(1), math.Inf(1)}, Vec{math.Inf(-1), math.Inf(-1)}
	for i := range n {
		if p, ok := at(i); ok {
			lo, hi = Vec{min(lo.X, p.X), min(lo.Y, p.Y)}, Vec{max(hi.X, p.X), max(hi.Y, p.Y)}
		}
	}
	if lo.X > hi.X {
		return nil
	}
	w, h := hi.X-lo.X, hi.Y-lo.Y
	side := max(math.Sqrt(w*h/coarse), max(w, h)/coarse)
	nx := int(w/side) + 1
	best := make([]int32, nx*(int(h/side)+1))
	for i := range best {
		best[i] = -1
	}
	for i := range n {
		p, ok := at(i)
		if !ok {
			continue
		}
		cx, cy := math.Floor((p.X-lo.X)/side), math.Floor((p.Y-lo.Y)/side)
		middle := Vec{lo.X + (cx+0.5)*side, lo.Y + (cy+0.5)*side}
		b := &best[int(cy)*nx+int(cx)]
		if *b >= 0 {
			q, _ := at(int(*b))
			if d, e := middle.Distance(p), middle.Distance(q); d > e || d == e && !p.less(q) {
				continue
			}
		}
		*b = int32(i)
	}
	return slices.DeleteFunc(best, func(i int32) bool { return i < 0 })
}

func (n *neighbours) column(p Vec) (i, j int) {
	i = min(max(int((p.X-n.lo.X)/n.cell), 0), n.nx-1)
	j = min(max(int((p.Y-n.lo.Y)/n.cell), 0), n.ny-1)
	return i, j
}

func (n *neighbours) index(p Vec) int {
	i, j := n.column(p)
	return j*n.nx + i
}

// alike returns how many of near, sorted by distance, count as the k nearest: all
// those too that are as near as the last of them but for rounding. On a grid many
// are, and which of them counts must not hang on the last bit.
func (n *neighbours) alike(p Vec, near []int32, k int) int {
	take := min(k, len(near))
	for last := p.Distance(n.k[near[take-1]]); take < len(near) && p.Distance(n.k[near[take]]) <= last*(1+1e-9); {
		take++
	}
	return take
}

// around returns the k nearest to p, nearest first, and all others that are as
// near as the last of them. The result is good until the next call.
func (n *neighbours) around(p Vec, k int) []int32 {
	ci, cj := n.column(p)
	found := n.found[:0]
	for ring := 0; ring <= max(n.nx, n.ny); ring++ {
		for j := cj - ring; j <= cj+ring; j++ {
			if j < 0 || j >= n.ny {
				continue
			}
			step := 1
			if j != cj-ring && j != cj+ring {
				step = max(1, 2*ring)
			}
			for i := ci - ring; i <= ci+ring; i += step {
				if i < 0 || i >= n.nx {
					continue
				}
				c := j*n.nx + i
				for _, v := range n.of[n.start[c]:n.start[c+1]] {
					dx, dy := n.k[v].X-p.X, n.k[v].Y-p.Y
					found = append(found, neighbour{dx*dx + dy*dy, v})
				}
			}
		}
		// Nothing beyond this ring of cells is nearer than its inner edge. A place
		// outside the cells is farther from all of them, so this holds there too.
		reach := float64(ring) * n.cell
		within := 0
		for _, f := range found {
			if f.square*(1+1e-8) <= reach*reach {
				within++
			}
		}
		if within >= k {
			break
		}
	}
	n.found = found
	slices.SortFunc(found, func(a, b neighbour) int {
		if c := cmp.Compare(a.square, b.square); c != 0 {
			return c
		}
		if n.k[a.v].less(n.k[b.v]) {
			return -1
		}
		return 1
	})
	take := min(k, len(found))
	for last := found[take-1].square; take < len(found) && found[take].square <= last*(1+1e-8); {
		take++
	}
	n.near = n.near[:0]
	for _, f := range found[:take] {
		n.near = append(n.near, f.v)
	}
	return n.near
}

type neighbour struct {
	square float64 // of the distance
	v      int32
}

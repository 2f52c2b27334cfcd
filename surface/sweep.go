package surface

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"pourplane/surface/internal/sum"
)

// Sweep gives the fill of a floor up to a line that moves across it.
type Sweep struct {
	dir    Vec // of unit length
	origin Vec
	start  float64 // start of the floor along dir, from origin
	length float64

	swept  []swept // by lo
	widest float64 // max of hi − lo
	ends   []float64
	before []sum.Sum // fill of the triangles that end before ends[i]
}

// swept is a triangle along the direction of the sweep, its corners in order of place.
type swept struct {
	at, depth  [3]float64
	area, fill float64
}

// Sweep prepares a sweep of f in the direction dir, which must not be (0, 0), by a line
// square to dir.
func (f *Floor) Sweep(target Target, dir Vec) *Sweep {
	f = f.under(target)
	d := math.Hypot(dir.X, dir.Y)
	s := &Sweep{dir: Vec{X: dir.X / d, Y: dir.Y / d}, origin: f.Regions[0].TIN.Origin, start: math.Inf(1)}
	end := math.Inf(-1)
	for _, r := range f.Regions {
		t := r.TIN
		depth := t.Depths(target)
		at := make([]float64, len(t.X))
		for v := range at {
			at[v] = float64(s.dir.X*(t.X[v]+t.Origin.X-s.origin.X)) + float64(s.dir.Y*(t.Y[v]+t.Origin.Y-s.origin.Y))
			s.start, end = min(s.start, at[v]), max(end, at[v])
		}
		for k := range t.Len() {
			v := t.V[3*k : 3*k+3]
			i := [3]int32{v[0], v[1], v[2]}
			slices.SortFunc(i[:], func(a, b int32) int { return cmp.Or(cmp.Compare(at[a], at[b]), cmp.Compare(depth[a], depth[b])) })
			w := swept{area: t.area(k)}
			for j, u := range i {
				w.at[j], w.depth[j] = at[u], depth[u]
			}
			_, w.fill = above(w.area, w.depth[0], w.depth[1], w.depth[2])
			s.widest = max(s.widest, w.at[2]-w.at[0])
			s.swept = append(s.swept, w)
		}
	}
	s.length = end - s.start
	slices.SortStableFunc(s.swept, func(a, b swept) int { return cmp.Compare(a.at[2], b.at[2]) })
	var total sum.Sum
	s.before = append(s.before, total)
	for _, w := range s.swept {
		total.Add(w.fill)
		s.ends = append(s.ends, w.at[2])
		s.before = append(s.before, total)
	}
	slices.SortStableFunc(s.swept, func(a, b swept) int { return cmp.Compare(a.at[0], b.at[0]) })
	return s
}

// Length returns the length of the floor in the direction of the sweep, m.
func (s *Sweep) Length() float64 { return s.length }

// At returns a place on the line, on the grid of the survey, when the line is at a distance
// from the start of the floor, m.
func (s *Sweep) At(distance float64) Vec {
	d := s.start + distance
	return Vec{X: s.origin.X + float64(d*s.dir.X), Y: s.origin.Y + float64(d*s.dir.Y)}
}

// Of returns the distance of the line from the start of the floor when it reaches p, m.
func (s *Sweep) Of(p Vec) float64 {
	return float64(s.dir.X*(p.X-s.origin.X)) + float64(s.dir.Y*(p.Y-s.origin.Y)) - s.start
}

// Fill returns the fill below the target, m³, of the floor that the line has passed at a
// distance. It is exact: a triangle that the line crosses is split there.
func (s *Sweep) Fill(distance float64) float64 {
	d := s.start + distance
	total := s.before[sort.Search(len(s.ends), func(i int) bool { return s.ends[i] > d })]
	const margin = 1e-6 // m: more than rounding can remove
	first := sort.Search(len(s.swept), func(i int) bool { return s.swept[i].at[0] >= d-s.widest-margin })
	for _, w := range s.swept[first:] {
		if w.at[0] >= d {
			break
		}
		if w.at[2] > d {
			total.Add(w.upTo(d))
		}
	}
	return total.Value()
}

// upTo returns the fill of the part of w before d. One corner is alone on its side of the
// line; the triangle it cuts off has its sides in proportion.
func (w *swept) upTo(d float64) float64 {
	alone := func(a, b, c int) float64 {
		p, q := (d-w.at[a])/(w.at[b]-w.at[a]), (d-w.at[a])/(w.at[c]-w.at[a])
		_, v := above(w.area*p*q, w.depth[a], w.depth[a]+float64(p*(w.depth[b]-w.depth[a])), w.depth[a]+float64(q*(w.depth[c]-w.depth[a])))
		return v
	}
	if d <= w.at[1] {
		return alone(0, 1, 2)
	}
	return w.fill - alone(2, 0, 1)
}

// Find returns the min distance at which the line has passed a volume of fill, m³, to a
// picometre. If that is more than the floor takes, it is the whole length.
func (s *Sweep) Find(volume float64) float64 {
	lo, hi := 0.0, s.length
	for hi-lo > 1e-12*max(1, s.length) {
		m := (lo + hi) / 2
		if m <= lo || m >= hi {
			break
		}
		if s.Fill(m) >= volume {
			hi = m
		} else {
			lo = m
		}
	}
	return hi
}

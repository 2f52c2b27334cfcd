package blunder

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// field is how a floor undulates about a plane: a random field whose correlation decreases
// with distance, plus each shot's own part, which is roughness under the rod and reading
// error.
type field struct {
	reach float64 // m: distance at which the correlation is exp(-1/2)
	own   float64 // variance of a shot's own part, in units of sill
	sill  float64 // m²: variance of the correlated part
}

// correlation is Gaussian: floors are smooth at the scale of a rod's foot, and the rest is
// in the shot's own part.
func (f field) correlation(square float64) float64 {
	return math.Exp(-square / (2 * f.reach * f.reach))
}

const (
	// drift is the variance of level and slopes of the plane, in units of sill. It is so
	// wide that the data alone determine them (universal kriging as the limit of a wide
	// prior: Omre 1987, Mathematical Geology 19:25-39), so no plane has too few shots to
	// fit.
	drift = 1e4
	// ownReading is the min standard deviation of one reading, m: the reading of the rod and
	// how its foot sits on concrete.
	ownReading = 0.001
)

// window is a set of shots with the results of their covariance K, kept by the sweep
// operator (Goodnight 1979, The American Statistician 33:149-158). With B = K⁻¹ swept in for
// the shots that count and the others set aside, it has
//
//	of two that count      −B
//	of two set aside       their covariance given those that count
//	r of one that counts   (Bz)ᵢ: the shot is (Bz)ᵢ/Bᵢᵢ above the prediction from all others, with variance 1/Bᵢᵢ
//	r of one set aside     its height above the prediction from those that count
//
// the third by Dubrule 1983, Mathematical Geology 15:687-699. Covariances are in units of
// the sill.
type window struct {
	shots []*shot
	core  int // number of shots judged here, the first ones; the others surround them
	sill  float64
	a     []float64 // n × n, the lower half
	r     []float64
	out   []bool  // set aside
	near  [][]int // the shots nearest to each; see [window.roughness]
}

// newWindow returns the window of shots, all counting. With apart, each set-up has a
// separate level.
func newWindow(shots []*shot, core int, f field, apart bool) *window {
	n := len(shots)
	w := &window{shots: shots, core: core, sill: f.sill, a: make([]float64, n*n), r: make([]float64, n), out: make([]bool, n)}
	var mx, my, extent float64
	for i, s := range shots {
		mx += s.x / float64(n)
		my += s.y / float64(n)
		w.r[i] = s.z
	}
	for _, s := range shots {
		extent = max(extent, math.Abs(s.x-mx), math.Abs(s.y-my))
	}
	middle := slices.Sorted(slices.Values(w.r))[n/2]
	for i, s := range shots {
		w.r[i] -= middle
		w.out[i] = true
		ax, ay := (s.x-mx)/extent, (s.y-my)/extent
		for j, c := range shots[:i+1] {
			dx, dy := s.x-c.x, s.y-c.y
			v := f.correlation(dx*dx+dy*dy) + drift*(1+ax*(c.x-mx)/extent+ay*(c.y-my)/extent)
			if apart && s.setup == c.setup {
				v += drift
			}
			if i == j {
				v += f.own
			}
			w.a[i*n+j] = v
		}
	}
	for i := range n {
		w.sweep(i)
	}
	return w
}

// at returns the entry for shots i and j.
func (w *window) at(i, j int) float64 { return w.a[max(i, j)*len(w.shots)+min(i, j)] }

// sweep makes shot k count if it was set aside, and sets it aside if it counted.
func (w *window) sweep(k int) {
	n := len(w.shots)
	row := make([]float64, n)
	for j := range n {
		row[j] = w.at(k, j)
	}
	p, r := row[k], w.r[k]
	for i := range n {
		if c := row[i] / p; c != 0 {
			floats.AddScaled(w.a[i*n:i*n+i+1], -c, row[:i+1])
			w.r[i] -= c * r
		}
	}
	if !w.out[k] {
		p = -p // a shot set aside takes its weights with the opposite sign
	}
	for j, v := range row {
		w.a[max(j, k)*n+min(j, k)] = v / p
	}
	w.a[k*n+k] = -1 / row[k]
	w.r[k] = r / p
	w.out[k] = !w.out[k]
}

// copy returns a copy of w for setting shots aside.
func (w *window) copy() *window {
	c := *w
	c.a, c.r, c.out = slices.Clone(w.a), slices.Clone(w.r), slices.Clone(w.out)
	return &c
}

// misfit returns the variance of the shots of w, in units of the variance the field
// predicts: zᵀBz over its degrees of freedom.
func (w *window) misfit() float64 {
	var sum float64
	for i, s := range w.shots {
		sum += w.r[i] * (s.z - w.shots[0].z) / w.sill
	}
	return sum / float64(max(1, len(w.shots)-3))
}

// departure is the height of a shot above the prediction from others, and its standard
// deviation, m.
type departure struct{ off, sd float64 }

func (d departure) standard() float64 { return d.off / d.sd }

// departure returns the departure of shot i from all others that count.
func (w *window) departure(i int) departure {
	v := w.at(i, i)
	if w.out[i] {
		return departure{w.r[i], w.sd(v)}
	}
	return departure{-w.r[i] / v, w.sd(-1 / v)}
}

// sd returns the standard deviation of a prediction with a given variance, in units of the
// sill.
func (w *window) sd(variance float64) float64 {
	return math.Sqrt(w.sill*variance + ownReading*ownReading)
}

// roughness returns how much rougher the floor round shot i, without i, is than elsewhere:
// the median of the standardised departures of the nearest shots, at least 1. Round a hump
// or a drain nothing is predicted well, and that does not make a blunder. With neighbours
// that obey the field the median exceeds 1 at one place in twelve.
func (w *window) roughness(i int) float64 {
	if w.near == nil {
		w.near = nearest(w.shots)
	}
	var t []float64
	for _, j := range w.near[i] {
		if w.out[j] {
			continue
		}
		r, b := w.r[j], -w.at(j, j)
		if !w.out[i] {
			c := w.at(i, j) / w.at(i, i)
			r -= c * w.r[i]
			b += c * w.at(i, j)
		}
		t = append(t, math.Abs(r/b)/w.sd(1/b))
	}
	if len(t) == 0 {
		return 1
	}
	slices.Sort(t)
	return max(1, t[(len(t)-1)/2])
}

// nearest returns the eight nearest shots of each shot.
func nearest(shots []*shot) [][]int {
	type other struct {
		square float64
		j      int
	}
	const of = 9 // the shot itself is the first
	out := make([][]int, len(shots))
	for i, s := range shots {
		near := make([]other, 0, of+1)
		for j, t := range shots {
			o := other{(t.x-s.x)*(t.x-s.x) + (t.y-s.y)*(t.y-s.y), j}
			if len(near) == of && o.square > near[of-1].square {
				continue
			}
			k, _ := slices.BinarySearchFunc(near, o, func(a, b other) int {
				return cmp.Or(cmp.Compare(a.square, b.square), byPlace(shots[a.j], shots[b.j]))
			})
			near = slices.Insert(near, k, o)
			near = near[:min(len(near), of)]
		}
		for _, o := range near[1:] {
			out[i] = append(out[i], o.j)
		}
	}
	return out
}

// Fields to try: correlation over one to six spacings of the shots, and own parts from a
// smooth floor read well to a rough one.
var (
	reaches = []float64{0.8, 1.2, 1.8, 2.7, 4, 6}
	owns    = []float64{0.01, 0.04, 0.15, 0.6, 2.4}
)

// fit returns the field, of those to try, that predicts each shot best from the others. It
// climbs from the middle of the table to the best neighbour. The score is that of normal
// predictions, the mean logarithm of their density, without the worst tenth, so that a few
// bad shots and their neighbours do not spoil it.
func fit(sample []part, spacing float64) field {
	for i := range sample {
		sample[i] = tame(sample[i])
	}
	type cell struct{ reach, own int }
	scores := map[cell]float64{}
	fields := map[cell]field{}
	score := func(c cell) float64 {
		if s, ok := scores[c]; ok {
			return s
		}
		fields[c], scores[c] = try(sample, field{reaches[c.reach] * spacing, owns[c.own], 1})
		return scores[c]
	}
	best := cell{len(reaches) / 2, len(owns) / 2}
	for {
		at := best
		for dr := -1; dr <= 1; dr++ {
			for do := -1; do <= 1; do++ {
				c := cell{at.reach + dr, at.own + do}
				if c.reach >= 0 && c.reach < len(reaches) && c.own >= 0 && c.own < len(owns) && score(c) < score(best) {
					best = c
				}
			}
		}
		if best == at {
			return fields[best]
		}
	}
}

// try returns f with the sill that suits the shots, and how badly it predicts them.
func try(sample []part, f field) (field, float64) {
	var square []float64
	var spread float64
	for _, p := range sample {
		w := newWindow(p.shots, p.core, f, false)
		for i := range w.core {
			b := -w.at(i, i)
			square = append(square, w.r[i]*w.r[i]/b)
			spread -= math.Log(b)
		}
	}
	slices.Sort(square)
	spread /= float64(len(square))
	var mean float64
	few := square[:len(square)*9/10]
	for _, s := range few {
		mean += s / float64(len(few))
	}
	// The smaller nine tenths of chi-square with one degree have the mean 0.623.
	f.sill = mean/0.623 + ownReading*ownReading*1e-3 // never zero, on a floor like glass
	return f, spread + math.Log(f.sill)
}

// tame returns p without the shots far from the median of the nearest ones: those would
// spoil every prediction, not only their own.
func tame(p part) part {
	const far = 6 // times the median
	off := make([]float64, len(p.shots))
	for i, near := range nearest(p.shots) {
		var z []float64
		for _, j := range near {
			z = append(z, p.shots[j].z)
		}
		slices.Sort(z)
		off[i] = math.Abs(p.shots[i].z - z[len(z)/2])
	}
	bound := max(far*slices.Sorted(slices.Values(off))[len(off)/2], least)
	var out part
	for i, s := range p.shots {
		if off[i] > bound {
			continue
		}
		out.shots = append(out.shots, s)
		if i < p.core {
			out.core++
		}
	}
	if out.core == 0 {
		return p
	}
	return out
}

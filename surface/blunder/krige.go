package blunder

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// field says how a floor undulates about a plane: a random field whose
// correlation falls off with distance, and a part that is each shot's own, which
// is roughness under the rod and reading error.
type field struct {
	reach float64 // m: over this the correlation falls to exp(-1/2)
	own   float64 // variance of a shot's own part, in units of sill
	sill  float64 // m²: variance of the correlated part
}

// correlation is the Gaussian one: floors are smooth at the scale of a rod's
// foot, and what is not is in the shot's own part.
func (f field) correlation(square float64) float64 {
	return math.Exp(-square / (2 * f.reach * f.reach))
}

const (
	// drift is the variance of level and slopes of the plane, in units of sill:
	// so wide that data alone settle them (universal kriging as the limit of a
	// wide prior: Omre 1987, Mathematical Geology 19:25-39), and there is no plane
	// too short of shots to fit.
	drift = 1e4
	// ownReading is the least standard deviation of one reading, m: what a rod is
	// read to and how a foot stands on concrete.
	ownReading = 0.001
)

// window is a set of shots with the precision matrix of their elevations, from
// which every prediction that leaves some of them out follows. For covariance K
// of the shots, plane included, and B = K⁻¹, shot i stands (Bz)ᵢ/Bᵢᵢ above what all
// others predict, with variance 1/Bᵢᵢ. Source: Dubrule 1983, Mathematical Geology
// 15:687-699.
type window struct {
	shots []*shot
	core  int // the first so many are judged here, the others are their surroundings
	sill  float64
	b     []float64 // n × n, in units of 1/sill
	r     []float64 // b·z
	out   []bool    // set aside: b and r are without them
	near  [][]int   // the shots nearest to each; see [window.roughness]
}

// newWindow works out the precision of shots. With apart, each set-up has a
// level of its own.
func newWindow(shots []*shot, core int, f field, apart bool) *window {
	n := len(shots)
	w := &window{shots: shots, core: core, sill: f.sill, b: make([]float64, n*n), r: make([]float64, n), out: make([]bool, n)}
	var mx, my, extent float64
	for _, s := range shots {
		mx += s.x / float64(n)
		my += s.y / float64(n)
	}
	for _, s := range shots {
		extent = max(extent, math.Abs(s.x-mx), math.Abs(s.y-my))
	}
	k := mat.NewSymDense(n, nil)
	for i, a := range shots {
		ax, ay := (a.x-mx)/extent, (a.y-my)/extent
		for j, c := range shots[:i+1] {
			dx, dy := a.x-c.x, a.y-c.y
			v := f.correlation(dx*dx+dy*dy) + drift*(1+ax*(c.x-mx)/extent+ay*(c.y-my)/extent)
			if apart && a.setup == c.setup {
				v += drift
			}
			if i == j {
				v += f.own
			}
			k.SetSym(i, j, v)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(k) {
		panic("pourplane: the covariance of shots at places of their own is not positive definite")
	}
	if err := chol.InverseTo(k); err != nil {
		panic("pourplane: " + err.Error())
	}
	for i := range n {
		for j := range n {
			w.b[i*n+j] = k.At(i, j)
		}
	}
	w.level()
	return w
}

// level takes the elevations of the shots anew; none may be set aside.
func (w *window) level() {
	n := len(w.shots)
	z := make([]float64, n)
	for i, s := range w.shots {
		z[i] = s.z
	}
	slices.Sort(z)
	middle := z[n/2]
	for i := range n {
		w.r[i] = 0
		for j, s := range w.shots {
			w.r[i] += w.b[i*n+j] * (s.z - middle)
		}
	}
}

// departure is how far a shot stands above what others predict, and the standard
// deviation of that, m.
type departure struct{ off, sd float64 }

func (d departure) standard() float64 { return d.off / d.sd }

// departure returns that of shot i from all others that are not set aside.
func (w *window) departure(i int) departure {
	b := w.b[i*len(w.shots)+i]
	return departure{w.r[i] / b, w.sd(1 / b)}
}

// sd returns the standard deviation of a prediction of the variance given, in
// units of the sill.
func (w *window) sd(variance float64) float64 {
	return math.Sqrt(w.sill*variance + ownReading*ownReading)
}

// roughness returns by how much the floor round shot i, which takes no part in
// it, is rougher than elsewhere: the middle of the standard departures of the
// nearest shots, and 1 where it is less. Round a hump or a drain nothing is
// predicted well, and nothing there is a blunder for it. Neighbours that obey the
// field lie beyond 1 in the middle on one place in twelve.
func (w *window) roughness(i int) float64 {
	if w.near == nil {
		w.near = nearest(w.shots)
	}
	n := len(w.shots)
	b := w.b[i*n : i*n+n]
	var t []float64
	for _, j := range w.near[i] {
		if w.out[j] {
			continue
		}
		r, v := w.r[j], w.b[j*n+j]
		if !w.out[i] {
			r -= b[j] / b[i] * w.r[i]
			v -= b[j] / b[i] * b[j]
		}
		t = append(t, math.Abs(r/v)/w.sd(1/v))
	}
	if len(t) == 0 {
		return 1
	}
	slices.Sort(t)
	return max(1, t[(len(t)-1)/2])
}

// nearest returns the eight shots nearest to each.
func nearest(shots []*shot) [][]int {
	type other struct {
		square float64
		j      int
	}
	out := make([][]int, len(shots))
	all := make([]other, len(shots))
	for i, s := range shots {
		for j, t := range shots {
			all[j] = other{(t.x-s.x)*(t.x-s.x) + (t.y-s.y)*(t.y-s.y), j}
		}
		slices.SortFunc(all, func(a, b other) int {
			return cmp.Or(cmp.Compare(a.square, b.square), byPlace(shots[a.j], shots[b.j]))
		})
		for _, o := range all[1:min(9, len(all))] {
			out[i] = append(out[i], o.j)
		}
	}
	return out
}

// setAside leaves shot i out of what the others are predicted from: one step of elimination takes its row
// and column out of the precision.
func (w *window) setAside(i int) {
	n := len(w.shots)
	row := slices.Clone(w.b[i*n : i*n+n])
	r := w.r[i]
	for j, c := range row {
		if c /= row[i]; c != 0 {
			for k, v := range row {
				w.b[j*n+k] -= c * v
			}
			w.r[j] -= c * r
		}
	}
	w.out[i] = true
}

// copy returns w for setting shots aside.
func (w *window) copy() *window {
	c := *w
	c.b, c.r, c.out = slices.Clone(w.b), slices.Clone(w.r), slices.Clone(w.out)
	return &c
}

// together returns the departures of some shots from what the rest predicts. None
// may be set aside.
func (w *window) together(some []int) []departure {
	m, n := len(some), len(w.shots)
	if m == 0 {
		return nil
	}
	b := mat.NewSymDense(m, nil)
	r := mat.NewVecDense(m, nil)
	for i, u := range some {
		r.SetVec(i, w.r[u])
		for j, v := range some[:i+1] {
			b.SetSym(i, j, w.b[u*n+v])
		}
	}
	var chol mat.Cholesky
	var off mat.VecDense
	var cov mat.SymDense
	if !chol.Factorize(b) || chol.SolveVecTo(&off, r) != nil || chol.InverseTo(&cov) != nil {
		panic("pourplane: a part of a positive definite matrix that is not")
	}
	out := make([]departure, m)
	for i := range out {
		out[i] = departure{off.AtVec(i), w.sd(cov.At(i, i))}
	}
	return out
}

// Fields that are tried: correlation over one to six spacings of the shots, and
// own parts from a smooth floor read well to a rough one.
var (
	reaches = []float64{0.8, 1.2, 1.8, 2.7, 4, 6}
	owns    = []float64{0.01, 0.04, 0.15, 0.6, 2.4}
)

// fit returns the field of those tried that predicts each shot best from the
// others, by climbing from the middle of the table to its best neighbour. The
// score is that of normal predictions, the mean logarithm of their density, with
// the worst tenth left out of it, so that a few bad shots and their neighbours do
// not spoil it.
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
			b := w.b[i*len(p.shots)+i]
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
	f.sill = mean/0.623 + ownReading*ownReading*1e-3 // never nothing, on a floor like glass
	return f, spread + math.Log(f.sill)
}

// tame returns p less the shots that stand far from the middle of the nearest
// ones: those would spoil every prediction, not only their own.
func tame(p part) part {
	const far = 6 // times the usual
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
	return out
}

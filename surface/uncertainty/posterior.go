package uncertainty

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// candidate is a field that may describe a floor, without its standard deviation.
type candidate struct {
	smooth Smoothness
	reach  float64 // m
	own    float64 // variance of a shot's own part with its reading error, in units of that of the field
}

// candidates returns the fields to weigh for shots a spacing apart over an extent, both in m.
func candidates(spacing, extent float64) []candidate {
	var out []candidate
	longest := max(2*extent, 3*spacing)
	const steps = 6
	for s := Rugged; s <= Smooth; s++ {
		for i := range steps {
			reach := 0.6 * spacing * math.Pow(longest/(0.6*spacing), float64(i)/(steps-1))
			for _, own := range owns {
				out = append(out, candidate{s, reach, own})
			}
		}
	}
	return out
}

var owns = []float64{1e-5, 1e-4, 1e-3, 1e-2, 0.1, 1, 10}

// usualFloor is what is known of a floor before its shots: that its elevations differ from a plane
// by usualSD, m, worth as much as usualWorth shots. It counts where a region has few. Own choice.
const (
	usualSD    = 0.003
	usualWorth = 3.0
)

// weighed is a candidate with what the shots say of it.
type weighed struct {
	candidate
	weight  float64 // probability, given the shots
	sill    float64 // m²: the most likely variance of the field
	freedom float64 // degrees of freedom of sill
}

func (w weighed) field(reading float64) Field {
	own := w.own*w.sill - reading*reading
	return Field{Smooth: w.smooth, Reach: w.reach, SD: math.Sqrt(w.sill), Own: math.Sqrt(max(0, own))}
}

// correlation is what candidates have in common that differ in a shot's own part only.
type correlation struct {
	smooth Smoothness
	reach  float64 // m
}

// shape is a piece under a correlation.
type shape struct {
	among *mat.SymDense // correlations of the shots
	about float64       // mean variance of the shots about a least-squares plane, in units of the sill
	once  sync.Once
	to    *mat.VecDense // m²: correlations of the shots with the integral over the cells
	drift [3]float64    // m², m³: integrals of the functions of the plane over the cells
	own   float64       // m⁴: variance of the integral, in units of the sill
}

// under returns p under a correlation.
func (p *piece) under(c correlation) *shape {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	if s := p.shapes[c]; s != nil {
		return s
	}
	s := &shape{among: mat.NewSymDense(len(p.x), nil)}
	for i := range p.x {
		for j := i; j < len(p.x); j++ {
			s.among.SetSym(i, j, matern(c.smooth, p.apart[i*len(p.x)+j]/c.reach))
		}
	}
	s.about = aboutPlane(s.among, p.plane())
	if p.shapes == nil {
		p.shapes = map[correlation]*shape{}
	}
	p.shapes[c] = s
	return s
}

// plane returns the functions of a plane at the shots: 1, x and y.
func (p *piece) plane() *mat.Dense {
	x := mat.NewDense(len(p.x), 3, nil)
	for i := range p.x {
		x.SetRow(i, []float64{1, p.x[i], p.y[i]})
	}
	return x
}

// kriging is a piece under one candidate: the Cholesky factor of the correlations of its shots, and
// the plane by generalised least squares. Universal kriging: Cressie 1993, Statistics for Spatial
// Data, 3.4.
type kriging struct {
	p     *piece
	c     candidate
	shape *shape
	chol  mat.Cholesky
	kx    *mat.Dense    // K⁻¹X
	ky    *mat.VecDense // K⁻¹(z − Xβ)
	gram  mat.Cholesky  // XᵀK⁻¹X
	beta  [3]float64
	log   float64 // −½ log|K| − ½ log|XᵀK⁻¹X|
	misf  float64 // (z − Xβ)ᵀK⁻¹(z − Xβ)
	about float64 // mean variance of the shots about a least-squares plane, in units of the sill

	once sync.Once
	all  block // of the integral over the cells
}

// krige returns p under c; false if the shots are too close to each other or to one line for it.
func (p *piece) krige(c candidate) (*kriging, bool) {
	n := len(p.x)
	k := &kriging{p: p, c: c, shape: p.under(correlation{c.smooth, c.reach})}
	sym := mat.NewSymDense(n, nil)
	sym.CopySym(k.shape.among)
	for i := range n {
		sym.SetSym(i, i, sym.At(i, i)+c.own)
	}
	if !k.chol.Factorize(sym) {
		return nil, false
	}
	x := p.plane()
	z := mat.NewVecDense(n, slices.Clone(p.z))
	k.kx = mat.NewDense(n, 3, nil)
	if k.chol.SolveTo(k.kx, x) != nil {
		return nil, false
	}
	var gram mat.Dense
	gram.Mul(x.T(), k.kx)
	g := mat.NewSymDense(3, nil)
	for i := range 3 {
		for j := i; j < 3; j++ {
			g.SetSym(i, j, (gram.At(i, j)+gram.At(j, i))/2)
		}
	}
	if !k.gram.Factorize(g) {
		return nil, false
	}
	var xz, beta mat.VecDense
	xz.MulVec(k.kx.T(), z)
	if k.gram.SolveVecTo(&beta, &xz) != nil {
		return nil, false
	}
	for i := range k.beta {
		k.beta[i] = beta.AtVec(i)
	}
	for i := range n {
		z.SetVec(i, p.z[i]-k.plane(p.x[i], p.y[i]))
	}
	k.ky = mat.NewVecDense(n, nil)
	if k.chol.SolveVecTo(k.ky, z) != nil {
		return nil, false
	}
	k.misf = mat.Dot(z, k.ky)
	k.log = -k.chol.LogDet()/2 - k.gram.LogDet()/2
	k.about = k.shape.about + c.own
	return k, true
}

func (k *kriging) plane(x, y float64) float64 {
	return k.beta[0] + k.beta[1]*x + k.beta[2]*y
}

// aboutPlane returns the mean variance about the least-squares plane of values with covariance c at
// places x: tr((I − H)C)/(n − 3).
func aboutPlane(c *mat.SymDense, x *mat.Dense) float64 {
	n, _ := x.Dims()
	var xx mat.Dense
	xx.Mul(x.T(), x)
	var inverse, cx, xcx, h mat.Dense
	if inverse.Inverse(&xx) != nil {
		return mat.Trace(c) / float64(n)
	}
	cx.Mul(c, x)
	xcx.Mul(x.T(), &cx)
	h.Mul(&inverse, &xcx)
	return (mat.Trace(c) - mat.Trace(&h)) / float64(n-3)
}

// weigh returns the candidates with their probabilities given the shots of pieces, those that
// matter, and the pieces under each. The prior of plane and sill is that of Berger, De Oliveira
// and Sansó 2001, Journal of the American Statistical Association 96:1361-1374, equation 5, with
// the usual floor as further data; that of a shot's own part is that it is no smaller than its reading
// error. Candidates are equally likely otherwise.
func weigh(pieces []*piece, spacing, extent, reading float64) ([]weighed, [][]*kriging) {
	all := candidates(spacing, extent)
	some := pieces
	if len(pieces) > chosenBy {
		some = nil
		for i := range chosenBy {
			some = append(some, pieces[(2*i+1)*len(pieces)/(2*chosenBy)])
		}
	}
	kept, with := weighSome(some, all, reading)
	if len(some) == len(pieces) || len(kept) == 0 {
		return kept, with
	}
	slices.SortStableFunc(kept, func(a, b weighed) int { return cmp.Compare(b.weight, a.weight) })
	all = nil
	for _, w := range kept[:min(len(kept), likely)] {
		all = append(all, w.candidate)
	}
	return weighSome(pieces, all, reading)
}

// known returns pieces under a field that is known.
func known(pieces []*piece, f Field, reading float64) ([]weighed, [][]*kriging) {
	sill := f.SD * f.SD
	c := candidate{f.Smooth, f.Reach, (f.Own*f.Own + reading*reading) / sill}
	under := make([]*kriging, len(pieces))
	for i, p := range pieces {
		k, ok := p.krige(c)
		if !ok {
			return nil, nil
		}
		under[i] = k
	}
	return []weighed{{candidate: c, weight: 1, sill: sill, freedom: math.Inf(1)}}, [][]*kriging{under}
}

// chosenBy is how many tiles of a large region the candidates are chosen by; all of them say how
// likely those chosen are.
const chosenBy = 2

func weighSome(pieces []*piece, all []candidate, reading float64) ([]weighed, [][]*kriging) {
	out := make([]weighed, len(all))
	under := make([][]*kriging, len(all))
	logs := make([]float64, len(all))
	inParallel(len(all), func(i int) {
		out[i], under[i], logs[i] = weighOne(pieces, all[i], reading)
	})
	best := slices.Max(logs)
	if math.IsInf(best, -1) {
		return nil, nil
	}
	total := 0.0
	for i, l := range logs {
		out[i].weight = math.Exp(l - best)
		total += out[i].weight
	}
	var kept []weighed
	var with [][]*kriging
	sum := 0.0
	for i := range out {
		if out[i].weight /= total; out[i].weight > 5e-3 {
			kept, with = append(kept, out[i]), append(with, under[i])
			sum += out[i].weight
		}
	}
	for i := range kept {
		kept[i].weight /= sum
	}
	return kept, with
}

func weighOne(pieces []*piece, c candidate, reading float64) (weighed, []*kriging, float64) {
	under := make([]*kriging, len(pieces))
	log, misfit, freedom, about := 0.0, 0.0, 0.0, 0.0
	for i, p := range pieces {
		k, ok := p.krige(c)
		if !ok {
			return weighed{candidate: c}, nil, math.Inf(-1)
		}
		under[i] = k
		log += k.log
		misfit += k.misf
		freedom += float64(len(p.x) - 3)
		about += k.about / float64(len(pieces))
	}
	misfit += usualWorth * usualSD * usualSD / about
	freedom += usualWorth
	// The integral over the sill; the prior data scale with the candidate, which their own factor
	// takes out again.
	log += -freedom/2*math.Log(misfit) + usualWorth/2*math.Log(1/about)
	w := weighed{candidate: c, sill: misfit / freedom, freedom: freedom}
	if reading > 0 {
		// The sill times the own part is at least the variance of a reading: the sill's
		// distribution, misfit over chi-square, is cut there. What is left has the mean below.
		most := misfit * c.own / (reading * reading)
		left := logChiBelow(most, freedom)
		log += left
		w.sill *= math.Exp(logChiBelow(most, freedom-2) - left)
	}
	return w, under, log
}

// logChiBelow returns the logarithm of the probability that chi-square is below x: far below its
// mean by the series of the incomplete gamma function (Abramowitz and Stegun 6.5.29), whose
// logarithm does not underflow.
func logChiBelow(x, freedom float64) float64 {
	if x > freedom {
		return math.Log(distuv.ChiSquared{K: freedom}.CDF(x))
	}
	a, h := freedom/2, x/2
	sum, term := 1.0, 1.0
	for n := 1.0; term > 1e-16*sum; n++ {
		term *= h / (a + n)
		sum += term
	}
	gamma, _ := math.Lgamma(a + 1)
	return a*math.Log(h) - h - gamma + math.Log(sum)
}

// inParallel calls do for the numbers below n on all processors.
func inParallel(n int, do func(i int)) {
	var all sync.WaitGroup
	next := make(chan int)
	for range min(n, runtime.GOMAXPROCS(0)) {
		all.Go(func() {
			for i := range next {
				do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	all.Wait()
}

// block is what a kriging says of a weighted sum of elevations over the cells of its piece.
type block struct {
	mean     float64 // of the sum, in m times the weight
	variance float64 // in units of the sill
	weights  *mat.VecDense
	plane    [3]float64 // Lagrange multipliers of the plane, for covariances with other sums
}

// whole returns what k says of the integral of the floor over its cells, about the mean elevation of
// the piece.
func (k *kriging) whole() block {
	k.once.Do(func() {
		s := k.shape
		k.integrate()
		k.all = k.blockOf(s.to, s.drift, s.own)
	})
	return k.all
}

// integrate does the integrals over the cells of the piece, once for all that share its shape.
func (k *kriging) integrate() {
	s, p := k.shape, k.p
	s.once.Do(func() {
		s.to = mat.NewVecDense(len(p.x), nil)
		to := s.to.RawVector().Data
		for i, q := range p.cells {
			s.drift[0], s.drift[1], s.drift[2] = s.drift[0]+q.area, s.drift[1]+q.area*q.x, s.drift[2]+q.area*q.y
			for j := range to {
				to[j] += q.area * matern(k.c.smooth, math.Hypot(q.x-p.x[j], q.y-p.y[j])/k.c.reach)
			}
			row := q.area * k.insideCell(q)
			for _, r := range p.cells[:i] {
				row += 2 * r.area * matern(k.c.smooth, math.Hypot(q.x-r.x, q.y-r.y)/k.c.reach)
			}
			s.own += q.area * row
		}
	})
}

// insideCell is the mean correlation of two places in a cell: that at the mean distance of two
// places in a square, 0.5214 of its side (a known integral).
func (k *kriging) insideCell(q cell) float64 {
	return matern(k.c.smooth, 0.5214*math.Sqrt(q.area)/k.c.reach)
}

// blockOf returns the prediction of a sum from its correlations c with the shots, the sums f of the
// plane's functions, and its own variance.
func (k *kriging) blockOf(c *mat.VecDense, f [3]float64, within float64) block {
	n := len(k.p.x)
	kc := mat.NewVecDense(n, nil)
	_ = k.chol.SolveVecTo(kc, c) // its condition is that of K, which was accepted
	mean := mat.Dot(c, k.ky)
	u := mat.NewVecDense(3, nil)
	for i := range f {
		mean += f[i] * k.beta[i]
		s := f[i]
		for j := range n {
			s -= k.kx.At(j, i) * c.AtVec(j)
		}
		u.SetVec(i, s)
	}
	gu := mat.NewVecDense(3, nil)
	_ = k.gram.SolveVecTo(gu, u)
	variance := within - mat.Dot(c, kc) + mat.Dot(u, gu)
	kc.AddScaledVec(kc, 1, mulVec(k.kx, gu))
	return block{mean, max(0, variance), kc, [3]float64(gu.RawVector().Data)}
}

func mulVec(a *mat.Dense, v *mat.VecDense) *mat.VecDense {
	n, _ := a.Dims()
	out := mat.NewVecDense(n, nil)
	out.MulVec(a, v)
	return out
}

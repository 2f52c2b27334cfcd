package uncertainty

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"pourplane/surface"
)

// What is known of places and fill after a reading is what it is of the differences: with x the places
// and the fill, r = x_q + ε, all x less move + rise·r, by matrices.
func TestReadIsLinear(t *testing.T) {
	const n, q = 5, 2
	rng := rand.New(rand.NewPCG(15, 4))
	some := func() []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = rng.NormFloat64()
		}
		return out
	}
	root, mean := mat.NewDense(n+1, n+1, nil), mat.NewVecDense(n+1, nil)
	for i := range n + 1 {
		mean.SetVec(i, rng.NormFloat64())
		for j := range n + 1 {
			root.Set(i, j, rng.NormFloat64())
		}
	}
	var second mat.Dense // mean products
	second.Mul(root, root.T())
	second.RankOne(&second, 1, mean, mean)
	c := &choice{mean: make([]float64, n), cov: mat.NewSymDense(n, nil), off: mean.AtVec(n), square: second.At(n, n), with: make([]float64, n), own: 0.7}
	for i := range n {
		c.mean[i], c.with[i] = mean.AtVec(i), second.At(i, n)
		for j := range n {
			c.cov.SetSym(i, j, second.At(i, j))
		}
	}
	a := answer{floor: &surface.Floor{}, weight: rng.NormFloat64(), shift: rng.NormFloat64(), rise: some(), move: some()}
	gain := c.gain(q, a)
	c.read(q, a)

	follow, move := mat.NewDense(n+1, n+1, nil), mat.NewVecDense(n+1, nil)
	rise := mat.NewVecDense(n+1, append(append([]float64(nil), a.rise...), a.weight))
	for i := range n + 1 {
		follow.Set(i, i, 1)
		follow.Set(i, q, follow.At(i, q)-rise.AtVec(i))
		if i < n {
			move.SetVec(i, a.move[i])
		} else {
			move.SetVec(i, a.shift)
		}
	}
	var now, want mat.Dense
	var after mat.VecDense
	after.MulVec(follow, mean)
	after.SubVec(&after, move)
	now.Product(follow, root, root.T(), follow.T())
	want.RankOne(&now, 1, &after, &after)
	want.RankOne(&want, c.own, rise, rise)
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-12*(1+math.Abs(want)) {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	near("gain", gain, second.At(n, n)-want.At(n, n))
	near("fill", c.off, after.AtVec(n))
	for i := range n {
		near("mean", c.mean[i], after.AtVec(i))
		near("with the fill", c.with[i], want.At(i, n))
		for j := range n {
			near("places", c.cov.At(i, j), want.At(i, j))
		}
	}
}

// Where the floor cannot be triangulated anew a reading counts as the field follows it: the covariances
// given the reading are those of kriging with one more shot.
func TestReadAsTheFieldFollows(t *testing.T) {
	c := &choice{mean: []float64{0, 0}, cov: mat.NewSymDense(2, []float64{4, 1, 1, 3}), with: []float64{2, 1}, own: 1}
	c.read(0, answer{})
	if got := c.cov.At(1, 1); math.Abs(got-(3-1.0/5)) > 1e-12 {
		t.Errorf("variance %g", got)
	}
	if got := c.with[1]; math.Abs(got-(1-2*1.0/5)) > 1e-12 {
		t.Errorf("covariance with the fill %g", got)
	}
}

// Of the places that seem best by the triangles next to them the one is taken that gains most when the
// floor is triangulated anew: nearly as much as the best of all places.
func TestNextIsNearlyTheBest(t *testing.T) {
	for _, n := range []int{16, 25} {
		f := dish(t, n)
		m, _ := modelOf(f, 0.05, Errors{Reading: 0.001})
		tiles := m.tiles()
		best, ok := bestOf(f, tiles)
		if !ok || best.floor == nil {
			t.Fatalf("%d shots: %+v", n, best)
		}
		most := 0.0
		for c := range tiles[0].places {
			if a, ok := tiles[0].answer(f, c); ok {
				most = max(most, tiles[0].gain(c, a))
			}
		}
		if best.gain < 0.95*most {
			t.Errorf("%d shots: gains %g m⁶, the best place %g", n, best.gain, most)
		}
	}
}

// What is said of the fill with one more shot comes true on floors drawn from the field: the mean square
// of what the triangles are off by is less by the gain.
func TestGainComesTrue(t *testing.T) {
	const w, h, reading = 6.0, 5.0, 0.0005
	field := Field{Smooth: Bent, Reach: 1.5, SD: 0.005, Own: 0.0005}
	rng := rand.New(rand.NewPCG(15, 5))
	var at []surface.Vec
	for x := range 4 {
		for y := range 3 {
			at = append(at, surface.Vec{X: 0.4 + 1.7*float64(x), Y: 0.4 + 2.1*float64(y)})
		}
	}
	next := surface.Vec{X: 2.9, Y: 1.4}
	from := drawFrom(t, rng, field, append(at, next), w, h, 0.25)
	const floors = 600
	var before, after, said float64
	for range floors {
		shots, mean := from.draw(reading)
		truth := w * h * mean
		few := shots[:len(at)]
		f := floorOf(t, few, rectangle(w, h))
		g := floorOf(t, shots, rectangle(w, h))
		under := func(f *surface.Floor) float64 { return w*h - f.FillTo(surface.Horizontal(1), nil).Fill }
		before += square(truth - under(f))
		after += square(truth - under(g))
		in := Input{Floor: f, Split: f, Target: surface.Horizontal(1), Errors: Errors{Reading: reading}, Field: &field}
		m := New(in)
		tiles := m.tiles()
		tl := &tiles[0]
		z, _, _ := f.Regions[0].TIN.Locator().At(next)
		p := tl.piece
		tl.places = []surface.Vec{{X: next.X - p.origin.X, Y: next.Y - p.origin.Y}}
		tl.z = []float64{z - p.mean}
		r := m.regions[0]
		tl.choices = []*choice{newChoice(r.under[0][0], tl.places, tl.z, r.fields[0], 1, reading)}
		a, ok := tl.answer(f, 0)
		if !ok {
			t.Fatal("not triangulated")
		}
		said += tl.gain(0, a)
	}
	got, want := (before-after)/floors, said/floors
	t.Logf("mean square before %.3g m⁶, after %.3g, less by %.3g, said %.3g", before/floors, after/floors, got, want)
	if math.Abs(got/want-1) > 0.2 {
		t.Errorf("less by %.3g m⁶, said %.3g", got, want)
	}
}

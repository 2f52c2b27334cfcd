package uncertainty

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"

	"pourplane/surface"
	"pourplane/survey"
)

func rectangle(w, h float64) []survey.Ring {
	var ring survey.Ring
	for _, p := range [][2]float64{{0, 0}, {w, 0}, {w, h}, {0, h}} {
		ring.Points = append(ring.Points, survey.Point{X: p[0], Y: p[1], Z: math.NaN()})
	}
	return []survey.Ring{ring}
}

// dish is a floor of 8 × 6 m, shot at n places anywhere with an error of 1 mm.
func dish(t testing.TB, n int) *surface.Floor {
	rng := rand.New(rand.NewPCG(1, 2))
	var shots []survey.Point
	for range n {
		x, y := 8*rng.Float64(), 6*rng.Float64()
		shots = append(shots, survey.Point{X: x, Y: y, Z: -0.02*math.Exp(-((x-4)*(x-4)+(y-3)*(y-3))/8) + 0.001*rng.NormFloat64()})
	}
	return floorOf(t, shots, rectangle(8, 6))
}

func floorOf(t testing.TB, shots []survey.Point, rings []survey.Ring) *surface.Floor {
	f, err := surface.NewFloor(surface.Data{Shots: shots, Rings: rings})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func modelOf(f *surface.Floor, level float64, e Errors) (*Model, float64) {
	target := surface.Horizontal(level)
	return New(Input{Floor: f, Split: f, Target: target, Errors: e}), f.FillTo(target, nil).Fill
}

// One triangle with a shot at each corner: its volume is area × mean depth, so the readings give it
// the standard deviation area × reading / √3 (variance of a mean of three).
func TestReadingErrorOfATriangle(t *testing.T) {
	corners := []survey.Point{{X: 0, Y: 0}, {X: 6, Y: 0}, {X: 0, Y: 4}}
	f := floorOf(t, corners, nil)
	by, squares := newExtractor(f.Regions[0], f.Regions[0].TIN, surface.Horizontal(0.1), nil).weights(f.FillWeights(f, surface.Horizontal(0.1), 0))
	if got, want := 0.001*math.Sqrt(squares), 12*0.001/math.Sqrt(3); math.Abs(got-want) > 1e-12 {
		t.Errorf("%g m³, want %g", got, want)
	}
	if math.Abs(by[""]-12) > 1e-9 {
		t.Errorf("the set-up weighs %g m², the floor has 12", by[""])
	}
}

// A grid of shots with rows along the walls: the reading error of its volume is that of the rule of
// borrow pits, area of a square / 4 × Σ corners × height, for squares whose diagonals are evenly
// divided; for triangles the weights are a third of the area of the triangles at each shot. Checked by
// reading the same floor 20,000 times.
func TestReadingErrorByManyReadings(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	f := dish(t, 40)
	m, _ := modelOf(f, 0.05, Errors{Reading: 0.001})
	tin := f.Regions[0].TIN
	weights := tin.Measured(f.FillWeights(f, m.in.Target, 0))
	sum, squares := 0.0, 0.0
	const n = 20000
	for range n {
		v := 0.0
		for _, w := range weights {
			v += w * 0.001 * rng.NormFloat64()
		}
		sum, squares = sum+v, squares+v*v
	}
	got, want := 0.001*math.Sqrt(m.regions[0].square), math.Sqrt(squares/n-sum*sum/n/n)
	if math.Abs(got/want-1) > 0.02 {
		t.Errorf("%g m³, %g by repetition", got, want)
	}
}

// Where shots have nothing but errors of their own, kriging is least squares: the plane at the
// centroid of the shots has the variance of their mean (Draper and Smith, Applied Regression
// Analysis, variance of a predicted mean), and so has the mean over a floor with that centroid.
func TestKrigingOfPureErrorsIsLeastSquares(t *testing.T) {
	var shots []survey.Point
	for i := range 4 {
		for j := range 3 {
			shots = append(shots, survey.Point{X: 1 + 2*float64(i), Y: 1 + 2*float64(j), Z: 0.001 * float64((i*7+j*5)%4)})
		}
	}
	f := floorOf(t, shots, rectangle(8, 6))
	m, _ := modelOf(f, 0.05, Errors{Reading: 0.001})
	p := m.regions[0].pieces[0]
	k, ok := p.krige(candidate{smooth: Rugged, reach: 1e-4, own: 1e9})
	if !ok {
		t.Fatal("no factor")
	}
	b := k.whole()
	if got, want := b.variance, 48*48*1e9/12; math.Abs(got/want-1) > 1e-6 {
		t.Errorf("variance %g, want %g", got, want)
	}
	if math.Abs(b.mean) > 1e-9 {
		t.Errorf("mean %g of elevations about their mean", b.mean)
	}
	for _, w := range b.weights.RawVector().Data {
		if math.Abs(w-4) > 1e-6 {
			t.Errorf("a shot weighs %g of 48 m², want 4", w)
		}
	}
}

// A floor that is a plane, read without error, is known: nothing is between the shots.
func TestAPlaneIsKnown(t *testing.T) {
	var shots []survey.Point
	for i := range 6 {
		for j := range 5 {
			x, y := 0.5+1.4*float64(i), 0.5+1.25*float64(j)
			shots = append(shots, survey.Point{X: x, Y: y, Z: 0.01*x - 0.003*y})
		}
	}
	m, fill := modelOf(floorOf(t, shots, rectangle(8, 6)), 0.2, Errors{})
	v := m.Volume(fill)
	if lo, hi := v.Interval(0.9); hi-lo > 48*0.0003 || lo > fill || hi < fill {
		t.Errorf("fill %g m³, 90 %% between %g and %g", fill, lo, hi)
	}
	if v.Parts.Reading != 0 || v.Parts.Setup != 0 {
		t.Errorf("errors that were not stated: %+v", v.Parts)
	}
}

// The bounds are ordered, hold each other, and widen with each cause.
func TestIntervals(t *testing.T) {
	f := dish(t, 30)
	m, fill := modelOf(f, 0.05, Errors{Reading: 0.001})
	v := m.Volume(fill)
	last := 0.0
	for _, p := range []float64{0.5, 0.9, 0.99} {
		lo, hi := v.Interval(p)
		if !(lo < hi && hi-lo > last) {
			t.Errorf("%g: between %g and %g", p, lo, hi)
		}
		last = hi - lo
	}
	with, _ := modelOf(f, 0.05, Errors{Reading: 0.001, Setup: 0.002})
	w := with.Volume(fill)
	if got, want := w.Parts.Setup, 48*0.002; math.Abs(got-want) > 1e-6 {
		t.Errorf("set-up %g m³, want %g", got, want)
	}
	// Student's t and a normal error together: the interval of 2 mm alone is 48 × 0.002 × 2 × 1.645.
	lo, hi := w.Interval(0.9)
	if alone := 48 * 0.002 * 2 * 1.6449; hi-lo < alone || hi-lo > math.Hypot(alone, 0.09)*1.1 {
		t.Errorf("90 %% is %g wide, the set-up alone %g", hi-lo, alone)
	}
	p := w.Parts
	if got := math.Sqrt(p.Reading*p.Reading + p.Setup*p.Setup + p.Sampling*p.Sampling + p.Walls*p.Walls); math.Abs(got-p.Total) > 1e-12 {
		t.Errorf("causes add up to %g, total %g", got, p.Total)
	}
}

// A target read from the same set-up as the floor has its error in common: it cancels.
func TestATargetOfTheSameSetupCancelsItsError(t *testing.T) {
	f := dish(t, 30)
	target := surface.Horizontal(0.05)
	m := New(Input{Floor: f, Split: f, Target: target, Errors: Errors{0.001, 0.002}, Aim: map[string]float64{"": 1}})
	if v := m.Volume(2); v.Parts.Setup != 0 {
		t.Errorf("set-up %g m³", v.Parts.Setup)
	}
	other := New(Input{Floor: f, Split: f, Target: target, Errors: Errors{0.001, 0.002}, Aim: map[string]float64{"B": 1}})
	if v := other.Volume(2); math.Abs(v.Parts.Setup-48*0.002*math.Sqrt2) > 1e-6 {
		t.Errorf("set-up %g m³ of two set-ups, want %g", v.Parts.Setup, 48*0.002*math.Sqrt2)
	}
}

// What a set-up is out by is also in one that is tied to it, and not in one on a benchmark of its own.
func TestSetupsTiedToAnother(t *testing.T) {
	f := dish(t, 30)
	side := func(p survey.Point) string {
		if p.X < 4 {
			return "S1"
		}
		return "S2"
	}
	in := Input{Floor: f, Split: f, Target: surface.Horizontal(0.05), Errors: Errors{0.001, 0.002}, Setup: side}
	m := New(in)
	west, east := m.regions[0].whole["S1"], m.regions[0].whole["S2"]
	if got, want := m.Volume(2).Parts.Setup, 0.002*math.Hypot(west, east); math.Abs(got-want) > 1e-9 {
		t.Errorf("two benchmarks: %g m³, want %g", got, want)
	}
	for name, c := range map[string]struct {
		first  int // benchmarks of S1
		second Tie
		want   float64
	}{
		"the second on the first": {1, Tie{"S2", 1, map[string]int{"S1": 1}}, math.Hypot(48, east)},
		// Two ties of a set-up halve its variance.
		"both on two benchmarks":       {2, Tie{Setup: "S2", Points: 2}, math.Hypot(west, east) / math.Sqrt2},
		"the second by two points":     {1, Tie{"S2", 2, map[string]int{"S1": 2}}, math.Hypot(48, east/math.Sqrt2)},
		"a benchmark and a point":      {1, Tie{"S2", 2, map[string]int{"S1": 1}}, math.Hypot(west+east/2, east/math.Sqrt2)},
		"a point of one on benchmarks": {2, Tie{"S2", 1, map[string]int{"S1": 1}}, math.Hypot(48/math.Sqrt2, east)},
	} {
		in.Ties = []Tie{{Setup: "S1", Points: c.first}, c.second}
		if got, want := New(in).Volume(2).Parts.Setup, 0.002*c.want; math.Abs(got-want) > 1e-6 {
			t.Errorf("%s: %g m³, want %g", name, got, want)
		}
	}
	in.Ties = []Tie{{Setup: "S1", Points: 2}}
	if got, want := New(in).SetupSD(), 0.002/math.Sqrt2; math.Abs(got-want) > 1e-12 {
		t.Errorf("of all depths %g m, want %g", got, want)
	}
}

// A target taken from a reading is out by it over the whole floor.
func TestATargetHasTheErrorOfItsReading(t *testing.T) {
	f := dish(t, 30)
	in := Input{Floor: f, Split: f, Target: surface.Horizontal(0.05), Errors: Errors{Reading: 0.001}, AimSD: 0.001}
	with := New(in).Volume(2)
	in.AimSD = 0
	without := New(in).Volume(2)
	if got, want := with.Parts.Reading, math.Hypot(without.Parts.Reading, 0.048); math.Abs(got-want) > 1e-6 {
		t.Errorf("%g m³, want %g", got, want)
	}
	a, b := with.Dist.Quantile(0.95)-with.Dist.Quantile(0.05), without.Dist.Quantile(0.95)-without.Dist.Quantile(0.05)
	if want := math.Hypot(b, 2*1.645*0.048); math.Abs(a/want-1) > 0.03 {
		t.Errorf("90 %% is %g wide, want about %g", a, want)
	}
}

// A level floor that the target just misses may still take fill: 300 m² that are 1 mm above it, with a
// set-up error of 1 mm, take more than A·(1.645 − 1) mm one time in twenty.
func TestAFloorAtTheTarget(t *testing.T) {
	var shots []survey.Point
	for i := range 6 {
		for j := range 5 {
			shots = append(shots, survey.Point{X: 0.1 + 3.96*float64(i), Y: 0.1 + 2.95*float64(j), Z: 10.001})
		}
	}
	f := floorOf(t, shots, rectangle(20, 12))
	m, fill := modelOf(f, 10, Errors{Reading: 1e-6, Setup: 0.001})
	if fill != 0 {
		t.Fatalf("fill %g", fill)
	}
	v := m.Volume(fill)
	if _, hi := v.Interval(0.9); math.Abs(hi-240*0.000645) > 0.004 {
		t.Errorf("up to %g m³, want %g", hi, 240*0.000645)
	}
	// Half of it is filled, half not, when the floor is at the target.
	m, fill = modelOf(f, 10.001, Errors{Reading: 1e-6, Setup: 0.001})
	if _, hi := m.Volume(fill).Interval(0.9); math.Abs(hi-240*0.001645) > 0.004 {
		t.Errorf("at the target: up to %g m³, want %g", hi, 240*0.001645)
	}
}

// A stated reading error counts although the readings scatter less, and the bounds hold the fill of
// the triangles: 35 shots of a smooth wave, read without error, with 3 mm stated.
func TestAStatedErrorCounts(t *testing.T) {
	var shots []survey.Point
	for i := range 7 {
		for j := range 5 {
			x, y := 0.1+0.966*float64(i), 0.1+0.95*float64(j)
			shots = append(shots, survey.Point{X: x, Y: y, Z: 0.01 * math.Sin(x) * math.Cos(y/1.5)})
		}
	}
	f := floorOf(t, shots, rectangle(6, 4))
	var widths []float64
	for _, reading := range []float64{0.0005, 0.001, 0.003} {
		m, fill := modelOf(f, 0.05, Errors{Reading: reading})
		v := m.Volume(fill)
		lo, hi := v.Interval(0.9)
		if lo > fill || hi < fill {
			t.Errorf("%g m: fill %g, 90 %% between %g and %g", reading, fill, lo, hi)
		}
		if alone := 2 * 1.645 * reading * math.Sqrt(m.regions[0].square); hi-lo < 0.85*alone {
			t.Errorf("%g m: 90 %% is %g wide, the readings alone %g", reading, hi-lo, alone)
		}
		widths = append(widths, hi-lo)
	}
	if !(widths[0] < widths[1] && widths[1] < widths[2]) {
		t.Errorf("widths %v", widths)
	}
}

// Too few shots say nothing.
func TestFewShotsSayNothing(t *testing.T) {
	f := floorOf(t, []survey.Point{{X: 1, Y: 1}, {X: 5, Y: 1}, {X: 3, Y: 4, Z: 0.01}}, rectangle(8, 6))
	m, fill := modelOf(f, 0.05, Errors{Reading: 0.001})
	if v := m.Volume(fill); v.Known {
		t.Errorf("three shots: known to %g", v.Parts.Total)
	}
	if m.Spread(Volume{}, 9, nil) != nil {
		t.Error("three shots: spreads")
	}
	// The next shots are then the places farthest from all: by hand a corner, a rod's 0.1 m off both
	// walls, 4.52 m from the third shot; then the corner across from it.
	next := m.Next(2, Parts{})
	want := []surface.Vec{{X: 7.9, Y: 5.9}, {X: 0.1, Y: 5.9}}
	for i, s := range next {
		if s.At.Distance(want[i]) > 1e-9 && s.At.Distance(want[1-i]) > 1e-9 || !math.IsNaN(s.SDAfter) {
			t.Errorf("next shot %d is %+v", i+1, s)
		}
	}
	if len(next) != 2 || next[0].At == next[1].At {
		t.Errorf("next shots %v", next)
	}
}

// The fields drawn have the spread of the closed form.
func TestDrawsAgreeWithTheClosedForm(t *testing.T) {
	f := dish(t, 30)
	m, fill := modelOf(f, 0.05, Errors{Reading: 0.001, Setup: 0.001})
	v := m.Volume(fill)
	got := spreadOfSimulated(m, 3000)
	lo, hi := v.Interval(0.9)
	if want := (hi - lo) / 2 / 1.645; math.Abs(got/want-1) > 0.08 {
		t.Errorf("standard deviation %g m³ of draws, %g of the distribution", got, want)
	}
}

// Each next shot narrows, and less than the one before would have; taking it has the effect that
// was foretold, as long as what is known of the field does not change.
func TestNextShots(t *testing.T) {
	f := dish(t, 25)
	m, fill := modelOf(f, 0.05, Errors{Reading: 0.001})
	now := m.Volume(fill).Parts
	total := now.Total
	last := total
	for _, s := range m.Next(5, now) {
		if !(s.SDAfter < last && s.SDAfter > 0) {
			t.Errorf("%+v after %g", s, last)
		}
		last = s.SDAfter
	}
	if last > 0.95*total {
		t.Errorf("five shots narrow %g to %g only", total, last)
	}
}

// The covariance of a place with the whole fill is the sum of its covariances with the cells.
func TestWithWhole(t *testing.T) {
	f := dish(t, 25)
	m, _ := modelOf(f, 0.05, Errors{Reading: 0.001})
	g := m.regions[0]
	p := g.pieces[0]
	at := surface.Vec{X: 0.3, Y: -0.7}
	for i, w := range g.fields {
		k := g.under[i][0]
		cov, sum := k.at(append(p.places(), at), w.sill, true).cov, 0.0
		for c, q := range p.cells {
			sum += q.area * cov.At(c, len(p.cells))
		}
		if got := w.sill * k.withWhole(at, k.whole()); math.Abs(got-sum) > 1e-9*w.sill*48 {
			t.Errorf("%+v: %g m⁴, the cells add up to %g", w.candidate, got, sum)
		}
	}
}

// Where the triangles are off on one side, that counts with what the field leaves open: E off² is its
// variance and its squared mean.
func TestNextCountsTheBias(t *testing.T) {
	f := dish(t, 12)
	m, fill := modelOf(f, 0.05, Errors{Reading: 0.001})
	g, p := m.regions[0], m.regions[0].pieces[0]
	for i, w := range g.fields {
		k := g.under[i][0]
		b := k.whole()
		krige := 48*(0.05-p.mean) - b.mean // fill by kriging, m³
		c := newChoice(k, []surface.Vec{{X: 0.5, Y: 0.5}}, []float64{0.003}, w, 1, 0.001)
		if want := w.sill*b.variance + square(krige-fill); math.Abs(c.square-want) > 1e-6*want {
			t.Errorf("%+v: mean square %g m⁶, want %g", w.candidate, c.square, want)
		}
		at := k.at([]surface.Vec{{X: 0.5, Y: 0.5}}, w.sill, false)
		// Both are errors of elevations: kriging less triangles at the place, and over the floor.
		if want := w.sill*k.withWhole(surface.Vec{X: 0.5, Y: 0.5}, b) + (at.mean[0]-0.003)*(fill-krige); math.Abs(c.with[0]-want) > 1e-6*math.Abs(want) {
			t.Errorf("%+v: covariance %g m⁴, want %g", w.candidate, c.with[0], want)
		}
	}
}

// Places for next shots are everywhere on the floor where a rod can be set, about half as far from each
// other as the shots.
func TestNextPlacesAreEverywhere(t *testing.T) {
	m, _ := modelOf(dish(t, 48), 0.05, Errors{Reading: 0.001}) // 1 m apart
	places := m.open(0)
	for x := 0.1; x < 8; x += 0.1 {
		for y := 0.1; y < 6; y += 0.1 {
			if d := distance(surface.Vec{X: x, Y: y}, places); d > 0.6 {
				t.Fatalf("(%g, %g) is %g m from the nearest of %d places", x, y, d, len(places))
			}
		}
	}
	for i, p := range places {
		if d := distance(p, places[:i]); d < 0.25 || p.X < 0.0999 || p.Y < 0.0999 || p.X > 7.9001 || p.Y > 5.9001 {
			t.Errorf("%v is %g m from another", p, d)
		}
	}
}

// A large region is described by tiles; that changes what is said of it little.
func TestTilesAgreeWithTheWhole(t *testing.T) {
	f := dish(t, 190)
	in := Input{Floor: f, Split: f, Target: surface.Horizontal(0.05), Errors: Errors{Reading: 0.001}}
	whole := New(in)
	e := newExtractor(f.Regions[0], f.Regions[0].TIN, in.Target, nil)
	all := make([]int32, e.split.Len())
	for k := range all {
		all[k] = int32(k)
	}
	g := &region{each: 1, square: whole.regions[0].square}
	area := 0.0
	near := newBuckets(len(e.old.Z), func(v int) (surface.Vec, bool) {
		return surface.Vec{X: e.old.X[v], Y: e.old.Y[v]}, e.measured(int32(v))
	})
	for _, tile := range e.halved(all) {
		g.pieces = append(g.pieces, e.piece(tile, e.around(tile, near)))
	}
	for _, p := range g.pieces {
		for _, c := range p.cells {
			area += c.area
		}
	}
	if len(g.pieces) < 3 || math.Abs(area-48) > 1e-9 {
		t.Fatalf("%d tiles of %g m² together", len(g.pieces), area)
	}
	g.fields, g.under = weigh(g.pieces, spacing(f.Regions[0].TIN, e), 10, 0.001)
	tiles := &Model{in: in, Known: true, regions: []*region{g}}
	one, many := whole.Volume(1), tiles.Volume(1)
	a, b := one.Dist.Quantile(0.95)-one.Dist.Quantile(0.05), many.Dist.Quantile(0.95)-many.Dist.Quantile(0.05)
	t.Logf("90 %% is %.4f m³ wide of the whole, %.4f of %d tiles", a, b, len(g.pieces))
	if b/a < 0.75 || b/a > 1.35 {
		t.Errorf("90 %% is %g m³ wide of the whole, %g of %d tiles", a, b, len(g.pieces))
	}
}

// The order of the rows changes nothing.
func TestRowOrderDoesNotMatter(t *testing.T) {
	f := dish(t, 30)
	shots := append([]survey.Point(nil), f.Data.Shots...)
	m, fill := modelOf(f, 0.05, Errors{Reading: 0.001})
	a := m.Volume(fill)
	rand.New(rand.NewPCG(5, 6)).Shuffle(len(shots), func(i, j int) { shots[i], shots[j] = shots[j], shots[i] })
	m, fill = modelOf(floorOf(t, shots, rectangle(8, 6)), 0.05, Errors{Reading: 0.001})
	if b := m.Volume(fill); math.Abs(a.Parts.Total-b.Parts.Total) > 1e-12 || math.Abs(a.Dist.Quantile(0.95)-b.Dist.Quantile(0.95)) > 1e-9 {
		t.Errorf("%+v and %+v", a.Parts, b.Parts)
	}
}

// What a survey is expected to give agrees with many surveys of floors of that field.
func TestExpectedAgreesWithManyFloors(t *testing.T) {
	field := Field{Smooth: Bent, Reach: 2, SD: 0.005, Own: 0.001}
	var shots []survey.Point
	for i := range 5 {
		for j := range 4 {
			shots = append(shots, survey.Point{X: 0.3 + 1.85*float64(i), Y: 0.3 + 1.8*float64(j)})
		}
	}
	f := floorOf(t, shots, rectangle(8, 6))
	got := Expected(f, field, Errors{Reading: 0.001, Setup: 0.002})
	if math.Abs(got.Setup-0.096) > 1e-6 {
		t.Errorf("set-up %g m³, want 0.096", got.Setup)
	}
	// The same by drawing the field at shots and on a lattice of 0.25 m.
	k := &kriging{p: &piece{}, c: candidate{smooth: field.Smooth, reach: field.Reach}}
	var places []surface.Vec
	for _, s := range shots {
		places = append(places, surface.Vec{X: s.X, Y: s.Y})
	}
	const side = 0.4
	for x := side / 2; x < 8; x += side {
		for y := side / 2; y < 6; y += side {
			places = append(places, surface.Vec{X: x, Y: y})
		}
	}
	cov := unconditional(k, places)
	tin := f.Regions[0].TIN
	weights := tin.Measured(f.FillWeights(f, surface.Horizontal(1), 0))
	by := make([]float64, len(places))
	for v, w := range weights {
		if tin.Shot[v] >= 0 {
			by[tin.Shot[v]] = w
		}
	}
	for i := len(shots); i < len(places); i++ {
		by[i] = -side * side
	}
	variance := 0.0
	for i := range places {
		for j := range places {
			variance += by[i] * by[j] * cov(i, j) * field.SD * field.SD
		}
	}
	for i := range shots {
		variance += by[i] * by[i] * field.Own * field.Own
	}
	if between := got.Sampling*got.Sampling + got.Walls*got.Walls; math.Abs(math.Sqrt(between/variance)-1) > 0.05 {
		t.Errorf("between shots and at walls %g m³, %g on a lattice", math.Sqrt(between), math.Sqrt(variance))
	}
}

func unconditional(k *kriging, places []surface.Vec) func(i, j int) float64 {
	return func(i, j int) float64 { return matern(k.c.smooth, places[i].Distance(places[j])/k.c.reach) }
}

// Quantiles of sums and mixtures, against closed forms: the sum of two normal errors, and Student's
// t with 4 degrees of freedom, whose 95 % point is 2.132 in every table.
func TestDistributions(t *testing.T) {
	d := Normal(3).Plus(Normal(4))
	for p, want := range map[float64]float64{0.5: 0, 0.9: 6.4078, 0.95: 8.2243, 0.995: 12.879} {
		if got := d.Quantile(p); math.Abs(got-want) > 0.03 {
			t.Errorf("%g of a sum: %g, want %g", p, got, want)
		}
	}
	s := mixture([]term{{weight: 1, mean: 10, scale: 2, freedom: 4}})
	for p, want := range map[float64]float64{0.95: 10 + 2*2.1318, 0.05: 10 - 2*2.1318, 0.995: 10 + 2*4.6041} {
		if got := s.Quantile(p); math.Abs(got-want) > 0.01 {
			t.Errorf("%g of a t: %g, want %g", p, got, want)
		}
		if got := s.Below(s.Quantile(p)); math.Abs(got-p) > 1e-3 {
			t.Errorf("below the quantile of %g is %g", p, got)
		}
	}
	if got := (Distribution)(nil).Shifted(2).Quantile(0.99); got != 2 {
		t.Errorf("a known quantity: %g", got)
	}
}

// spreadOfSimulated returns the standard deviation of the fills of n floors as they are drawn, m³.
func spreadOfSimulated(m *Model, n int) float64 {
	cells, each := m.bare()
	fills := make([]float64, n)
	for d, f := range m.simulate(n) {
		fills[d], _ = f.filled(cells, each, each)
	}
	return stat.StdDev(fills, nil)
}

// Draws of a floor of which some tiles are looked at, and of a target that was read, have the spread
// of the closed form: each draw counts what is not known of the tiles once, not as if those left out
// were out by the same.
func TestDrawsOfALargeFloorAgreeWithTheClosedForm(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	var shots []survey.Point
	for i := range 48 {
		for j := range 36 {
			x, y := 0.1+0.336*float64(i), 0.1+0.337*float64(j)
			shots = append(shots, survey.Point{X: x, Y: y, Z: 0.004*math.Sin(1.3*x)*math.Cos(y) + 0.001*rng.NormFloat64()})
		}
	}
	f := floorOf(t, shots, rectangle(16, 12))
	for _, in := range []Input{{Errors: Errors{Reading: 0.001}}, {Errors: Errors{Reading: 0.001, Setup: 0.0002}, AimSD: 0.0005}} {
		in.Floor, in.Split, in.Target = f, f, surface.Horizontal(0.05)
		m := New(in)
		if m.regions[0].each < 1.9 {
			t.Fatalf("each tile counts %g times", m.regions[0].each)
		}
		v := m.Volume(f.FillTo(in.Target, nil).Fill)
		lo, hi := v.Interval(0.9)
		got, want := spreadOfSimulated(m, 2000), (hi-lo)/2/1.645
		if math.Abs(got/want-1) > 0.1 {
			t.Errorf("aim %g: standard deviation %g m³ of draws, %g of the distribution", in.AimSD, got, want)
		}
	}
}

// The middle half need not hold the fill of the triangles, where it is on one side of what is likely;
// the wide bounds do. By the normal distribution: ±0.6745 σ.
func TestNarrowBoundsAreNotStretched(t *testing.T) {
	v := Volume{Fill: 1, Dist: Normal(0.1).Shifted(2), Known: true}
	if lo, hi := v.Interval(0.5); math.Abs(lo-1.93255) > 1e-4 || math.Abs(hi-2.06745) > 1e-4 {
		t.Errorf("half of it between %g and %g", lo, hi)
	}
	if lo, hi := v.Interval(0.9); lo != 1 || math.Abs(hi-2.16449) > 1e-4 {
		t.Errorf("nine tenths of it between %g and %g", lo, hi)
	}
}

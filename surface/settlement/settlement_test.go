package settlement

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func near(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if !(math.Abs(got-want) <= by) {
		t.Errorf("%s = %.12g, want %.12g ± %g", what, got, want, by)
	}
}

var nan = math.NaN()

func same(n int, e Errors) []Errors { return slices.Repeat([]Errors{e}, n) }

// Four places, one of which is 6 mm lower. By hand: reading error 1 mm and set-up error
// 0.5 mm in each survey.
func TestFourPlacesByHand(t *testing.T) {
	places := []Place{
		{X: 0, Y: 0, Z: []float64{10, 9.999}, Weight: 3}, {X: 4, Y: 0, Z: []float64{10, 9.999}, Weight: 1},
		{X: 0, Y: 3, Z: []float64{10, 9.998}, Weight: 1}, {X: 4, Y: 3, Z: []float64{10, 9.994}, Weight: 1},
		{X: 9, Y: 9, Z: []float64{nan, 9}, Weight: 100},
	}
	c, err := Compare(places, 0, 1, same(2, Errors{Reading: 0.001, Setup: 0.0005}), Area{})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Places) != 4 {
		t.Fatalf("%d places compared, want the 4 read in both", len(c.Places))
	}
	const tiny = 1e-12
	near(t, "middle", c.Middle, -0.0015, tiny)
	near(t, "mean", c.Mean.Change, (-3-1-2-6)*0.001/6, tiny)
	near(t, "mean, readings", c.Reading, 0.001*math.Sqrt2*math.Sqrt(12)/6, tiny) // weights 3, 1, 1, 1 of 6
	near(t, "mean, set-ups", c.Setup, 0.0005*math.Sqrt2, tiny)
	near(t, "mean, all", c.Mean.SD, math.Sqrt(2e-6/3+0.5e-6), tiny)
	near(t, "one place", c.Places[3].Total.SD, math.Sqrt(2.5e-6), tiny)
	near(t, "one place against the middle", c.Places[3].Relative.SD, math.Sqrt(2e-6*(1+math.Pi/8)), tiny)
	near(t, "change against the middle", c.Places[3].Relative.Change, -0.0045, tiny)
	near(t, "pair", c.Pair.Difference, 0.005, tiny)
	near(t, "pair", c.Pair.SD, 0.002, tiny)
	near(t, "pair, of six", c.Pair.Half, 0.002*2.3940, 1e-7) // one in 120 is above 2.3940 standard deviations
	near(t, "distance of the pair", c.Pair.Distance, 5, tiny)
	if c.Pair.Low != 3 || c.Pair.High != 0 {
		t.Errorf("pair of places %d and %d, want 3 and 0", c.Pair.Low, c.Pair.High)
	}
	// 6 mm is 3.795 standard deviations, p = 0.000147802 of 10 tests.
	near(t, "p", c.Places[3].Total.P, 10*0.000147802, 1e-8)
	if c.Places[3].Total.Level != Sure || c.Places[0].Level() != NotShown {
		t.Errorf("levels %d and %d, want 99 and 0", c.Places[3].Total.Level, c.Places[0].Level())
	}
	if g := c.Greatest(places); g.Index != 3 {
		t.Errorf("greatest is place %d, want 3", g.Index)
	}
	// The order of places changes nothing.
	turned := slices.Clone(places)
	slices.Reverse(turned)
	d, err := Compare(turned, 0, 1, same(2, Errors{Reading: 0.001, Setup: 0.0005}), Area{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean of places in another order", d.Mean.Change, c.Mean.Change, 1e-18)
	if turned[d.Pair.Low].X != 4 || d.Greatest(turned).Relative != c.Places[3].Relative {
		t.Errorf("pair or greatest depend on the order of places")
	}
}

// A benchmark read 2 mm wrong in one survey shifts every change, and none against the middle.
func TestSetupErrorIsNotDifferential(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	var places, shifted []Place
	for i := range 20 {
		z := 10 + 0.001*rng.NormFloat64()
		p := Place{X: float64(i % 5), Y: float64(i / 5), Z: []float64{10, z}}
		places = append(places, p)
		p.Z = []float64{10, z + 0.002}
		shifted = append(shifted, p)
	}
	e := same(2, Errors{Reading: 0.0005, Setup: 0.001})
	a, err := Compare(places, 0, 1, e, Area{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := Compare(shifted, 0, 1, e, Area{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", b.Mean.Change-a.Mean.Change, 0.002, 1e-12)
	for i := range a.Places {
		near(t, "against the middle", b.Places[i].Relative.Change, a.Places[i].Relative.Change, 1e-12)
	}
	near(t, "slope", b.Tilt.East, a.Tilt.East, 1e-12)
	near(t, "pair", b.Pair.Difference, a.Pair.Difference, 1e-12)
}

// Two of four places go down by 16 and 14 mm: the middle is between the two halves, so all four
// are far from it, and only two moved.
func TestHalfOfThePlacesMoved(t *testing.T) {
	var places []Place
	for i, d := range []float64{0, -0.016, 0.001, -0.014} {
		places = append(places, Place{X: float64(i % 2), Y: float64(i / 2), Z: []float64{10, 10 + d}})
	}
	e := same(2, Errors{Reading: 0.001, Setup: 0.001})
	c, err := Compare(places, 0, 1, e, Area{})
	if err != nil {
		t.Fatal(err)
	}
	for i, moved := range []bool{false, true, false, true} {
		if p := c.Places[i]; p.Total.Level > NotShown != moved || p.Relative.Level != Sure {
			t.Errorf("place %d: level %d, %d against the middle; want moved %v, all four against the middle", i, p.Total.Level, p.Relative.Level, moved)
		}
	}
	if !c.HalfMoved() {
		t.Error("half of the places moved, and the middle is taken for one that stayed")
	}
	places[3].Z[1] = 10
	if c, err = Compare(places, 0, 1, e, Area{}); err != nil || c.HalfMoved() {
		t.Errorf("one of four moved: %v, half %v", err, c.HalfMoved())
	}
}

// Twenty places go down by 20 mm: a benchmark misread in one survey looks the same, with two of
// them 15 mm lower still too. Three, or a tilt of 1 mm/m, are the floor's own, and a floor that
// did not move has nothing to doubt. A mean that is not measured leaves it to half of the places.
func TestAlike(t *testing.T) {
	for _, v := range []struct {
		what            string
		all, some, tilt float64 // m, m of the first sunk places, m in each m to the east
		sunk            int
		between         float64
		want            bool
	}{
		{"all by 20 mm", 0.02, 0, 0, 0, 0, true},
		{"two more than the others", 0.02, 0.015, 0, 2, 0, true},
		{"three more than the others", 0.02, 0.015, 0, 3, 0, false},
		{"a tilt", 0.02, 0, 0.001, 0, 0, false},
		{"unmoved", 0, 0, 0, 0, 0, false},
		{"two moved", 0, 0.02, 0, 2, 0, false},
		{"mean not measured, all by 20 mm", 0.02, 0, 0, 0, math.NaN(), true},
		{"mean not measured, unmoved", 0, 0, 0, 0, math.NaN(), false},
	} {
		var places []Place
		for i := range 20 {
			p := Place{X: float64(i % 5), Y: float64(i / 5), Z: []float64{10, 10}}
			p.Z[1] -= v.all + v.tilt*p.X + 0.0005*float64(i*7%3-1)
			if i < v.sunk {
				p.Z[1] -= v.some
			}
			places = append(places, p)
		}
		c, err := Compare(places, 0, 1, same(2, Errors{Reading: 0.001, Setup: 0.001}), Area{Between: v.between})
		if err != nil {
			t.Fatal(err)
		}
		if got := c.Alike(); got != v.want {
			t.Errorf("%s: alike %v", v.what, got)
		}
	}
}

// A mean whose error is not known is not shown to have moved, and takes nothing from the places.
func TestMeanNotMeasured(t *testing.T) {
	var places []Place
	for i := range 3 {
		places = append(places, Place{X: float64(i), Y: float64(i % 2), Z: []float64{10, 9.98}})
	}
	e := same(2, Errors{Reading: 0.001, Setup: 0.001})
	c, err := Compare(places, 0, 1, e, Area{Between: nan})
	if err != nil {
		t.Fatal(err)
	}
	if c.Mean.Known() || c.Mean.Level != NotShown || c.Mean.P != 1 {
		t.Errorf("mean %+v, want no error and nothing shown", c.Mean)
	}
	near(t, "mean", c.Mean.Change, -0.02, 1e-12)
	for _, p := range c.Places {
		if !p.Total.Known() || p.Total.Level != Sure {
			t.Errorf("place %d: %+v, want moved", p.Index, p.Total)
		}
	}
}

func TestRefusals(t *testing.T) {
	two := []Place{{Z: []float64{1, 2}}, {X: 1, Z: []float64{1, 2}}, {X: 2, Z: []float64{1, nan}}}
	if _, err := Compare(two, 0, 1, same(2, Errors{Reading: 1}), Area{}); err != ErrFew {
		t.Errorf("two places: %v", err)
	}
	three := []Place{{Z: []float64{1, 2}}, {X: 1, Z: []float64{1, 2}}, {X: 2, Z: []float64{1, 2}}}
	for _, e := range []Errors{{}, {Reading: -1}, {Reading: nan}, {Reading: math.Inf(1)}, {Reading: 1, Setup: nan}} {
		if _, err := Compare(three, 0, 1, same(2, e), Area{}); err != ErrErrors {
			t.Errorf("%v: %v", e, err)
		}
	}
	c, err := Compare(three, 0, 1, same(2, Errors{Reading: 0.001}), Area{})
	if err != nil || c.Tilt != nil {
		t.Errorf("three places in a row: %v, tilt %v, want none", err, c.Tilt)
	}
}

// Holm's steps on four p-values by hand: 0.01·4, then 0.02·3, then 0.04 and 0.03 are at
// least the one before.
func TestHolmByHand(t *testing.T) {
	got := Holm([]float64{0.04, 0.01, 0.03, 0.02})
	for i, want := range []float64{0.06, 0.04, 0.06, 0.06} {
		near(t, "corrected p", got[i], want, 1e-15)
	}
	if p := Holm([]float64{0.5, 0.5, 0.5}); p[0] != 1 || p[2] != 1 {
		t.Errorf("%v, want no p above 1", p)
	}
	if len(Holm(nil)) != 0 {
		t.Error("no p-values")
	}
}

// Certified values: NIST StRD, linear regression, Pontius (quadratic, 40 observations),
// taken as a plane over x east and x² north. The data are from memory; that they give the
// certified values confirms them.
func TestTiltAgainstCertifiedValues(t *testing.T) {
	z := []float64{
		.11019, .21956, .32949, .43899, .54803, .65694, .76562, .87487, .98292, 1.09146,
		1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
		.11052, .22018, .32939, .43886, .54798, .65739, .76596, .87474, .98300, 1.09150,
		1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
	}
	const scale, square = 1e6, 1e12 // the two axes must be of one size for a floor
	x, y := make([]float64, len(z)), make([]float64, len(z))
	for i := range z {
		x[i] = 150000 * float64(i%20+1) / scale
		y[i] = x[i] * x[i]
	}
	tilt := FitTilt(x, y, z, 0)
	for _, c := range []struct {
		name           string
		got, certified float64
		digits         float64
	}{
		{"east", tilt.East / scale, 0.732059160401003e-6, 11},
		{"north", tilt.North / square, -0.316081871345029e-14, 10},
		{"s.d. east", tilt.EastSD / scale, 0.157817399981659e-9, 9},
		{"s.d. north", tilt.NorthSD / square, 0.486652849992036e-16, 9},
		{"residual s.d.", tilt.Scatter, 0.205177424076185e-3, 9},
		{"F", tilt.F, 185330865.995752, 9},
	} {
		if d := -math.Log10(math.Abs(c.got-c.certified) / math.Abs(c.certified)); d < c.digits {
			t.Errorf("%s = %.15g, certified %.15g: %.1f digits, want %g", c.name, c.got, c.certified, d, c.digits)
		}
	}
	if p := FitTilt(x, y, z, 0.01); p.Scatter != 0.01 || p.F >= tilt.F {
		t.Errorf("scatter %g, want at least that of the readings", p.Scatter)
	}
}

// The standard deviation of the slope is right: many floors spread by it.
func TestSlopeSD(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	x, y, z := make([]float64, 12), make([]float64, 12), make([]float64, 12)
	for i := range x {
		x[i], y[i] = 8*rng.Float64(), 2*rng.Float64()
		y[i] += 0.2 * x[i] // the two slopes depend on each other
	}
	var squares, said float64
	const floors = 4000
	for range floors {
		for i := range z {
			z[i] = 0.003*x[i] - 0.004*y[i] + 0.001*rng.NormFloat64()
		}
		tilt := FitTilt(x, y, z, 0)
		squares += (tilt.Slope() - 0.005) * (tilt.Slope() - 0.005)
		said += tilt.SlopeSD * tilt.SlopeSD
	}
	near(t, "s.d. of the slope, found over said", math.Sqrt(squares/said), 1, 0.05)
}

// unmoved makes a floor that did not move, read twice.
func unmoved(rng *rand.Rand, n int, e Errors) []Place {
	s := []float64{e.Setup * rng.NormFloat64(), e.Setup * rng.NormFloat64()}
	places := make([]Place, n)
	for i := range places {
		z := rng.Float64()
		places[i] = Place{X: float64(i % 5), Y: float64(i / 5), Weight: 1, Z: []float64{z + s[0] + e.Reading*rng.NormFloat64(), z + s[1] + e.Reading*rng.NormFloat64()}}
	}
	return places
}

// On an unmoved floor no more than 10 % of comparisons call anything moved, and no more
// than 1 % surely so; but for the correction it would be most of them.
func TestFalseAlarms(t *testing.T) {
	const floors = 4000
	for _, setup := range []float64{0, 0.001} {
		for _, n := range []int{3, 6, 30} {
			rng := rand.New(rand.NewPCG(7, uint64(n)))
			e := Errors{Reading: 0.001, Setup: setup}
			likely, sure, alone := 0, 0, 0
			for range floors {
				c, err := Compare(unmoved(rng, n, e), 0, 1, same(2, e), Area{})
				if err != nil {
					t.Fatal(err)
				}
				if c.Any() >= Likely {
					likely++
				}
				if c.Any() >= Sure {
					sure++
				}
				if slices.ContainsFunc(c.Places, func(p PlaceChange) bool { return twoSided(p.Total) <= 0.1 || twoSided(p.Relative) <= 0.1 }) {
					alone++
				}
			}
			// Two standard deviations of a count of 10 % and 1 % of the floors.
			if l, s := float64(likely)/floors, float64(sure)/floors; l > 0.1+2*0.0048 || s > 0.01+2*0.0016 {
				t.Errorf("%d places, set-up error %g: %.4f called moved at 90 %%, %.4f at 99 %%", n, setup, l, s)
			} else {
				t.Logf("%d places, set-up error %g: %.4f at 90 %%, %.4f at 99 %%; %.3f without correction", n, setup, l, s, float64(alone)/floors)
			}
			if n == 30 && float64(alone)/floors < 0.5 {
				t.Errorf("without correction %.3f of the floors show movement: the test cannot tell", float64(alone)/floors)
			}
		}
	}
}

// Intervals of 90 % hold the true change in 90 % of the surveys: at a place, against the
// middle of the others, and of the mean.
func TestIntervalsHoldTheChange(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	e := Errors{Reading: 0.001, Setup: 0.0007}
	const floors, n = 4000, 21
	var place, relative, whole int
	for range floors {
		places := unmoved(rng, n, e)
		places[4].Z[1] -= 0.006
		c, err := Compare(places, 0, 1, same(2, e), Area{})
		if err != nil {
			t.Fatal(err)
		}
		holds := func(m Moved, true float64) int {
			if math.Abs(m.Change-true) <= m.Half() {
				return 1
			}
			return 0
		}
		place += holds(c.Places[4].Total, -0.006)
		relative += holds(c.Places[4].Relative, -0.006)
		whole += holds(c.Mean, -0.006/n)
	}
	for _, v := range []struct {
		what string
		got  int
	}{{"place", place}, {"place against the middle", relative}, {"mean", whole}} {
		t.Logf("%s: %.4f", v.what, float64(v.got)/floors)
		near(t, v.what, float64(v.got)/floors, 0.9, 0.02)
	}
}

// What is said to be seen in 9 of 10 cases is.
func TestSeen(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 1))
	e := Errors{Reading: 0.001, Setup: 0.0005}
	const floors, n = 3000, 25
	seen := 0
	for range floors {
		places := unmoved(rng, n, e)
		c, err := Compare(places, 0, 1, same(2, e), Area{})
		if err != nil {
			t.Fatal(err)
		}
		places[7].Z[1] -= c.SeenRel
		if c, err = Compare(places, 0, 1, same(2, e), Area{}); err != nil {
			t.Fatal(err)
		}
		if c.Places[7].Relative.Level >= Likely {
			seen++
		}
	}
	near(t, "seen", float64(seen)/floors, 0.9, 0.02)
}

// A floor that moved before and has stopped is called moving in no more than 10 % of cases, and one
// that goes on by less than shows among all places is seen sooner for being looked at again.
func TestAgain(t *testing.T) {
	rng := rand.New(rand.NewPCG(19, 1))
	e := Errors{Reading: 0.001, Setup: 0.0005}
	const floors, n = 3000, 25
	still, on, alone := 0, 0, 0
	for range floors {
		places := unmoved(rng, n, e)
		shift := e.Setup * rng.NormFloat64()
		for i := range places {
			places[i].Z = append(places[i].Z, places[i].Z[0]+shift+math.Sqrt2*e.Reading*rng.NormFloat64())
		}
		for _, i := range []int{3, 4} { // went down by 12 mm, and stopped
			places[i].Z[1] -= 0.012
			places[i].Z[2] -= 0.012
		}
		three := []Errors{e, e, {Reading: math.Sqrt(3) * e.Reading, Setup: math.Sqrt2 * e.Setup}} // as the third is made from the first
		before, err := Compare(places, 0, 1, three, Area{})
		if err != nil {
			t.Fatal(err)
		}
		var moved []int
		for _, p := range before.Places {
			if p.Level() > NotShown {
				moved = append(moved, p.Index)
			}
		}
		last, err := Compare(places, 1, 2, three, Area{})
		if err != nil {
			t.Fatal(err)
		}
		if last.Again(moved) > NotShown {
			still++
		}
		for _, i := range []int{3, 4} { // and goes on
			places[i].Z[2] -= 3.2 * last.Places[i].Relative.SD
		}
		if last, err = Compare(places, 1, 2, three, Area{}); err != nil {
			t.Fatal(err)
		}
		if last.Again(moved) > NotShown {
			on++
		}
		if last.Any() > NotShown {
			alone++
		}
	}
	t.Logf("stopped: %.4f called moving; going on: %.3f seen, %.3f but for the second look", float64(still)/floors, float64(on)/floors, float64(alone)/floors)
	if float64(still)/floors > 0.1+2*0.0055 {
		t.Errorf("%.4f of stopped floors called moving", float64(still)/floors)
	}
	if on <= alone+floors/20 {
		t.Errorf("%d of %d seen, %d but for the second look", on, floors, alone)
	}
	c, err := Compare(unmoved(rng, n, e), 0, 1, same(2, e), Area{})
	if err != nil {
		t.Fatal(err)
	}
	if c.Again(nil) != c.Any() {
		t.Error("without places that moved before there is no second look")
	}
}

package uncertainty

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"pourplane/surface"
	"pourplane/survey"
)

// rowed is a rectangle of w by h m from (x0, 0) on with a shot in the middle of each of n by m equal
// parts.
func rowed(x0, w, h float64, n, m int) (ring survey.Ring, shots []survey.Point) {
	for _, p := range [][2]float64{{0, 0}, {w, 0}, {w, h}, {0, h}} {
		ring.Points = append(ring.Points, survey.Point{X: x0 + p[0], Y: p[1], Z: math.NaN()})
	}
	for i := range n {
		for j := range m {
			shots = append(shots, survey.Point{X: x0 + w*(float64(i)+0.5)/float64(n), Y: h * (float64(j) + 0.5) / float64(m), Z: 0.001 * float64((i*7+j*5)%4)})
		}
	}
	return ring, shots
}

// filledBy returns the fills of n floors that were drawn, m³, ascending.
func filledBy(m *Model, v Volume, n int) []float64 {
	fill := func(cells [][]Cell, each []float64) []float64 {
		sum := 0.0
		for i, of := range cells {
			for _, c := range of {
				_, volume := c.Between(0, math.Inf(1))
				sum += each[i] * volume
			}
		}
		return []float64{sum}
	}
	base := m.Triangulated(fill)[0]
	var out []float64
	for _, d := range m.Draw(v, n, fill) {
		out = append(out, v.Fill+d[0]-base)
	}
	slices.Sort(out)
	return out
}

// Where a shot is off a plane by errors of its own alone, of known standard deviations, the fill well
// below the target is normal: area × (target − mean of the shots), with the standard deviation of the
// mean, σ/√n, times the area. Of 50 floors drawn, ranked, each is its quantile (i + ½)/50.
func TestDrawsOfPureErrorsAreNormal(t *testing.T) {
	ring, shots := rowed(0, 8, 6, 4, 3)
	f := floorOf(t, shots, []survey.Ring{ring})
	target := surface.Horizontal(0.2)
	m := New(Input{Floor: f, Split: f, Target: target, Errors: Errors{Reading: 0.001}, Field: &Field{Smooth: Rugged, Reach: 1e-4, SD: 0.0002, Own: 0.0015}})
	mean := 0.0
	for _, s := range shots {
		mean += s.Z / 12
	}
	got := filledBy(m, m.Volume(f.FillTo(target, nil).Fill), 50)
	sd := math.Sqrt((0.001*0.001 + 0.0002*0.0002 + 0.0015*0.0015) / 12)
	for i, v := range got {
		if want := 48 * (0.2 - mean + sd*distuv.UnitNormal.Quantile((float64(i)+0.5)/50)); math.Abs(v-want) > 1e-4*48*sd {
			t.Errorf("rank %d: %.6f m³, want %.6f", i, v, want)
		}
	}
}

// The fills of floors drawn are those of the distribution that is printed, also of few shots, which
// leave many fields open, of a floor that is near its target, of regions of their own, and of tiles.
func TestDrawsHaveTheDistributionOfTheFill(t *testing.T) {
	large, many := rowed(0, 20, 16, 25, 20)
	small, few := rowed(30, 3, 2, 4, 3)
	rng := rand.New(rand.NewPCG(5, 6))
	for i := range many {
		many[i].Z += 0.004*math.Sin(many[i].X) + 0.001*rng.NormFloat64()
	}
	for _, c := range []struct {
		name  string
		floor *surface.Floor
		level float64
	}{
		{"12 shots", dish(t, 12), 0.05},
		{"26 shots", dish(t, 26), 0.05},
		{"26 shots near the target", dish(t, 26), -0.005},
		{"no fill but by chance", dish(t, 26), -0.021},
		{"tiles and a small region", floorOf(t, append(many, few...), []survey.Ring{large, small}), 0.03},
	} {
		m, fill := modelOf(c.floor, c.level, Errors{Reading: 0.001, Setup: 0.0005})
		v := m.Volume(fill)
		if !v.Known {
			t.Fatal(c.name)
		}
		const n = 200
		for i, got := range filledBy(m, v, n) {
			if want := max(0, v.Dist.Quantile((float64(i)+0.5)/n)); math.Abs(got-want) > 1e-3*v.Parts.Total {
				t.Errorf("%s, rank %d: %.6f m³, want %.6f; standard deviation %.6f", c.name, i, got, want, v.Parts.Total)
			}
		}
	}
}

// By hand: 1 m² 10 mm deep and 1 m² 20 mm above the target, and a region of 1 m² from 0 to 8 mm deep
// that gets deeper half as fast. 10 mm deeper they take 20 + 9 L, 30 mm deeper 40 + 10 + 19 L; 10 mm
// higher the second region is 3 mm deep at most, and 3²/2/8 L are left. Also from far off, where nothing
// or all is filled.
func TestFillTo(t *testing.T) {
	cells := [][]Cell{{{Area: 1, Depth: 0.01}, {Area: 1, Depth: -0.02}}, {{Area: 1, Depth: 0.004, Span: 0.008}}}
	for _, c := range []struct{ want, by float64 }{{0.014, 0}, {0.029, 0.01}, {0.069, 0.03}, {0.0005625, -0.01}} {
		for _, from := range []float64{0, -1, 1} {
			f := drawnFloor{[][]float64{{0, 0}, {0}}, []float64{from, from / 2}, []float64{0, 0}}
			f.fillTo(c.want, cells, []float64{1, 1}, []float64{1, 0.5})
			if got := f.deeper; math.Abs(got[0]-c.by) > 1e-7 || math.Abs(got[1]-c.by/2) > 1e-7 {
				t.Errorf("%g m³ from %g m: deeper by %g m, want %g", c.want, from, got, c.by)
			}
		}
	}
}

// Regions share in a change by what is open of them: where shots have errors of their own alone, area
// over shots, and with an error in common all of the area in its square as well.
func TestSharing(t *testing.T) {
	one, few := rowed(0, 8, 6, 4, 3)
	two, many := rowed(10, 4, 3, 6, 5)
	f := floorOf(t, append(few, many...), []survey.Ring{one, two})
	target := surface.Horizontal(0.2)
	for _, setup := range []float64{0, 0.001} {
		m := New(Input{Floor: f, Split: f, Target: target, Errors: Errors{Setup: setup}, Field: &Field{Smooth: Rugged, Reach: 1e-4, SD: 0.0002, Own: 0.0015}})
		cells, each := m.bare()
		got := m.sharing(m.Volume(f.FillTo(target, nil).Fill), cells, each)
		of, common := 0.0002*0.0002+0.0015*0.0015, setup*setup*60
		if want := (of*12/30 + common) / (of*48/12 + common); got[0] != 1 || math.Abs(got[1]/want-1) > 1e-3 {
			t.Errorf("error in common %g m: %g, want 1 and %g", setup, got, want)
		}
	}
	plane := floorOf(t, []survey.Point{{X: 1, Y: 1}, {X: 7, Y: 1}, {X: 1, Y: 5}, {X: 7, Y: 5}, {X: 4, Y: 3}}, rectangle(8, 6))
	m, _ := modelOf(plane, 0.05, Errors{})
	cells, each := m.bare()
	if got := m.sharing(Volume{Regions: []float64{0}}, cells, each); got[0] != 1 {
		t.Errorf("known without any doubt: %g", got)
	}
}

// The order of the rows changes no draw.
func TestDrawsDoNotDependOnTheOrderOfRows(t *testing.T) {
	f := dish(t, 26)
	shots := slices.Clone(f.Data.Shots)
	slices.Reverse(shots)
	var got [2][]float64
	for i, f := range []*surface.Floor{f, floorOf(t, shots, rectangle(8, 6))} {
		m, fill := modelOf(f, 0.01, Errors{Reading: 0.001, Setup: 0.0005})
		for _, d := range m.Draw(m.Volume(fill), 40, func(cells [][]Cell, _ []float64) []float64 { return []float64{cells[0][17].Depth} }) {
			got[i] = append(got[i], d[0])
		}
	}
	for d := range got[0] {
		if math.Abs(got[0][d]-got[1][d]) > 1e-9 {
			t.Errorf("draw %d: %g and %g m deep", d, got[0][d], got[1][d])
		}
	}
}

// A ± counts from what the triangulated floor has, by hand: of 200 floors 180 are within it, and that
// is more than 1.645 standard deviations where most of them have more of a depth than it has.
func TestSpreadIsAboutTheTriangulatedFloor(t *testing.T) {
	m, fill := modelOf(dish(t, 26), 0.02, Errors{Reading: 0.001, Setup: 0.001})
	v := m.Volume(fill)
	deep := func(cells [][]Cell, _ []float64) []float64 {
		area := 0.0
		for _, c := range cells[0] {
			a, _ := c.Between(0.038, 1)
			area += a
		}
		return []float64{area}
	}
	got, base := m.Spread(v, 200, deep)[0], m.Triangulated(deep)[0]
	in := 0
	for _, d := range m.Draw(v, 200, deep) {
		if math.Abs(d[0]-base) <= got.Within {
			in++
		}
	}
	if in != 180 || got.Within < 1.7*got.SD {
		t.Errorf("%d of 200 are within ±%g m² of %g, standard deviation %g", in, got.Within, base, got.SD)
	}
}

// What each place has of its own spreads the depths of a floor that is drawn: by hand, of an even spread of
// 3 mm standard deviation, so ±3√3 mm, (3√3 − 3) / (6√3) of the area is more than 3 mm deeper than the mean.
func TestDrawnFloorsAreRough(t *testing.T) {
	var shots []survey.Point
	for i := range 25 {
		shots = append(shots, survey.Point{X: 0.5 + 1.75*float64(i%5), Y: 0.5 + 1.25*float64(i/5)})
	}
	f := floorOf(t, shots, rectangle(8, 6))
	field := Field{Smooth: Bent, Reach: 1.5, SD: 1e-5, Own: 0.003}
	m := New(Input{Floor: f, Split: f, Target: surface.Horizontal(0.05), Errors: Errors{Reading: 1e-4}, Field: &field})
	const n = 400
	mean := 0.0
	for _, d := range m.Draw(m.Volume(48*0.05), n, func(cells [][]Cell, each []float64) []float64 {
		area := 0.0
		for _, c := range cells[0] {
			a, _ := c.Between(0.053, math.Inf(1))
			area += a
		}
		return []float64{area}
	}) {
		mean += d[0] / n
	}
	if want := 48 * (math.Sqrt(3) - 1) / (2 * math.Sqrt(3)); math.Abs(mean-want) > 0.2 {
		t.Errorf("%g m² on average, want %g", mean, want)
	}
}

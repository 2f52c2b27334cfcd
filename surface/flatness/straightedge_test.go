package flatness

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"sync/atomic"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

var undeclared = survey.Declared{Area2D: math.NaN(), Area3D: math.NaN(), ElevMin: math.NaN(), ElevMax: math.NaN()}

// gridFloor is a floor of nx × ny squares of a side, each cut from south-west to north-east.
func gridFloor(tb testing.TB, nx, ny int, side float64, z func(x, y float64) float64) *surface.Floor {
	tb.Helper()
	s := survey.Surface{Name: "grid", Declared: undeclared}
	for j := range ny + 1 {
		for i := range nx + 1 {
			x, y := float64(i)*side, float64(j)*side
			s.Vertices = append(s.Vertices, survey.Point{X: x, Y: y, Z: z(x, y)})
		}
	}
	for j := range ny {
		for i := range nx {
			a := int32(j*(nx+1) + i)
			b := a + int32(nx) + 1
			s.Faces = append(s.Faces, [3]int32{a, a + 1, b + 1}, [3]int32{a, b + 1, b})
		}
	}
	f, err := surface.FromFaces(s)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

func lay(tb testing.TB, f *surface.Floor, l Laying) Straightedge {
	tb.Helper()
	e, err := Lay(f, l)
	if err != nil {
		tb.Fatal(err)
	}
	return e
}

// rough is the floor of the raster race: 1600 × 1000 nodes at 25 mm.
func rough(x, y float64) float64 {
	h := uint64(math.Round(x*40))*2654435761 + uint64(math.Round(y*40))*40503
	h ^= h >> 13
	h *= 0x9E3779B97F4A7C15
	noise := float64(h>>11)/(1<<53) - 0.5
	return 0.001*x + 0.004*math.Sin(x/1.7)*math.Sin(y/2.3) + 0.002*math.Sin(x/0.6+y/0.9) + 0.0008*noise
}

func BenchmarkStraightedge(b *testing.B) {
	if !testing.Short() {
		raster := gridFloor(b, 1599, 999, 0.025, rough)
		for _, n := range []int{2, 12} {
			b.Run(fmt.Sprintf("points=1.6M/directions=%d", n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					lay(b, raster, Laying{Length: 3.048, Directions: n})
				}
			})
		}
	}
	var rows [][]surface.Station // without a surface to walk over
	for y := range 100 {
		var row []surface.Station
		for x := range 1000 {
			at := surface.Vec{X: float64(x) * 0.025, Y: float64(y) * 0.025}
			row = append(row, surface.Station{Distance: at.X, At: at, Elevation: rough(at.X, at.Y)})
		}
		rows = append(rows, row)
	}
	b.Run("rows=100/points=100k", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := LayAlong(rows, Laying{Length: 3.048}); err != nil {
				b.Fatal(err)
			}
		}
	})
	random := func(wide, high float64) *surface.Floor {
		rng := rand.New(rand.NewPCG(1, 1))
		shots := make([]survey.Point, 100_000)
		for i := range shots {
			x, y := wide*rng.Float64(), high*rng.Float64()
			shots[i] = survey.Point{X: x, Y: y, Z: rough(x, y)}
		}
		f, err := surface.NewFloor(surface.Data{Shots: shots})
		if err != nil {
			b.Fatal(err)
		}
		return f
	}
	f := random(40, 25)
	b.Run("points=100k/floor=random/directions=12", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			lay(b, f, Laying{Length: 3.048})
		}
	})
	if testing.Short() {
		return
	}
	large := random(200, 100)
	b.Run("points=100k/floor=large/lengths=9", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := LayAll(large, Laying{}, 0.2, 0.3048, 0.6, 0.8128, 1.8288, 2, 3.048, 4, 6.096); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func TestPlaneHasNoGap(t *testing.T) {
	f := gridFloor(t, 40, 30, 0.1, func(x, y float64) float64 { return 100 + 0.013*x - 0.007*y })
	e := lay(t, f, Laying{Length: 2})
	near(t, "gap", e.Gap, 0, 2e-9)
	near(t, "within", e.Within(1e-6), 1, 1e-12)
}

// along makes a profile of x and z in turn.
func along(xz ...float64) [][]surface.Station {
	var out []surface.Station
	for i := 0; i < len(xz); i += 2 {
		out = append(out, surface.Station{Distance: xz[i], At: surface.Vec{X: xz[i], Y: 7}, Elevation: xz[i+1]})
	}
	return [][]surface.Station{out}
}

func layAlong(t *testing.T, p [][]surface.Station, l Laying) Straightedge {
	t.Helper()
	e, err := LayAlong(p, l)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// A concrete test pad measured at the Stanford Linear Accelerator Center on 5 May 2003, 45°
// lines, readings every 300 mm, in mm. Gaps, supports and low places for a 3.0 m edge with
// its ends on readings were computed elsewhere, by a program that tries all pairs.
func TestEdgeOnAPublishedSlab(t *testing.T) {
	for i, c := range []struct {
		mm      []float64
		gap     float64
		a, b, k int
	}{
		{[]float64{418.617, 419.938, 421.894, 423.748, 425.221, 424.739, 423.799, 424.307, 425.425, 424.688, 423.164, 422.758, 420.472, 416.738}, 1.5240, 4, 8, 6},
		{[]float64{418.592, 421.081, 422.072, 421.513, 420.040, 421.132, 420.675, 421.640, 421.894, 421.538, 421.183, 421.894, 419.684, 420.040, 417.982}, 1.9924, 2, 11, 4},
		{[]float64{418.338, 419.659, 419.227, 419.227, 418.668, 418.186, 418.973, 419.379, 420.141, 419.532, 418.643, 418.719, 416.763, 414.782}, 1.7484, 1, 8, 5},
		{[]float64{418.617, 418.973, 419.100, 420.878, 419.989, 419.227, 419.684, 420.751, 420.065, 421.259, 421.386, 418.846, 419.887, 418.363}, 1.7961, 3, 10, 5},
		{[]float64{418.846, 418.135, 418.998, 419.405, 420.294, 420.370, 421.640, 421.259, 422.910, 423.926, 424.053, 423.164, 422.732, 422.834, 421.513}, 1.5381, 0, 9, 7},
	} {
		run := survey.Run{Name: fmt.Sprint(i), Step: 0.3, Start: survey.Point{X: math.NaN()}}
		for _, z := range c.mm {
			run.Stations = append(run.Stations, survey.Station{Z: z / 1000})
		}
		profile, err := Stretches(run)
		if err != nil {
			t.Fatal(err)
		}
		var p stretch
		for _, s := range profile[0] {
			p.add(s.Distance, s.Elevation)
		}
		worst, a, b, k := 0.0, 0, 0, 0
		for first := 0; first+10 < len(c.mm); first++ {
			r := resting{stretch: &p, length: 3}
			r.place(p.x[first])
			if gap := r.gapUnder(r.edge(), r.low); gap > worst {
				xa, _, xb, _ := r.supports(r.s)
				worst, a, b, k = gap, int(math.Round(xa/0.3)), int(math.Round(xb/0.3)), r.low
			}
		}
		near(t, fmt.Sprintf("line %d: gap in mm", i), worst*1000, c.gap, 0.00006)
		if a != c.a || b != c.b || k != c.k {
			t.Errorf("line %d: supports %d and %d, lowest at %d; want %d, %d, %d", i, a, b, k, c.a, c.b, c.k)
		}
		// In every position, the worst is at least that.
		if e := layAlong(t, profile, Laying{Length: 3}); e.Gap < worst-1e-12 {
			t.Errorf("line %d: worst gap %g in all positions, %g in those on readings", i, e.Gap, worst)
		}
	}
}

func TestStretchesEndWhereAReadingIsMissing(t *testing.T) {
	r := survey.Run{Name: "A", Step: 0.5, Start: survey.Point{X: 1, Y: 2}, End: survey.Point{X: 1, Y: 4.5}}
	for _, z := range []float64{1, 2, math.NaN(), 3, math.NaN(), 4} {
		r.Stations = append(r.Stations, survey.Station{Z: z})
	}
	p, err := Stretches(r)
	if err != nil || len(p) != 1 || len(p[0]) != 2 || p[0][1] != (surface.Station{Distance: 0.5, At: surface.Vec{X: 1, Y: 2.5}, Elevation: 2}) {
		t.Errorf("got %v, %v", p, err)
	}
	r.Step = 0
	if _, err := Stretches(r); err == nil || err.Error() != "run A: found no distance between readings, want the step of the run" {
		t.Errorf("got %v", err)
	}
}

// Two planes that meet in a valley, g m/m each way. With one end p metres before the valley
// the gap is 2g·p·(L−p)/L, by hand: max in the middle, at no node.
func TestEdgeOverAValley(t *testing.T) {
	const L, g, X = 2.0, 0.004, 7.0
	e := layAlong(t, along(0, 3*g, 3, 0, X, (X-3)*g), Laying{Length: L, Limit: func(d float64) float64 { return 0.002 + 0.001*d }})
	near(t, "gap", e.Gap, g*L/2, 1e-15)
	near(t, "ratio", e.Ratio, g*L/2/(0.002+0.001*L), 1e-12)
	near(t, "from", e.From.X, 2, 1e-9)
	near(t, "to", e.To.X, 4, 1e-9)
	near(t, "support a", e.SupportA.X, 2, 1e-9)
	near(t, "support b", e.SupportB.X, 4, 1e-9)
	near(t, "low", e.LowAt.X, 3, 1e-15)
	near(t, "across", e.LowAt.Y, 7, 0)
	near(t, "positions", e.Positions, X-L, 1e-12)
	for _, tol := range []float64{0.001, 0.0025, 0.003175, 0.0039} {
		p := (L - math.Sqrt(L*L-2*tol*L/g)) / 2
		near(t, fmt.Sprintf("share within %g", tol), e.Within(tol), 1-(L-2*p)/(X-L), 1e-6)
	}
	near(t, "share within 4 mm", e.Within(0.004), 1, 1e-12)
	near(t, "share within less than nothing", e.Within(-1), 0, 0)
}

// A hump of height h and half width w on a level floor. An edge that rests on its
// top with the other end d metres away on the floor leaves h·(1 − w/d) at the
// foot; with the end y metres up the flank, h·y·(L−y)/(w·L). Both by hand. Balanced
// on the top it turns by 4h/L.
func TestEdgeOverAHump(t *testing.T) {
	const L, h, w, X = 2.0, 0.008, 0.3, 8.0
	hump := along(0, 0, X/2-w, 0, X/2, h, X/2+w, 0, X, 0)
	limit := func(d float64) float64 { return 0.006 + 0.003*d } // worst with the supports some 1.15 m apart
	e := layAlong(t, hump, Laying{Length: L, Limit: limit})
	near(t, "gap", e.Gap, h*(1-w/L), 1e-15)
	near(t, "swing", e.Swing, 2*h, 1e-14)
	near(t, "where it rocks", e.Rock.LowAt.X, X/2, 1e-12)
	near(t, "rocking", e.Rocking, 0, 1e-12)
	worst := 0.0
	for d := L / 2; d <= L; d += 1e-5 {
		worst = max(worst, h*(1-w/d)/limit(d))
	}
	for y := 0.0; y <= w; y += 1e-5 {
		worst = max(worst, h*y*(L-y)/(w*L)/limit(L))
	}
	near(t, "ratio", e.Ratio, worst, 1e-9)
	for _, tol := range []float64{0.0057, 0.00635, 0.0066} {
		d := w / (1 - tol/h)
		y := (L - math.Sqrt(L*L-4*w*L*tol/h)) / 2
		near(t, fmt.Sprintf("share within %g", tol), e.Within(tol), 1-2*(L-max(d, L/2)+w-y)/(X-L), 1e-6)
	}

	// On a flat top the edge lies flat while its middle is over it, and rocks.
	flat := along(0, 0, 3, 0, 3.5, h, 3.8, h, 4.3, 0, X, 0)
	near(t, "rocking on a flat top", layAlong(t, flat, Laying{Length: L}).Rocking, 0.3, 1e-12)
}

func TestEdgeOverWaves(t *testing.T) {
	const a, wave = 0.003, 1.5
	f := gridFloor(t, 600, 2, 0.01, func(x, _ float64) float64 { return a * math.Sin(2*math.Pi*x/wave) })
	// An edge longer than a wave rests on two crests: both lie on nodes, as do the
	// troughs between them to a hundredth of the wave.
	e := lay(t, f, Laying{Length: 1.2 * wave, Directions: 1, Spacing: 0.01})
	near(t, "gap", e.Gap, 2*a, 2*a*math.Pow(math.Pi*0.01/wave, 2))
	// Three lines to the east, 601 to the north, where the floor is too narrow.
	if e.Lines != 604 || !slices.Equal(e.Directions, []float64{0, 90}) {
		t.Errorf("%d lines in directions %v", e.Lines, e.Directions)
	}
}

// waves is a floor with nothing symmetric about it.
func waves(x, y float64) float64 {
	return 0.002*x - 0.001*y + 0.004*math.Sin(1.3*x+0.4*y) + 0.003*math.Cos(2.1*y-0.3*x)
}

func turnedBy(t *testing.T, degrees float64) *surface.Floor {
	t.Helper()
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	s := survey.Surface{Declared: undeclared}
	const nx, ny = 40, 24
	for j := range ny + 1 {
		for i := range nx + 1 {
			x, y := float64(i)*0.15, float64(j)*0.15
			s.Vertices = append(s.Vertices, survey.Point{X: 500 + x*cos - y*sin, Y: 900 + x*sin + y*cos, Z: waves(x, y)})
		}
	}
	for j := range int32(ny) {
		for i := range int32(nx) {
			a := j*(nx+1) + i
			s.Faces = append(s.Faces, [3]int32{a, a + 1, a + nx + 2}, [3]int32{a, a + nx + 2, a + nx + 1})
		}
	}
	f, err := surface.FromFaces(s)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestTurnedFloorIsAsFlat(t *testing.T) {
	l := Laying{Length: 2, Spacing: 0.1}
	want := lay(t, turnedBy(t, 0), l)
	for _, degrees := range []float64{30, 90, 155} {
		got := lay(t, turnedBy(t, degrees), l)
		if math.Mod(degrees, 15) != 0 {
			// Only the direction of the wall is common to both, and that square to it.
			if len(got.Directions) != len(want.Directions)+1 {
				t.Errorf("turned by %g°: directions %v", degrees, got.Directions)
			}
			continue
		}
		near(t, "gap", got.Gap, want.Gap, 1e-7)
		near(t, "positions", got.Positions, want.Positions, 1e-2)
		near(t, "share", got.Within(0.002), want.Within(0.002), 1e-3)
		near(t, "swing", got.Swing, want.Swing, 1e-7)
		near(t, "gap of the second place", got.Worst[1].Gap, want.Worst[1].Gap, 2e-5)
	}
}

// The answer equals that of laying the edge along the floor's profile for each line, and
// does not depend on the number of processors.
func TestLinesAreProfilesOfTheFloor(t *testing.T) {
	f := turnedBy(t, 0)
	e := lay(t, f, Laying{Length: 2, Spacing: 0.1, Directions: 1})
	worst, way, within := 0.0, 0.0, 0.0
	lo, hi := f.Bounds()
	for _, north := range []bool{false, true} {
		n := 36 // lines 0.1 m apart over 3.6 m, and over 6 m
		if north {
			n = 60
		}
		for i := range n + 1 {
			across := min(max(0.1*float64(i), inside), 0.1*float64(n)-inside)
			a, b := surface.Vec{X: lo.X - 1, Y: lo.Y + across}, surface.Vec{X: hi.X + 1, Y: lo.Y + across}
			if north {
				a, b = surface.Vec{X: lo.X + across, Y: lo.Y - 1}, surface.Vec{X: lo.X + across, Y: hi.Y + 1}
			}
			one := layAlong(t, f.Profile(a, b), Laying{Length: 2})
			worst, way, within = max(worst, one.Gap), way+one.Positions, within+one.Within(0.002)*one.Positions
		}
	}
	near(t, "share", e.Within(0.002), within/way, 1e-9)
	near(t, "positions", e.Positions, way, 1e-6)
	if e.Gap < worst {
		t.Errorf("gap %g m, on a line %g m", e.Gap, worst)
	}
}

func TestWorstPlacesAreSeparate(t *testing.T) {
	e := lay(t, turnedBy(t, 0), Laying{Length: 1, Spacing: 0.05, Worst: 6})
	if len(e.Worst) != 6 || e.Worst[0] != e.Place {
		t.Fatalf("%d places, the first %v, the worst %v", len(e.Worst), e.Worst[0], e.Place)
	}
	for i, p := range e.Worst {
		near(t, "length", p.From.Distance(p.To), 1, 1e-9)
		for _, q := range e.Worst[:i] {
			if q.Gap < p.Gap || q.LowAt.Distance(p.LowAt) < 0.5 {
				t.Errorf("places %v and %v", q, p)
			}
		}
	}
}

func TestEdgeDoesNotLieAcrossAStep(t *testing.T) {
	var shots []survey.Point
	for y := 0.25; y < 3; y += 0.5 {
		for x := 0.25; x < 8; x += 0.5 {
			shots = append(shots, survey.Point{X: x, Y: y, Z: 0.002*y + 0.04*math.Floor(x/4)})
		}
	}
	ring, step := survey.Ring{}, survey.Breakline{}
	for _, p := range [][2]float64{{0, 0}, {8, 0}, {8, 3}, {0, 3}} {
		ring.Points = append(ring.Points, survey.Point{X: p[0], Y: p[1], Z: math.NaN()})
	}
	for _, y := range []float64{-0.1, 3.1} {
		step.Points = append(step.Points, survey.Point{X: 4, Y: y, Z: math.NaN()})
	}
	f, err := surface.NewFloor(surface.Data{Shots: shots, Rings: []survey.Ring{ring}, Lines: []survey.Breakline{step}})
	if err != nil || len(f.Regions) != 2 {
		t.Fatalf("%d regions, %v", len(f.Regions), err)
	}
	e := lay(t, f, Laying{Length: 2})
	near(t, "gap", e.Gap, 0, 1e-9)
	near(t, "longest stretch", e.Longest, 8/math.Sqrt(3), 1e-9) // from side to side of 4 m, at 30°
	if e = lay(t, f, Laying{Length: 5.5}); e.Fits || e.Positions != 0 || len(e.Worst) != 0 {
		t.Errorf("an edge longer than either side: %+v", e)
	}
}

// An edge exactly as long as the floor has one position.
func TestEdgeAsLongAsTheFloor(t *testing.T) {
	e := layAlong(t, along(10, 0, 11, -0.003, 12, 0), Laying{Length: 2})
	near(t, "gap", e.Gap, 0.003, 1e-15)
	if !e.Fits || e.Within(0.003) != 1 || e.Within(0.0029) != 0 {
		t.Errorf("%+v", e)
	}
}

// 2.0 m by 1.5 m has a diagonal of 2.5 m (Pythagoras), in none of the directions tried
// first.
func TestEdgeFitsTheDiagonalOnly(t *testing.T) {
	f := gridFloor(t, 4, 3, 0.5, func(x, y float64) float64 { return 0.002 * (x - 1) * (x - 1) })
	e := lay(t, f, Laying{Length: 2.5})
	if !e.Fits {
		t.Fatalf("%+v", e)
	}
	// The hollow is 2 mm deep along x = 1, where rows of triangles meet.
	near(t, "gap", e.Gap, 0.002, 1e-9)
	near(t, "longest", e.Longest, 2.5, 1e-7)
	if len(e.Directions) < 13 || !slices.IsSorted(e.Directions) {
		t.Errorf("directions %v", e.Directions)
	}
	if e = lay(t, f, Laying{Length: 2.501}); e.Fits {
		t.Errorf("longer than the diagonal: %+v", e)
	}
	near(t, "longest of what is too short", e.Longest, 2.5, 1e-7)
}

// The longest way over an L runs from the far corner of one arm past the inner corner to
// the outer wall of the other: 4 m to the side and, by similar triangles, 4/3 m across.
func TestEdgeRoundAnInnerCorner(t *testing.T) {
	var ring survey.Ring
	for _, p := range [][2]float64{{0, 0}, {4, 0}, {4, 1}, {1, 1}, {1, 4}, {0, 4}} {
		ring.Points = append(ring.Points, survey.Point{X: p[0], Y: p[1], Z: math.NaN()})
	}
	var shots []survey.Point
	for x := 0.1; x < 4; x += 0.2 {
		shots = append(shots, survey.Point{X: x, Y: 0.5, Z: 1}, survey.Point{X: 0.5, Y: x, Z: 1}, survey.Point{X: x, Y: 0.1, Z: 1}, survey.Point{X: 0.1, Y: x, Z: 1})
	}
	f, err := surface.NewFloor(surface.Data{Shots: shots, Rings: []survey.Ring{ring}})
	if err != nil {
		t.Fatal(err)
	}
	most := math.Hypot(4, 4./3)
	near(t, "longest", lay(t, f, Laying{Length: 9}).Longest, most, 1e-7)
	if e := lay(t, f, Laying{Length: most}); !e.Fits || e.Gap > 1e-9 {
		t.Errorf("%+v", e)
	}
}

// The worst places are those found by sorting all candidates by gap and keeping each that is
// apart from those before it.
func TestWorstPlacesAreSorted(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 50 {
		s := search{Laying: Laying{Length: 2, Worst: 10}}
		for range 300 {
			gap := math.Round(20*rng.Float64()) / 1e4 // many are alike: the first of them counts
			s.found = append(s.found, Place{Gap: gap, LowAt: surface.Vec{X: 6 * rng.Float64(), Y: 4 * rng.Float64()}})
		}
		all := slices.Clone(s.found)
		slices.SortStableFunc(all, func(a, b Place) int { return cmp.Compare(b.Gap, a.Gap) })
		var want []Place
		for _, p := range all {
			if len(want) < 10 && !slices.ContainsFunc(want, func(w Place) bool { return w.LowAt.Distance(p.LowAt) < 1 }) {
				want = append(want, p)
			}
		}
		if got := s.result().Worst; !reflect.DeepEqual(got, want) {
			t.Fatalf("got %v, want %v", got, want)
		}
	}
}

// Where the slope has turned by a part is worked out with what is the same for all parts
// taken before the loop: to the bit what the formula in one piece gives.
func TestTurningToTheBit(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for range 1000 {
		x, u, f := 3+rng.Float64(), 1+rng.Float64(), rng.Float64()
		s := u - rng.Float64()
		left := turning{x, -1, 1 / (x - s), 1/(x-u) - 1/(x-s)}
		if want := x - 1/(1/(x-s)+float64(f*(1/(x-u)-1/(x-s)))); left.at(f) != want {
			t.Fatalf("%v, want %v", left.at(f), want)
		}
		y := s - 0.1 - rng.Float64()
		right := turning{y, 1, 1 / (s - y), 1/(u-y) - 1/(s-y)}
		if want := y + 1/(1/(s-y)+float64(f*(1/(u-y)-1/(s-y)))); right.at(f) != want {
			t.Fatalf("%v, want %v", right.at(f), want)
		}
	}
}

func TestLayingRefusals(t *testing.T) {
	f := gridFloor(t, 1, 1, 1, waves)
	for want, l := range map[string]Laying{
		"length of the straightedge: found 0 m, want 0.01 to 100 m":                {},
		"length of the straightedge: found NaN m, want 0.01 to 100 m":              {Length: math.NaN()},
		"directions of the straightedge: found -1, want 1 to 180 over half a turn": {Length: 2, Directions: -1},
		"spacing of lines: found 0.0001 m, want at least 0.001 m":                  {Length: 2, Spacing: 0.0001},
		"number of worst places: found -2, want 1 or more":                         {Length: 2, Worst: -2},
	} {
		if _, err := Lay(f, l); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

// From the slope of the floor, the floor under two places 0.6 m apart differs by
// nothing; from level, by the slope; over a hump of 4 mm, by that.
func TestStepFromTheTarget(t *testing.T) {
	slope := surface.Plane{SlopeX: 0.01, SlopeY: -0.02}
	f := gridFloor(t, 40, 40, 0.1, func(x, y float64) float64 { return 5 + slope.Elevation(surface.Vec{X: x, Y: y}) })
	near(t, "from the slope", lay(t, f, Laying{Length: 0.6, Target: slope}).Step, 0, 1e-9)
	// Of twelve directions the one at 120° is nearest to that of the fall, 116.6°.
	e := lay(t, f, Laying{Length: 0.6})
	near(t, "from level", e.Step, 0.6*(0.01*0.5+0.02*math.Sqrt(3)/2), 1e-9)
	hump := along(0, 0, 2.05, 0.0205, 2.15, 0.0255, 2.25, 0.0225, 5, 0.05)
	e = layAlong(t, hump, Laying{Length: 0.6, Target: surface.Plane{SlopeX: 0.01}})
	near(t, "over a hump", e.Step, 0.004, 1e-15)
}

// The answer is the same, to the bit, on one processor and on several.
func TestProcessorsDoNotMatter(t *testing.T) {
	f := turnedBy(t, 0)
	l := Laying{Length: 1.5, Spacing: 0.02}
	want := lay(t, f, l)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	for _, n := range []int{1, 7} {
		runtime.GOMAXPROCS(n)
		if got := lay(t, f, l); !reflect.DeepEqual(got, want) {
			t.Errorf("on %d processors %+v", n, got)
		}
	}
}

// Several lengths at once come to what each comes to alone, to the bit.
func TestLengthsTogether(t *testing.T) {
	f := turnedBy(t, 0)
	l := Laying{Spacing: 0.05, Limit: func(d float64) float64 { return 0.002 + 0.001*d }}
	lengths := []float64{0.2, 2, 0.6096, 1.5, 50}
	all, err := LayAll(f, l, lengths...)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range all {
		l.Length = lengths[i]
		if want := lay(t, f, l); !reflect.DeepEqual(e, want) {
			t.Errorf("%g m: %+v, alone %+v", lengths[i], e, want)
		}
	}
	if all[4].Fits || !all[3].Fits {
		t.Errorf("%+v", all)
	}
}

func TestProgressReachesTheEnd(t *testing.T) {
	last, of := 0, 0
	lay(t, turnedBy(t, 0), Laying{Length: 1, Spacing: 0.02, Directions: 4, Progress: func(done, total int) {
		last, of = done, total
	}})
	if last != of || of == 0 {
		t.Errorf("last told %d of %d", last, of)
	}
}

// Whoever stops the laying gets the reason and no result, at whatever question: none of the
// parts that were left out is taken for one without gaps.
func TestLayingStops(t *testing.T) {
	enough := errors.New("enough")
	f := turnedBy(t, 0)
	l := Laying{Spacing: 0.02, Directions: 4}
	var asked atomic.Int64
	l.Stop = func() error { asked.Add(1); return nil }
	if _, err := LayAll(f, l, 1, 2); err != nil {
		t.Fatal(err)
	}
	for at := int64(1); at <= asked.Load(); at += max(1, asked.Load()/12) {
		var n atomic.Int64
		l.Stop = func() error {
			if n.Add(1) == at { // once is enough
				return enough
			}
			return nil
		}
		if got, err := LayAll(f, l, 1, 2); !errors.Is(err, enough) || got != nil {
			t.Errorf("stopped at question %d of %d: %v, %d edges", at, asked.Load(), err, len(got))
		}
	}
}

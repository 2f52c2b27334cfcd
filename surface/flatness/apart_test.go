package flatness

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// room is a floor of shots inside walls with the given sides, m.
func room(tb testing.TB, wide, high float64, shots [][2]float64) *surface.Floor {
	tb.Helper()
	ring := survey.Ring{}
	for _, p := range [][2]float64{{0, 0}, {wide, 0}, {wide, high}, {0, high}} {
		ring.Points = append(ring.Points, survey.Point{X: p[0], Y: p[1], Z: math.NaN()})
	}
	data := surface.Data{Rings: []survey.Ring{ring}}
	for i, p := range shots {
		data.Shots = append(data.Shots, survey.Point{X: p[0], Y: p[1], Z: 10 + 0.0001*float64(i%7)})
	}
	f, err := surface.NewFloor(data)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

func grid(from, side float64, nx, ny int) [][2]float64 {
	var out [][2]float64
	for j := range ny {
		for i := range nx {
			out = append(out, [2]float64{from + float64(i)*side, from + float64(j)*side})
		}
	}
	return out
}

func TestReadingsApart(t *testing.T) {
	// A grid is as far apart as its side, whatever its triangles: the share of a square near
	// a corner is known (see onGrid), and is found on places that match no grid.
	flat := func(x, y float64) float64 { return 0 }
	near(t, "a grid", Apart(gridFloor(t, 16, 12, 0.5, flat)), 0.5, 0.005)
	near(t, "a fine grid far from a whole number", Apart(gridFloor(t, 70, 50, 0.0371, flat)), 0.0371, 0.0005)
	// Half a spacing off the walls is as anywhere; a whole one leaves a third of the floor to be
	// estimated.
	near(t, "half off the walls", Apart(room(t, 8, 6, grid(0.25, 0.5, 16, 12))), 0.5, 0.02)
	if d := Apart(room(t, 8, 6, grid(0.6, 0.6, 12, 9))); d < 0.9 || d > 1.1 {
		t.Errorf("a grid a whole spacing off the walls: %g m", d)
	}
	// Nine in ten shots in one corner do not count for the rest.
	cluster := append(grid(0.1, 0.1, 30, 30), [][2]float64{{0.5, 5.5}, {7.5, 5.5}, {7.5, 0.5}, {5, 3}}...)
	if d := Apart(room(t, 8, 6, cluster)); d < 2 {
		t.Errorf("shots in one corner: %g m", d)
	}
	// Random places: the share of the floor farther than r from one is exp(−λπr²) (Poisson
	// process, any textbook), so 95 % is within √(ln 20/πλ), which is 1.63 spacings.
	rng := rand.New(rand.NewPCG(3, 4))
	var shots [][2]float64
	for range 4800 {
		shots = append(shots, [2]float64{8 * rng.Float64(), 6 * rng.Float64()})
	}
	near(t, "random", Apart(room(t, 8, 6, shots))/0.1, math.Sqrt(math.Log(20)/math.Pi)/onGrid, 0.06)

	// onGrid leaves 5 % of a square, by counting.
	out := 0
	const n = 2000
	for i := range n {
		for j := range n {
			if math.Hypot((float64(i)+0.5)/n/2, (float64(j)+0.5)/n/2) > onGrid {
				out++
			}
		}
	}
	near(t, "share of a square far from its corners", float64(out)/n/n, 0.05, 1e-4)
}

// In a corridor the readings along it count, however near its walls are: elevations
// estimated at a wall are no readings. The spacings are those of the shots as listed.
func TestReadingsApartInACorridor(t *testing.T) {
	for _, c := range []struct {
		name       string
		wide, high float64
		shots      [][2]float64
		want       [2]float64
	}{
		{"3.3 and 3.5 m apart, one beside", 14, 1.8, [][2]float64{{0.2, 0.9}, {3.5, 0.9}, {7, 0.9}, {10.5, 0.9}, {13.8, 0.9}, {7, 0.2}}, [2]float64{3.3, 3.58}},
		{"5 m apart", 25, 1.5, [][2]float64{{0.1, 0.7}, {5, 0.7}, {10, 0.8}, {15, 0.7}, {20, 0.7}, {24.9, 0.8}}, [2]float64{4.9, 5.01}},
		{"1.2 m apart", 12, 1.5, append(grid(0.6, 1.2, 10, 1), [2]float64{6.6, 0.75}), [2]float64{1.19, 1.21}},
		{"two rows, 5 m apart", 25, 1.8, [][2]float64{{0, 0}, {5, 0}, {10, 0}, {15, 0}, {20, 0}, {25, 0}, {0, 1.8}, {5, 1.8}, {10, 1.8}, {15, 1.8}, {20, 1.8}, {25, 1.8}}, [2]float64{5, 5.32}},
		{"half of it 0.5 m apart", 20, 1.5, append(grid(0.25, 0.5, 20, 3), [][2]float64{{15, 0.7}, {19.9, 0.8}}...), [2]float64{4.9, 5.3}},
	} {
		got := Apart(room(t, c.wide, c.high, c.shots))
		if got < c.want[0] || got > c.want[1] {
			t.Errorf("%s: %g m apart, want %g", c.name, got, c.want)
		}
		turned := slices.Clone(c.shots)
		slices.Reverse(turned)
		mixed := slices.Clone(c.shots)
		rand.New(rand.NewPCG(5, 6)).Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		for _, shots := range [][][2]float64{turned, mixed} {
			if again := Apart(room(t, c.wide, c.high, shots)); again != got {
				t.Errorf("%s: %g m apart, in another order %g", c.name, got, again)
			}
		}
	}
}

// The nearest reading found in cells is the one found by trying all.
func TestNearestReading(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	var shots [][2]float64
	for range 60 {
		shots = append(shots, [2]float64{0.2 + 2*rng.Float64()*rng.Float64(), 0.2 + 9*rng.Float64()})
	}
	f := room(t, 8, 10, shots)
	n := newNearest(f.Regions[0].TIN)
	for range 2000 {
		x, y := 12*rng.Float64()-2, 14*rng.Float64()-2
		want := math.Inf(1)
		for i := range n.x {
			want = min(want, math.Hypot(n.x[i]-x, n.y[i]-y))
		}
		if _, got := n.to(x, y); got != want {
			t.Fatalf("(%g, %g): %g, want %g", x, y, got, want)
		}
	}
}

// A verdict on a straightedge needs readings at most a third of it apart; otherwise the
// value is given with the required distance.
func TestStraightedgeNeedsReadings(t *testing.T) {
	for _, c := range []struct {
		apart float64
		s     Settings
		gap   float64
		want  Outcome
	}{
		{2. / 3, Settings{}, 0.001, Pass},
		{2. / 3, Settings{}, 0.004, Fail},
		{0.677, Settings{}, 0.001, Pass}, // set out with a tape
		{0.70, Settings{}, 0.001, NotMeasured},
		{0.70, Settings{}, 0.004, NotMeasured},
		{1, Settings{EdgeShare: 0.5}, 0.001, Pass},
		{0.66, Settings{EdgeShare: 0.2}, 0.001, NotMeasured},
	} {
		at := func(length float64) (Reading, bool) {
			return Reading{Value: c.gap, To: surface.Vec{X: length}, Apart: c.apart}, true
		}
		v := judgeNamed(t, Measured{GapAt: at}, "bs8204-sr1", c.s)[0]
		if v.Outcome != c.want || v.Value != c.gap {
			t.Errorf("%+v: %s, %g", c, v.Outcome, v.Value)
		}
		if bare := v.Outcome == NotMeasured; bare != (v.Wanted > 0) || bare && (v.Apart != c.apart || math.Abs(v.Wanted-2*c.s.filled(inches).EdgeShare) > 1e-12) {
			t.Errorf("%+v: %g m apart, wanted %g", c, v.Apart, v.Wanted)
		}
	}
	// Over a short length as well.
	at := func(length float64) (Reading, bool) { return Reading{Value: 0.001, Apart: 0.1}, true }
	if v := judgeNamed(t, Measured{GapAt: at, StepAt: at}, "nzs3114", Settings{}); v[0].Outcome != Pass || v[1].Outcome != NotMeasured {
		t.Errorf("%+v", v)
	}
	// For a table by supports the lengths with close enough readings are judged; the others
	// are one verdict on the shortest.
	at = func(length float64) (Reading, bool) {
		return Reading{Value: 0.001, To: surface.Vec{X: length}, Apart: 0.5}, length < 5
	}
	var got []Outcome
	v := judgeNamed(t, Measured{GapAt: at}, "din18202-3", Settings{})
	for i := range v {
		got = append(got, v[i].Outcome)
	}
	if len(v) != 4 || v[0].Length != 2 || v[2].Length != 4 || got[0] != Pass || got[3] != NotMeasured || v[3].Length != 0.1 || math.Abs(v[3].Wanted-0.1/3) > 1e-12 {
		t.Errorf("%v", v)
	}
}

// A round floor whose outline has 20,000 corners: each place looks for its nearest wall.
func BenchmarkApart(b *testing.B) {
	corners := 20_000
	if testing.Short() {
		corners = 1000
	}
	ring := survey.Ring{Name: "round", Kind: survey.Outer}
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(corners))
		ring.Points = append(ring.Points, survey.Point{X: 10 * cos, Y: 10 * sin, Z: math.NaN()})
	}
	d := surface.Data{Rings: []survey.Ring{ring}}
	for x := -9; x <= 9; x++ {
		for y := -9; y <= 9; y++ {
			if x*x+y*y < 90 {
				d.Shots = append(d.Shots, survey.Point{X: float64(x), Y: float64(y), Z: 10})
			}
		}
	}
	f, err := surface.NewFloor(d)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		Apart(f)
	}
}

// The wall nearest to a place is that of a search through all of them.
func TestNearestWallIsTheNearest(t *testing.T) {
	ring := []surface.Vec{{X: 1000, Y: 0}, {X: 1012, Y: 0}, {X: 1012, Y: 3}, {X: 1004, Y: 3.5}, {X: 1004, Y: 9}, {X: 1003, Y: 9.5}, {X: 1000, Y: 9}}
	hole := []surface.Vec{{X: 1007, Y: 1}, {X: 1007, Y: 1.5}, {X: 1008, Y: 1.5}, {X: 1008, Y: 1}}
	w := newWalls([][]surface.Vec{ring, hole})
	rng := rand.New(rand.NewPCG(1, 2))
	for range 5000 {
		at := surface.Vec{X: 1000 + 12*rng.Float64(), Y: 9.5 * rng.Float64()}
		best, want := math.Inf(1), surface.Vec{}
		for a, b := range w.all {
			if d, u := toWall(at, a, b); d < best {
				best, want = d, u
			}
		}
		if got := w.direction(at); got != want {
			t.Fatalf("at %v: wall along %v, want %v", at, got, want)
		}
	}
}

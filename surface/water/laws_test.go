package water

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// twoRooms is a floor of two rooms of 2 × 2 m that meet at a step along x = 2, with shots in
// rows at ys.
func twoRooms(t testing.TB, west, east func(x, y float64) float64, ys [2][]float64) *surface.Floor {
	t.Helper()
	var rings []survey.Ring
	var shots []survey.Point
	for k, room := range []struct {
		name   string
		x0, x1 float64
		z      func(x, y float64) float64
	}{{"west", 0, 2, west}, {"east", 2, 4, east}} {
		r := survey.Ring{Name: room.name}
		for _, c := range [][2]float64{{room.x0, 0}, {room.x1, 0}, {room.x1, 2}, {room.x0, 2}} {
			r.Points = append(r.Points, survey.Point{X: c[0], Y: c[1], Z: room.z(c[0], c[1])})
		}
		rings = append(rings, r)
		for _, y := range ys[k] {
			for _, x := range []float64{room.x0, (room.x0 + room.x1) / 2, room.x1} {
				shots = append(shots, survey.Point{X: x, Y: y, Z: room.z(x, y)}.With(survey.Tag{Part: room.name}))
			}
		}
	}
	f, err := surface.NewFloor(surface.Data{Shots: shots, Rings: rings})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// The two sides of a step cross half-way along it, between their vertices: the sill over it is
// where they cross, the lowest place of the higher side.
func TestSidesOfAStepCross(t *testing.T) {
	f := twoRooms(t, func(x, y float64) float64 { return 0.1*y - 0.1*(2-x) }, func(x, y float64) float64 { return 0.1*(2-y) - 0.2*(x-2) }, [2][]float64{{0, 0.7, 1.4, 2}, {0, 2}})
	w := find(t, f, Options{}, drain(4, 2))
	if len(w.Ponds) != 1 {
		t.Fatalf("ponds %+v", w.Ponds)
	}
	p := w.Ponds[0]
	near(t, "level", p.SpillZ, 0.1, 1e-12)
	near(t, "depth", p.Depth, 0.3, 1e-12)
	if p.SpillsAt.Distance(surface.Vec{X: 2, Y: 1}) > 1e-9 || p.To != (Target{ToOutlet, 0}) {
		t.Errorf("pond %+v", p)
	}
	// Under 0.1 in the west room: 0.1y − 0.1(2−x) < 0.1, x + y < 3: 4 − 1/2 m². Depth there is
	// 0.1(3 − x − y): over the whole room its integral is 0.1·(3·4 − 4 − 4) = 0.4, and that of
	// the corner above the water, −0.1 times the pyramid over a half unit square, −0.1/6.
	near(t, "area", p.Area, 3.5, 1e-9)
	near(t, "volume", p.Volume, 0.4+0.1/6, 1e-9)
}

// The answer does not depend on which room of a floor with a step comes first.
func TestOrderOfRoomsDoesNotMatter(t *testing.T) {
	for seed := range uint64(40) {
		var shown [2]string
		for turn := range 2 {
			rng := rand.New(rand.NewPCG(seed, 12))
			var shots []survey.Point
			var rings []survey.Ring
			taken := map[surface.Vec]bool{}
			for k, name := range []string{"west", "east"} {
				x0, r := float64(2*k), survey.Ring{Name: name}
				for _, c := range [][2]float64{{x0, 0}, {x0 + 2, 0}, {x0 + 2, 2}, {x0, 2}} {
					r.Points = append(r.Points, survey.Point{X: c[0], Y: c[1], Z: math.NaN()})
				}
				rings = append(rings, r)
				for range 40 {
					p := survey.Point{X: x0 + float64(rng.IntN(21))/10, Y: float64(rng.IntN(21)) / 10, Z: float64(rng.IntN(9)) / 100}
					if at := (surface.Vec{X: p.X, Y: p.Y}); !taken[at] {
						taken[at] = true
						shots = append(shots, p.With(survey.Tag{Part: name}))
					}
				}
			}
			if turn == 1 {
				slices.Reverse(shots)
				slices.Reverse(rings)
			}
			f, err := surface.NewFloor(surface.Data{Shots: shots, Rings: rings})
			if err != nil {
				t.Fatal(err)
			}
			w := find(t, f, Options{Shallow: 0.001}, drain(0.55, 0.35), door(4, 1.3, 0.02))
			shown[turn] = fmt.Sprintf("%+v %+v %v %v %+v", w.Ponds, w.Outlets, w.Level, w.ShallowArea, w.Least)
			for _, flow := range w.Flows(0.3) {
				shown[turn] += fmt.Sprint(flow)
			}
		}
		if shown[0] != shown[1] {
			t.Fatalf("seed %d: rooms in the other order give\n%s\nwant\n%s", seed, shown[1], shown[0])
		}
	}
}

// An open side is at a wall, also where a step is nearer.
func TestNoDoorInAStep(t *testing.T) {
	level := func(z float64) func(x, y float64) float64 { return func(x, y float64) float64 { return z } }
	f := twoRooms(t, level(0.1), level(0), [2][]float64{{0, 1, 2}, {0, 2}})
	w := find(t, f, Options{}, door(2.25, 0.75, math.NaN()))
	if p := w.Outlets[0].Place; p != (surface.Vec{X: 2.25}) {
		t.Errorf("the door is at %v", p)
	}
}

// Random floors of irregular shots, with walls, an opening and noise, near the origin and far
// out on a grid: the parts make the whole (see [find]), water never runs uphill, and it ends in
// random places as often as the areas say.
func TestRandomFloors(t *testing.T) {
	const places = 200
	var chi, freedom float64
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 77))
		var by surface.Vec
		if seed%3 == 0 {
			by = surface.Vec{X: 431207, Y: 4512896}
		}
		noise := []float64{0, 0.001, 0.02}[seed%3]
		var shots []survey.Point
		for range 150 + rng.IntN(300) {
			x, y := math.Round(8000*rng.Float64())/1000, math.Round(6000*rng.Float64())/1000
			shots = append(shots, survey.Point{X: x + by.X, Y: y + by.Y, Z: 10 + 0.01*x + 0.02*math.Sin(1.7*x)*math.Cos(1.4*y) + noise*rng.NormFloat64()})
		}
		ring := func(kind survey.RingKind, xy ...float64) survey.Ring {
			r := survey.Ring{Kind: kind}
			for i := 0; i < len(xy); i += 2 {
				r.Points = append(r.Points, survey.Point{X: xy[i] + by.X, Y: xy[i+1] + by.Y, Z: math.NaN()})
			}
			return r
		}
		f, err := surface.NewFloor(surface.Data{Shots: shots, Duplicates: surface.First, Rings: []survey.Ring{ring(survey.Outer, 0, 0, 8, 0, 8, 6, 3, 6, 3, 4, 0, 4), ring(survey.Hole, 4, 2, 5, 2, 5, 3, 4, 3)}})
		if err != nil {
			t.Fatal(err)
		}
		var outlets []Outlet
		for _, o := range []Outlet{drain(1.3, 1.1), drain(6.1, 4.4), door(8, 3.3, 10.05), {At: surface.Vec{X: 4.5, Y: 2.1}, Z: 9.99}}[:rng.IntN(5)] {
			o.At = surface.Vec{X: o.At.X + by.X, Y: o.At.Y + by.Y}
			outlets = append(outlets, o)
		}
		w := find(t, f, Options{Shallow: 0.003}, outlets...)
		counts := map[Target]int{}
		for n := 0; n < places; {
			flow, on := w.Flow(surface.Vec{X: by.X + 8*rng.Float64(), Y: by.Y + 6*rng.Float64()})
			if !on {
				continue
			}
			counts[flow.To]++
			n++
		}
		areas := map[Target]float64{}
		for i, o := range w.Outlets {
			areas[Target{ToOutlet, i}] = o.Area
		}
		for i, p := range w.Ponds {
			areas[Target{ToPond, i}] = p.Drains
		}
		for i, c := range w.Closed {
			areas[Target{ToLowest, i}] = c.Runs
		}
		for to, n := range counts {
			if areas[to] == 0 {
				t.Errorf("seed %d: %d places drain to %v, which has no area", seed, n, to)
			}
		}
		var left, leftWanted float64
		for to, area := range areas {
			wanted := places * area / w.Area
			if wanted < 8 { // too few for the test on their own
				left, leftWanted = left+float64(counts[to]), leftWanted+wanted
				continue
			}
			chi += (float64(counts[to]) - wanted) * (float64(counts[to]) - wanted) / wanted
			freedom++
		}
		if leftWanted >= 8 {
			chi += (left - leftWanted) * (left - leftWanted) / leftWanted
			freedom++
		}
		freedom--
	}
	if off := (chi - freedom) / math.Sqrt(2*freedom); off > 4 {
		t.Errorf("chi-square %.1f on %.0f degrees of freedom: the shares are not those of random places", chi, freedom)
	}
	t.Logf("chi-square %.1f on %.0f", chi, freedom)
}

// A plane in floating point is level along one wall but for the last digits, high above the
// datum: all of it drains, and no pond is deeper than rounding.
func TestRoundedPlanes(t *testing.T) {
	for k := range 24 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 24)
		f := gridFloor(t, 23, 17, 0.31, func(x, y float64) float64 { return 987.654 + 0.0125*(cos*x+sin*y) })
		low := surface.Vec{}
		if cos < 0 {
			low.X = 23 * 0.31
		}
		if sin < 0 {
			low.Y = 17 * 0.31
		}
		w := find(t, f, Options{Shallow: 1e-6}, Outlet{At: low, Z: math.NaN()})
		if len(w.Ponds) != 0 {
			t.Errorf("%d: ponds %+v", k, w.Ponds)
		}
		near(t, "drained", w.Outlets[0].Area, w.Area, 1e-9*w.Area)
	}
}

// The least value that has an area is that of the values in order, also for values that come
// sorted or in few kinds.
func TestLeastOf(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for range 300 {
		values, areas, order := make([]float64, 1+rng.IntN(400)), []float64{}, []int{}
		kind, whole := rng.IntN(3), 0.0
		for i := range values {
			values[i] = [...]float64{rng.Float64(), float64(rng.IntN(4)), float64(i * (len(values) - i))}[kind]
			areas, order = append(areas, rng.Float64()), append(order, i)
			whole += areas[i]
		}
		slices.SortFunc(order, func(i, j int) int { return cmp.Compare(values[i], values[j]) })
		wanted, sum, want := whole*rng.Float64(), 0.0, 0.0
		for _, i := range order {
			if sum += areas[i]; sum >= wanted {
				want = values[i]
				break
			}
		}
		if got := leastOf(values, func(i int) float64 { return areas[i] }, wanted); got != want {
			t.Fatalf("least of %d values %g, want %g", len(values), got, want)
		}
	}
}

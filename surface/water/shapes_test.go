package water

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// discFloor is a round floor of n rings of k vertices each, with radius r, about the origin.
func discFloor(t testing.TB, r float64, n, k int, z func(r float64) float64) *surface.Floor {
	t.Helper()
	s := survey.Surface{Name: "s", Vertices: []survey.Point{{Z: z(0)}}}
	for i := 1; i <= n; i++ {
		ri := r * float64(i) / float64(n)
		for j := range k {
			sin, cos := math.Sincos(2 * math.Pi * float64(j) / float64(k))
			s.Vertices = append(s.Vertices, survey.Point{X: ri * cos, Y: ri * sin, Z: z(ri)})
		}
	}
	at := func(i, j int) int32 {
		if i == 0 {
			return 0
		}
		return int32(1 + (i-1)*k + j%k)
	}
	for i := range n {
		for j := range k {
			if i > 0 {
				s.Faces = append(s.Faces, [3]int32{at(i, j), at(i+1, j), at(i, j+1)})
			}
			s.Faces = append(s.Faces, [3]int32{at(i, j+1), at(i+1, j), at(i+1, j+1)})
		}
	}
	f, err := surface.FromFaces(s)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// A spherical dish full to its rim: volume πh(3a²+h²)/6, area πa². The triangles are inside
// the circle and above the dish between vertices: both fall short, by the square of the
// spacing.
func TestSphericalDish(t *testing.T) {
	const a, h = 2.0, 0.05
	sphere := (a*a + h*h) / (2 * h)
	z := func(r float64) float64 {
		if r <= a {
			return sphere - math.Sqrt(sphere*sphere-r*r) - h
		}
		return a - r // falls to the wall outside
	}
	wantArea, wantVolume := math.Pi*a*a, math.Pi*h*(3*a*a+h*h)/6
	var off [2]float64
	for i, n := range []int{20, 40} {
		f := discFloor(t, 2*a, n, 4*n, z)
		w := find(t, f, Options{}, door(-4, 0, math.NaN()))
		if len(w.Ponds) < 1 {
			t.Fatal("no pond")
		}
		p := w.Ponds[0]
		k := float64(4 * n)
		polygon := k / 2 * math.Sin(2*math.Pi/k) / math.Pi // a regular polygon's share of its circle
		near(t, "area", p.Area, wantArea*polygon, 1e-9)
		near(t, "depth", p.Depth, h, 1e-12)
		if off[i] = 1 - p.Volume/wantVolume; off[i] <= 0 {
			t.Errorf("volume %.6f m³, more than that of the dish, %.6f m³", p.Volume, wantVolume)
		}
	}
	// n/2 rings of spacing s = 2a/n: chords along the radius take s²/(2a²) of the volume's
	// 1, those round the dish 1 − polygon, weighted.
	if ratio := off[0] / off[1]; off[0] > 0.01 || math.Abs(ratio-4) > 0.2 {
		t.Errorf("volume short by %.3g and %.3g, ratio %.3g, want 4", off[0], off[1], ratio)
	}
}

// Two dishes with a sill between them: each is full to its own sill, and the first spills into
// the second. When the outer sill is higher than the one between, they are one pond.
func TestTwoDishes(t *testing.T) {
	// A trough of 6 × 2 m, walls all round, that rises to both sides of its middle line by
	// |y−1|; along it the floor is 1 at x = 0, 0.2 at 1.5, s at 3, 0 at 4.5, 0.6 at 6.
	profile := func(s float64) func(x, y float64) float64 {
		stops := []float64{1, 0.2, s, 0, 0.6}
		return func(x, y float64) float64 {
			i := min(int(x/1.5), 3)
			return math.Abs(y-1) + stops[i] + (x/1.5-float64(i))*(stops[i+1]-stops[i])
		}
	}
	f := gridFloor(t, 4, 2, 1.5, func(x, y float64) float64 { return profile(0.5)(x, y/1.5) })
	w := find(t, f, Options{}, door(6, 1.5, math.NaN()))
	if len(w.Ponds) != 1 || w.Ponds[0].SpillZ != 0.6 || w.Ponds[0].To != (Target{ToOutlet, 0}) {
		t.Errorf("one pond up to 0.6 over both: %+v", w.Ponds)
	}
	f = gridFloor(t, 4, 2, 1.5, func(x, y float64) float64 { return profile(0.7)(x, y/1.5) })
	w = find(t, f, Options{}, door(6, 1.5, math.NaN()))
	if len(w.Ponds) != 2 {
		t.Fatalf("%d ponds, want 2", len(w.Ponds))
	}
	for _, p := range w.Ponds {
		switch p.At.X {
		case 1.5:
			near(t, "sill", p.SpillZ, 0.7, 1e-15)
			if p.SpillsAt.X != 3 || p.To.Kind != ToPond || w.Ponds[p.To.Index].At.X != 4.5 {
				t.Errorf("west pond %+v", p)
			}
		case 4.5:
			near(t, "sill", p.SpillZ, 0.6, 1e-15)
			if p.SpillsAt.X != 6 || p.To != (Target{ToOutlet, 0}) {
				t.Errorf("east pond %+v", p)
			}
		}
	}
	// Without an outlet all water collects at the lowest place: the pond there has no sill of its
	// own and is full when it joins the other.
	w = find(t, f, Options{})
	if len(w.Closed) != 1 || w.Closed[0].At.X != 4.5 || len(w.Ponds) != 2 {
		t.Fatalf("closed %+v, ponds %+v", w.Closed, w.Ponds)
	}
	for i, p := range w.Ponds {
		near(t, "level", p.SpillZ, 0.7, 1e-15)
		if p.SpillsAt.X != 3 || p.To != (Target{ToPond, 1 - i}) {
			t.Errorf("pond %+v", p)
		}
	}
	near(t, "depth of the lowest", w.Ponds[0].Depth, 0.7, 1e-15)
	near(t, "closed part", w.Closed[0].Area, 18, 1e-12)
}

// A raised drain in a pond takes the water at its rim; a drain lower than the floor around it
// drains the pond; one in the middle of a pond stops it at its own elevation.
func TestDrainInPond(t *testing.T) {
	f := gridFloor(t, 4, 4, 1, func(x, y float64) float64 { return max(math.Abs(x-2), math.Abs(y-2)) / 10 })
	for _, c := range []struct {
		o     Outlet
		depth float64
	}{
		{Outlet{At: surface.Vec{X: 2, Y: 2}, Z: 0.05}, 0.05},
		{Outlet{At: surface.Vec{X: 2.5, Y: 2}, Z: math.NaN()}, 0.05},
		{Outlet{At: surface.Vec{X: 2, Y: 2}, Z: math.NaN()}, 0},
		{Outlet{At: surface.Vec{X: 2.3, Y: 2.1}, Z: -0.01}, 0},
		{Outlet{At: surface.Vec{X: 4.2, Y: 2}, Z: math.NaN()}, 0.2}, // in a gap at the wall
	} {
		w := find(t, f, Options{}, c.o)
		depth := 0.0
		for _, p := range w.Ponds {
			depth = max(depth, p.Depth)
		}
		near(t, "depth", depth, c.depth, 1e-15)
	}
	if _, err := Find(f, []Outlet{drain(2, 2), drain(5, 2)}, Options{}); err == nil || err.(*OffFloor).Outlet != 1 || math.Abs(err.(*OffFloor).Away-1) > 1e-12 {
		t.Errorf("a drain 1 m outside: %v", err)
	}
}

// Two rooms that meet at a step along x = 2. The west room is 0.1 higher and falls to the
// step; the east room is a pit of its own that spills back over the step into the west room,
// where the drain is.
func TestStep(t *testing.T) {
	room := func(name string, x0, x1 float64, ys []float64, z func(x, y float64) float64) (survey.Ring, []survey.Point) {
		r := survey.Ring{Name: name}
		for _, c := range [][2]float64{{x0, 0}, {x1, 0}, {x1, 2}, {x0, 2}} {
			r.Points = append(r.Points, survey.Point{X: c[0], Y: c[1], Z: z(c[0], c[1])})
		}
		var shots []survey.Point
		for _, y := range ys {
			for _, x := range []float64{x0, (x0 + x1) / 2, x1} {
				p := survey.Point{X: x, Y: y, Z: z(x, y)}
				shots = append(shots, p.With(survey.Tag{Part: name}))
			}
		}
		return r, shots
	}
	// Sides with different vertices along the step.
	west, a := room("west", 0, 2, []float64{0, 0.7, 1.4, 2}, func(x, y float64) float64 { return 0.1 + 0.01*(2-x) })
	east, b := room("east", 2, 4, []float64{0, 1, 2}, func(x, y float64) float64 { return 0.02 * (4 - x) })
	f, err := surface.NewFloor(surface.Data{Shots: append(a, b...), Rings: []survey.Ring{west, east}})
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Regions) != 2 || len(f.Steps) == 0 {
		t.Fatalf("%d regions, %d steps", len(f.Regions), len(f.Steps))
	}
	// A drain in the east room takes the water of both.
	w := find(t, f, Options{}, drain(4, 0))
	if len(w.Ponds) != 0 {
		t.Errorf("ponds %+v", w.Ponds)
	}
	near(t, "drained", w.Outlets[0].Area, 8, 1e-9)
	// A drain at the far wall of the west room: the east room fills to the step, and the water on
	// the west side to the drain, 0.02 deep at the step, over both: one pond.
	w = find(t, f, Options{}, drain(0, 1))
	if len(w.Ponds) != 1 {
		t.Fatalf("ponds %+v", w.Ponds)
	}
	p := w.Ponds[0]
	near(t, "level", p.SpillZ, 0.12, 1e-12)
	near(t, "depth", p.Depth, 0.12, 1e-12)
	near(t, "area", p.Area, 8, 1e-9)
	near(t, "volume", p.Volume, 4*0.01+4*(0.12-0.02), 1e-9)
	// A drain at the high side of the step: a pond in the east room only.
	w = find(t, f, Options{}, drain(2, 1))
	if len(w.Ponds) != 1 {
		t.Fatalf("ponds %+v", w.Ponds)
	}
	p = w.Ponds[0]
	near(t, "level", p.SpillZ, 0.1, 1e-12)
	near(t, "area", p.Area, 4, 1e-9)
	near(t, "volume", p.Volume, 4*(0.1-0.02), 1e-9)
}

// The middle of a roof with a drain on either side, and a floor in four falls to its middle.
func TestShares(t *testing.T) {
	roof := gridFloor(t, 10, 4, 0.5, func(x, y float64) float64 { return -0.02*math.Abs(x-3) + 0.001*y })
	w := find(t, roof, Options{}, drain(0, 0), drain(5, 0))
	near(t, "west", w.Outlets[0].Area, 6, 1e-12)
	near(t, "east", w.Outlets[1].Area, 4, 1e-12)

	// An envelope: four triangles that fall to the middle of a square, and one drain there.
	f := facesFloor(t, [][3]float64{{0, 0, 1}, {4, 0, 1}, {4, 4, 1}, {0, 4, 1}, {2, 2, 0}}, [3]int32{0, 1, 4}, [3]int32{1, 2, 4}, [3]int32{2, 3, 4}, [3]int32{3, 0, 4})
	w = find(t, f, Options{}, drain(2, 2))
	near(t, "envelope", w.Outlets[0].Area, 16, 1e-12)

	// A plane that falls to the south wall, which falls both ways from x = 1.5: what is west of
	// the line uphill from there drains to the west corner. Two triangles meet at the wall's
	// top, (1.5, 0), each falling by its own gradient; areas by hand below.
	f = facesFloor(t, [][3]float64{{0, 0, 0}, {1.5, 0, 0.15}, {4, 0, 0}, {4, 3, 1}, {0, 3, 1}},
		[3]int32{0, 1, 4}, [3]int32{1, 3, 4}, [3]int32{1, 2, 3})
	w = find(t, f, Options{}, drain(0, 0), drain(4, 0))
	// The middle triangle falls due south, to the two edges at (1.5, 0): x < 1.5 goes west.
	// The side triangles fall to the walls or to the corners.
	near(t, "west of the top", w.Outlets[0].Area, 4.5, 1e-12)
	near(t, "east of the top", w.Outlets[1].Area, 7.5, 1e-12)
}

// Water goes where small steps down the fall of the triangle under it go: an independent walk.
// The areas are those of the share of random places within its error.
func TestFlowAgainstSmallSteps(t *testing.T) {
	z := func(x, y float64) float64 { return 0.03*math.Sin(1.9*x)*math.Cos(1.3*y) + 0.01*x + 0.004*y }
	f := gridFloor(t, 24, 20, 0.25, z)
	tin, at := f.Regions[0].TIN, f.Regions[0].TIN.Locator()
	w := find(t, f, Options{}, drain(0, 0), door(0, 3, math.NaN()), drain(2.43, 1.21))
	rng := rand.New(rand.NewPCG(7, 7))
	const n = 1500
	same, ends := 0, map[Target]int{}
	for range n {
		p := surface.Vec{X: 6 * rng.Float64(), Y: 5 * rng.Float64()}
		flow, ok := w.Flow(p)
		if !ok {
			t.Fatalf("%v is off the floor", p)
		}
		ends[flow.To]++
		last := math.Inf(1)
		for _, q := range flow.Line {
			h, _, _ := at.At(q)
			if h > last+1e-12 {
				t.Fatalf("from %v water runs uphill at %v", p, q)
			}
			last = h
		}
		if walk(tin, at, w, p) == flow.To {
			same++
		}
	}
	if same < n*97/100 {
		t.Errorf("%d of %d places drain where small steps lead", same, n)
	}
	share := func(to Target, area float64) {
		p := area / w.Area
		if got := float64(ends[to]) / n; math.Abs(got-p) > 4*math.Sqrt(p*(1-p)/n)+1e-3 {
			t.Errorf("%v: %.4f of random places, %.4f of the area", to, got, p)
		}
	}
	for i, o := range w.Outlets {
		share(Target{ToOutlet, i}, o.Area)
	}
	for i, p := range w.Ponds {
		share(Target{ToPond, i}, p.Drains)
	}
	t.Logf("%d of %d alike; %d ponds; %v", same, n, len(w.Ponds), ends)
}

// walk steps down the fall of the triangle at p, never off the floor, until it is in a pond or
// at an outlet.
func walk(tin *surface.TIN, at *surface.Locator, w *Water, p surface.Vec) Target {
	const step = 0.002
	for range 20000 {
		h, k, ok := at.At(p)
		if !ok {
			return Target{}
		}
		for i, o := range w.Outlets {
			if p.Distance(o.Place) < 2*step {
				return Target{ToOutlet, i}
			}
		}
		for i, q := range w.Ponds {
			if h < q.SpillZ && p.Distance(q.At) < 0.05 {
				return Target{ToPond, i}
			}
		}
		v := tin.V[3*k : 3*k+3]
		a, b, c := tin.At(v[0]), tin.At(v[1]), tin.At(v[2])
		ux, uy, uz := b.X-a.X, b.Y-a.Y, tin.Z[v[1]]-tin.Z[v[0]]
		vx, vy, vz := c.X-a.X, c.Y-a.Y, tin.Z[v[2]]-tin.Z[v[0]]
		det := ux*vy - uy*vx
		gx, gy := (uz*vy-vz*uy)/det, (ux*vz-vx*uz)/det
		g := math.Hypot(gx, gy)
		p = surface.Vec{X: min(max(p.X-step*gx/g, 0), 6), Y: min(max(p.Y-step*gy/g, 0), 5)}
	}
	return Target{}
}

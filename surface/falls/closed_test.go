package falls

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// levelFloor is a level floor at 10 m inside a ring of corners.
func levelFloor(t testing.TB, corners ...surface.Vec) *surface.Floor {
	t.Helper()
	var d surface.Data
	ring := survey.Ring{}
	for _, c := range corners {
		p := survey.Point{X: c.X, Y: c.Y, Z: 10}
		ring.Points = append(ring.Points, p)
		d.Shots = append(d.Shots, p)
	}
	d.Rings = []survey.Ring{ring}
	f, err := surface.NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func box(t testing.TB, x, y, a, b float64) *surface.Floor {
	return levelFloor(t, surface.Vec{X: x, Y: y}, surface.Vec{X: x + a, Y: y}, surface.Vec{X: x + a, Y: y + b}, surface.Vec{X: x, Y: y + b})
}

func isNear(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

// fillTo is the volume between a level floor at 10 m and the surface that is built on it.
func fillTo(t *testing.T, f *surface.Floor, a Ask) (*Built, surface.Fill) {
	t.Helper()
	a.Floor = f
	b, err := Build(a)
	if err != nil {
		t.Fatal(err)
	}
	return b, f.FillTo(surface.NewShape(b.Floor, nil), nil)
}

// overQuarter is the integral of the distance from one corner over a rectangle p by q, by the
// antiderivative (any table of integrals; checked by the sum over a grid in TestDistanceIntegral).
func overQuarter(p, q float64) float64 {
	d := math.Hypot(p, q)
	return p*q*d/3 + p*p*p/6*math.Log((q+d)/p) + q*q*q/6*math.Log((p+d)/q)
}

func TestDistanceIntegral(t *testing.T) {
	const n = 1000
	sum := 0.0
	for i := range n {
		for j := range n {
			sum += math.Hypot((float64(i)+0.5)*3/n, (float64(j)+0.5)*2/n) * 6 / n / n
		}
	}
	isNear(t, "over 3 by 2 m", overQuarter(3, 2), sum, 2e-6)
}

// Level walls round one drain are a pyramid: a third of the box.
func TestPyramidToACentralDrain(t *testing.T) {
	for _, at := range []float64{0, 500_000} {
		f := box(t, at, at, 6, 4)
		b, fill := fillTo(t, f, Ask{Drains: []Drain{{Name: "D1", At: surface.Vec{X: at + 3, Y: at + 2}, Z: 10.05}}, Fall: 0.01, Level: true, Top: 10.15})
		isNear(t, "fill", fill.Fill, 24*0.15-24*0.1/3, 1e-8)
		if n := b.Floor.Regions[0].TIN.Len(); n != 4 {
			t.Errorf("%d triangles, want one a wall", n)
		}
		isNear(t, "least fall", b.Served[0].LeastFall, 0.1/math.Hypot(3, 2), 1e-12)
		isNear(t, "area", b.Served[0].Area, 24, 1e-9)
		isNear(t, "highest", b.Highest.Z, 10.15, 1e-12)
	}
}

// Without a level of its own the drain is as low as the least fall asks.
func TestDrainBelowLevelWalls(t *testing.T) {
	b, fill := fillTo(t, box(t, 0, 0, 6, 4), Ask{Drains: []Drain{{At: surface.Vec{X: 2, Y: 1}, Z: math.NaN()}}, Fall: 0.02, Level: true, Top: 10.2})
	down := 0.02 * math.Hypot(4, 3)
	isNear(t, "drain", b.Served[0].Z, 10.2-down, 1e-12)
	isNear(t, "fill", fill.Fill, 24*0.2-24*down/3, 1e-8)
}

// An even fall to a drain in the middle is a cone, whose facets are off by less than 0.05 mm.
func TestConeToACentralDrain(t *testing.T) {
	b, fill := fillTo(t, box(t, 0, 0, 6, 4), Ask{Drains: []Drain{{At: surface.Vec{X: 3, Y: 2}, Z: 10.01}}, Fall: 1.0 / 60, Top: math.NaN()})
	want := 24*0.01 + 4*overQuarter(3, 2)/60
	if fill.Fill > want+1e-7 || fill.Fill < want-24*0.00005 {
		t.Errorf("fill %.8f, want %.8f or up to 1.2 l less", fill.Fill, want)
	}
	isNear(t, "highest wall", b.Highest.Z, 10.01+math.Hypot(3, 2)/60, 1e-9)
	isNear(t, "lowest wall", b.Lowest.Z, 10.01+2.0/60, 1e-9)
	isNear(t, "least fall", b.Served[0].LeastFall, 1.0/60, 0)
}

// A drain in a corner has a quarter of the cone.
func TestConeToACorner(t *testing.T) {
	_, fill := fillTo(t, box(t, 0, 0, 6, 4), Ask{Drains: []Drain{{At: surface.Vec{X: 0, Y: 0}, Z: 10}}, Fall: 0.02, Top: math.NaN()})
	want := 0.02 * overQuarter(6, 4)
	if fill.Fill > want+1e-7 || fill.Fill < want-24*0.00005 {
		t.Errorf("fill %.8f, want %.8f or up to 1.2 l less", fill.Fill, want)
	}
}

// A channel across the room has a plane on either side.
func TestChannelAcrossARoom(t *testing.T) {
	b, fill := fillTo(t, box(t, 0, 0, 6, 4), Ask{Drains: []Drain{{Name: "C1", At: surface.Vec{X: 2, Y: 0}, Channel: true, To: surface.Vec{X: 2, Y: 4}, Z: 10}}, Fall: 0.015, Top: math.NaN()})
	isNear(t, "fill", fill.Fill, 0.015*4*(2*2+4*4)/2, 1e-8)
	isNear(t, "highest", b.Highest.Z, 10.06, 1e-9)
	least, most, _, err := b.Floor.FallsOf(surface.NewShape(b.Floor, nil))
	if err != nil {
		t.Fatal(err)
	}
	isNear(t, "least fall", least, 0.015, 1e-9)
	isNear(t, "greatest fall", most, 0.015, 1e-9)
}

// Two drains alike divide the floor at half way, two of different level where their cones meet.
func TestTwoDrains(t *testing.T) {
	drains := []Drain{{Name: "A", At: surface.Vec{X: 2, Y: 2}, Z: 10}, {Name: "B", At: surface.Vec{X: 6, Y: 2}, Z: 10}}
	b, fill := fillTo(t, box(t, 0, 0, 8, 4), Ask{Drains: drains, Fall: 0.02, Top: math.NaN()})
	isNear(t, "area of A", b.Served[0].Area, 16, 1e-6)
	want := 0.02 * 8 * overQuarter(2, 2)
	if fill.Fill > want+1e-7 || fill.Fill < want-32*0.00005 {
		t.Errorf("fill %.8f, want %.8f or up to 1.6 l less", fill.Fill, want)
	}
	// In the other order the surface is the same.
	drains[0], drains[1] = drains[1], drains[0]
	_, again := fillTo(t, box(t, 0, 0, 8, 4), Ask{Drains: drains, Fall: 0.02, Top: math.NaN()})
	isNear(t, "in the other order", again.Fill, fill.Fill, 1e-12)
	drains[0].Z = 10.02 // B: the ridge is where the way to A is a metre longer
	b, _ = fillTo(t, box(t, 0, 0, 8, 4), Ask{Drains: drains, Fall: 0.02, Top: math.NaN()})
	const n = 2000
	own := 0
	for i := range n {
		for j := range n / 2 {
			x, y := (float64(i)+0.5)*8/n, (float64(j)+0.5)*8/n
			if math.Hypot(x-2, y-2) < math.Hypot(x-6, y-2)+1 {
				own++
			}
		}
	}
	isNear(t, "area of A by a grid", b.Served[1].Area, float64(own)*64/n/n, 0.005)
}

// The top of the walls gives the level of the drains, and bounds it.
func TestTopOfWalls(t *testing.T) {
	f := box(t, 0, 0, 6, 4)
	b, _ := fillTo(t, f, Ask{Drains: []Drain{{At: surface.Vec{X: 3, Y: 2}, Z: math.NaN()}}, Fall: 0.02, Top: 10.1})
	isNear(t, "drain", b.Served[0].Z, 10.1-0.02*math.Hypot(3, 2), 1e-12)
	isNear(t, "highest", b.Highest.Z, 10.1, 1e-9)
	for _, c := range []struct {
		name  string
		a     Ask
		as    any
		parts []string
	}{
		{"too high", Ask{Drains: []Drain{{Name: "D1", At: surface.Vec{X: 3, Y: 2}, Z: 10.05}}, Fall: 0.02, Top: 10.1}, new(*TooHigh), []string{`drain "D1"`, "22.1 mm above"}},
		{"too flat", Ask{Drains: []Drain{{Name: "D1", At: surface.Vec{X: 3, Y: 2}, Z: 10.05}}, Fall: 0.02, Level: true, Top: 10.1}, new(*TooFlat), []string{"1.387 %", "2 % or more"}},
		{"outside", Ask{Drains: []Drain{{Name: "D1", At: surface.Vec{X: 8, Y: 2}, Z: 10.05}}, Fall: 0.02, Top: math.NaN()}, nil, []string{"2.000 m outside the outline"}},
		{"no length", Ask{Drains: []Drain{{Name: "C", At: surface.Vec{X: 3, Y: 2}, To: surface.Vec{X: 3, Y: 2}, Channel: true, Z: 10}}, Fall: 0.02, Top: math.NaN()}, nil, []string{"two ends"}},
		{"steep", Ask{Drains: []Drain{{Name: "D1", At: surface.Vec{X: 3, Y: 2}, Z: 10}}, Fall: 0.501, Top: math.NaN()}, nil, []string{"50.1 %", "max 50 %"}},
		{"level at a wall", Ask{Drains: []Drain{{Name: "D1", At: surface.Vec{X: 0, Y: 2}, Z: 10.05}}, Fall: 0.02, Level: true, Top: 10.2}, nil, []string{"away from the walls"}},
		{"at one place", Ask{Drains: []Drain{{Name: "D1", At: surface.Vec{X: 1, Y: 2}, Z: 10}, {Name: "D2", At: surface.Vec{X: 1, Y: 2}, Z: 10}}, Fall: 0.02, Top: math.NaN()}, nil, []string{"different places"}},
		{"dry", Ask{Drains: []Drain{{Name: "D1", At: surface.Vec{X: 1, Y: 2}, Z: 10}, {Name: "D2", At: surface.Vec{X: 2, Y: 2}, Z: 10.1}}, Fall: 0.02, Top: math.NaN()}, new(*Dry), []string{`drain "D2"`, "no higher than the floor"}},
	} {
		c.a.Floor = f
		_, err := Build(c.a)
		if err == nil {
			t.Errorf("%s: built", c.name)
			continue
		}
		text := survey.ErrorIn(err, unit.Style{}).Error()
		for _, part := range c.parts {
			if !strings.Contains(text, part) {
				t.Errorf("%s: %s, want %q in it", c.name, text, part)
			}
		}
		if c.as != nil && !errors.As(err, c.as) {
			t.Errorf("%s: %T is not found in it", c.name, c.as)
		}
	}
}

// With level walls a part round an inner corner of an L has no straight way to the drain.
func TestLevelWallsOfAnL(t *testing.T) {
	l := levelFloor(t, surface.Vec{X: 0, Y: 0}, surface.Vec{X: 6, Y: 0}, surface.Vec{X: 6, Y: 2}, surface.Vec{X: 2, Y: 2}, surface.Vec{X: 2, Y: 6}, surface.Vec{X: 0, Y: 6})
	_, err := Build(Ask{Floor: l, Drains: []Drain{{At: surface.Vec{X: 5, Y: 1}, Z: math.NaN()}}, Fall: 0.01, Level: true, Top: 10.2})
	var hidden *Hidden
	if !errors.As(err, &hidden) {
		t.Fatalf("found %v", err)
	}
	// In sight of all of it, three pyramids of one base, the floor: 20 m² at a third.
	_, fill := fillTo(t, l, Ask{Drains: []Drain{{At: surface.Vec{X: 1, Y: 1}, Z: 10.1}}, Fall: 0.01, Level: true, Top: 10.2})
	isNear(t, "fill", fill.Fill, 20*0.2-20*0.1/3, 1e-8)
}

func BenchmarkFourDrains(b *testing.B) {
	f := box(b, 0, 0, 12, 8)
	var drains []Drain
	for i := range 4 {
		drains = append(drains, Drain{At: surface.Vec{X: 3 + 6*float64(i%2), Y: 2 + 4*float64(i/2)}, Z: 10})
	}
	for b.Loop() {
		if _, err := Build(Ask{Floor: f, Drains: drains, Fall: 0.02, Top: math.NaN()}); err != nil {
			b.Fatal(err)
		}
	}
}

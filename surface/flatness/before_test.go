package flatness

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

func randomFloor(t *testing.T, seed uint64, n int, z func(x, y float64) float64) *surface.Floor {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 1))
	var shots []survey.Point
	for range n {
		x, y := 6*rng.Float64(), 4*rng.Float64()
		shots = append(shots, survey.Point{X: 300 + x, Y: 500 + y, Z: z(x, y)})
	}
	ring := survey.Ring{}
	for _, p := range [][2]float64{{0, 0}, {6, 0}, {6, 4}, {0, 4}} {
		ring.Points = append(ring.Points, survey.Point{X: 300 + p[0], Y: 500 + p[1], Z: z(p[0], p[1])})
	}
	f, err := surface.NewFloor(surface.Data{Shots: shots, Rings: []survey.Ring{ring}})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// On one outline the net volume is that of one surface minus the other, each against one
// plane: two methods that share no code.
func TestPlacedAgainstFill(t *testing.T) {
	before := randomFloor(t, 1, 300, waves)
	after := randomFloor(t, 2, 200, func(x, y float64) float64 { return 0.006 + 0.001*math.Sin(3*x) })
	p, err := Placed(before, after, 0.2)
	if err != nil {
		t.Fatal(err)
	}
	volume := func(f *surface.Floor) float64 {
		fill, cut := surface.FillCut(f.Regions[0].TIN, surface.Horizontal(1))
		return fill - cut
	}
	near(t, "net", p.Net, volume(before)-volume(after), 1e-11)
	near(t, "area", p.Area, 24, 1e-10)
	near(t, "only before", p.Before, 0, 1e-10)
	near(t, "only after", p.After, 0, 1e-10)
	near(t, "remainder", p.Remainder, 0.2-p.Net, 0)
	if !(p.Lost > 0.001 && p.LostArea > 0.1 && p.Least < 0 && p.Most > 0) {
		t.Errorf("%+v", p)
	}
	// Reversed, gains are losses.
	q, err := Placed(after, before, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "placed", q.Placed, p.Lost, 1e-11)
	near(t, "lost", q.Lost, p.Placed, 1e-11)
	near(t, "least", q.Least, -p.Most, 1e-9)
	near(t, "areas", p.LostArea+q.LostArea, 24, 1e-9)
}

// What is placed is the fill from the floor before to the floor after as its target: two ways to
// overlay the same triangles.
func TestPlacedIsTheFillToTheFloorAfter(t *testing.T) {
	before := randomFloor(t, 1, 300, waves)
	after := randomFloor(t, 2, 200, func(x, y float64) float64 { return 0.006 + 0.001*math.Sin(3*x) })
	p, err := Placed(before, after, 0)
	if err != nil {
		t.Fatal(err)
	}
	fill := before.FillTo(surface.NewShape(after, nil), nil)
	near(t, "placed", p.Placed, fill.Fill, 1e-9)
	near(t, "lost", p.Lost, fill.Cut, 1e-9)
	near(t, "least", p.Least, fill.Least, 1e-9)
	near(t, "most", p.Most, fill.Greatest, 1e-9)
}

// A wedge from −10 mm in the west to +20 mm in the east, 6 m long and 4 m wide: it is lower
// over 2 m, by 5 mm on average, and higher over 4 m, by 10 mm.
func TestPlacedWedge(t *testing.T) {
	level := func(x, y float64) float64 { return 100 }
	p, err := Placed(randomFloor(t, 3, 50, level), randomFloor(t, 4, 80, func(x, _ float64) float64 { return 99.99 + 0.005*x }), 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lost", p.Lost, 2*4*0.005, 1e-10)
	near(t, "lost area", p.LostArea, 8, 1e-7)
	near(t, "placed", p.Placed, 4*4*0.01, 1e-10)
	near(t, "mean", p.Mean, 0.005, 1e-11)
	near(t, "most", p.Most, 0.02, 1e-11)
	near(t, "least", p.Least, -0.01, 1e-11)
	near(t, "least at", p.LeastAt.X, 300, 1e-9)
}

func TestUnchangedFloorLostNothing(t *testing.T) {
	f := randomFloor(t, 5, 400, waves)
	p, err := Placed(f, f, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lost", p.Lost, 0, 1e-13)
	near(t, "lost area", p.LostArea, 0, 0)
	near(t, "placed", p.Placed, 0, 1e-13)
}

func TestPlacedRefusesOtherFloors(t *testing.T) {
	_, err := Placed(randomFloor(t, 1, 20, waves), gridFloor(t, 2, 2, 1, waves), 0)
	want := "survey after the work: found no area that the survey before the work covers too, want two surveys of one floor on one grid"
	if err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
}

// A floor that is lower after the work counts as sunk where it is lower by more than 3 mm
// on average, over more than half of its area.
func TestSank(t *testing.T) {
	before := randomFloor(t, 1, 50, func(_, _ float64) float64 { return 1 })
	for _, c := range []struct {
		name string
		z    func(x, y float64) float64
		want bool
	}{
		{"risen", func(_, _ float64) float64 { return 1.01 }, false},
		{"within reading error", func(_, _ float64) float64 { return 1 - 0.0029 }, false},
		{"lower", func(_, _ float64) float64 { return 1 - 0.0031 }, true},
		{"lower on 0.45 of it", func(x, _ float64) float64 { return 1 + 0.1*min(0.01, x-0.45*6) }, false},
		{"lower on 0.55 of it", func(x, _ float64) float64 { return 1 + 0.1*min(0.01, x-0.55*6) }, true},
	} {
		p, err := Placed(before, randomFloor(t, 2, 2000, c.z), 0)
		if err != nil {
			t.Fatal(err)
		}
		if p.Sank() != c.want {
			t.Errorf("%s: sank %v, mean %g m, lower on %g m² of %g m²", c.name, p.Sank(), p.Mean, p.LostArea, p.Area)
		}
	}
}

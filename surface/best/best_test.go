package best

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// rough is a floor of random elevations on a grid of 1 m.
func rough(t testing.TB, seed uint64, n int, dx float64) *surface.Floor {
	rng := rand.New(rand.NewPCG(seed, 1))
	var d surface.Data
	for i := range n {
		for j := range n {
			d.Shots = append(d.Shots, survey.Point{X: dx + float64(i), Y: dx + float64(j), Z: 10 + 0.01*float64(i) + math.Round(rng.Float64()*50)/1000})
		}
	}
	f, err := surface.NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func costOf(f *surface.Floor, s Spec, p surface.Plane) float64 {
	c := 0.0
	area := 0.0
	p.Z -= s.MinDepth
	for _, r := range f.Regions {
		fill, cut := surface.FillCut(r.TIN, p)
		c += s.FillPrice*fill + s.GrindPrice*cut
		area += r.TIN.PlanArea()
	}
	return c + s.FillPrice*s.MinDepth*area
}

// No plane of a fine grid around the best is cheaper, and the bound meets the cost.
func TestNoPlaneOfAGridIsCheaper(t *testing.T) {
	for seed := range uint64(20) {
		f := rough(t, seed, 5, 0)
		s := Spec{FillPrice: 100, GrindPrice: 100 + 100*float64(seed), MinDepth: 0.003 * float64(seed%3)}
		b, err := NewGround(f).Solve(s)
		if err != nil {
			t.Fatal(seed, err)
		}
		if got := costOf(f, s, b.Plane); math.Abs(got-b.Cost) > 1e-10*b.Cost {
			t.Errorf("%d: cost %.15g, by FillCut %.15g", seed, b.Cost, got)
		}
		if b.Cost-b.Bound > 1e-9*b.Cost {
			t.Errorf("%d: cost %g, bound %g", seed, b.Cost, b.Bound)
		}
		for _, step := range []float64{1e-2, 1e-3, 1e-5} {
			for i := range 7 * 7 * 7 {
				q := b.Plane
				q.Z += float64(i%7-3) * step
				q.SlopeX += float64(i/7%7-3) * step / 2
				q.SlopeY += float64(i/49-3) * step / 2
				if c := costOf(f, s, q); c < b.Cost*(1-1e-12) {
					t.Fatalf("%d: %v costs %.15g, best %.15g", seed, q, c, b.Cost)
				}
			}
		}
	}
}

// No plane within the limits near the best is cheaper, for random limits, prices and floors.
func TestNoPlaneWithinLimitsIsCheaper(t *testing.T) {
	solved := 0
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 3))
		f := rough(t, seed, 4+int(seed%3), []float64{0, 1e6}[seed%2])
		g := NewGround(f)
		s := Spec{FillPrice: math.Exp(rng.NormFloat64()), GrindPrice: math.Exp(2 * rng.NormFloat64()), MinDepth: 0.004 * float64(seed%2), MaxFall: 0.008 * rng.Float64()}
		s.MaxDepth = s.MinDepth + 0.06 + 0.06*rng.Float64()
		for i := range 2 {
			z := 10.02 + 0.03*rng.Float64()
			s.Places = append(s.Places, Place{Name: "A", At: surface.Vec{X: g.at.X + float64(4*i-2), Y: g.at.Y + 2*rng.Float64()}, Least: z, Most: z + 0.02*rng.Float64()})
		}
		b, err := g.Solve(s)
		if clash := (*Clash)(nil); errors.As(err, &clash) {
			continue
		}
		if err != nil {
			t.Fatal(seed, err)
		}
		solved++
		within := func(p surface.Plane, slack float64) bool {
			_, most := f.Depths(p)
			ok := most <= s.MaxDepth+slack && math.Hypot(p.SlopeX, p.SlopeY) <= s.MaxFall+slack
			for _, d := range s.Places {
				z := p.Elevation(d.At)
				ok = ok && z >= d.Least-slack && z <= d.Most+slack
			}
			return ok
		}
		if !within(b.Plane, 1e-11) {
			t.Errorf("%d: %v misses a limit of %+v", seed, b.Plane, s)
		}
		for range 3000 {
			q := b.Plane
			step := math.Pow(10, -1-5*rng.Float64())
			q.Z += step * rng.NormFloat64()
			q.SlopeX += step * rng.NormFloat64() / 3
			q.SlopeY += step * rng.NormFloat64() / 3
			if within(q, 0) && costOf(f, s, q) < b.Cost*(1-1e-11) {
				t.Fatalf("%d: %v costs %.15g, best %.15g", seed, q, costOf(f, s, q), b.Cost)
			}
		}
	}
	if solved < 20 {
		t.Errorf("%d of 60 had a plane", solved)
	}
}

func TestLimitsHold(t *testing.T) {
	for seed := range uint64(20) {
		f := rough(t, seed, 6, 0)
		s := Spec{FillPrice: 150, GrindPrice: math.Inf(1), MinDepth: 0.005, MaxFall: 0.004}
		b, err := NewGround(f).Solve(s)
		if err != nil {
			t.Fatal(seed, err)
		}
		least, _ := f.Depths(b.Plane)
		if least < s.MinDepth-1e-12 || math.Hypot(b.Plane.SlopeX, b.Plane.SlopeY) > s.MaxFall+1e-12 {
			t.Errorf("%d: least %.15g fall %.15g", seed, least, math.Hypot(b.Plane.SlopeX, b.Plane.SlopeY))
		}
		if b.Cost-b.Bound > 1e-9*b.Cost || b.Residual > 1e-6*b.Cost {
			t.Errorf("%d: cost %g, bound %g, residual %g", seed, b.Cost, b.Bound, b.Residual)
		}
	}
}

func TestTiltedFloorIsItsOwnPlane(t *testing.T) {
	var d surface.Data
	for i := range 9 {
		for j := range 7 {
			d.Shots = append(d.Shots, survey.Point{X: 1e6 + float64(i), Y: 1e6 + float64(j), Z: 10 + float64(i)/64 - float64(j)/128})
		}
	}
	f, err := surface.NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	b, err := NewGround(f).Solve(Spec{FillPrice: 1, GrindPrice: 5})
	if err != nil {
		t.Fatal(err)
	}
	if b.Cost > 1e-10 || math.Abs(b.Plane.SlopeX-1.0/64) > 1e-11 || math.Abs(b.Plane.SlopeY+1.0/128) > 1e-11 {
		t.Errorf("got %+v", b)
	}
}

func TestClashIsNamed(t *testing.T) {
	f := rough(t, 1, 5, 0)
	_, err := NewGround(f).Solve(Spec{FillPrice: 1, GrindPrice: 1, Level: true, Places: []Place{
		{Name: "A", At: surface.Vec{X: 0, Y: 0}, Least: 10, Most: 10.01}, {Name: "B", At: surface.Vec{X: 4, Y: 4}, Least: 10.05, Most: 10.06}, {Name: "C", At: surface.Vec{X: 4, Y: 0}, Least: 10, Most: 10.2}}})
	c, ok := err.(*Clash)
	if !ok {
		t.Fatal(err)
	}
	if len(c.Limits) != 3 || math.Abs(c.Each-0.02) > 1e-11 {
		t.Errorf("%+v, %.15g m", c.Limits, c.Each)
	}
}

// A million triangles.
func BenchmarkSolve(b *testing.B) {
	g := NewGround(rough(b, 3, 708, 0))
	for name, s := range map[string]Spec{
		"free": {FillPrice: 100, GrindPrice: 300},
		"fall": {FillPrice: 100, GrindPrice: 300, MaxFall: 0.002, MinDepth: 0.003},
		"fill": {FillPrice: 100, GrindPrice: NoGrinding, MinDepth: 0.003},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := g.Solve(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

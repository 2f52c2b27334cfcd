package best

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"pourplane/surface"
	"pourplane/survey"
)

func isNear(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.12g, want %.12g", what, got, want)
	}
}

func floorOf(t testing.TB, d surface.Data) *surface.Floor {
	t.Helper()
	f, err := surface.NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// ramp is a floor of 10 × 10 m that rises 0.1 m to the east.
func ramp(t testing.TB) *surface.Floor {
	var d surface.Data
	for _, x := range []float64{0, 10} {
		for _, y := range []float64{0, 10} {
			d.Shots = append(d.Shots, survey.Point{X: x, Y: y, Z: 5 + x/100})
		}
	}
	return floorOf(t, d)
}

// By hand. A level plane at h above the low side of the ramp fills 500h² and cuts
// 500(0.1 − h)². At prices of 1 and 3 the cost is least where 1000h = 3000(0.1 − h): h = 0.075,
// 3.75. At 0.07 the slope of the cost is 70 − 90 = −20 per metre. With a fall of s to the east
// about the middle (x = 5), the cost gains 10·∫(x − 5) over x < 7.5 and loses three times
// that over x > 7.5: −93.75 − 281.25 = −375 per unit of s.
func TestLevelByHand(t *testing.T) {
	g := NewGround(ramp(t))
	s := Spec{FillPrice: 1, GrindPrice: 3, Level: true}
	b, err := g.Solve(s)
	if err != nil {
		t.Fatal(err)
	}
	isNear(t, "z", b.Plane.Z, 5.075, 1e-12)
	isNear(t, "cost", b.Cost, 3.75, 1e-12)
	isNear(t, "fill", b.Fill, 500*0.075*0.075, 1e-12)
	isNear(t, "cut", b.Cut, 500*0.025*0.025, 1e-12)
	if len(b.Binding) != 1 || b.Binding[0].Kind != Level {
		t.Fatalf("binding %+v", b.Binding)
	}
	isNear(t, "price of level", b.Binding[0].Price, 375, 1e-9)

	s.Places = []Place{{Name: "door", At: surface.Vec{X: 10, Y: 5}, Least: 5, Most: 5.07}}
	if b, err = g.Solve(s); err != nil {
		t.Fatal(err)
	}
	isNear(t, "z at the door", b.Plane.Z, 5.07, 1e-12)
	door := b.Binding[0]
	if door.Kind != Highest || door.Name != "door" || door.Fixed {
		t.Fatalf("binding %+v", b.Binding)
	}
	isNear(t, "price of the door", door.Price, 20, 1e-9)

	// One elevation at the door: too low costs the same. Too high binds the other way.
	for most, price := range map[float64]float64{5.07: 20, 5.08: 20} {
		s.Places[0].Least, s.Places[0].Most = most, most
		if b, err = g.Solve(s); err != nil {
			t.Fatal(err)
		}
		side := map[bool]Kind{true: Lowest, false: Highest}[most > 5.075]
		if door = b.Binding[0]; !door.Fixed || door.Kind != side {
			t.Errorf("binding %+v", b.Binding)
		}
		isNear(t, "price of the fixed door", door.Price, price, 1e-9)
	}

	// With a least depth of 10 mm the plane is 10 mm higher over the same grinding, and each
	// millimetre less saves its area.
	b, err = g.Solve(Spec{FillPrice: 1, GrindPrice: 3, Level: true, MinDepth: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	isNear(t, "z with depth", b.Plane.Z, 5.085, 1e-12)
	isNear(t, "fill with depth", b.Fill, 500*0.075*0.075+1, 1e-12)
	isNear(t, "cover", b.Cover, 100, 1e-9)
}

// What a limit is said to cost is what is saved when it is loosened a little and all is worked out
// again.
func TestPricesAreSavings(t *testing.T) {
	const by = 1e-7
	bound := map[Kind]int{}
	for seed := range uint64(40) {
		f := rough(t, seed, 6, 0)
		s := Spec{FillPrice: 150, GrindPrice: 300, MinDepth: 0.005, MaxFall: 0.006, Places: []Place{
			{Name: "A", At: surface.Vec{X: 0, Y: 2}, Least: 10.02, Most: 10.03},
			{Name: "B", At: surface.Vec{X: 5, Y: 3}, Least: 10.05, Most: 10.055},
		}}
		switch seed % 4 {
		case 0:
			s.GrindPrice, s.MaxDepth, s.MaxFall = 9000, 0.045, 0
			s.Places = s.Places[:0]
			if seed%8 == 0 {
				s.Places = append(s.Places, Place{Name: "C", At: surface.Vec{X: 0, Y: 2}, Least: 10.045, Most: 10.1})
			}
		case 1:
			s.GrindPrice = NoGrinding
			s.Places = []Place{{Name: "A", At: surface.Vec{X: 0, Y: 2}, Least: 0, Most: 10.08}}
		case 2:
			s.MaxFall = 0
			s.Places[0].Most = s.Places[0].Least
		case 3:
			s.Places = s.Places[:1]
			s.Level, s.MaxFall = true, 0
		}
		g := NewGround(f)
		b, err := g.Solve(s)
		if clash := (*Clash)(nil); errors.As(err, &clash) {
			continue
		}
		if err != nil {
			t.Fatal(seed, err)
		}
		price := map[limit]float64{}
		for _, o := range b.Binding {
			l := limit{kind: o.Kind}
			for i, p := range s.Places {
				if o.Name == p.Name && (o.Kind == Highest || o.Kind == Lowest) {
					l.place = i
				}
			}
			price[l] += o.Price
		}
		for l, want := range price {
			bound[l.kind]++
			looser := s
			looser.Places = append([]Place(nil), s.Places...)
			switch l.kind {
			case MinDepth:
				looser.MinDepth -= by
			case MaxDepth:
				looser.MaxDepth += by
			case MaxFall:
				looser.MaxFall += by
			case Level:
				looser.Level, looser.MaxFall = false, by
			case Highest:
				looser.Places[l.place].Most += by
			case Lowest:
				looser.Places[l.place].Least -= by
			}
			o, err := g.Solve(looser)
			if err != nil {
				t.Fatal(seed, err)
			}
			isNear(t, "saved", (b.Cost-o.Cost)/by, want, 1e-3*want+0.5)
			if t.Failed() {
				t.Fatalf("%d: %+v of %+v, %+v", seed, l, s, b.Binding)
			}
		}
		looser := s
		looser.MinDepth -= by
		o, err := g.Solve(looser)
		if err != nil {
			t.Fatal(seed, err)
		}
		isNear(t, "cover", (b.Cost-o.Cost)/by, b.Cover, 1e-3*b.Cover+0.5)
	}
	for _, k := range []Kind{MinDepth, MaxDepth, MaxFall, Highest, Lowest, Level} {
		if bound[k] == 0 {
			t.Errorf("kind %d never bound: %v", k, bound)
		}
	}
}

// Without grinding the least fill is a linear programme: the mean depth is least, all depths are
// the least depth or more.
func TestLeastFillIsALinearProgramme(t *testing.T) {
	for seed := range uint64(10) {
		f := rough(t, seed, 4, 0)
		g := NewGround(f)
		level := seed%2 == 1
		s := Spec{FillPrice: 1, GrindPrice: NoGrinding, MinDepth: 0.004, Level: level}
		b, err := g.Solve(s)
		if err != nil {
			t.Fatal(seed, err)
		}
		ways := 3
		if level {
			ways = 1
		}
		// Unknowns: each of the plane in two parts ≥ 0, then what each corner has to spare.
		n := len(g.corner)
		c := make([]float64, 2*ways+n)
		a := mat.NewDense(n, 2*ways+n, nil)
		rhs := make([]float64, n)
		for k := range ways {
			c[2*k], c[2*k+1] = g.moment[0][k], -g.moment[0][k]
			for i := range g.corner {
				v := g.corner[i].at()
				a.Set(i, 2*k, v[k])
				a.Set(i, 2*k+1, -v[k])
				a.Set(i, 2*ways+i, -1)
				rhs[i] = g.corner[i].z + s.MinDepth
			}
		}
		least, _, err := lp.Simplex(c, a, rhs, 1e-12, nil)
		if err != nil {
			t.Fatal(seed, err)
		}
		mean := 0.0
		for _, face := range g.faces {
			mean += area(&face) * (face[0].z + face[1].z + face[2].z) / 3
		}
		isNear(t, "fill", b.Fill, least-mean, 1e-9)
	}
}

// A level floor with one high spot in the middle: any plane over the spot that turns about it costs
// the same. The level one is taken.
func TestOfPlanesAlikeTheLevelOneIsTaken(t *testing.T) {
	d := surface.Data{Shots: []survey.Point{{X: 5, Y: 5, Z: 10.02}}}
	for _, x := range []float64{0, 10} {
		for _, y := range []float64{0, 10} {
			d.Shots = append(d.Shots, survey.Point{X: x, Y: y, Z: 10})
		}
	}
	b, err := NewGround(floorOf(t, d)).Solve(Spec{FillPrice: 7, GrindPrice: NoGrinding})
	if err != nil {
		t.Fatal(err)
	}
	isNear(t, "z", b.Plane.Z, 10.02, 1e-9)
	isNear(t, "slope", math.Hypot(b.Plane.SlopeX, b.Plane.SlopeY), 0, 1e-9)
	isNear(t, "cost", b.Cost, 7*(2-2./3), 1e-9)
}

// shelves is two level rooms of one size, 20 mm apart.
func shelves(t testing.TB) *surface.Floor {
	room := func(name string, x0, x1, z float64) survey.Ring {
		r := survey.Ring{Name: name}
		for _, c := range [][2]float64{{x0, 0}, {x1, 0}, {x1, 4}, {x0, 4}} {
			r.Points = append(r.Points, survey.Point{X: c[0], Y: c[1], Z: z})
		}
		return r
	}
	d := surface.Data{Rings: []survey.Ring{room("a", 0, 4, 10), room("b", 4, 8, 10.02)}}
	for x := 0.25; x < 8; x += 0.5 {
		for y := 0.25; y < 4; y += 0.5 {
			z := 10.0
			if x > 4 {
				z = 10.02
			}
			d.Shots = append(d.Shots, survey.Point{X: x, Y: y, Z: z})
		}
	}
	return floorOf(t, d)
}

// At one price for both, all level planes between the two rooms cost the same. The lowest is taken.
func TestOfPlanesAlikeTheLowestIsTaken(t *testing.T) {
	g := NewGround(shelves(t))
	b, err := g.Solve(Spec{FillPrice: 2, GrindPrice: 2, Level: true})
	if err != nil {
		t.Fatal(err)
	}
	isNear(t, "z", b.Plane.Z, 10, 1e-9)
	isNear(t, "cost", b.Cost, 2*0.02*16, 1e-9)
	isNear(t, "cut", b.Cut, 0.02*16, 1e-7)
	// With a lowest elevation within the range, it is that.
	b, err = g.Solve(Spec{FillPrice: 2, GrindPrice: 2, Level: true, Places: []Place{{Name: "A", Least: 10.007, Most: math.Inf(1)}}})
	if err != nil {
		t.Fatal(err)
	}
	isNear(t, "z", b.Plane.Z, 10.007, 1e-9)
	isNear(t, "cost", b.Cost, 2*0.02*16, 1e-9)
}

// The points of the curve are no worse than any plane of a fine grid at their own prices, and
// dearer grinding grinds less.
func TestCurveIsTheLeastOfEach(t *testing.T) {
	f := rough(t, 5, 5, 0)
	g := NewGround(f)
	ratios := []float64{0.5, 1, 2, 4, 8, 16, math.Inf(1)}
	s := Spec{FillPrice: 100, GrindPrice: 250, MinDepth: 0.003}
	curve, err := g.Curve(s, ratios)
	if err != nil || len(curve) != len(ratios) {
		t.Fatal(len(curve), err)
	}
	for i, p := range curve {
		if i > 0 && (p.Cut > curve[i-1].Cut+1e-12 || p.Fill < curve[i-1].Fill-1e-12) {
			t.Errorf("%v after %v", p, curve[i-1])
		}
		if math.IsInf(p.Ratio, 1) {
			isNear(t, "cut without grinding", p.Cut, 0, 0)
			isNear(t, "cost", p.Cost, 100*p.Fill, 1e-9)
			continue
		}
		own := Spec{FillPrice: 1, GrindPrice: p.Ratio, MinDepth: s.MinDepth}
		best := p.Fill + p.Ratio*p.Cut
		isNear(t, "at its own prices", costOf(f, own, p.Plane), best, 1e-12)
		isNear(t, "cost", p.Cost, 100*p.Fill+250*p.Cut, 1e-9)
		for k := range 9 * 9 * 9 {
			q := p.Plane
			q.Z += float64(k%9-4) * 0.001
			q.SlopeX += float64(k/9%9-4) * 0.0005
			q.SlopeY += float64(k/81-4) * 0.0005
			if c := costOf(f, own, q); c < best*(1-1e-12) {
				t.Fatalf("ratio %g: %v costs %.15g, best %.15g", p.Ratio, q, c, best)
			}
		}
	}
}

// Two doors hold the plane at one level: to loosen one of them alone saves nothing, and both are
// named.
func TestALimitHeldByAnotherSavesNothing(t *testing.T) {
	s := Spec{FillPrice: 1, GrindPrice: 3, Level: true, Places: []Place{
		{Name: "A", At: surface.Vec{X: 10, Y: 5}, Least: 5, Most: 5.07}, {Name: "B", At: surface.Vec{X: 0, Y: 5}, Least: 5, Most: 5.07}}}
	b, err := NewGround(ramp(t)).Solve(s)
	if err != nil {
		t.Fatal(err)
	}
	names := ""
	for _, o := range b.Binding {
		if o.Kind == Highest {
			names += o.Name
			isNear(t, "price of "+o.Name, o.Price, 0, 1e-9)
		}
	}
	if names != "BA" {
		t.Errorf("binding %+v", b.Binding)
	}
}

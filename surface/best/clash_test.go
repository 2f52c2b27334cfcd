package best

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// Two doors 4 m apart, 40 mm apart at the nearest: the plane must fall 1 %. By hand: with 0.5 % it
// is 20 mm short. One door must give way by 20 mm, or the fall be 0.5 % more.
func TestWhatFreesAClash(t *testing.T) {
	s := Spec{FillPrice: 1, GrindPrice: 1, MaxFall: 0.005, Places: []Place{
		{Name: "A", At: surface.Vec{X: 0, Y: 2}, Least: 9.9, Most: 10.01},
		{Name: "B", At: surface.Vec{X: 4, Y: 2}, Least: 10.05, Most: 10.06},
		{Name: "C", At: surface.Vec{X: 2, Y: 4}, Least: 9, Most: 11},
	}}
	g := NewGround(rough(t, 1, 5, 0))
	_, err := g.Solve(s)
	clash := (*Clash)(nil)
	if !errors.As(err, &clash) {
		t.Fatal(err)
	}
	want := []Limit{{Kind: MaxFall, Alone: 0.005}, {Kind: Highest, Name: "A", At: s.Places[0].At, Alone: 0.02},
		{Kind: Lowest, Name: "B", At: s.Places[1].At, Alone: 0.02}}
	if len(clash.Limits) != len(want) {
		t.Fatalf("%+v", clash.Limits)
	}
	for i, l := range clash.Limits {
		isNear(t, "alone", l.Alone, want[i].Alone, 1e-11)
		if want[i].Alone = l.Alone; l != want[i] {
			t.Errorf("got %+v, want %+v", l, want[i])
		}
	}
	// Loosened by that, a plane is found; by a little less, none.
	for _, by := range []float64{-1e-7, 1e-9} {
		for i := range 3 {
			loose := s
			loose.Places = append([]Place(nil), s.Places...)
			switch i {
			case 0:
				loose.MaxFall += 0.005 + by
			case 1:
				loose.Places[0].Most += 0.02 + by
			case 2:
				loose.Places[1].Least -= 0.02 + by
			}
			if _, err := g.Solve(loose); (err == nil) != (by > 0) {
				t.Errorf("limit %d loosened by %g: %v", i, by, err)
			}
		}
	}
}

// Level, and doors 40 mm apart: a fall of 1 % frees it. A second pair of doors that clashes too
// leaves no one limit that does.
func TestWhatOneLimitCannotFree(t *testing.T) {
	s := Spec{FillPrice: 1, GrindPrice: 1, Level: true, Places: []Place{
		{Name: "A", At: surface.Vec{X: 0, Y: 2}, Least: 9.9, Most: 10.01},
		{Name: "B", At: surface.Vec{X: 4, Y: 2}, Least: 10.05, Most: 10.06},
	}}
	g := NewGround(rough(t, 1, 5, 0))
	clash := (*Clash)(nil)
	if _, err := g.Solve(s); !errors.As(err, &clash) || len(clash.Limits) != 3 {
		t.Fatal(err, clash)
	}
	isNear(t, "fall", clash.Limits[0].Alone, 0.01, 1e-12)
	isNear(t, "ranges", clash.Ranges, 0.02, 1e-12)
	s.Level = false
	s.Places = append(s.Places,
		Place{Name: "C", At: surface.Vec{X: 1, Y: 3}, Least: 9.9, Most: 10.01}, Place{Name: "D", At: surface.Vec{X: 1, Y: 3}, Least: 10.02, Most: 10.06},
		Place{Name: "E", At: surface.Vec{X: 3, Y: 3}, Least: 9.9, Most: 10.01}, Place{Name: "F", At: surface.Vec{X: 3, Y: 3}, Least: 10.02, Most: 10.06})
	if _, err := g.Solve(s); !errors.As(err, &clash) || len(clash.Limits) != 2 {
		t.Fatal(err, clash)
	}
	for _, l := range clash.Limits {
		if !math.IsInf(l.Alone, 1) {
			t.Errorf("%+v", l)
		}
	}
	isNear(t, "each", clash.Each, 0.005, 1e-11)
}

// A floor 3 km above the datum: the elevations have fewer digits, three doors on one line still
// leave a plane.
func TestDoorsOnOneLineHighUp(t *testing.T) {
	var d surface.Data
	for i := range 25 {
		d.Shots = append(d.Shots, survey.Point{X: float64(i % 5), Y: float64(i / 5), Z: 3000.1 + float64(i%3)/1000})
	}
	s := Spec{FillPrice: 1, GrindPrice: 2}
	for i := range 4 {
		z := 3000.1 + float64(i)*0.011
		s.Places = append(s.Places, Place{Name: "door", At: surface.Vec{X: float64(i), Y: float64(i)}, Least: z, Most: z})
	}
	b, err := NewGround(floorOf(t, d)).Solve(s)
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range s.Places {
		isNear(t, "at a door", b.Plane.Elevation(at.At), at.Most, 2e-12)
	}
	for _, o := range b.Binding {
		if !o.Fixed || o.Price != 0 {
			t.Errorf("%+v: any one of four is held by the others", o)
		}
	}
}

func TestRefusedPricesAndRanges(t *testing.T) {
	g := NewGround(ramp(t))
	for what, s := range map[string]Spec{
		"no price":        {GrindPrice: 1},
		"grinding free":   {FillPrice: 1},
		"no number":       {FillPrice: math.NaN(), GrindPrice: 1},
		"depths crossed":  {FillPrice: 1, GrindPrice: 1, MinDepth: 0.02, MaxDepth: 0.01},
		"depth below 0":   {FillPrice: 1, GrindPrice: 1, MinDepth: -1},
		"range crossed":   {FillPrice: 1, GrindPrice: 1, Places: []Place{{Least: 2, Most: 1}}},
		"range no number": {FillPrice: 1, GrindPrice: 1, Places: []Place{{Least: math.NaN(), Most: 1}}},
		"range nowhere":   {FillPrice: 1, GrindPrice: 1, Places: []Place{{Least: math.Inf(1), Most: math.Inf(1)}}},
	} {
		if _, err := g.Solve(s); err == nil {
			t.Errorf("%s: accepted", what)
		}
	}
}

// Neither the order of the shots nor the number of processors changes a bit.
func TestOrderAndProcessorsChangeNothing(t *testing.T) {
	var d surface.Data
	rng := rand.New(rand.NewPCG(9, 9))
	for i := range 2500 {
		d.Shots = append(d.Shots, survey.Point{X: float64(i%50) + rng.Float64()/3, Y: float64(i/50) + rng.Float64()/3, Z: 10 + rng.Float64()/50})
	}
	s := Spec{FillPrice: 3, GrindPrice: 7, MinDepth: 0.002, MaxDepth: 0.03, MaxFall: 0.0002, Places: []Place{{Name: "A", Least: 9, Most: 10.0125}}}
	solve := func() *Best {
		b, err := NewGround(floorOf(t, d)).Solve(s)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	first := solve()
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	for _, n := range []int{1, 3, 8} {
		runtime.GOMAXPROCS(n)
		rng.Shuffle(len(d.Shots), func(i, j int) { d.Shots[i], d.Shots[j] = d.Shots[j], d.Shots[i] })
		if b := solve(); !reflect.DeepEqual(b, first) {
			t.Errorf("%d processors: got %+v, want %+v", n, b, first)
		}
	}
}

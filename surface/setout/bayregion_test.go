package setout

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pourplane/surface"
	"pourplane/survey"
)

func TestBaysLieInOneRegion(t *testing.T) {
	f := hallWithPit(t)
	whole := f.FillTo(level, nil)
	door := surface.Vec{X: 0, Y: 2}
	type bay struct{ area, fill float64 }
	for _, c := range []struct {
		name  string
		rules BayRules
		want  []bay // in placing order; the crew leaves the pit over the step to its floor
	}{
		{"one strip each", BayRules{Width: 5}, []bay{{1, 0.3}, {11, 1.1}, {20, 1}}},
		// 5 m with max 2 m: strips of 5/3 m to whole steps. The east is 3 by 4 m: two strips
		// of 2 m in the other direction. The pit stays whole.
		{"strips", BayRules{Width: 2}, nil},
		{"one volume", BayRules{Most: 1.1}, []bay{{1, 0.3}, {11, 1.1}, {20, 1}}},
		{"half a volume", BayRules{Most: 0.56}, nil},
		{"a dam across the step and the pit", BayRules{Dams: [][]surface.Vec{{{X: -1, Y: 1.5}, {X: 9, Y: 1.5}}}}, nil},
		{"a dam along the step", BayRules{Dams: [][]surface.Vec{{{X: 5, Y: -1}, {X: 5, Y: 5}}}}, []bay{{1, 0.3}, {11, 1.1}, {20, 1}}},
		{"a dam from the wall to the step", BayRules{Dams: [][]surface.Vec{{{X: 0, Y: 3}, {X: 5, Y: 3}}}}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.rules.Exit, c.rules.HasExit = door, true
			b := cut(t, f, c.rules)
			var area, fill, pit float64
			for _, k := range b.Bays {
				if len(k.Floor.Regions) != 1 || k.Fill.Greatest-k.Fill.Least > 1e-9 {
					t.Errorf("bay %s has %d regions and depths from %g to %g, want one region, level", k.Name, len(k.Floor.Regions), k.Fill.Least, k.Fill.Greatest)
				}
				if k.Fill.Greatest > 0.2 {
					pit += k.Fill.Area
				}
				if c.rules.Most > 0 && k.Fill.Fill > c.rules.Most*(1+1e-8) {
					t.Errorf("bay %s takes %g m³, at most %g asked for", k.Name, k.Fill.Fill, c.rules.Most)
				}
				if lo, hi := k.Floor.Bounds(); c.rules.Width > 0 && min(hi.X-lo.X, hi.Y-lo.Y) > c.rules.Width+1e-9 {
					t.Errorf("bay %s is %g m wide, at most %g asked for", k.Name, min(hi.X-lo.X, hi.Y-lo.Y), c.rules.Width)
				}
				area, fill = area+k.Fill.Area, fill+k.Fill.Fill
			}
			closeTo(t, "areas", area, 32, 1e-9)
			closeTo(t, "fills", fill, whole.Fill, 1e-12)
			closeTo(t, "fills by hand", fill, 2.4, 1e-9)
			closeTo(t, "pit", pit, 1, 1e-9)
			for i, w := range c.want {
				if len(b.Bays) != len(c.want) {
					t.Fatalf("%d bays, want %d", len(b.Bays), len(c.want))
				}
				closeTo(t, "area of bay "+b.Bays[i].Name, b.Bays[i].Fill.Area, w.area, 1e-9)
				closeTo(t, "fill of bay "+b.Bays[i].Name, b.Bays[i].Fill.Fill, w.fill, 1e-9)
			}
			if strings.Contains(texts(b.Notes), "way out of its own") {
				t.Errorf("notes %q", texts(b.Notes))
			}
			reachable(t, f, b)
		})
	}

	b := cut(t, f, BayRules{Width: 5, Exit: door, HasExit: true})
	// Four edges of the pit, and the step in one piece for all the shots and corners along it.
	if len(b.Dams) != 5 {
		t.Fatalf("dams %+v, want 5", b.Dams)
	}
	for i, d := range b.Dams {
		length, height := 1.0, 0.3
		if i == 4 {
			length, height = 4, 0.1
		}
		closeTo(t, "length of dam "+d.Name, d.Length, length, 1e-9)
		closeTo(t, "height of dam "+d.Name, d.Height, height, 1e-9)
		if d.Line != 0 || d.Offset != 0 {
			t.Errorf("dam %s: line %d, offset %g; want neither along a step", d.Name, d.Line, d.Offset)
		}
	}

	// Strips of the west at whole steps from the western wall; of the east, whose longest
	// walls run north, from the southern one. The pit is not cut.
	b = cut(t, f, BayRules{Width: 2, Exit: door, HasExit: true})
	var at []float64
	for _, d := range b.Dams {
		if d.Line > 0 {
			at = append(at, d.Offset)
			place, along := d.From.X, surface.Vec{X: 1}
			if d.Own {
				place, along = d.From.Y, surface.Vec{Y: 1}
			}
			if d.Own != (d.From.X >= 5) || d.Along != along {
				t.Errorf("dam %+v: own %v along %v", d, d.Own, d.Along)
			}
			closeTo(t, "place of dam "+d.Name, place, d.Offset, 1e-9)
		}
	}
	slices.Sort(at)
	at = slices.CompactFunc(at, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 })
	if len(at) != 3 || len(b.Bays) != 6 {
		t.Fatalf("%d bays, dams at %v; want 6 bays and 3 lines", len(b.Bays), at)
	}
	for i, want := range []float64{1.65, 2, 3.35} {
		closeTo(t, "dam", at[i], want, 1e-9)
	}

	// A dam across the step cuts both sides of it, and the pit.
	b = cut(t, f, BayRules{Dams: [][]surface.Vec{{{X: -1, Y: 1.5}, {X: 9, Y: 1.5}}}, Exit: door, HasExit: true})
	if len(b.Bays) != 6 {
		t.Errorf("%d bays on either side of a dam across all three regions, want 6", len(b.Bays))
	}
}

// At elevation 9.92 the west of the hall is above the target: it is not a bay, has no dam
// and the crew walks over it.
func TestRegionWithoutFillIsNoBay(t *testing.T) {
	f := hallWithPit(t)
	low := surface.Horizontal(9.92)
	b, err := CutBays(f, low, BayRules{Width: 2, Exit: surface.Vec{X: 0, Y: 2}, HasExit: true})
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Bays) != 3 {
		t.Fatalf("%d bays, want the pit and two of the east", len(b.Bays))
	}
	closeTo(t, "fills", sumOf(fills(b)), 11*0.02+0.22, 1e-9)
	for _, k := range b.Bays {
		if k.Fill.Fill <= 0 {
			t.Errorf("bay %s takes nothing", k.Name)
		}
	}
	for _, d := range b.Dams {
		if d.From.X < 5.5 && d.To.X < 5.5 {
			t.Errorf("dam %+v beside floor that needs no fill", d)
		}
	}
	if want := "1 part of the floor needs no fill: it is not a bay"; texts(b.Notes) != want {
		t.Errorf("notes %q, want %q", texts(b.Notes), want)
	}
}

// A pit smaller than half a metre square is a bay like any other: no dam can be moved.
func TestSmallPit(t *testing.T) {
	shots := slices.DeleteFunc(grid(0, 0, 8, 4, 0.25, func(x, y float64) float64 { return 9.95 }), func(p survey.Point) bool {
		return p.X >= 4 && p.X <= 4.4 && p.Y >= 2 && p.Y <= 2.4
	})
	shots = append(shots, grid(4.1, 2.1, 4.3, 2.3, 0.1, func(x, y float64) float64 { return 9.8 })...)
	f := floorOf(t, surface.Data{Shots: shots, Rings: []survey.Ring{ring(survey.Outer, 0, 0, 8, 0, 8, 4, 0, 4)}, Lines: []survey.Breakline{breakline(4, 2, 4.4, 2, 4.4, 2.4, 4, 2.4, 4, 2)}})
	b := cut(t, f, BayRules{Width: 4.2, Exit: surface.Vec{X: 0, Y: 2}, HasExit: true})
	if len(b.Bays) != 3 || len(b.Notes) != 0 {
		t.Fatalf("%d bays, notes %q; want 3 and none", len(b.Bays), texts(b.Notes))
	}
	pit := slices.IndexFunc(b.Bays, func(k Bay) bool { return math.Abs(k.Fill.Area-0.16) < 1e-9 })
	if pit < 0 {
		t.Fatal("the pit is not a bay")
	}
	closeTo(t, "fill of the pit", b.Bays[pit].Fill.Fill, 0.16*0.2, 1e-9)
	reachable(t, f, b)
}

// The edge of a round pit is many short stretches; the crew leaves it over any of them.
func TestRoundPit(t *testing.T) {
	var edge []float64
	for i := range 25 {
		s, c := math.Sincos(2 * math.Pi * float64(i%24) / 24)
		edge = append(edge, 4+0.8*c, 2+0.8*s)
	}
	shots := slices.DeleteFunc(grid(0, 0, 8, 4, 0.25, func(x, y float64) float64 { return 9.95 }), func(p survey.Point) bool {
		return math.Hypot(p.X-4, p.Y-2) < 1
	})
	shots = append(shots, grid(3.75, 1.75, 4.25, 2.25, 0.25, func(x, y float64) float64 { return 9.8 })...)
	f := floorOf(t, surface.Data{Shots: shots, Rings: []survey.Ring{ring(survey.Outer, 0, 0, 8, 0, 8, 4, 0, 4)}, Lines: []survey.Breakline{breakline(edge...)}})
	b := cut(t, f, BayRules{Width: 10, Exit: surface.Vec{X: 0, Y: 2}, HasExit: true})
	if len(b.Bays) != 2 || len(b.Notes) != 0 {
		t.Fatalf("%d bays, notes %q; want 2 and none", len(b.Bays), texts(b.Notes))
	}
	closeTo(t, "pit", b.Bays[0].Fill.Area, 12*0.64*math.Sin(math.Pi/12), 1e-6)
	reachable(t, f, b)
}

// Random rooms and rules: the fills sum to the whole, no bay exceeds the limit, every bay is
// reached, and the order of the survey's rows changes nothing.
func TestRandomBays(t *testing.T) {
	cases, refused := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 11))
		var shots []survey.Point
		for range 20 + rng.IntN(60) {
			shots = append(shots, survey.Point{X: 10 * rng.Float64(), Y: 6 * rng.Float64(), Z: 9.97 + 0.02*rng.NormFloat64()})
		}
		x, y := 3+4*rng.Float64(), 2+3*rng.Float64()
		d := surface.Data{Shots: shots, Rings: []survey.Ring{ring(survey.Outer, 0, 0, 10, 0, 10, y, x, y, x, 6, 0, 6), ring(survey.Hole, 1, 1, 2, 1, 2, 1.8)}}
		if rng.IntN(2) == 0 {
			sx := 2.5 + 5*rng.Float64()
			d.Lines = []survey.Breakline{breakline(sx, -1, sx+rng.NormFloat64()/2, 7)}
		}
		f, err := surface.NewFloor(d)
		cases++
		if err != nil {
			refused++
			t.Skip(err.Error())
		}
		whole := f.FillTo(level, nil)
		r := BayRules{Width: 1 + 4*rng.Float64(), Exit: surface.Vec{X: 10 * rng.Float64(), Y: 0}, HasExit: true}
		if rng.IntN(2) == 0 {
			r.Width, r.Most = 0, whole.Fill*(0.05+0.6*rng.Float64())
		}
		b, err := CutBays(f, level, r)
		if err != nil {
			t.Fatal(err)
		}
		got := fills(b)
		if s := sumOf(got); math.Abs(s-whole.Fill) > 1e-12*whole.Area*whole.Greatest {
			t.Errorf("bays sum to %.16g, the floor takes %.16g", s, whole.Fill)
		}
		for _, k := range b.Bays {
			if len(k.Floor.Regions) != 1 {
				t.Errorf("bay %s has %d regions", k.Name, len(k.Floor.Regions))
			}
		}
		for i, v := range got {
			if r.Most > 0 && v > r.Most*(1+1e-8) {
				t.Errorf("bay %d takes %g, at most %g asked for", i+1, v, r.Most)
			}
		}
		if !strings.Contains(texts(b.Notes), "way out of its own") {
			reachable(t, f, b)
		}
		shown, err := Apportion(whole.Fill, got, 3)
		if err != nil {
			t.Fatal(err)
		}
		if s := sumOf(shown); math.Round(s*1000) != math.Round(whole.Fill*1000) {
			t.Errorf("shown %v sum to %g, the total is shown as %.3f", shown, s, whole.Fill)
		}

		d.Shots = slices.Clone(shots)
		rng.Shuffle(len(d.Shots), func(i, j int) { d.Shots[i], d.Shots[j] = d.Shots[j], d.Shots[i] })
		g, err := surface.NewFloor(d)
		if err != nil {
			t.Fatal(err)
		}
		c, err := CutBays(g, level, r)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(got, fills(c)) || !slices.Equal(b.Dams, c.Dams) {
			t.Errorf("in another order of rows the bays take %v, before %v", fills(c), got)
		}
	})
	if 20*refused > cases {
		t.Errorf("%d of %d floors were refused, want one in 20 at most", refused, cases)
	}
}

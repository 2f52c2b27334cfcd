package job

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"
)

// roughShots is a floor of 5 by 4 m with waves of some centimetres, shot at irregular
// places and at every wall corner.
func roughShots(seed uint64, n int) [][3]float64 {
	rng := rand.New(rand.NewPCG(seed, 11))
	z := func(x, y float64) float64 {
		return -0.06 + 0.015*math.Sin(1.3*x+float64(seed)) + 0.012*math.Cos(1.7*y-0.4*x)
	}
	out := [][3]float64{{0, 0, z(0, 0)}, {5, 0, z(5, 0)}, {5, 4, z(5, 4)}, {0, 4, z(0, 4)}}
	for len(out) < n {
		// To a tenth of a millimetre: no floor is shot more closely.
		x, y := math.Round((0.1+4.8*rng.Float64())*1e4)/1e4, math.Round((0.1+3.8*rng.Float64())*1e4)/1e4
		out = append(out, [3]float64{x, y, math.Round(z(x, y)*1e5) / 1e5})
	}
	return out
}

var fiveByFour = outlineOf(rectangle(0, 0, 5, 4))

func filledBy(t rapidOrTest, shots [][3]float64, outline, target string) *Filled {
	t.Helper()
	j := &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}, Target: Target{Elevation: target}}
	w, err := Fill(j, nil, floorOfShots(shots, outline), nil)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// rapidOrTest has the methods of *testing.T and *rapid.T used here.
type rapidOrTest interface {
	Helper()
	Fatal(...any)
}

// Rows in any order give the same floor, to the last bit.
func TestOrderOfRowsChangesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		shots := roughShots(uint64(rapid.IntRange(0, 50).Draw(t, "seed")), rapid.IntRange(12, 40).Draw(t, "shots"))
		want := filledBy(t, shots, fiveByFour, "0m").Fill
		got := filledBy(t, rapid.Permutation(shots).Draw(t, "order"), fiveByFour, "0m").Fill
		if got.Fill != want.Fill || got.Area != want.Area || got.Least != want.Least || got.Greatest != want.Greatest || got.LeastAt != want.LeastAt || got.GreatestAt != want.GreatestAt || got.Triangles != want.Triangles {
			t.Errorf("in another order %+v, want %+v", got, want)
		}
	})
}

// A shift of the origin of the site grid changes the volume by a part in 10¹² max:
// coordinates are to a tenth of a millimetre and kept exactly.
func TestOriginChangesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		shots := roughShots(uint64(rapid.IntRange(0, 50).Draw(t, "seed")), 25)
		dx, dy := float64(rapid.IntRange(-3_000_000, 3_000_000).Draw(t, "dx"))/8, float64(rapid.IntRange(-3_000_000, 3_000_000).Draw(t, "dy"))/8
		dz := float64(rapid.IntRange(-500, 3000).Draw(t, "dz"))
		moved := make([][3]float64, len(shots))
		for i, p := range shots {
			moved[i] = [3]float64{p[0] + dx, p[1] + dy, p[2] + dz}
		}
		want := filledBy(t, shots, fiveByFour, "0m").Fill
		got := filledBy(t, moved, outlineOf(rectangle(dx, dy, 5, 4)), fmt.Sprintf("%gm", dz)).Fill
		if math.Abs(got.Fill-want.Fill) > 1e-9*want.Fill || math.Abs(got.Area-want.Area) > 1e-9 || got.Triangles != want.Triangles {
			t.Errorf("moved by %g, %g, %g: %.12g m³ over %.12g m², want %.12g over %.12g", dx, dy, dz, got.Fill, got.Area, want.Fill, want.Area)
		}
	})
}

// Quarter turns and mirrors keep the volume if no four shots are on one circle.
func TestTurnsAndMirrorsKeepTheVolume(t *testing.T) {
	t.Parallel()
	shots := roughShots(7, 40)
	want := filledBy(t, shots, fiveByFour, "0m").Fill
	for name, at := range map[string]func(x, y float64) (float64, float64){
		"quarter turn":  func(x, y float64) (float64, float64) { return -y, x },
		"half turn":     func(x, y float64) (float64, float64) { return -x, -y },
		"three":         func(x, y float64) (float64, float64) { return y, -x },
		"east for west": func(x, y float64) (float64, float64) { return -x, y },
		"x for y":       func(x, y float64) (float64, float64) { return y, x },
	} {
		var turned [][3]float64
		for _, p := range shots {
			x, y := at(p[0], p[1])
			turned = append(turned, [3]float64{x, y, p[2]})
		}
		var ring [][2]float64
		for _, c := range rectangle(0, 0, 5, 4) {
			x, y := at(c[0], c[1])
			ring = append(ring, [2]float64{x, y})
		}
		got := filledBy(t, turned, outlineOf(ring), "0m").Fill
		near(t, name+": fill", got.Fill, want.Fill)
		near(t, name+": area", got.Area, want.Area)
		near(t, name+": sloped", got.Sloped, want.Sloped)
	}
}

// Raising a target by d where all is fill adds d × area. Fill minus cut is area × mean
// depth at any target. Fill never decreases as the target rises.
func TestTargetRaises(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		shots := roughShots(uint64(rapid.IntRange(0, 50).Draw(t, "seed")), 20)
		low := float64(rapid.IntRange(-120, 60).Draw(t, "target, mm")) / 1000
		d := float64(rapid.IntRange(1, 100).Draw(t, "raised by, mm")) / 1000
		a, b := filledBy(t, shots, fiveByFour, fmt.Sprintf("%gm", low)).Fill, filledBy(t, shots, fiveByFour, fmt.Sprintf("%gm", low+d)).Fill
		if a.Least > 0 && math.Abs(b.Fill-a.Fill-d*20) > 1e-9 {
			t.Errorf("%g m³ more, want %g", b.Fill-a.Fill, d*20)
		}
		if b.Fill < a.Fill || b.Cut > a.Cut {
			t.Errorf("raised by %g m: fill from %g to %g, cut from %g to %g", d, a.Fill, b.Fill, a.Cut, b.Cut)
		}
		if got := (b.Fill - b.Cut) - (a.Fill - a.Cut); math.Abs(got-d*20) > 1e-9 {
			t.Errorf("fill less cut grows by %g, want %g", got, d*20)
		}
		if math.Abs(b.Greatest-a.Greatest-d) > 1e-12 || math.Abs(b.Least-a.Least-d) > 1e-12 {
			t.Errorf("depths from %g to %g became %g to %g", a.Least, a.Greatest, b.Least, b.Greatest)
		}
	})
}

// A floor twice as wide and as long has four times the fill. A floor twice as deep has
// twice the fill if the walls are shot: an elevation estimated at a wall is fitted to
// the shots within 30 mm of their plane, and on a deeper floor those are other shots.
func TestScale(t *testing.T) {
	t.Parallel()
	shots := roughShots(3, 30)
	want := filledBy(t, shots, fiveByFour, "0m").Fill
	wide := slices.Clone(shots)
	for i := range wide {
		wide[i][0], wide[i][1] = 2*wide[i][0], 2*wide[i][1]
	}
	near(t, "twice the plan", filledBy(t, wide, outlineOf(rectangle(0, 0, 10, 8)), "0m").Fill.Fill, 4*want.Fill)
	z := func(k float64) func(x, y float64) float64 {
		return func(x, y float64) float64 { return -k * (0.05 + 0.02*math.Sin(2*x+y)) }
	}
	near(t, "twice the depth", filledBy(t, onGrid(5, 4, 1, z(2)), fiveByFour, "0m").Fill.Fill, 2*filledBy(t, onGrid(5, 4, 1, z(1)), fiveByFour, "0m").Fill.Fill)
}

// Two rooms beside each other take the sum of their fills.
func TestRoomsAddUp(t *testing.T) {
	t.Parallel()
	west, east := roughShots(1, 30), roughShots(2, 30)
	var all [][3]float64
	all = append(all, west...)
	for _, p := range east {
		all = append(all, [3]float64{p[0] + 7, p[1], p[2]})
	}
	outline := outlineOf(rectangle(0, 0, 5, 4)) + strings.ReplaceAll(strings.TrimPrefix(outlineOf(rectangle(7, 0, 5, 4)), "part,ring,x_m,y_m\n"), "room", "east room")
	a, b, both := filledBy(t, west, fiveByFour, "0m").Fill, filledBy(t, east, fiveByFour, "0m").Fill, filledBy(t, all, outline, "0m").Fill
	near(t, "fill of both", both.Fill, a.Fill+b.Fill)
	near(t, "area of both", both.Area, a.Area+b.Area)
	if len(both.Regions) != 2 {
		t.Errorf("%d regions", len(both.Regions))
	}
}

// A result is the same each time: no figure depends on chance or on the scheduler.
func TestSolvedTwiceAlike(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"floor.csv": floorOfShots(roughShots(5, 60), "")["floor.csv"], "walls.csv": {Data: []byte(fiveByFour)}}
	text := rampJob + "[bays]\nwidth = \"2m\"\n[bars]\nsize = \"8\"\nspacing = \"400mm\"\ntop-cover = \"10mm\"\nbottom-cover = \"5mm\"\n"
	a, b := solved(t, text, files), solved(t, text, files)
	if fmt.Sprintf("%+v", a.Filled.Fill) != fmt.Sprintf("%+v", b.Filled.Fill) || fmt.Sprintf("%+v", a.Pins) != fmt.Sprintf("%+v", b.Pins) || fmt.Sprintf("%+v", a.Bars.Bars) != fmt.Sprintf("%+v", b.Bars.Bars) {
		t.Error("two results of one job differ")
	}
	if len(a.Notes) != len(b.Notes) {
		t.Fatalf("%d notes, then %d", len(a.Notes), len(b.Notes))
	}
	for i := range a.Notes {
		if a.Notes[i].In(styleOf(a)) != b.Notes[i].In(styleOf(b)) {
			t.Errorf("note %d: %s, then %s", i+1, a.Notes[i].In(styleOf(a)), b.Notes[i].In(styleOf(b)))
		}
	}
}

package setout

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/file"
)

func closeTo(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s = %.12g, want %.12g (± %g)", what, got, want, within)
	}
}

func ring(kind survey.RingKind, xy ...float64) survey.Ring {
	r := survey.Ring{Kind: kind}
	for i := 0; i < len(xy); i += 2 {
		r.Points = append(r.Points, survey.Point{X: xy[i], Y: xy[i+1], Z: math.NaN()})
	}
	return r
}

func grid(x0, y0, x1, y1, step float64, z func(x, y float64) float64) []survey.Point {
	var out []survey.Point
	for j := range int(math.Round((y1-y0)/step)) + 1 {
		for i := range int(math.Round((x1-x0)/step)) + 1 {
			x, y := x0+float64(i)*step, y0+float64(j)*step
			out = append(out, survey.Point{X: x, Y: y, Z: z(x, y)})
		}
	}
	return out
}

func floorOf(t *testing.T, d surface.Data) *surface.Floor {
	t.Helper()
	f, err := surface.NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// wedge is a floor of 10 m by 4 m whose depth to elevation 10 is 0.01·x; the fill up to x is
// 0.02·x², 2 m³ in all.
func wedge(t *testing.T) *surface.Floor {
	return floorOf(t, surface.Data{Shots: grid(0, 0, 10, 4, 1, func(x, y float64) float64 { return 10 - 0.01*x })})
}

var level = surface.Horizontal(10)

func cut(t *testing.T, f *surface.Floor, r BayRules) Bays {
	t.Helper()
	b, err := CutBays(f, level, r)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func fills(b Bays) []float64 {
	var out []float64
	for _, k := range b.Bays {
		out = append(out, k.Fill.Fill)
	}
	return out
}

// Closed form: the fill of a strip from a to b is 0.02·(b² − a²), its dam at b is 4 m
// long and 0.01·b high.
func TestStripsOfAWedge(t *testing.T) {
	b := cut(t, wedge(t), BayRules{Width: 3, Exit: surface.Vec{X: 0, Y: 2}, HasExit: true})
	if len(b.Bays) != 4 || len(b.Dams) != 3 || len(b.Notes) != 0 {
		t.Fatalf("%d bays, %d dams, notes %v; want 4, 3, none", len(b.Bays), len(b.Dams), b.Notes)
	}
	for i, want := range []float64{0.02 * (100 - 56.25), 0.02 * (56.25 - 25), 0.02 * (25 - 6.25), 0.02 * 6.25} {
		closeTo(t, "fill of bay "+b.Bays[i].Name, b.Bays[i].Fill.Fill, want, 1e-13)
	}
	for i, at := range []float64{7.5, 5, 2.5} {
		d := b.Dams[i]
		closeTo(t, "offset of dam "+d.Name, d.Offset, at, 1e-12)
		closeTo(t, "length", d.Length, 4, 1e-12)
		closeTo(t, "height", d.Height, 0.01*at, 1e-12)
		closeTo(t, "place", d.From.X, at, 1e-12)
		if want := [2]string{string(rune('1' + i)), string(rune('2' + i))}; d.Bays != want || d.Line != 3-i {
			t.Errorf("dam %s lies between %v on line %d, want %v on line %d", d.Name, d.Bays, d.Line, want, 3-i)
		}
	}
	// A name is half the width of the strip from the edges, minus half of one of 24 squares.
	for _, bay := range b.Bays {
		lo, hi := bay.Floor.Bounds()
		if p := bay.At; p.X-lo.X < 1.25-2.5/48-1e-9 || hi.X-p.X < 1.25-2.5/48-1e-9 || p.Y < 1.25-2.5/48-1e-9 || p.Y > 2.75+2.5/48+1e-9 {
			t.Errorf("the name of bay %s stands at %v, want the middle", bay.Name, p)
		}
	}
	if got := b.Bays[1].Neighbours; !slices.Equal(got, []string{"1", "3"}) || !slices.Equal(b.Bays[1].Dams, []int{0, 1}) {
		t.Errorf("bay 2 lies beside %v over dams %v", got, b.Bays[1].Dams)
	}
}

// The prismoidal formula of surveying handbooks: V = L/6·(A₁ + 4·Aₘ + A₂), exact for
// sections that change as here. Depth 0.02 + 0.01·x + 0.004·y between converging walls: the
// room is 4 m wide at x = 0 and 3 m at x = 10.
func TestStripsByThePrismoidalFormula(t *testing.T) {
	depth := func(x, y float64) float64 { return 0.02 + 0.01*x + 0.004*y }
	var shots []survey.Point
	for _, p := range []surface.Vec{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 3}, {X: 0, Y: 4}, {X: 4, Y: 1}, {X: 6, Y: 2}} {
		shots = append(shots, survey.Point{X: p.X, Y: p.Y, Z: 10 - depth(p.X, p.Y)})
	}
	section := func(x float64) float64 {
		width := 4 - x/10
		return width * depth(x, width/2)
	}
	r := BayRules{Exit: surface.Vec{X: 10, Y: 1}, HasExit: true}
	for _, x := range []float64{2.5, 5, 7.5} {
		r.Dams = append(r.Dams, []surface.Vec{{X: x, Y: -1}, {X: x, Y: 5}})
	}
	b := cut(t, floorOf(t, surface.Data{Shots: shots}), r)
	if len(b.Bays) != 4 {
		t.Fatalf("%d bays, want 4", len(b.Bays))
	}
	for i, bay := range b.Bays {
		x := 2.5 * float64(i)
		closeTo(t, "bay "+bay.Name, bay.Fill.Fill, 2.5/6*(section(x)+4*section(x+1.25)+section(x+2.5)), 1e-13)
	}
	for i, d := range b.Dams {
		x := 2.5 * float64(i+1)
		closeTo(t, "height of dam "+d.Name, d.Height, depth(x, 4-x/10), 1e-12)
		closeTo(t, "length of dam "+d.Name, d.Length, 4-x/10, 1e-12)
	}
}

// A dam that cuts off a corner of 200 mm is accepted with a warning.
func TestScrapOfABay(t *testing.T) {
	b := cut(t, wedge(t), BayRules{Dams: [][]surface.Vec{{{X: 9.8, Y: 0}, {X: 10, Y: 0.2}}}, Exit: surface.Vec{X: 0, Y: 2}, HasExit: true})
	want := "bay 1 is smaller than a square of 0.500 m: move a dam so that it joins a neighbour\nbay 1 does not join the bays at the exit over a width of 0.500 m: it needs a way out of its own"
	if got := texts(b.Notes); got != want {
		t.Errorf("notes\n%s\nwant\n%s", got, want)
	}
	closeTo(t, "area", b.Bays[0].Fill.Area, 0.02, 1e-9)
}

// With 0.5 m³ a bay the four are exactly full, at 10·√(k/4): no whole step keeps the limit.
// With 0.55 there is room for whole steps.
func TestBaysOfOneVolume(t *testing.T) {
	b := cut(t, wedge(t), BayRules{Most: 0.5})
	if len(b.Bays) != 4 {
		t.Fatalf("%d bays, want 4", len(b.Bays))
	}
	for i, d := range b.Dams {
		closeTo(t, "dam "+d.Name, d.Offset, 10*math.Sqrt(float64(i+1)/4), 1e-9)
	}
	for _, v := range fills(b) {
		closeTo(t, "fill", v, 0.5, 1e-9)
	}
	if !strings.Contains(texts(b.Notes), "dams on whole steps would make a bay too large") {
		t.Errorf("notes %q do not say that the dams stand off whole steps", texts(b.Notes))
	}

	for _, step := range []float64{0, 0.0508, 0.1} {
		b = cut(t, wedge(t), BayRules{Most: 0.55, Step: step})
		if len(b.Bays) != 4 {
			t.Fatalf("%d bays, want 4", len(b.Bays))
		}
		if step == 0 {
			step = 0.05
		}
		for i, d := range b.Dams {
			closeTo(t, "steps", math.Remainder(d.Offset, step), 0, 1e-9)
			closeTo(t, "dam "+d.Name, d.Offset, 10*math.Sqrt(float64(i+1)/4), step/2+1e-9)
		}
		for i, v := range fills(b) {
			if v > 0.55 {
				t.Errorf("step %g: bay %d takes %g m³, at most 0.55 asked for", step, i+1, v)
			}
		}
		closeTo(t, "sum", sumOf(fills(b)), 2, 2e-12)
		if strings.Contains(texts(b.Notes), "whole steps") {
			t.Errorf("step %g: %s", step, texts(b.Notes))
		}
	}
	// One bay: no dam.
	if b = cut(t, wedge(t), BayRules{Most: 2}); len(b.Bays) != 1 || len(b.Dams) != 0 || b.Bays[0].Name != "1" {
		t.Errorf("%d bays, %d dams; want 1 and 0", len(b.Bays), len(b.Dams))
	}
}

func sumOf(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s
}

func texts(notes []survey.Note) string {
	var out []string
	for _, n := range notes {
		out = append(out, n.Text.String())
	}
	return strings.Join(out, "\n")
}

// The bays on either side of the exit are placed before its own, whichever wall the door is
// in.
func TestExitInTheMiddle(t *testing.T) {
	f := wedge(t)
	b := cut(t, f, BayRules{Width: 2, Exit: surface.Vec{X: 5.2, Y: -0.3}, HasExit: true})
	last := b.Bays[len(b.Bays)-1]
	if lo, hi := last.Floor.Bounds(); lo.X != 4 || hi.X != 6 {
		t.Errorf("the last bay runs from %g to %g, want the one at the exit, 4 to 6", lo.X, hi.X)
	}
	if lo, _ := b.Bays[0].Floor.Bounds(); lo.X != 0 {
		t.Errorf("the first bay begins at %g, want the far end, 0", lo.X)
	}
	reachable(t, f, b)
}

// A corridor round a core, cut by four dams: from the far side both arms lead to the
// exit; the nearer arm must not be closed while the far one needs it.
func TestRingOfBays(t *testing.T) {
	f := floorOf(t, surface.Data{
		Shots: grid(0, 0, 12, 12, 1, func(x, y float64) float64 { return 9.95 }),
		Rings: []survey.Ring{ring(survey.Outer, 0, 0, 12, 0, 12, 12, 0, 12), ring(survey.Hole, 2, 2, 10, 2, 10, 10, 2, 10)},
	})
	v := func(xy ...float64) []surface.Vec { return []surface.Vec{{X: xy[0], Y: xy[1]}, {X: xy[2], Y: xy[3]}} }
	b := cut(t, f, BayRules{Dams: [][]surface.Vec{v(6, 0, 6, 2), v(6, 10, 6, 12), v(0, 6, 2, 6), v(10, 6, 12, 6)}, Exit: surface.Vec{X: 12, Y: 3}, HasExit: true})
	if len(b.Bays) != 4 || len(b.Dams) != 4 {
		t.Fatalf("%d bays, %d dams; want 4 and 4", len(b.Bays), len(b.Dams))
	}
	closeTo(t, "a quarter", b.Bays[0].Fill.Fill, 0.05*(144-64)/4, 1e-12)
	if lo, _ := b.Bays[0].Floor.Bounds(); lo != (surface.Vec{X: 0, Y: 6}) {
		t.Errorf("the first bay begins at %v, want the far corner", lo)
	}
	reachable(t, f, b)
}

// Two rooms with a wall between: the one without the exit is placed first, and reported.
func TestRoomsThatDoNotJoin(t *testing.T) {
	f := floorOf(t, surface.Data{
		Shots: append(grid(0, 0, 4, 4, 1, func(x, y float64) float64 { return 9.95 }), grid(5, 0, 9, 4, 1, func(x, y float64) float64 { return 9.9 })...),
		Rings: []survey.Ring{ring(survey.Outer, 0, 0, 4, 0, 4, 4, 0, 4), ring(survey.Outer, 5, 0, 9, 0, 9, 4, 5, 4)},
	})
	b := cut(t, f, BayRules{Width: 20, Exit: surface.Vec{X: 0, Y: 1}, HasExit: true})
	if len(b.Bays) != 2 {
		t.Fatalf("%d bays, want 2", len(b.Bays))
	}
	closeTo(t, "first", b.Bays[0].Fill.Fill, 1.6, 1e-12)
	if want := "bay 1 does not join the bays at the exit over a width of 0.500 m: it needs a way out of its own"; texts(b.Notes) != want {
		t.Errorf("notes %q, want %q", texts(b.Notes), want)
	}
	// Strips of half the length meet at 4.5 m, in the gap from 4 to 5 m; those of a quarter at 2.25, 4.5
	// and 6.75 m.
	b = cut(t, f, BayRules{Width: 4.5})
	if len(b.Bays) != 2 || len(b.Dams) != 0 {
		t.Errorf("%d bays and %d dams; want the two rooms, and no dam in the gap between them", len(b.Bays), len(b.Dams))
	}
	if want := "no exit is given: the bays are placed from one end of the floor to the other\nbay 1 does not join the other bays over a width of 0.500 m: it needs a way out of its own"; texts(b.Notes) != want {
		t.Errorf("notes %q, want %q", texts(b.Notes), want)
	}
	b = cut(t, f, BayRules{Width: 2.25, Step: 0.05, Exit: surface.Vec{X: 0, Y: 1}, HasExit: true})
	if len(b.Bays) != 4 || len(b.Dams) != 2 || b.Dams[0].Line+b.Dams[1].Line != 3 {
		t.Errorf("%d bays, dams %+v; want 4 and 2, of lines 1 and 2", len(b.Bays), b.Dams)
	}
	if want := "bays 1 and 2 do not join the bays at the exit over a width of 0.500 m: they need a way out of their own"; texts(b.Notes) != want {
		t.Errorf("notes %q, want %q", texts(b.Notes), want)
	}
	b = cut(t, f, BayRules{Width: 20, Exit: surface.Vec{X: 0, Y: -9}, HasExit: true})
	if !strings.Contains(texts(b.Notes), "the exit is 9.000 m from the floor") {
		t.Errorf("notes %q do not doubt an exit 9 m away", texts(b.Notes))
	}
}

// An L-shaped room turned by any angle gives the same bays: strips follow its longest walls.
func TestTurnedRoom(t *testing.T) {
	var want []float64
	for i := range 12 {
		s, c := math.Sincos(float64(i) * 0.26)
		at := func(x, y float64) (float64, float64) { return 50 + c*x - s*y, 70 + s*x + c*y }
		outline := []float64{0, 0, 9, 0, 9, 4.5, 4, 4.5, 4, 8, 0, 8}
		for j := 0; j < len(outline); j += 2 {
			outline[j], outline[j+1] = at(outline[j], outline[j+1])
		}
		shots := grid(0.5, 0.5, 8.5, 4, 0.5, func(x, y float64) float64 { return 9.95 - 0.004*x })
		shots = append(shots, grid(0.5, 4.5, 3.5, 7.5, 0.5, func(x, y float64) float64 { return 9.95 - 0.004*x })...)
		for j := range shots {
			shots[j].X, shots[j].Y = at(shots[j].X, shots[j].Y)
		}
		ex, ey := at(0, 0)
		b := cut(t, floorOf(t, surface.Data{Shots: shots, Rings: []survey.Ring{ring(survey.Outer, outline...)}}),
			BayRules{Width: 3, Exit: surface.Vec{X: ex, Y: ey}, HasExit: true})
		got := fills(b)
		if i == 0 {
			// Depth 0.05 + 0.004·x: the strip from 6 to 9 is 4.5 m deep.
			closeTo(t, "first bay", got[0], 3*4.5*(0.05+0.004*7.5), 1e-12)
			want = got
		}
		if len(got) != len(want) {
			t.Fatalf("turned by %g: %d bays, want %d", float64(i)*0.26, len(got), len(want))
		}
		// Past a quarter turn strips are counted from the other end, and steps with them.
		for j := range got {
			closeTo(t, "bay", got[j], want[j], 1e-6)
		}
	}
}

func TestBayRulesThatAreRefused(t *testing.T) {
	f := wedge(t)
	nan, inf := math.NaN(), math.Inf(1)
	dam := [][]surface.Vec{{{X: 5, Y: 0}, {X: 5, Y: 4}}}
	for _, c := range []struct {
		name   string
		rules  BayRules
		target surface.Target
		want   string
	}{
		{"no rule", BayRules{}, level, "bays: found no rule, want exactly one: dam lines, the max width of a bay, or its max volume, more than 0"},
		{"two rules", BayRules{Width: 2, Most: 1}, level, "bays: found width and most, want exactly one: dam lines, the max width of a bay, or its max volume, more than 0"},
		{"three rules", BayRules{Dams: dam, Width: 2, Most: 1}, level, "bays: found dams, width and most, want exactly one: dam lines, the max width of a bay, or its max volume, more than 0"},
		{"width not a number", BayRules{Width: nan}, level, "width of a bay: found NaN, want a length in m, more than 0"},
		{"infinite width", BayRules{Width: inf}, level, "width of a bay: found +Inf, want a length in m, more than 0"},
		{"negative width", BayRules{Width: -2}, level, "width of a bay: found -2, want a length in m, more than 0"},
		{"volume not a number", BayRules{Most: nan}, level, "volume of a bay: found NaN, want a volume in m³, more than 0"},
		{"negative volume", BayRules{Most: -1}, level, "volume of a bay: found -1, want a volume in m³, more than 0"},
		{"negative step", BayRules{Most: 1, Step: -1}, level, "step of the dams: found -1, want a length in m, 0 or more"},
		{"exit not a number", BayRules{Most: 1, HasExit: true, Exit: surface.Vec{X: nan}}, level, "exit: found (NaN, 0), want a place in m"},
		{"narrow strips", BayRules{Width: 0.01}, level, "bays: found 1000 bays, want max 500: look at the width or the volume of a bay"},
		{"hair's breadth", BayRules{Width: 5e-324}, level, "bays: found +Inf bays, want max 500: look at the width or the volume of a bay"},
		{"thimbles", BayRules{Most: 0.001}, level, "bays: found 2000 bays, want max 500: look at the width or the volume of a bay"},
		{"many dams", BayRules{Dams: make([][]surface.Vec, 600)}, level, "bays: found 601 bays, want max 500: look at the width or the volume of a bay"},
		{"nothing to fill", BayRules{Most: 1}, surface.Horizontal(9), "bays: found nothing to fill, want a floor that is below the target"},
		{"nothing to fill in strips", BayRules{Width: 2}, surface.Horizontal(9), "bays: found nothing to fill, want a floor that is below the target"},
		{"nothing to fill between dams", BayRules{Dams: dam}, surface.Horizontal(9), "bays: found nothing to fill, want a floor that is below the target"},
		{"target not a number", BayRules{Width: 2}, surface.Horizontal(nan), "target: found NaN, want a plane in numbers"},
		{"dam beside the floor", BayRules{Dams: [][]surface.Vec{{{X: 50, Y: 0}, {X: 50, Y: 4}}}}, level, "cut line 1: found a line that does not cross the floor (it runs by (50.000, 2.000) m), want a line that runs from wall to wall over floor, and no line twice"},
	} {
		_, err := CutBays(f, c.target, c.rules)
		var e *survey.Error
		if !errors.As(err, &e) || err.Error() != c.want {
			t.Errorf("%s:\n got %v\nwant %s", c.name, err, c.want)
		}
	}
}

// The demo hall, an L of 36 by 18 and 16 by 32 ft with a column of 18 in and a step at 20
// ft. The step divides the floor, with a dam along it or without: 192 ft² north of it, 680 −
// 2.25 ft² south of it, each cut into strips separately.
func TestDemoHall(t *testing.T) {
	const foot = 0.3048
	codes := map[string]survey.Role{"ADJ": survey.Finished, "SILL": survey.Finished}
	s, err := file.Open("../../testdata/demo/survey.csv", survey.Options{Codes: codes})
	if err != nil {
		t.Fatal(err)
	}
	walls, err := file.OpenOutline("../../testdata/demo/outline.csv", survey.Options{Unit: s.Plan})
	if err != nil {
		t.Fatal(err)
	}
	f := floorOf(t, surface.Data{Shots: s.Points, Rings: walls.Rings, Lines: walls.Breaklines})
	door := surface.Vec{X: 0, Y: 5.75 * foot}
	alongStep := BayRules{Dams: [][]surface.Vec{{{X: 0, Y: 20 * foot}, {X: 16 * foot, Y: 20 * foot}}}, Exit: door, HasExit: true}

	// 20 mm above the lowest place nothing is filled south of the step.
	_, greatest := f.Depths(surface.Horizontal(0))
	low := surface.Horizontal(0.02 - greatest)
	b, err := CutBays(f, low, alongStep)
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Bays) != 1 || len(b.Dams) != 0 || !strings.Contains(texts(b.Notes), "1 part of the floor needs no fill: it is not a bay") || strings.Contains(texts(b.Notes), "way out") {
		t.Errorf("%d bays, %d dams, notes %q; want 1, none, and that one side needs no fill", len(b.Bays), len(b.Dams), texts(b.Notes))
	}
	closeTo(t, "north of it", b.Bays[0].Fill.Area, 192*foot*foot, 1e-9)
	closeTo(t, "fill", b.Bays[0].Fill.Fill, f.FillTo(low, nil).Fill, 1e-12)

	_, greatest = f.Depths(surface.Horizontal(0))
	target := surface.Horizontal(0.2 - greatest)
	whole := f.FillTo(target, nil)
	b, err = CutBays(f, target, alongStep)
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Bays) != 2 || len(b.Dams) != 1 {
		t.Fatalf("%d bays, %d dams; want 2 and 1", len(b.Bays), len(b.Dams))
	}
	closeTo(t, "north of the step", b.Bays[0].Fill.Area, 192*foot*foot, 1e-9)
	closeTo(t, "south of it", b.Bays[1].Fill.Area, 677.75*foot*foot, 1e-9)
	closeTo(t, "dam", b.Dams[0].Length, 16*foot, 1e-9)
	// The two regions of the hall are the bays.
	for i, r := range whole.Regions {
		closeTo(t, "fill of "+f.Regions[i].Name, min(math.Abs(r.Fill-b.Bays[0].Fill.Fill), math.Abs(r.Fill-b.Bays[1].Fill.Fill)), 0, 1e-12)
	}

	b, err = CutBays(f, target, BayRules{Width: 10 * foot, Step: foot / 6, Exit: door, HasExit: true})
	if err != nil {
		t.Fatal(err)
	}
	// South of the step four strips of 9 ft, the column in the second from the far end, and
	// between the step and the inner corner 2 ft more of 16 ft; north of it two of 8 ft.
	var areas []float64
	for _, k := range b.Bays {
		if len(k.Floor.Regions) != 1 {
			t.Errorf("bay %s has %d regions, want one", k.Name, len(k.Floor.Regions))
		}
		areas = append(areas, math.Round(k.Fill.Area/(foot*foot)*1e6)/1e6)
	}
	want := []float64{9 * 18, 9*18 - 2.25, 8 * 12, 9*18 + 7*2, 8 * 12, 9*18 + 9*2}
	slices.Sort(want)
	sorted := slices.Sorted(slices.Values(areas))
	if !slices.Equal(sorted, want) {
		t.Errorf("bays of %v ft², want %v", sorted, want)
	}
	if areas[0] != 9*18 || areas[len(areas)-1] != 9*20 {
		t.Errorf("bays of %v ft², want the far end first and the one at the door last", areas)
	}
	closeTo(t, "sum", sumOf(fills(b)), whole.Fill, 1e-12)
	reachable(t, f, b)
}

func breakline(xy ...float64) survey.Breakline {
	return survey.Breakline{Points: ring(survey.Outer, xy...).Points}
}

// hallWithPit is 8 by 4 m with a step at x = 5, along which shots are 250 mm apart, and a
// pit of 1 by 1 m from (6, 1). Depths to elevation 10: 50 mm west, 100 mm east and 300 mm in
// the pit; areas 20, 11 and 1 m², fills 1, 1.1 and 0.3 m³.
func hallWithPit(t *testing.T) *surface.Floor {
	all := func(z float64) func(x, y float64) float64 { return func(x, y float64) float64 { return z } }
	shots := append(grid(0, 0, 4.75, 4, 0.25, all(9.95)), grid(5.25, 0, 8, 4, 0.25, all(9.90))...)
	shots = slices.DeleteFunc(shots, func(p survey.Point) bool { return p.X >= 6 && p.X <= 7 && p.Y >= 1 && p.Y <= 2 })
	shots = append(shots, grid(6.25, 1.25, 6.75, 1.75, 0.25, all(9.70))...)
	f := floorOf(t, surface.Data{Shots: shots, Rings: []survey.Ring{ring(survey.Outer, 0, 0, 8, 0, 8, 4, 0, 4)},
		Lines: []survey.Breakline{breakline(5, -1, 5, 2.2, 5, 5), breakline(6, 1, 7, 1, 7, 2, 6, 2, 6, 1)}})
	if len(f.Regions) != 3 {
		t.Fatalf("%d regions, want 3", len(f.Regions))
	}
	return f
}

// 80 lb bags of 0.60 ft³ (0.01699 m³): 0.1 m³ is 5.886 bags, six in each bay.
func TestWholeBags(t *testing.T) {
	bags, total, err := WholeBags([]float64{0.1, 0.1, 0, 0.6 * 0.028316846592 * 3}, 0.6*0.028316846592)
	if err != nil || total != 15 || !slices.Equal(bags, []int{6, 6, 0, 3}) {
		t.Errorf("%v, %d, %v; want 6, 6, 0 and 3, 15 in all", bags, total, err)
	}
	for _, c := range []struct {
		v     float64
		yield float64
		want  string
	}{
		{1, 0, "yield of a bag: found 0, want a volume in m³, more than 0"},
		{1, math.NaN(), "yield of a bag: found NaN, want a volume in m³, more than 0"},
		{-1, 1, "volume 1: found -1, want a volume in m³, 0 or more, that somebody could carry in bags"},
		{math.NaN(), 1, "volume 1: found NaN, want a volume in m³, 0 or more, that somebody could carry in bags"},
		{1, 1e-300, "volume 1: found 1, want a volume in m³, 0 or more, that somebody could carry in bags"},
	} {
		if _, _, err := WholeBags([]float64{c.v}, c.yield); err == nil || err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}

package surface

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
)

// ringOf makes a ring of corners without elevations.
func ringOf(name string, kind survey.RingKind, xy ...float64) survey.Ring {
	r := survey.Ring{Name: name, Kind: kind, At: survey.Pos{File: "walls.csv", Line: 2}}
	for i := 0; i < len(xy); i += 2 {
		r.Points = append(r.Points, survey.Point{X: xy[i], Y: xy[i+1], Z: math.NaN()}.With(survey.Tag{At: survey.Pos{File: "walls.csv", Line: 2 + i/2}}))
	}
	return r
}

// shotsOn makes shots on a grid inside a box, of elevation z.
func shotsOn(x0, y0, x1, y1, step float64, z func(x, y float64) float64) []survey.Point {
	var out []survey.Point
	nx, ny := int(math.Round((x1-x0)/step)), int(math.Round((y1-y0)/step))
	for j := range ny + 1 {
		for i := range nx + 1 {
			x, y := x0+float64(i)*step, y0+float64(j)*step
			out = append(out, survey.Point{X: x, Y: y, Z: z(x, y)}.With(survey.Tag{At: survey.Pos{File: "floor.csv", Line: len(out) + 2}}))
		}
	}
	return out
}

func build(t *testing.T, d Data) *Floor {
	t.Helper()
	f, err := NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

var room = ringOf("room", survey.Outer, 0, 0, 9, 0, 9, 4.5, 4, 4.5, 4, 8, 0, 8)

func sloped(x, y float64) float64 { return 9.9 + 0.004*x - 0.002*y }

// A tilted floor in an L-shaped room: no shot reaches a wall, so the fitted edge must follow
// the slope. Closed form: each rectangle's area times the depth at its middle.
func TestTiltedFloorInAnLShapedRoom(t *testing.T) {
	shots := shotsOn(0.3, 0.3, 8.7, 4.2, 0.7, sloped)
	shots = append(shots, shotsOn(0.3, 5.2, 3.5, 7.6, 0.8, sloped)...)
	f := build(t, Data{Shots: shots, Rings: []survey.Ring{room}})
	r := f.FillTo(Horizontal(10), nil)
	want := 9*4.5*(10-sloped(4.5, 2.25)) + 4*3.5*(10-sloped(2, 6.25))
	near(t, "area", r.Area, 54.5, 1e-12)
	near(t, "perimeter", f.Perimeter, 34, 1e-12)
	near(t, "fill", r.Fill, want, 1e-11)
	near(t, "max depth", r.Greatest, 10-sloped(0, 8), 1e-12)
	near(t, "min depth", r.Least, 10-sloped(9, 0), 1e-12)
	near(t, "area along the slope", r.Sloped, 54.5*math.Sqrt(1+0.004*0.004+0.002*0.002), 1e-10)
	if r.FittedArea <= 0 || r.FittedArea >= r.Area/2 {
		t.Errorf("%g m² of %g rest on the fit; want some, less than half", r.FittedArea, r.Area)
	}
}

// A pyramid pit in a level floor: a third of base area times depth.
func TestPyramidPit(t *testing.T) {
	const depth = 0.6
	base := [][2]float64{{2, 2}, {6, 2}, {6, 6}, {2, 6}}
	var lines []survey.Breakline
	for i, b := range base {
		n := base[(i+1)%4]
		lines = append(lines,
			survey.Breakline{Points: []survey.Point{{X: b[0], Y: b[1]}, {X: n[0], Y: n[1]}}},
			survey.Breakline{Points: []survey.Point{{X: b[0], Y: b[1]}, {X: 4, Y: 4, Z: -depth}}})
	}
	shots := []survey.Point{{X: 1, Y: 1}, {X: 7, Y: 1}, {X: 7, Y: 7}, {X: 1, Y: 7}}
	f := build(t, Data{Shots: shots, Lines: lines, Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 8, 0, 8, 8, 0, 8)}})
	r := f.FillTo(Horizontal(0), nil)
	near(t, "fill", r.Fill, 16*depth/3, 1e-12)
	near(t, "fill to 10 mm above", f.FillTo(Horizontal(0.01), nil).Fill, 16*depth/3+64*0.01, 1e-12)
	near(t, "area", r.Area, 64, 1e-12)
}

// The target cuts the floor: a wedge of fill on one side, of cut on the other.
func TestWedgeCutByTheTarget(t *testing.T) {
	f := build(t, Data{
		Shots: shotsOn(0.5, 0.5, 5.5, 3.5, 0.5, func(x, _ float64) float64 { return 0.05 * (x - 2) }),
		Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 6, 0, 6, 4, 0, 4)},
	})
	r := f.FillTo(Horizontal(0), nil)
	near(t, "fill", r.Fill, 4*2*0.1/2, 1e-12)
	near(t, "cut", r.Cut, 4*4*0.2/2, 1e-12)
	near(t, "fill area", r.FillArea, 8, 1e-10)
	near(t, "cut area", r.CutArea, 16, 1e-10)
}

// Grid of nine depths. Data and method: surveying textbook example 10.18, as in its Scilab
// companion; 100·(10.0 + 2·11.1 + 4·3.1)/4 = 1 115 m³. With all diagonals in either
// direction the triangles give the same.
func TestBorrowPitNineDepths(t *testing.T) {
	depth := []float64{2.8, 3.2, 2.6, 2.6, 3.1, 2.4, 2.4, 2.9, 2.2}
	var shots []survey.Point
	for i, d := range depth {
		shots = append(shots, survey.Point{X: float64(i%3) * 10, Y: 20 - float64(i/3)*10, Z: -d})
	}
	f := build(t, Data{Shots: shots})
	near(t, "fill", f.FillTo(Horizontal(0), nil).Fill, 1115, 1e-9)
}

// Grid with a stepped outline. Same source, example 10.19: the four-corner formula gives 2
// 448.5 m³. Triangles with all diagonals in one direction give 2 443.167 or 2 453.833, whose
// mean is the four-corner value. By the rule for cocircular corners all run from south-west
// to north-east here, so the answer must be one of the two, 0.2 % from the formula.
func TestBorrowPitSteppedOutline(t *testing.T) {
	rows := [][]float64{
		{103.71, 103.85, 104.35, 104.95, 104.09},
		{104.05, 104.25, 104.65, 104.95, 104.29},
		{104.45, 104.95, 104.75, 105.00},
		{104.70, 105.05, 104.85},
	}
	var shots []survey.Point
	for j, row := range rows {
		for i, z := range row {
			shots = append(shots, survey.Point{X: float64(i) * 10, Y: 30 - float64(j)*10, Z: z})
		}
	}
	f := build(t, Data{Shots: shots, Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 20, 0, 20, 10, 30, 10, 30, 20, 40, 20, 40, 30, 0, 30)}})
	r := f.FillTo(Horizontal(101.85), nil)
	sw := 0.0 // by hand, every cell cut from south-west to north-east
	for j := range 3 {
		for i := range len(rows[j+1]) - 1 {
			nw, ne, sww, se := rows[j][i]-101.85, rows[j][i+1]-101.85, rows[j+1][i]-101.85, rows[j+1][i+1]-101.85
			sw += 50 * (sww + se + ne) / 3
			sw += 50 * (sww + ne + nw) / 3
		}
	}
	near(t, "cut", r.Cut, sw, 1e-8)
	near(t, "distance from the four-corner formula", math.Abs(r.Cut-2448.5), 5.333, 0.001)
}

// Square cut into four triangles from its middle. Same source, example 10.20:
// 2 685 m³. The four corners alone would give 2 700.
func TestTriangularPrisms(t *testing.T) {
	shots := []survey.Point{{X: 0, Y: 30, Z: -2.85}, {X: 30, Y: 30, Z: -2.45}, {X: 30, Y: 0, Z: -3.15}, {X: 0, Y: 0, Z: -3.55}, {X: 15, Y: 15, Z: -2.95}}
	near(t, "fill", build(t, Data{Shots: shots}).FillTo(Horizontal(0), nil).Fill, 2685, 1e-9)
}

// Two levels along one line: each side keeps its own, though shots stop half a metre from
// the step and none is on it.
func TestStepKeepsBothElevations(t *testing.T) {
	step := survey.Breakline{Name: "step", Points: []survey.Point{{X: -0.2, Y: 3, Z: math.NaN()}, {X: 6.2, Y: 3, Z: math.NaN()}}}
	shots := shotsOn(0.5, 0.5, 5.5, 2.5, 0.5, func(x, _ float64) float64 { return 0.01 * x })
	shots = append(shots, shotsOn(0.5, 3.5, 5.5, 6.5, 0.5, func(_, y float64) float64 { return -0.08 + 0.002*y })...)
	f := build(t, Data{Shots: shots, Lines: []survey.Breakline{step}, Rings: []survey.Ring{ringOf("hall", survey.Outer, 0, 0, 6, 0, 6, 7, 0, 7)}})
	if len(f.Regions) != 2 {
		t.Fatalf("%d regions, want 2", len(f.Regions))
	}
	r := f.FillTo(Horizontal(0.1), nil)
	near(t, "fill", r.Fill, 6*3*(0.1-0.03)+6*4*(0.18-0.01), 1e-11)
	near(t, "sum of the regions", r.Regions[0].Fill+r.Regions[1].Fill, r.Fill, 1e-14)
	near(t, "perimeter", f.Perimeter, 26, 1e-12)
	near(t, "length of step", f.StepLength, 6, 1e-12)
	if f.Regions[0].Name == f.Regions[1].Name {
		t.Errorf("both regions are named %q", f.Regions[0].Name)
	}
}

// A line without elevations that does not divide the floor is only an edge.
func TestLooseLineDoesNotPart(t *testing.T) {
	line := survey.Breakline{Points: []survey.Point{{X: 1, Y: 1.1, Z: math.NaN()}, {X: 4, Y: 2.3, Z: math.NaN()}}}
	f := build(t, Data{Shots: shotsOn(0.5, 0.5, 5.5, 2.5, 0.5, sloped), Lines: []survey.Breakline{line}, Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 6, 0, 6, 3, 0, 3)}})
	if len(f.Regions) != 1 {
		t.Fatalf("%d regions, want 1", len(f.Regions))
	}
	near(t, "fill", f.FillTo(Horizontal(10), nil).Fill, 18*(10-sloped(3, 1.5)), 1e-11)
}

// A step that stops short of a wall separates nothing, and a line beside the floor does
// nothing; both are reported.
func TestStepThatDoesNotReachIsSaid(t *testing.T) {
	d := Data{Shots: shotsOn(0.5, 0.5, 5.5, 2.5, 0.5, sloped), Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 6, 0, 6, 3, 0, 3)}}
	for _, c := range []struct {
		x, y0, y1 float64
		want      string
	}{
		{2.25, 0, 2.995, `line "s" does not reach from wall to wall: along 2.995 m of it the two sides are one surface, and no step is kept; an end of it is 0.005 m from the nearest wall`},
		{9, 0, 3, `line "s" is outside the floor: it does nothing`},
		{2.25, 0, 3, ""},
		{2.25, -1, 4, ""},
	} {
		d.Lines = []survey.Breakline{{Name: "s", Points: []survey.Point{{X: c.x, Y: c.y0, Z: math.NaN()}, {X: c.x, Y: c.y1, Z: math.NaN()}}}}
		var got []string
		for _, n := range build(t, d).Notes {
			got = append(got, n.String())
		}
		if strings.Join(got, "; ") != c.want {
			t.Errorf("line from %g to %g: notes %q, want %q", c.y0, c.y1, got, c.want)
		}
	}
}

// A pit with its own outline inside the hall: shots on the rim belong to the region they
// name, so one place has two elevations.
func TestPitIsARegionOfItsOwn(t *testing.T) {
	hall := ringOf("hall", survey.Outer, 0, 0, 8, 0, 8, 6, 0, 6)
	pit := ringOf("pit", survey.Outer, 2, 2, 4, 2, 4, 4, 2, 4)
	var shots []survey.Point
	for _, p := range shotsOn(0, 0, 8, 6, 1, func(_, _ float64) float64 { return 0 }) {
		if p.X < 2 || p.X > 4 || p.Y < 2 || p.Y > 4 {
			shots = append(shots, p)
		}
	}
	for _, rim := range [][2]float64{{2, 2}, {4, 2}, {4, 4}, {2, 4}} {
		shots = append(shots, survey.Point{X: rim[0], Y: rim[1], Z: 0}.With(survey.Tag{Part: "hall"}), survey.Point{X: rim[0], Y: rim[1], Z: -0.5}.With(survey.Tag{Part: "pit"}))
	}
	f := build(t, Data{Shots: shots, Rings: []survey.Ring{hall, pit}})
	r := f.FillTo(Horizontal(0.02), nil)
	near(t, "fill", r.Fill, 48*0.02+4*0.5, 1e-12)
	near(t, "area", r.Area, 48, 1e-12)
	near(t, "perimeter", f.Perimeter, 28, 1e-12)
	if len(f.Notes) != 0 {
		t.Errorf("notes %v, want none", f.Notes)
	}
}

func TestOpeningIsNotPoured(t *testing.T) {
	column := ringOf("column", survey.Hole, 3, 2, 4, 2, 4, 3, 3, 3)
	shots := shotsOn(0.5, 0.5, 7.5, 5.5, 0.5, sloped)
	f := build(t, Data{Shots: shots, Rings: []survey.Ring{ringOf("hall", survey.Outer, 0, 0, 8, 0, 8, 6, 0, 6), column}})
	r := f.FillTo(Horizontal(10), nil)
	near(t, "area", r.Area, 47, 1e-12)
	near(t, "fill", r.Fill, 48*(10-sloped(4, 3))-(10-sloped(3.5, 2.5)), 1e-11)
	near(t, "perimeter", f.Perimeter, 32, 1e-12)
	if len(f.Notes) != 1 || f.Notes[0].Kind != survey.LeftOut || !strings.Contains(f.Notes[0].Text.String(), `inside opening "column"`) {
		t.Errorf("notes %v, want one shot left out inside the column", f.Notes)
	}
	if f.Used != f.Shots-1 {
		t.Errorf("%d of %d shots used, want one less", f.Used, f.Shots)
	}
}

func TestShotsOutsideAreCounted(t *testing.T) {
	shots := append(shotsOn(0.5, 0.5, 7.5, 5.5, 0.5, sloped), survey.Point{X: 8.25, Y: 3, Z: 9}.With(survey.Tag{Name: "P9", At: survey.Pos{File: "floor.csv", Line: 400}}))
	f := build(t, Data{Shots: shots, Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 8, 0, 8, 6, 0, 6)}})
	if len(f.Notes) != 1 || f.Notes[0].String() != "floor.csv:400: P9 is outside the outline, 0.250 m from its edge" {
		t.Errorf("notes %v", f.Notes)
	}
}

// Shots that rounding pushed out of the outline count as at the wall: a dip there keeps its
// depth, at any angle of the room and in any order of rows.
func TestWallShotsOutsideByAHair(t *testing.T) {
	dip := func(x, y float64) float64 { return 10 - 0.015*max(0, 1-math.Hypot(x-3, y)) }
	for _, turn := range []float64{0, 30, 77} {
		s, c := math.Sincos(turn * math.Pi / 180)
		place := func(x, y float64) (float64, float64) {
			r := func(v float64) float64 { return math.Round(v*1e4) / 1e4 }
			return r(c*x - s*y), r(s*x + c*y)
		}
		var shots []survey.Point
		for j := range 9 {
			for i := range 13 {
				x, y := float64(i)/2, float64(j)/2
				p := survey.Point{Z: dip(x, y)}
				p.X, p.Y = place(x, y)
				if turn == 0 && j == 0 {
					p.Y = -0.0005
				}
				shots = append(shots, p)
			}
		}
		var at []float64
		for _, v := range [][2]float64{{0, 0}, {6, 0}, {6, 4}, {0, 4}} {
			x, y := place(v[0], v[1])
			at = append(at, x, y)
		}
		var fills []Fill
		for range 2 {
			f := build(t, Data{Shots: shots, Rings: []survey.Ring{ringOf("", survey.Outer, at...)}})
			if f.Used != len(shots) {
				t.Errorf("turned by %g: %d of %d shots used: %v", turn, f.Used, len(shots), f.Notes)
			}
			if len(f.Notes) != 1 || f.Notes[0].Kind != survey.Assumed || !strings.Contains(f.Notes[0].Text.String(), "taken as at the wall") {
				t.Errorf("turned by %g: notes %v", turn, f.Notes)
			}
			fills = append(fills, f.FillTo(Horizontal(10), nil))
			slices.Reverse(shots)
		}
		near(t, "max depth", fills[0].Greatest, 0.015, 1e-12)
		if fills[0].Fill != fills[1].Fill {
			t.Errorf("turned by %g: %g m³, in reverse %g", turn, fills[0].Fill, fills[1].Fill)
		}
		// Four squares a side hold the dip. Corners a b c d and the diagonal ac make A/6 ×
		// (2a + b + 2c + d); rounding decides which diagonal it is.
		if v := fills[0].Fill; v < 0.00719 || v > 0.00845 {
			t.Errorf("turned by %g: fill %g m³, want 0.0072 to 0.0084 m³", turn, v)
		}
	}
}

// More than 5 mm outside, a shot does not belong to the wall.
func TestShotsBeyondTheWall(t *testing.T) {
	shots := append(shotsOn(0.5, 0.5, 7.5, 5.5, 0.5, sloped), survey.Point{X: 8.006, Y: 3, Z: 9}, survey.Point{X: 8.004, Y: 3, Z: 9.5}, survey.Point{X: 8.003, Y: 3, Z: 9.6})
	f := build(t, Data{Shots: shots, Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 8, 0, 8, 6, 0, 6)}})
	if f.Used != f.Shots-2 {
		t.Errorf("%d of %d used, want all but the one too far and the second at its place: %v", f.Used, f.Shots, f.Notes)
	}
}

func TestRefusals(t *testing.T) {
	grid := shotsOn(0.5, 0.5, 3.5, 2.5, 0.5, sloped)
	square := ringOf("hall", survey.Outer, 0, 0, 4, 0, 4, 3, 0, 3)
	at := func(x, y, z float64, line int) survey.Point {
		return survey.Point{X: x, Y: y, Z: z}.With(survey.Tag{At: survey.Pos{File: "floor.csv", Line: line}})
	}
	for _, c := range []struct {
		name string
		d    Data
		want string
	}{
		{"no shots", Data{}, "found no shots, want at least 3 that are not on one line"},
		{"two shots", Data{Shots: grid[:2]}, "floor.csv: found 2 shots, want at least 3"},
		{"all in a row", Data{Shots: grid[:6]}, "floor.csv: found 6 shots that are all on one line"},
		{"a row inside an outline", Data{Shots: grid[:6], Rings: []survey.Ring{square}}, `outline "hall": found 6 shots that are all on one line`},
		{"outline that crosses itself", Data{Shots: grid, Rings: []survey.Ring{ringOf("hall", survey.Outer, 0, 0, 4, 3, 4, 0, 0, 3)}},
			`walls.csv:4: outline "hall": found edge 3-4 (from walls.csv:4) that crosses edge 1-2 (from walls.csv:2) near`},
		{"outline that runs back on itself", Data{Shots: grid, Rings: []survey.Ring{ringOf("hall", survey.Outer, 0, 0, 4, 0, 4, 3, 4, 1, 0, 3)}}, "touches"},
		{"outline with a corner on another edge", Data{Shots: grid, Rings: []survey.Ring{ringOf("hall", survey.Outer, 0, 0, 4, 0, 4, 3, 2, 0, 0, 3)}}, "touches"},
		{"two corners", Data{Shots: grid, Rings: []survey.Ring{ringOf("hall", survey.Outer, 0, 0, 4, 0)}}, "found 2 different corners, want at least 3"},
		{"no shot inside", Data{Shots: grid, Rings: []survey.Ring{ringOf("hall", survey.Outer, 10, 0, 14, 0, 14, 3, 10, 3)}}, "found no shot inside it: the outline reaches from"},
		{"opening outside", Data{Shots: grid, Rings: []survey.Ring{square, ringOf("pit", survey.Hole, 5, 0, 6, 0, 6, 1)}}, `opening "pit": found an opening that is not inside an outline`},
		{"opening across a wall", Data{Shots: grid, Rings: []survey.Ring{square, ringOf("pit", survey.Hole, 3, 1, 6, 1, 6, 2)}}, `outline "hall": found an edge that crosses opening "pit"`},
		{"two elevations at one place", Data{Shots: append(slices.Clone(grid), at(1, 1, 9.95, 77)), Rings: []survey.Ring{square}},
			"floor.csv:77: found elevation 9.9500 m at 1.000 m from west wall, 1.000 m from south wall, where floor.csv:10 gives 9.9020 m (48.0 mm apart), want one elevation at one place"},
		{"breaklines that disagree", Data{Shots: grid, Rings: []survey.Ring{square}, Lines: []survey.Breakline{
			{Name: "A", Points: []survey.Point{at(0.7, 1.2, 9.9, 1), at(3.2, 1.3, 9.9, 2)}},
			{Name: "B", Points: []survey.Point{at(2.2, 0.7, 9.95, 3), at(2.3, 2.2, 9.95, 4)}}}}, `breakline "B": found elevation 9.9500 m where it crosses breakline "A"`},
		{"the same room twice", Data{Shots: grid, Rings: []survey.Ring{square, square}}, "found the same area as"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := NewFloor(c.d)
			var e *survey.Error
			if !errors.As(err, &e) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v\nwant %s", err, c.want)
			}
		})
	}
}

func TestDuplicateRules(t *testing.T) {
	base := []survey.Point{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 3, Y: 3}, {X: 0, Y: 3}}
	add := []survey.Point{{X: 1, Y: 1, Z: -0.3}, {X: 1, Y: 1, Z: -0.6}, {X: 1, Y: 1, Z: -0.3}}
	for _, c := range []struct {
		rule Duplicates
		z    float64
		used int
	}{{Mean, -0.45, 6}, {First, -0.3, 5}, {Last, -0.3, 5}} {
		f := build(t, Data{Shots: append(slices.Clone(base), add...), Duplicates: c.rule})
		if c.rule == Mean {
			// The third row repeats the first: three elevations, two of them equal.
			near(t, "least elevation", slices.Min(f.Regions[0].TIN.Z), -0.45, 1e-15)
		} else {
			near(t, "least elevation", slices.Min(f.Regions[0].TIN.Z), c.z, 1e-15)
		}
		if f.Used != c.used {
			t.Errorf("rule %d: %d shots used, want %d", c.rule, f.Used, c.used)
		}
	}
}

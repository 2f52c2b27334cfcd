package surface

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/survey"
)

// A cone over a fine grid: the contour is closed, every place on it has the level's depth,
// and it encloses the area above the level.
func TestContoursEncloseTheAreaAboveTheirLevel(t *testing.T) {
	f := build(t, Data{Shots: shotsOn(-4, -4, 4, 4, 0.25, func(x, y float64) float64 { return math.Hypot(x, y) / 100 })})
	tin := f.Regions[0].TIN
	depth := tin.Depths(Horizontal(0.05))
	for _, level := range []float64{0.013, 0.02, 0.03} {
		lines := tin.Contours(depth, []float64{level})
		if len(lines) != 1 || !lines[0].Closed {
			t.Fatalf("level %g: %d lines, want one closed", level, len(lines))
		}
		over, _ := tin.quantities(tin.corners(Horizontal(0.05)), Horizontal(0.05), []float64{level}).above([]float64{level})
		// Depth increases to the left, so the line runs counter-clockwise.
		near(t, "area", RingArea(lines[0].Line), over[0], 1e-9)
	}
}

// On a random floor lines never end inside it; their ends are on its edge.
func TestContoursEndAtTheEdge(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	var shots []survey.Point
	for range 400 {
		shots = append(shots, survey.Point{X: 10 * rng.Float64(), Y: 6 * rng.Float64(), Z: 0.001 * math.Round(20*rng.NormFloat64())})
	}
	f := build(t, Data{Shots: shots, Rings: []survey.Ring{ringOf("", survey.Outer, 1, 1, 9, 1, 9, 5, 1, 5)}})
	tin := f.Regions[0].TIN
	depth := tin.Depths(Horizontal(0))
	open, closed := 0, 0
	for _, c := range tin.Contours(depth, []float64{-0.02, -0.01, 0, 0.0105, 0.02}) {
		if c.Closed {
			closed++
			continue
		}
		open++
		for _, end := range []Vec{c.Line[0], c.Line[len(c.Line)-1]} {
			if d := min(math.Abs(end.X-1), math.Abs(end.X-9), math.Abs(end.Y-1), math.Abs(end.Y-5)); d > 1e-9 {
				t.Errorf("a line at depth %g ends at %v, %g m inside the floor", c.Level, end, d)
			}
		}
	}
	if open == 0 || closed == 0 {
		t.Errorf("%d open and %d closed lines; the test wants both", open, closed)
	}
}

// A level that runs through vertices, and a level part at exactly that depth.
func TestContoursThroughVertices(t *testing.T) {
	f := build(t, Data{Shots: shotsOn(0, 0, 6, 4, 1, func(x, _ float64) float64 { return 0.01 * math.Max(0, x-3) })})
	tin := f.Regions[0].TIN
	depth := tin.Depths(Horizontal(0.02))
	for _, level := range []float64{0.02, 0.01} {
		lines := tin.Contours(depth, []float64{level})
		if len(lines) != 1 || lines[0].Closed {
			t.Fatalf("level %g: %+v, want one open line", level, lines)
		}
		length := 0.0
		for i := 1; i < len(lines[0].Line); i++ {
			length += lines[0].Line[i-1].Distance(lines[0].Line[i])
		}
		near(t, "length", length, 4, 1e-12)
	}
	if n := len(tin.Contours(depth, []float64{0.5, -0.5})); n != 0 {
		t.Errorf("%d lines at depths that the floor does not have", n)
	}
}

func TestProfileFollowsTheFloor(t *testing.T) {
	step := survey.Breakline{Points: []survey.Point{{X: 4, Y: -1, Z: math.NaN()}, {X: 4, Y: 9, Z: math.NaN()}}}
	z := func(x, y float64) float64 {
		if x > 4 {
			return 0.1 + 0.01*y
		}
		return 0.02 * x
	}
	f := build(t, Data{Shots: append(shotsOn(0.5, 0.5, 3.5, 7.5, 0.5, z), shotsOn(4.5, 0.5, 7.5, 7.5, 0.5, z)...), Lines: []survey.Breakline{step},
		Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 8, 0, 8, 8, 0, 8), ringOf("pit", survey.Hole, 5, 3, 6, 3, 6, 5, 5, 5)}})
	// Along y = 4 from outside to outside, over the step and the pit.
	p := f.Profile(Vec{X: -1, Y: 4}, Vec{X: 9, Y: 4})
	if len(p) != 3 {
		t.Fatalf("%d stretches, want 3: hall, beyond the step, beyond the pit", len(p))
	}
	for i, want := range [][2]float64{{1, 5}, {5, 6}, {7, 9}} {
		near(t, "start", p[i][0].Distance, want[0], 1e-8)
		near(t, "end", p[i][len(p[i])-1].Distance, want[1], 1e-8)
		for _, s := range p[i] {
			zz := z(s.At.X, s.At.Y)
			if i > 0 {
				zz = 0.14
			}
			near(t, "elevation", s.Elevation, zz, 1e-9)
		}
	}
	// Along a wall, with triangles on one side only.
	if p := f.Profile(Vec{X: 0, Y: 0}, Vec{X: 0, Y: 8}); len(p) != 1 || math.Abs(p[0][len(p[0])-1].Distance-8) > 1e-8 {
		t.Errorf("profile along the wall: %v", p)
	}
	if p := f.Profile(Vec{X: 20, Y: 0}, Vec{X: 20, Y: 8}); len(p) != 0 {
		t.Errorf("profile beside the floor: %v, want none", p)
	}
}

// Levels in any order, twice, at vertices and beyond all depths, against each triangle and
// level.
func TestCrossed(t *testing.T) {
	f, err := NewFloor(Data{Shots: shotsOn(0, 0, 9, 9, 1, func(x, y float64) float64 { return math.Mod(7*x+3*y, 5) })})
	if err != nil {
		t.Fatal(err)
	}
	tin := f.Regions[0].TIN
	depth := tin.Depths(Horizontal(0))
	levels := []float64{-2, 1, -0.5, -2, -9, -3.5, -4, 0}
	ranks, reached := rank(depth, levels)
	ways := tin.waysIn(reached, len(levels))
	for i, r := range ranks {
		var got []int32
		for _, h := range ways[r] {
			got = append(got, h/3)
		}
		var want []int32
		for k := range int32(tin.Len()) {
			above := 0
			for _, v := range tin.V[3*k : 3*k+3] {
				if depth[v] >= levels[i] {
					above++
				}
			}
			if above == 1 || above == 2 {
				want = append(want, k)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("level %v: %d triangles, want %d", levels[i], len(got), len(want))
		}
	}
}

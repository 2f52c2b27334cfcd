package surface

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/survey"
)

// design is a surface of triangles on corners (x, y, z).
func design(t *testing.T, corners [][3]float64, faces ...[3]int32) Shape {
	t.Helper()
	s := survey.Surface{Name: "top", Faces: faces}
	for _, c := range corners {
		s.Vertices = append(s.Vertices, survey.Point{X: c[0], Y: c[1], Z: c[2]})
	}
	f, err := FromFaces(s)
	if err != nil {
		t.Fatal(err)
	}
	return NewShape(f, nil)
}

// uneven is a floor of 6 × 4 m with a shot every half metre, none at the same height.
func uneven(t *testing.T) *Floor {
	t.Helper()
	random := rand.New(rand.NewPCG(7, 7))
	d := Data{Rings: []survey.Ring{{Name: "hall", Points: []survey.Point{{X: 0, Y: 0, Z: 10}, {X: 6, Y: 0, Z: 10.01}, {X: 6, Y: 4, Z: 9.98}, {X: 0, Y: 4, Z: 9.99}}}}}
	for x := 0.25; x < 6; x += 0.5 {
		for y := 0.25; y < 4; y += 0.5 {
			d.Shots = append(d.Shots, survey.Point{X: x, Y: y, Z: 10 + 0.02*random.Float64()})
		}
	}
	f, err := NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Half of a floor is covered: by hand 3 of 6 m of it, to a plane. The rest is left out, the line
// between them is no wall, and the halves add up to the whole.
func TestHalfOfAFloorIsCovered(t *testing.T) {
	f := uneven(t)
	left := design(t, [][3]float64{{-1, -1, 10.1}, {3, -1, 10.1}, {3, 5, 10.1}, {-1, 5, 10.1}}, [3]int32{0, 1, 2}, [3]int32{0, 2, 3})
	right := design(t, [][3]float64{{3, -1, 10.1}, {7, -1, 10.1}, {7, 5, 10.1}, {3, 5, 10.1}}, [3]int32{0, 1, 2}, [3]int32{0, 2, 3})
	one, err := f.Covered(left)
	if err != nil {
		t.Fatal(err)
	}
	other, err := f.Covered(right)
	if err != nil {
		t.Fatal(err)
	}
	a, b, whole := one.FillTo(left, nil), other.FillTo(right, nil), f.FillTo(Horizontal(10.1), nil)
	isNear(t, "area", a.Area, 12, 1e-8)
	isNear(t, "volume", a.Fill+b.Fill, whole.Fill, 1e-9)
	isNear(t, "walls", one.Perimeter, 3+4+3, 1e-8)
	isNear(t, "both", one.Perimeter+other.Perimeter, f.Perimeter, 1e-8)
	if one.Used+other.Used != f.Used || len(one.Left) != 1 || len(one.Open) != 1 {
		t.Errorf("%d and %d shots of %d; %d pieces left out, %d open edges", one.Used, other.Used, f.Used, len(one.Left), len(one.Open))
	}
	length := 0.0
	for _, w := range one.Walls(left) {
		length += w.From.Distance(w.To)
	}
	isNear(t, "listed walls", length, 10, 1e-8)
	ends, err := one.Ends(left)
	if err != nil || len(ends) != 1 {
		t.Fatalf("%v, %v", ends, err)
	}
	isNear(t, "open edge", ends[0].Length, 4, 1e-8)
	again, err := NewFloor(one.Data)
	if err != nil {
		t.Fatal(err)
	}
	isNear(t, "built again", again.FillTo(left, nil).Fill, a.Fill, 1e-12)
	all := design(t, [][3]float64{{-1, -1, 10.1}, {7, -1, 10.1}, {7, 5, 10.1}, {-1, 5, 10.1}}, [3]int32{0, 1, 2}, [3]int32{0, 2, 3})
	if same, err := f.Covered(all); err != nil || same != f {
		t.Errorf("a floor that is covered is another one, %v", err)
	}
	none, err := f.Covered(design(t, [][3]float64{{20, 0, 10}, {21, 0, 10}, {20, 1, 10}}, [3]int32{0, 1, 2}))
	if err != nil || len(none.Regions) != 0 {
		t.Errorf("%v", err)
	}
}

// A design of the extent of the floor is the floor: its edges are the walls.
func TestDesignThatEndsAtTheWalls(t *testing.T) {
	f := uneven(t)
	same := design(t, [][3]float64{{0, 0, 10.1}, {6, 0, 10.1}, {6, 4, 10.1}, {0, 4, 10.1}}, [3]int32{0, 1, 2}, [3]int32{0, 2, 3})
	got, err := f.Covered(same)
	if err != nil || got != f {
		t.Fatalf("%v", err)
	}
	isNear(t, "fill", got.FillTo(same, nil).Fill, f.FillTo(Horizontal(10.1), nil).Fill, 1e-11)
}

// Triangles and holes in any place: what is covered agrees with points on a fine grid, and what is
// covered and what is not are the whole.
func TestCoverageByBruteForce(t *testing.T) {
	f := uneven(t)
	random := rand.New(rand.NewPCG(11, 3))
	for range 40 {
		// A ring of triangles round a hole, turned and moved at random.
		n := 3 + random.IntN(5)
		cx, cy, turn := 6*random.Float64(), 4*random.Float64(), random.Float64()
		var corners [][3]float64
		var faces [][3]int32
		for i := range n {
			sin, cos := math.Sincos(turn + 2*math.Pi*float64(i)/float64(n))
			for _, r := range []float64{0.5, 2 + random.Float64()} {
				corners = append(corners, [3]float64{cx + r*cos, cy + r*sin, 10.05 + 0.1*random.Float64()})
			}
			a, b := int32(2*i), int32(2*((i+1)%n))
			faces = append(faces, [3]int32{a, a + 1, b + 1}, [3]int32{a, b + 1, b})
		}
		s := design(t, corners, faces...)
		got, err := f.Covered(s)
		if err != nil {
			t.Fatal(err)
		}
		out := 0.0
		for _, r := range got.Left {
			out += r.TIN.PlanArea()
		}
		fill := got.FillTo(s, nil)
		isNear(t, "area", fill.Area+out, 24, 1e-7)
		const step = 0.02
		area, volume := 0.0, 0.0
		ground := f.Regions[0].TIN.Locator()
		for x := step / 2; x < 6; x += step {
			for y := step / 2; y < 4; y += step {
				if at := (Vec{X: x, Y: y}); s.Covers(at) {
					z, _, _ := ground.At(at)
					area += step * step
					volume += step * step * (s.Elevation(at) - z)
				}
			}
		}
		isNear(t, "area by points", fill.Area, area, 0.06)
		isNear(t, "volume by points", fill.Fill-fill.Cut, volume, 0.008)
	}
}

// An edge across a step is refused; one along it leaves out a whole part.
func TestCoverageAtAStep(t *testing.T) {
	f := twoRooms(t, 0.3)
	room := design(t, [][3]float64{{-1, -1, 10.1}, {6, -1, 10.1}, {6, 5, 10.1}, {-1, 5, 10.1}}, [3]int32{0, 1, 2}, [3]int32{0, 2, 3})
	got, err := f.Covered(room)
	if err != nil {
		t.Fatal(err)
	}
	isNear(t, "the room", got.FillTo(room, nil).Fill, 2.4, 1e-9)
	isNear(t, "its walls", got.Perimeter, 16, 1e-9)
	// In the room alone a cut keeps the step to the pit.
	east := design(t, [][3]float64{{2, -1, 10.1}, {10, -1, 10.1}, {10, 5, 10.1}, {2, 5, 10.1}}, [3]int32{0, 1, 2}, [3]int32{0, 2, 3})
	if got, err = f.Covered(east); err != nil {
		t.Fatal(err)
	}
	isNear(t, "east of x = 2", got.FillTo(east, nil).Fill, 4*4*0.1+12*0.4, 1e-8)
	isNear(t, "step", got.StepLength, 4, 1e-9)
	isNear(t, "walls", got.Perimeter, 7+4+7, 1e-8)
	south := design(t, [][3]float64{{-1, -1, 10.1}, {10, -1, 10.1}, {10, 2, 10.1}, {-1, 2, 10.1}}, [3]int32{0, 1, 2}, [3]int32{0, 2, 3})
	if _, err = f.Covered(south); err == nil {
		t.Error("an edge across a step is taken")
	}
}

package surface

import (
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/survey"
)

// volumeOf is the volume between a floor and the elevation 0, m³.
func volumeOf(f *Floor) float64 {
	fill := f.FillTo(Horizontal(0), nil)
	return fill.Cut - fill.Fill
}

// nudged is a rectangle of 4 by 3 m with shots at places of a coarse grid, or a few nanometres beside
// them, where corners and edges of two such surfaces all but meet.
func nudged(t *testing.T, random *rand.Rand) *Floor {
	t.Helper()
	var d Data
	ring := survey.Ring{}
	seen := map[Vec]bool{}
	shot := func(x, y float64) {
		d.Shots = append(d.Shots, survey.Point{X: x, Y: y, Z: 10 + 0.1*random.Float64()})
	}
	for _, c := range [][2]float64{{0, 0}, {4, 0}, {4, 3}, {0, 3}} {
		shot(c[0], c[1])
		ring.Points = append(ring.Points, survey.Point{X: c[0], Y: c[1], Z: d.Shots[len(d.Shots)-1].Z})
	}
	nudge := func() float64 { return float64(random.IntN(7)-3) * 1e-9 }
	for range random.IntN(12) {
		x, y := 0.25+0.25*float64(random.IntN(15)), 0.25+0.25*float64(random.IntN(11))
		if at := (Vec{X: x, Y: y}); !seen[at] {
			seen[at] = true
			shot(x+nudge(), y+nudge())
		}
	}
	d.Rings, d.Duplicates = []survey.Ring{ring}, Mean
	f, err := NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// upright reports whether f has a triangle so thin that it is all but upright.
func upright(f *Floor) bool {
	t := f.Regions[0].TIN
	for k := range t.Len() {
		a, b, c := t.At(t.V[3*k]), t.At(t.V[3*k+1]), t.At(t.V[3*k+2])
		if 2*t.area(k)/max(a.Distance(b), b.Distance(c), c.Distance(a)) < 1e-8 {
			return true
		}
	}
	return false
}

// Fill less cut is the volume below the target less that below the floor, each against one plane, also
// where corners and edges of the two all but meet. A place is moved by up to 2 nm: over 12 m² with edges
// of 40 m and slopes up to 1:2 that is less than 1e-7 m³.
func TestSurfacesThatAllButMeet(t *testing.T) {
	for seed := range uint64(1000) {
		random := rand.New(rand.NewPCG(seed, 77))
		f, over := nudged(t, random), nudged(t, random)
		if upright(over) || upright(f) {
			continue
		}
		target := NewShape(over, nil)
		split, err := f.Under(target)
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
			continue
		}
		fill := split.FillTo(target, nil)
		if net := volumeOf(over) - volumeOf(f); math.Abs(fill.Fill-fill.Cut-net) > 1e-7 {
			t.Errorf("seed %d: fill less cut %.12g, want %.12g", seed, fill.Fill-fill.Cut, net)
		}
		for k := range split.Regions[0].TIN.Len() {
			if !(split.Regions[0].TIN.area(k) > 0) {
				t.Errorf("seed %d: triangle %d has area %g", seed, k, split.Regions[0].TIN.area(k))
			}
		}
	}
}

// Lines that fan out over a floor of two triangles split it into little more than there are lines, in
// whatever order: two fans of 500 meet at a ridge.
func TestFansDoNotMultiply(t *testing.T) {
	const spokes = 500
	var s survey.Surface
	add := func(x, y, z float64) int32 {
		s.Vertices = append(s.Vertices, survey.Point{X: math.Round(x*1e9) / 1e9, Y: math.Round(y*1e9) / 1e9, Z: z})
		return int32(len(s.Vertices) - 1)
	}
	west, east := add(1.5, 2.2, 10), add(4.5, 1.7, 10)
	var ridge, left, right []int32
	for i := range spokes + 1 {
		y := 4 * float64(i) / spokes
		ridge, left, right = append(ridge, add(3, y, 10.1)), append(left, add(0, y, 10.1)), append(right, add(6, y, 10.1))
	}
	face := func(a, b, c int32) { s.Faces = append(s.Faces, [3]int32{a, b, c}) }
	for i := range spokes {
		face(west, ridge[i], ridge[i+1])
		face(west, left[i+1], left[i])
		face(east, ridge[i+1], ridge[i])
		face(east, right[i], right[i+1])
	}
	face(west, left[0], ridge[0])
	face(west, ridge[spokes], left[spokes])
	face(east, ridge[0], right[0])
	face(east, right[spokes], ridge[spokes])
	over, err := FromFaces(s)
	if err != nil {
		t.Fatal(err)
	}
	f := floorOf(t, 3, 0, 0, 6, 4, 0, func(x, y float64) float64 { return 9.9 })
	split, err := f.Under(NewShape(over, nil))
	if err != nil {
		t.Fatal(err)
	}
	if n := split.Regions[0].TIN.Len(); n > 3*len(s.Faces) {
		t.Errorf("%d triangles under %d facets", n, len(s.Faces))
	}
	fill := split.FillTo(NewShape(over, nil), nil)
	isNear(t, "fill", fill.Fill, volumeOf(over)-24*9.9, 1e-7)
}

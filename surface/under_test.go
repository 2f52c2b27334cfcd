package surface

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pourplane/survey"
)

// floorOf is a rectangle of a by b metres with its corner at (x0, y0), with n random shots beside
// its corners and elevations h.
func floorOf(t testing.TB, seed uint64, x0, y0, a, b float64, n int, h func(x, y float64) float64) *Floor {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 5))
	var d Data
	ring := survey.Ring{}
	shot := func(x, y float64) {
		x, y = math.Round(x*1000)/1000, math.Round(y*1000)/1000
		d.Shots = append(d.Shots, survey.Point{X: x0 + x, Y: y0 + y, Z: h(x, y)})
	}
	for _, c := range [][2]float64{{0, 0}, {a, 0}, {a, b}, {0, b}} {
		shot(c[0], c[1])
		ring.Points = append(ring.Points, survey.Point{X: x0 + c[0], Y: y0 + c[1], Z: h(c[0], c[1])})
	}
	for range n {
		shot(random.Float64()*a, random.Float64()*b)
	}
	d.Rings = []survey.Ring{ring}
	d.Duplicates = Mean
	f, err := NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func isNear(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.15g, want %.15g", what, got, want)
	}
}

// hipped is a target over a rectangle of a by b metres that falls from its edge at top to its
// middle by depth.
func hipped(t testing.TB, x0, y0, a, b, top, depth float64) *Floor {
	t.Helper()
	s := survey.Surface{Name: "falls", Vertices: []survey.Point{{X: x0, Y: y0, Z: top}, {X: x0 + a, Y: y0, Z: top}, {X: x0 + a, Y: y0 + b, Z: top}, {X: x0, Y: y0 + b, Z: top},
		{X: x0 + a/2, Y: y0 + b/2, Z: top - depth}}, Faces: [][3]int32{{0, 1, 4}, {1, 2, 4}, {2, 3, 4}, {3, 0, 4}}}
	f, err := FromFaces(s)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Over a level floor the fill to a pyramid is a box less the pyramid, V = A·h/3 (any book on
// solids), wherever the shots are and wherever on the site grid the floor is.
func TestFillToAPyramid(t *testing.T) {
	const a, b, over, depth = 6.0, 4.0, 0.2, 0.06
	want := a * b * (over - depth/3)
	for _, at := range [][2]float64{{0, 0}, {431_000, 5_620_000}} {
		for _, n := range []int{0, 5, 60, 700} {
			f := floorOf(t, uint64(n), at[0], at[1], a, b, n, func(x, y float64) float64 { return 10 })
			target := NewShape(hipped(t, at[0], at[1], a, b, 10+over, depth), nil)
			fill := f.FillTo(target, []float64{0, over - depth/2})
			isNear(t, "fill", fill.Fill, want, 1e-9)
			isNear(t, "area", fill.Area, a*b, 1e-9)
			isNear(t, "least depth", fill.Least, over-depth, 1e-9)
			isNear(t, "greatest depth", fill.Greatest, over, 1e-9)
			// The part less deep than half way is the middle quarter.
			for _, band := range fill.Bands {
				if band.To == over-depth/2 {
					isNear(t, "area below half way", band.Area, a*b/4, 1e-8)
				}
			}
			least, greatest, _, err := f.FallsOf(target)
			if err != nil {
				t.Fatal(err)
			}
			isNear(t, "least fall", least, depth/(a/2), 1e-9)
			isNear(t, "greatest fall", greatest, depth/(b/2), 1e-9)
		}
	}
}

// A target of triangles that is one plane gives what the plane gives, on a rough floor.
func TestShapeOfAPlane(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 8))
	f := floorOf(t, 9, 20, 30, 7, 5, 300, func(x, y float64) float64 { return 0.1*math.Sin(3*x+y) + 0.02*random.Float64() })
	plane := Plane{At: Vec{X: 20, Y: 30}, Z: 0.05, SlopeX: 0.01, SlopeY: -0.02}
	shape := NewShape(floorOf(t, 11, 20, 30, 7, 5, 40, func(x, y float64) float64 { return plane.Elevation(Vec{X: 20 + x, Y: 30 + y}) }), nil)
	levels := []float64{-0.05, 0, 0.03, 0.1}
	p, s := f.FillTo(plane, levels), f.FillTo(shape, levels)
	isNear(t, "fill", s.Fill, p.Fill, 1e-9)
	isNear(t, "cut", s.Cut, p.Cut, 1e-9)
	isNear(t, "sloped area", s.Sloped, p.Sloped, 1e-9)
	for i := range p.Bands {
		isNear(t, "band", s.Bands[i].Volume, p.Bands[i].Volume, 1e-9)
	}
	raised := f.FillTo(shape.Moved(0.1), nil)
	isNear(t, "raised", raised.Fill-raised.Cut, p.Fill-p.Cut+0.1*p.Area, 1e-9)
	wallsOf := func(t Target) (depth float64) {
		for _, w := range f.Walls(t) {
			depth += (w.Start + w.End) / 2 * w.From.Distance(w.To)
		}
		return depth
	}
	isNear(t, "depth along walls", wallsOf(shape), wallsOf(plane), 1e-9)
	line := func(t Target) float64 { return f.Sweep(t, Vec{X: 1, Y: 0.3}).Fill(3) }
	isNear(t, "swept", line(shape), line(plane), 1e-9)
}

// Two random surfaces of triangles: the fill by the overlay of their triangles is that by sums
// over a fine grid, within what such a grid can resolve.
func TestFillBetweenTwoSurfaces(t *testing.T) {
	const a, b, cells = 5.0, 4.0, 900
	random := rand.New(rand.NewPCG(31, 41))
	rough := func(float64, float64) float64 { return 0.1 * random.Float64() }
	f := floorOf(t, 21, 0, 0, a, b, 60, rough)
	over := floorOf(t, 22, 0, 0, a, b, 25, rough)
	fill := f.FillTo(NewShape(over, nil), nil)
	var up, down float64
	below, above := f.Locators(), over.Locators()
	for i := range cells {
		for j := range cells {
			at := Vec{X: (float64(i) + 0.5) * a / cells, Y: (float64(j) + 0.5) * b / cells}
			z, _, ok := below.At(at)
			top, _, also := above.At(at)
			if !ok || !also {
				t.Fatal("a place off the floor")
			}
			up += max(top-z, 0) * a * b / cells / cells
			down += max(z-top, 0) * a * b / cells / cells
		}
	}
	isNear(t, "fill", fill.Fill, up, 1e-5)
	isNear(t, "cut", fill.Cut, down, 1e-5)

	// In another order of the shots the answer is the same but for rounding.
	d := f.Data
	d.Shots = slices.Clone(d.Shots)
	slices.Reverse(d.Shots)
	back, err := NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	again := back.FillTo(NewShape(over, nil), nil)
	isNear(t, "fill from the back", again.Fill, fill.Fill, 1e-12)
}

// Pieces of a floor that was cut after it was split for a target have the fill of the whole.
func TestCutUnderAShape(t *testing.T) {
	f := floorOf(t, 5, 0, 0, 6, 4, 80, func(x, y float64) float64 { return 0.03 * math.Sin(x*y) })
	target := NewShape(hipped(t, 0, 0, 6, 4, 0.2, 0.1), nil)
	split, err := f.Under(target)
	if err != nil {
		t.Fatal(err)
	}
	parts, err := split.Cut([][]Vec{{{X: 2, Y: -1}, {X: 2.5, Y: 5}}, {{X: 4, Y: -1}, {X: 4, Y: 5}}})
	if err != nil {
		t.Fatal(err)
	}
	var sum float64
	for _, p := range parts.Pieces {
		sum += p.FillTo(target, nil).Fill
	}
	isNear(t, "pieces", sum, split.FillTo(target, nil).Fill, 1e-12)
	if again, err := split.Under(target.Moved(0.1)); err != nil || again != split {
		t.Error("a floor that is split already was split again")
	}
}

// A shape over a part of the floor, on a plane elsewhere: a ramp.
func TestShapeOnAPlane(t *testing.T) {
	ramp, err := FromFaces(survey.Surface{Name: "ramp", Vertices: []survey.Point{{X: 0, Y: 1, Z: 0.3}, {X: 2, Y: 1, Z: 0.1}, {X: 2, Y: 3, Z: 0.1}, {X: 0, Y: 3, Z: 0.3}}, Faces: [][3]int32{{0, 1, 2}, {0, 2, 3}}})
	if err != nil {
		t.Fatal(err)
	}
	target := NewShape(ramp, Horizontal(0.1))
	isNear(t, "off the ramp", target.Elevation(Vec{X: 5, Y: 2}), 0.1, 0)
	isNear(t, "on the ramp", target.Elevation(Vec{X: 1, Y: 2}), 0.2, 1e-12)
}

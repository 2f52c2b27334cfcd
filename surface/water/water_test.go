package water

import (
	"math"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// gridFloor is a floor of nx by ny squares of side s from the origin, each two triangles.
func gridFloor(t testing.TB, nx, ny int, s float64, z func(x, y float64) float64) *surface.Floor {
	t.Helper()
	f := survey.Surface{Name: "s"}
	for j := range ny + 1 {
		for i := range nx + 1 {
			x, y := float64(i)*s, float64(j)*s
			f.Vertices = append(f.Vertices, survey.Point{X: x, Y: y, Z: z(x, y)})
		}
	}
	for j := range ny {
		for i := range nx {
			a := int32(j*(nx+1) + i)
			c := a + int32(nx) + 2
			f.Faces = append(f.Faces, [3]int32{a, a + 1, c}, [3]int32{a, c, c - 1})
		}
	}
	out, err := surface.FromFaces(f)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// facesFloor is a floor of given vertices and faces.
func facesFloor(t testing.TB, xyz [][3]float64, faces ...[3]int32) *surface.Floor {
	t.Helper()
	s := survey.Surface{Name: "s", Faces: faces}
	for _, p := range xyz {
		s.Vertices = append(s.Vertices, survey.Point{X: p[0], Y: p[1], Z: p[2]})
	}
	f, err := surface.FromFaces(s)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func find(t testing.TB, f *surface.Floor, o Options, outlets ...Outlet) *Water {
	t.Helper()
	w, err := Find(f, outlets, o)
	if err != nil {
		t.Fatal(err)
	}
	balance(t, w)
	return w
}

// balance checks that the parts make the whole: every m² drains somewhere or is level.
func balance(t testing.TB, w *Water) {
	t.Helper()
	total := w.Level + w.Draining()
	for _, c := range w.Closed {
		total += c.Runs
	}
	for _, p := range w.Ponds {
		total += p.Drains
		if p.Drains < p.Area*(1-1e-9) {
			t.Errorf("pond at %v takes the water of %.6f m² and covers %.6f m²", p.At, p.Drains, p.Area)
		}
	}
	if math.Abs(total-w.Area) > 1e-9*w.Area {
		t.Errorf("parts sum to %.12f m², floor %.12f m²", total, w.Area)
	}
}

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g ± %.3g", what, got, want, tolerance)
	}
}

func drain(x, y float64) Outlet { return Outlet{At: surface.Vec{X: x, Y: y}, Z: math.NaN()} }

func door(x, y, sill float64) Outlet { return Outlet{At: surface.Vec{X: x, Y: y}, Z: sill, Open: true} }

// A pit in the shape of a pyramid: a square rim of 2 m at elevation 1, the tip 0.3 lower, on
// a rim that falls outside to a door. Volume is base times depth over three.
func TestPyramidPit(t *testing.T) {
	// 4 × 4 m in squares of 1 m: level at 1, the middle at 0.7.
	f := gridFloor(t, 4, 4, 1, func(x, y float64) float64 {
		return 1 - 0.3*max(0, 1-max(math.Abs(x-2), math.Abs(y-2)))
	})
	w := find(t, f, Options{}, door(0, 0, 1))
	if len(w.Ponds) != 1 {
		t.Fatalf("%d ponds, want 1: %+v", len(w.Ponds), w.Ponds)
	}
	p := w.Ponds[0]
	// The six triangles at the tip have a hexagonal rim of 3 m²: a pyramid on it.
	near(t, "area", p.Area, 3, 1e-15)
	near(t, "volume", p.Volume, 3*0.3/3, 1e-15)
	near(t, "depth", p.Depth, 0.3, 1e-15)
	near(t, "sill", p.SpillZ, 1, 0)
	if p.At != (surface.Vec{X: 2, Y: 2}) || p.To != (Target{ToOutlet, 0}) {
		t.Errorf("pond %+v", p)
	}
	near(t, "level part", w.Level, 13, 1e-12)
	near(t, "drained", w.Outlets[0].Area, 0, 0)
	near(t, "into the pond", p.Drains, 3, 1e-12)
}

// A door sill below the rim lets the pond be no deeper than it.
func TestDoorBelowTheNaturalSill(t *testing.T) {
	// A trough along x between two ends at z = 1, the middle line at 0; a door at the foot of
	// the west end with a sill at 0.25.
	f := gridFloor(t, 4, 2, 1, func(x, y float64) float64 { return math.Abs(y - 1) })
	for _, c := range []struct{ sill, depth, area, volume float64 }{
		{0.25, 0.25, 4 * 0.5, 4 * 0.25 * 0.25}, // two wedges: width 2·0.25, section 0.25·0.25
		{0.5, 0.5, 4, 1},
		{math.NaN(), 0, 0, 0},
		{-3, 0, 0, 0},
	} {
		w := find(t, f, Options{}, door(-0.1, 1, c.sill))
		if c.depth == 0 {
			if len(w.Ponds) != 0 {
				t.Errorf("sill %g: ponds %+v", c.sill, w.Ponds)
			}
			near(t, "drained", w.Outlets[0].Area, 8, 1e-12)
			continue
		}
		if len(w.Ponds) != 1 {
			t.Fatalf("sill %g: ponds %+v", c.sill, w.Ponds)
		}
		p := w.Ponds[0]
		near(t, "depth", p.Depth, c.depth, 1e-15)
		near(t, "area", p.Area, c.area, 1e-14)
		near(t, "volume", p.Volume, c.volume, 1e-14)
		if p.SpillsAt != (surface.Vec{X: 0, Y: 1}) || p.To != (Target{ToOutlet, 0}) {
			t.Errorf("pond %+v", p)
		}
	}
}

// A dead level floor has no pond and drains nowhere.
func TestLevelFloor(t *testing.T) {
	f := gridFloor(t, 5, 3, 0.5, func(x, y float64) float64 { return 10 })
	w := find(t, f, Options{}, drain(1.1, 0.7))
	if len(w.Ponds)+len(w.Closed) != 0 {
		t.Errorf("ponds %+v, closed %+v", w.Ponds, w.Closed)
	}
	near(t, "level", w.Level, 2.5*1.5, 1e-12)
	near(t, "drained", w.Draining(), 0, 0)
	if w.Least.Fall != 0 {
		t.Errorf("least fall %g", w.Least.Fall)
	}
}

// A plane that falls to a drain in its lowest corner drains all; to one elsewhere a pond is
// left in the corner up to the drain.
func TestPlane(t *testing.T) {
	f := gridFloor(t, 6, 4, 0.5, func(x, y float64) float64 { return 10 + 0.02*x + 0.01*y })
	w := find(t, f, Options{Falls: []float64{0.03, math.Hypot(0.02, 0.01)}}, drain(0, 0))
	if len(w.Ponds) != 0 {
		t.Errorf("ponds %+v", w.Ponds)
	}
	near(t, "drained", w.Outlets[0].Area, 6, 1e-12)
	near(t, "least fall", w.Least.Fall, math.Hypot(0.02, 0.01), 1e-12)
	near(t, "flatter", w.Flatter[0]-w.Flatter[1], 6, 1e-12)

	w = find(t, f, Options{}, drain(0, 1)) // level with the corner 0.5 m along the other wall
	if len(w.Ponds) != 1 {
		t.Fatalf("ponds %+v", w.Ponds)
	}
	p := w.Ponds[0]
	near(t, "depth", p.Depth, 0.01, 1e-14)
	near(t, "area", p.Area, 0.5*1*0.5, 1e-12)
	near(t, "volume", p.Volume, 0.25*0.01/3, 1e-14)
}

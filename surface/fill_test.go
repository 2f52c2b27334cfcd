package surface

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s = %.12g, want %.12g (± %g)", what, got, want, within)
	}
}

// faces makes a floor from given triangles.
func faces(t *testing.T, points []survey.Point, f ...[3]int32) *Floor {
	t.Helper()
	floor, err := FromFaces(survey.Surface{Name: "test", Vertices: points, Faces: f, Declared: undeclared})
	if err != nil {
		t.Fatal(err)
	}
	return floor
}

var undeclared = survey.Declared{Area2D: math.NaN(), Area3D: math.NaN(), ElevMin: math.NaN(), ElevMax: math.NaN()}

// One triangle of 50 m² with depths that cross zero. Worked by hand from the
// similar triangles, confirmed by fine subdivision.
func TestFillAndCutInsideOneTriangle(t *testing.T) {
	for _, c := range []struct {
		a, b, c   float64
		fill, cut float64
	}{
		{0.3, -0.1, -0.2, 2.25, 2.25},
		{0.3, 0.2, -0.1, 6.805555555555556, 0.138888888888889},
		{0.3, 0.2, 0.1, 10, 0},
		{-0.3, -0.2, -0.1, 0, 10},
		{0.3, 0, 0, 5, 0},
		{0.3, 0, -0.3, 2.5, 2.5},
		{0, 0, 0, 0, 0},
	} {
		floor := faces(t, []survey.Point{{X: 0, Y: 0, Z: -c.a}, {X: 10, Y: 0, Z: -c.b}, {X: 0, Y: 10, Z: -c.c}}, [3]int32{0, 1, 2})
		fill, cut := FillCut(floor.Regions[0].TIN, Horizontal(0))
		near(t, "fill", fill, c.fill, 1e-14)
		near(t, "cut", cut, c.cut, 1e-14)
	}
}

// A slow second method: cut the triangle into n² small ones and use the depth at the middle
// of each.
func TestAboveAgainstSubdivision(t *testing.T) {
	const n = 400
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SliceOfN(rapid.Float64Range(-1, 1), 3, 3).Draw(t, "depths")
		where, integral := above(1, d[0], d[1], d[2])
		var slowWhere, slow float64
		for i := range n {
			for j := range n - i {
				for _, up := range []float64{1, 2} {
					if up == 2 && i+j == n-1 {
						continue
					}
					u, v := (float64(i)+up/3)/n, (float64(j)+up/3)/n
					if x := d[0] + u*(d[1]-d[0]) + v*(d[2]-d[0]); x > 0 {
						slowWhere += 1.0 / (n * n)
						slow += x / (n * n)
					}
				}
			}
		}
		if math.Abs(where-slowWhere) > 0.01 || math.Abs(integral-slow) > 2e-5 {
			t.Fatalf("depths %v: area %g, integral %g; by subdivision %g and %g", d, where, integral, slowWhere, slow)
		}
	})
}

// Bands sum to the whole, whatever the levels.
func TestBandsSumToTheWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.SliceOfN(rapid.Float64Range(-0.1, 0.1), 4, 4).Draw(t, "z")
		step := rapid.Float64Range(0.003, 0.05).Draw(t, "step")
		n := rapid.IntRange(0, 8).Draw(t, "levels")
		var levels []float64
		for i := range n {
			levels = append(levels, (float64(i)-3)*step)
		}
		floor, err := FromFaces(survey.Surface{Declared: undeclared,
			Vertices: []survey.Point{{X: 0, Y: 0, Z: z[0]}, {X: 4, Y: 0, Z: z[1]}, {X: 4, Y: 3, Z: z[2]}, {X: 0, Y: 3, Z: z[3]}},
			Faces:    [][3]int32{{0, 1, 2}, {0, 2, 3}}})
		if err != nil {
			t.Fatal(err)
		}
		f := floor.FillTo(Horizontal(0), levels)
		var area, volume float64
		for i, b := range f.Bands {
			area += b.Area
			volume += b.Volume
			if b.Area < -1e-12 {
				t.Fatalf("band %d has area %g", i, b.Area)
			}
			if b.Area > 1e-9 && (b.Volume < b.From*b.Area-1e-12 || b.Volume > b.To*b.Area+1e-12) {
				t.Fatalf("band %g to %g: %g m³ over %g m²", b.From, b.To, b.Volume, b.Area)
			}
		}
		if math.Abs(area-12) > 1e-11 || math.Abs(volume-(f.Fill-f.Cut)) > 1e-12 {
			t.Fatalf("bands have %g m² and %g m³, the floor 12 m² and %g m³", area, volume, f.Fill-f.Cut)
		}
	})
}

// A dead level floor has one band, which is all of it.
func TestDeadLevelFloor(t *testing.T) {
	for _, depth := range []float64{0, 0.025, -0.01} {
		floor := faces(t, []survey.Point{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 3}, {X: 0, Y: 3}}, [3]int32{0, 1, 2}, [3]int32{0, 2, 3})
		f := floor.FillTo(Horizontal(depth), nil)
		near(t, "area", f.Bands[0].Area, 12, 1e-14)
		near(t, "volume", f.Bands[0].Volume, 12*depth, 1e-14)
		near(t, "mean", f.Mean, depth, 1e-16)
		if len(f.Bands) != 1 {
			t.Errorf("%d bands, want 1", len(f.Bands))
		}
	}
}

// A floor level at a limit of two bands belongs to the lower one.
func TestLevelFloorAtALimit(t *testing.T) {
	f := build(t, Data{Shots: shotsOn(0, 0, 4, 3, 1, func(_, _ float64) float64 { return 0 })})
	bands := f.FillTo(Horizontal(0.5), []float64{0.25, 0.5, 0.75}).Bands
	near(t, "lower band", bands[0].Area, 12, 1e-12)
	near(t, "its volume", bands[0].Volume, 6, 1e-12)
	near(t, "upper band", bands[1].Area, 0, 1e-12)
}

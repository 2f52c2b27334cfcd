package flatness

import (
	"math"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
)

// A pyramid of height h with a square base of side b, on a level floor: the part above c is
// a similar pyramid of height h − c.
func TestMarkOfAPyramid(t *testing.T) {
	const h, b, c = 0.012, 2.0, 0.003
	s := survey.Surface{Declared: undeclared, Vertices: []survey.Point{
		{X: 0, Y: 0}, {X: 8, Y: 0}, {X: 8, Y: 6}, {X: 0, Y: 6},
		{X: 2, Y: 2}, {X: 2 + b, Y: 2}, {X: 2 + b, Y: 2 + b}, {X: 2, Y: 2 + b}, {X: 2 + b/2, Y: 2 + b/2, Z: h}}}
	for i := range int32(4) {
		j := (i + 1) % 4
		s.Faces = append(s.Faces, [3]int32{i, j, 4 + i}, [3]int32{j, 4 + j, 4 + i}, [3]int32{4 + i, 4 + j, 8})
	}
	f, err := surface.FromFaces(s)
	if err != nil {
		t.Fatal(err)
	}
	w, err := FindSpots(f, surface.Horizontal(0), c, Rates{Pass: 0.0008, BagYield: 0.011})
	if err != nil || len(w.Spots) != 1 {
		t.Fatalf("%+v, %v", w, err)
	}
	side := b * (h - c) / h
	m := w.Spots[0]
	near(t, "area", m.Area, side*side, 1e-14)
	near(t, "volume", m.Volume, side*side*(h-c)/3, 1e-16)
	near(t, "off", m.Off, h, 1e-16)
	near(t, "beyond", m.Beyond, h-c, 1e-16)
	near(t, "at x", m.At.X, 3, 1e-12)
	if len(m.Rings) != 1 || len(m.Rings[0]) != 4 {
		t.Fatalf("rings %v", m.Rings)
	}
	near(t, "area of the ring", surface.RingArea(m.Rings[0]), side*side, 1e-14)
	if m.Passes != 12 || m.Bags != 0 || m.Number != 1 || !m.High {
		t.Errorf("%+v", m) // 9 mm at 0.8 mm a pass
	}
	// 3 m from the wall in the west and in the south.
	if len(m.Walls) != 2 {
		t.Fatalf("walls %v", m.Walls)
	}
	near(t, "first wall", m.Walls[0].Distance, 3, 1e-12)
	near(t, "second wall", m.Walls[1].Distance, 3, 1e-12)
	if a, b := m.Walls[0].Foot, m.Walls[1].Foot; a.Distance(surface.Vec{X: 3}) > 1e-9 || b.Distance(surface.Vec{Y: 3}) > 1e-9 {
		t.Errorf("feet at %v and %v", a, b)
	}

	// With a target above the pyramid the whole floor is one low with a hole where the
	// pyramid is.
	w, err = FindSpots(f, surface.Horizontal(h), c, Rates{BagYield: 0.011})
	if err != nil || len(w.Spots) != 1 {
		t.Fatalf("%+v, %v", w, err)
	}
	m = w.Spots[0]
	side = b * c / h
	near(t, "area of the low", m.Area, 48-side*side, 1e-13)
	if len(m.Rings) != 2 || m.High {
		t.Fatalf("%+v", m)
	}
	near(t, "outer ring", surface.RingArea(m.Rings[0]), 48, 1e-13)
	near(t, "hole", surface.RingArea(m.Rings[1]), -side*side, 1e-14)
	fill, _ := surface.FillCut(f.Regions[0].TIN, surface.Horizontal(h-c))
	near(t, "fill", m.Volume, fill, 1e-14)
	if want := int(math.Ceil(fill / 0.011)); m.Bags != want || m.Passes != 0 {
		t.Errorf("%d bags, want %d", m.Bags, want)
	}
}

// All marks together equal the surface's volume beyond the tolerance; rings enclose their
// areas.
func TestMarksSumToTheWhole(t *testing.T) {
	f := turnedBy(t, 30)
	target, err := f.Describe()
	if err != nil {
		t.Fatal(err)
	}
	w, err := FindSpots(f, target.Plane, 0.002, Rates{LeastArea: 0.05})
	if err != nil {
		t.Fatal(err)
	}
	_, cut := surface.FillCut(f.Regions[0].TIN, target.Plane.Lowered(-0.002))
	fill, _ := surface.FillCut(f.Regions[0].TIN, target.Plane.Lowered(0.002))
	near(t, "grind", w.Grind, cut, 1e-14)
	near(t, "fill", w.Fill, fill, 1e-14)
	if len(w.Spots) < 5 {
		t.Fatalf("only %d marks", len(w.Spots))
	}
	area, work := w.SmallArea, w.SmallWork
	for i, m := range w.Spots {
		area, work = area+m.Area, work+m.Volume
		enclosed := 0.0
		for _, r := range m.Rings {
			enclosed += surface.RingArea(r)
		}
		near(t, "enclosed area", enclosed, m.Area, 1e-9)
		if m.Number != i+1 || i > 0 && w.Spots[i-1].High == m.High && w.Spots[i-1].Volume < m.Volume {
			t.Errorf("mark %d out of order", i+1)
		}
		if d := m.Off; m.High && d < 0.002 || !m.High && d > -0.002 {
			t.Errorf("mark %d is %g off", i+1, d)
		}
	}
	near(t, "areas", area, w.GrindArea+w.FillArea, 1e-12)
	near(t, "volumes", work, w.Grind+w.Fill, 1e-14)
}

func TestMarksRefusals(t *testing.T) {
	f := gridFloor(t, 1, 1, 1, waves)
	if _, err := FindSpots(f, surface.Horizontal(0), -0.001, Rates{}); err == nil || err.Error() != "tolerance: found -0.001 m, want 0 or more" {
		t.Error(err)
	}
	if _, err := FindSpots(f, surface.Horizontal(0), 0, Rates{Pass: -1}); err == nil || err.Error() != "rates of work: found -1, want 0 or more" {
		t.Error(err)
	}
	if _, err := Compensate(f, surface.Horizontal(0), 0, math.NaN()); err == nil || err.Error() != "tolerance: found NaN m, want 0 or more" {
		t.Error(err)
	}
}

// No plane in steps of 10 µm that keeps the lows within bounds leaves less to grind; of
// those that leave as little, none is nearer to the target.
func TestCompensationIsBest(t *testing.T) {
	f := gridFloor(t, 10, 8, 0.4, waves)
	found, err := f.Describe()
	if err != nil {
		t.Fatal(err)
	}
	const tolerance = 0.001
	for _, low := range []float64{0.002, 0.006, 0.009, 0.03} {
		c, err := Compensate(f, found.Plane, tolerance, low)
		if err != nil {
			t.Fatal(err)
		}
		if c.Deepest > low+1e-12 {
			t.Errorf("low %g: deepest %g", low, c.Deepest)
		}
		grind := func(s float64) float64 {
			_, g := surface.FillCut(f.Regions[0].TIN, found.Plane.Lowered(-s-tolerance))
			return g
		}
		near(t, "grind", c.Grind, grind(c.Offset), 1e-15)
		for i := -3000; i <= 3000; i++ {
			s := float64(i) * 1e-5
			if _, deepest := f.Depths(found.Plane.Lowered(-s)); deepest > low {
				continue
			}
			if g := grind(s); g < c.Grind-1e-15 || g == c.Grind && math.Abs(s) < math.Abs(c.Offset)-1e-5 {
				t.Errorf("low %g: offset %g leaves %g m³ to grind, the one found, %g, %g", low, s, g, c.Offset, c.Grind)
			}
		}
	}
}

func TestBed(t *testing.T) {
	f := gridFloor(t, 10, 10, 0.5, func(x, _ float64) float64 { return 0.002 * x })
	b := Bed(f, surface.Horizontal(0.03), 0.012)
	near(t, "volume", b.Volume, 25*(0.018-0.005), 1e-13)
	near(t, "least", b.Least, 0.008, 1e-15)
	near(t, "greatest", b.Greatest, 0.018, 1e-15)
	near(t, "mean", b.Mean, 0.013, 1e-15)
	near(t, "proud", b.Proud, 0, 0)
}

// Departures of a slope from level: an accessible ramp's level gauge, 24 in at
// 1:50, 1:20 and 1:12, reads 0.48, 1.2 and 2.0 in (U.S. Access Board, exact values).
func TestDeparturesOfASlope(t *testing.T) {
	const inch = 0.0254
	for _, c := range []struct{ run, inches float64 }{{50, 0.48}, {20, 1.2}, {12, 2}} {
		f := gridFloor(t, 4, 4, 6*inch, func(x, _ float64) float64 { return x / c.run })
		d := DeviationsFrom(f, surface.Horizontal(0), c.inches/4*inch)
		near(t, "highest", d.Highest, c.inches*inch, 1e-9)
		near(t, "lowest", d.Lowest, 0, 1e-15)
		near(t, "mean", d.Mean, c.inches*inch/2, 1e-9)
		near(t, "root mean square", d.RMS, c.inches*inch/math.Sqrt(3), 1e-9)
		near(t, "within a quarter", d.Within, 0.25, 1e-8)
	}
}

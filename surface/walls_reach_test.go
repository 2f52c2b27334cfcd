package surface

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
)

// corridor is 10 × 1.2 m with six shots along its middle, each up to off metres to the
// side and up to rough metres above or below z.
func corridor(rng *rand.Rand, off, rough float64, z func(x, y float64) float64) Data {
	d := Data{Rings: []survey.Ring{ringOf("corridor", survey.Outer, 0, 0, 10, 0, 10, 1.2, 0, 1.2)}}
	for i := range 6 {
		p := survey.Point{X: 0.5 + 1.8*float64(i), Y: 0.6 + off*(2*rng.Float64()-1)}
		p.Z = z(p.X, p.Y) + rough*(2*rng.Float64()-1)
		d.Shots = append(d.Shots, p)
	}
	return d
}

// Shots almost in one row do not show a fall across the row: none may be made from the
// millimetres by which the floor and the readings are uneven. Closed form: the floor is
// level, so 50 mm of fill plus or minus those millimetres.
func TestShotsAlmostInOneRow(t *testing.T) {
	level := func(_, _ float64) float64 { return 9.95 }
	for _, off := range []float64{0.0001, 0.002, 0.01, 0.03, 0.05, 0.08, 0.15} {
		for seed := range uint64(40) {
			f := build(t, corridor(rand.New(rand.NewPCG(seed, 29)), off, 0.002, level))
			r := f.FillTo(Horizontal(10), nil)
			// A slope that is used adds at most three times the uncertainty of a shot to an
			// elevation; here up to 2 mm, 1.15 mm as a standard deviation.
			if r.Least < 0.050-0.009 || r.Greatest > 0.050+0.009 || math.Abs(r.Mean-0.050) > 0.003 {
				t.Errorf("shots within %g mm of one line, seed %d: depth %.1f to %.1f mm, mean %.1f, want 50", off*1000, seed, r.Least*1000, r.Greatest*1000, r.Mean*1000)
			}
		}
	}
}

// The fall along the row is determined, and is kept.
func TestRowKeepsItsFallAlong(t *testing.T) {
	f := build(t, corridor(rand.New(rand.NewPCG(1, 29)), 0.002, 0, func(x, _ float64) float64 { return 10 - 0.02*x }))
	r := f.FillTo(Horizontal(10), nil)
	// The long axis of the shots is turned from the corridor's by up to 2 mm in 10 m.
	near(t, "fill", r.Fill, 12*0.1, 1e-5)
	near(t, "max depth", r.Greatest, 0.2, 1e-5)
	near(t, "min depth", r.Least, 0, 1e-5)
}

func TestRowIsSaidWithTheShareThatRestsOnIt(t *testing.T) {
	f := build(t, corridor(rand.New(rand.NewPCG(1, 29)), 0.002, 0.002, func(_, _ float64) float64 { return 9.95 }))
	if len(f.Notes) != 1 || f.Notes[0].Kind != survey.Warning || f.Notes[0].Topic != survey.AboutDepth ||
		!strings.HasPrefix(f.Notes[0].Text.String(), "100 % of the floor is beside shots in a strip too narrow to show a fall across it: no fall across was assumed there; shoot the floor at the walls, first at the corner of west wall and south wall") {
		t.Errorf("notes %v", f.Notes)
	}
	if r := f.FillTo(Horizontal(10), nil); r.FittedArea < 0.99*r.Area {
		t.Errorf("%g m² of %g rest on the fit, want nearly all", r.FittedArea, r.Area)
	}
}

// A channel across the row, which the fit rejects as not part of the floor, leaves a row
// that shows no fall across.
func TestWhatIsThrownOutCarriesNoFall(t *testing.T) {
	for seed := range uint64(20) {
		d := corridor(rand.New(rand.NewPCG(seed, 30)), 0.002, 0.002, func(_, _ float64) float64 { return 9.95 })
		d.Shots = append(d.Shots, survey.Point{X: 4.9, Y: 0.2, Z: 9.85}, survey.Point{X: 4.9, Y: 1.0, Z: 9.85})
		r := build(t, d).FillTo(Horizontal(10), nil)
		if r.Least < 0.04 || r.Greatest > 0.15+1e-9 {
			t.Errorf("seed %d: depth %.1f to %.1f mm, want 50, and 150 in the channel", seed, r.Least*1000, r.Greatest*1000)
		}
	}
}

// Four shots a quarter of the room's width from its walls determine the fall to its corners.
func TestFourShotsCarryTheFall(t *testing.T) {
	f := build(t, Data{Shots: shotsOn(1, 1, 3, 3, 2, sloped), Rings: []survey.Ring{ringOf("", survey.Outer, 0, 0, 4, 0, 4, 4, 0, 4)}})
	near(t, "fill", f.FillTo(Horizontal(10), nil).Fill, 16*(10-sloped(2, 2)), 1e-11)
}

// A few shots close together in a large room do not determine a fall to its far corners. The
// warning gives the distance as the reason, not a row.
func TestFarCornersAreTakenAsLevel(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 29))
	d := Data{Rings: []survey.Ring{ringOf("hall", survey.Outer, 0, 0, 20, 0, 20, 15, 0, 15)}}
	for _, p := range shotsOn(2, 2, 3, 3, 0.5, func(_, _ float64) float64 { return 9.95 }) {
		p.Z += 0.002 * (2*rng.Float64() - 1)
		d.Shots = append(d.Shots, p)
	}
	f := build(t, d)
	r := f.FillTo(Horizontal(10), nil)
	if r.Least < 0.041 || r.Greatest > 0.059 {
		t.Errorf("depth %.1f to %.1f mm, want 50", r.Least*1000, r.Greatest*1000)
	}
	far := func(n survey.Note) bool {
		return strings.Contains(n.Text.String(), "too far from any shot to know its fall")
	}
	if !slices.ContainsFunc(f.Notes, far) {
		t.Errorf("notes %v", f.Notes)
	}
}

// The elevation at a wall changes smoothly with the place of a shot, and does not depend on
// the direction of the floor.
func TestReachIsSmooth(t *testing.T) {
	points := []survey.Point{{X: 0, Y: 0, Z: 1}, {X: 1, Y: 0.1, Z: 2}, {X: 2, Y: -0.1, Z: 1}, {X: 3, Y: 0.2, Z: 4}, {X: 4, Y: 0, Z: 3}}
	w := []float64{1, 0.9, 0.8, 0.7, 0.6}
	at := func(stretch, angle float64) float64 {
		sin, cos := math.Sincos(angle)
		turn := func(v Vec) Vec { return Vec{X: cos*v.X - sin*v.Y, Y: sin*v.X + cos*v.Y} }
		moved := slices.Clone(points)
		for i := range moved {
			v := turn(Vec{X: moved[i].X, Y: moved[i].Y * stretch})
			moved[i].X, moved[i].Y = v.X, v.Y
		}
		p := turn(Vec{X: 1.7, Y: 1})
		plane, _ := planeAt(p, moved, w)
		return plane.Elevation(p)
	}
	before := at(0.1, 0)
	for i := range 40000 {
		stretch := 0.1 + 0.0003*float64(i)
		z := at(stretch, 0)
		if math.Abs(z-before) > 0.02 {
			t.Fatalf("stretched by %g: elevation jumps from %g to %g", stretch, before, z)
		}
		before = z
		if turned := at(stretch, 1.234); math.Abs(turned-z) > 1e-9 {
			t.Fatalf("stretched by %g: elevation %g, turned %g", stretch, z, turned)
		}
	}
}

package uncertainty

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"pourplane/surface"
	"pourplane/survey"
)

// Under one field that is known the depth at a place is normal about that of the likely floor, so
// the share within the ± has a closed form. With a field that changes within centimetres the floor
// between the shots is a plane and what the field has on it: by hand √(SD² + Own²) with the set-up, and
// a little more for the plane.
func TestShareWithinTheError(t *testing.T) {
	t.Parallel()
	f := dish(t, 60)
	places := []surface.Vec{{X: 0.7, Y: 1.3}, {X: 2.9, Y: 2.2}, {X: 5.9, Y: 0.1}}
	for _, field := range []Field{UsualFloor, RoughFloor, {Smooth: Rugged, Reach: 0.01, SD: 0.003, Own: 0.004}} {
		m := New(Input{Floor: f, Split: f, Target: surface.Horizontal(0.1), Errors: Errors{0.0015, 0.001}, Field: &field})
		for _, d := range m.Depths(0, places) {
			spread := math.Sqrt(d.SD*d.SD - d.Bias*d.Bias)
			in := distuv.UnitNormal.CDF((d.Within-d.Bias)/spread) - distuv.UnitNormal.CDF((-d.Within-d.Bias)/spread)
			if math.Abs(in-0.9) > 1e-6 {
				t.Errorf("field of reach %g m at %v: %.7f of the depths are within ±%.2f mm, want 0.9", field.Reach, d.At, in, 1000*d.Within)
			}
			if least := math.Hypot(math.Hypot(0.003, 0.004), 0.001); field.Reach == 0.01 && (spread < least || spread > 1.15*least) {
				t.Errorf("SD about the likely floor %.2f mm at %v, want a little more than %.2f mm", 1000*spread, d.At, 1000*least)
			}
		}
	}
}

// A place in a tile that was not looked at is not known, rather than described by shots far from it.
func TestTilesNotLookedAtAreNotKnown(t *testing.T) {
	t.Parallel()
	var shots []survey.Point
	for i := range 72 {
		for j := range 72 {
			x, y := 0.25*float64(i), 0.25*float64(j)
			shots = append(shots, survey.Point{X: x, Y: y, Z: 0.002 * math.Sin(1.7*x+0.9*y)})
		}
	}
	f := floorOf(t, shots, rectangle(17.75, 17.75))
	m, _ := modelOf(f, 0.1, Errors{Reading: 0.001})
	var places []surface.Vec
	for i := range 30 {
		for j := range 30 {
			places = append(places, surface.Vec{X: 0.6 * float64(i), Y: 0.6 * float64(j)})
		}
	}
	known, most := 0, 0.0
	for _, d := range m.Depths(0, places) {
		if !math.IsNaN(d.Within) {
			known++
			most = max(most, d.Within)
		}
	}
	if known == 0 || known == len(places) || most > 0.01 {
		t.Errorf("%d of %d places are known, to ±%.1f mm; want some, but not all, to a few millimetres", known, len(places), 1000*most)
	}
	for _, c := range m.Cells()[0] {
		if math.IsNaN(c.SD) {
			t.Fatalf("the cell at %v is not known", c.At)
		}
	}
}

package surface

import (
	"testing"

	"pourplane/survey"
)

// Two rooms side by side, each with a target of its own: one level, one a pyramid. The volumes are
// by hand, and those of the rooms add up to the whole to the last digit.
func TestTargetOfEachPart(t *testing.T) {
	room := func(name string, x0, x1 float64) survey.Ring {
		r := survey.Ring{Name: name}
		for _, c := range [][2]float64{{x0, 0}, {x1, 0}, {x1, 4}, {x0, 4}} {
			r.Points = append(r.Points, survey.Point{X: c[0], Y: c[1], Z: 10})
		}
		return r
	}
	d := Data{Rings: []survey.Ring{room("pit", 0, 3), room("room", 3, 9)}}
	for x := 0.5; x < 9; x += 0.75 {
		for y := 0.25; y < 4; y += 0.7 {
			d.Shots = append(d.Shots, survey.Point{X: x, Y: y, Z: 10})
		}
	}
	f, err := NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	if got := f.Parts(); len(got) != 2 || got[0] != "pit" || got[1] != "room" {
		t.Fatalf("parts %q", got)
	}
	target := NewPartTargets(f, map[string]Target{"pit": Horizontal(10.5), "room": NewShape(hipped(t, 3, 0, 6, 4, 10.2, 0.1), nil)})
	fill := f.FillTo(target, nil)
	isNear(t, "pit", fill.Regions[0].Fill, 3*4*0.5, 1e-9)
	isNear(t, "room", fill.Regions[1].Fill, 6*4*(0.2-0.1/3), 1e-9)
	if sum := fill.Regions[0].Fill + fill.Regions[1].Fill; sum != fill.Fill {
		t.Errorf("the parts are %.17g, the whole %.17g", sum, fill.Fill)
	}
	if fill.Regions[0].Target != Horizontal(10.5) {
		t.Errorf("target of the pit: %v", fill.Regions[0].Target)
	}
	isNear(t, "in the pit", target.Elevation(Vec{X: 1, Y: 1}), 10.5, 0)
	isNear(t, "beside the pit", target.Elevation(Vec{X: -1, Y: 1}), 10.5, 0)
	isNear(t, "at the drain", target.Elevation(Vec{X: 6, Y: 2}), 10.1, 1e-12)
	up := f.FillTo(target.Moved(0.01), nil)
	isNear(t, "moved up", up.Fill, fill.Fill+36*0.01, 1e-9)
	if target.Level() {
		t.Error("parts of different targets are called level")
	}
	one := NewPartTargets(f, map[string]Target{"pit": Horizontal(10), "room": Horizontal(10)})
	if plane, ok := IsPlane(one); !ok || plane != Horizontal(10) || !one.Level() {
		t.Errorf("parts of one plane: %v, %v", plane, ok)
	}
	// Finished, the floor has the elevations of the target, and nothing is left to fill.
	done, err := f.Finished(target)
	if err != nil {
		t.Fatal(err)
	}
	again := done.FillTo(target, nil)
	isNear(t, "left to fill", again.Fill+again.Cut, 0, 1e-9)
	above, err := f.Above(target)
	if err != nil {
		t.Fatal(err)
	}
	level := above.FillTo(Horizontal(0), nil)
	isNear(t, "fill of the heights above the target", level.Fill, fill.Fill, 1e-9)
}

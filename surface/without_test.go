package surface

import (
	"testing"

	"pourplane/survey"
)

// twoRooms is a room of 6 × 4 m and, east of it, a pit of 3 × 4 m that is deeper by drop.
func twoRooms(t *testing.T, drop float64) *Floor {
	t.Helper()
	room := func(name string, x0, x1, z float64) survey.Ring {
		r := survey.Ring{Name: name}
		for _, c := range [][2]float64{{x0, 0}, {x1, 0}, {x1, 4}, {x0, 4}} {
			r.Points = append(r.Points, survey.Point{X: c[0], Y: c[1], Z: z})
		}
		return r
	}
	d := Data{Rings: []survey.Ring{room("room", 0, 6, 10), room("pit", 6, 9, 10-drop)}}
	for x := 0.5; x < 9; x++ {
		for y := 0.5; y < 4; y++ {
			z := 10.0
			if x > 6 {
				z -= drop
			}
			d.Shots = append(d.Shots, survey.Point{X: x, Y: y, Z: z})
		}
	}
	f, err := NewFloor(d)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// What a part has is not in the floor without it, and both add up to the whole; the line between
// them is a wall of neither.
func TestWithoutAPart(t *testing.T) {
	f := twoRooms(t, 0.3)
	target := Horizontal(10.1)
	room, pit := f.Without("pit"), f.Only("pit")
	whole, one, other := f.FillTo(target, nil), room.FillTo(target, nil), pit.FillTo(target, nil)
	isNear(t, "room", one.Fill, 24*0.1, 1e-9)
	isNear(t, "pit", other.Fill, 12*0.4, 1e-9)
	if one.Fill+other.Fill != whole.Fill {
		t.Errorf("%.17g + %.17g, the whole %.17g", one.Fill, other.Fill, whole.Fill)
	}
	isNear(t, "walls of the room", room.Perimeter, 6+4+6, 1e-9)
	isNear(t, "walls of the pit", pit.Perimeter, 3+4+3, 1e-9)
	isNear(t, "walls of both", f.Perimeter, room.Perimeter+pit.Perimeter, 1e-9)
	if room.StepLength != 0 || len(room.Steps) != 0 || len(room.Open) == 0 || len(room.Left) != 1 {
		t.Errorf("step %g m, %d steps, %d open edges, %d parts left out", room.StepLength, len(room.Steps), len(room.Open), len(room.Left))
	}
	if room.Used != 24 || pit.Used != 12 {
		t.Errorf("%d and %d shots, want 24 and 12", room.Used, pit.Used)
	}
	length := 0.0
	for _, w := range room.Walls(target) {
		length += w.From.Distance(w.To)
	}
	isNear(t, "listed walls", length, 16, 1e-9)
	// Built again from the same data it is the same.
	again, err := NewFloor(room.Data)
	if err != nil {
		t.Fatal(err)
	}
	if got := again.FillTo(target, nil).Fill; got != one.Fill {
		t.Errorf("built again %.17g, before %.17g", got, one.Fill)
	}
	if same := f.Without(); same != f {
		t.Error("without nothing it is another floor")
	}
}

// A dam between two parts is as high as the higher fill, from the lower floor: by hand 10.1 − 9.7 m
// whichever is named first. One across the room has the depth of the room alone.
func TestDamBetweenTwoLevels(t *testing.T) {
	f := twoRooms(t, 0.3)
	for _, c := range []struct{ room, pit, want float64 }{{10.1, 9.8, 0.4}, {10.05, 10.2, 0.5}} {
		target := NewPartTargets(f, map[string]Target{"room": Horizontal(c.room), "pit": Horizontal(c.pit)})
		cut, err := f.CutRegions([][]Vec{{{X: -1, Y: 2}, {X: 6, Y: 2}}}, []int{0})
		if err != nil {
			t.Fatal(err)
		}
		for _, j := range cut.Joins {
			want := c.want
			if j.Line == 0 {
				want = c.room - 10
			}
			least, greatest := j.Heights(target)
			isNear(t, "min height", least, want, 1e-9)
			isNear(t, "max height", greatest, want, 1e-9)
		}
		if len(cut.Joins) < 2 {
			t.Errorf("%d joins", len(cut.Joins))
		}
	}
}

// By hand: the room is filled by 100 mm and its slab stands 300 mm above the pit.
func TestWhereAFillEndsInTheOpen(t *testing.T) {
	f := twoRooms(t, 0.3)
	ends := func(f *Floor, target Target) []End {
		got, err := f.Ends(target)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	one := func(what string, got []End, part, beside string, length, height, step float64) {
		t.Helper()
		if len(got) != 1 || got[0].Part != part || got[0].Beside != beside {
			t.Fatalf("%s: %+v", what, got)
		}
		isNear(t, what+": length", got[0].Length, length, 1e-8)
		isNear(t, what+": height", got[0].Height, height, 1e-9)
		isNear(t, what+": step", got[0].Step, step, 1e-9)
	}
	parts := func(room, pit Target) Target {
		return NewPartTargets(f, map[string]Target{"room": room, "pit": pit})
	}
	if got := ends(f, Horizontal(10.1)); len(got) != 0 {
		t.Errorf("one level: %+v", got)
	}
	one("the pit is not filled", ends(f.Without("pit"), Horizontal(10.1)), "room", "pit", 4, 0.1, 0.4)
	one("the room is not filled", ends(f.Without("room"), Horizontal(10.1)), "pit", "room", 4, 0.1, 0.1)
	one("a lower pit", ends(f, parts(Horizontal(10.1), Horizontal(9.8))), "room", "pit", 4, 0.1, 0.3)
	one("a pit a little lower", ends(f, parts(Horizontal(10.1), Horizontal(10.06))), "room", "pit", 4, 0.04, 0.04)
	one("a higher pit", ends(f, parts(Horizontal(10.1), Horizontal(10.25))), "pit", "room", 4, 0.15, 0.15)
	if got := ends(f, parts(Horizontal(9.95), Horizontal(9.8))); len(got) != 0 {
		t.Errorf("a room that is not filled: %+v", got)
	}
	// A target that falls along the edge by 5 % from 10.1 m: it is above the slab for 2 m of 4.
	sloped := Plane{Z: 10.1, SlopeY: -0.05}
	one("a fall along the edge", ends(f, parts(sloped, Horizontal(9.8))), "room", "pit", 2, 0.1, 0.3)
	// Against a pit at 10.05 m the fill stands free for the first metre, and that of the pit against
	// the falling fill and the slab for the other three.
	got := ends(f, parts(sloped, Horizontal(10.05)))
	if len(got) != 2 {
		t.Fatalf("%+v", got)
	}
	one("a fall to a filled pit", got[1:], "room", "pit", 1, 0.05, 0.05)
	one("a filled pit beside a fall", got[:1], "pit", "room", 3, 0.05, 0.05)
}

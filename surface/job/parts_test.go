package job

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/survey"
)

// sunken is a room of 6 by 4 m, level at 10 m, a pit of 3 by 4 m east of it at 9.7 m, and a hall of
// 2 by 4 m east of the pit at 10 m. Finished floor at 10.2 m is beside the room and at 9.9 m beside
// the hall.
func sunken() fstest.MapFS {
	text := "name,x,y,z,part,code\n"
	for _, p := range []struct {
		part   string
		x0, x1 int
		z      string
	}{{"room", 0, 6, "10"}, {"pit", 6, 9, "9.7"}, {"hall", 9, 11, "10"}} {
		for _, x := range []int{p.x0, p.x1} {
			for _, y := range []string{"0", "2", "4"} {
				text += strings.Join([]string{p.part + string(rune('a'+x)) + y, string("0123456789AB"[x]), y, p.z, p.part, ""}, ",") + "\n"
			}
		}
	}
	text = strings.ReplaceAll(strings.ReplaceAll(text, ",A,", ",10,"), ",B,", ",11,")
	text += "A1,3,-0.2,10.2,,ADJ\nA2,11.2,2,9.9,,ADJ\n"
	walls := "part,ring,x,y\n"
	for _, p := range [][3]string{{"room", "0", "6"}, {"pit", "6", "9"}, {"hall", "9", "11"}} {
		for _, c := range []string{p[1] + ",0", p[2] + ",0", p[2] + ",4", p[1] + ",4"} {
			walls += p[0] + ",outer," + c + "\n"
		}
	}
	return fstest.MapFS{"floor.csv": {Data: []byte(text)}, "outline.csv": {Data: []byte(walls)}}
}

// Three levels, by hand: 24 m² × 0.1 m, 12 m² × 0.2 m, 8 m² × 0.05 m.
func TestTargetsOfParts(t *testing.T) {
	r := solved(t, bayJob("parts = [\"room=10.1m\", \"pit=9.9m\", \"hall=10.05m\"]\n"), sunken())
	isWithin(t, "fill", r.Fill.Fill, 2.4+2.4+0.4, 1e-8)
	sum := 0.0
	for _, p := range PartsOf(r.Filled) {
		sum += p.Fill.Fill
		isWithin(t, p.Name, p.Fill.Fill, map[string]float64{"room": 2.4, "pit": 2.4, "hall": 0.4}[p.Name], 1e-8)
	}
	if sum != r.Fill.Fill {
		t.Errorf("the parts are %.17g m³, the whole %.17g", sum, r.Fill.Fill)
	}
	// Finished floor is held against the part that it is beside.
	isWithin(t, "room at A1", r.Thresholds[0].Room, 0.1, 1e-9)
	isWithin(t, "room at A2", r.Thresholds[1].Room, -0.15, 1e-9)
	raised, err := r.Raised(0.01)
	if err != nil {
		t.Fatal(err)
	}
	isWithin(t, "raised", raised.Fill.Fill, r.Fill.Fill+0.44, 1e-8)
	for _, p := range r.Pins.Pins {
		if want := map[string]float64{"room": 0.1, "pit": 0.2, "hall": 0.05}[p.Room]; p.Depth < want-1e-8 || p.Depth > want+1e-8 {
			t.Errorf("pin %s in %s: %.6f m deep, want %g", p.Name, p.Room, p.Depth, want)
		}
	}
}

// Parts that are not named have the general target: here the lowest finished floor beside them. A2
// is beside the hall, which has its own.
func TestGeneralTargetOfTheRest(t *testing.T) {
	r := solved(t, bayJob("finish-codes = [\"ADJ\"]\nbuildup = \"20mm\"\nparts = [\"hall = 10.05m\", \"pit=none\"]\n"), sunken())
	isWithin(t, "room", r.Fill.Target.Within("room").Elevation(surface.Vec{X: 1, Y: 1}), 10.18, 1e-12)
	isWithin(t, "fill", r.Fill.Fill, 24*0.18+0.4, 1e-8)
	if len(r.NotFilled) != 1 || r.NotFilled[0].Name != "pit" || r.NotFilled[0].Shots != 6 {
		t.Errorf("not filled: %+v", r.NotFilled)
	}
	isWithin(t, "area of the pit", r.NotFilled[0].Area, 12, 1e-9)
	isWithin(t, "area", r.Fill.Area, 32, 1e-9)
	isWithin(t, "walls", r.Floor.Perimeter, 16+8, 1e-9)
	for _, p := range r.Pins.Pins {
		if p.At.X > 6 && p.At.X < 9 {
			t.Errorf("pin %s at (%g, %g), in the pit", p.Name, p.At.X, p.At.Y)
		}
	}
	// By hand the fill of the room ends 180 mm above its own slab along 4 m, that of the hall 50 mm; the
	// floor of the pit is 300 mm lower.
	found := 0
	for _, n := range r.Notes {
		text := n.In(styleOf(r))
		for _, want := range []string{"the fill of room ends in the open beside pit, along 4.000 m of edge, with a face up to 180 mm high: it needs an edge form there, or a wall; the step down to pit is then 480 mm", "the fill of hall ends in the open beside pit, along 4.000 m of edge, with a face up to 50 mm high: it needs an edge form there, or a wall; the step down to pit is then 350 mm", "not filled: pit, 12.00 m² with 6 shots: in none of the figures"} {
			if strings.Contains(strings.ToLower(text), want) {
				found++
			}
		}
	}
	if found != 3 {
		t.Errorf("%d of 3 notes", found)
	}
}

// Finished floor beside a part that is not filled decides nothing.
func TestDoorOfAPartNotFilled(t *testing.T) {
	r := solved(t, bayJob("finish-codes = [\"ADJ\"]\nbuildup = \"20mm\"\nparts = [\"hall=none\", \"pit=none\"]\n"), sunken())
	isWithin(t, "fill", r.Fill.Fill, 24*0.18, 1e-8)
	if len(r.Thresholds) != 1 || r.Thresholds[0].Point.Name() != "A1" {
		t.Errorf("%d thresholds", len(r.Thresholds))
	}
}

// Bars do not run on over the edge of two levels: by hand, at 10.2 m over the whole room and at 9.9 m
// over the pit, with the hall not filled.
func TestBarsEndAtAnEdge(t *testing.T) {
	text := bayJob("elevation = \"10.2m\"\nparts = [\"pit=9.9m\", \"hall=none\"]\n[bars]\nsize = \"10\"\nspacing = \"300mm\"\n[outputs]\nwater = true\n")
	r := solved(t, text, sunken())
	if len(r.Bars.Bars) == 0 {
		t.Fatal("no bars")
	}
	for _, b := range r.Bars.Bars {
		if min(b.From.X, b.To.X) < 6 && max(b.From.X, b.To.X) > 6 {
			t.Fatalf("a bar from (%g, %g) to (%g, %g), over the edge at x = 6", b.From.X, b.From.Y, b.To.X, b.To.Y)
		}
	}
	said := false
	for _, n := range r.Notes {
		said = said || strings.Contains(n.In(styleOf(r)), "Water that runs over it is not followed")
		if strings.Contains(n.In(styleOf(r)), "A2 is") {
			t.Error(n.In(styleOf(r)))
		}
	}
	if !said {
		t.Error("no word of the water at the open edge")
	}
}

// The rest falls to a place: the highest corner of the rest is at the target.
func TestRestThatFalls(t *testing.T) {
	r := solved(t, bayJob("elevation = \"10.2m\"\nfall = \"1%\"\ntoward = \"E\"\nparts = [\"pit=9.9m\", \"hall=none\"]\n"), sunken())
	isWithin(t, "fill", r.Fill.Fill, 24*(0.2-0.03)+2.4, 1e-8)
	// And a drain in the room is one of the room alone: level walls at 10.2 m, a pyramid below.
	r = solved(t, bayJob("elevation = \"10.2m\"\nfall = \"1%\"\ndrains = [\"3m,2m\"]\nwalls = \"level\"\nparts = [\"pit=9.9m\", \"hall=10.05m\"]\n"), sunken())
	isWithin(t, "a drain", r.Fill.Fill, 24*(0.2-0.01*3.605551275463989/3)+2.4+0.4, 1e-7)
}

func TestPartRefusals(t *testing.T) {
	one := bay()
	for _, c := range []struct{ target, want string }{
		{"parts = [\"room=10.1m\", \"pit=9.9m\"]\n", "target.parts: no target for hall"},
		{"parts = [\"room=10.1m\"]\n", "no target for hall, pit"},
		{"elevation = \"10.1m\"\nparts = [\"rom=10.1m\"]\n", "did you mean [target] parts = [\"room=10.1m\"]? The parts are hall, pit, room"},
		{"elevation = \"10.1m\"\nparts = [\"shed=10.1m\"]\n", "want a part of the outline"},
		{"elevation = \"10.1m\"\nparts = [\"room=10.1m\", \"room=none\"]\n", "one target for room: 10.1m is given too"},
		{"elevation = \"10.1m\"\nparts = [\"room=10.1m\", \"ROOM=10.2m\"]\n", "one target for room: 10.1m is given too"},
		{"elevation = \"10.1m\"\nparts = [\"room\"]\n", "PART=Z, or PART=none"},
		{"elevation = \"10.1m\"\nparts = [\"room=\"]\n", "PART=Z, or PART=none"},
		{"elevation = \"10.1m\"\nparts = [\"room=10.1\"]\n", "target.parts: found \"10.1\", want a length with its unit, such as 10.1m"},
		{"elevation = \"10.1m\"\nparts = [\"room=high\"]\n", "target.parts: room: found \"high\""},
		{"elevation = \"10.1m\"\nparts = [\"room=101m\"]\n", "did you mean [target] parts = [\"room=10.1m\"]"},
		{"parts = [\"room=none\", \"pit=none\", \"hall=none\"]\n", "no part is filled"},
		{"elevation = \"10.1m\"\nparts = [\"room=10.1m\", \"pit=9.9m\", \"hall=none\"]\n", "every part has a target of its own"},
		{"volume = \"3m3\"\nparts = [\"room=10.1m\"]\n", "a volume fills to one height"},
		{"parts = [\"room=10.1m\", \"pit=none\", \"hall=none\"]\nfall = \"1%\"\ntoward = \"N\"\n", "goes with a target for the parts that have none of their own"},
		{"finish-codes = [\"ADJ\"]\nbuildup = \"20mm\"\nparts = [\"room=10.1m\", \"hall=10m\"]\n", "all shots of ADJ are at parts with a target of their own"},
	} {
		err := refused(t, bayJob(c.target), sunken())
		if text := hinted(err); !strings.Contains(text, c.want) {
			t.Errorf("%q: %s, want %q in it", c.target, text, c.want)
		}
		var e *survey.Error
		if !errors.As(err, &e) || e.Line == 0 {
			t.Errorf("%q: no place in the job: %v", c.target, err)
		}
	}
	if text := hinted(refused(t, bayJob("parts = [\"room=10.1m\"]\n"), one)); !strings.Contains(text, "it has one, without a name") {
		t.Error(text)
	}
}

// A volume that sets the height fills the parts that are filled: by hand 3.2 m³ on 32 m² of level
// floor at 10 m.
func TestVolumeWithoutAPart(t *testing.T) {
	r := solved(t, bayJob("volume = \"3.2m3\"\nparts = [\"pit=none\"]\n"), sunken())
	isWithin(t, "target", r.Fill.Target.Elevation(surface.Vec{}), 10.1, 1e-9)
}

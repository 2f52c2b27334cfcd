package job

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	ponds "pourplane/surface/water"
)

// tray is a room of 6 × 4 m, shot every metre, level at 10 m but for a hollow of 20 mm at one
// shot; a drain beside it, whose rim is 5 mm up, and a threshold 30 mm up.
func tray() fstest.MapFS {
	var b, after strings.Builder
	head := "point,x,y,z,code\n"
	for y := range 5 {
		for x := range 7 {
			z := 10.0
			if x == 2 && y == 2 {
				z = 9.98
			}
			fmt.Fprintf(&b, "%d%d,%d,%d,%.3f,\n", x, y, x, y, z)
			fmt.Fprintf(&after, "c%d%d,%d,%d,%.3f,\n", x, y, x, y, 10.05+0.01*float64(x))
		}
	}
	b.WriteString("FD,4,2,10.005,DRAIN\nD1,6.1,3,10.030,ADJ\n")
	return fstest.MapFS{"floor.csv": {Data: []byte(head + b.String())}, "after.csv": {Data: []byte(head + after.String())}, "walls.csv": walls(6, 4)}
}

const trayJob = `date = 2026-11-25
units = "m"
[survey]
files = ["floor.csv"]
after = ["after.csv"]
outline = "walls.csv"
[outputs]
water = true
[target]
elevation = "%s"
%s`

// On the floor as surveyed the water is as high as the rim of the drain, 5 mm over all of it.
// On the target a grate is level with the fill, or with the covering on it. After the pour the
// drain shot before it alone is level with the floor.
func TestWaterOfAJob(t *testing.T) {
	t.Parallel()
	deepest := func(s *Standing) float64 {
		d := 0.0
		for _, p := range s.Ponds {
			d = max(d, p.Depth)
		}
		return d
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %.6f, want %.6f", what, got, want)
		}
	}
	r := solved(t, fmt.Sprintf(trayJob, "10.02m", ""), tray())
	before, target := r.Water[0], r.Water[1]
	near("depth as surveyed", deepest(before), 0.025)
	near("area as surveyed", before.Ponds[0].Area, 24)
	if before.Ponds[0].To != (ponds.Target{Kind: ponds.ToOutlet, Index: 0}) || before.On != AsSurveyed || target.On != AsPlanned {
		t.Errorf("%+v", before.Ponds)
	}
	near("level part of the target", target.Level, 24)
	near("out over the threshold", target.Outlets[1].Level, 10.03)
	near("depth on the target", deepest(target), 0)
	near("out at the drain", target.Outlets[0].Level, 10.02)

	// 15 mm of covering, on which water leaves over the threshold at its own level.
	r = solved(t, fmt.Sprintf(trayJob, "10.02m", "covering = \"15mm\""), tray())
	near("out at the drain, on the covering", r.Water[1].Outlets[0].Level, 10.035)
	near("out over the threshold, lower than the covering", r.Water[1].Outlets[1].Level, 10.035)

	// After the pour it falls 1 % to x = 0: 40 mm below the drain at x = 4.
	w := r.Judged.Water
	near("depth after the pour", deepest(w), 0.04)
	if w.On != AsPoured || len(w.Outlets) != 2 || w.Outlets[0].Name == w.Outlets[1].Name {
		t.Errorf("outlets %+v", w.Outlets)
	}

	// Raised, the floor as surveyed stays and the target is the raised one.
	up, err := r.Raised(0.01)
	if err != nil {
		t.Fatal(err)
	}
	near("raised", up.Water[1].Outlets[0].Level, 10.045)
	if up.Water[0] != r.Water[0] {
		t.Error("the floor as surveyed was worked out again")
	}
}

// A drain outside the floor, or a threshold at no wall, is named and takes nothing.
func TestOutletsOffTheFloor(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ was, is, want string }{
		{"FD,4,2,", "FD,9,2,", "FD is 3.000 m from the floor: no water of this floor runs to it"},
		{"D1,6.1,3,", "D1,9,3,", "D1 is 3.000 m from the nearest wall: no water of this floor leaves there"},
	} {
		files := tray()
		files["floor.csv"] = &fstest.MapFile{Data: []byte(strings.Replace(string(files["floor.csv"].Data), c.was, c.is, 1))}
		r := solved(t, strings.Replace(fmt.Sprintf(trayJob, "10.02m", ""), `after = ["after.csv"]`, "", 1), files)
		if n := len(r.Water[0].Outlets); n != 1 {
			t.Errorf("%s: %d outlets, want the other alone", c.is, n)
		}
		found := 0
		for _, n := range r.Notes {
			if strings.Contains(n.Text.In(StyleOf(r.Survey, "")), c.want) {
				found++
			}
		}
		if found != 1 {
			t.Errorf("%s: %d notes, want one", c.is, found)
		}
	}
}

// Whatever the floor is to become, water stands on it as surveyed the same to the bit.
func TestWaterAsSurveyedIsThatOfTheSurvey(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"walls.csv": walls(6, 4), "floor.csv": {Data: []byte("point,x,y,z,code\n1,0,0,9.980,\n2,3,0,9.962,\n3,6,0,9.951,\n4,0,2,9.975,\n5,3,2,9.940,\n6,6,2,9.953,\n" +
		"7,0,4,9.985,\n8,3,4,9.966,\n9,6,4,9.958,\nFD1,4,1.5,9.930,DRAIN\n")}}
	var level *Standing
	for _, fall := range []string{"", "drains = [\"FD1\"]", "drains = [\"FD1\"]\nchannels = [\"1m,1m,5m,1m\"]", "channels = [\"2m,1m,3m,1m\"]", "drains = [\"FD1\"]\nwalls = \"level\""} {
		if fall != "" {
			fall = "fall = \"1%\"\n" + fall
		}
		got := solved(t, strings.Replace(fmt.Sprintf(trayJob, "10.05m", fall), "after = [\"after.csv\"]\n", "", 1), files).Water[0]
		got.Flatter = got.Flatter[:len(LeastFalls)] // then comes the fall of the target
		if level == nil {
			level = got
		}
		if !reflect.DeepEqual(got.Water, level.Water) {
			t.Errorf("%s:\n%+v, want\n%+v", fall, got.Water, level.Water)
		}
	}
	if len(level.Ponds) != 1 || math.Abs(level.Ponds[0].Depth-0.002) > 1e-9 {
		t.Errorf("%+v, want one pond of 2 mm", level.Ponds)
	}
}

package job

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// doorJob takes its target from finished floor by keys, for a floor of 6 by 4 m.
func doorJob(keys string) string {
	return "title = \"Doors\"\ndate = 2026-11-25\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nbuildup = \"10mm\"\n" + keys
}

// doored is a floor of 6 by 4 m, level at 9.900 m, with rows of shots on finished floor. Its
// columns are point, x, y, z and code.
func doored(rows ...string) fstest.MapFS {
	var b strings.Builder
	b.WriteString("point,x (m),y (m),z (m),code\n")
	for i := range 7 {
		for k := range 5 {
			fmt.Fprintf(&b, "%d,%d,%d,9.9,\n", 100+5*i+k, i, k)
		}
	}
	return fstest.MapFS{"floor.csv": {Data: []byte(b.String() + strings.Join(rows, "\n") + "\n")}, "walls.csv": walls(6, 4)}
}

// about returns the notes that hold a text, as shown in metres.
func about(notes []survey.Note, text string) (out []string) {
	for _, n := range notes {
		if s := n.In(unit.Style{}); strings.Contains(s, text) {
			out = append(out, s)
		}
	}
	return out
}

// A shot that the target names is finished floor, with a code or without one: it never counts
// as old floor. By hand 24 m² × (10.000 − 0.010 − 9.900) m, and no cut.
func TestNamedDoorIsNoOldFloor(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, keys, row string }{
		{"by name", "finish-at = \"D1\"\n", "D1,5.5,3.5,10,"},
		{"by name, with a code", "finish-at = \"D1\"\n", "D1,6.2,3,10,ADJ"},
		{"by code", "finish-codes = [\"ADJ\"]\n", "D1,6.2,3,10,ADJ"},
		{"by a code of its own", "finish-codes = [\"OAK\"]\n", "D1,6.2,3,10,OAK"},
	} {
		r := solved(t, doorJob(c.keys), doored(c.row))
		near(t, c.name+": fill", r.Filled.Fill.Fill, 24*0.09)
		near(t, c.name+": cut", r.Filled.Fill.Cut, 0)
		near(t, c.name+": target", r.Filled.Fill.Target.(surface.Plane).Z, 9.99)
		if r.Floor.Used != 35 {
			t.Errorf("%s: %d shots, want 35 of old floor", c.name, r.Floor.Used)
		}
		if n := len(r.Survey.Finished); n != 1 {
			t.Errorf("%s: %d shots on finished floor, want 1", c.name, n)
		}
	}
	r := solved(t, doorJob("finish-at = \"D1\"\n"), doored("D1,5.5,3.5,10,"))
	if got := about(r.Notes, "not counted as floor"); len(got) != 1 || !strings.Contains(got[0], "D1 is finished floor") {
		t.Errorf("notes: %q", got)
	}
	err := refused(t, doorJob("finish-codes = [\"ADJ\"]\n"), fstest.MapFS{"walls.csv": walls(6, 4),
		"floor.csv": {Data: []byte("point,x (m),y (m),z (m),code\n1,0,0,10,ADJ\n2,6,0,10,ADJ\n3,6,4,10,ADJ\n4,0,4,10,ADJ\n")}})
	if err == nil {
		t.Error("a survey of finished floor alone was taken")
	}
}

// Of several doors the lowest sets the target, or their mean; by hand 10.000, 10.004 and
// 10.009 less 10 mm.
func TestTargetOfSeveralDoors(t *testing.T) {
	t.Parallel()
	rows := []string{"D1,6.2,1,10.000,ADJ", "D2,-0.2,2,10.004,ADJ", "D3,3,4.2,10.009,ADJ"}
	for rule, want := range map[string]float64{"lowest": 9.990, "mean": 9.994 + 1e-3/3} {
		r := solved(t, doorJob("finish-codes = [\"ADJ\"]\nfinish-rule = \""+rule+"\"\n"), doored(rows...))
		near(t, rule, r.Filled.Fill.Target.(surface.Plane).Z, want)
	}
	// Three doors carry a plane; shots on it are 10 mm above the target everywhere.
	r := solved(t, doorJob("finish-codes = [\"ADJ\"]\nfinish-rule = \"plane\"\n"), doored("D1,6,0,10.006,ADJ", "D2,0,0,10.000,ADJ", "D3,0,4,10.008,ADJ"))
	near(t, "slope to the east", r.Filled.Fill.Target.(surface.Plane).SlopeX, 0.001)
	near(t, "slope to the north", r.Filled.Fill.Target.(surface.Plane).SlopeY, 0.002)
	// Mean depth of a plane over a rectangle is that at its middle: 10.000 + 0.003 + 0.004.
	isWithin(t, "fill under the plane", r.Filled.Fill.Fill, 24*(10.007-0.010-9.9), 1e-8)
}

// A door 2 m from the walls passes without a word, one a little farther is warned of, with the
// coordinate that is off. Shots in the room's middle are doubted too.
func TestDoorFarFromEveryWall(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		row  string
		want []string
	}{
		{"D1,8,2,10,ADJ", nil},
		{"D1,8.01,2,10,ADJ", []string{"2.010 m outside the nearest wall: check x."}},
		{"D1,3,6.5,10,ADJ", []string{"2.500 m outside the nearest wall: check y."}},
		{"D1,9,7,10,ADJ", []string{"4.243 m outside the nearest wall: check x and y."}},
		{"D1,-24,2,10,ADJ", []string{"24.000 m outside the nearest wall: check x."}},
	} {
		r := solved(t, doorJob("finish-codes = [\"ADJ\"]\n"), doored(c.row))
		got := about(r.Notes, "adjoining finished floor, but")
		if len(got) != len(c.want) {
			t.Errorf("%s: warnings %q, want %q", c.row, got, c.want)
			continue
		}
		for i := range got {
			if !strings.Contains(got[i], c.want[i]) {
				t.Errorf("%s: %q lacks %q", c.row, got[i], c.want[i])
			}
		}
	}
}

// A shot without a place counts for a level target, is said to, and cannot carry a plane or a
// fall.
func TestDoorWithoutAPlace(t *testing.T) {
	t.Parallel()
	files := doored("D1,,,10,ADJ")
	r := solved(t, doorJob("finish-codes = [\"ADJ\"]\n"), files)
	near(t, "target", r.Filled.Fill.Target.(surface.Plane).Z, 9.99)
	if got := about(r.Notes, "its elevation counts for the target"); len(got) != 1 || !strings.Contains(got[0], "D1: no position") {
		t.Errorf("notes: %q", got)
	}
	for _, c := range []struct{ keys, want string }{
		{"finish-codes = [\"ADJ\"]\nfinish-rule = \"plane\"\n", "D1: found no position, want its x and y"},
		{"finish-codes = [\"ADJ\"]\nfall = \"1%\"\ntoward = \"E\"\n", "D1: found no position, want its x and y: the fall is held at the finished floor there"},
	} {
		if err := hinted(refused(t, doorJob(c.keys), files)); !strings.Contains(err, c.want) {
			t.Errorf("%s\nlacks %q", err, c.want)
		}
	}
}

// A door of the first survey is the same shot in the one after the pour up to 0.3 m away;
// farther off its number was given to another shot, which is new floor.
func TestDoorAgainAfterThePour(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		x    float64
		used int
	}{{5.5, 35}, {5.79, 35}, {5.81, 36}} {
		files := doored("D1,5.5,3.5,10,")
		after := strings.ReplaceAll(string(doored(fmt.Sprintf("D1,%g,3.5,9.99,", c.x))["floor.csv"].Data), ",9.9,", ",9.99,")
		files["after.csv"] = &fstest.MapFile{Data: []byte(after)}
		text := strings.Replace(doorJob("finish-at = \"D1\"\n"), "outline =", "after = [\"after.csv\"]\noutline =", 1)
		r := solved(t, text, files)
		if got := r.Judged.Floor.Used; got != c.used {
			t.Errorf("D1 at x = %g: %d shots on the new floor, want %d", c.x, got, c.used)
		}
		near(t, "placed", r.Judged.Placed.Net, 24*0.09)
	}
}

// Benchmarks known before the pour reach the survey after it; one that differs there by more
// than 0.1 mm is refused with both elevations.
func TestBenchmarkAfterThePour(t *testing.T) {
	t.Parallel()
	text := with(rodJob, "after = [\"after.csv\"]\n")
	before := rods(9.94, 11.5, "BM1,,,1.300\n", "BM1,,,1.300\n")
	files := fstest.MapFS{"floor.csv": before["floor.csv"], "walls.csv": before["walls.csv"]}
	files["after.csv"] = rods(10, 11.2, "BM1,,,1.000\n", "BM1,,,1.000\n")["floor.csv"]
	job := with(text, "benchmarks = { BM1 = \"10.2m\" }\n")
	r := solved(t, job, files)
	isWithin(t, "placed", r.Judged.Placed.Net, 12*0.06, 1e-8)

	// The elevation is in the survey before the pour, and nowhere else.
	stated := func(z, hi, reading float64, elevation string) *fstest.MapFile {
		text := fmt.Sprintf("point,x (m),y (m),rod (m),elevation (m),code\nBM1,,,%g,%s,BM\n", reading, elevation)
		for i, p := range onGrid(4, 3, 1, flat(z)) {
			text += fmt.Sprintf("%d,%g,%g,%.4f,,\n", 101+i, p[0], p[1], hi-p[2])
		}
		return &fstest.MapFile{Data: []byte(text)}
	}
	files["floor.csv"] = stated(9.94, 11.5, 1.3, "10.2")
	files["after.csv"] = rods(10, 11.2, "BM1,,,1.000\n", "BM1,,,1.000\n")["floor.csv"]
	r = solved(t, text, files)
	isWithin(t, "placed, the benchmark from before", r.Judged.Placed.Net, 12*0.06, 1e-8)
	if got := about(r.Judged.Notes, "benchmarks as in the survey before the pour"); len(got) != 1 || !strings.HasSuffix(got[0], "BM1 at 10.200 m") {
		t.Errorf("notes: %q", got)
	}
	for own, differs := range map[string]bool{"10.20009": false, "10.19991": false, "10.2002": true, "10.1998": true} {
		files["after.csv"] = stated(10, 11.2, 1, own)
		if !differs {
			solved(t, text, files)
			continue
		}
		err := hinted(refused(t, text, files))
		for _, want := range []string{"after.csv:2: benchmark BM1", "after the pour, 10.200", "before it (floor.csv:2), want one elevation", "[survey] benchmarks"} {
			if !strings.Contains(err, want) {
				t.Errorf("%s: %s\nlacks %q", own, err, want)
			}
		}
	}
}

// FinishShots lists the shots of one or more codes, wherever the reader put them.
func TestFinishShots(t *testing.T) {
	t.Parallel()
	s := &survey.Survey{
		Finished: []survey.Point{survey.Point{}.With(survey.Tag{Name: "A", Code: "ADJ"})},
		Control:  []survey.Point{survey.Point{}.With(survey.Tag{Name: "B", Code: "OAK"}), survey.Point{}.With(survey.Tag{Name: "C", Code: "BM"})},
		Points:   []survey.Point{survey.Point{}.With(survey.Tag{Name: "D", Code: "oak"}), survey.Point{}.Named("E")},
		Heights:  []survey.Point{survey.Point{}.With(survey.Tag{Name: "F", Code: "ADJ"})},
	}
	for _, c := range []struct {
		codes []string
		want  string
	}{{[]string{"ADJ"}, "A F"}, {[]string{"OAK"}, "B D"}, {[]string{"ADJ", "OAK"}, "A B D F"}, {[]string{"TILE"}, ""}} {
		var got []string
		for _, p := range FinishShots(s, c.codes) {
			got = append(got, p.Name())
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%v: %q, want %q", c.codes, g, c.want)
		}
	}
}

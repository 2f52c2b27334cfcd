package job

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/survey"
)

// elevated is n shots at 9.9 m, and others at the elevations z, in a file.
func elevated(n int, z ...float64) (out []survey.Point) {
	for i := range n {
		out = append(out, survey.Point{X: float64(i % 7), Y: float64(i / 7), Z: 9.9}.With(survey.Tag{Name: fmt.Sprint(i + 1), At: survey.Pos{File: "a.csv", Line: i + 2}}))
	}
	for _, v := range z {
		k := len(out)
		out = append(out, survey.Point{X: float64(k), Y: 9, Z: v}.With(survey.Tag{Name: fmt.Sprint(k + 1), At: survey.Pos{File: "a.csv", Line: k + 2}}))
	}
	return out
}

// Shots are strays if they are more than 20 m from the middle elevation and one alone, or a
// tenth of all at most: more of them are a floor of their own.
func TestFewStrays(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		points []survey.Point
		far    string
	}{
		{"none", elevated(20), ""},
		{"20 m off", elevated(20, 29.9), ""},
		{"a little more", elevated(20, 29.901), "21"},
		{"below", elevated(20, -10.2), "21"},
		{"one of three", elevated(2, 99), "3"},
		{"two of twenty, the farther first", elevated(18, 40, 99), "20 19"},
		{"two of nineteen", elevated(17, 40, 99), ""},
		{"as far above as below: by row", elevated(20, 39.9, -20.1), "21 22"},
	} {
		_, far := fewStrays(c.points)
		var got []string
		for _, p := range far {
			got = append(got, p.Name())
		}
		if g := strings.Join(got, " "); g != c.far {
			t.Errorf("%s: %q, want %q", c.name, g, c.far)
		}
	}
	if middle, far := strays([]survey.Point{{}, {}}, 1); middle != 0 || len(far) != 0 {
		t.Errorf("shots at 0: %g, %v", middle, far)
	}
}

// A floor uneven by a storey is warned of, one by a kilometre refused with the shot that is
// farthest from the middle one.
func TestOneFloor(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		z          float64
		warn       bool
		refusal    string
		from, upTo string
	}{
		{12.9, false, "", "", ""},
		{12.91, true, "", "9.900 m at 1", "12.910 m at 21"},
		{6.89, true, "", "6.890 m at 21", "9.900 m at 1"},
		{1009.9, true, "", "9.900 m at 1", "1,009.900 m at 21"},
		{1010, false, "21 with the elevation 1010 m, 1000 m from the middle one of the survey (9.9 m)", "", ""},
	} {
		s := &survey.Survey{Name: "a.csv"}
		err := oneFloor(s, elevated(20, c.z))
		if c.refusal == "" && err != nil || c.refusal != "" && (err == nil || !strings.Contains(err.Error(), c.refusal)) {
			t.Errorf("%g: %v, want %q", c.z, err, c.refusal)
		}
		notes := about(s.Notes, "is it one floor, and is the unit right?")
		if (len(notes) == 1) != c.warn {
			t.Errorf("%g: notes %q", c.z, notes)
			continue
		}
		for _, want := range []string{c.from, c.upTo} {
			if c.warn && !strings.Contains(strings.ReplaceAll(notes[0], ",", ""), strings.ReplaceAll(want, ",", "")) {
				t.Errorf("%g: %q lacks %q", c.z, notes[0], want)
			}
		}
	}
}

// A stray shot is named with its row and how to leave it out, also after a target that fits
// the others. If the target fits none of them, the target is wrong.
func TestStrayShotInAJob(t *testing.T) {
	t.Parallel()
	text := string(levelShots(9.9, 7, 5).Data)
	files := fstest.MapFS{"walls.csv": walls(6, 4), "floor.csv": {Data: []byte(strings.Replace(text, "110,2,0,9.900000000000", "110,2,0,99.0", 1))}}
	if string(files["floor.csv"].Data) == text {
		t.Fatal("no shot was changed")
	}
	err := hinted(refused(t, tenMetres, files))
	for _, want := range []string{"floor.csv:12", "110, read as 99.0, with the elevation 99 m, 89.1 m from the middle one of the survey (9.9 m)", "shots within 20 m of it, as the others are", `"floor.csv:12" = "misread"`} {
		if !strings.Contains(err, want) {
			t.Errorf("%s\nlacks %q", err, want)
		}
	}
	err = hinted(refused(t, strings.Replace(tenMetres, `"10m"`, `"100m"`, 1), fstest.MapFS{"walls.csv": walls(6, 4), "floor.csv": {Data: []byte(text)}}))
	if !strings.Contains(err, "target") || strings.Contains(err, "misread") {
		t.Errorf("a target 90 m above all shots: %s", err)
	}
}

// The shot that makes a floor too wide is the one with a lost decimal point, else the one
// farthest from the middle. Walls would have left it out, so with walls nothing is named.
func TestTooWide(t *testing.T) {
	t.Parallel()
	wide := &survey.Error{Found: "a floor 5 km wide", Want: "1 km at most", Err: flatness.ErrTooWide}
	s := &survey.Survey{Name: "a.csv", Points: elevated(20)}
	for _, c := range []struct {
		x, y float64
		want string
	}{{5000, 1, "14: x is 5000.000 m, far from all other shots; 5.000 m would fit"}, {9876, 1, "farthest out 14 at"}} {
		s.Points[13].X, s.Points[13].Y = c.x, c.y
		got := hinted(tooWide(s, wide))
		for _, want := range []string{"a.csv:15", c.want, `--leave-out "a.csv:15=misread"`, "--outline FILE"} {
			if !strings.Contains(got, want) {
				t.Errorf("%s\nlacks %q", got, want)
			}
		}
	}
	s.Rings = []survey.Ring{{}}
	if got := tooWide(s, wide).Error(); strings.Contains(got, "farthest") || !strings.HasPrefix(got, "a.csv: found a floor") {
		t.Errorf("with walls: %s", got)
	}
	other := errors.New("another error")
	if got := tooWide(&survey.Survey{Points: elevated(3)}, other); got != other {
		t.Errorf("another error became %v", got)
	}
	for _, c := range []struct {
		at   []surface.Vec
		want int
	}{
		{[]surface.Vec{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 0, Y: 1}, {X: 1, Y: -8}}, 3},
		{[]surface.Vec{{X: -50, Y: 0}, {X: 1, Y: 0}, {X: 2, Y: 1}, {X: 60, Y: 1}, {X: 2, Y: 2}}, 3},
	} {
		var p []survey.Point
		for i, v := range c.at {
			p = append(p, survey.Point{X: v.X, Y: v.Y}.Named(fmt.Sprint(i)))
		}
		if got := farthestOut(p).Name(); got != fmt.Sprint(c.want) {
			t.Errorf("%v: shot %s, want %d", c.at, got, c.want)
		}
	}
}

// A list without header in the order north, east; its outline has no header either: read by
// the same order it would be a mirror image of the same area.
func TestOrderIsTheSurveysAlone(t *testing.T) {
	t.Parallel()
	list := "1,0,0,9.9\n2,0,6,9.9\n3,4,6,9.9\n4,4,0,9.9\n5,2,3,9.9\n"
	text := "title = \"Order\"\ndate = 2026-11-25\nunits = \"m\"\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\norder = \"PNEZ\"\n[target]\nelevation = \"10m\"\n"
	files := fstest.MapFS{"floor.csv": {Data: []byte(list)}, "walls.csv": walls(6, 4)}
	r := solved(t, text, files)
	near(t, "fill", r.Filled.Fill.Fill, 24*0.1)
	files["walls.csv"] = &fstest.MapFile{Data: []byte("0,0\n0,6\n4,6\n4,0\n")}
	err := hinted(refused(t, text, files))
	if !strings.Contains(err, "walls.csv") || !strings.Contains(err, "first row, such as x,y or n,e") {
		t.Errorf("%s", err)
	}
}

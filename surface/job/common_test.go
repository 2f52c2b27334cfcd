package job

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// part is a list of rod readings from one line of sight at hi, on columns xs of a floor of 6 by
// 3 m that is level at 9.950 m; raised adds to the elevation of one shot.
func part(hi float64, raised map[string]float64, xs ...int) *fstest.MapFile {
	text := "point,x (m),y (m),rod (m)\n"
	for _, x := range xs {
		for y := range 4 {
			name := fmt.Sprintf("P%d%d", x, y)
			text += fmt.Sprintf("%s,%d,%d,%.4f\n", name, x, y, hi-9.95-raised[name])
		}
	}
	return &fstest.MapFile{Data: []byte(text)}
}

// filesOf names the files of a job.
func filesOf(keys string, names ...string) string {
	return strings.Replace(with(rodJob, keys), `["floor.csv"]`, `["`+strings.Join(names, `", "`)+`"]`, 1)
}

// Three files in a chain are one floor: the third has no shot in common with the first. By hand
// 18 m² × 50 mm, whichever of them has the height of instrument.
func TestChainOfFiles(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"a.csv": part(11.5, nil, 0, 1, 2), "b.csv": part(11.2, nil, 2, 3, 4), "c.csv": part(11.8, nil, 4, 5, 6), "walls.csv": walls(6, 3)}
	for _, names := range [][]string{{"a.csv", "b.csv", "c.csv"}, {"a.csv", "c.csv", "b.csv"}} {
		r := solved(t, filesOf("instrument-height = \"11.5m\"\n", names...), files)
		isWithin(t, fmt.Sprint(names), r.Filled.Fill.Fill, 18*0.05, 1e-8)
		if r.Floor.Used != 28 {
			t.Errorf("%v: %d shots, want 28, each common one once", names, r.Floor.Used)
		}
		for _, u := range r.Survey.Book.Setups {
			isWithin(t, u.Name+": height of instrument", u.HI, map[string]float64{"b.csv": 11.2, "c.csv": 11.8}[u.Name], 1e-9)
		}
	}
	// Without the one between nothing ties the third to the first.
	err := hinted(refused(t, filesOf("instrument-height = \"11.5m\"\n", "a.csv", "c.csv"), files))
	if !strings.Contains(err, "c.csv") || !strings.Contains(err, "another set-up has seen") {
		t.Errorf("%s", err)
	}
}

// Common shots carry the second file by their mean. By hand one of four that is 8 mm higher there
// lowers the line of sight by 2 mm, and stays 6 mm off, three times what a set-up may close by.
func TestCommonShotsThatDisagree(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"a.csv": part(11.5, nil, 0, 1, 2, 3), "walls.csv": walls(6, 3)}
	text := filesOf("instrument-height = \"11.5m\"\n", "a.csv", "b.csv")
	for _, off := range []float64{0.0026, 0.008} {
		files["b.csv"] = part(11.2, map[string]float64{"P31": off}, 3, 4, 5, 6)
		if off > 0.0027 { // three quarters of it are beyond 2 mm
			if err := hinted(refused(t, text, files)); !strings.Contains(err, "b.csv:3: level book: found P31 from set-up b.csv at 9.956 m, 6 mm higher than it is known at, want no more than 2 mm") || !strings.Contains(err, "accept-misclosure") {
				t.Errorf("%s", err)
			}
			text = with(text, "accept-misclosure = true\n")
		}
		r := solved(t, text, files)
		isWithin(t, "height of instrument", r.Survey.Book.Setups[0].HI, 11.2-off/4, 1e-9)
		// East of x = 3 m the floor is lower by that, halfway on the metre before it is common.
		isWithin(t, "deepest", r.Filled.Fill.Greatest, 0.05+off/4, 1e-8)
	}
}

// A name at two places is two shots, of which neither ties: the three others do.
func TestOneNameAtTwoPlaces(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"a.csv": part(11.5, nil, 0, 1, 2), "b.csv": part(11.2, nil, 2, 3, 4), "walls.csv": walls(4, 3)}
	text := strings.Replace(string(files["b.csv"].Data), "P21,2,1,1.2500", "P21,2,1.5,1.3500", 1)
	files["b.csv"] = &fstest.MapFile{Data: []byte(text)}
	r := solved(t, filesOf("instrument-height = \"11.5m\"\n", "a.csv", "b.csv"), files)
	isWithin(t, "height of instrument", r.Survey.Book.Setups[0].HI, 11.2, 1e-9)
	isWithin(t, "the second is 100 mm lower", r.Filled.Fill.Greatest, 0.15, 1e-8)
	if r.Floor.Used != 21 {
		t.Errorf("%d shots, want 21", r.Floor.Used)
	}
	tied := false
	for _, n := range r.Notes {
		tied = tied || strings.Contains(n.In(styleOf(r)), "tied by points seen from other set-ups as well: P20 no difference, P22 no difference, P23 no difference")
	}
	if !tied {
		t.Error("no word of the tie")
	}
}

// Elevations in several files need no tie; a shot in both at one elevation is one shot, and at
// two it is refused with what to choose.
func TestElevationsInSeveralFiles(t *testing.T) {
	t.Parallel()
	list := func(z float64, xs ...int) *fstest.MapFile {
		text := "point,x (m),y (m),z (m)\n"
		for _, x := range xs {
			for y := range 4 {
				text += fmt.Sprintf("P%d%d,%d,%d,%.4f\n", x, y, x, y, z)
			}
		}
		return &fstest.MapFile{Data: []byte(text)}
	}
	files := fstest.MapFS{"a.csv": list(9.95, 0, 1, 2), "b.csv": list(9.95, 2, 3, 4), "c.csv": list(9.93, 2, 3, 4), "walls.csv": walls(4, 3)}
	r := solved(t, filesOf("", "a.csv", "b.csv"), files)
	near(t, "fill", r.Filled.Fill.Fill, 12*0.05)
	if r.Floor.Used != 20 {
		t.Errorf("%d shots, want 20", r.Floor.Used)
	}
	err := hinted(refused(t, filesOf("", "a.csv", "c.csv"), files))
	for _, want := range []string{"c.csv:2: found elevation 9.9300 m", "a.csv:10 gives 9.9500 m (20.0 mm apart)", "survey] duplicates"} {
		if !strings.Contains(err, want) {
			t.Errorf("%s\nlacks %s", err, want)
		}
	}
	if err := refused(t, filesOf("", "a.csv", "a.csv"), files); !strings.Contains(err.Error(), "found the file twice, want each file once") {
		t.Error(err)
	}
	r = solved(t, filesOf("duplicates = \"last\"\n", "a.csv", "c.csv"), files)
	// 50 mm over the first metre, 70 over the last two, and 60 in between.
	near(t, "fill by the last", r.Filled.Fill.Fill, 3*(0.05+0.06+2*0.07))
}

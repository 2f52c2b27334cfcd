package job

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// held returns the result of the command read.
func held(t *testing.T, j *Job, files fs.FS) (*Holding, error) {
	t.Helper()
	return Hold(j, HoldOptions{}, files, func(name string) (io.ReadCloser, error) { return files.Open(name) }, nil)
}

// Contents of a list: its extent, the elevation range of its floor without doors and
// benchmarks, its codes with the number of shots of each.
func TestHold(t *testing.T) {
	t.Parallel()
	files := doors()
	files["floor.csv"] = &fstest.MapFile{Data: append(files["floor.csv"].Data, "BM1,9,9,11.5,BM\n"...)}
	h, err := held(t, &Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}}, files)
	if err != nil {
		t.Fatal(err)
	}
	lo, hi := h.FloorRange()
	near(t, "lowest", lo, 9.9)
	near(t, "highest", hi, 9.9)
	near(t, "from the west", h.Lo.X, -0.1)
	near(t, "to the east", h.Hi.X, 9)
	near(t, "from the south", h.Lo.Y, -0.1)
	near(t, "to the north", h.Hi.Y, 9)
	near(t, "highest of all", h.Hi.Z, 11.5)
	if h.Floor == nil || h.Why.String() != "" || !h.HasPlan || !h.HasZ || h.Outline {
		t.Errorf("%+v", h)
	}
	got := map[string]int{}
	for _, c := range h.Codes {
		got[c.Code] = c.N
	}
	if got[""] != 20 || got["FF"] != 4 || got["BM"] != 1 || h.Codes[0].N != 20 {
		t.Errorf("codes %+v, want 20 without, 4 FF and 1 BM", h.Codes)
	}
}

// A survey without a floor is read too, with the reason.
func TestHoldWithoutAFloor(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, text, why string }{
		{"outline", "x (m),y (m)\n0,0\n4,0\n4,3\n0,3\n", "an outline: no elevations"},
		{"two shots", "point,x (m),y (m),z (m)\n1,0,0,1\n2,1,0,1\n", "shots"},
		{"shots on one line", "point,x (m),y (m),z (m)\n1,0,0,1\n2,1,0,1\n3,2,0,1\n4,3,0,1\n", "line"},
	} {
		h, err := held(t, &Job{Survey: Survey{Files: []string{"a.csv"}}}, fstest.MapFS{"a.csv": {Data: []byte(c.text)}})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if h.Floor != nil || !strings.Contains(h.Why.String(), c.why) || (c.name == "outline") != h.Outline {
			t.Errorf("%s: %q, want %s", c.name, h.Why, c.why)
		}
	}
	h, err := held(t, &Job{Survey: Survey{Files: []string{"a.csv"}}}, fstest.MapFS{"a.csv": {Data: []byte("x (m),y (m)\n0,0\n4,0\n4,3\n0,3\n")}})
	if err != nil {
		t.Fatal(err)
	}
	if lo, hi := h.FloorRange(); !math.IsNaN(lo) || !math.IsNaN(hi) {
		t.Errorf("an outline from %g to %g", lo, hi)
	}
}

// The level book of the demo closes within 1/16 in (see its topic). A survey that is no
// level book is refused.
func TestOpenBook(t *testing.T) {
	t.Parallel()
	s, err := OpenBook(&Job{Survey: Survey{Files: []string{"survey.csv"}, Benchmarks: map[string]string{"BM1": "100ft"}}}, "", demo, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Book.Setups) != 2 {
		t.Fatalf("%d set-ups, want 2", len(s.Book.Setups))
	}
	// HI of the first set-up: 100 ft + 4'-2 5/8".
	near(t, "HI", s.Book.Setups[0].HI, 100*0.3048+(50+5.0/8)*0.0254)
	for _, c := range s.Book.Closures {
		isWithin(t, "closes", c.Observed-c.Known, 0, 0.0254/16+1e-9)
	}
	if _, err := OpenBook(&Job{Survey: Survey{Files: []string{"floor.csv"}}}, "", ramp, nil); err == nil || !strings.Contains(err.Error(), "no sights from set-ups") {
		t.Error(err)
	}
}

// A floor is opened with the lengths of its job: a bare number is in its only unit, and
// Stated writes it with that unit.
func TestOpenFloor(t *testing.T) {
	t.Parallel()
	s, given, err := OpenFloor(&Job{Survey: Survey{Files: []string{"floor.csv"}, Outline: "walls.csv"}}, ramp, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != 35 || len(s.Rings) != 1 || s.Unit != unit.Metre {
		t.Errorf("%d shots, %d rings, in %s", len(s.Points), len(s.Rings), s.Unit)
	}
	v, err := given.Parse("target", "9.93")
	if err != nil || v != 9.93 {
		t.Errorf("%g, %v", v, err)
	}
	if text, err := given.Stated("target", "9.93"); err != nil || text != "9.93m" {
		t.Errorf("%q, %v", text, err)
	}
	for show, imperial := range map[string]bool{"": false, "feet": true, "metric": false} {
		if StyleOf(s, show).Imperial != imperial {
			t.Errorf("show %q in feet: %v", show, !imperial)
		}
	}
}

// Missing files, and names that are no file, are refused at their key with the folder
// that was searched.
func TestLostFiles(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ was, is, want string }{
		{`["floor.csv"]`, `["flor.csv"]`, `job.toml:4:1: survey.files: found "flor.csv", want a file that is there; names are relative to the job's folder`},
		{`"walls.csv"`, `"wall.csv"`, `job.toml:5:1: survey.outline: found "wall.csv", want a file that is there`},
		{"[target]", "after = [\"new.csv\"]\n[target]", `job.toml:6:1: survey.after: found "new.csv", want a file that is there`},
		{`["floor.csv"]`, `["-"]`, "a pipe or a folder cannot serve"},
		{`["floor.csv"]`, `["."]`, "a pipe or a folder cannot serve"},
	} {
		err := refused(t, strings.Replace(rampJob, c.was, c.is, 1), ramp)
		if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v\nwant %s", err, c.want)
		}
	}
	if err := refused(t, strings.Replace(rampJob, `["floor.csv"]`, `["flor.csv"]`, 1), ramp); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%v is not fs.ErrNotExist", err)
	}
}

// A job in a folder names files relative to it; results name them as the job does.
func TestFilesAreFromTheFolderOfTheJob(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"site/floor.csv": ramp["floor.csv"], "site/walls.csv": ramp["walls.csv"]}
	j, err := Parse([]byte(rampJob), "site/job.toml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := Solve(t.Context(), j, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "fill", r.Filled.Fill.Fill, 1.44)
	if j.Path("floor.csv") != "site/floor.csv" || j.asNamed("site/floor.csv") != "floor.csv" || j.asNamed("elsewhere.csv") != "elsewhere.csv" || j.Name() != "site/job.toml" {
		t.Errorf("%s, %s", j.Path("floor.csv"), j.asNamed("site/floor.csv"))
	}
	if got := fmt.Sprint(j.Inputs()); got != "[site/job.toml site/floor.csv site/walls.csv]" {
		t.Errorf("inputs %s", got)
	}
	for _, n := range r.Notes {
		if strings.HasPrefix(n.Pos.File, "site/") {
			t.Errorf("a note is at %s, want it as the job names it", n.Pos)
		}
	}
}

// A grid sheet by hand: A1 at 0,0, letters to the east and numbers to the north 2 m
// apart, every crossing 50 mm low: 4 × 4 m at 50 mm.
func TestGridSheet(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"floor.csv": {Data: []byte(",A,B,C\n3,9.95,9.95,9.95\n2,9.95,9.95,9.95\n1,9.95,9.95,9.95\n")}, "walls.csv": walls(4, 4)}
	text := "units = \"m\"\n" + tenMetres
	r := solved(t, with(text, "grid-spacing = \"2m\"\ngrid-numbers = \"north\"\ngrid-values = \"elevation\"\n"), files)
	near(t, "fill", r.Filled.Fill.Fill, 16*0.05)
	// With another origin the walls are moved too.
	files["walls.csv"] = &fstest.MapFile{Data: []byte(outlineOf(rectangle(10, 20, 4, 4)))}
	r = solved(t, with(text, "grid-spacing = \"2m\"\ngrid-numbers = \"north\"\ngrid-values = \"elevation\"\ngrid-origins = { \"\" = \"10m,20m\" }\n"), files)
	near(t, "fill at another origin", r.Filled.Fill.Fill, 16*0.05)
	if err := hinted(refused(t, with(text, "grid-spacing = \"2m\"\ngrid-numbers = \"north\"\ngrid-values = \"elevation\"\n"), files)); !strings.Contains(err, "grid-origins") {
		t.Errorf("%s", err)
	}
}

// The role of a code in the job decides the use of its shots. By hand a machine base at
// 10.2 m is not floor.
func TestCodesOfTheJob(t *testing.T) {
	t.Parallel()
	files := ramp2("500,3.5,2.25,0.3,BASE\n")
	r := solved(t, with(rampJob, "codes = { BASE = \"control\" }\n"), files)
	near(t, "fill without the base", r.Filled.Fill.Fill, 1.44)
	if r = solved(t, rampJob, files); r.Filled.Fill.Fill >= 1.44-1e-3 {
		t.Errorf("%g m³ with the base as floor", r.Filled.Fill.Fill)
	}
	files = ramp2("500,3,-0.2,0.1,SILL\n")
	r = solved(t, with(rampJob, "codes = { SILL = \"finished\" }\n"), files)
	if len(r.Thresholds) != 1 || math.Abs(r.Thresholds[0].Room-0.1) > 1e-12 {
		t.Errorf("thresholds %+v, want one with 100 mm of room", r.Thresholds)
	}
	for _, c := range []struct{ keys, want string }{{"codes = { BASE = \"nothing\" }\n", "role"}, {"codes = { OTHER = \"control\" }\n", "no point of"}} {
		if err := hinted(refused(t, with(rampJob, c.keys), files)); !strings.Contains(strings.ToLower(err), c.want) {
			t.Errorf("%s%s", c.keys, err)
		}
	}
}

// ramp2 is the ramp with a column of codes and one more row.
func ramp2(row string) fstest.MapFS {
	text := strings.ReplaceAll(string(ramp["floor.csv"].Data), "\n", ",\n")
	text = strings.Replace(text, "z (m),", "z (m),code", 1)
	return fstest.MapFS{"floor.csv": {Data: []byte(text + row)}, "walls.csv": ramp["walls.csv"]}
}

// A surface with faces keeps them, and gets new triangles on request: the made file of
// the test data has 80 m² with a void and an island.
func TestSurfaceOfAFile(t *testing.T) {
	t.Parallel()
	made := os.DirFS("../../testdata/landxml/made")
	text := "date = 2026-11-25\n[survey]\nfiles = [\"void-and-island.xml\"]\n[target]\nelevation = \"10m\"\n"
	r := solved(t, text, made)
	near(t, "area", r.Filled.Fill.Area, 80)
	again := solved(t, with(text, "retriangulate = true\n"), made)
	near(t, "area of new triangles", again.Filled.Fill.Area, 80)
	if err := hinted(refused(t, with(text, "surface = \"none of them\"\n"), made)); !strings.Contains(err, "none of them") {
		t.Errorf("%s", err)
	}
	if err := hinted(refused(t, with(text, "duplicates = \"mean\"\n"), made)); !strings.Contains(err, "duplicates") {
		t.Errorf("%s", err)
	}
}

// A scan is thinned to one point for each square: 101 by 81 points every 50 mm, level,
// on squares of 500 mm give 10 by 8 points and the rows at the far walls.
func TestScanIsThinned(t *testing.T) {
	t.Parallel()
	files := floorOfShots(onGrid(5, 4, 0.05, flat(9.95)), outlineOf(rectangle(0, 0, 5, 4)))
	r := solved(t, with(tenMetres, "thin = \"500mm\"\n"), files)
	isWithin(t, "fill", r.Filled.Fill.Fill, 20*0.05, 1e-9)
	if n := r.Floor.Used; n < 80 || n > 99 {
		t.Errorf("%d points, want one for each of 80 squares, and those on the far walls", n)
	}
	whole := solved(t, tenMetres, files)
	if n := whole.Floor.Used; n != 101*81 {
		t.Errorf("%d points without thinning, want %d", n, 101*81)
	}
	// The lowest of each square: a pit of one point is kept; the mean of 100 points
	// loses it.
	shots := onGrid(5, 4, 0.05, func(x, y float64) float64 {
		if math.Abs(x-2.25) < 0.001 && math.Abs(y-2.25) < 0.001 {
			return 9.85
		}
		return 9.95
	})
	files = floorOfShots(shots, outlineOf(rectangle(0, 0, 5, 4)))
	for keep, deepest := range map[string]float64{"lowest": 0.15, "mean": 0.052} {
		r := solved(t, with(tenMetres, "thin = \"500mm\"\nthin-keep = \""+keep+"\"\n"), files)
		isWithin(t, keep, r.Filled.Fill.Greatest, deepest, 0.0011)
	}
}

// Settings without a use for the survey are refused by key.
func TestKeysThatMeanNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ keys, want string }{
		{"instrument-height = \"11m\"\n", "survey.instrument-height|is for rod readings; floor.csv has none"},
		{"benchmarks = { BM1 = \"10m\" }\n", "survey.benchmarks|is for a level book"},
		{"adjust = \"setups\"\n", "survey.adjust|is for a level book; floor.csv has none"},
		{"allow = \"2mm\"\n", "survey.allow|is for a level book"},
		{"accept-misclosure = true\n", "survey.accept-misclosure|is for a level book"},
		{"grid-spacing = \"2m\"\n", "survey.grid-spacing|is for a grid sheet"},
		{"sheet = \"Shots\"\n", "survey.sheet|is for a workbook (XLSX)"},
		{"outline-sheet = \"Walls\"\n", "survey.outline-sheet|is for an outline in a workbook (XLSX)"},
		{"surface = \"top\"\n", "survey.surface|is for a file with surfaces"},
		{"retriangulate = true\n", "survey.retriangulate|is for a surface with faces"},
		{"after-sheet = \"Shots\"\n", "survey.after-sheet"},
		{"duplicates = \"any\"\n", `found "any", want refuse, mean, first or last`},
		{"zeros = \"some\"\n", `found "some", want measured or missing`},
		{"max-size = \"big\"\n", "want a size such as 500MB or 2GB"},
		{"max-size = \"0.5KB\"\n", "more than 500"},
		{"thin-keep = \"lowest\"\n", "thin"},
	} {
		err := hinted(refused(t, with(rampJob, c.keys), ramp))
		for want := range strings.SplitSeq(c.want, "|") {
			if !strings.Contains(err, want) {
				t.Errorf("%s%s\nwant %s", c.keys, err, want)
			}
		}
	}
	if err := hinted(refused(t, "units = \"furlongs\"\n"+rampJob, ramp)); !strings.Contains(err, "want m, cm, mm, ft, ftUS or in") {
		t.Errorf("%s", err)
	}
	if err := hinted(refused(t, "show = \"cubits\"\n"+rampJob, ramp)); !strings.Contains(err, "want metric or feet") {
		t.Errorf("%s", err)
	}
}

// Elevations of one floor are within a kilometre, with a warning from 3 m, a storey
// (both own choice).
func TestReliefIsDoubted(t *testing.T) {
	t.Parallel()
	for rise, warned := range map[float64]bool{2.9: false, 3.1: true} {
		files := floorOfShots(onGrid(5, 4, 1, func(x, _ float64) float64 { return rise * x / 5 }), outlineOf(rectangle(0, 0, 5, 4)))
		r := solved(t, strings.Replace(rampJob, `"0m"`, `"4m"`, 1), files)
		got := false
		for _, n := range r.Notes {
			got = got || n.Kind == survey.Warning && strings.Contains(n.In(styleOf(r)), "is it one floor, and is the unit right?")
		}
		if got != warned {
			t.Errorf("%g m: warned %v", rise, got)
		}
	}
}

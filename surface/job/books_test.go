package job

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/survey"
)

// A book with columns BS, IS and FS gives the same floor as one with a row per sight: by
// hand HI 1 = 10.000 + 1.500, TP1 = 10.100, HI 2 = 11.350; the floor at 9.960 m.
func TestBookInColumns(t *testing.T) {
	t.Parallel()
	text := "point,x (m),y (m),BS (m),IS (m),FS (m)\nBM1,,,1.500,,\n"
	for x := range 3 {
		for y := range 4 {
			text += fmt.Sprintf("1%d%d,%d,%d,,1.540,\n", x, y, x, y)
		}
	}
	text += "TP1,,,1.250,,1.400\n"
	for x := 3; x < 5; x++ {
		for y := range 4 {
			text += fmt.Sprintf("2%d%d,%d,%d,,1.390,\n", x, y, x, y)
		}
	}
	text += "BM1,,,,,1.350\n"
	files := fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": walls(4, 3)}
	r := solved(t, with(rodJob, "benchmarks = { BM1 = \"10m\" }\n"), files)
	want := solved(t, with(rodJob, "benchmarks = { BM1 = \"10m\" }\n"), book(9.96, 1.35))
	isWithin(t, "fill", r.Filled.Fill.Fill, want.Filled.Fill.Fill, 1e-9)
	isWithin(t, "fill by hand", r.Filled.Fill.Fill, 12*0.04, 1e-8)
	if len(r.Survey.Book.Setups) != 2 {
		t.Errorf("%d set-ups", len(r.Survey.Book.Setups))
	}
}

// A benchmark in no row is refused, with the one that may be meant.
func TestBenchmarkThatIsNotThere(t *testing.T) {
	t.Parallel()
	err := hinted(refused(t, with(rodJob, "benchmarks = { BM2 = \"10m\" }\n"), book(9.96, 1.35)))
	if !strings.Contains(err, "set-up 1: found no benchmark with a known elevation") || !strings.Contains(err, "BM1") {
		t.Errorf("%s", err)
	}
	err = hinted(refused(t, with(rodJob, "benchmarks = { BM1 = \"10m\", BM2 = \"10m\" }\n"), book(9.96, 1.35)))
	for _, want := range []string{"BM2", "BM1", "did you mean"} {
		if !strings.Contains(err, want) {
			t.Errorf("%s\nlacks %s", err, want)
		}
	}
	// Names that differ only by case: the same benchmark.
	r := solved(t, with(rodJob, "benchmarks = { bm1 = \"10m\" }\n"), book(9.96, 1.35))
	isWithin(t, "fill", r.Filled.Fill.Fill, 12*0.04, 1e-8)
}

// An elevation that the file gives a benchmark is used. An elevation in the job comes
// before it, with a note if they differ.
func TestBenchmarkOfTheFile(t *testing.T) {
	t.Parallel()
	files := book(9.96, 1.35)
	text := strings.Replace(string(files["floor.csv"].Data), "rod (m)\n", "rod (m),elevation (m)\n", 1)
	rows := strings.Split(strings.TrimSpace(text), "\n")
	for i := range rows[1:] {
		rows[i+1] += ","
	}
	rows[1] += "10.000"
	files["floor.csv"] = &fstest.MapFile{Data: []byte(strings.Join(rows, "\n") + "\n")}
	r := solved(t, rodJob, files)
	isWithin(t, "fill", r.Filled.Fill.Fill, 12*0.04, 1e-8)
	if r.Survey.Relative {
		t.Error("relative")
	}
}

// Set-ups without a tie are refused by name: the second has neither a backsight nor a
// point seen from the first.
func TestSetupsThatNothingTies(t *testing.T) {
	t.Parallel()
	files := book(9.96, 1.35)
	text := string(files["floor.csv"].Data)
	text = strings.Replace(text, "2,BS,TP1,,,1.2500\n", "", 1)
	text = text[:strings.LastIndex(text, "2,FS,")]
	files["floor.csv"] = &fstest.MapFile{Data: []byte(text)}
	err := hinted(refused(t, with(rodJob, "benchmarks = { BM1 = \"10m\" }\n"), files))
	if !strings.Contains(err, "set-up 2") || !strings.Contains(err, "floor.csv:") {
		t.Errorf("%s", err)
	}
}

// A book that does not return to a benchmark has no closure: instrument movement cannot
// be ruled out. One that returns has a closure, here 3 mm.
func TestBookThatDoesNotClose(t *testing.T) {
	t.Parallel()
	text := with(rodJob, "benchmarks = { BM1 = \"10m\" }\n")
	closed := solved(t, text, book(9.96, 1.353)).Survey.Book.Closures
	if len(closed) != 1 {
		t.Fatalf("%+v, want one closure", closed)
	}
	isWithin(t, "closes", closed[0].Observed-closed[0].Known, -0.003, 1e-9)
	files := book(9.96, 1.35)
	rows := string(files["floor.csv"].Data)
	files["floor.csv"] = &fstest.MapFile{Data: []byte(rows[:strings.LastIndex(rows, "2,FS,")])}
	r := solved(t, text, files)
	if len(r.Survey.Book.Closures) != 0 {
		t.Errorf("%+v, want none", r.Survey.Book.Closures)
	}
	isWithin(t, "fill", r.Filled.Fill.Fill, 12*0.04, 1e-8)
}

// Rows are counted: in the demo, rows read equal rows used plus rows left out.
func TestRowsAreAccountedFor(t *testing.T) {
	t.Parallel()
	r := demoHall(t)
	if r.Floor.Used != 88 {
		t.Errorf("%d shots used, want the 88 of the README", r.Floor.Used)
	}
	if len(r.Survey.Finished) != 6 {
		t.Errorf("%d thresholds, want 6", len(r.Survey.Finished))
	}
	kinds := map[survey.NoteKind]int{}
	for _, n := range r.Notes {
		kinds[n.Kind]++
	}
	for _, k := range []survey.NoteKind{survey.Warning, survey.Assumed, survey.Caution} {
		if kinds[k] == 0 {
			t.Errorf("no note of kind %v", k)
		}
	}
}

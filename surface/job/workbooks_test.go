package job

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/xuri/excelize/v2"
)

// sheet is one of a workbook, row by row.
type sheet struct {
	name string
	rows [][]any
}

// workbook writes sheets into one workbook (XLSX).
func workbook(t *testing.T, sheets ...sheet) *fstest.MapFile {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	check := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	check(f.SetSheetName("Sheet1", sheets[0].name))
	for _, s := range sheets {
		_, err := f.NewSheet(s.name)
		check(err)
		for i, row := range s.rows {
			at, err := excelize.CoordinatesToCellName(1, i+1)
			check(err)
			check(f.SetSheetRow(s.name, at, &row))
		}
	}
	var b bytes.Buffer
	_, err := f.WriteTo(&b)
	check(err)
	return &fstest.MapFile{Data: b.Bytes()}
}

// shotsAt is a sheet of shots every metre on 4 by 3 m, level at z m.
func shotsAt(name string, z float64) sheet {
	rows := [][]any{{"point", "x (m)", "y (m)", "z (m)"}}
	for x := range 5 {
		for y := range 4 {
			rows = append(rows, []any{100 + 4*x + y, x, y, z})
		}
	}
	return sheet{name, rows}
}

// wallsOf is a sheet with the outline of a room of w by h m.
func wallsOf(name string, w, h float64) sheet {
	return sheet{name, [][]any{{"part", "ring", "x (m)", "y (m)"}, {"room", "outer", 0, 0}, {"room", "outer", w, 0}, {"room", "outer", w, h}, {"room", "outer", 0, h}}}
}

// inBook is a job of which all is in one workbook, with more keys of the survey.
func inBook(keys string) string {
	return strings.Replace(with(tenMetres, keys), `files = ["floor.csv"]
outline = "walls.csv"`, `files = ["floor.xlsx"]`, 1)
}

// Shots before and after the pour and the outline, each a sheet of one workbook. By hand 12 m² at
// 50 mm before, and 2 mm above the target after: 12 × 52 mm placed.
func TestOneWorkbookForAll(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{"floor.xlsx": workbook(t, shotsAt("Before", 9.95), shotsAt("After", 10.002), wallsOf("Walls", 4, 3))}
	keys := "sheet = \"Before\"\nafter = [\"floor.xlsx\"]\nafter-sheet = \"After\"\noutline = \"floor.xlsx\"\noutline-sheet = \"Walls\"\n"
	r := solved(t, inBook(keys), files)
	near(t, "fill", r.Filled.Fill.Fill, 12*0.05)
	near(t, "walls", r.Floor.Perimeter, 14)
	near(t, "placed", r.Judged.Placed.Net, 12*0.052)
	near(t, "above the target", r.Judged.Off.Mean, 0.002)
	// The same sheet is the same survey.
	if err := hinted(refused(t, inBook(strings.Replace(keys, `"After"`, `"Before"`, 1)), files)); !strings.Contains(err, "the survey after the pour is the same as before") {
		t.Errorf("%s", err)
	}
}

// A sheet is read as a list is: the job in a workbook and in text is one floor, to the last bit.
func TestWorkbookIsAsText(t *testing.T) {
	t.Parallel()
	rows := [][]any{{"point", "x (m)", "y (m)", "z (m)"}}
	for _, p := range roughShots(3, 25) {
		rows = append(rows, []any{len(rows), p[0], p[1], math.Round(p[2]*1e12) / 1e12}) // as [floorOfShots] writes it
	}
	book := fstest.MapFS{"floor.xlsx": workbook(t, sheet{"Shots", rows}), "walls.xlsx": workbook(t, wallsOf("Walls", 5, 4))}
	got := solved(t, strings.Replace(inBook("outline = \"walls.xlsx\"\n"), `"10m"`, `"0m"`, 1), book).Filled.Fill
	want := solved(t, rampJob, floorOfShots(roughShots(3, 25), fiveByFour)).Filled.Fill
	if got.Fill != want.Fill || got.Area != want.Area || got.Least != want.Least || got.Greatest != want.Greatest || got.Triangles != want.Triangles {
		t.Errorf("in a workbook %+v\nwant as in text %+v", got, want)
	}
}

// A survey after the pour without a sheet of its own is read from the one that the job names, and
// one sheet needs no name.
func TestSheetsWithoutANameOfTheirOwn(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{
		"floor.xlsx": workbook(t, shotsAt("Shots", 9.95), shotsAt("Old", 9.5)),
		"after.xlsx": workbook(t, shotsAt("Old", 9.5), shotsAt("Shots", 10.001)),
		"one.xlsx":   workbook(t, shotsAt("Any", 9.96)),
		"walls.csv":  walls(4, 3),
	}
	r := solved(t, inBook("sheet = \"Shots\"\nafter = [\"after.xlsx\"]\noutline = \"walls.csv\"\n"), files)
	near(t, "placed", r.Judged.Placed.Net, 12*0.051)
	r = solved(t, strings.Replace(inBook("outline = \"walls.csv\"\n"), "floor.xlsx", "one.xlsx", 1), files)
	near(t, "fill of the one sheet", r.Filled.Fill.Fill, 12*0.04)
}

// What may be one sheet or another is asked for, and a sheet that is not there is refused, each
// by its key and with the sheets there are.
func TestSheetsThatMeanNothing(t *testing.T) {
	t.Parallel()
	two := fstest.MapFS{"floor.xlsx": workbook(t, shotsAt("East", 9.95), shotsAt("West", 9.5)), "walls.csv": walls(4, 3),
		"walls.xlsx": workbook(t, wallsOf("Ground", 4, 3), wallsOf("Upper", 5, 3))}
	for _, c := range []struct{ keys, want string }{
		{"outline = \"walls.csv\"\n", "floor.xlsx|East|West|[survey] sheet = "},
		{"sheet = \"North\"\noutline = \"walls.csv\"\n", "North|East|West"},
		{"sheet = \"East\"\noutline = \"walls.xlsx\"\n", "walls.xlsx|Ground|Upper|outline-sheet"},
		{"sheet = \"East\"\noutline = \"walls.xlsx\"\noutline-sheet = \"Roof\"\n", "Roof|Ground|Upper"},
		{"sheet = \"East\"\noutline = \"walls.csv\"\noutline-sheet = \"Ground\"\n", "survey.outline-sheet|is for an outline in a workbook (XLSX)"},
		{"sheet = \"East\"\noutline = \"walls.csv\"\nafter = [\"floor.xlsx\"]\nafter-sheet = \"North\"\n", "North|East|West"},
		{"sheet = \"East\"\noutline = \"walls.csv\"\nafter-sheet = \"West\"\n", "survey.after-sheet"},
	} {
		err := hinted(refused(t, inBook(c.keys), two))
		for want := range strings.SplitSeq(c.want, "|") {
			if !strings.Contains(err, want) {
				t.Errorf("%s%s\nlacks %s", c.keys, err, want)
			}
		}
	}
}

// A cell that is no number is refused at its sheet and cell; one in feet and inches is read.
func TestCellsOfAWorkbook(t *testing.T) {
	t.Parallel()
	feet := sheet{"Shots", [][]any{{"point", "x (ft)", "y (ft)", "z (ft-in)"}}}
	for i, p := range rectangle(0, 0, 20, 15) {
		feet.rows = append(feet.rows, []any{i + 1, p[0], p[1], `99'-8 1/2"`})
	}
	files := fstest.MapFS{"floor.xlsx": workbook(t, feet)}
	r := solved(t, strings.Replace(inBook(""), `"10m"`, `"100ft"`, 1), files)
	// 300 ft² × 3 1/2 in.
	isWithin(t, "fill, ft³", r.Filled.Fill.Fill/(foot*foot*foot), 300*3.5/12, 1e-8)
	feet.rows[3][3] = "wet"
	files["floor.xlsx"] = workbook(t, feet)
	if err := hinted(refused(t, strings.Replace(inBook(""), `"10m"`, `"100ft"`, 1), files)); !strings.Contains(err, `floor.xlsx:Shots!D4`) || !strings.Contains(err, "wet") {
		t.Errorf("%s", err)
	}
}

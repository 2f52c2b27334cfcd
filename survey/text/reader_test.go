package text

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

const samples = "../../testdata/csv"

// at is a point of a sample file: name, x, y, z in metres.
type at struct {
	name    string
	x, y, z float64
}

// points returns the points of a short list.
func points(list []at) []survey.Point {
	var out []survey.Point
	for _, p := range list {
		out = append(out, survey.Point{X: p.x, Y: p.y, Z: p.z}.Named(p.name))
	}
	return out
}

// read reads text as the file f.csv.
func read(t *testing.T, text string, o survey.Options) (*survey.Survey, error) {
	t.Helper()
	return Read(strings.NewReader(text), "f.csv", o)
}

// readFile reads a text file.
func readFile(t *testing.T, name string, o survey.Options) (*survey.Survey, error) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return readText(b, name, o, false)
}

func TestLinesAreThoseOfTheFile(t *testing.T) {
	// Comments, blank lines, rules, CR LF and a quoted line end all count.
	text := "# one\r\n\r\nP,E,N,Z,Note\r\n-----,---,---,---,---\r\n1,0,0,1.0,\"two\r\nlines\"\r\n\r\n2,1,0,1.1,\r\n# more\r\n3,2,0,bad,\r\n"
	_, err := read(t, text, survey.Options{Unit: unit.Metre})
	var e *survey.Error
	if !errors.As(err, &e) || e.Pos != (survey.Pos{File: "f.csv", Line: 10, Col: 7}) {
		t.Errorf("error %v, want it at f.csv:10:7", err)
	}
	s, err := read(t, strings.Replace(text, "bad", "1.2", 1), survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []int{5, 8, 10} {
		if got := s.Points[i].At().Line; got != want {
			t.Errorf("point %d is on line %d, want %d", i, got, want)
		}
	}
}

// Each text is refused with an error that gives the place and the fault.
func TestRefusals(t *testing.T) {
	m := survey.Options{Unit: unit.Metre}
	for _, c := range []struct {
		name, text string
		o          survey.Options
		want, hint string
	}{
		{"empty", "", m, "f.csv: found an empty file", ""},
		{"blank", " \n\n\t\n", m, "found an empty file", ""},
		{"comments only", "# nothing\n", m, "found comments only", ""},
		{"binary", "P,E,N,Z\n1,0,0,\x00\n", m, "byte 00, want delimited text", "save it as delimited text"},
		{"header only", "P,E,N,Z\n", m, "f.csv:1: found a header without rows", ""},
		{"no elevation", "P,E,N,Code\n1,0,0,SL\n", m, `found columns "P", "E", "N", "Code", want a column of elevations or rod readings`, ""},
		{"design level only", "P,E,N,Target\n1,0,0,10\n", m, `column 4 "Target" is a level to reach`, ""},
		{"no plan", "P,Elevation\n1,10\n", m, "want plan columns", ""},
		{"two elevations", "P,E,N,Z,Level\n1,0,0,1,2\n", m, `column 4 "Z" and column 5 "Level": one column of elevations`, "rename"},
		{"two eastings", "P,E,X,N,Z\n1,0,0,1,2\n", m, `column 2 "E" and column 3 "X": one column of eastings`, "rename"},
		{"two rods", "P,E,N,Rod,Reading\n1,0,0,1,2\n", m, `column 4 "Rod" and column 5 "Reading"`, "rename"},
		{"short row", "P,E,N,Z\n1,0,0,1\n2,1\n", m, `f.csv:3: column 3 "N": found a row that ends before it, want 4 fields`, ""},
		{"long row", "P,E,N,Z\n1,0,0,1\n2,1,0,1,a,b\n", m, `f.csv:3: found "a" past the last column, want 4 fields`, "quotes"},
		{"slid row", "P,E,N,Z,Note\n1,0,0,1,a\n2,1,0,1,512,a\n", m, `f.csv:3: found "a" past the last column, want 5 fields`, "quotes"},
		{"slid row before a column without a known head", "P,E,N,Z,Weather\n1,0,0,1,a\n2,1,5,0,1.512,a\n", m, `f.csv:3: found "a" past the last column, want 5 fields`, "quotes"},
		{"letter for digit", "P,E,N,Z\n1,0,0,O.125\n", m, `f.csv:2:7: column 4 "Z": found "O.125", want a length such as`, ""},
		{"bare cell among units", "P,E,N,Z\n1,0m,0m,990mm\n2,1m,0m,991\n", survey.Options{}, `f.csv:3:9: column 4 "Z": found "991", want a length with its unit, as in other cells`, "--units m"},
		{"mixed decimal signs", "P;E;N;Z\n1;0,0;0,0;9,99\n2;1,0;0,0;9.98\n", m, `f.csv:3:11: column 4 "Z": found "9.98", want a number with a decimal comma`, ""},
		{"comma among points", "P;E;N;Z\n1;0.0;0.0;9.99\n2;1.0;0.0;9,98\n", m, `want a number with a decimal point`, ""},
		{"thousands or decimals", "P,E,N,Z\n1,\"1,204\",\"2,204\",\"1,100\"\n", m, `f.csv:2: found "1,204", want numbers that show`, "decimal points"},
		{"5-3-6 without a word", "P,E,N,rod_ft_in\n1,0,0,5-3-6\n", m, "eighths or sixteenths", ""},
		{"bare number in feet-inches", "P,E,N,rod_ft_in\n1,0,0,4-5 3/8\n2,0,1,4.32\n3,0,2,52.4\n", m, `f.csv:3:7: column 4 "rod_ft_in": found "4.32", want feet-inches such as 4-5 3/8`, ""},
		{"deviation without a sign", "P,E,N,Diff\n1,0,0,3\n", m, "above or below the target", ""},
		{"deviation with a wrong word", "P,E,N,Diff,H/L\n1,0,0,3,Q\n", m, `column 5 "H/L": found "Q", want H or L`, ""},
		{"rods and elevations without HI", "P,E,N,Z,Rod\n1,0,0,10.0,\n2,1,0,,1.5\n", m, "rod readings without a height of instrument beside elevations", "--instrument-height"},
		{"order of nonsense", "1 2 3\n4 5 6\n", survey.Options{Unit: unit.Metre, Order: "QQZ"}, `order: found "QQZ"`, "--order PNEZD"},
		{"order without heights", "1 2 3\n4 5 6\n", survey.Options{Unit: unit.Metre, Order: "PNE"}, "want a column of elevations", ""},
		{"open quote", "P,E,N,Z,Note\n1,0,0,1,\"open\n2,1,0,1,\n", m, "f.csv:2: found a quotation mark that is not closed", ""},
		{"nothing but missing", "P,E,N,Z\n1,0,0,-\n2,1,0,x\n", m, "2 rows and none with a position and an elevation", ""},
		{"units contradict", "P,x_ft,y_ft,z_ft\n1,0,0,1\n", m, "columns in ft, want lengths in m", "leave --units out"},
		{"no unit", "P,E,N,Z\n1,0,0,1.5\n", survey.Options{}, `column 4 "Z": found "1.5", want a unit`, "--units m"},
		{"XML", "<?xml version=\"1.0\"?>\n<x/>", m, "found XML", "LandXML"},
		{"PDF", "%PDF-1.7\n", m, "found a PDF", "delimited text"},
		{"old spreadsheet", "\xd0\xcf\x11\xe0\xa1\xb1", m, "found an old spreadsheet", "delimited text"},
		{"scan", "LASF\x00\x00", m, "found a LAS scan, want delimited text", "x y z text"},
		{"drawing exchange", "  0\nSECTION\n  2\nENTITIES\n", m, "found a drawing exchange file", "delimited text"},
		{"two corners", "P,E,N,Z,Code\n1,0,0,1,OUT\n2,1,0,1,OUT\n3,1,1,1,SL\n", m, "f.csv:2: ring: found 2 points, want at least 3", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := read(t, c.text, c.o)
			check.Errors(t, err, []string{c.want})
			if hints := strings.Join(survey.Hints(err), "\n"); !strings.Contains(hints, c.hint) {
				t.Errorf("hints %q, want %q", hints, c.hint)
			}
		})
	}
}

func TestErrorsStopAtTwenty(t *testing.T) {
	var b strings.Builder
	b.WriteString("P,E,N,Z\n")
	for i := range 50 {
		fmt.Fprintf(&b, "%d,0,0,bad\n", i)
	}
	_, err := read(t, b.String(), survey.Options{Unit: unit.Metre})
	if n := strings.Count(err.Error(), "found \"bad\""); n != mostErrors {
		t.Errorf("%d errors, want %d", n, mostErrors)
	}
}

func TestHeadsSayWhatAColumnIs(t *testing.T) {
	for _, c := range []struct {
		head string
		role role
		unit string
	}{
		{"Point", isName, ""}, {" Pt No. ", isName, ""}, {"Pt#", isName, ""}, {"点名", isName, ""}, {"x", isX, ""}, {"X (North)", isY, ""}, {"Y [East]", isX, ""},
		{"Easting (m)", isX, "m"}, {"NORTHING (m)", isY, "m"}, {"R.L. (m)", isZ, "m"}, {"z (mm)", isZ, "mm"}, {"Elev. (ft)", isZ, "ft"}, {"elev_ft", isZ, "ft"},
		{"x_m", isX, "m"}, {"rod_ft_in", isRod, "ft-in"}, {"Rod (ft-in)", isRod, "ft-in"}, {"Rod feet-inches", isRod, "ft-in"}, {"Rod (ft-in-8ths)", isRod, "ft-in/8"},
		{"rod ft-in 1/16", isRod, "ft-in/16"}, {"Rod (US ft)", isRod, "ftUS"}, {"level in", isZ, "in"}, {"Height in mm", isZ, "mm"}, {"Diff mm", isDiff, "mm"},
		{"Z target", isDesign, ""}, {"Elevation design", isDesign, ""}, {"Target", isDesign, ""}, {"Existing", isZ, ""}, {"as-found level", isZ, ""}, {"Grade rod", isGrade, ""},
		{"Height of instrument", isHI, ""}, {"H/L", isSign, ""}, {"Höhe", isZ, ""}, {"標高", isZ, ""}, {"Remark", isRemark, ""}, {"Layer", isCode, ""}, {"Intensity", isIgnored, ""},
		{"Weather", "", ""}, {"", "", ""},
	} {
		col := readHead(0, c.head)
		u := col.unit.String()
		if col.feetInches {
			u = "ft-in"
		}
		if col.last > 0 {
			u += fmt.Sprintf("/%d", col.last)
		}
		if col.role != c.role || u != c.unit {
			t.Errorf("%q is %q in %q, want %q in %q", c.head, col.role, u, c.role, c.unit)
		}
	}
}

// If a word named two roles, the columns would depend on the order of a map.
func TestHeadWordsNameOneRole(t *testing.T) {
	src, err := os.ReadFile("header.go")
	if err != nil {
		t.Fatal(err)
	}
	_, list, _ := strings.Cut(string(src), "range map[role]string{")
	list, _, _ = strings.Cut(list, "\n\t} {")
	seen := map[string]bool{}
	words := 0
	for _, m := range regexp.MustCompile(`is[A-Za-z]+:\s+"([^"]+)"`).FindAllStringSubmatch(list, -1) {
		for w := range strings.SplitSeq(m[1], "|") {
			words++
			if seen[w] {
				t.Errorf("%q names two roles", w)
			}
			seen[w] = true
		}
	}
	if words < 150 {
		t.Errorf("%d words found in header.go: the test no longer reads them", words)
	}
}

func TestCodesSortPoints(t *testing.T) {
	s, err := read(t, `id,x,y,z,code
1,0,0,,OUT
2,4,0,,out
3,4,4,1.5,Out
4,0,4,,OUT
5,0,0,,OUT
6,1,1,,VOID column 1
7,2,1,,VOID column 1
8,2,2,,VOID column 1
9,0,2,1.40,BRK-joint
10,4,2,1.41,BRK-joint
11,3,1,1.48,SL
12,3,3,1.49,DR
13,0,1,1.52,SILL
14,9,9,1.60,BM 2
15,3,2,,SL
16,1,3,1.47,VOIDED
17,1,3.5,1.47,MH
`, survey.Options{Unit: unit.Metre, Codes: map[string]survey.Role{"MH": survey.Control}})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"11", 3, 1, 1.48}, {"12", 3, 3, 1.49}, {"16", 1, 3, 1.47}}))
	check.Points(t, s.Finished, points([]at{{"13", 0, 1, 1.52}}))
	check.Points(t, s.Control, points([]at{{"14", 9, 9, 1.60}, {"17", 1, 3.5, 1.47}}))
	nan := math.NaN()
	if len(s.Rings) != 2 || len(s.Breaklines) != 1 {
		t.Fatalf("%d rings and %d lines, want 2 and 1", len(s.Rings), len(s.Breaklines))
	}
	// The first corner, repeated at the end, is dropped.
	check.Points(t, s.Rings[0].Points, points([]at{{"1", 0, 0, nan}, {"2", 4, 0, nan}, {"3", 4, 4, 1.5}, {"4", 0, 4, nan}}))
	check.Points(t, s.Rings[1].Points, points([]at{{"6", 1, 1, nan}, {"7", 2, 1, nan}, {"8", 2, 2, nan}}))
	check.Points(t, s.Breaklines[0].Points, points([]at{{"9", 0, 2, 1.40}, {"10", 4, 2, 1.41}}))
	if s.Rings[0].Kind != survey.Outer || s.Rings[1].Kind != survey.Hole || s.Rings[1].Name != "column 1" || s.Breaklines[0].Name != "joint" {
		t.Errorf("rings %v and %v %q, line %q", s.Rings[0].Kind, s.Rings[1].Kind, s.Rings[1].Name, s.Breaklines[0].Name)
	}
	check.Notes(t, s.Notes, []string{"left out: 15: no elevation"})
}

func TestRunsOfOneCodeAreOneLine(t *testing.T) {
	s, err := read(t, "x,y,z,code\n0,0,1,BL\n1,0,1,BL\n5,5,1,SL\n0,2,1,BL\n1,2,1,BL\n1,3,1,BL\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Breaklines) != 2 || len(s.Breaklines[0].Points) != 2 || len(s.Breaklines[1].Points) != 3 {
		t.Errorf("lines %v, want one of 2 points and one of 3", s.Breaklines)
	}
}

func TestRemarksAreProseUnlessACodeWordFillsThem(t *testing.T) {
	s, err := read(t, "P,E,N,Z,Remark\n1,0,0,1,void near drain\n2,1,0,1.1,hole\n3,2,0,1.2,BM\n4,3,0,1.3,SL\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"1", 0, 0, 1}, {"2", 1, 0, 1.1}, {"4", 3, 0, 1.3}}))
	check.Points(t, s.Control, points([]at{{"3", 2, 0, 1.2}}))
}

func TestHeightOfInstrument(t *testing.T) {
	m := survey.Options{Unit: unit.Metre}
	for _, c := range []struct {
		name, text string
		o          survey.Options
		z          []float64
		relative   bool
		note       string
	}{
		{"line before the header", "HI,11.5\nP,E,N,Rod\n1,0,0,1.5\n2,1,0,1.6\n", m, []float64{10, 9.9}, false, "height of instrument 11.500 m"},
		{"comment with a unit", "# Height of instrument: 11500 mm\nP,E,N,Rod\n1,0,0,1.5\n", m, []float64{10}, false, ""},
		{"column", "P,E,N,Rod,HI\n1,0,0,1.5,11.5\n2,1,0,1.6,\n3,2,0,1.6,11.7\n", m, []float64{10, 9.9, 10.1}, false, ""},
		{"row of its own", "P,E,N,Rod\n1,0,0,1.5\nHI,,,11.5\n2,1,0,1.6\n", m, []float64{10, 9.9}, false, ""},
		{"benchmark without a place", "P,E,N,Rod,Elev\n1,0,0,1.5,\nBM,,,1.2,10.3\n", m, []float64{10}, false, "height of instrument 11.500 m"},
		{"two benchmarks that differ", "P,E,N,Rod,Elev\nBM1,0,0,1.5,10\nBM2,1,0,1.5,10.003\n1,2,0,1.6,\n", m, []float64{10, 10.003, 9.9}, false, "3 mm apart; the first is used"},
		{"option", "P,E,N,FS\n1,0,0,1.5\n", survey.Options{Unit: unit.Metre, Instrument: 2, HasInstrument: true}, []float64{0.5}, false, ""},
		{"none", "P,E,N,FS\n1,0,0,1.5\n", m, []float64{-1.5}, true, "elevations are relative"},
		{"order with rods", "1 0 0 1.5\n2 1 0 1.6\n", survey.Options{Unit: unit.Metre, Order: "PENR"}, []float64{-1.5, -1.6}, true, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.text, c.o)
			if err != nil {
				t.Fatal(err)
			}
			var z []float64
			for _, p := range s.Points {
				z = append(z, p.Z)
			}
			if len(z) != len(c.z) || s.Relative != c.relative {
				t.Fatalf("elevations %v relative %v, want %v %v", z, s.Relative, c.z, c.relative)
			}
			for i := range z {
				if !check.Nearly(z[i], c.z[i]) {
					t.Errorf("elevations %v, want %v", z, c.z)
				}
			}
			check.Notes(t, s.Notes, []string{c.note})
		})
	}
}

func TestMarkersCountOnlyFarFromTheRest(t *testing.T) {
	// 9999 mm is a level if the floor is at 9,990 mm. 0 is one if the floor is near 0.
	s, err := read(t, "P,E,N,Z\n1,0,0,9990\n2,1000,0,9999\n3,0,1000,9994\n", survey.Options{Unit: unit.Millimetre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != 3 {
		t.Errorf("%d points, want 3", len(s.Points))
	}
	s, err = read(t, "P,E,N,Z\n1,0,0,-0.003\n2,1,0,0\n3,0,1,0.004\n4,1,1,-0.002\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != 4 {
		t.Errorf("%d points, want 4", len(s.Points))
	}
}

// Each text has the same two points with another separator.
func TestSeparators(t *testing.T) {
	for _, text := range []string{
		"0,00 1,50 9,981\n2,50 0,00 9,979\n",
		"0.00 1.50 9.981\n2.50 0.00 9.979\n",
		"  0.00\t1.50  9.981\n  2.50 0.00\t9.979\n",
		"0,00;1,50;9,981\n2,50;0,00;9,979\n",
		"0.00\t1.50\t9.981\n2.50\t0.00\t9.979\n",
		"0.00|1.50|9.981\n2.50|0.00|9.979\n",
		"0.00, 1.50, 9.981\n2.50, 0.00, 9.979\n",
		"sep=,\n0.00,1.50,9.981\n2.50,0.00,9.979\n",
	} {
		s, err := read(t, text, survey.Options{Unit: unit.Metre, Order: "XYZ"})
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		check.Points(t, s.Points, points([]at{{"", 0, 1.5, 9.981}, {"", 2.5, 0, 9.979}}))
	}
}

func TestCountLineIsChecked(t *testing.T) {
	s, err := read(t, "5\n0 0 1.1\n1 0 1.2\n2 0 1.3\n", survey.Options{Unit: unit.Metre, Order: "XYZ"})
	if err != nil {
		t.Fatal(err)
	}
	check.Notes(t, s.Notes, []string{"warning: the first line promises 5 points, 3 follow"})
	s, err = read(t, "3\n0 0 1.1\n1 0 1.2\nafter lunch\n2 0 1.3\n", survey.Options{Unit: unit.Metre, Order: "XYZ"})
	if err != nil {
		t.Fatal(err)
	}
	check.Notes(t, s.Notes, []string{`left out: "after lunch": a remark, no shot`})
}

func TestColumnDirections(t *testing.T) {
	for _, c := range []struct {
		head, order string
		x, y        float64
	}{
		{"P,X,Y,Z", "", 1, 2},
		{"P,X,Y,Z", "PNEZ", 2, 1},
		{"P,X,Y,Z", "PENZ", 1, 2},
		{"P,Northing,Y,Z", "", 2, 1},
		{"P,N,E,Z", "PENZ", 2, 1}, // words take precedence over the order
	} {
		s, err := read(t, c.head+"\n1,1,2,3\n", survey.Options{Unit: unit.Metre, Order: c.order})
		if err != nil {
			t.Errorf("%s %s: %v", c.head, c.order, err)
			continue
		}
		check.Points(t, s.Points, points([]at{{"1", c.x, c.y, 3}}))
	}
}

func TestProgressEndsAtTheEnd(t *testing.T) {
	var done, total int64
	_, err := read(t, "P,E,N,Z\n1,0,0,1\n2,1,0,1.1\n", survey.Options{Unit: unit.Metre, Progress: func(d, n int64) {
		if d < done {
			t.Errorf("goes back from %d to %d", done, d)
		}
		done, total = d, n
	}})
	if err != nil || done != total || total == 0 {
		t.Errorf("ends at %d of %d, %v", done, total, err)
	}
}

// Chunks are decoded separately. No row is divided, whatever its quotes hold, and the
// rows come out in the order and on the lines of the file.
func TestLargeFilesAreCutBetweenRows(t *testing.T) {
	const rows = 40_000
	var b strings.Builder
	b.WriteString("P,E,N,Z,Note\n")
	line := 1
	var lines []int
	for i := range rows {
		line++
		lines = append(lines, line)
		note := "slab, level 1"
		if i%7 == 0 {
			note = "two\nlines, \"\"quoted\"\""
			line++
		}
		if i%1000 == 0 {
			b.WriteString("# a comment with a \" in it\n")
			line++
			lines[i]++
		}
		fmt.Fprintf(&b, "%d,%d,%d,%d.5,\"%s\"\n", i, i%200, i/200, 1+i%3, note)
	}
	if b.Len() < 2*chunkSize {
		t.Fatalf("%d bytes are fewer than two chunks", b.Len())
	}
	s, err := read(t, b.String(), survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != rows {
		t.Fatalf("%d points, want %d", len(s.Points), rows)
	}
	for i, p := range s.Points {
		if p.Name() != fmt.Sprint(i) || p.At().Line != lines[i] || p.Z != float64(1+i%3)+0.5 {
			t.Fatalf("point %d is %+v, want it on line %d", i, p, lines[i])
		}
	}
	b.WriteString("last,1,2,none of it,\n")
	_, err = read(t, b.String(), survey.Options{Unit: unit.Metre})
	var e *survey.Error
	if !errors.As(err, &e) || e.Pos != (survey.Pos{File: "f.csv", Line: line + 1, Col: 10}) {
		t.Errorf("error %v, want it at f.csv:%d:10", err, line+1)
	}
}

// The sign of a deviation may be a word in its own cell (common practice, no
// source).
func TestDeviationsByWord(t *testing.T) {
	s, err := read(t, "Pt,E,N,Diff in\n1,0,0,hi 1/4\n2,12,0,3/8 lo\n3,24,0,✓\n4,0,12,high 1 1/8\n5,12,12,1/2 + low\n6,24,12,0\n", survey.Options{Unit: unit.Inch})
	if err != nil {
		t.Fatal(err)
	}
	const in = 0.0254
	check.Points(t, s.Points, points([]at{{"1", 0, 0, in / 4}, {"2", 12 * in, 0, -3 * in / 8}, {"3", 24 * in, 0, 0}, {"4", 0, 12 * in, 9 * in / 8}, {"5", 12 * in, 12 * in, -17 * in / 32}, {"6", 24 * in, 12 * in, 0}}))
	_, err = read(t, "Pt,E,N,Diff in\n1,0,0,hi -1/4\n2,12,0,3/8\n", survey.Options{Unit: unit.Inch})
	check.Errors(t, err, []string{`found "hi -1/4", want a number without sign beside the word hi`, `found "3/8", want whether it is above or below the target`})
}

// Crews write remarks without regard to separators. The cells before them have not slid.
func TestSeparatorsInTheLastColumn(t *testing.T) {
	want := []at{{"1", 0, 0, 1.5}, {"2", 1, 0, 1.51}, {"3", 2, 0, 1.52}}
	for _, c := range []struct{ name, text, order, code string }{
		{"remarks", "P,E,N,Z,Remarks\n1,0,0,1.5,wet\n2,1,0,1.51,by the door, wet, see note\n3,2,0,1.52,\n", "", "by the door, wet, see note"},
		{"a word of no role", "P,E,N,Z,Weather\n1,0,0,1.5,wet\n2,1,0,1.51,by the door, wet, see note\n3,2,0,1.52,\n", "", ""},
		{"semicolons", "P;E;N;Z;what\n1;0;0;1,5;\n2;1;0;1,51;wet; see note\n3;2;0;1,52;dry\n", "", "wet; see note"},
		{"columns without a head behind", "P,E,N,Z,Note,,\n1,0,0,1.5,wet,,\n2,1,0,1.51,wet, see note,,\n3,2,0,1.52,,,\n", "", "wet, see note"},
		{"more commas than columns", "P,E,N,Z,Note\n1,0,0,1.5,a,b,c,d,e,f,g,h,i,j,k,l,m\n2,1,0,1.51,n, o\n3,2,0,1.52,a,b,c,d\n", "", "n, o"},
		{"no header", "1,0,0,1.5,wet\n2,0,1,1.51,wet, see note\n3,0,2,1.52,\n", "PNEZD", "wet, see note"},
		{"a number in the text", "P,E,N,Z,Note\n1,0,0,1.5,a\n2,1,0,1.51,wet, 3, 5\n3,2,0,1.52,2 cracks, wet\n", "", "wet, 3, 5"},
		{"codes", "P,E,N,Z,Code\n1,0,0,1.5,FLR, wet\n2,1,0,1.51,FLR, see note\n3,2,0,1.52,FLR\n4,5,5,1.6,SILL, door, north\n", "", "FLR"},
		{"a level book", "setup,sight,P,x,y,rod,Remark\nA,BS,BM,9,9,1.5,RL 3.0, on the sill, door 2\nA,IS,1,0,0,3.0,dry\nA,IS,2,1,0,2.99,wet, see note\nA,IS,3,2,0,2.98,\n", "", "wet, see note"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.text, survey.Options{Unit: unit.Metre, Order: c.order})
			if err != nil {
				t.Fatal(err)
			}
			check.Points(t, s.Points, points(want))
			if text := cmp.Or(s.Points[1].Remark(), s.Points[1].Code()); text != c.code {
				t.Errorf("text %q, want %q", text, c.code)
			}
			if c.name == "codes" {
				check.Points(t, s.Finished, points([]at{{"4", 5, 5, 1.6}}))
			}
		})
	}
}

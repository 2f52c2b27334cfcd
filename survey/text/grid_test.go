package text

import (
	"math"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

func onSheet(letters, numbers float64) survey.Options {
	return survey.Options{Unit: unit.Metre, Grid: survey.Grid{LetterStep: 3, NumberStep: 2, Bearings: &survey.GridBearings{Letters: letters, Numbers: numbers}, Values: survey.Rod, HasValues: true}}
}

func TestGridSheets(t *testing.T) {
	south := onSheet(90, 180)
	for _, c := range []struct {
		name, text string
		o          survey.Options
		want       []at
		notes      []string
	}{
		{"letters across to H, where E and N are no plan columns", "rod,A,B,C,D,E,F,G,H\n1,1.1,1.2,1.3,1.4,1.5,1.6,1.7,1.8\n", south,
			[]at{{"A1", 0, 0, -1.1}, {"B1", 3, 0, -1.2}, {"C1", 6, 0, -1.3}, {"D1", 9, 0, -1.4}, {"E1", 12, 0, -1.5}, {"F1", 15, 0, -1.6}, {"G1", 18, 0, -1.7}, {"H1", 21, 0, -1.8}}, nil},
		{"letters down, numbers across", ",1,2,3\nA,1.1,1.2,1.3\nB,1.4,-,1.6\n", south,
			[]at{{"A1", 0, 0, -1.1}, {"A2", 0, -2, -1.2}, {"A3", 0, -4, -1.3}, {"B1", 3, 0, -1.4}, {"B3", 3, -4, -1.6}}, []string{`left out: B2: no reading ("-")`}},
		{"numbers to the west, letters to the north", ",A,B\n1,1.1,1.2\n2,1.3,1.4\n", onSheet(0, 270),
			[]at{{"A1", 0, 0, -1.1}, {"B1", 0, 3, -1.2}, {"A2", -2, 0, -1.3}, {"B2", -2, 3, -1.4}}, nil},
		{"I is not counted where the letters leave it out", ",G,H,J,K\n1,1.1,1.2,1.3,1.4\n", south,
			[]at{{"G1", 18, 0, -1.1}, {"H1", 21, 0, -1.2}, {"J1", 24, 0, -1.3}, {"K1", 27, 0, -1.4}}, []string{"assumed: letters I and O are not used: H and J, N and P are neighbours"}},
		{"past Z", ",Z,AA,AB,I\n", south, nil, nil}, // not a head: I after AB
		{"feet and inches, by the corner", "ft-in,A,B\n1,4-5 3/8,4-6\n2,4-5 1/2,4-5\n", survey.Options{Unit: unit.Foot, Grid: south.Grid},
			[]at{{"A1", 0, 0, -53.375 * 0.0254}, {"B1", 3, 0, -54 * 0.0254}, {"A2", 0, -2, -53.5 * 0.0254}, {"B2", 3, -2, -53 * 0.0254}}, nil},
		{"height of instrument in the sheet", "HI,11.5\n,A,B\n1,1.5,1.6\n2,1.7,1.8\n", survey.Options{Unit: unit.Metre, Grid: survey.Grid{LetterStep: 1, NumberStep: 1, Bearings: &survey.GridBearings{Letters: 90, Numbers: 0}}},
			[]at{{"A1", 0, 0, 10}, {"B1", 1, 0, 9.9}, {"A2", 0, 1, 9.8}, {"B2", 1, 1, 9.7}}, []string{"assumed: height of instrument 11.500 m"}},
		{"benchmark in the sheet", "BM,1.5,10\n,A,B\n1,1.5,1.6\n2,1.7,1.8\n", south,
			[]at{{"A1", 0, 0, 10}, {"B1", 3, 0, 9.9}, {"A2", 0, -2, 9.8}, {"B2", 3, -2, 9.7}}, nil},
		{"benchmark of the options", "BM,1.5\n,A,B\n1,1.5,1.6\n2,1.7,1.8\n", survey.Options{Unit: unit.Metre, Grid: south.Grid, Benchmarks: map[string]float64{"bm": 10}},
			[]at{{"A1", 0, 0, 10}, {"B1", 3, 0, 9.9}, {"A2", 0, -2, 9.8}, {"B2", 3, -2, 9.7}}, nil},
		{"spacing both ways in the sheet", "Spacing,4,5,ft\n,A,B\n1,9.5,9.6\n2,9.7,9.8\n", survey.Options{Unit: unit.Metre, Grid: survey.Grid{Bearings: &survey.GridBearings{Letters: 90, Numbers: 0}}},
			[]at{{"A1", 0, 0, 9.5}, {"B1", 4 * ft, 0, 9.6}, {"A2", 0, 5 * ft, 9.7}, {"B2", 4 * ft, 5 * ft, 9.8}}, []string{"assumed: cells read as elevations: no rod is that long"}},
		{"semicolons and decimal commas", ";A;B\n1;9,51;9,62\n2;9,73;9,84\n", survey.Options{Unit: unit.Metre, Grid: survey.Grid{LetterStep: 1, NumberStep: 1, Bearings: &survey.GridBearings{Letters: 90, Numbers: 0}}},
			[]at{{"A1", 0, 0, 9.51}, {"B1", 1, 0, 9.62}, {"A2", 0, 1, 9.73}, {"B2", 1, 1, 9.84}}, nil},
		{"a benchmark read again within its allowance", "BM,1.5,10\n,A,B\n1,1.5,1.6\n2,1.7,1.8\nBM,1.501\n", south,
			[]at{{"A1", 0, 0, 10}, {"B1", 3, 0, 9.9}, {"A2", 0, -2, 9.8}, {"B2", 3, -2, 9.7}}, []string{"warning: closing sight on BM: observed 9.999 m, known 10.000 m, 1 mm low"}},
		{"rows that end in empty cells", ",A,B\n1,1.5,\n2,1.7,1.8\n", south,
			[]at{{"A1", 0, 0, -1.5}, {"A2", 0, -2, -1.7}, {"B2", 3, -2, -1.8}}, []string{"left out: B1: no reading"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.text, c.o)
			if c.want == nil {
				if err == nil {
					t.Fatalf("read as %+v", s.Points)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			check.Points(t, s.Points, points(c.want))
			check.Notes(t, s.Notes, c.notes)
			if left := len(s.LeftOut()); left+len(s.Points) != s.Rows {
				t.Errorf("%d rows, %d points and %d left out", s.Rows, len(s.Points), left)
			}
			if len(s.Readings) != len(s.Points) || s.Readings[0].Name != c.want[0].name {
				t.Errorf("readings %+v", s.Readings)
			}
		})
	}
}

func TestGridRefusals(t *testing.T) {
	o := onSheet(90, 180)
	free := o
	free.Grid.LetterStep, free.Grid.NumberStep = 0, 0
	noTurn := o
	noTurn.Grid.Bearings = nil
	asking := o
	asking.Grid.HasValues = false
	for _, c := range []struct {
		name, text string
		o          survey.Options
		want       string
	}{
		{"no spacing", ",A,B\n1,1.1,1.2\n2,1.1,1.2\n", free, "f.csv:1: grid: found no spacing, want the distance between the lines of the grid"},
		{"no direction", ",A,B\n1,1.1,1.2\n2,1.1,1.2\n", noTurn, "f.csv:1: grid: found lines A, B, C … and 1, 2, 3 …, want the direction in which the numbers are counted; the other direction mirrors the floor"},
		{"readings or elevations", ",A,B\n1,1.1,1.2\n2,1.1,1.2\n", asking, "f.csv:1: grid: found numbers that may be rod readings, elevations or depths, want which of them"},
		{"a row too long", ",A,B\n1,1.1,1.2,1.3\n", o, `f.csv:2: found "1.3" past the last column, want 2 cells`},
		{"a row one cell short", ",A,B,C\n1,1.1,1.2,1.3\n2,1.2,1.3\n", o, `f.csv:3: row 2: found 2 of 3 cells, want a cell for every column: one left out shifts those after it`},
		{"no number", ",A,B\n1,1.1,O.9\n", o, `f.csv:2:7: cell B1: found "O.9", want a length`},
		{"a word for a row", ",A,B\n1,1.1,1.2\ntop,1.3,1.4\n", o, `f.csv:3: row head: found "top", want a line of the grid`},
		{"bare spacing of no unit", "Spacing,x,m\n,A,B\n1,1.1,1.2\n", free, "f.csv:2: grid: found no spacing"},
		{"negative spacing", "Spacing,-3,m\n,A,B\n1,1.1,1.2\n", free, `f.csv:1: grid: found "-3", want a spacing with its unit`},
		{"bare inches in a sheet of feet and inches", "ft-in,A,B\n1,4-5,53\n", o, `f.csv:2:7: cell B1: found "53", want feet-inches such as 4-5 3/8, or a number with ' or "`},
		{"no unit", ",A,B\n1,1.1,1.2\n", survey.Options{Grid: o.Grid}, `f.csv:2:3: cell A1: found "1.1", want a length with its unit`},
		{"benchmark without a number", "BM,high\n,A,B\n1,1.1,1.2\n", o, `f.csv:1: BM: found "high", want`},
		{"two sheets without origins", "BAY 1,A,B\n1,1.1,1.2\nBAY 2,A,B\n1,1.1,1.2\n", o, "f.csv:3: grid: found cells given on lines 2 and 4, want an origin for each sheet"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := read(t, c.text, c.o)
			check.Errors(t, err, []string{c.want})
		})
	}
}

func TestGridNames(t *testing.T) {
	for _, c := range []struct {
		name    string
		letters string
		number  int
		ok      bool
	}{
		{"B7", "B", 7, true}, {"b-07", "B", 7, true}, {"AA12", "AA", 12, true}, {"7B", "B", 7, true}, {"C.3", "C", 3, true},
		{"TP1", "", 0, false}, {"BM1", "", 0, false}, {"101", "", 0, false}, {"A", "", 0, false}, {"drain", "", 0, false}, {"ABC1", "", 0, false},
	} {
		letters, number, ok := crossing(c.name)
		if ok != c.ok || ok && (letters != c.letters || number != c.number) {
			t.Errorf("%q is %q %d %v", c.name, letters, number, ok)
		}
	}
	for _, c := range []struct {
		letters string
		skips   bool
		want    int
	}{{"A", false, 0}, {"Z", false, 25}, {"AA", false, 26}, {"AB", false, 27}, {"H", true, 7}, {"J", true, 8}, {"P", true, 13}, {"Z", true, 23}, {"AA", true, 24}} {
		if got := letterIndex(c.letters, c.skips); got != c.want {
			t.Errorf("%s is line %d, want %d", c.letters, got, c.want)
		}
	}
	// A bearing other than north, east, south or west: 30° east of north.
	g := survey.Grid{Bearings: &survey.GridBearings{Letters: 120, Numbers: 30}}
	if x, y := placeOn(g, "", "", 2, 0); math.Abs(x-math.Sqrt(3)) > 1e-12 || math.Abs(y+1) > 1e-12 {
		t.Errorf("2 m along 120° at %g, %g", x, y)
	}
	if x, y := placeOn(g, "", "", 0, 2); math.Abs(x-1) > 1e-12 || math.Abs(y-math.Sqrt(3)) > 1e-12 {
		t.Errorf("2 m along 30° at %g, %g", x, y)
	}
}

// Lines beside a sheet, in the forms that crews write.
func TestLinesBesideASheet(t *testing.T) {
	want := []at{{"A1", 0, 0, 10}, {"B1", 3, 0, 9.9}, {"A2", 0, -2, 9.8}, {"B2", 3, -2, 9.7}}
	const rows = ",A,B\n1,1.5,1.6\n2,1.7,1.8\n"
	for _, above := range []string{
		"HI,11.5\n", "HI = 11.500\n", "HI: 11.5 m\n", "# HI = 11.5\n", "H.I. = 11.5\n",
		"BM,1.5,10\n", "BM,1.500,10.000,,\n", "BM1,1.500,10.000\n", "\"BM = 10.000, rod 1.500\"\n", "BM,elev 10.000,rod 1.500\n", "TBM: rod 1.5; elev 10\n",
	} {
		for _, text := range []string{above + rows, rows + above} {
			s, err := read(t, text, onSheet(90, 180))
			if err != nil {
				t.Errorf("%q: %v", text, err)
				continue
			}
			check.Points(t, s.Points, points(want))
		}
	}
	free := onSheet(90, 180)
	free.Grid.LetterStep, free.Grid.NumberStep = 0, 0
	for _, above := range []string{"Spacing,3,2,m\n", "spacing = 3 m x 2 m\n", "Spacing: 3,2\n", "Grid spacing: 3 m; 2 m\n"} {
		s, err := read(t, above+"HI,11.5\n"+rows, free)
		if err != nil {
			t.Errorf("%q: %v", above, err)
			continue
		}
		check.Points(t, s.Points, points(want))
	}
	// Exported with an empty column on the left, and with a unit beside letters down.
	s, err := read(t, ",m,A,B\n,1,1.5,1.6\n,2,1.7,1.8\n", onSheet(90, 180))
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"A1", 0, 0, -1.5}, {"B1", 3, 0, -1.6}, {"A2", 0, -2, -1.7}, {"B2", 3, -2, -1.8}}))
	s, err = read(t, "m,1,2,3\nA,1.5,1.6,1.7\nB,1.7,1.8,1.9\n", onSheet(90, 180))
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"A1", 0, 0, -1.5}, {"A2", 0, -2, -1.6}, {"A3", 0, -4, -1.7}, {"B1", 3, 0, -1.7}, {"B2", 3, -2, -1.8}, {"B3", 3, -4, -1.9}}))
}

// The reading of each cell is in its own column, as its point is.
func TestReadingsOfASheet(t *testing.T) {
	for _, c := range []struct {
		name, text string
		cols       []int
	}{
		{"commas", ",A,B,C\n1,1.11,1.2,1.3\n2,1.4,-,1.6\n", []int{3, 8, 12, 3, 9}},
		{"quotes and blanks", ",A,B,C\n1, 1.11,\"1.2\",1.3\n2,1.4,,1.6\n", []int{4, 9, 15, 3, 8}},
		{"an empty column on the left", ",,A,B,C\n,1,1.11,1.2,1.3\n,2,1.4,-,1.6\n", []int{4, 9, 13, 4, 10}},
		{"blanks alone", "rod A B C\n1  1.11 1.2 1.3\n2  1.4  -   1.6\n", []int{4, 9, 13, 4, 13}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.text, onSheet(90, 180))
			if err != nil {
				t.Fatal(err)
			}
			texts := []string{"1.11", "1.2", "1.3", "1.4", "1.6"}
			if len(s.Readings) != len(texts) || len(s.Points) != len(texts) {
				t.Fatalf("%d readings of %d points, want %d", len(s.Readings), len(s.Points), len(texts))
			}
			for i, r := range s.Readings {
				if r.Text != texts[i] || r.At.Col != c.cols[i] || s.Points[i].At() != r.At || s.Points[i].Name() != r.Name {
					t.Errorf("%s reads %s at %v, its point at %v, want %s in column %d", r.Name, r.Text, r.At, s.Points[i].At(), texts[i], c.cols[i])
				}
			}
		})
	}
}

package text

import (
	"math"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

const ft = 0.3048

func TestDemoBookReduces(t *testing.T) {
	s, err := readFile(t, "../../testdata/demo/survey.csv", survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != 88 || len(s.Finished) != 6 || len(s.Control) != 7 || s.Rows != 101 {
		t.Errorf("%d floor, %d finished, %d control of %d rows, want 88, 6, 7 of 101", len(s.Points), len(s.Finished), len(s.Control), s.Rows)
	}
	if s.Unit != unit.Foot || s.Plan != unit.Foot || s.Relative {
		t.Errorf("unit %v, plan %v, relative %v", s.Unit, s.Plan, s.Relative)
	}
	// By hand from the book, in feet: readings are whole 1/16 in, so the HI of S1 and S2
	// are 104 ft 2 5/8 in and 103 ft 10 3/8 in.
	b := s.Book
	if b == nil || len(b.Setups) != 2 || b.Benchmarks[0].Name != "BM1" || b.Main() == nil || b.Main().On != "BM1" {
		t.Fatalf("book %+v", b)
	}
	for _, c := range []struct {
		name      string
		got, want float64 // m, ft
	}{
		{"HI S1", b.Setups[0].HI, 104.21875},
		{"HI S2", b.Setups[1].HI, 103 + 10.375/12},
		{"benchmark", b.Benchmarks[0].Elevation, 100},
		{"misclosure", b.Main().Misclosure(), -1.0 / 16 / 12},
		{"BS less FS", b.Checks.SumBS - b.Checks.SumFS, -1.0 / 16 / 12},
		{"first floor shot", s.Points[0].Z, 104.21875 - 4 - 4.9375/12},
		{"drain 213", check.Find(t, s.Points, "213").Z, 103 + 10.375/12 - 4 - 3.8125/12},
		{"sill C1", check.Find(t, s.Finished, "C1").Z, 103 + 10.375/12 - 3 - 10.1875/12},
		{"BM1 at the end", s.Control[6].Z, 100 - 1.0/16/12},
	} {
		if math.Abs(c.got-c.want*ft) > 1e-12 {
			t.Errorf("%s is %.9f ft, want %.9f", c.name, c.got/ft, c.want)
		}
	}
	if p := s.Points[0]; p.Name() != "101" || p.Code() != "FLR" || !check.Nearly(p.X, 0.3*ft) || !check.Nearly(p.Y, 0.3*ft) || p.At() != (survey.Pos{File: "../../testdata/demo/survey.csv", Line: 8}) {
		t.Errorf("first point %+v", p)
	}
	check.Notes(t, s.Notes, []string{
		"assumed: benchmark BM1 taken at 100.000 ft",
		"assumed: BM1 seen again from set-up S1: no change",
		`warning: BM2 seen again from set-up S2: 1/16" lower than from set-up S1`,
		`warning: closing sight on BM1: observed 99.995 ft, known 100.000 ft, 1/16" low; not adjusted`,
	})
}

func TestDemoCheckNeedsItsBenchmark(t *testing.T) {
	const file = "../../testdata/demo/check.csv"
	_, err := readFile(t, file, survey.Options{})
	check.Errors(t, err, []string{"check.csv:2: set-up S3: found no benchmark with a known elevation, want the elevation of BM1"})
	if h := survey.Hints(err); len(h) != 1 || h[0] != "--benchmark BM1=100ft with its elevation in place of 100" {
		t.Errorf("hints %q", h)
	}
	s, err := readFile(t, file, survey.Options{Benchmarks: map[string]float64{"bm1": 100 * ft}})
	if err != nil {
		t.Fatal(err)
	}
	// HI 100 + 4'-3 11/16"; point 301 reads 4'-4 5/8".
	if want := (100 + (3.6875-4.625)/12) * ft; len(s.Points) != 70 || math.Abs(s.Points[0].Z-want) > 1e-12 {
		t.Errorf("%d points, the first at %.9g, want 70 and %.9g", len(s.Points), s.Points[0].Z, want)
	}
	if c := s.Book.Main(); c != nil && c.Misclosure() != 0 {
		t.Errorf("misclosure %g, want 0", c.Misclosure())
	}
}

const twoSetups = `setup,sight,point,x,y,rod,elev,code
1,BS,BM,0,0,1.500,10.000,BM
1,IS,a,1,0,1.512,,
1,FS,TP,2,0,1.531,,TP
2,BS,TP,2,0,1.438,,TP
2,IS,b,3,0,1.421,,
2,FS,BM,0,0,1.405,,BM
`

func TestBookInMetres(t *testing.T) {
	// The readings of sample file 100 with one sight a row.
	s, err := read(t, twoSetups, survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"a", 1, 0, 9.988}, {"b", 3, 0, 9.986}}))
	check.Points(t, s.Control, points([]at{{"BM", 0, 0, 10}, {"TP", 2, 0, 9.969}, {"TP", 2, 0, 9.969}, {"BM", 0, 0, 10.002}}))
	if !check.Nearly(s.Book.Main().Misclosure(), 0.002) || !check.Nearly(s.Book.Checks.SumBS, 2.938) || !check.Nearly(s.Book.Checks.SumFS, 2.936) {
		t.Errorf("book %+v, want misclosure 0.002, sums 2.938 and 2.936", s.Book)
	}
}

func TestBookWithoutClosingSight(t *testing.T) {
	s, err := read(t, strings.Replace(twoSetups, "2,FS,BM,0,0,1.405,,BM\n", "", 1), survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if s.Book.Main() != nil {
		t.Errorf("book %+v, want no misclosure", s.Book)
	}
}

func TestSetupsMayStandInAnyOrder(t *testing.T) {
	lines := strings.SplitAfter(twoSetups, "\n")
	turned := lines[0] + strings.Join(lines[4:7], "") + strings.Join(lines[1:4], "")
	s, err := read(t, turned, survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"b", 3, 0, 9.986}, {"a", 1, 0, 9.988}}))
}

func TestSetupsWithoutNamesBeginAtBacksights(t *testing.T) {
	var b strings.Builder
	for _, l := range strings.SplitAfter(twoSetups, "\n") {
		_, rest, _ := strings.Cut(l, ",")
		b.WriteString(rest)
	}
	s, err := read(t, b.String(), survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"a", 1, 0, 9.988}, {"b", 3, 0, 9.986}}))
	if len(s.Book.Setups) != 2 {
		t.Errorf("set-ups %v, want 2", s.Book.Setups)
	}
}

func TestBookRefusals(t *testing.T) {
	m := survey.Options{Unit: unit.Metre}
	for _, c := range []struct{ name, text, want string }{
		{"no tie", strings.NewReplacer("1,FS,TP,2,0,1.531,,TP\n", "", "2,FS,BM,0,0,1.405,,BM\n", "").Replace(twoSetups), "f.csv:4: set-up 2: found a backsight on TP, which no other set-up has as foresight, want a turning point"},
		{"no backsight", strings.NewReplacer("2,BS,TP,2,0,1.438,,TP\n", "", "2,FS,BM,0,0,1.405,,BM\n", "").Replace(twoSetups), "set-up 2: found no backsight and no point"},
		{"no elevation", strings.Replace(twoSetups, "10.000", "", 1), "set-up 1: found no benchmark with a known elevation"},
		{"unknown sight", strings.Replace(twoSetups, "1,IS,a", "1,XS,a", 1), `f.csv:3:3: column 2 "sight": found "XS", want BS, IS or FS`},
		{"wide: sight first", "Station,IS,BS,FS,RL,x,y\na,1.5,,,,0,0\n", "found a sight before any backsight"},
		{"wide: no foresight", "Station,BS,IS,FS,RL,x,y\nBM,1.5,,,10,0,0\nTP,1.4,,,,1,0\n", "a backsight from a new set-up without a foresight"},
		{"wide: no backsight", "Station,BS,IS,FS,RL,x,y\nBM,1.5,,,10,0,0\nTP,,,1.4,,1,0\na,,1.4,,,2,0\n", "a sight after the last foresight"},
		{"wide: wrong HI", "Station,BS,IS,FS,HI,RL,x,y\nBM,1.5,,,11.6,10,0,0\na,,1.4,,,10.1,2,0\n", `column 5 "HI": found "11.6", want 11.500, which the sights give`},
		{"wide: wrong fall", "Station,BS,IS,FS,Rise,Fall,RL,x,y\nBM,1.5,,,,,10,0,0\na,,1.6,,,0.2,9.9,2,0\n", `column 6 "Fall": found "0.2", want 0.100, which the sights give`},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.text, m)
			if err == nil {
				err = s.Book.Err(false)
			}
			check.Errors(t, err, []string{c.want})
		})
	}
}

func TestWideBookWithAPlan(t *testing.T) {
	s, err := read(t, `Station,BS,IS,FS,Rise,Fall,RL,x,y,Code
BM,1.500,,,,,10.000,,,BM
A1,,1.512,,,0.012,9.988,1,0,
TP1,1.438,,1.531,,0.019,9.969,2,0,TP
B1,,1.421,,0.017,,9.986,3,0,
BM,,,1.405,0.016,,10.002,,,BM
`, survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"A1", 1, 0, 9.988}, {"B1", 3, 0, 9.986}}))
	check.Points(t, s.Control, points([]at{{"TP1", 2, 0, 9.969}}))
	if c := s.Book.Main(); !check.Nearly(c.Misclosure(), 0.002) {
		t.Errorf("misclosure %g, want 0.002", c.Misclosure())
	}
}

func TestFloorShotsOfABookNeedAPlace(t *testing.T) {
	s, err := read(t, strings.Replace(twoSetups, "IS,a,1,0", "IS,a,,", 1), survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"b", 3, 0, 9.986}}))
	check.Notes(t, s.Notes, []string{"left out: a: no position"})
}

package file

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// Common points tie instruments of unknown height in several files.
func TestSetupsTiedByCommonPoints(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	one := write("one.csv", "Point,E,N,Z\nA,0,0,10.000\nB,4,0,9.990\nC,0,4,9.985\n")
	two := write("two.csv", "Point,E,N,Rod\nB,4,0,1.410\nC,0,4,1.417\nD,4,4,1.450\n")
	three := write("three.csv", "Point,E,N,Rod\nD,4,4,1.250\nE,8,4,1.260\n")
	apart := write("apart.csv", "Point,E,N,Rod\nB,9,9,1.250\nF,8,4,1.260\n")
	o := survey.Options{Unit: unit.Metre}
	s, err := OpenAll([]string{one, two, three}, o)
	if err != nil {
		t.Fatal(err)
	}
	// two: 11.400 from B, 11.402 from C, mean 11.401; D 9.951. three: 11.201; E 9.941.
	want := map[string]float64{"A": 10, "D": 9.951, "E": 9.941}
	for _, p := range s.Points {
		if z, ok := want[p.Name()]; ok {
			if math.Abs(p.Z-z) > 1e-12 {
				t.Errorf("%s at %.4f, want %.4f", p.Name(), p.Z, z)
			}
			delete(want, p.Name())
		}
	}
	if len(want) > 0 || s.Relative || len(s.Book.Ties) != 2 || math.Abs(s.Book.Ties[0].Spread()-0.002) > 1e-12 {
		t.Errorf("missing %v, relative %v, ties %+v", want, s.Relative, s.Book.Ties)
	}
	check.Notes(t, s.Notes, []string{"set-up two.csv: no backsight on a point that is known; tied by points seen from other set-ups as well: B 1 mm low, C 1 mm high; the mean is used"})

	s, err = OpenAll([]string{two, three}, o)
	if err != nil {
		t.Fatal(err)
	}
	if p := check.Find(t, s.Points, "E"); !s.Relative || math.Abs(p.Z-(-1.450+1.250-1.260)) > 1e-12 {
		t.Errorf("E at %.4f, relative %v; want -1.460 below the first line of sight", p.Z, s.Relative)
	}
	_, err = OpenAll([]string{one, apart}, o)
	check.Errors(t, err, []string{"apart.csv:2: set-up apart.csv: found no backsight and no point that another set-up has seen"})
}

// A book without a plan takes its places from another file.
func TestBookTakesPlacesByName(t *testing.T) {
	dir := t.TempDir()
	places := filepath.Join(dir, "places.csv")
	if err := os.WriteFile(places, []byte("Name,x,y\nA1,0,0\nA2,3,0\nB1,0,3\nQ,9,9\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	s, err := OpenAll([]string{"../../testdata/csv/100-level-book-hi.csv", places}, survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, []survey.Point{survey.Point{Z: 9.988}.Named("A1"), survey.Point{X: 3, Z: 9.974}.Named("A2"), survey.Point{Y: 3, Z: 9.986}.Named("B1")})
	check.Notes(t, s.Notes, []string{"left out: Q: a place without a level"})
	_, err = OpenAll([]string{places}, survey.Options{Unit: unit.Metre})
	check.Errors(t, err, []string{"want a column of elevations or rod readings"})
}

// A benchmark of one file is read again in another, spelled differently.
func TestBenchmarkBySpellingAcrossFiles(t *testing.T) {
	const (
		list  = "point,x (m),y (m),rod (m),elevation (m)\nBM1,,,1.500,10.000\n1,0,0,1.512,\n2,4,0,1.526,\n3,0,4,1.520,\n"
		plain = "point,x (m),y (m),rod (m)\n"
		shots = "4,4,4,1.412\n5,8,0,1.426\n6,8,4,1.420\n"
	)
	book := "setup,sight,point,x (m),y (m),rod (m),elev (m)\n1,BS,BM1,,,1.5,10\n1,IS,1,0,0,1.512,\n1,IS,2,1,0,1.52,\n1,IS,3,1,1,1.53,\n1,FS,TP1,,,1.600,\n"
	sheetO := survey.Options{Grid: survey.Grid{LetterStep: 3, NumberStep: 3, Bearings: &survey.GridBearings{Letters: 90, Numbers: 180}, Origins: map[string][2]float64{"ONE": {0, 0}, "TWO": {20, 0}}}}
	sheet := "m,A,B,C\n1,1.512,1.515,1.521\n2,1.509,1.518,1.526\nBM1,1.500,10.000\n"
	for _, again := range []string{"BM1", "BM 1", "BM1 check", "bm-1", "BM1 (again)"} {
		for _, c := range []struct {
			name, one, two string
			o              survey.Options
			z              float64 // first shot of the second file
			closes         float64 // misclosure on BM1, m; NaN: BM1 is the only tie
		}{
			{"ties a list", list, plain + again + ",,,1.400\n" + shots, survey.Options{}, 9.988, math.NaN()},
			{"beside a height of its own", list, "HI = 11.389\n" + plain + shots + again + ",,,1.400\n", survey.Options{}, 9.977, -0.011},
			{"closes a list that a turning point ties", strings.Replace(list, "1,0", "TP 1,,,1.600,\n1,0", 1), plain + "TP1,,,1.500\n" + shots + again + ",,,1.411\n", survey.Options{}, 9.988, -0.011},
			{"in two books", book, "setup,sight,point,x (m),y (m),rod (m)\n2,BS,TP 1,,,1.5\n2,IS,4,4,4,1.412\n2,IS,5,8,0,1.42\n2,FS," + again + ",,,1.411\n", survey.Options{}, 9.988, -0.011},
			{"ties a sheet", sheet, "m,A,B,C\n1,1.412,1.415,1.421\n2,1.409,1.418,1.426\n" + again + ",1.400\n", sheetO, 9.988, math.NaN()},
			{"beside the height of a sheet", sheet, "m,A,B,C\n1,1.412,1.415,1.421\n2,1.409,1.418,1.426\nHI,11.389\n" + again + ",1.400\n", sheetO, 9.977, -0.011},
		} {
			dir := t.TempDir()
			one, two := filepath.Join(dir, "one.csv"), filepath.Join(dir, "two.csv")
			os.WriteFile(one, []byte(c.one), 0o600)
			os.WriteFile(two, []byte(c.two), 0o600)
			for _, files := range [][]string{{one, two}, {two, one}} {
				s, err := OpenAll(files, c.o)
				if err != nil {
					t.Errorf("%s, %q: %v", c.name, again, err)
					continue
				}
				for _, p := range s.Points {
					if filepath.Base(p.At().File) == "two.csv" {
						if math.Abs(p.Z-c.z) > 1e-9 {
							t.Errorf("%s, %q: %s at %.4f, want %.4f", c.name, again, p.Name(), p.Z, c.z)
						}
						break
					}
				}
				off := math.NaN()
				if s.Book != nil {
					for _, k := range s.Book.Closures {
						if k.On == "BM1" {
							off = k.Misclosure()
						}
					}
				}
				if math.Abs(off-c.closes) > 1e-9 || math.IsNaN(off) != math.IsNaN(c.closes) {
					t.Errorf("%s, %q: closes by %.4f, want %.4f", c.name, again, off, c.closes)
				}
			}
		}
	}
	// Another benchmark ties nothing. Two elevations of one benchmark give a warning.
	dir := t.TempDir()
	one, two := filepath.Join(dir, "one.csv"), filepath.Join(dir, "two.csv")
	os.WriteFile(one, []byte(list), 0o600)
	for _, other := range []string{"BM2", "BM 10", "BM-A"} {
		os.WriteFile(two, []byte(plain+other+",,,1.400\n"+shots), 0o600)
		if _, err := OpenAll([]string{one, two}, survey.Options{}); err == nil || !strings.Contains(err.Error(), "set-up two.csv: found no backsight") {
			t.Errorf("%q: %v, want a refusal", other, err)
		}
	}
	// Elevations are written to the millimetre.
	for booked, differs := range map[string]bool{"10.0004": false, "10.0006": true} {
		os.WriteFile(two, []byte(strings.Replace(list, "BM1,,,1.500,10.000", "BM 1,,,1.500,"+booked, 1)), 0o600)
		if s, err := OpenAll([]string{one, two}, survey.Options{}); err != nil || strings.Contains(fmt.Sprint(s.Notes), "one of the two is wrong") != differs {
			t.Errorf("%s and 10.000: %v, %v", booked, err, s)
		}
	}
	os.WriteFile(two, []byte(strings.Replace(list, "BM1,,,1.500,10.000", "BM 1,,,1.500,10.200", 1)), 0o600)
	s, err := OpenAll([]string{one, two}, survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	check.Notes(t, s.Notes, []string{"benchmark BM1 at 10.200 m here, 10.000 m in one.csv: one of the two is wrong"})
}

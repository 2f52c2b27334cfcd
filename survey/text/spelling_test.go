package text

import (
	"math"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

func TestIsMark(t *testing.T) {
	for name, want := range map[string]bool{
		"BM-A": true, "BM A": true, "BM_A": true, "bm1a": true, "B.M. 2": true, "TP-3": true, "T.P.3b": true, "TBM/N": true, "closing BM1": true, "check": true, "BM (door)": true, "BM": true,
		"BMA": false, "BMW-1": false, "A BM": false, "3": false, "": false, "end": false, "end 4": false, "1.2": false, "TPX": false, "B.1": false, "Bay 3": false,
	} {
		if got := isMark(name); got != want {
			t.Errorf("%q: %v, want %v", name, got, want)
		}
	}
}

// The names of two benchmarks never have the same key.
func TestMarkKeyKeepsBenchmarksApart(t *testing.T) {
	names := []string{"BM1", "BM2", "BM10", "BM 1-0", "BM-A", "BM-B", "TBM1", "TP1", "BM1A", "BM11", "BM"}
	for i, a := range names {
		for _, b := range names[:i] {
			if markKey(a) == markKey(b) {
				t.Errorf("%q and %q have the key %q", a, b, markKey(a))
			}
		}
	}
}

// TestBenchmarkBySpellingInBooks: a level book closes on its benchmark if the name is
// spelled in another way the second time, with one sight a row or in columns. By hand: HI
// 11.500, 11.500 - 1.511 = 9.989, 11 mm low; HI 2 is 9.900 + 1.500 = 11.400.
func TestBenchmarkBySpellingInBooks(t *testing.T) {
	books := map[string]string{
		"columns":     "Station,BS,IS,FS,RL\nBM1,1.500,,,10.000\n1,,1.512,,\n2,,1.526,,\n%s,,,1.511,\n",
		"one a row":   "setup,sight,point,x,y,rod,elev\n1,BS,BM1,9,9,1.5,10\n1,IS,1,0,0,1.512,\n1,IS,2,1,0,1.52,\n1,IS,3,1,1,1.53,\n1,FS,%s,9,9,1.511,\n",
		"no place":    "setup,sight,point,x,y,rod,elev\n1,BS,BM1,,,1.5,10\n1,IS,1,0,0,1.512,\n1,IS,2,1,0,1.52,\n1,IS,3,1,1,1.53,\n1,FS,%s,,,1.511,\n",
		"between":     "setup,sight,point,x,y,rod,elev\n1,BS,BM1,,,1.5,10\n1,IS,1,0,0,1.512,\n1,IS,%s,,,1.511,\n1,IS,2,1,0,1.52,\n1,IS,3,1,1,1.53,\n",
		"two set-ups": "Station,BS,IS,FS,RL\nBM1,1.500,,,10.000\nTP 1,1.500,,1.600,\n2,,1.426,,\n%s,,,1.411,\n",
	}
	for name, book := range books {
		for _, again := range []string{"BM1", "BM 1", "BM1 check", "bm-1", "BM1 (again)", "BM1CHK", "closing BM1"} {
			s, err := readText([]byte(strings.Replace(book, "%s", again, 1)), "book.csv", survey.Options{Unit: unit.Metre}, false)
			if err != nil || s.Book == nil || len(s.Book.Closures) != 1 {
				t.Errorf("%s, %q: closes nothing: %v", name, again, err)
				continue
			}
			if c := s.Book.Closures[0]; c.On != "BM1" || math.Abs(c.Misclosure()+0.011) > 1e-9 || !c.Beyond() || !c.Benchmark {
				t.Errorf("%s, %q: %+v", name, again, c)
			}
		}
		// The name of another benchmark does not match.
		for _, other := range []string{"BM2", "BM 10", "BM-A", "BM1-0", "TBM1", "BM 1A"} {
			s, err := readText([]byte(strings.Replace(book, "%s", other, 1)), "book.csv", survey.Options{Unit: unit.Metre}, false)
			if err != nil || s.Book == nil || len(s.Book.Closures) != 0 {
				t.Errorf("%s, %q: joined with BM1: %v", name, other, err)
				continue
			}
			asked := false
			for _, n := range s.Notes {
				asked = asked || n.Kind == survey.Warning && strings.Contains(n.Text.String(), "benchmark of no known elevation")
			}
			if !asked {
				t.Errorf("%s, %q: read once, without a note: %v", name, other, s.Notes)
			}
		}
	}
	// The options may have a third spelling. A name that can be two benchmarks is
	// refused.
	book := strings.Replace(strings.Replace(books["columns"], "10.000", "", 1), "%s", "BM 1 check", 1)
	s, err := readText([]byte(book), "book.csv", survey.Options{Unit: unit.Metre, Benchmarks: map[string]float64{"bm-1": 10}}, false)
	if err != nil || len(s.Book.Closures) != 1 || math.Abs(s.Book.Closures[0].Known-10) > 1e-9 {
		t.Errorf("by the options: %v", err)
	}
	_, err = readText([]byte(book), "book.csv", survey.Options{Unit: unit.Metre, Benchmarks: map[string]float64{"BM-1": 10, "BM_1": 10.2}}, false)
	if err == nil || !strings.Contains(err.Error(), "to know which benchmark it is") {
		t.Errorf("either of two: %v", err)
	}
}

// TestBenchmarkBySpellingBesideSheets: the same for the rows beside a grid sheet.
func TestBenchmarkBySpellingBesideSheets(t *testing.T) {
	o := survey.Options{Unit: unit.Metre, Grid: survey.Grid{LetterStep: 3, NumberStep: 3, Bearings: &survey.GridBearings{Letters: 90, Numbers: 180}}}
	const sheet = "m,A,B,C\nBM1,1.500,10.000\n1,1.512,1.515,1.521\n2,1.509,1.518,1.526\n"
	for _, again := range []string{"BM1", "BM 1", "BM1 check", "bm-1", "BM1 (again)"} {
		s, err := readText([]byte(sheet+again+",1.511\n"), "sheet.csv", o, false)
		if err != nil || s.Book == nil || len(s.Book.Closures) != 1 {
			t.Errorf("%q closes nothing: %v", again, err)
			continue
		}
		if c := s.Book.Closures[0]; c.On != "BM1" || math.Abs(c.Misclosure()+0.011) > 1e-9 || !c.Beyond() {
			t.Errorf("%q: %+v", again, c)
		}
	}
	for _, other := range []string{"BM2", "BM 10", "BM-A"} {
		s, err := readText([]byte(sheet+other+",1.511\n"), "sheet.csv", o, false)
		if err != nil || s.Book != nil || len(s.Points) != 6 || math.Abs(s.Points[0].Z-9.988) > 1e-9 {
			t.Errorf("%q: joined with BM1: %v", other, err)
			continue
		}
		check.Notes(t, s.Notes, []string{"warning: reading on " + other + ": its elevation is not known, so it is not used"})
	}
}

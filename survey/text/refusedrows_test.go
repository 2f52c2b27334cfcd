package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// TestLaserAmongElevations: rod readings under a head of elevations. The line that records
// the move is a short row or one of empty cells.
func TestLaserAmongElevations(t *testing.T) {
	for _, line := range []string{"moved laser", "moved laser,,,", "SETUP 2,,,"} {
		_, err := read(t, "P,x,y,z\n1,0,0,1.6\n2,4,0,1.6\n"+line+"\n3,4,4,1.5\n", survey.Options{Unit: unit.Metre})
		if err == nil || !strings.Contains(err.Error(), `f.csv:4: column 4 "z": found "`) || !strings.Contains(err.Error(), "in a list of elevations, want rod readings") {
			t.Errorf("%s: %v, want a refusal", line, err)
		}
	}
	if s, err := read(t, "P,x,y,z\n1,0,0,1.6\n2,4,0,1.6\n# moved laser\n3,4,4,1.5\n", survey.Options{Unit: unit.Metre}); err != nil || len(s.Points) != 3 {
		t.Errorf("behind #: %v", err)
	}
}

// TestNegativeRods: a rod has no reading below zero. A benchmark overhead may have one.
func TestNegativeRods(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"P,x ft,y ft,rod (ft-in)\n1,0,0,4-4\n2,4,0,-4-5 1/2\n3,4,4,4-5\n", `f.csv:3:7: column 4 "rod (ft-in)": found "-4-5 1/2", want a rod reading of 0 or more`},
		{"setup,sight,P,x_m,y_m,rod_m\n1,BS,BM1,,,1.5\n1,IS,1,0,0,-1.6\n1,IS,2,4,0,1.6\n1,IS,3,4,4,1.6\n", `f.csv:3: rod reading: found "-1.6", want a rod reading of 0 or more`},
		{"P,x_m,y_m,rod_m\nBM1,,,-0.4\n1,0,0,1.6\n2,4,0,1.6\n3,4,4,1.6\n", ""},
	} {
		_, err := read(t, c.text, survey.Options{Benchmarks: map[string]float64{"BM1": 100}})
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.text, err, c.want)
		}
	}
}

// TestOrderBesideHeads: an order beside a header decides the directions of x and y alone. It
// is noted, and refused where it names another height than the header.
func TestOrderBesideHeads(t *testing.T) {
	for _, c := range []struct {
		order, text, want string
		served            bool
	}{
		{"PENZ", "P,x,y,z\n1,0,0,1\n2,4,0,1\n3,4,4,1\n", `column 2 "x" read as easting and column 3 "y" as northing, per the given order; the heads name the other columns`, true},
		{"XYZ", "x,y,z\n0,0,1\n4,0,1\n4,4,1\n", "", false},
		{"PENZ", "P,x,y,rod\n1,0,0,1\n2,4,0,1\n3,4,4,1\n", `column 4 "rod": found an order that names it as elevations, want an order and a header that agree`, false},
		{"PENR", "P,x,y,z\n1,0,0,1\n2,4,0,1\n3,4,4,1\n", `column 4 "z": found an order that names it as rod readings`, false},
	} {
		s, err := read(t, c.text, survey.Options{Unit: unit.Metre, Order: c.order})
		got := ""
		if err != nil {
			got = err.Error()
		} else {
			got = check.AllNotes(s)
			if s.Served.Order != c.served {
				t.Errorf("%s: order served: %v", c.order, s.Served.Order)
			}
		}
		if !strings.Contains(got, c.want) || (c.want != "" && strings.Contains(c.want, "found")) != (err != nil) {
			t.Errorf("%s on %q: %s, want %s", c.order, c.text, got, c.want)
		}
	}
}

// TestRemarkCodesInAnyCase: thresholds and benchmarks are taken in any case; a plain word is
// not, with a warning.
func TestRemarkCodesInAnyCase(t *testing.T) {
	for word, finished := range map[string]int{"SILL": 1, "sill": 1, "Adj": 1, "threshold": 1, "void": 0, "check": 0, "finished": 0, "sill is loose": 0} {
		s, err := read(t, "P,E,N,Z,Remarks\n1,0,0,1,wet\n2,4,0,1,\n3,4,4,1,\n4,0,4,1,"+word+"\n", survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Fatal(err)
		}
		warned := strings.Contains(check.AllNotes(s), `"`+word+`" (1 row) read as a remark. If it is the code of its shot, write it in capitals`)
		if len(s.Finished) != finished || warned != (finished == 0 && !strings.Contains(word, " ")) {
			t.Errorf("%s: %d thresholds, warned %v: %s", word, len(s.Finished), warned, check.AllNotes(s))
		}
	}
}

// TestTurningPointReadOnce: it ties nothing, so the laser may have been moved there.
func TestTurningPointReadOnce(t *testing.T) {
	const head, rows = "P,x_m,y_m,rod_m\nBM1,,,1.5\n1,0,0,1.6\n2,4,0,1.6\n", "3,4,4,1.6\n"
	for text, warned := range map[string]bool{
		head + "TP1,,,1.2\n" + rows: true,
		head + rows:                 false,
		head + "TP1,,,1.2\nmoved laser,,,\nTP1,,,1.1\n" + rows: false,
		head + "tp-2,,,1.2\n" + rows:                           true,
	} {
		s, err := read(t, text, survey.Options{Benchmarks: map[string]float64{"BM1": 100}})
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(check.AllNotes(s), "a turning point read once: it ties nothing"); got != warned {
			t.Errorf("%q: warned %v\n%s", text, got, check.AllNotes(s))
		}
	}
}

package text

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// TestMoveInASheet: a sheet in which the instrument was moved is tied like a list: by the
// turning point that both set-ups read, by a benchmark or by a crossing read from both. A
// move without a tie is refused. By hand: HI 1 is 11.500, TP1 at 9.900, HI 2 11.400, so
// A3 is at 9.988.
func TestMoveInASheet(t *testing.T) {
	o := survey.Options{Unit: unit.Metre, Grid: survey.Grid{LetterStep: 3, NumberStep: 3, Bearings: &survey.GridBearings{Letters: 90, Numbers: 180}}}
	const first = "m,A,B,C\n1,1.512,1.515,1.521\n2,1.509,1.518,1.526\nBM1,1.500,10.000\n"
	const rows = "3,1.412,1.420,1.431\n4,1.409,1.418,1.426\n"
	for _, line := range []string{"SETUP 2", "SETUP,2,,", ",,moved laser,", "# moved laser", "LASER 2,,,"} {
		for tie, body := range map[string]string{
			"turning point": first + "TP1,1.600\n" + line + "\nTP 1,1.500\n" + rows,
			"benchmark":     first + line + "\n" + rows + "BM 1,1.400\n",
			"crossing":      first + line + "\n" + strings.Replace(rows, "3,", "2,1.409,-,-\n3,", 1),
			"its own HI":    first + line + "\nHI = 11.400\n" + rows,
		} {
			s, err := readText([]byte(body), "sheet.csv", o, false)
			if err != nil || s.Book == nil || len(s.Book.Setups) != 2 || len(s.Points) != 12 {
				t.Errorf("%s, %q: %v", tie, line, err)
				continue
			}
			for _, p := range s.Points {
				if want := map[string]float64{"A1": 9.988, "C2": 9.974, "A3": 9.988, "C4": 9.974}[p.Name()]; want != 0 && math.Abs(p.Z-want) > 1e-9 {
					t.Errorf("%s, %q: %s at %.4f, want %.4f", tie, line, p.Name(), p.Z, want)
				}
			}
		}
		_, err := readText([]byte(first+line+"\n"+rows), "sheet.csv", o, false)
		var e *survey.Error
		if !errors.As(err, &e) || e.Line != 6 || !strings.Contains(err.Error(), "set-up 2: found no backsight") {
			t.Errorf("%q: nothing ties it: %v", line, err)
		}
	}
	// A given height of instrument is the height of the first set-up.
	one := o
	one.Instrument, one.HasInstrument = 11.5, true
	if _, err := readText([]byte("m,A,B,C\n1,1.512,1.515,1.521\nSETUP 2\n"+rows), "sheet.csv", one, false); err == nil || !strings.Contains(err.Error(), "set-up 2") {
		t.Errorf("one height for two set-ups: %v", err)
	}
	if _, err := readText([]byte(first+"SETUP 2,1.500,1.501\n"+rows), "sheet.csv", o, false); err == nil || !strings.Contains(err.Error(), "figures beside it") {
		t.Errorf("figures beside the line: %v", err)
	}
	// Elevations and depths do not depend on a move.
	up := o
	up.Grid.Values, up.Grid.HasValues = survey.Elevation, true
	s, err := readText([]byte("m,A,B,C\n1,9.512,9.515,9.521\nSETUP 2\n2,9.412,9.42,9.431\n"), "sheet.csv", up, false)
	if err != nil || s.Book != nil || len(s.Points) != 6 {
		t.Errorf("elevations: %v", err)
	}
}

// A file that only looks like a sheet has no row of heads.
func TestSheetWithoutAHead(t *testing.T) {
	for _, corner := range []string{"BM", "spacing", "step"} {
		_, err := readText([]byte(corner+",A,B,C\n1,1.5,1.5,1.5\n2,1.5,1.5,1.5\n"), "sheet.csv", survey.Options{Unit: unit.Metre, Grid: survey.Grid{LetterStep: 3, NumberStep: 3, Bearings: &survey.GridBearings{Letters: 90, Numbers: 180}, Values: survey.Rod, HasValues: true}}, false)
		var e *survey.Error
		if !errors.As(err, &e) || !strings.Contains(err.Error(), "without the row that heads it") {
			t.Errorf("%q: %v", corner, err)
		}
	}
}

// An elevation with decimals beside a sheet in mm has two meanings. Its own unit, whole
// mm or the option decides. By hand: HI 51.42 m, A1 at 51.42 - 1.505.
func TestElevationBesideASheetInMillimetres(t *testing.T) {
	const rows = "mm,A,B\n1,1505,1507\n2,1508,1510\n"
	o := survey.Options{Grid: survey.Grid{LetterStep: 1, NumberStep: 1, Bearings: &survey.GridBearings{Letters: 90, Numbers: 180}}}
	for _, c := range []struct{ line, hint string }{
		{"BM,1420,50.000", "BM,1420 mm,50.000 m, or --benchmark BM=50.000m"},
		{"BM,1420,999.500", "BM,1420 mm,999.500 m, or --benchmark BM=999.500m"},
		{"HI = 51.42", "HI = 51.42 m, or the same in mm"},
	} {
		_, err := readText([]byte(c.line+"\n"+rows), "sheet.csv", o, false)
		var e *survey.Error
		if !errors.As(err, &e) || e.Line != 1 || !strings.Contains(err.Error(), "beside a sheet in mm, want to know whether") || e.Hint != c.hint {
			t.Errorf("%s: %v", c.line, err)
		}
	}
	asked := o
	asked.Benchmarks = map[string]float64{"BM": 50}
	for line, o := range map[string]survey.Options{"BM,1420,50.000 m": o, "BM,1420,50000": o, "BM,1420 mm,50.000 m": o, "HI = 51.420 m": o, "BM,1420,50.000": asked} {
		s, err := readText([]byte(line+"\n"+rows), "sheet.csv", o, false)
		if err != nil || len(s.Points) != 4 {
			t.Errorf("%s: %v", line, err)
			continue
		}
		for _, p := range s.Points {
			if p.Name() == "A1" && !check.Nearly(p.Z, 49.915) {
				t.Errorf("%s: A1 at %g", line, p.Z)
			}
		}
	}
}

package text

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
)

// TestMoveBesideGradeRods: a list with grade rods is refused after a move unless the
// target was read again, in every cell that can hold the line. By hand: 1.495 - 1.512 =
// -0.017, and 1.405 - 1.422 = -0.017.
func TestMoveBesideGradeRods(t *testing.T) {
	const head = "Point,E (m),N (m),Grade rod (m),Rod (m)\n1,0,0,1.495,1.500\n2,2,0,1.495,1.512\n3,4,0,1.495,1.526\n"
	for _, line := range []string{"SETUP 2", "SETUP 2,,,,", ",,,,moved laser", "setup,2,,,", "# moved laser"} {
		_, err := readText([]byte(head+line+"\n4,0,2,1.495,1.509\n5,2,2,1.495,1.531\n"), "list.csv", survey.Options{}, false)
		var e *survey.Error
		if !errors.As(err, &e) || e.Line != 5 || !strings.Contains(e.Hint, `"Grade rod`) {
			t.Errorf("%q: %v, want a refusal of line 5", line, err)
		}
		s, err := readText([]byte(head+line+"\n4,0,2,1.405,1.422\n5,2,2,1.405,1.441\n"), "list.csv", survey.Options{}, false)
		if err != nil || len(s.Points) != 5 || math.Abs(s.Points[3].Z+0.017) > 1e-9 {
			t.Errorf("%q, the target read anew: %v", line, err)
		}
	}
	// Along a fall the grade rod differs in every row.
	_, err := readText([]byte("Point,E (m),N (m),Grade rod (m),Rod (m)\n1,0,0,1.495,1.500\n2,2,0,1.505,1.512\nSETUP 2\n4,0,2,1.51,1.509\n5,2,2,1.52,1.531\n"), "list.csv", survey.Options{}, false)
	var e *survey.Error
	if !errors.As(err, &e) || e.Line != 4 {
		t.Errorf("a fall: %v, want a refusal of line 4", err)
	}
	// Before or after all readings a line is not a move.
	for _, list := range []string{head + "SETUP 2,,,,\n", strings.Replace(head, "1,0,0", "SETUP 1,,,,\n1,0,0", 1)} {
		if s, err := readText([]byte(list), "list.csv", survey.Options{}, false); err != nil || len(s.Points) != 3 {
			t.Errorf("%s: %v", list, err)
		}
	}
}

// TestMoveAmongRuns: a run that continues past a move of the instrument is refused. Runs
// that are each on one side of it are read as without it.
func TestMoveAmongRuns(t *testing.T) {
	const head = "Run,Station (m),Rod (m)\n"
	run := func(name string, from, n int) string {
		var b strings.Builder
		for i := from; i < from+n; i++ {
			fmt.Fprintf(&b, "%s,%.1f,%.3f\n", name, 0.3*float64(i), 1.4+0.001*float64(i%3))
		}
		return b.String()
	}
	for _, line := range []string{"SETUP 2", "SETUP 2,,", ",,moved laser", "setup,2,", "# moved laser"} {
		_, err := readText([]byte(head+run("A", 0, 4)+line+"\n"+run("A", 4, 4)), "runs.csv", survey.Options{}, false)
		var e *survey.Error
		if !errors.As(err, &e) || e.Line != 6 || !strings.Contains(e.Hint, `"A b"`) {
			t.Errorf("%q inside a run: %v, want a refusal of line 6", line, err)
		}
		s, err := readText([]byte(head+run("A", 0, 4)+line+"\n"+run("A b", 4, 4)), "runs.csv", survey.Options{}, false)
		if err != nil || len(s.Runs) != 2 || len(s.Runs[1].Stations) != 4 {
			t.Errorf("%q between runs: %v", line, err)
		}
	}
	s, err := readText([]byte("run,step (m),rod (m)\nA,0.3,\"1.1 1.2 1.3\"\nSETUP 2,,\nB,0.3,\"1.4 1.5 1.6\"\n"), "runs.csv", survey.Options{}, false)
	if err != nil || len(s.Runs) != 2 {
		t.Errorf("a run a row: %v", err)
	}
}

// TestGradeRodsTied: if the target was not read again after a move, a benchmark, a
// turning point or a shot read from both places ties the set-ups. A benchmark read again
// closes a list. By hand: BM reads 0.100 less from the second place, and so does the
// target: 1.395 - 1.409 = -0.014.
func TestGradeRodsTied(t *testing.T) {
	const head = "Point,E (m),N (m),Grade rod (m),Rod (m)\nBM1,,,,1.600\n1,0,0,1.495,1.500\n2,2,0,1.495,1.512\n3,4,0,1.495,1.526\n"
	const rows = "4,0,2,1.495,1.409\n5,2,2,1.495,1.431\n"
	want := map[string]float64{"1": -0.005, "2": -0.017, "3": -0.031, "4": -0.014, "5": -0.036}
	for name, body := range map[string]string{
		"benchmark first":  head + "SETUP 2\nBM 1,,,,1.500\n" + rows,
		"benchmark last":   head + "moved laser\n" + rows + "BM1 check,,,,1.500\n",
		"turning point":    head + "TP1,,,,1.700\nSETUP 2\nTP-1,,,,1.600\n" + rows,
		"a placed mark":    strings.Replace(head, "BM1,,", "BM1,9,9", 1) + "SETUP 2\nBM1,9,9,,1.500\n" + rows,
		"a shot from both": head + "SETUP 2\n3,4,0,1.495,1.426\n" + rows,
		"read anew too":    head + "SETUP 2\nBM1,,,,1.500\n" + strings.ReplaceAll(rows, "1.495", "1.395"),
	} {
		s, err := readText([]byte(body), "list.csv", survey.Options{}, false)
		if err != nil || len(s.Points) != 5 || !s.Relative {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, p := range s.Points {
			if math.Abs(p.Z-want[p.Name()]) > 1e-9 {
				t.Errorf("%s: %s at %.4f, want %.4f", name, p.Name(), p.Z, want[p.Name()])
			}
		}
	}
	for name, c := range map[string]struct {
		body string
		off  float64
	}{
		"the same place":        {head + "BM1,,,,1.611\n", -0.011},
		"a target read falsely": {head + "SETUP 2\nBM1,,,,1.500\n" + strings.ReplaceAll(rows, "1.495", "1.384"), -0.011},
	} {
		s, err := readText([]byte(c.body), "list.csv", survey.Options{}, false)
		if err != nil || s.Book == nil || len(s.Book.Beyond()) != 1 || math.Abs(s.Book.Beyond()[0].Misclosure()-c.off) > 1e-9 {
			t.Errorf("%s: %v, want a misclosure of %.3f", name, err, c.off)
		}
	}
	// Another benchmark is no tie, and along a fall there is none.
	for _, body := range []string{head + "SETUP 2\nBM2,,,,1.500\n" + rows, strings.Replace(head, "2,0,1.495", "2,0,1.505", 1) + "SETUP 2\nBM1,,,,1.500\n" + rows} {
		if _, err := readText([]byte(body), "list.csv", survey.Options{}, false); err == nil || !strings.Contains(err.Error(), "nothing ties it") {
			t.Errorf("%s%v", body, err)
		}
	}
	s, err := readText([]byte(strings.Replace(head, "2,0,1.495", "2,0,1.505", 1)+"BM1,,,,1.611\n"), "list.csv", survey.Options{}, false)
	if err != nil {
		t.Fatal(err)
	}
	check.Notes(t, s.Notes, []string{"BM1 comes out 11 mm lower than in line 2"})
	if _, err := readText([]byte(head+"BM1,,,,1.600\n"), "list.csv", survey.Options{Benchmarks: map[string]float64{"BM1": 10}}, false); err == nil {
		t.Error("an elevation of the benchmark beside readings of the target: no error")
	}
}

// TestRunsTied: a run that continues past a move is tied by a benchmark, a turning point
// or a station read from both places. By hand: all read 0.100 less from the second place.
func TestRunsTied(t *testing.T) {
	const head = "Run,Station (m),Rod (m)\n"
	run := func(name string, from, n int, down float64) string {
		var b strings.Builder
		for i := from; i < from+n; i++ {
			fmt.Fprintf(&b, "%s,%.1f,%.3f\n", name, 0.3*float64(i), 1.4+0.001*float64(i%3)-down)
		}
		return b.String()
	}
	for name, body := range map[string]string{
		"benchmark":      head + "BM1,,1.600\n" + run("A", 0, 4, 0) + "SETUP 2,,\nBM 1,,1.500\n" + run("A", 4, 4, 0.1),
		"benchmark last": head + "BM1,,1.600\n" + run("A", 0, 4, 0) + "moved laser\n" + run("A", 4, 4, 0.1) + "BM1 check,,1.500\n",
		"turning point":  head + run("A", 0, 4, 0) + "TP1,,1.700\n# moved laser\nTP1,,1.600\n" + run("A", 4, 4, 0.1),
		"station":        head + run("A", 0, 4, 0) + "SETUP 2,,\n" + run("A", 3, 5, 0.1),
		"two stations":   head + run("A", 0, 4, 0) + "SETUP 2,,\n" + run("A", 2, 6, 0.1),
		"two runs":       head + run("A", 0, 4, 0) + run("B", 0, 2, 0) + "SETUP 2,,\n" + run("A", 3, 5, 0.1) + run("B", 2, 3, 0.1),
	} {
		s, err := readText([]byte(body), "runs.csv", survey.Options{}, false)
		if err != nil || s.Book == nil || !s.Relative || len(s.Runs[0].Stations) != 8 {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, r := range s.Runs {
			for i, v := range r.Stations {
				if d := v.Z - s.Runs[0].Stations[0].Z + 0.001*float64(i%3); math.Abs(d) > 1e-9 {
					t.Errorf("%s: station %d of %s differs by %.4f", name, i, r.Name, d)
				}
			}
		}
	}
	// A known benchmark gives elevations. Then a move without a tie is refused, even if
	// no run continues past it.
	o := survey.Options{Benchmarks: map[string]float64{"BM1": 10}}
	two := head + "BM1,,1.600\n" + run("A", 0, 4, 0) + "SETUP 2,,\n%s" + run("B", 0, 4, 0.1)
	s, err := readText([]byte(strings.Replace(two, "%s", "bm 1,,1.500\n", 1)), "runs.csv", o, false)
	if err != nil || s.Relative || math.Abs(s.Runs[0].Stations[0].Z-10.2) > 1e-9 || math.Abs(s.Runs[1].Stations[0].Z-10.2) > 1e-9 {
		t.Errorf("a known benchmark: %v", err)
	}
	if _, err = readText([]byte(strings.Replace(two, "%s", "", 1)), "runs.csv", o, false); err == nil || !strings.Contains(err.Error(), "set-up 2") {
		t.Errorf("a move that nothing ties beside a benchmark: %v", err)
	}
	if _, err = readText([]byte(strings.Replace(two, "%s", "", 1)), "runs.csv", survey.Options{Instrument: 11, HasInstrument: true}, false); err == nil || !strings.Contains(err.Error(), "set-up 2") {
		t.Errorf("one height of instrument for two places: %v", err)
	}
	if s, err = readText([]byte(strings.Replace(two, "%s", "", 1)), "runs.csv", survey.Options{}, false); err != nil || len(s.Runs) != 2 || !s.Relative {
		t.Errorf("runs by themselves: %v", err)
	}
	// Ties that disagree, and a benchmark that reads differently, do not close.
	for name, body := range map[string]string{
		"stations": head + run("A", 0, 4, 0) + "SETUP 2,,\n" + strings.Replace(run("A", 2, 6, 0.1), "1.302", "1.322", 1),
		"again":    head + "BM1,,1.600\n" + run("A", 0, 8, 0) + "BM1,,1.611\n",
	} {
		s, err := readText([]byte(body), "runs.csv", survey.Options{}, false)
		if err != nil || s.Book == nil || len(s.Book.Beyond()) == 0 {
			t.Errorf("%s: %v, want a misclosure beyond its allowance", name, err)
		}
	}
	// Elevations do not depend on a move.
	s, err = readText([]byte(strings.ReplaceAll(head+run("A", 0, 4, 0)+"SETUP 2,,\n"+run("A", 4, 4, 0), "Rod", "Elevation")), "runs.csv", survey.Options{}, false)
	if err != nil || len(s.Runs) != 1 || len(s.Runs[0].Stations) != 8 {
		t.Errorf("elevations: %v", err)
	}
}

// TestMoveAmongDepths: a line that records a move is not a shot of a list of depths, and not
// a short row. Rows that lack a figure are still short rows.
func TestMoveAmongDepths(t *testing.T) {
	for _, head := range []string{"name,x (m),y (m),low (mm)\n"} {
		s, err := readText([]byte(head+"1,0,0,10\n2,4,0,11\nSETUP 2\n3,0,4,10.5\nmoved laser\n4,4,4,10\n"), "list.csv", survey.Options{}, false)
		if err != nil || len(s.Points) != 4 {
			t.Errorf("%s%v", head, err)
			continue
		}
		left := 0
		for _, n := range s.Notes {
			if n.Kind == survey.LeftOut && (n.Pos.Line == 4 || n.Pos.Line == 6) {
				left++
			}
		}
		if left != 2 {
			t.Errorf("%s%d lines noted, want 2: %v", head, left, s.Notes)
		}
		if _, err := readText([]byte(head+"1,0,0,10\n2,4,0,11\nSetup 2,3\n3,0,4,10.5\nhall\n4,4,4,10\n"), "list.csv", survey.Options{}, false); err == nil {
			t.Errorf("%sno error for a short row", head)
		}
	}
}

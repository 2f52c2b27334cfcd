package survey

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

// TestMoveBesideGradeRods: a list with readings of the target is refused after a move
// unless the target was read anew, in every cell that the line may stand in. By hand:
// 1.495 - 1.512 = -0.017, and 1.405 - 1.422 = -0.017.
func TestMoveBesideGradeRods(t *testing.T) {
	const head = "Point,E (m),N (m),Grade rod (m),Rod (m)\n1,0,0,1.495,1.500\n2,2,0,1.495,1.512\n3,4,0,1.495,1.526\n"
	for _, line := range []string{"SETUP 2", "SETUP 2,,,,", ",,,,moved laser", "setup,2,,,", "# moved laser"} {
		_, err := readText([]byte(head+line+"\n4,0,2,1.495,1.509\n5,2,2,1.495,1.531\n"), "list.csv", Options{}, false)
		var e *Error
		if !errors.As(err, &e) || e.Line != 5 || !strings.Contains(e.Hint, `"Grade rod`) {
			t.Errorf("%q: %v, want a refusal of line 5", line, err)
		}
		s, err := readText([]byte(head+line+"\n4,0,2,1.405,1.422\n5,2,2,1.405,1.441\n"), "list.csv", Options{}, false)
		if err != nil || len(s.Points) != 5 || math.Abs(s.Points[3].Z+0.017) > 1e-9 {
			t.Errorf("%q, the target read anew: %v", line, err)
		}
	}
	// Along a fall the target reads otherwise in every row.
	_, err := readText([]byte("Point,E (m),N (m),Grade rod (m),Rod (m)\n1,0,0,1.495,1.500\n2,2,0,1.505,1.512\nSETUP 2\n4,0,2,1.51,1.509\n5,2,2,1.52,1.531\n"), "list.csv", Options{}, false)
	var e *Error
	if !errors.As(err, &e) || e.Line != 4 {
		t.Errorf("a fall: %v, want a refusal of line 4", err)
	}
	// Before and after all readings a line moves nothing.
	for _, list := range []string{head + "SETUP 2,,,,\n", strings.Replace(head, "1,0,0", "SETUP 1,,,,\n1,0,0", 1)} {
		if s, err := readText([]byte(list), "list.csv", Options{}, false); err != nil || len(s.Points) != 3 {
			t.Errorf("%s: %v", list, err)
		}
	}
}

// TestMoveAmongRuns: a run that goes on past a move of the instrument is refused; runs
// that each lie on one side of it are read as without it.
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
		_, err := readText([]byte(head+run("A", 0, 4)+line+"\n"+run("A", 4, 4)), "runs.csv", Options{}, false)
		var e *Error
		if !errors.As(err, &e) || e.Line != 6 || !strings.Contains(e.Hint, `"A b"`) {
			t.Errorf("%q inside a run: %v, want a refusal of line 6", line, err)
		}
		s, err := readText([]byte(head+run("A", 0, 4)+line+"\n"+run("A b", 4, 4)), "runs.csv", Options{}, false)
		if err != nil || len(s.Runs) != 2 || len(s.Runs[1].Stations) != 4 {
			t.Errorf("%q between runs: %v", line, err)
		}
	}
	s, err := readText([]byte("run,step (m),rod (m)\nA,0.3,\"1.1 1.2 1.3\"\nSETUP 2,,\nB,0.3,\"1.4 1.5 1.6\"\n"), "runs.csv", Options{}, false)
	if err != nil || len(s.Runs) != 2 {
		t.Errorf("a run a row: %v", err)
	}
}

// TestMoveAmongElevations: a line on a move is no shot of a list of elevations, and no
// short row either; rows that are short of a figure still are.
func TestMoveAmongElevations(t *testing.T) {
	for _, head := range []string{"name,x (m),y (m),elevation (m)\n", "name,x (m),y (m),low (mm)\n"} {
		s, err := readText([]byte(head+"1,0,0,10\n2,4,0,11\nSETUP 2\n3,0,4,10.5\nmoved laser\n4,4,4,10\n"), "list.csv", Options{}, false)
		if err != nil || len(s.Points) != 4 {
			t.Errorf("%s%v", head, err)
			continue
		}
		left := 0
		for _, n := range s.Notes {
			if n.Kind == LeftOut && (n.Pos.Line == 4 || n.Pos.Line == 6) {
				left++
			}
		}
		if left != 2 {
			t.Errorf("%s%d lines noted, want 2: %v", head, left, s.Notes)
		}
		if _, err := readText([]byte(head+"1,0,0,10\n2,4,0,11\nSetup 2,3\n3,0,4,10.5\nhall\n4,4,4,10\n"), "list.csv", Options{}, false); err == nil {
			t.Errorf("%sno error for a short row", head)
		}
	}
}

package text

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"pourplane/survey"
)

// TestWordsOnly: a row of words is left out and quoted, wherever it is and whatever the
// separator. A row that may be a shot, or change the rows below, is refused.
func TestWordsOnly(t *testing.T) {
	rows := [][]string{{"name", "x_m", "y_m", "z_m"}, {"P1", "0", "0", "1.010"}, {"P2", "4", "0", "1.012"}, {"P3", "4", "4", "1.013"}, {"P4", "0", "4", "1.016"}}
	long := strings.Repeat("wet floor ", 9)
	for _, c := range []struct {
		text, quoted string // refused without quoted
	}{
		{"lunch break, laser not touched", "lunch break, laser not touched"},
		{"--- row 3 starts here ---", "--- row 3 starts here ---"},
		{"=== row 3 ===", "=== row 3 ==="},
		{"------ end of sheet ------", "------ end of sheet ------"},
		{"NOTE: floor wet by the door, come back Tue", "NOTE: floor wet by the door, come back Tue"},
		{"wet, cold, windy, laser ok", "wet, cold, windy, laser ok"},
		{"a, b, c, d, e, f", "a, b, c, d, e, f"},
		{"end", "end"},
		{long, long[:60] + "…"},
		{"P9", ""},
		{"9P door", ""},
		{"BM 1.234", ""},
		{"TP: 1.234 1.2", ""},
		{"all below in feet", ""},
		{"rod extended", ""},
		{"end 1 of 2", ""},
	} {
		for _, sep := range []string{",", ";", " ", "\t"} {
			for _, at := range []int{1, 3, 5} {
				var lines []string
				for _, r := range rows {
					lines = append(lines, strings.Join(r, sep))
				}
				lines = append(lines[:at:at], append([]string{c.text}, lines[at:]...)...)
				file := strings.Join(lines, "\n") + "\n"
				s, err := readText([]byte(file), "list.csv", survey.Options{}, false)
				if c.quoted == "" {
					var e *survey.Error
					if !errors.As(err, &e) || e.Line != at+1 {
						t.Errorf("%q on line %d of\n%s: %v, want a refusal", c.text, at+1, file, err)
					}
					continue
				}
				if err != nil || len(s.Points) != 4 || s.Rows != 5 {
					t.Errorf("%q on line %d of\n%s: %v, want 4 points of 5 rows", c.text, at+1, file, err)
					continue
				}
				want := survey.Notef(survey.LeftOut, survey.Pos{File: "list.csv", Line: at + 1}, "%q: a remark, no shot", c.quoted)
				found := 0
				for _, n := range s.Notes {
					if n.Kind == survey.LeftOut {
						if found++; n != want {
							t.Errorf("note %v, want %v", n, want)
						}
					}
				}
				if found != 1 {
					t.Errorf("%q: %d rows left out, want 1", c.text, found)
				}
			}
		}
	}
	for _, c := range []struct {
		what, file string
		o          survey.Options
	}{
		{"a cell that is a number", "name,x_m,y_m,z_m\nP1,0,0,1\nNOTE,3\n", survey.Options{}},
		{"other separators", "name,x_m,y_m,z_m\nP1,0,0,1\nA;1;2;3\n", survey.Options{}},
		{"a name with no room for a reading", "name,x_m,y_m,z_m\nP1,0,0,1\nP2,4\n", survey.Options{}},
	} {
		_, err := readText([]byte(c.file), "list.csv", c.o, false)
		var e *survey.Error
		if !errors.As(err, &e) || e.Line != 3 || e.Hint != "put # before a remark" {
			t.Errorf("%s: %v, want a refusal with a hint", c.what, err)
		}
	}
	// A shot without a reading is not a remark.
	s, err := readText([]byte("name,x_m,y_m,z_m\nP1,0,0,1\nwall,n/a,,-\n"), "list.csv", survey.Options{}, false)
	if err != nil || len(s.Points) != 1 || strings.Contains(fmt.Sprint(s.Notes), "a remark") {
		t.Errorf("a shot that was not read: %v, %v", s.Notes, err)
	}
	// In an outline a row of words may head the next ring.
	for _, sep := range []string{",", "\t"} {
		file := strings.ReplaceAll("x_m,y_m\n0,0\n4,0\n4,4\nsump\n1,1\n2,1\n2,2\n", ",", sep)
		if _, err := readText([]byte(file), "walls.csv", survey.Options{}, true); err == nil || !strings.Contains(err.Error(), "walls.csv:5") {
			t.Errorf("an outline: %v, want a refusal of line 5", err)
		}
	}
}

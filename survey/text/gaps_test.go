package text

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pourplane/survey"
)

// rodList returns a list of rod readings with line after its third shot. The last three
// readings are 0.2 m less: the instrument was moved there.
func rodList(line, remark string) string {
	return "point,x (m),y (m),rod (m),code,remarks\nBM1,,,1.500,BM,\n101,0,0,1.550,FLR,\n102,1,0,1.544,FLR,\n103,2,0,1.538,FLR,\n" + line +
		"104,0,1,1.347,FLR," + remark + "\n105,1,1,1.341,FLR,\n106,2,1,1.350,FLR,\n"
}

// TestGapsAsk: the instrument may have been moved at a row without a reading among rod
// readings. A row that may name a set-up, or names the instrument, is refused.
func TestGapsAsk(t *testing.T) {
	bm := survey.Options{Benchmarks: map[string]float64{"BM1": 10}}
	for _, text := range []string{"S2", "IP2", "P2", "B", "2", "Inst pt 2", "Estación 2", "Laser at door", "tripod at column", "from hallway", "changed height", "dropped it", "from here other height", "instrument 2nd pos.", "laser down for lunch"} {
		for _, line := range []string{text + ",,,,,\n", ",,,,," + text + "\n"} {
			_, err := readText([]byte(rodList(line, "")), "list.csv", bm, false)
			var e *survey.Error
			if !errors.As(err, &e) || e.Line != 6 || !strings.Contains(e.Want, "moved") || !strings.Contains(e.Hint, "SETUP 2") {
				t.Errorf("%q: %v, want a refusal of line 6", line, err)
			}
		}
		// As a comment, before all readings or after them the line is not a move. A
		// benchmark that reads the same again shows that there was none.
		same := strings.NewReplacer("1.347", "1.547", "1.341", "1.541", "1.350", "1.550").Replace(rodList(text+",,,,,\n", ""))
		for _, list := range []string{rodList("# "+text+",,,,,\n", ""), rodList("", "") + text + ",,,,,\n", same + "BM1,,,1.500,BM,\n"} {
			if s, err := readText([]byte(list), "list.csv", bm, false); err != nil || len(s.Points) != 6 {
				t.Errorf("%s: %v", list, err)
			}
		}
	}
	// Another text, and a row of dashes, give a warning beside the order.
	for _, line := range []string{"LUNCH,,,,,\n", "Tuesday,,,,,\n", "Room 2,,,,,\n", "new batteries,,,,,\n", "---,,,,,\n", "-----\n"} {
		s, err := readText([]byte(rodList(line, "")), "list.csv", bm, false)
		if err != nil || !movedNote(s, survey.Warning, 6) {
			t.Errorf("%q: %v, want a warning of line 6", line, err)
		}
	}
	// An empty row is an assumption if the readings continue as they were. It is a
	// warning if they change by more than 50 mm and by more than three times their range
	// on either side. A shot without a reading and the heading of a block of rows are
	// neither.
	for _, line := range []string{",,,,,\n", "\n"} {
		for _, c := range []struct {
			change, within float64
			kind           survey.NoteKind
		}{{0, 0.003, survey.Assumed}, {0.049, 0.003, survey.Assumed}, {0.051, 0.003, survey.Warning}, {-0.051, 0.003, survey.Warning}, {0.2, 0.06, survey.Warning}, {0.2, 0.07, survey.Assumed}} {
			list := "point,x (m),y (m),rod (m),code,remarks\n"
			for i := range 6 {
				if i == 3 {
					list += line
				}
				rod := 1.5 + c.within*float64(i%3)/2
				if i >= 3 {
					rod += c.change
				}
				list += fmt.Sprintf("%d,%d,%d,%.4f,FLR,\n", 101+i, i%3, i/3, rod)
			}
			s, err := readText([]byte(list), "list.csv", survey.Options{}, false)
			if err != nil || movedNote(s, survey.Warning, 5) != (c.kind == survey.Warning) || movedNote(s, survey.Assumed, 5) != (c.kind == survey.Assumed) {
				t.Errorf("%q, %+v: %v, want the kind of note of line 5", line, c, err)
			}
		}
	}
	for _, line := range []string{"103a,3,0,-,,\n", "row 2,,,,,\n", "2,,,-,,\n"} {
		s, err := readText([]byte(rodList(line, "")), "list.csv", bm, false)
		if err != nil || movedNote(s, survey.Warning, 6) || movedNote(s, survey.Assumed, 6) {
			t.Errorf("%q: %v, want no note on a move", line, err)
		}
	}
	// P3 among P1, P2 and P4 is a shot.
	if s, err := readText([]byte("point,x (m),y (m),rod (m)\nP1,0,0,1.55\nP2,1,0,1.54\nP3,,,\nP4,0,1,1.55\n"), "list.csv", survey.Options{}, false); err != nil || len(s.Points) != 3 {
		t.Errorf("a shot that was not read: %v", err)
	}
	// Elevations do not depend on a move.
	if s, err := readText([]byte(strings.Replace(rodList("S2,,,,,\n", ""), "rod", "z", 1)), "list.csv", survey.Options{}, false); err != nil || movedNote(s, survey.Warning, 6) {
		t.Errorf("elevations: %v", err)
	}
}

func movedNote(s *survey.Survey, k survey.NoteKind, line int) bool {
	for _, n := range s.Notes {
		if n.Kind == k && n.Pos.Line == line && strings.Contains(n.Text.String(), "moved") && (k != survey.Warning || n.Topic == survey.AboutDepth) {
			return true
		}
	}
	return false
}

// The first ten rows without a reading are listed, the others counted.
func TestGapsListed(t *testing.T) {
	for _, n := range []int{10, 11} {
		s, err := readText([]byte(rodList(strings.Repeat("LUNCH,,,,,\n", n), "")), "list.csv", survey.Options{}, false)
		if err != nil {
			t.Fatal(err)
		}
		listed, counted := 0, 0
		for _, one := range s.Notes {
			text := one.Text.String()
			if strings.Contains(text, "was the instrument moved here") {
				listed++
			} else if strings.HasPrefix(text, "1 more rows without a reading") {
				counted++
			}
		}
		if listed != 10 || counted != n-10 {
			t.Errorf("%d rows: %d listed, %d counted", n, listed, counted)
		}
	}
}

// TestMovedInRemark: a move in the remark of a shot is refused like SETUP 2. A floor that
// dropped is not a move.
func TestMovedInRemark(t *testing.T) {
	for _, remark := range []string{"from setup 2", "bumped", "moved", "laser dropped", "2nd laser", "setup 2"} {
		_, err := readText([]byte(rodList("", remark)), "list.csv", survey.Options{}, false)
		var e *survey.Error
		if !errors.As(err, &e) || e.Line != 6 || !strings.Contains(e.Hint, "SETUP 2") {
			t.Errorf("%q: %v, want a refusal of line 6", remark, err)
		}
	}
	for _, remark := range []string{"slab dropped", "not moved", "edge"} {
		if _, err := readText([]byte(rodList("", remark)), "list.csv", survey.Options{}, false); err != nil {
			t.Errorf("%q: %v", remark, err)
		}
	}
}

// TestStationColumn: beside a column of points, a column of stations is the set-up if its
// values repeat. By hand: BM1 at 10 m is read 1.500 and 1.300, so the instrument is at
// 11.5 and 11.3 m, and the floor at 11.5 - 1.55 = 9.95 and 11.3 - 1.35 = 9.95.
func TestStationColumn(t *testing.T) {
	list := func(head, a, b string) string {
		return head + ",point,x (m),y (m),rod (m),code\n" + a + ",BM1,,,1.500,BM\n" + a + ",101,0,0,1.55,\n" + a + ",102,1,0,1.55,\n" + b + ",BM1,,,1.300,BM\n" + b + ",103,0,1,1.35,\n" + b + ",104,1,1,1.35,\n"
	}
	for _, head := range []string{"station", "STN", "Sta."} {
		s, err := readText([]byte(list(head, "1", "2")), "list.csv", survey.Options{Benchmarks: map[string]float64{"BM1": 10}}, false)
		if err != nil || len(s.Points) != 4 {
			t.Errorf("%s: %v", head, err)
			continue
		}
		for _, p := range s.Points {
			if math.Abs(p.Z-9.95) > 1e-9 {
				t.Errorf("%s: %s at %.3f, want 9.950", head, p.Name(), p.Z)
			}
		}
	}
	// The kinds of sight are in a column with another head.
	if _, err := readText([]byte(strings.ReplaceAll(list("station", "1", "2"), ",\n", ",IS\n")), "list.csv", survey.Options{}, false); err == nil || !strings.Contains(err.Error(), "sights (BS, IS, FS)") {
		t.Errorf("kinds of sights as codes: %v", err)
	}
	// With a mean of two readings each, either column may be the set-up.
	rows := "station,point,x (m),y (m),rod (m)\n"
	for i := range 6 {
		rows += fmt.Sprintf("%d,%d,%d,%d,1.5\n", i/2, 100+i, i%3, i/3)
	}
	_, err := readText([]byte(rows), "list.csv", survey.Options{}, false)
	var e *survey.Error
	if !errors.As(err, &e) || !strings.Contains(e.Hint, `"setup"`) {
		t.Errorf("two rows a station: %v, want a refusal", err)
	}
	s, err := readText([]byte(strings.Replace(list("station", "1", "2"), "rod", "z", 1)), "list.csv", survey.Options{}, false)
	if err != nil || len(s.Points) == 0 || s.Points[0].Name() != "101" {
		t.Errorf("elevations: %v", err)
	}
}

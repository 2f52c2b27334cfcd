package text

import (
	"math"
	"strings"
	"testing"

	"pourplane/survey"
)

// TestLoneNameBeginsSetup: an instrument or its place with a number, alone in a row.
// Common practice, no source. The list is the one of [TestBannerInAnyCell].
func TestLoneNameBeginsSetup(t *testing.T) {
	rows := []string{"BM1,,,1.500,", "1,0,0,1.512,", "2,4,0,1.526,", "TP1,,,1.600,", "", "TP1,,,1.500,", "3,0,4,1.412,", "4,4,4,1.431,"}
	want := map[string]float64{"1": 9.988, "2": 9.974, "3": 9.988, "4": 9.969}
	o := survey.Options{Benchmarks: map[string]float64{"BM1": 10}}
	for _, line := range []string{"LASER 2,,,,", "Inst. pos 2,,,,", "Instrument 2", "level 2,,,,", ",,,,level 2", "pos. 2,,,,", "new HI,,,,", "Aufstellung 2,,,,", "2nd laser,,,,", "laser,2,,,", "Tripod B,,,,by the door", "2. Aufstellung,,,,"} {
		for _, sep := range []string{",", ";", "\t"} {
			rows[4] = line
			s, err := readText([]byte(strings.ReplaceAll(listHead+strings.Join(rows, "\n")+"\n", ",", sep)), "list.csv", o, false)
			if err != nil || s.Book == nil || len(s.Book.Setups) != 2 || len(s.Points) != 4 {
				t.Errorf("%q with %q is no set-up: %v", line, sep, err)
				continue
			}
			for _, p := range s.Points {
				if math.Abs(p.Z-want[p.Name()]) > 1e-9 {
					t.Errorf("%q with %q: %s at %.4f, want %.4f", line, sep, p.Name(), p.Z, want[p.Name()])
				}
			}
		}
	}
	// Without a tie the move is refused.
	_, err := readText([]byte(listHead+"BM1,,,1.500,\n1,0,0,1.512,\n2,4,0,1.526,\nLASER 2,,,,\n3,0,4,1.412,\n"), "list.csv", o, false)
	if err == nil || !strings.Contains(err.Error(), "set-up 2") {
		t.Errorf("a move that nothing ties: %v", err)
	}
	// If shots have such names, one without a reading is refused with a question.
	_, err = readText([]byte(listHead+"Level 1,0,0,1.512,\nLevel 2,,,,\nLevel 3,4,0,1.526,\n"), "list.csv", survey.Options{Instrument: 11, HasInstrument: true}, false)
	if err == nil || !strings.Contains(err.Error(), `"Level 2" without a reading`) {
		t.Errorf("a shot or a move: %v", err)
	}
	// HI 2 may be a height. HI = 11.4 is one.
	_, err = readText([]byte(listHead+"BM1,,,1.500,\n1,0,0,1.512,\nHI 2,,,,\n3,0,4,1.412,\n"), "list.csv", o, false)
	if err == nil || !strings.Contains(err.Error(), "a height of instrument or the number") {
		t.Errorf("HI 2: %v", err)
	}
	s, err := readText([]byte(listHead+"HI = 11.5,,,,\n1,0,0,1.512,\n2,4,0,1.526,\nHI = 11.4,,,,\n3,0,4,1.412,\n"), "list.csv", survey.Options{}, false)
	if err != nil || len(s.Points) != 3 || math.Abs(s.Points[2].Z-9.988) > 1e-9 || math.Abs(s.Points[0].Z-9.988) > 1e-9 {
		t.Errorf("heights of instrument between rows: %v", err)
	}
	// A dash is a shot without a reading. A storey beside shots is not a move.
	s, err = readText([]byte(listHead+"1,0,0,1.512,level 2\n2,4,0,1.526,\nLaser 2,,,-,\n3,0,4,1.5,level 2\n"), "list.csv", survey.Options{Instrument: 11, HasInstrument: true}, false)
	if err != nil || s.Book != nil || len(s.Points) != 3 {
		t.Errorf("a storey and a dash: %v", err)
	}
}

// TestWordsBetweenShotsAsk: a row of words on the instrument that is no banner is refused
// among shots. Other words give a warning beside the depth. A benchmark that reads the
// same after the row answers the question.
func TestWordsBetweenShotsAsk(t *testing.T) {
	const none, asked, refused = 0, 1, 2
	for line, want := range map[string]int{
		"laser by the column,,,,": refused, "tripod leg sank,,,,": refused, "HI again,,,,": refused,
		"# inst at the door": asked, ",,,,other pos": asked, "level,,,,": asked, "hall done,,,,": asked, "deposit of mud,,,,": asked,
		"laser not touched,,,,": none,
	} {
		for _, after := range []string{"3,0,4,1.412,\n", "BM1,,,1.500,\n"} {
			if after[0] == 'B' && line[0] != '#' {
				want = none
			}
			s, err := readText([]byte(listHead+"BM1,,,1.500,\n1,0,0,1.512,\n2,4,0,1.526,\n"+line+"\n"+after), "list.csv", survey.Options{Benchmarks: map[string]float64{"BM1": 10}}, false)
			got := none
			var notes []survey.Note
			if err != nil {
				got = refused
			} else {
				notes = s.Notes
			}
			for _, n := range notes {
				if n.Kind == survey.Warning && n.Topic == survey.AboutDepth && n.Pos.Line == 5 {
					got++
				}
			}
			if got != want {
				t.Errorf("%q before %q: %d, want %d: %v %v", line, after, got, want, err, notes)
			}
		}
	}
}

// TestBenchmarkBySpelling: a benchmark read again closes on itself if its name is spelled
// in another way. By hand: 11.500 - 1.511 = 9.989, 11 mm low.
func TestBenchmarkBySpelling(t *testing.T) {
	const shots = "1,0,0,1.512,\n2,4,0,1.526,\n3,0,4,1.520,\n"
	o := survey.Options{Benchmarks: map[string]float64{"BM1": 10}}
	for _, row := range []string{"BM 1,,,1.511,", "BM1 check,,,1.511,", "bm1 close,,,1.511,", "BM1 again,,,1.511,", "BM1 end,,,1.511,", "BM-1,,,1.511,BM", "BM.1 chk,,,1.511,", "BM1CHK,,,1.511,", "Closing BM1,,,1.511,BM", "BM 1,9,9,1.511,"} {
		for _, start := range []string{"BM1,,,1.500,\n", "BM1 start,,,1.500,\n"} {
			s, err := readText([]byte(listHead+start+shots+row+"\n"), "list.csv", o, false)
			if err != nil || s.Book == nil || len(s.Book.Closures) != 1 {
				t.Errorf("%q after %q closes nothing: %v", row, start, err)
				continue
			}
			if c := s.Book.Closures[0]; c.On != "BM1" || math.Abs(c.Misclosure()+0.011) > 1e-9 || !c.Beyond() || len(s.Points) != 3 {
				t.Errorf("%q: %s differs by %.4f, %d shots", row, c.On, c.Misclosure(), len(s.Points))
			}
			taken := false
			for _, n := range s.Notes {
				taken = taken || n.Kind == survey.Assumed && n.Pos.Line == 6 && strings.HasSuffix(n.Text.String(), "is taken for BM1")
			}
			if !taken {
				t.Errorf("%q: not noted: %v", row, s.Notes)
			}
		}
	}
	// The elevation may be in the list.
	s, err := readText([]byte("point,x (m),y (m),rod (m),elevation (m)\nBM1,,,1.500,10\n"+shots+"BM 1,,,1.511,\n"), "list.csv", survey.Options{}, false)
	if err != nil || s.Book == nil || len(s.Book.Closures) != 1 {
		t.Errorf("an elevation in the list: %v", err)
	}
	// Two known benchmarks fit the name.
	_, err = readText([]byte(listHead+"BM1,,,1.500,\n"+shots+"BM 1,,,1.511,\n"), "list.csv", survey.Options{Benchmarks: map[string]float64{"BM1": 10, "BM-1": 10.2}}, false)
	if err == nil || !strings.Contains(err.Error(), "BM-1 or BM1") && !strings.Contains(err.Error(), "BM1 or BM-1") {
		t.Errorf("either of two: %v", err)
	}
	// No known benchmark fits the name. A name alone does not make a shot a benchmark.
	for row, want := range map[string]int{"BM7,,,1.511,": 1, "BM1 by the sill,,,1.511,": 1, "nail,,,1.511,BM": 1, "TP9,,,1.511,": 1, "nail,,,1.511,": 0} {
		s, err := readText([]byte(listHead+"BM1,,,1.500,\n"+shots+row+"\n"), "list.csv", o, false)
		if err != nil {
			t.Errorf("%q: %v", row, err)
			continue
		}
		warned := 0
		for _, n := range s.Notes {
			if n.Kind == survey.Warning && n.Topic == survey.AboutDepth && n.Pos.Line == 6 {
				warned++
			}
		}
		if warned != want {
			t.Errorf("%q: %d warnings, want %d: %v", row, warned, want, s.Notes)
		}
	}
}

func TestMarkKey(t *testing.T) {
	for name, want := range map[string]string{"bm 1": "BM1", "B.M. 1 (check)": "BM1", "BM-1chk": "BM1", "BEND": "BEND", "end": "", "Weekend 2": "WEEKEND2", "TP1": "TP1"} {
		if got := markKey(name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}

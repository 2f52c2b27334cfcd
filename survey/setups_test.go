package survey

import (
	"math"
	"strings"
	"testing"

	"pourplane/survey/unit"
)

// TestBannerWords: how crews head what they read from another place. Common practice,
// no source.
func TestBannerWords(t *testing.T) {
	for _, c := range []struct {
		text, name string
		weak       bool
	}{
		{"SETUP 2", "2", false}, {"Set-up B", "B", false}, {"set up #2", "2", false}, {"*** SETUP No. 3 ***", "3", false},
		{"setup", "", false}, {"Setup 2 - garage", "2", false}, {"2nd set-up", "", false}, {"new setup in hall", "", false},
		{"set up again", "", false}, {"moved laser", "", false}, {"Moved the instrument", "", false}, {"laser was moved", "", false},
		{"had to move the level", "", false}, {"re-set laser", "", false}, {"New position", "", false}, {"instrument station 4", "4", false},
		{"Station 2", "2", true}, {"Stn. C", "C", true}, {"Position 3", "3", true}, {"day 2", "", false},
	} {
		name, weak, ok := matchBanner(c.text)
		if !ok || name != c.name || weak != c.weak {
			t.Errorf("%q: name %q, weak %v, found %v; want %q, %v", c.text, name, weak, ok, c.name, c.weak)
		}
	}
	for _, text := range []string{"", "Station", "laser not moved", "same setup", "Sta 2+50", "setback", "level 2", "bay 2", "moved furniture", "BM1", "near station 2"} {
		if name, _, ok := matchBanner(text); ok {
			t.Errorf("%q begins a set-up %q, want none", text, name)
		}
	}
}

const listHead = "point,x (m),y (m),rod (m),note\n"

// TestBannerInAnyCell: the same floor from two set-ups, with the line between in every
// cell and in every separator that is read. By hand: the turning point reads 0.100 less
// from the second set-up, so that its height of instrument is 0.100 lower.
func TestBannerInAnyCell(t *testing.T) {
	rows := []string{"BM1,,,1.500,", "1,0,0,1.512,", "2,4,0,1.526,", "TP1,,,1.600,", "", "TP1,,,1.500,", "3,0,4,1.412,", "4,4,4,1.431,"}
	want := map[string]float64{"1": 9.988, "2": 9.974, "3": 9.988, "4": 9.969}
	for _, line := range []string{"SETUP 2,,,,", ",SETUP 2,,,", ",,,SETUP 2,", ",,,,SETUP 2", "SETUP 2", "SETUP,2,,,", "moved laser,,,,by the door", "# moved laser", "setup 2,3,1,,"} {
		for _, sep := range []string{",", ";", "\t"} {
			if strings.HasPrefix(line, "#") && sep == ";" {
				continue
			}
			rows[4] = line
			s, err := readText([]byte(strings.ReplaceAll(listHead+strings.Join(rows, "\n")+"\n", ",", sep)), "list.csv", Options{Benchmarks: map[string]float64{"BM1": 10}}, false)
			if err != nil {
				t.Errorf("%q with %q: %v", line, sep, err)
				continue
			}
			if len(s.Points) != 4 {
				t.Errorf("%q with %q: %d shots, want 4", line, sep, len(s.Points))
			}
			for _, p := range s.Points {
				if math.Abs(p.Z-want[p.Name]) > 1e-9 {
					t.Errorf("%q with %q: %s at %.4f, want %.4f", line, sep, p.Name, p.Z, want[p.Name])
				}
			}
		}
	}
}

// TestLabelOnEveryRow: one set-up that every row names is no move, and two in a column
// that is not headed so are refused.
func TestLabelOnEveryRow(t *testing.T) {
	one := listHead + "1,0,0,1.5,setup 1\n2,4,0,1.5,setup 1\n3,0,4,1.5,setup 1\n"
	o := Options{Instrument: 11, HasInstrument: true}
	s, err := readText([]byte(one), "list.csv", o, false)
	if err != nil || len(s.Points) != 3 || s.Book != nil {
		t.Fatalf("one set-up on every row: %v", err)
	}
	_, err = readText([]byte(one+"4,4,4,1.4,setup 2\n5,2,2,1.4,setup 2\n"), "list.csv", o, false)
	if err == nil || !strings.Contains(err.Error(), `list.csv:5`) || !strings.Contains(err.Error(), "on the row of a shot") {
		t.Errorf("two set-ups in the remarks: %v", err)
	}
}

// TestElevationsBesideReadings: where every row has its elevation, readings decide
// nothing, and a column of them makes no benchmarks of the shots.
func TestElevationsBesideReadings(t *testing.T) {
	list := "point,x (m),y (m),rod (m),elevation (m)\n1,0,0,1.500,10.000\n2,4,0,1.512,9.988\n3,0,4,1.520,9.980\nSETUP 2,,,,\n4,4,4,1.420,9.979\n"
	s, err := readText([]byte(list), "list.csv", Options{}, false)
	if err != nil || len(s.Points) != 4 || s.Book != nil {
		t.Fatalf("%v", err)
	}
	if z := s.Points[3].Z; math.Abs(z-9.979) > 1e-9 {
		t.Errorf("4 at %.4f, want 9.979 as written", z)
	}
}

// TestHeightOfInstrumentInColumn: a banner ends what a column of heights of
// instrument has said.
func TestHeightOfInstrumentInColumn(t *testing.T) {
	list := "point,x (m),y (m),rod (m),HI (m)\n1,0,0,1.500,11.5\n2,4,0,1.512,\nSETUP 2,,,,\n3,0,4,1.420,11.4\n4,4,4,1.431,\n"
	s, err := readText([]byte(list), "list.csv", Options{}, false)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{10, 9.988, 9.98, 9.969} {
		if z := s.Points[i].Z; math.Abs(z-want) > 1e-9 {
			t.Errorf("%s at %.4f, want %.4f", s.Points[i].Name, z, want)
		}
	}
	_, err = readText([]byte(strings.Replace(list, "1.420,11.4", "1.420,", 1)), "list.csv", Options{}, false)
	if err == nil || !strings.Contains(err.Error(), "set-up 2") {
		t.Errorf("a second set-up without a height of instrument: %v", err)
	}
}

// TestReadAgainRepeatsNoShot: a benchmark on the floor is one shot of it, however often
// it is read.
func TestReadAgainRepeatsNoShot(t *testing.T) {
	list := listHead + "BM1,0,0,1.500,\n1,4,0,1.512,\n2,0,4,1.520,\nBM1,0,0,1.501,\n"
	s, err := readText([]byte(list), "list.csv", Options{Benchmarks: map[string]float64{"bm1": 10}}, false)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != 3 || len(s.Control) != 1 {
		t.Errorf("%d shots and %d checks, want 3 and 1", len(s.Points), len(s.Control))
	}
	if c := s.Book.Main(); c == nil || math.Abs(c.Misclosure()+0.001) > 1e-9 {
		t.Errorf("closure %+v, want 1 mm low", c)
	}
	if err := s.Book.Err(unit.Style{}, false); err != nil {
		t.Errorf("1 mm is within 2 mm a set-up: %v", err)
	}
}

package text

import (
	"math"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// TestBannerWords: lines that crews write before readings from another place. Common
// practice, no source.
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

// TestBannerInAnyCell: the same floor from two set-ups, with the line between them in
// every cell and with every separator. By hand: the turning point reads 0.100 less from
// the second set-up, so its height of instrument is 0.100 lower.
func TestBannerInAnyCell(t *testing.T) {
	rows := []string{"BM1,,,1.500,", "1,0,0,1.512,", "2,4,0,1.526,", "TP1,,,1.600,", "", "TP1,,,1.500,", "3,0,4,1.412,", "4,4,4,1.431,"}
	want := map[string]float64{"1": 9.988, "2": 9.974, "3": 9.988, "4": 9.969}
	for _, line := range []string{"SETUP 2,,,,", ",SETUP 2,,,", ",,,SETUP 2,", ",,,,SETUP 2", "SETUP 2", "SETUP,2,,,", "moved laser,,,,by the door", "# moved laser", "setup 2,3,1,,"} {
		for _, sep := range []string{",", ";", "\t"} {
			if strings.HasPrefix(line, "#") && sep == ";" {
				continue
			}
			rows[4] = line
			s, err := readText([]byte(strings.ReplaceAll(listHead+strings.Join(rows, "\n")+"\n", ",", sep)), "list.csv", survey.Options{Benchmarks: map[string]float64{"BM1": 10}}, false)
			if err != nil {
				t.Errorf("%q with %q: %v", line, sep, err)
				continue
			}
			if len(s.Points) != 4 {
				t.Errorf("%q with %q: %d shots, want 4", line, sep, len(s.Points))
			}
			for _, p := range s.Points {
				if math.Abs(p.Z-want[p.Name()]) > 1e-9 {
					t.Errorf("%q with %q: %s at %.4f, want %.4f", line, sep, p.Name(), p.Z, want[p.Name()])
				}
			}
		}
	}
}

// TestLabelOnEveryRow: one set-up that every row names is not a move. Two, in a column
// with another head, are refused.
func TestLabelOnEveryRow(t *testing.T) {
	one := listHead + "1,0,0,1.5,setup 1\n2,4,0,1.5,setup 1\n3,0,4,1.5,setup 1\n"
	o := survey.Options{Instrument: 11, HasInstrument: true}
	s, err := readText([]byte(one), "list.csv", o, false)
	if err != nil || len(s.Points) != 3 || s.Book != nil {
		t.Fatalf("one set-up on every row: %v", err)
	}
	_, err = readText([]byte(one+"4,4,4,1.4,setup 2\n5,2,2,1.4,setup 2\n"), "list.csv", o, false)
	if err == nil || !strings.Contains(err.Error(), `list.csv:5`) || !strings.Contains(err.Error(), "on the row of a shot") {
		t.Errorf("two set-ups in the remarks: %v", err)
	}
}

// TestElevationsBesideReadings: if every row has its elevation, readings decide nothing,
// and a column of them does not make the shots benchmarks.
func TestElevationsBesideReadings(t *testing.T) {
	list := "point,x (m),y (m),rod (m),elevation (m)\n1,0,0,1.500,10.000\n2,4,0,1.512,9.988\n3,0,4,1.520,9.980\nSETUP 2,,,,\n4,4,4,1.420,9.979\n"
	s, err := readText([]byte(list), "list.csv", survey.Options{}, false)
	if err != nil || len(s.Points) != 4 || s.Book != nil {
		t.Fatalf("%v", err)
	}
	if z := s.Points[3].Z; math.Abs(z-9.979) > 1e-9 {
		t.Errorf("4 at %.4f, want 9.979 as written", z)
	}
}

// TestHeightOfInstrumentInColumn: a banner ends the last height of a column of heights of
// instrument.
func TestHeightOfInstrumentInColumn(t *testing.T) {
	list := "point,x (m),y (m),rod (m),HI (m)\n1,0,0,1.500,11.5\n2,4,0,1.512,\nSETUP 2,,,,\n3,0,4,1.420,11.4\n4,4,4,1.431,\n"
	s, err := readText([]byte(list), "list.csv", survey.Options{}, false)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{10, 9.988, 9.98, 9.969} {
		if z := s.Points[i].Z; math.Abs(z-want) > 1e-9 {
			t.Errorf("%s at %.4f, want %.4f", s.Points[i].Name(), z, want)
		}
	}
	_, err = readText([]byte(strings.Replace(list, "1.420,11.4", "1.420,", 1)), "list.csv", survey.Options{}, false)
	if err == nil || !strings.Contains(err.Error(), "set-up 2") {
		t.Errorf("a second set-up without a height of instrument: %v", err)
	}
}

// TestReadAgainRepeatsNoShot: a benchmark on the floor is one shot, however often it is
// read.
func TestReadAgainRepeatsNoShot(t *testing.T) {
	list := listHead + "BM1,0,0,1.500,\n1,4,0,1.512,\n2,0,4,1.520,\nBM1,0,0,1.501,\n"
	s, err := readText([]byte(list), "list.csv", survey.Options{Benchmarks: map[string]float64{"bm1": 10}}, false)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != 3 || len(s.Control) != 1 {
		t.Errorf("%d shots and %d checks, want 3 and 1", len(s.Points), len(s.Control))
	}
	if c := s.Book.Main(); c == nil || math.Abs(c.Misclosure()+0.001) > 1e-9 {
		t.Errorf("closure %+v, want 1 mm low", c)
	}
	if err := s.Book.Err(false); err != nil {
		t.Errorf("1 mm is within 2 mm a set-up: %v", err)
	}
}

// TestTieClosures: two points that disagree tie the set-ups. Each differs from the mean
// by half the disagreement, and may differ by half the allowance of two set-ups: with 2
// mm a set-up the disagreement may be 4 mm. By hand.
func TestTieClosures(t *testing.T) {
	list := "point,x (m),y (m),rod (m)\nBM,,,1.500\nA,4,0,1.512\nB,0,4,1.520\nSETUP 2,,,\nA,4,0,%s\nB,0,4,1.420\nC,4,4,1.431\n"
	for _, c := range []struct {
		reading  string
		closures int
		beyond   bool
	}{{"1.412", 0, false}, {"1.4159", 0, false}, {"1.4161", 2, true}, {"1.432", 2, true}} {
		s, err := readText([]byte(strings.Replace(list, "%s", c.reading, 1)), "list.csv", survey.Options{Benchmarks: map[string]float64{"BM": 10}}, false)
		if err != nil {
			t.Fatal(err)
		}
		if n := len(s.Book.Closures); n != c.closures {
			t.Errorf("A %s: %d closures, want %d", c.reading, n, c.closures)
		}
		if (s.Book.Err(false) != nil) != c.beyond {
			t.Errorf("A %s: refused %v, want %v", c.reading, !c.beyond, c.beyond)
		}
		for _, one := range s.Book.Closures {
			if math.Abs(one.Allowable-0.002) > 1e-12 || math.Abs(math.Abs(one.Misclosure())-s.Book.Ties[0].Spread()/2) > 1e-9 {
				t.Errorf("A %s: %s %.4f of %.4f", c.reading, one.On, one.Misclosure(), one.Allowable)
			}
		}
	}
}

// TestOnePointInTwoSetups: shots of one name up to 5 cm apart are one point, since a rod
// is put back that closely (own choice). Farther apart they are two.
func TestOnePointInTwoSetups(t *testing.T) {
	for _, c := range []struct {
		x    string
		tied bool
	}{{"4.049", true}, {"4.051", false}, {"4.4", false}} {
		list := "point,x (m),y (m),rod (m)\nBM,,,1.500\nA,4,0,1.512\nB,0,4,1.520\nSETUP 2,,,\nA," + c.x + ",0,1.412\nC,4,4,1.431\n"
		_, err := readText([]byte(list), "list.csv", survey.Options{Benchmarks: map[string]float64{"BM": 10}}, false)
		if (err == nil) != c.tied {
			t.Errorf("x %s: %v, want tied %v", c.x, err, c.tied)
		}
	}
}

// TestLoneSightHasItsOwnWeight: two set-ups with one backsight each, tied twice, with
// sights weighted by length. A shot with one sight has the variance of its height of
// instrument plus the variance of its sight. Weights are inverse to the length, so a
// sight four times as long has four times the variance. By hand from the normal equations
// of the book below, in which both sights of the network are 20 m long: the height of
// instrument is the mean of two, so q = 10, and a shot at d metres has q = 10 + d.
func TestLoneSightHasItsOwnWeight(t *testing.T) {
	book := "setup,sight,point,x,y,rod,elev,distance\n" +
		"1,BS,BM1,0,0,1.500,10.000,20\n1,IS,near,1,0,1.510,,10\n1,IS,far,2,0,1.520,,40\n1,IS,none,3,0,1.520,,\n1,FS,BM2,4,0,1.502,10.000,20\n"
	s, err := readText([]byte(book), "book.csv", survey.Options{Unit: unit.Metre, Adjust: survey.LeastSquares}, false)
	if err != nil {
		t.Fatal(err)
	}
	// Residuals are 1 mm each, with one redundant sight: s0² = 2·(1 mm)²/20 m, in mm²/m.
	s0 := math.Sqrt(0.1)
	for name, d := range map[string]float64{"near": 10, "far": 40, "none": 20} { // without a distance: the mean weight of the network
		for i := range s.Book.Sights {
			if v := &s.Book.Sights[i]; v.Name == name {
				if want := s0 * math.Sqrt(10+d); math.Abs(v.SD*1e3-want) > 1e-9 {
					t.Errorf("%s: standard deviation %.4f mm, want %.4f", name, v.SD*1e3, want)
				}
			}
		}
	}
}

// TestKindsOfReadings: the kind of each reading of a list, as a surveyor would book it.
func TestKindsOfReadings(t *testing.T) {
	for _, c := range []struct{ name, rows, want string }{
		{"a loop", "BM,,,1.500\na,4,0,1.512\nTP,,,1.600\nSETUP 2,,,\nTP,,,1.500\nb,0,4,1.412\nBM,,,1.400\nc,4,4,1.431\nBM,,,1.400\n",
			"BM BS, a IS, TP FS, TP BS, b IS, BM IS, c IS, BM FS"},
		{"the tie after the floor", "BM,,,1.500\na,4,0,1.512\nSETUP 2,,,\nb,0,4,1.412\nc,4,4,1.431\nBM,,,1.400\n",
			"BM BS, a IS, b IS, c IS, BM BS"},
		{"two benchmarks first", "BM,,,1.500\nTP,,,1.600\nSETUP 2,,,\nTP,,,1.500\nBM,,,1.400\na,4,0,1.412\nb,0,4,1.4\nc,4,4,1.4\n",
			"BM BS, TP FS, TP BS, BM BS, a IS, b IS, c IS"},
	} {
		s, err := readText([]byte("point,x (m),y (m),rod (m)\n"+c.rows+"d,9,9,1.4\ne,9,1,1.4\n"), "list.csv", survey.Options{Benchmarks: map[string]float64{"BM": 10}}, false)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var got []string
		for _, v := range s.Book.Sights {
			got = append(got, v.Name+" "+v.Kind.String())
		}
		if text := strings.Join(got[:len(got)-2], ", "); text != c.want {
			t.Errorf("%s: %s\nwant %s", c.name, text, c.want)
		}
	}
}

// TestMarksApart: two marks of one name more than 5 cm apart are two marks, and the list
// keeps its one height of instrument.
func TestMarksApart(t *testing.T) {
	list := "point,x (m),y (m),rod (m)\nBM,0,0,1.500\na,4,0,1.512\nb,0,4,1.520\nBM,%s,0,1.600\n"
	for x, book := range map[string]bool{"0.04": true, "0.06": false, "0.4": false} {
		s, err := readText([]byte(strings.Replace(list, "%s", x, 1)), "list.csv", survey.Options{Instrument: 11.5, HasInstrument: true}, false)
		if err != nil {
			t.Fatal(err)
		}
		if (s.Book != nil) != book {
			t.Errorf("x %s: a book %v, want %v", x, s.Book != nil, book)
		}
	}
}

package survey

import (
	"fmt"
	"strings"
	"testing"

	"pourplane/survey/unit"
)

// floorOf writes a list of shots on a grid with these heights, headed z.
func floorOf(head string, zs ...string) string {
	b := "P,E,N," + head + ",code\n"
	for i, z := range zs {
		cells := strings.Split(z, " ")
		code := ""
		if len(cells) > 1 {
			code = cells[1]
		}
		b += fmt.Sprintf("%d,%d,%d,%s,%s\n", i+1, i%9, i/9, cells[0], code)
	}
	return b
}

func times(n int, z string) (out []string) {
	for range n {
		out = append(out, z)
	}
	return out
}

func TestZerosCountByTheOtherHeights(t *testing.T) {
	cat := func(lists ...[]string) (out []string) {
		for _, l := range lists {
			out = append(out, l...)
		}
		return out
	}
	one := func(z string) []string { return []string{z} }
	m := Options{Unit: unit.Metre}
	for _, c := range []struct {
		name, head       string
		zs               []string
		o                Options
		points, finished int    // kept
		err              string // part of a refusal
		warned           bool
	}{
		// 56 shots on the datum and seven at -6 mm are a floor.
		{"a floor at the datum with a dip", "z", cat(times(56, "0"), times(7, "-0.006")), m, 63, 0, "", false},
		{"a recess 40 mm deep", "z", cat(times(10, "0"), times(30, "-0.040")), m, 40, 0, "", false},
		{"nothing but zeros", "z", times(9, "0.000"), m, 9, 0, "", false},
		{"few zeros far from the floor", "z", cat(times(30, "61.98"), times(2, "0")), m, 30, 0, "", true},
		{"one zero of four", "z", cat(times(3, "61.98"), one("0")), m, 3, 0, "", true},
		{"a rod read 0", "rod", cat(times(20, "1.482"), one("0")), m, 20, 0, "", true},
		{"a rod read 0 beside a benchmark", "rod", cat(times(20, "1.482"), one("0")), Options{Unit: unit.Metre, Instrument: 1.5, HasInstrument: true}, 20, 0, "", true},
		{"many zeros far from the floor", "z", cat(times(30, "61.98"), times(12, "0")), m, 0, 0, `column 4 "z": found 12 heights of exactly 0, 61.980 m or more from the 30 others`, false},
		{"a recess 150 mm deep, or not measured", "z", cat(times(30, "-0.150"), times(3, "0")), m, 0, 0, `found 3 heights of exactly 0, 150 mm or more from the 30 others, want whether 0 was measured there`, false},
		{"said to be measured", "z", cat(times(30, "-0.150"), times(3, "0")), Options{Unit: unit.Metre, Zeros: ZerosMeasured}, 33, 0, "", false},
		{"said to be missing", "z", cat(times(30, "-0.150"), times(3, "0")), Options{Unit: unit.Metre, Zeros: ZerosMissing}, 30, 0, "", false},
		{"a misread rod brings nothing near 0", "z", cat(times(30, "61.98"), one("6.198"), times(2, "0")), m, 31, 0, "", true},
		{"steps 1.2 m high", "z", cat(times(9, "0"), times(9, "1.2"), times(9, "2.4")), m, 27, 0, "", false},
		{"the finished floor is 0", "z", cat(times(30, "-0.150"), times(3, "0 FIN")), m, 30, 3, "", false},
		{"a sill of 0 at 61 m", "z", cat(times(30, "61.98"), one("0 SILL"), one("62.0 SILL")), m, 30, 1, "", true},
		{"the benchmark is 0", "z", cat(times(30, "-3.150"), one("0 BM")), m, 30, 0, "", false},
		{"just far enough", "z", cat(times(30, "1.000"), one("0")), m, 30, 0, "", true},
		{"not far enough", "z", cat(times(30, "0.999"), one("0")), m, 0, 0, "1 height of exactly 0, 999 mm", false},
		{"just near enough", "z", cat(times(30, "0.050"), one("0")), m, 31, 0, "", false},
		{"not near enough", "z", cat(times(30, "0.051"), one("0")), m, 0, 0, "1 height of exactly 0, 51 mm", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := floorOf(c.head, c.zs...)
			s, err := read(t, text, c.o)
			if c.err != "" {
				checkErrors(t, err, []string{c.err})
				if h := Hints(err); len(h) != 1 || !strings.Contains(h[0], "--zeros measured") {
					t.Errorf("hints %q", h)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if len(s.Points) != c.points || len(s.Finished) != c.finished {
				t.Errorf("%d shots and %d of the finished floor, want %d and %d", len(s.Points), len(s.Finished), c.points, c.finished)
			}
			warned := false
			for _, n := range s.Notes {
				warned = warned || n.Kind == Warning && n.Topic == AboutOrder
			}
			if warned != c.warned {
				t.Errorf("warned %v, want %v: %v", warned, c.warned, s.Notes)
			}
			left := len(c.zs) - c.points - c.finished - len(s.Control)
			if got := len(s.LeftOut()); got != left {
				t.Errorf("%d rows left out, want %d", got, left)
			}
		})
	}
}

// Corners drawn at 0 have no elevation, however many they are.
func TestCornersDrawnAtZero(t *testing.T) {
	s, err := read(t, "x,y,z,code\n0,0,0,OUT\n9,0,0,OUT\n9,9,0,OUT\n0,9,0,OUT\n1,1,61.98,\n5,1,61.97,\n5,5,61.98,\n", Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != 3 || s.Rings[0].Points[0].HasZ() {
		t.Errorf("%d shots, corner %+v, want 3 and a corner without an elevation", len(s.Points), s.Rings[0].Points[0])
	}
}

// Of a level book a shot read 0 is left out, a turning point never.
func TestZeroInALevelBook(t *testing.T) {
	s, err := read(t, `setup,sight,point,x,y,rod
A,BS,BM,9,9,1.5
A,IS,1,0,0,1.51
A,IS,2,1,0,1.52
A,IS,3,1,1,0
A,IS,4,0,1,1.49
A,FS,BM,9,9,1.5
`, Options{Unit: unit.Metre, Benchmarks: map[string]float64{"BM": 10}})
	if err != nil {
		t.Fatal(err)
	}
	checkPoints(t, s.Points, []at{{"1", 0, 0, 9.99}, {"2", 1, 0, 9.98}, {"4", 0, 1, 10.01}})
	checkNotes(t, s.Notes, []string{"left out: 3: 0 is not a measured height"})
}

// Streamed scans take the same decision.
func TestZerosOfAStreamedList(t *testing.T) {
	for _, c := range []struct {
		zs     []string
		o      Zeros
		points int
		err    string
	}{
		{append(times(56, "0"), times(7, "-0.006")...), ZerosByOthers, 63, ""},
		{append(times(30, "61.98"), "0"), ZerosByOthers, 30, ""},
		{append(times(30, "0.2"), "0"), ZerosByOthers, 0, "found 1 height of exactly 0, 200 mm"},
		{append(times(30, "0.2"), "0"), ZerosMeasured, 31, ""},
		{append(times(30, "0.2"), "0"), ZerosMissing, 30, ""},
	} {
		var b strings.Builder
		for i, z := range c.zs {
			fmt.Fprintf(&b, "%d %d %s\n", i%9, i/9, z)
		}
		s, err := read(t, b.String(), Options{Unit: unit.Metre, Order: "XYZ", Zeros: c.o, Thin: Thin{Cell: 0.1}})
		if c.err != "" {
			checkErrors(t, err, []string{c.err})
			continue
		}
		if err != nil || len(s.Points) != c.points {
			t.Errorf("%v, want %d points: %v", c.o, c.points, err)
		}
	}
}

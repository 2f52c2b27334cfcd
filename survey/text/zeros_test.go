package text

import (
	"fmt"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// floorOf returns a list of shots on a grid with heights zs under head.
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
	m := survey.Options{Unit: unit.Metre}
	for _, c := range []struct {
		name, head       string
		zs               []string
		o                survey.Options
		points, finished int    // kept
		err              string // part of a refusal
		warned           bool
	}{
		// 56 shots on the datum and seven at -6 mm are a floor.
		{"a floor at the datum with a dip", "z", cat(times(56, "0"), times(7, "-0.006")), m, 63, 0, "", false},
		{"a recess 40 mm deep", "z", cat(times(10, "0"), times(30, "-0.040")), m, 40, 0, "", false},
		{"nothing but zeros", "z", times(3, "0.000"), m, 0, 0, `column 4 "z": found 3 heights of exactly 0 and no other, want whether the floor was measured level at 0, or the file is a drawing without heights`, false},
		{"two zeros make no surface", "z", times(2, "0.000"), m, 2, 0, "", false},
		{"nothing but zeros, measured by option", "z", times(9, "0.000"), survey.Options{Unit: unit.Metre, Zeros: survey.ZerosMeasured}, 9, 0, "", false},
		{"few zeros far from the floor", "z", cat(times(30, "61.98"), times(2, "0")), m, 30, 0, "", true},
		{"one zero of four", "z", cat(times(3, "61.98"), one("0")), m, 3, 0, "", true},
		{"a rod read 0", "rod", cat(times(20, "1.482"), one("0")), m, 20, 0, "", true},
		{"a rod read 0 beside a benchmark", "rod", cat(times(20, "1.482"), one("0")), survey.Options{Unit: unit.Metre, Instrument: 1.5, HasInstrument: true}, 20, 0, "", true},
		{"many zeros far from the floor", "z", cat(times(30, "61.98"), times(12, "0")), m, 0, 0, `column 4 "z": found 12 heights of exactly 0, 61.980 m or more from the 30 others`, false},
		{"a recess 150 mm deep, or not measured", "z", cat(times(30, "-0.150"), times(3, "0")), m, 0, 0, `found 3 heights of exactly 0, 150 mm or more from the 30 others, want whether 0 was measured there`, false},
		{"measured by option", "z", cat(times(30, "-0.150"), times(3, "0")), survey.Options{Unit: unit.Metre, Zeros: survey.ZerosMeasured}, 33, 0, "", false},
		{"missing by option", "z", cat(times(30, "-0.150"), times(3, "0")), survey.Options{Unit: unit.Metre, Zeros: survey.ZerosMissing}, 30, 0, "", false},
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
				check.Errors(t, err, []string{c.err})
				if h := survey.Hints(err); len(h) != 1 || !strings.Contains(h[0], "--zeros measured") {
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
				warned = warned || n.Kind == survey.Warning && n.Topic == survey.AboutOrder
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

// Corners drawn at 0 have no elevation, whatever their number.
func TestCornersDrawnAtZero(t *testing.T) {
	s, err := read(t, "x,y,z,code\n0,0,0,OUT\n9,0,0,OUT\n9,9,0,OUT\n0,9,0,OUT\n1,1,61.98,\n5,1,61.97,\n5,5,61.98,\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Points) != 3 || s.Rings[0].Points[0].HasZ() {
		t.Errorf("%d shots, corner %+v, want 3 and a corner without an elevation", len(s.Points), s.Rings[0].Points[0])
	}
}

// A shot that reads 0 in a level book is left out, a turning point never.
func TestZeroInALevelBook(t *testing.T) {
	s, err := read(t, `setup,sight,point,x,y,rod
A,BS,BM,9,9,1.5
A,IS,1,0,0,1.51
A,IS,2,1,0,1.52
A,IS,3,1,1,0
A,IS,4,0,1,1.49
A,FS,BM,9,9,1.5
`, survey.Options{Unit: unit.Metre, Benchmarks: map[string]float64{"BM": 10}})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"1", 0, 0, 9.99}, {"2", 1, 0, 9.98}, {"4", 0, 1, 10.01}}))
	check.Notes(t, s.Notes, []string{"left out: 3: 0 is not a measured height"})
}

// Streamed scans give the same decision.
func TestZerosOfAStreamedList(t *testing.T) {
	for _, c := range []struct {
		zs     []string
		o      survey.Zeros
		points int
		err    string
	}{
		{append(times(56, "0"), times(7, "-0.006")...), survey.ZerosByOthers, 63, ""},
		{append(times(30, "61.98"), "0"), survey.ZerosByOthers, 30, ""},
		{append(times(30, "0.2"), "0"), survey.ZerosByOthers, 0, "found 1 height of exactly 0, 200 mm"},
		{append(times(30, "0.2"), "0"), survey.ZerosMeasured, 31, ""},
		{append(times(30, "0.2"), "0"), survey.ZerosMissing, 30, ""},
	} {
		var b strings.Builder
		for i, z := range c.zs {
			fmt.Fprintf(&b, "%d %d %s\n", i%9, i/9, z)
		}
		s, err := read(t, b.String(), survey.Options{Unit: unit.Metre, Order: "XYZ", Zeros: c.o, Thin: survey.Thin{Cell: 0.1}})
		if c.err != "" {
			check.Errors(t, err, []string{c.err})
			continue
		}
		if err != nil || len(s.Points) != c.points {
			t.Errorf("%v, want %d points: %v", c.o, c.points, err)
		}
	}
}

// A stray height near 0 does not keep the zeros of a scan, wherever it is in the file. A
// floor at 0 does. Memory grows with the squares, so many zeros may be missing.
func TestZerosOfAScanBesideAStray(t *testing.T) {
	scan := func(n int, z string, others ...string) string {
		var b strings.Builder
		every := n
		if len(others) > 0 {
			every = max(1, n/len(others))
		}
		for i := range n {
			if i%every == 0 && i/every < len(others) {
				fmt.Fprintf(&b, "%d.%03d %d.%03d %s\n", i%9, i%1000, i%7, i%777, others[i/every])
			}
			fmt.Fprintf(&b, "%d.%03d %d.%03d %s\n", i%9, i%1000, i%7, i%777, z)
		}
		return b.String()
	}
	for _, c := range []struct {
		name, text string
		gone       int // zeros that are not used
		err        string
	}{
		{"a stray first", scan(20_000, "61.98", "0.031", "0", "0", "0"), 3, ""},
		{"a stray last", scan(20_000, "61.98", "0", "0", "0", "0.031"), 3, ""},
		{"strays on both sides of 0", scan(20_000, "61.98", "-0.2", "0", "0.031", "0", "0.001"), 2, ""},
		{"none", scan(20_000, "61.98", "0", "0"), 2, ""},
		{"below 0", scan(20_000, "-3.5", "0.031", "0"), 1, ""},
		{"more strays than are left out at an end", "0 0 0\n" + scan(900, "61.98") + scan(100, "0.031"), 0, ""},
		{"a floor at 0", scan(20_000, "0.004", "0", "0"), 0, ""},
		{"in doubt", scan(20_000, "0.400", "0.001", "0", "0"), 0, "found 2 heights of exactly 0, 400 mm or more from the 20001 others"},
		{"not rare", scan(2_000, "61.98", "0.031") + scan(600, "0"), 0, "found 600 heights of exactly 0"},
		{"very many", scan(2_000, "61.98", "0.031") + scan(450, "0"), 450, ""},
		{"markers beside", scan(2_000, "61.98", "0.031", "-9999", "0") + scan(450, "-9999"), 1, ""},
	} {
		for _, keep := range []survey.Kept{survey.Mean, survey.Lowest, survey.Median} {
			s, err := read(t, c.text, survey.Options{Unit: unit.Metre, Order: "XYZ", Thin: survey.Thin{Cell: 0.05, Keep: keep}})
			if c.err != "" {
				check.Errors(t, err, []string{c.err})
				continue
			}
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			zeros, warned := 0, 0
			for _, p := range s.Points {
				if p.Z == 0 {
					zeros++
				}
			}
			for _, n := range s.Notes {
				var k int
				if _, err := fmt.Sscanf(n.Text.String(), "%d height", &k); err == nil && n.Kind == survey.Warning && n.Topic == survey.AboutOrder && strings.Contains(n.Text.String(), "of exactly 0 not used") {
					warned = k
				}
			}
			if warned != c.gone || c.gone > 0 && zeros > 0 {
				t.Errorf("%s, %v: %d zeros noted as not used, want %d; %d squares at 0", c.name, keep, warned, c.gone, zeros)
			}
			left, more := len(s.LeftOut()), 0
			for _, n := range s.Notes {
				var k int
				if _, err := fmt.Sscanf(n.Text.String(), "%d more height", &k); err == nil && n.Kind == survey.Assumed {
					more += k
				}
			}
			gone := c.gone
			if c.name == "markers beside" {
				gone += 451
			}
			if left > 2*mostNamed || left+more != gone {
				t.Errorf("%s: %d rows left out by name and %d more, want %d", c.name, left, more, gone)
			}
		}
	}
	// A merged grid is equal to one grid with all shots.
	for _, keep := range []survey.Kept{survey.Mean, survey.Lowest, survey.Median} {
		o := survey.Options{Unit: unit.Metre, Order: "XYZ", Thin: survey.Thin{Cell: 0.5, Keep: keep}}
		s, err := read(t, scan(3_000, "0.004", "0", "0", "0"), o)
		u, err2 := read(t, strings.ReplaceAll(scan(3_000, "0.004", "0", "0", "0"), " 0\n", " 1e-30\n"), o)
		if err != nil || err2 != nil || len(s.Points) != len(u.Points) {
			t.Fatal(err, err2)
		}
		for i, p := range s.Points {
			if q := u.Points[i]; p.X != q.X || p.Y != q.Y || p.Z-q.Z > 1e-12 || q.Z-p.Z > 1e-12 {
				t.Errorf("%v: %+v, want %+v", keep, p, q)
			}
		}
	}
}

// The bins of a tally grow wider, not more. The heights left out at the ends do not
// depend on the order.
func TestTally(t *testing.T) {
	up, down := newTally(), newTally()
	const n = 200_000
	for i := range n {
		up.see(10 + 0.0013*float64(i))
		down.see(10 + 0.0013*float64(n-1-i))
	}
	for _, one := range []*tally{up, down} {
		s := one.trimmed()
		if len(one.bins) > 16_384 || s.n != n || s.lo < 10+0.0013*n/20-0.1 || s.hi > 10+0.0013*n*19/20+0.1 {
			t.Errorf("%d bins, %d heights, %.3f to %.3f", len(one.bins), s.n, s.lo, s.hi)
		}
	}
	if up.trimmed() != down.trimmed() {
		t.Errorf("%v and backward %v", up.trimmed(), down.trimmed())
	}
}

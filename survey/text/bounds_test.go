package text

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// noted returns the number of notes with text that a list of elevations in metres gives.
func noted(t *testing.T, text string, rows []string) int {
	t.Helper()
	s, err := read(t, "P,E,N,Z\n"+strings.Join(rows, "\n")+"\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, note := range s.Notes {
		if strings.Contains(note.String(), text) {
			n++
		}
	}
	return n
}

// inRow returns rows of shots half a metre apart with elevations zs, m.
func inRow(zs ...float64) []string {
	var rows []string
	for i, z := range zs {
		rows = append(rows, fmt.Sprintf("%d,%g,%g,%g", i+1, float64(i%8)/2, float64(i/8)/2, z))
	}
	return rows
}

// An elevation that differs from the others by the factor between two units, within 5 %,
// gives a warning: tenths, inches in a foot, mm in an inch and in a foot, mm in a metre.
func TestFactorsBetweenUnits(t *testing.T) {
	const doubt = "another unit?"
	around := []float64{9.99, 10, 10.01, 10, 9.995, 10.005, 10, 10.002}
	for _, factor := range []float64{10, 12, 25.4, 304.8, 1000} {
		if n := noted(t, fmt.Sprintf("by a factor of about %g", factor), inRow(append(around, 10*factor)...)); n != 1 {
			t.Errorf("%g times the others: %d warnings, want 1", factor, n)
		}
	}
	for off, want := range map[float64]int{0.96: 1, 0.94: 0, 1.04: 1, 1.06: 0} {
		if n := noted(t, doubt, inRow(append(around, 3048*off)...)); n != want {
			t.Errorf("%g times another unit: %d warnings, want %d", off, n, want)
		}
	}
	// By hand: heights of 1 ± d m have a standard deviation of 1.4826·d by their median.
	// A tenth of 1 m differs by 0.9 m, which is 20 standard deviations if d is 30.35 mm.
	for d, want := range map[float64]int{0.0297: 1, 0.0310: 0} {
		if n := noted(t, doubt, inRow(1-d, 1-d, 1-d, 1-d, 1, 1+d, 1+d, 1+d, 1+d, 0.1)); n != want {
			t.Errorf("others within %g m: %d warnings, want %d", d, n, want)
		}
	}
	// For a dead level floor the standard deviation is set to 0.5 mm: 20 of these are 10
	// mm.
	for z, want := range map[float64]int{0.0115: 1, 0.0107: 0} {
		if n := noted(t, doubt, inRow(z, z, z, z, z, z, z, z/10)); n != want {
			t.Errorf("a level floor at %g m: %d warnings, want %d", z, n, want)
		}
	}
	// Up to ten are listed.
	if n := noted(t, doubt, inRow(append(append(around, around...), 100, 100, 100, 100, 100, 100, 100, 100, 100, 100, 100)...)); n != 10 {
		t.Errorf("eleven of another unit: %d warnings, want 10", n)
	}
}

// Numbers that loggers and grids write for no data, in the unit of the file; from memory.
func TestMarkersOfNoData(t *testing.T) {
	for _, v := range []float64{999, -999, 9999, -9999, 99999, 999999, -32768, 32767, 1.1e20, -1.1e20, 3.4e38} {
		if !isMarker(v, unit.Metre) || !isMarker(v*0.3048, unit.Foot) {
			t.Errorf("%g is not taken for no data", v)
		}
	}
	for _, v := range []float64{998.5, 499.5, 1998, 49999.5, 199998, 65534, 9.9e19} {
		if isMarker(v, unit.Metre) {
			t.Errorf("%g is taken for no data", v)
		}
	}
}

// A marker or a zero was measured if the other heights are near: within 20 times their
// reach for a marker, 5 times for a zero. The reach is at least a thousandth of the
// heights.
func TestReachOfHeights(t *testing.T) {
	for _, c := range []struct {
		s    spread
		z    float64
		want bool
	}{
		{spread{10, 20, 5}, 219, true}, {spread{10, 20, 5}, 221, false}, {spread{10, 20, 5}, -189, true}, {spread{10, 20, 5}, -191, false},
		{spread{100, 100, 5}, 101.9, true}, {spread{100, 100, 5}, 102.1, false},
	} {
		if got := c.s.near(c.z); got != c.want {
			t.Errorf("%g beside %g to %g: %v, want %v", c.z, c.s.lo, c.s.hi, got, c.want)
		}
	}
	for _, c := range []struct {
		s    spread
		n    int
		want survey.Zeros
	}{
		{spread{0.195, 0.235, 8}, 1, survey.ZerosMeasured}, {spread{0.205, 0.245, 8}, 1, survey.ZerosByOthers}, // 5 times 40 mm
		{spread{0.049, 0.0495, 8}, 1, survey.ZerosMeasured}, {spread{0.051, 0.0515, 8}, 1, survey.ZerosByOthers}, // 50 mm: uneven
		{spread{1.001, 1.002, 8}, 2, survey.ZerosMissing}, {spread{0.999, 1, 8}, 2, survey.ZerosByOthers}, // a storey
		{spread{9, 9.1, 8}, 3, survey.ZerosByOthers}, {spread{9, 9.1, 3}, 1, survey.ZerosMissing}, {spread{9, 9.1, 2}, 1, survey.ZerosByOthers}, // rare
	} {
		if got := c.s.zeros(c.n, survey.ZerosByOthers); got != c.want {
			t.Errorf("%d zeros beside %d heights of %g to %g: %v, want %v", c.n, c.s.n, c.s.lo, c.s.hi, got, c.want)
		}
	}
}

// A plan wider than a kilometre, two shots within a centimetre, names written twice.
func TestOddPlans(t *testing.T) {
	for wide, want := range map[float64]int{999: 0, 1001: 1} {
		if n := noted(t, "is the unit right?", []string{"1,0,0,9.9", "2,5,0,9.9", fmt.Sprintf("3,%g,0,9.9", wide)}); n != want {
			t.Errorf("a plan %g m wide: %d warnings, want %d", wide, n, want)
		}
	}
	for near, want := range map[float64]int{0.009: 1, 0.011: 0} {
		if n := noted(t, "a step or a slip", []string{"1,0,0,9.9", "2,5,0,9.9", fmt.Sprintf("3,%g,0,9.93", 5+near)}); n != want {
			t.Errorf("shots %g m apart: %d warnings, want %d", near, n, want)
		}
	}
	var pairs, names []string
	for i := range 11 {
		pairs = append(pairs, fmt.Sprintf("a%d,%d,0,9.9", i, i), fmt.Sprintf("b%d,%d.005,0,9.95", i, i))
	}
	if n := noted(t, "a step or a slip", pairs); n != 10 {
		t.Errorf("eleven slips: %d warnings, want 10", n)
	}
	for i := range 20 {
		names = append(names, fmt.Sprintf("%d,%d,0,9.9", min(i, 13), i))
	}
	if noted(t, "names that occur twice: 13 on lines 15 and 16", names) != 1 || noted(t, "15 and 20 and 1 more", names) != 1 || noted(t, "more", names[:19]) != 0 {
		t.Error("of six names written twice five are listed, with how many more; of five all")
	}
	for count, want := range map[int]int{20_000: 1, 20_001: 0} {
		var many []string
		for i := range count {
			many = append(many, fmt.Sprintf("%d,%g,%g,9.9", max(i, 1), float64(i%200)/2, float64(i/200)/2))
		}
		if n := noted(t, "names that occur twice", many); n != want {
			t.Errorf("%d shots: %d warnings of names, want %d", count, n, want)
		}
	}
}

// Files up to 100,000 shots keep readings as written.
func TestReadingsOfLongFiles(t *testing.T) {
	for count, kept := range map[int]int{100_000: 100_000, 100_001: 0} {
		var b strings.Builder
		b.WriteString("E,N,Z\n")
		for i := range count {
			fmt.Fprintf(&b, "%d,%d,9.9\n", i%400, i/400)
		}
		s, err := read(t, b.String(), survey.Options{Unit: unit.Metre})
		if err != nil || len(s.Readings) != kept {
			t.Errorf("%d shots: %d readings, %v; want %d", count, len(s.Readings), err, kept)
		}
	}
}

// Up to eight bare cells in a column of feet and inches are listed.
func TestBareCellsAreListed(t *testing.T) {
	for bare, want := range map[int]string{8: "5 on line 49", 9: "5 on line 49 and 1 more"} {
		text := "point,x (ft),y (ft),rod (ft-in)\n"
		for i := range 40 {
			text += fmt.Sprintf("%d,%d,0,4-11 3/8\n", i, i)
		}
		for i := range bare {
			text += fmt.Sprintf("b%d,%d,5,5\n", i, i)
		}
		s, err := read(t, text, survey.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasSuffix(bareNotes(s), want) {
			t.Errorf("%d bare cells: %q, want %q", bare, bareNotes(s), want)
		}
	}
}

func bareNotes(s *survey.Survey) string {
	var out []string
	for _, n := range s.Notes {
		if strings.Contains(n.String(), "read so too") {
			out = append(out, n.String())
		}
	}
	return strings.Join(out, "; ")
}

// Books are kept to the millimetre: a figure that a book has computed may differ from its
// sights by half of one.
func TestWorkedFiguresMayDifferByTheirRounding(t *testing.T) {
	for level, wrong := range map[string]bool{"10.1005": false, "10.1006": true} {
		s, err := read(t, "Station,BS,IS,FS,HI,RL,x,y\nBM,1.5,,,11.5,10,0,0\na,,1.4,,,"+level+",2,0\n", survey.Options{Unit: unit.Metre})
		if err != nil || len(s.Book.Faults) > 0 != wrong {
			t.Errorf("an elevation of %s where the sights give 10.100: faults %v, %v", level, s.Book.Faults, err)
		}
	}
}

// Two heights of instrument that differ by less than a tenth of a millimetre are the
// same.
func TestHeightsOfInstrumentAlike(t *testing.T) {
	for second, moved := range map[string]bool{"11.50009": false, "11.50011": true} {
		s, err := read(t, "HI = 11.5\npoint,x (m),y (m),rod (m)\n1,0,0,1.5\n2,4,0,1.6\nHI = "+second+"\n3,4,4,1.7\n4,0,4,1.8\n", survey.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(fmt.Sprint(s.Notes), "begins here"); got != moved {
			t.Errorf("11.5 and %s: a new set-up %v, want %v: %v", second, got, moved, s.Notes)
		}
	}
}

// Numbers of a sheet above 7.7 m are not rod readings: the longest rod in common use is
// 25 ft (common practice, no source).
func TestNoRodIsThatLong(t *testing.T) {
	for z, refused := range map[string]bool{"7.6": true, "7.8": false} {
		_, err := read(t, fmt.Sprintf(",A,B\n1,%s,%[1]s\n2,%[1]s,%[1]s\n", z), survey.Options{Unit: unit.Metre, Grid: survey.Grid{LetterStep: 1, NumberStep: 1, Bearings: &survey.GridBearings{Letters: 90, Numbers: 0}}})
		if (err != nil) != refused {
			t.Errorf("cells of %s m: %v", z, err)
		}
	}
}

// Two shots of one name whose elevations differ by up to ten times the allowance of two
// set-ups, 10 × 4 mm, are one point, misread. Farther apart they are two points: shots
// are often numbered from 1 again.
func TestOneNameOrTwoPoints(t *testing.T) {
	for rod, two := range map[string]bool{"1.461": false, "1.459": true, "1.539": false, "1.541": true} { // 1.500 gives the same elevation
		s, err := read(t, "setup,sight,point,rod,elev\n1,BS,BM1,1.500,10\n1,IS,7,1.400,\n1,FS,TP1,1.200,\n2,BS,TP1,1.300,\n2,IS,7,"+rod+",\n2,FS,BM1,1.600,\n", survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(fmt.Sprint(s.Notes), "taken for two points of one name"); got != two {
			t.Errorf("%s: two points %v, want %v: %v", rod, got, two, s.Notes)
		}
	}
}

// The standard deviation of a shot with one sight, by hand: A and B are known, 10 m from
// the level on either side, and close 2 mm high. Their weights are 1/10. So the height of
// instrument has the cofactor 5, and the unit weight has the variance 2 × 0.1 × 1² mm²,
// with one redundant sight. P at 40 m has the cofactor 40 + 5, a standard deviation of
// √(0.2 × 45) = 3 mm. Without a distance it has the mean weight, √(0.2 × 15) mm.
func TestShotSightedOnce(t *testing.T) {
	for distance, want := range map[string]float64{"40": 0.003, "10": math.Sqrt(0.2*15) / 1000, "": math.Sqrt(0.2*15) / 1000} {
		s, err := read(t, "setup,sight,point,rod,elev,distance\n1,BS,A,1.500,10,10\n1,IS,P,1.400,,"+distance+"\n1,FS,B,1.498,10,10\n", survey.Options{Unit: unit.Metre, Adjust: survey.LeastSquares})
		if err != nil {
			t.Fatal(err)
		}
		if p := s.Book.Sights[1]; p.Name != "P" || math.Abs(p.SD-want) > 1e-9 || math.Abs(p.Elevation-(10+0.1-0.001)) > 1e-9 {
			t.Errorf("at %q m: %+v, want a standard deviation of %.6f m", distance, p, want)
		}
	}
}

package text

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// bookOf returns a book with columns BS, IS and FS. The first reading of each set-up is a
// backsight, the last a foresight.
func bookOf(start float64, setups ...[]float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Station,BS,IS,FS,RL\n")
	n := 0
	for k, s := range setups {
		last := k == len(setups)-1
		for i, r := range s {
			switch {
			case k == 0 && i == 0:
				n++
				fmt.Fprintf(&b, "P%d,%g,,,%g\n", n, r, start)
			case i == 0: // in the row of the foresight before it
			case i < len(s)-1:
				n++
				fmt.Fprintf(&b, "P%d,,%g,,\n", n, r)
			case last:
				n++
				fmt.Fprintf(&b, "P%d,,,%g,\n", n, r)
			default:
				n++
				fmt.Fprintf(&b, "P%d,%g,,%g,\n", n, setups[k+1][0], r)
			}
		}
	}
	return b.String()
}

// levelsOf returns the elevation, m, of each point, in the order of the sights.
func levelsOf(b *survey.Book) []float64 {
	var out []float64
	seen := map[string]bool{}
	for i := range b.Sights {
		if s := &b.Sights[i]; !seen[s.Name] {
			seen[s.Name] = true
			out = append(out, s.Elevation)
		}
	}
	return out
}

// Level books of textbooks and their answers, digit for digit. "Computed" marks answers
// that the source does not print: they are computed by hand from its rule.
func TestPublishedLevelBooks(t *testing.T) {
	for _, c := range []struct {
		name, source    string
		start           float64
		setups          [][]float64
		levels, hi      []float64
		bs, fs          float64
		rise, fall      float64
		levelsPublished bool
	}{
		{"every sight, two moves", "textbook staff readings (Punmia-type problem) with its published answer", 100.000,
			[][]float64{{0.855, 1.545, 2.335, 3.115, 3.825}, {0.455, 1.380, 2.055, 2.855, 3.455}, {0.585, 1.015, 1.850, 2.755, 3.845}},
			[]float64{100.000, 99.310, 98.520, 97.740, 97.030, 96.105, 95.430, 94.630, 94.030, 93.600, 92.765, 91.860, 90.770},
			[]float64{100.855, 97.485, 94.615}, 1.895, 11.125, 0, 9.230, true},
		{"difference across the move", "published answer by heights of instrument; another one differences across the moves and is wrong", 190.750,
			[][]float64{{0.680, 1.455, 1.855, 2.330, 2.885, 3.380}, {1.055, 1.860, 2.265, 3.540}, {0.835, 0.945, 1.530, 2.250}},
			[]float64{190.750, 189.975, 189.575, 189.100, 188.545, 188.050, 187.245, 186.840, 185.565, 185.455, 184.870, 184.150},
			[]float64{191.430, 189.105, 186.400}, 2.570, 9.170, 0, 6.600, true},
		{"three moves", "same collection, second problem; computed", 150.250,
			[][]float64{{2.228, 1.606, 0.988}, {2.090, 2.864, 1.262}, {0.602, 1.982}, {1.044, 2.684}},
			[]float64{150.250, 150.872, 151.490, 150.716, 152.318, 150.938, 149.298},
			[]float64{152.478, 153.580, 152.920, 151.982}, 5.964, 6.916, 2.842, 3.794, false},
		{"rise and fall no. 1", "N. N. Basak, Surveying and Levelling, 1994, p. 163: rise 3.610, fall 6.030, difference -2.420", 100,
			[][]float64{{2.375, 1.730, 0.615, 3.450}, {2.835, 2.070, 1.835, 0.985}, {0.435, 1.630, 2.255, 3.630}},
			[]float64{100, 100.645, 101.760, 98.925, 99.690, 99.925, 100.775, 99.580, 98.955, 97.580}, nil, 5.645, 8.065, 3.610, 6.030, false},
		{"rise and fall no. 2", "the same, p. 164: rise 5.125, fall 4.895, difference 0.230", 100,
			[][]float64{{3.150, 2.245, 1.125}, {3.860, 2.125, 0.760, 2.235}, {0.470, 1.935, 3.225, 3.890}},
			[]float64{100, 100.905, 102.025, 103.760, 105.125, 103.650, 102.185, 100.895, 100.230}, nil, 7.480, 7.250, 5.125, 4.895, false},
		{"six differences", "published differences 0.55, -0.85, 0.70, -1.00, -0.55", 0,
			[][]float64{{1.35, 0.80, 1.65}, {1.40, 0.70, 1.70}, {1.30, 1.85}},
			[]float64{0, 0.55, -0.30, 0.40, -0.60, -1.15}, nil, 4.05, 5.20, 1.25, 2.40, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, bookOf(c.start, c.setups...), survey.Options{Unit: unit.Metre})
			if err != nil {
				t.Fatal(err)
			}
			b := s.Book
			got := levelsOf(b)
			if len(got) != len(c.levels) {
				t.Fatalf("%d levels, want %d", len(got), len(c.levels))
			}
			for i, want := range c.levels {
				if fmt.Sprintf("%.3f", got[i]) != fmt.Sprintf("%.3f", want) {
					t.Errorf("level %d is %.4f, want %.3f", i+1, got[i], want)
				}
			}
			for i, want := range c.hi {
				if fmt.Sprintf("%.3f", b.Setups[i].HI) != fmt.Sprintf("%.3f", want) {
					t.Errorf("HI %d is %.4f, want %.3f", i+1, b.Setups[i].HI, want)
				}
			}
			k := b.Checks
			for _, v := range []struct {
				what      string
				got, want float64
			}{{"sum of backsights", k.SumBS, c.bs}, {"of foresights", k.SumFS, c.fs}, {"of rises", k.SumRise, c.rise}, {"of falls", k.SumFall, c.fall},
				{"last less first", k.LastMinusFirst, c.bs - c.fs}, {"rise less fall", k.SumRise - k.SumFall, c.bs - c.fs}} {
				if math.Abs(v.got-v.want) > 1e-9 {
					t.Errorf("%s %.6f, want %.3f (%s)", v.what, v.got, v.want, c.source)
				}
			}
			if !k.Line {
				t.Error("the book is one line, and is not seen as one")
			}
		})
	}
}

// A university exercise with its solution: heights of instrument, elevations, sums
// and a misclosure of 0.04 ft on BM B at 94.91.
func TestPublishedBookInFeetCloses(t *testing.T) {
	const book = "Station,BS,FS,HI,Elevation\nBM A,3.10,,103.10,100.00\nTP1,6.44,9.82,99.72,93.28\nTP2,8.76,6.96,101.52,92.76\nTP3,7.12,3.27,105.37,98.25\nBM B,,10.42,,94.95\n"
	s, err := read(t, book, survey.Options{Unit: unit.Foot, Benchmarks: map[string]float64{"BM B": 94.91 * ft}})
	if err != nil {
		t.Fatal(err)
	}
	b := s.Book
	if err := b.Err(true); err != nil {
		t.Errorf("the book's own heights and elevations: %v", err)
	}
	c := b.Main()
	if c == nil {
		t.Fatal("the book does not close")
	}
	for _, v := range []struct {
		what      string
		got, want float64
	}{{"misclosure", c.Misclosure(), 0.04}, {"observed", c.Observed, 94.95}, {"BS", b.Checks.SumBS, 25.42}, {"FS", b.Checks.SumFS, 30.47}, {"rise", b.Checks.SumRise, 5.49}, {"fall", b.Checks.SumFall, 10.54}, {"allowed", c.Allowable, 4.0 / 16 / 12}} {
		if math.Abs(v.got/ft-v.want) > 1e-9 {
			t.Errorf("%s is %.6f ft, want %g", v.what, v.got/ft, v.want)
		}
	}
	if !c.Beyond() {
		t.Error("0.04 ft over four set-ups is more than 1/16 in a set-up")
	}
}

// NAVEDTRA 14071, fig. 7-4: a circuit closes at 136.457 ft on a benchmark of 136.442 ft.
// The published error of closure is 0.015 ft. The readings are ours.
func TestPublishedErrorOfClosure(t *testing.T) {
	s, err := read(t, "setup,sight,point,rod,elev\n1,BS,BM 19,5.000,136.442\n1,FS,TP,4.000,\n2,BS,TP,3.000,\n2,FS,BM 19,3.985,\n", survey.Options{Unit: unit.Foot})
	if err != nil {
		t.Fatal(err)
	}
	if c := s.Book.Main(); math.Abs(c.Observed/ft-136.457) > 1e-9 || math.Abs(c.Misclosure()/ft-0.015) > 1e-9 {
		t.Errorf("observed %.4f, misclosure %.4f ft; published 136.457 and 0.015", c.Observed/ft, c.Misclosure()/ft)
	}
}

// A circuit of 30.5 km whose observed elevations are those of a published problem
// (believed to be La Putt, Elementary Surveying); the corrections in proportion to
// distance are computed, -misclosure times d/D. Each leg is one set-up here.
func TestSpreadByDistance(t *testing.T) {
	marks := []struct {
		name               string
		km                 float64
		observed, adjusted float64
	}{
		{"BM2", 5.245, 783.213, 783.2550}, {"BM3", 11.271, 891.764, 891.8542}, {"BM4", 17.718, 843.195, 843.3367},
		{"BM5", 21.964, 739.708, 739.8837}, {"BM6", 25.247, 702.956, 703.1580}, {"BM1", 30.500, 728.486, 728.7300},
	}
	var book strings.Builder
	book.WriteString("setup,sight,point,rod,elev,distance\n")
	from, z, km := "BM1", 728.730, 0.0
	for i, m := range marks {
		elev := ""
		if i == 0 {
			elev = "728.730"
		}
		leg := (m.km - km) * 1000
		fmt.Fprintf(&book, "%d,BS,%s,%.4f,%s,%.1f\n%d,FS,%s,%.4f,,%.1f\n", i+1, from, 200+m.observed-z, elev, leg/2, i+1, m.name, 200.0, leg/2)
		from, z, km = m.name, m.observed, m.km
	}
	s, err := read(t, book.String(), survey.Options{Unit: unit.Metre, Adjust: survey.ByDistance, Allow: survey.ThirdOrder})
	if err != nil {
		t.Fatal(err)
	}
	c := s.Book.Main()
	if math.Abs(c.Misclosure()+0.244) > 1e-9 || math.Abs(c.Allowable-0.0663) > 5e-5 || !c.Beyond() {
		t.Errorf("misclosure %.4f, allowed %.4f; want -0.244, 0.0663 and refused", c.Misclosure(), c.Allowable)
	}
	for _, m := range marks {
		for i := range s.Book.Sights {
			v := &s.Book.Sights[i]
			if v.Name == m.name && v.Kind == survey.Fore && math.Abs(v.Elevation-m.adjusted) > 5.1e-5 {
				t.Errorf("%s adjusted to %.5f, want %.4f", m.name, v.Elevation, m.adjusted)
			}
		}
	}
}

// Adjusted by set-ups, the shots of a line of sight move with it and the benchmark
// closes.
func TestSpreadBySetups(t *testing.T) {
	s, err := read(t, twoSetups, survey.Options{Unit: unit.Metre, Adjust: survey.BySetups})
	if err != nil {
		t.Fatal(err)
	}
	// Misclosure 2 mm over two set-ups: the shots of S1 move by 1 mm, those of S2 by 2
	// mm.
	check.Points(t, s.Points, points([]at{{"a", 1, 0, 9.987}, {"b", 3, 0, 9.984}}))
	last := s.Book.Sights[len(s.Book.Sights)-1]
	if math.Abs(last.Elevation-10) > 1e-12 || math.Abs(last.Correction+0.002) > 1e-12 {
		t.Errorf("the closing sight is adjusted to %.6f by %.6f", last.Elevation, last.Correction)
	}
}

// A levelling net with redundant ties: Ghilani, Adjustment Computations, chapter 12 (data
// and adjusted elevations from memory; they agree with one another to the last digit,
// which confirms them). Benchmark A is 437.596 m. Differences have standard deviations in
// mm. Each difference is a set-up here, whose two sights share its variance.
func TestPublishedLevelNet(t *testing.T) {
	net := []struct {
		from, to string
		dz, sd   float64
	}{
		{"A", "B", 10.509, 6}, {"B", "C", 5.360, 4}, {"C", "D", -8.523, 5}, {"D", "A", -7.348, 3}, {"B", "D", -3.167, 4}, {"A", "C", 15.881, 12},
	}
	var book strings.Builder
	book.WriteString("setup,sight,point,rod,elev,distance\n")
	for i, n := range net {
		elev := ""
		if n.from == "A" {
			elev = "437.596"
		}
		fmt.Fprintf(&book, "%d,BS,%s,%.3f,%s,%g\n%d,FS,%s,20.000,,%g\n", i+1, n.from, 20+n.dz, elev, n.sd*n.sd/2, i+1, n.to, n.sd*n.sd/2)
	}
	s, err := read(t, book.String(), survey.Options{Unit: unit.Metre, Adjust: survey.LeastSquares})
	if err != nil {
		t.Fatal(err)
	}
	b := s.Book
	if b.Redundancy != 3 {
		t.Errorf("redundancy %d, want 3", b.Redundancy)
	}
	want := map[string]float64{"A": 437.596, "B": 448.1087, "C": 453.4685, "D": 444.9436}
	// By hand, from the published elevations: residuals weighted by the variances, six
	// differences for three unknowns. The distances of the book are in place of mm².
	squares := 0.0
	for _, n := range net {
		v := (want[n.to] - want[n.from] - n.dz) * 1e3 / n.sd
		squares += v * v
	}
	if got, hand := b.UnitWeight*1e3, math.Sqrt(squares/3); math.Abs(got-hand) > 2e-3 {
		t.Errorf("standard deviation of unit weight %.5f, by hand %.5f", got, hand)
	}
	for i := range b.Sights {
		v := &b.Sights[i]
		if z, ok := want[v.Name]; ok && math.Abs(v.Elevation-z) > 5.1e-5 {
			t.Errorf("%s adjusted to %.5f, published %.4f", v.Name, v.Elevation, z)
		}
		if v.Name == "A" && (v.Elevation != 437.596 || v.SD != 0) {
			t.Errorf("the benchmark moved to %.5f ± %g", v.Elevation, v.SD)
		}
	}
}

// A reading with two digits swapped is found if swapping them back closes the book. Other
// faults are narrowed down to the sights that share the misfit.
func TestFaultIsNamed(t *testing.T) {
	for _, c := range []struct{ name, book, want string }{
		{"figures swapped", strings.Replace(twoSetups, "1.438", "1.483", 1), `the backsight on TP reads 1.483; 1.438 would close the book (f.csv:5)`},
		{"swapped foresight", strings.Replace(twoSetups, "1.531", "1.351", 1), `the foresight on TP reads 1.351; 1.531 would close the book (f.csv:4)`},
		{"one line cannot tell", strings.Replace(twoSetups, "1.405", "1.305", 1), "one of set-ups 1, 2; a line that closes once cannot tell which"},
		// The turning point and Q agree between the set-ups, BM2 agrees with the first:
		// only the closing sight is left.
		{"more ties", "setup,sight,point,x,y,rod,elev\n1,BS,BM,0,0,1.500,10.000\n1,IS,Q,5,0,1.200,\n1,FS,TP,2,0,1.531,\n2,BS,TP,2,0,1.438,\n2,IS,Q,5,0,1.107,\n2,IS,BM2,9,0,1.107,10.300\n2,FS,BM,0,0,1.307,\n",
			"set-up 2: the foresight on BM (f.csv:8)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := read(t, c.book, survey.Options{Unit: unit.Metre})
			if err != nil {
				t.Fatal(err)
			}
			if err := s.Book.Err(false); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v\nwant it to name %q", err, c.want)
			}
			if err := s.Book.Err(true); err != nil {
				t.Errorf("accepted, yet refused: %v", err)
			}
		})
	}
	// The demo with a laser moved by 3/8 in from point 141 on, turning point included.
	demo, err := os.ReadFile("../../testdata/demo/survey.csv")
	if err != nil {
		t.Fatal(err)
	}
	knocked := strings.Replace(string(demo), "4-5 11/16,TP", "4-6 1/16,TP", 1)
	s, err := read(t, knocked, survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	got := survey.ErrorIn(s.Book.Err(false), unit.Style{Imperial: true})
	check.Errors(t, got, []string{
		`BM2 from set-up S2 at 100.375 ft, 7/16" lower than it is known at, want no more than 1/8"`,
		`BM1 from set-up S2 at 99.964 ft, 7/16" lower than it is known at, want no more than 1/8"; most likely at fault: set-ups S1 or S2: the foresight on TP1 from set-up S1 (f.csv:72), the backsight on TP1 from set-up S2 (f.csv:73)`,
	})
}

// Closures, allowances and rules.
func TestAllowances(t *testing.T) {
	far := strings.Replace(twoSetups, "elev,code", "elev,code,distance", 1)
	far = strings.NewReplacer(",BM\n", ",BM,25\n", ",TP\n", ",TP,25\n", ",\n", ",,\n").Replace(far)
	for _, c := range []struct {
		name  string
		allow survey.Allowance
		want  float64 // m, of a line of two set-ups and 100 m of sights
	}{
		{"2 mm a set-up by default", survey.Allowance{}, 0.004},
		{"whole", survey.Allowance{Each: 0.001, Per: survey.Whole}, 0.001},
		{"a set-up", survey.Allowance{Each: 0.003, Per: survey.PerSetup}, 0.006},
		{"third order, 12 mm root km", survey.ThirdOrder, 0.012 * math.Sqrt(0.1)},
		{"construction, 24 mm root km", survey.Construction, 0.024 * math.Sqrt(0.1)},
		{"5 mm root set-ups", survey.ThirdOrderSetups, 0.005 * math.Sqrt2},
	} {
		s, err := read(t, far, survey.Options{Unit: unit.Metre, Allow: c.allow})
		if err != nil {
			t.Fatal(c.name, err)
		}
		m := s.Book.Main()
		if math.Abs(m.Allowable-c.want) > 1e-12 || m.Beyond() != (0.002 > c.want) {
			t.Errorf("%s: allowed %.5f, beyond %v; want %.5f", c.name, m.Allowable, m.Beyond(), c.want)
		}
	}
	_, err := read(t, twoSetups, survey.Options{Unit: unit.Metre, Allow: survey.ThirdOrder})
	check.Errors(t, err, []string{"allowance by length: found sights without a distance"})
	_, err = read(t, twoSetups, survey.Options{Unit: unit.Metre, Adjust: survey.ByDistance})
	check.Errors(t, err, []string{"adjustment by distance: found sights without a distance"})
}

// Reciprocal levelling and two-peg tests: the same two points from two places. The errors
// of the instrument and of the air cancel in the mean, which is the least-squares result
// of two set-ups. N. N. Basak, Surveying and Levelling, 1994, chapter 5, published
// elevations and differences.
func TestPublishedReciprocalLevelling(t *testing.T) {
	for _, c := range []struct {
		page             string
		a1, b1, a2, b2   float64
		start, published float64
	}{
		{"156 no. 1", 2.245, 3.375, 1.955, 3.055, 125.550, 124.435},
		{"157 no. 2", 1.155, 2.595, 0.985, 2.415, 525.500, 524.065},
		{"157-158 no. 3, difference 0.340", 1.725, 1.370, 1.560, 1.235, 0, 0.340},
		{"158-159 no. 4", 1.725, 2.245, 2.145, 3.045, 450.000, 449.290},
	} {
		book := fmt.Sprintf("setup,sight,point,rod,elev\n1,BS,A,%g,%g\n1,FS,B,%g,\n2,BS,A,%g,\n2,FS,B,%g,\n", c.a1, c.start, c.b1, c.a2, c.b2)
		s, err := read(t, book, survey.Options{Unit: unit.Metre, Adjust: survey.LeastSquares})
		if err != nil {
			t.Fatal(c.page, err)
		}
		if b := s.Book.Sights[1]; b.Name != "B" || fmt.Sprintf("%.3f", b.Elevation) != fmt.Sprintf("%.3f", c.published) || s.Book.Redundancy != 1 {
			t.Errorf("p. %s: B at %.4f with redundancy %d, published %.3f", c.page, b.Elevation, s.Book.Redundancy, c.published)
		}
		// Half the difference between the two places.
		if half := math.Abs((c.a1-c.b1)-(c.a2-c.b2)) / 2; math.Abs(math.Abs(s.Book.Sights[1].Correction)-half) > 1e-9 {
			t.Errorf("p. %s: corrected by %.6f, want %.6f", c.page, s.Book.Sights[1].Correction, half)
		}
	}
}

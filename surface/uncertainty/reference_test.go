package uncertainty

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"pourplane/surface"
)

// pieceOf is a piece of shots alone.
func pieceOf(x, y, z []float64) *piece {
	n := len(x)
	p := &piece{x: x, y: y, z: z, apart: make([]float64, n*n)}
	for i := range n {
		for j := range n {
			p.apart[i*n+j] = math.Hypot(x[i]-x[j], y[i]-y[j])
		}
	}
	return p
}

func krigeOf(t *testing.T, p *piece, c candidate) *kriging {
	t.Helper()
	k, ok := p.krige(c)
	if !ok {
		t.Fatalf("no kriging of %d shots under %+v", len(p.x), c)
	}
	return k
}

// levelled returns what ordinary kriging says of places, in units of the sill: what universal kriging
// says, given that the slopes of its plane are zero. The slopes are those from end to end of lines
// so long that the field does not matter.
func levelled(k *kriging, places []surface.Vec) joint {
	const far = 1e7
	n := len(places)
	ends := []surface.Vec{{X: far}, {X: -far}, {Y: far}, {Y: -far}}
	got := k.at(append(slices.Clone(places), ends...), 1, true)
	by := mat.NewDense(2, n+4, nil) // slopes from elevations
	for s := range 2 {
		by.Set(s, n+2*s, 1/(2*far))
		by.Set(s, n+2*s+1, -1/(2*far))
	}
	var slopes mat.VecDense
	slopes.MulVec(by, mat.NewVecDense(n+4, got.mean))
	var with, own, solved, less mat.Dense
	with.Mul(by, got.cov)
	own.Mul(&with, by.T())
	if err := solved.Solve(&own, &with); err != nil {
		panic(err)
	}
	less.Mul(with.T(), &solved)
	out := joint{mean: make([]float64, n), cov: mat.NewSymDense(n, nil)}
	for i := range n {
		out.mean[i] = got.mean[i] - solved.At(0, i)*slopes.AtVec(0) - solved.At(1, i)*slopes.AtVec(1)
		for j := range i + 1 {
			out.cov.SetSym(i, j, got.cov.At(i, j)-less.At(i, j))
		}
	}
	return out
}

// Ordinary kriging of seven samples at one place. Isaaks and Srivastava 1989, An Introduction to
// Applied Geostatistics, chapter 12: data, values and variances as the tests of the R package geoR
// give them (tests/isaaks.test.R), which name the figures; the weights from memory, and computed
// again with numpy. Tolerance: half a unit of the last digit given. The models are exponential with
// variance sill and an own part that the book counts as the floor's. The two with a direction reach
// twice and ten times as far along one diagonal, so places are turned and squeezed to that.
func TestPublishedKrigingOfSevenSamples(t *testing.T) {
	x, y := []float64{61, 63, 64, 68, 71, 73, 75}, []float64{139, 140, 129, 128, 140, 141, 128}
	z := []float64{477, 696, 227, 646, 606, 791, 783}
	for _, c := range []struct {
		figure           string
		own, sill, reach float64
		along, times     float64 // direction of the longer reach from east, and by how much it is longer
		value, variance  float64
		weights          []float64
	}{
		{"12.3", 0, 10, 10. / 3, 0, 1, 593, 8.96, []float64{0.173, 0.318, 0.129, 0.086, 0.151, 0.057, 0.086}},
		{"12.6", 0, 20, 10. / 3, 0, 1, 593, 17.91, nil},
		{"12.10", 5, 5, 10. / 3, 0, 1, 597, 10.31, nil},
		{"12.12", 0, 10, 20. / 3, 0, 1, 572, 5.76, nil},
		{"12.16", 0, 10, 10. / 3, 3 * math.Pi / 4, 2, 620, 6.30, nil},
		{"12.18", 0, 10, 10. / 3, math.Pi / 4, 2, 574, 8.16, nil},
		{"12.20", 0, 10, 10. / 3, 3 * math.Pi / 4, 10, 654, 2.83, nil},
	} {
		sin, cos := math.Sincos(c.along)
		turn := func(x, y float64) (float64, float64) { return (x*cos + y*sin) / c.times, y*cos - x*sin }
		var u, v []float64
		for i := range x {
			a, b := turn(x[i]-68, y[i]-135)
			u, v = append(u, a), append(v, b)
		}
		a, b := turn(65-68, 137-135)
		at := []surface.Vec{{X: a, Y: b}}
		under := candidate{smooth: Rugged, reach: c.reach, own: c.own / c.sill}
		l := levelled(krigeOf(t, pieceOf(u, v, z), under), at)
		if got := c.sill*l.cov.At(0, 0) + c.own; math.Abs(l.mean[0]-c.value) > 0.5 || math.Abs(got-c.variance) > 0.005 {
			t.Errorf("figure %s: %.2f with variance %.4f, published %g and %g", c.figure, l.mean[0], got, c.value, c.variance)
		}
		for i, want := range c.weights {
			one := make([]float64, len(z)) // the mean is linear in the samples
			one[i] = 1
			if got := levelled(krigeOf(t, pieceOf(u, v, one), under), at).mean[0]; math.Abs(got-want) > 0.0005 {
				t.Errorf("figure %s: sample %d weighs %.4f, published %g", c.figure, i+1, got, want)
			}
		}
	}
}

// reference is testdata/kriging.txt: an invented floor with what other programs say of it.
type reference struct {
	p      *piece
	fields []Field
	rows   [][]string // of other kinds
}

func readReference(t *testing.T) reference {
	t.Helper()
	var r reference
	var x, y, z []float64
	for _, w := range lines(t, "kriging.txt") {
		switch v := numbers(t, w[1:]); w[0] {
		case "shot":
			x, y, z = append(x, v[0]), append(y, v[1]), append(z, v[2])
		case "field":
			r.fields = append(r.fields, Field{Smooth: Smoothness(v[0] - 0.5), Reach: v[1], SD: math.Sqrt(v[2]), Own: math.Sqrt(v[3])})
		default:
			r.rows = append(r.rows, w)
		}
	}
	r.p = pieceOf(x, y, z)
	if len(x) != 44 || len(r.fields) != 6 || len(r.rows) != 6*2*23 {
		t.Fatalf("%d shots, %d fields, %d predictions", len(x), len(r.fields), len(r.rows))
	}
	return r
}

func (f Field) candidate() candidate {
	return candidate{smooth: f.Smooth, reach: f.Reach, own: square(f.Own / f.SD)}
}

func lines(t *testing.T, name string) (out [][]string) {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in := bufio.NewScanner(f)
	for in.Scan() {
		if !strings.HasPrefix(in.Text(), "#") {
			out = append(out, strings.Fields(in.Text()))
		}
	}
	return out
}

func numbers(t *testing.T, words []string) (out []float64) {
	t.Helper()
	for _, w := range words {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// differs returns what is wrong with a mean and a variance, "" if nothing is. Tolerance: 1e-9 m of
// floors that undulate by some 0.01 m, and 1e-8 of the variance; where a place is as good as known,
// of a thousandth of the sill.
func differs(mean, variance, wantMean, want, sill float64) string {
	if math.Abs(mean-wantMean) > 1e-9 || math.Abs(variance-want) > 1e-8*max(want, sill/1000) {
		return fmt.Sprintf("%.12g m with variance %.12g m², want %.12g and %.12g", mean, variance, wantMean, want)
	}
	return ""
}

// Kriging of points and of blocks agrees with that of the R package gstat, ordinary and universal.
// Computed by gstat: testdata/kriging.txt and kriging.R.
func TestKrigingAgreesWithGstat(t *testing.T) {
	r := readReference(t)
	under := make([]*kriging, len(r.fields))
	for i, f := range r.fields {
		under[i] = krigeOf(t, r.p, f.candidate())
	}
	for _, w := range r.rows {
		v := numbers(t, w[1:])
		f := r.fields[int(v[0])-1]
		k, sill := under[int(v[0])-1], f.SD*f.SD
		places := []surface.Vec{{X: v[2], Y: v[3]}}
		if w[0] == "block" {
			places = placesOf(v[2:8])
		}
		got := k.at(places, 1, true)
		if v[1] == 1 {
			got = levelled(k, places)
		}
		n := float64(len(places))
		mean, variance := floats.Sum(got.mean)/n, sill*mat.Sum(got.cov)/(n*n)
		if w[0] == "block" && v[1] == 3 { // by the way of the volume, too
			m, s := meanOf(t, k, places)
			if wrong := differs(m, sill*s, mean, variance, sill); wrong != "" {
				t.Errorf("%v: by its cells, %s", w[:4], wrong)
			}
		}
		if wrong := differs(mean, variance, v[len(v)-2], v[len(v)-1], sill); wrong != "" {
			t.Errorf("%v: %s", w[:4], wrong)
		}
	}
	if differs(1, 1e-5, 1+2e-9, 1e-5, 1e-5) == "" || differs(1, 1e-5, 1, 1.0000001e-5, 1e-5) == "" {
		t.Error("a wrong value agrees")
	}
}

// placesOf returns nx by ny places in the middles of equal parts of a rectangle, given by its
// middle, its sides and those numbers.
func placesOf(r []float64) (out []surface.Vec) {
	for i := range int(r[4]) {
		for j := range int(r[5]) {
			out = append(out, surface.Vec{X: r[0] + ((float64(i)+0.5)/r[4]-0.5)*r[2], Y: r[1] + ((float64(j)+0.5)/r[5]-0.5)*r[3]})
		}
	}
	return out
}

// meanOf returns what k says of the mean over places, by the way of the volume: cells so small that
// they are places.
func meanOf(t *testing.T, k *kriging, places []surface.Vec) (mean, variance float64) {
	const whole = 1e-24 // m²
	p := pieceOf(k.p.x, k.p.y, k.p.z)
	for _, at := range places {
		p.cells = append(p.cells, cell{x: at.X, y: at.Y, area: whole / float64(len(places))})
	}
	b := krigeOf(t, p, k.c).whole()
	return mat.Dot(b.weights, mat.NewVecDense(len(p.z), p.z)) / whole, b.variance / whole / whole
}

// The closed forms of the correlation agree with the general form of the Matérn family by a Bessel
// function, and the restricted likelihood and what it is made of with those by contrasts. Computed
// by scipy and numpy: testdata/field.txt and field.py. Tolerance: 1e-13 of a correlation, 1e-9 of
// the rest.
func TestFieldsAgreeWithScipy(t *testing.T) {
	r := readReference(t)
	close := func(got, want, by float64) bool { return math.Abs(got-want) <= by*math.Abs(want) }
	seen := 0
	for _, w := range lines(t, "field.txt") {
		v := numbers(t, w[1:])
		switch w[0] {
		case "correlation":
			f := Field{Smooth: Smoothness(v[0] - 0.5), Reach: 3, SD: 2}
			if got := f.Correlation(3 * v[1]); !close(got, v[2], 1e-13*(1+v[1])) {
				t.Errorf("%v: %.16g", w, got)
			}
			if got := f.Semivariance(3 * v[1]); !close(got, 4*(1-v[2]), 1e-9) {
				t.Errorf("%v: semivariance %.16g", w, got)
			}
		case "likelihood":
			k := krigeOf(t, r.p, r.fields[int(v[0])-1].candidate())
			if !close(k.log, v[1], 1e-9) || !close(k.misf, v[2], 1e-9) || !close(k.about, v[3]+k.c.own, 1e-9) {
				t.Errorf("%v: %.12g, %.12g, %.12g", w, k.log, k.misf, k.about)
			}
		}
		seen++
	}
	if seen != 27+6 {
		t.Errorf("%d rows", seen)
	}
}

// How likely a candidate is follows from its restricted likelihood by integrating over the sill: the
// contrasts of the shots are normal, the sill has a prior like 1/sill and is seen by usualWorth
// further contrasts of square usualSD² about a plane, and what a shot has of its own is at least
// the reading error. So does the mean of the sill. The integral by Simpson's rule in the logarithm of the sill, with
// the figures of testdata/field.txt.
func TestWeightsOfFieldsByQuadrature(t *testing.T) {
	r := readReference(t)
	n := float64(len(r.p.x)-3) / 2
	var first [2]float64
	for _, w := range lines(t, "field.txt") {
		if w[0] != "likelihood" || w[1] == "2" { // the second has no own part
			continue
		}
		v := numbers(t, w[1:])
		c := r.fields[int(v[0])-1].candidate()
		prior := square(usualSD) / (v[3] + c.own)
		for i, reading := range []float64{0, 0.0015} {
			lo, hi := math.Log(1e-9), math.Log(1)
			if reading > 0 {
				lo = math.Log(square(reading) / c.own)
			}
			sum, sills := 0.0, 0.0
			const steps = 20000
			for s := range steps + 1 {
				sill := math.Exp(lo + (hi-lo)*float64(s)/steps)
				f := math.Exp(v[1]-200-n*math.Log(sill)-v[2]/(2*sill)) * math.Pow(prior/sill, usualWorth/2.) * math.Exp(-usualWorth*prior/(2*sill))
				switch {
				case s == 0 || s == steps:
				case s%2 == 1:
					f *= 4
				default:
					f *= 2
				}
				sum += f
				sills += f * sill
			}
			want := math.Log(sum * (hi - lo) / steps / 3)
			of, _, got := weighOne([]*piece{r.p}, c, reading)
			if mean := of.sill * of.freedom / (of.freedom - 2); math.Abs(mean/(sills/sum)-1) > 1e-6 {
				t.Errorf("field %v, reading %g: mean of the sill %.9g, by quadrature %.9g", w[1], reading, mean, sills/sum)
			}
			if v[0] == 1 {
				first[i] = got - want // a constant that all have
			}
			if first[0] == 0 || math.Abs(got-want-first[i]) > 1e-6 || math.Abs(first[i]-first[0]) > 1e-6 {
				t.Errorf("field %v, reading %g: log of the weight %.9g, by quadrature %.9g", w[1], reading, got-first[0], want)
			}
		}
	}
}

// The variance of the mean over a rectangle, by its cells, agrees with that of the field down to the
// shortest reach that is weighed. Reference: two places in a rectangle of w by h are (u, v) apart with
// density 4 (w − u)(h − v) / (wh)², a known result, so the mean correlation is one integral over the
// rectangle (midpoint rule). Tolerance: 0.5 % of the variance, and 4 %, which is 2 % of a standard
// deviation, at the shortest reach, about that of the side of a cell.
func TestVarianceOfAMeanByQuadrature(t *testing.T) {
	const w, h, steps = 8.0, 6.0, 600
	for _, n := range []int{20, 60, 190} {
		f := dish(t, n)
		e := newExtractor(f.Regions[0], f.Regions[0].TIN, surface.Horizontal(0.05), nil)
		pieces, _ := e.pieces()
		shortest, count := math.Inf(1), 0
		for _, c := range candidates(spacing(f.Regions[0].TIN, e), 10) {
			if c.own != owns[0] {
				continue
			}
			shortest = min(shortest, c.reach)
			count++
			want := 0.0
			for i := range steps {
				for j := range steps {
					u, v := (float64(i)+0.5)*w/steps, (float64(j)+0.5)*h/steps
					want += 4 * (w - u) * (h - v) / (w * h * steps * steps) * matern(c.smooth, math.Hypot(u, v)/c.reach)
				}
			}
			k := &kriging{p: pieces[0], c: c}
			got := k.errorOf(make([]float64, len(k.p.x)), k.p.areas(nil)) / square(w*h)
			within := 0.005
			if c.reach == shortest {
				within = 0.04
			}
			if math.Abs(got/want-1) > within {
				t.Errorf("%d shots, %+v: %g of the sill, want %g", n, c, got, want)
			}
		}
		if count < 9 {
			t.Errorf("%d fields", count)
		}
	}
}

// What the cells of a piece say of an integral agrees with squares so small that they are places.
// Tolerance: 2 % of the standard deviation.
func TestCellsAreFineEnough(t *testing.T) {
	const side = 0.125
	for _, n := range []int{25, 60, 190} {
		f := dish(t, n)
		pieces, _ := newExtractor(f.Regions[0], f.Regions[0].TIN, surface.Horizontal(0.05), nil).pieces()
		p := pieces[0]
		fine := pieceOf(p.x, p.y, p.z)
		for x := side / 2; x < 8; x += side {
			for y := side / 2; y < 6; y += side {
				fine.cells = append(fine.cells, cell{x: x - p.origin.X, y: y - p.origin.Y, area: side * side})
			}
		}
		for _, c := range []candidate{{Rugged, 3, 0.05}, {Bent, 5, 0.005}, {Smooth, 2, 0.02}} {
			got, want := math.Sqrt(krigeOf(t, p, c).whole().variance), math.Sqrt(krigeOf(t, fine, c).whole().variance)
			if math.Abs(got/want-1) > 0.02 {
				t.Errorf("%d shots, %+v: standard deviation %g m² by %d cells, %g by %d", n, c, got, len(p.cells), want, len(fine.cells))
			}
		}
	}
}

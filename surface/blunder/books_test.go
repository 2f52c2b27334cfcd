package blunder

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/text"
	"pourplane/survey/unit"
)

// level is a simulated level book of one set-up: a room walked back and forth in
// rows, read with a rod, and closed on its benchmark.
type level struct {
	rng     *rand.Rand
	write   style
	plan    unit.Length
	column  string // head of the column of readings
	rows    []levelRow
	opening float64 // m: the rod on the benchmark
	closing float64 // m: the same at the end, NaN if not read
	width   float64 // m
	height  float64 // m
}

type levelRow struct {
	x, y float64 // m
	rod  float64 // m, as read
	text string
}

var (
	sixteenths = style{form: `%d-%s`, finest: 16}
	hundredths = style{unit: unit.Foot, digits: 2}
	metric     = style{unit: unit.Metre, digits: 3}
)

// newLevel makes an invented floor by trade practice: a tilt, one broad dish up to 15 mm
// deep, waves of 4 to 5 mm standard deviation about 15 m (smooth) or 6 m long (wavy), 1.2 mm
// roughness; and 60 to 150 shots on a grid of 1.2 to 3 m, read with an error of 1 mm and
// written to the step of the column.
func newLevel(seed uint64, write style, wavy bool) *level {
	rng := rand.New(rand.NewPCG(seed, 20))
	l := &level{rng: rng, write: write, plan: unit.Metre, column: "rod_m"}
	step := []float64{1.2, 1.5, 2, 2.5, 3}[rng.IntN(5)]
	if write.form != "" || write.unit == unit.Foot {
		l.plan, l.column = unit.Foot, "rod_ft"
		step = []float64{4, 5, 6, 8, 10}[rng.IntN(5)] * unit.Foot.Metres()
		if write.form != "" {
			l.column = "rod_ft_in"
		}
	}
	nx := 7 + rng.IntN(7)
	ny := (60 + nx - 1) / nx
	ny += rng.IntN(150/nx - ny + 1)
	inset := 0.1 * l.plan.Metres()
	l.width, l.height = float64(nx-1)*step+2*inset, float64(ny-1)*step+2*inset

	tiltX, tiltY := 0.0015*rng.NormFloat64(), 0.0015*rng.NormFloat64()
	dish, dx, dy := 0.015*rng.Float64(), l.width*rng.Float64(), l.height*rng.Float64()
	broad := 0.3 * max(l.width, l.height)
	long := 15.0
	if wavy {
		long = 6
	}
	height := 0.004 + 0.001*rng.Float64()
	type wave struct{ kx, ky, phase float64 }
	var waves []wave
	for range 120 {
		// Normal wave numbers in x and y have a mean length of 1.2533 of either.
		k := 2 * math.Pi / long / 1.2533
		waves = append(waves, wave{k * rng.NormFloat64(), k * rng.NormFloat64(), 2 * math.Pi * rng.Float64()})
	}
	hi := 1.2 + 0.3*rng.Float64()
	for j := range ny {
		for i := range nx {
			if j%2 == 1 {
				i = nx - 1 - i
			}
			x, y := inset+float64(i)*step, inset+float64(j)*step
			z := tiltX*x + tiltY*y - dish*math.Exp(-((x-dx)*(x-dx)+(y-dy)*(y-dy))/(2*broad*broad))
			for _, w := range waves {
				z += height * math.Sqrt(2.0/float64(len(waves))) * math.Cos(w.kx*x+w.ky*y+w.phase)
			}
			z += 0.0012*rng.NormFloat64() + 0.001*rng.NormFloat64()
			l.rows = append(l.rows, levelRow{x: x, y: y})
			l.read(len(l.rows)-1, hi-z)
		}
	}
	bm := hi - 0.02
	l.opening, l.closing = bm+0.001*rng.NormFloat64(), bm+0.001*rng.NormFloat64()
	return l
}

// read writes a reading in a row.
func (l *level) read(i int, rod float64) {
	r := &l.rows[i]
	r.rod = math.Round(rod/l.write.step()) * l.write.step()
	r.text = l.write.write(r.rod)
}

// line returns the line of the file that has row i.
func (l *level) line(i int) int { return i + 3 }

// text returns the book as a file.
func (l *level) text() string {
	var b strings.Builder
	u := l.plan.Metres()
	fmt.Fprintf(&b, "setup,sight,point,x_%s,y_%s,%s,code,note\n", l.plan, l.plan, l.column)
	fmt.Fprintf(&b, "S1,BS,BM1,0,0,%s,BM,assumed 100.00\n", l.write.write(l.opening))
	for i, r := range l.rows {
		fmt.Fprintf(&b, "S1,IS,%d,%.3f,%.3f,%s,FLR,\n", 101+i, r.x/u, r.y/u, r.text)
	}
	if l.closing == l.closing {
		fmt.Fprintf(&b, "S1,FS,BM1,0,0,%s,BM,\n", l.write.write(l.closing))
	}
	return b.String()
}

// find reads the book and checks it.
func (l *level) find(t testing.TB) []Finding {
	t.Helper()
	s, err := text.Read(strings.NewReader(l.text()), "book.csv", survey.Options{})
	if err != nil {
		t.Fatalf("%v\n%s", err, l.text())
	}
	nan := math.NaN()
	ring := survey.Ring{Points: []survey.Point{{Z: nan}, {X: l.width, Z: nan}, {X: l.width, Y: l.height, Z: nan}, {Y: l.height, Z: nan}}}
	f, err := surface.NewFloor(surface.Data{Shots: s.Points, Rings: []survey.Ring{ring}})
	if err != nil {
		t.Fatal(err)
	}
	found, _ := Find(s, f)
	return found
}

// refusedAt returns the line of a reading that no rod has, at which the book is refused when it is read; 0
// if it is not.
func (l *level) refusedAt() int {
	_, err := text.Read(strings.NewReader(l.text()), "book.csv", survey.Options{})
	var e *survey.Error
	if errors.As(err, &e) {
		return e.Line
	}
	return 0
}

// planted is a blunder put into a book; it returns the row, false if the book has no place
// for it.
type planted func(l *level) (row int, ok bool)

// unitsOff misreads one row by a size, up or down.
func unitsOff(size float64) planted {
	return func(l *level) (int, bool) {
		i := l.rng.IntN(len(l.rows))
		if l.rng.IntN(2) == 0 || l.rows[i].rod < size {
			l.read(i, l.rows[i].rod+size)
		} else {
			l.read(i, l.rows[i].rod-size)
		}
		return i, true
	}
}

// hidden is the min change of a planted slip: below about 3/4 in it hides in a real floor.
const hidden = 0.75 * 0.0254

// slip writes one row with one of the texts that made returns, so that the reading changes
// by more than hidden.
func slip(made func(string) []string) planted {
	return func(l *level) (int, bool) {
		for range 1000 {
			i := l.rng.IntN(len(l.rows))
			texts := made(l.rows[i].text)
			if len(texts) == 0 {
				continue
			}
			t := texts[l.rng.IntN(len(texts))]
			v, err := unit.Parse(t, l.write.unit)
			if l.write.form != "" {
				v, err = unit.ParseFeetInches(t, 0)
			}
			if err == nil && math.Abs(v-l.rows[i].rod) > hidden && math.Abs(v-l.rows[i].rod) < 2 {
				l.rows[i].text = t
				return i, true
			}
		}
		return 0, false
	}
}

// digitLost returns the text with one of its digits dropped.
func digitLost(text string) []string {
	var out []string
	for i := range len(text) {
		if isDigit(text[i]) {
			out = append(out, text[:i]+text[i+1:])
		}
	}
	return out
}

// unitMixed writes a metric reading in millimetres, one of feet in inches.
func unitMixed(l *level) (int, bool) {
	i := l.rng.IntN(len(l.rows))
	other := style{unit: unit.Millimetre}
	if l.write.unit == unit.Foot {
		other = style{unit: unit.Inch, digits: 2}
	}
	l.rows[i].text = other.write(l.rows[i].rod)
	return i, true
}

// exchanged swaps the readings of two consecutive rows.
func exchanged(l *level) (int, bool) {
	for range 1000 {
		i := l.rng.IntN(len(l.rows) - 1)
		a, b := &l.rows[i], &l.rows[i+1]
		if math.Abs(a.rod-b.rod) > hidden {
			a.text, b.text = b.text, a.text
			return i, true
		}
	}
	return 0, false
}

// repeated writes the reading of the row before again.
func repeated(l *level) (int, bool) {
	for range 1000 {
		i := 1 + l.rng.IntN(len(l.rows)-1)
		if math.Abs(l.rows[i].rod-l.rows[i-1].rod) > hidden {
			l.rows[i].text = l.rows[i-1].text
			return i, true
		}
	}
	return 0, false
}

// onRubble raises the rod by 20 to 40 mm.
func onRubble(l *level) (int, bool) {
	i := l.rng.IntN(len(l.rows))
	l.read(i, l.rows[i].rod-0.020-0.020*l.rng.Float64())
	return i, true
}

// knocked lowers the instrument by 3/8 in from some row on, with the closing sight.
func knocked(l *level) (int, bool) {
	l.closing -= 0.375 * 0.0254
	n := len(l.rows)
	from := n/5 + l.rng.IntN(n*3/5)
	for i := from; i < n; i++ {
		l.read(i, l.rows[i].rod-0.375*0.0254)
	}
	return from, true
}

// knockedOpen is knocked in a book that does not close.
func knockedOpen(l *level) (int, bool) {
	l.closing = math.NaN()
	return knocked(l)
}

func clean(*level) (int, bool) { return -1, true }

// scenario is one line of the table of rates.
type scenario struct {
	name  string
	write style
	plant planted
	kind  Kind
}

var scenarios = []scenario{
	{"one foot, ft-in", sixteenths, unitsOff(0.3048), OneFoot},
	{"one foot, decimal feet", hundredths, unitsOff(0.3048), OneFoot},
	{"one inch, ft-in", sixteenths, unitsOff(0.0254), OneInch},
	{"100 mm, metres", metric, unitsOff(0.1), Hundred},
	{"one metre, metres", metric, unitsOff(1), OneMetre},
	{"digits transposed, ft-in", sixteenths, slip(transposed), Transposed},
	{"digits transposed, decimal feet", hundredths, slip(transposed), Transposed},
	{"digits transposed, metres", metric, slip(transposed), Transposed},
	{"digit dropped, ft-in", sixteenths, slip(digitLost), Dropped},
	{"digit misread, ft-in", sixteenths, slip(misread), Misread},
	{"digit misread, metres", metric, slip(misread), Misread},
	{"millimetres among metres", metric, unitMixed, OtherUnit},
	{"inches among decimal feet", hundredths, unitMixed, OtherUnit},
	{"points swapped, metres", metric, exchanged, Swapped},
	{"reading copied, metres", metric, repeated, Copied},
	{"rod on rubble, metres", metric, onRubble, OffFloor},
	{"knocked by 3/8 in, closed, ft-in", sixteenths, knocked, Moved},
	{"knocked by 3/8 in, not closed, ft-in", sixteenths, knockedOpen, Moved},
}

// rate is the result of a scenario.
type rate struct{ books, flagged, named, false int }

// measure plants a blunder in each of the books.
func (c scenario) measure(t testing.TB, wavy bool, first uint64, books int) rate {
	var r rate
	for i := range books {
		l := newLevel(first+uint64(i), c.write, wavy)
		row, ok := c.plant(l)
		if !ok {
			continue
		}
		r.books++
		if row >= 0 && l.refusedAt() == l.line(row) {
			r.flagged, r.named = r.flagged+1, r.named+1
			continue
		}
		flagged, named, wrong := false, false, 0
		for _, f := range l.find(t) {
			switch {
			case row >= 0 && (f.Reading.At.Line == l.line(row) || f.Other.At.Line == l.line(row) && f.Kind == Swapped):
				flagged = true
				named = named || f.Kind == c.kind
			case c.kind == Moved && f.Kind == Moved:
				flagged = true
				named = named || f.Between[0].At.Line <= l.line(row) && l.line(row) <= f.Between[1].At.Line
			default:
				wrong++
			}
		}
		if flagged {
			r.flagged++
		}
		if named {
			r.named++
		}
		r.false += wrong
	}
	return r
}

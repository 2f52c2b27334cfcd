package blunder

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// written makes a reading from a text.
func written(t *testing.T, text string, m survey.Measure, u unit.Length, feetInches bool) survey.Reading {
	t.Helper()
	v, err := unit.Parse(text, u)
	if feetInches {
		v, err = unit.ParseFeetInches(text, 16)
	}
	if err != nil {
		t.Fatal(err)
	}
	return survey.Reading{Text: text, Value: v, Measure: m, Unit: u, FeetInches: feetInches}
}

func TestWouldFitIsWrittenAsTheFileWrites(t *testing.T) {
	for _, c := range []struct {
		text       string
		u          unit.Length
		feetInches bool
		value      float64 // m
		want       string
	}{
		{"4-5 3/16", unit.None, true, 53.625 * 0.0254, "4-5 5/8"},
		{"4-5 3/16", unit.None, true, 54 * 0.0254, "4-6"},
		{`4'-5 3/16"`, unit.None, true, 48.5 * 0.0254, `4'-0 1/2"`},
		{`4' 5 3/8"`, unit.None, true, 53.0625 * 0.0254, `4' 5 1/8"`},
		{"4-5-6", unit.None, true, 53.625 * 0.0254, "4-5-10"},
		{`53 3/8"`, unit.Inch, false, 54.5 * 0.0254, `54 1/2"`},
		{"4.45", unit.Foot, false, 3.456 * 0.3048, "3.46"},
		{"1.345", unit.Metre, false, 1.2444, "1.244"},
		{"1345", unit.Millimetre, false, 1.2444, "1244"},
		{"1345 mm", unit.None, false, 1.2444, "1244 mm"},
		{"-0.012", unit.Metre, false, 0.012, "0.012"},
	} {
		r := written(t, c.text, survey.Rod, c.u, c.feetInches)
		b := newBook(&survey.Survey{Readings: []survey.Reading{r}})
		if got := b.style[columnOf(r)].write(c.value); got != c.want {
			t.Errorf("beside %q %g m is written %q, want %q", c.text, c.value, got, c.want)
		}
	}
}

func TestSlipsOfTheText(t *testing.T) {
	for _, c := range []struct {
		written string
		kind    Kind
		meant   string
	}{
		{"4-5 3/16", Dropped, "4-5 13/16"},
		{"4-1 3/16", Dropped, "4-11 3/16"},
		{"5-4 3/8", Misread, "5-4 3/4"},
		{"4-9 3/8", Misread, "4-6 3/8"},
		{"4-5 1/4", Misread, "4-5 1/2"},
		{"4-5 3/8", OneFoot, "5-5 3/8"},
		{"4-5 3/8", OneInch, "4-4 3/8"},
		{"4-10 3/8", Transposed, "4-01 3/8"},
		{"1.354", Transposed, "1.345"},
		{"3.145", Transposed, "1.345"},
		{"1.345", Hundred, "1.445"},
		{"1.345", OneMetre, "0.345"},
		{"1345.000", OtherUnit, "1.345"},
	} {
		u, feetInches := unit.Metre, strings.Contains(c.written, "-")
		if feetInches {
			u = unit.None
		}
		r := written(t, c.written, survey.Rod, u, feetInches)
		b := newBook(&survey.Survey{Readings: []survey.Reading{r}})
		found := slices.ContainsFunc(b.candidates(0), func(d candidate) bool { return d.kind == c.kind && d.text == c.meant })
		if want := c.meant != "4-01 3/8"; found != want { // no one writes 4-01
			t.Errorf("%s for %s as %q: %v, want %v", c.written, c.meant, c.kind, found, want)
		}
	}
}

// elevations is a file of elevations with one of them a metre low, its rows in some order.
func elevations(t *testing.T, order []int) []Finding {
	t.Helper()
	l := newLevel(77, metric, false)
	var s survey.Survey
	s.Unit = unit.Metre
	for line, i := range order {
		z := 10 - l.rows[i].rod
		if i == 30 {
			z--
		}
		r := written(t, metric.write(z), survey.Elevation, unit.Metre, false)
		r.Name, r.At = string(rune('A'+i)), survey.Pos{File: "floor.csv", Line: line + 1}
		s.Readings = append(s.Readings, r)
		s.Points = append(s.Points, survey.Point{X: l.rows[i].x, Y: l.rows[i].y, Z: r.Value}.With(survey.Tag{Name: r.Name, At: r.At}))
	}
	f, err := surface.NewFloor(surface.Data{Shots: s.Points})
	if err != nil {
		t.Fatal(err)
	}
	found, _ := Find(&s, f)
	return found
}

func TestFindDoesNotDependOnTheOrderOfRows(t *testing.T) {
	n := len(newLevel(77, metric, false).rows)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	a := elevations(t, order)
	rand.New(rand.NewPCG(3, 4)).Shuffle(n, func(i, j int) { order[i], order[j] = order[j], order[i] })
	b := elevations(t, order)
	if len(a) != 1 || len(b) != 1 || a[0].Kind != OneMetre {
		t.Fatalf("found %+v and %+v", a, b)
	}
	p, q := a[0], b[0]
	if p.Reading.Name != q.Reading.Name || p.WouldFit != q.WouldFit || p.Off != q.Off || p.Sure != q.Sure || math.Abs(p.VolumeChange-q.VolumeChange) > 1e-9 {
		t.Errorf("%+v\n%+v", p, q)
	}
}

// The volume of a finding is that of the floor rebuilt. If only the triangles round the shot
// are counted, the fit at the walls is left out.
func TestVolumeChange(t *testing.T) {
	var s survey.Survey
	s.Unit = unit.Metre
	for j := range 9 {
		for i := range 9 {
			z := 10 + 0.001*float64((i*7+j*5)%3)
			if i == 4 && j == 4 {
				z--
			}
			at := survey.Pos{File: "floor.csv", Line: len(s.Points) + 1}
			s.Points = append(s.Points, survey.Point{X: 2 * float64(i), Y: 2 * float64(j), Z: z}.With(survey.Tag{At: at}))
			s.Readings = append(s.Readings, survey.Reading{Text: metric.write(z), Value: z, Unit: unit.Metre, At: at})
		}
	}
	f, err := surface.NewFloor(surface.Data{Shots: s.Points})
	if err != nil {
		t.Fatal(err)
	}
	found, _ := Find(&s, f)
	if len(found) != 1 || found[0].Kind != OneMetre {
		t.Fatalf("%+v", found)
	}
	// Inside a square grid of 2 m a shot carries six triangles of 2 m²: 4 m³ per metre.
	level := surface.Horizontal(10)
	for _, got := range []float64{found[0].VolumeChange, net(restate(f, found[0].restated), level) - net(f, level)} {
		if math.Abs(got+4) > 1e-9 {
			t.Errorf("volume changes by %.9f m³, want -4", got)
		}
	}
	// At 9.5 m only the tip of the hollow is filled, and with the reading that fits nothing is.
	fill := f.FillTo(surface.Horizontal(9.5), nil)
	found, _ = FindIn(&s, f, fill)
	if len(found) != 1 || found[0].Corrected.Fill != 0 || found[0].VolumeChange != -fill.Fill || fill.Fill < 0.4 {
		t.Errorf("at a target of %.9f m³: %+v", fill.Fill, found)
	}
	if got := restate(f, found[0].restated).FillTo(fill.Target, nil); got.Fill != 0 {
		t.Errorf("on the same triangles %.9f m³ are filled, want none", got.Fill)
	}
}

// A departure from all others is the same as from a window that never had the shot.
func TestSweepLeavesOut(t *testing.T) {
	l := newLevel(5, metric, true)
	var shots []*shot
	for i, r := range l.rows {
		shots = append(shots, &shot{x: r.x, y: r.y, z: -r.rod, reading: i})
	}
	f := field{reach: 3, own: 0.1, sill: 2e-5}
	w := newWindow(shots, len(shots), f, false)
	one := w.departure(40)
	w.sweep(40)
	w.sweep(41)
	w.sweep(41)
	again := w.departure(40)
	if math.Abs(one.off-again.off) > 1e-8 || math.Abs(one.sd-again.sd) > 1e-8 {
		t.Errorf("left out at once %+v, set aside %+v", one, again)
	}
	rest := newWindow(slices.Delete(slices.Clone(shots), 40, 41), 1, f, false)
	if a, b := w.departure(10), rest.departure(10); math.Abs(a.off-b.off) > 1e-8 || math.Abs(a.sd-b.sd) > 1e-8 {
		t.Errorf("with shot 40 aside %+v, without it %+v", a, b)
	}
	shots[40].z += 0.5
	if moved := newWindow(shots, len(shots), f, false).departure(40); math.Abs(moved.off-one.off-0.5) > 1e-6 {
		t.Errorf("raised by 0.5 m it departs by %g, before by %g", moved.off, one.off)
	}
}

func TestScansAreNotJudged(t *testing.T) {
	f := &surface.Floor{Data: surface.Data{Shots: make([]survey.Point, mostJudged+1)}}
	found, notes := Find(&survey.Survey{Name: "scan.xyz"}, f)
	if found != nil || len(notes) != 1 || !strings.Contains(notes[0].Text.String(), "100001 shots") {
		t.Errorf("%v, %v", found, notes)
	}
}

// Of many shots that fit nothing the worst are listed, and the others counted.
func TestManyStraysAreCounted(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	s := &survey.Survey{Name: "scan.csv", Unit: unit.Metre}
	strays := 0
	for i := range 40 * 40 {
		p := survey.Point{X: float64(i%40) / 2, Y: float64(i/40) / 2, Z: 10 + 0.002*rng.NormFloat64()}.With(survey.Tag{At: survey.Pos{File: "scan.csv", Line: i + 2}})
		if rng.IntN(12) == 0 {
			p.Z += 0.2 + 0.3*rng.Float64()
			strays++
		}
		s.Points = append(s.Points, p)
	}
	f, err := surface.NewFloor(surface.Data{Shots: s.Points})
	if err != nil {
		t.Fatal(err)
	}
	found, notes := Find(s, f)
	if len(found) != mostFound || len(notes) != 1 || notes[0].Kind != survey.Warning {
		t.Fatalf("%d found, notes %v", len(found), notes)
	}
	var more int
	if _, err := fmt.Sscanf(notes[0].Text.String(), "%d more shots do not fit", &more); err != nil || more+mostFound < strays*9/10 || more+mostFound > strays*11/10 {
		t.Errorf("note %q of %d strays", notes[0].Text.String(), strays)
	}
}

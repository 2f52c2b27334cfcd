package blunder

import (
	"math"
	"strings"
	"testing"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// shotInRows is a floor of elevations in metres, n shots 2 m apart in rows of four, in which
// one shot in the middle is wrong by off metres.
func shotInRows(t *testing.T, n int, off float64) ([]Finding, []survey.Note) {
	t.Helper()
	s := survey.Survey{Name: "floor.csv", Unit: unit.Metre}
	for i := range n {
		z := 10 + 0.001*float64((i*7+i/4*5)%3)
		if i == n/2+1 {
			z += off
		}
		at := survey.Pos{File: "floor.csv", Line: i + 1}
		s.Points = append(s.Points, survey.Point{X: 2 * float64(i%4), Y: 2 * float64(i/4), Z: z}.With(survey.Tag{At: at}))
		s.Readings = append(s.Readings, survey.Reading{Text: metric.write(z), Value: z, Unit: unit.Metre, At: at})
	}
	f, err := surface.NewFloor(surface.Data{Shots: s.Points})
	if err != nil {
		t.Fatal(err)
	}
	return Find(&s, f)
}

// Twelve shots are checked, eleven are too few.
func TestFewestShots(t *testing.T) {
	for n, judged := range map[int]bool{12: true, 11: false} {
		_, notes := shotInRows(t, n, 0)
		if (len(notes) == 0) != judged || !judged && !strings.Contains(notes[0].Text.String(), "11 shots: too few to check for misread rods, which takes 12") {
			t.Errorf("%d shots: notes %v", n, notes)
		}
	}
}

// Up to 60 mm it may be a real hump or hollow; more is not a doubt.
func TestDoubtsUpToAHump(t *testing.T) {
	for off, doubt := range map[float64]bool{-0.054: true, 0.054: true, -0.066: false, 0.066: false} {
		found, _ := shotInRows(t, 40, off)
		if len(found) != 1 || found[0].Doubt != doubt {
			t.Errorf("a shot off by %g m: %+v, want a doubt: %v", off, found, doubt)
		}
	}
}

// By hand, for a shot that is not in the book: one reading in 25 is a slip. Of those 4 % are
// a rod on rubble, equally likely anywhere up to 40 mm: 1/25 × 0.04 / 0.040 m = 0.04 per
// metre; and 3 % are of no kind, anywhere within a metre up and down: 1/25 × 0.03 / 2 m =
// 0.0006.
func TestHowLikelyRubbleIs(t *testing.T) {
	b, sd := &book{}, 0.0005
	for off, want := range map[float64]float64{0.020: 0.04, 0.037: 0.04, 0.043: 0, -0.003: 0} {
		w := &window{shots: []*shot{{z: 10 + off, reading: -1}}}
		got := map[Kind]float64{}
		for _, e := range b.explanations(w, 0, departure{off, sd}, 0.001) {
			got[e.kind] = e.like
		}
		if len(got) != 2 || math.Abs(got[OffFloor]-want) > 1e-4 || math.Abs(got[DoesNotFit]-0.0006) > 1e-9 {
			t.Errorf("%g m above the floor: %v, want %g on rubble and 0.0006 of no kind", off, got, want)
		}
	}
}

// A region of up to 160 shots is judged at once, a larger one in pieces of up to 40. Own
// choice, for speed. By hand, of halves: 161 are 80 and 81, then 40, 40, 40 and 20, 21.
func TestPiecesOfARegion(t *testing.T) {
	for _, c := range []struct{ shots, pieces, largest int }{{160, 1, 160}, {161, 5, 40}, {320, 8, 40}, {324, 12, 40}} {
		r := &region{}
		for i := range c.shots {
			r.shots = append(r.shots, &shot{x: float64(i % 18), y: float64(i / 18)})
		}
		all, largest := r.pieces(), 0
		for _, p := range all {
			largest = max(largest, p.core)
		}
		if len(all) != c.pieces || largest != c.largest {
			t.Errorf("%d shots: %d pieces of up to %d, want %d of up to %d", c.shots, len(all), largest, c.pieces, c.largest)
		}
	}
}

// Of all shots 24 in 25 are read as they are, and one in 50 is on a hump or in a hollow: what
// remains of the whole that is weighed when the explanations are taken out.
func TestShareOfHumps(t *testing.T) {
	const raised = 24
	var shots []*shot
	for i := range 49 {
		s := &shot{x: 2 * float64(i%7), y: 2 * float64(i/7), z: 0.001 * float64((i*7+i/7*5)%3), reading: -1}
		if i == raised {
			s.z += 0.040
		}
		shots = append(shots, s)
	}
	b := &book{survey: &survey.Survey{Unit: unit.Metre}}
	w := newWindow(shots, len(shots), field{reach: 3, own: 0.1, sill: 2e-5}, false)
	w.sweep(raised)
	d := w.departure(raised)
	f, wrong := b.weigh(w, raised, d, 1)
	if !wrong {
		t.Fatal("a shot 40 mm high is taken for sound")
	}
	best, sum := 0.0, 0.0
	for _, e := range b.explanations(w, raised, d, 0.001) {
		best, sum = max(best, e.like), sum+e.like
	}
	sound := best/f.Sure - sum
	if got := (sound - 0.96*d.density()) / w.hump(raised, 1); math.Abs(got-0.02) > 1e-6 {
		t.Errorf("%g of the shots are on a hump, want 0.02", got)
	}
}

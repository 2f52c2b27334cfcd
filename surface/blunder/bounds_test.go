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
		s.Points = append(s.Points, survey.Point{X: 2 * float64(i%4), Y: 2 * float64(i/4), Z: z, At: at})
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
		if (len(notes) == 0) != judged || !judged && !strings.Contains(notes[0].Text.String(), "11 shots: fewer than 12") {
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

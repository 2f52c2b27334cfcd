package report

import (
	"bytes"
	"strings"
	"testing"

	"pourplane/surface/blunder"
	"pourplane/surface/job"
	"pourplane/survey"
)

// One reading ten feet out leaves the scale of the small map to the others: it has a sign of
// its own, which the words below explain.
func TestSmallMapWithOneBadReading(t *testing.T) {
	t.Parallel()
	shots := func(bad float64) *job.Holding {
		s := &survey.Survey{}
		for k := range 40 {
			z := 30 + 0.002*float64(k%8) // metres, 14 mm in all
			if k == 20 {
				z += bad
			}
			s.Points = append(s.Points, survey.Point{X: float64(k % 8), Y: float64(k / 8), Z: z})
		}
		return &job.Holding{S: s, HasPlan: true}
	}
	// digits are the tenths on the map.
	digits := func(lines []string) (all string) {
		for _, d := range "0123456789" {
			if strings.ContainsRune(strings.Join(lines[:len(lines)-1], ""), d) {
				all += string(d)
			}
		}
		return all
	}
	sound := thumbnail(shots(0), 6)
	for _, c := range []struct {
		bad   float64
		sign  string
		words string
	}{
		{-3.048, "<", "far below (<)"},
		{+3.048, ">", "far above (>)"},
	} {
		got := thumbnail(shots(c.bad), 6)
		text := strings.Join(got, "\n")
		if !strings.Contains(strings.Join(got[:len(got)-2], ""), c.sign) || !strings.Contains(got[len(got)-1], c.words) {
			t.Errorf("%+.1f m: want a %s and words on it:\n%s", c.bad, c.sign, text)
		}
		if a, b := digits(got[:len(got)-1]), digits(sound); a != b {
			t.Errorf("%+.1f m: the tenths %s, without the bad reading %s:\n%s", c.bad, a, b, text)
		}
		suspected := shots(c.bad)
		suspected.Suspects = []blunder.Finding{{Shot: suspected.S.Points[20]}}
		got = thumbnail(suspected, 6)
		if text := strings.Join(got, "\n"); !strings.Contains(text, "; ! suspect") || strings.Contains(text, c.sign) || digits(got) != digits(sound) {
			t.Errorf("%+.1f m, suspect: %s", c.bad, text)
		}
	}
	if strings.Contains(strings.Join(sound, ""), "<") {
		t.Errorf("a sound map: %q", sound)
	}
}

// A row left out is a shot that the crew meant to have: it keeps its place below warnings that
// fill the page.
func TestLeftOutIsShownBesideManyWarnings(t *testing.T) {
	t.Parallel()
	notes := []survey.Note{survey.Notef(survey.LeftOut, survey.Pos{File: "b.csv", Line: 6}, "4: no rod reading")}
	for i := range 30 {
		notes = append(notes, survey.Notef(survey.Warning, survey.Pos{File: "b.csv", Line: 10 + i}, "warning %d", i))
	}
	var b bytes.Buffer
	Brief{Title: "b.csv", Notes: notes, Most: mostReadLines}.Print(&b)
	if text := b.String(); !strings.Contains(text, "\nLeft out\n  b.csv:6: 4: no rod reading\n") || strings.Count(text, "\n") > mostReadLines {
		t.Errorf("%d lines:\n%s", strings.Count(text, "\n"), text)
	}
}

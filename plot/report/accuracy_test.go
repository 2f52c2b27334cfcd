package report

import (
	"testing"

	"pourplane/surface/job"
	"pourplane/surface/uncertainty"
	"pourplane/survey/unit"
)

// What was assumed of the readings is said with them, in the units of the result.
func TestAccuracyInWords(t *testing.T) {
	for _, c := range []struct {
		of    job.Accuracy
		style unit.Style
		want  string
	}{
		{job.Accuracy{Reading: 0.00176, Setup: 0.001, Way: uncertainty.ByRod, Step: 0.005}, unit.Style{}, "reading error 1.8 mm (assumed, usual for rod readings written to 5.0 mm), set-up error 1.0 mm (assumed)"},
		{job.Accuracy{Reading: 0.0015, Setup: 0.001}, unit.Style{}, "reading error 1.5 mm (assumed, usual for elevations), set-up error 1.0 mm (assumed)"},
		{job.Accuracy{Reading: 0.001, Setup: 0.001, Way: uncertainty.ByScan, Step: 0.0001}, unit.Style{Imperial: true}, `reading error 0.039" (assumed, usual for a scan written to 0.004"), set-up error 0.039" (assumed)`},
		{job.Accuracy{Reading: 0.003, ReadingGiven: true, SetupGiven: true, Step: 0.005}, unit.Style{}, "reading error 3.0 mm, set-up error 0.0 mm"},
	} {
		if got := accuracyText(c.of, c.style); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

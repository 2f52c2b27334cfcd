package report

import (
	"strings"
	"testing"

	"pourplane/surface/flatness"
	"pourplane/surface/job"
)

// A bed of exactly its min or max thickness is within it; 1 mm less or more is not.
func TestBedAtItsLimits(t *testing.T) {
	for _, c := range []struct {
		least, greatest float64
		want            string
	}{
		{0.1 + 0.2 - 0.297 - 1e-12, 0.005 + 1e-12, ""},
		{0.002, 0.005, "thinner than the min bed of 3 mm by up to 1 mm"},
		{0.003, 0.006, "thicker than the max bed of 5 mm by up to 1 mm"},
	} {
		j := &job.Judged{Bed: &flatness.Bedding{Least: c.least, Greatest: c.greatest}}
		j.Covering.Least, j.Covering.Greatest = 0.003, 0.005
		var rows facts
		addBed(j, metric, &rows)
		got := ""
		for _, r := range rows[1:] {
			got += r.Text
		}
		if got != c.want || strings.Contains(got, "by up to 0") {
			t.Errorf("%g to %g m: %q, want %q", c.least, c.greatest, got, c.want)
		}
	}
}

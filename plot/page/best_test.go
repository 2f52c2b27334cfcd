package page

import (
	"strings"
	"testing"
)

// A job for the plane of least cost is refused with what to do instead, not drawn by another plane.
func TestPlaneOfLeastCostIsRefused(t *testing.T) {
	t.Parallel()
	var e Engine
	files, bodies := basinFiles()
	job := basin[:strings.Index(basin, "elevation")] + "best = true\nmax-fall = \"0\"\n"
	r, _ := got(t, e.Answer(t.Context(), pack(Request{Ask: "solve", Job: job, Files: files}, bodies), nil))
	if len(r.Refused) != 1 || !strings.Contains(r.Refused[0].Text, "the plane of least cost is found by pourplane run, which prints its height") {
		t.Errorf("%+v", r.Refused)
	}
}

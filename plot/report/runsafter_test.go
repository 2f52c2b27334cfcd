package report

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/job"
)

// A survey after the pour with runs alone has its F-numbers; departures are not measured, and
// said so. A benchmark serves the survey before the pour.
func TestRunsAloneAfterThePour(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{
		"before.csv": {Data: []byte("setup,sight,point,x_m,y_m,rod_mm\nS1,BS,BM1,,,1200\nS1,IS,1,0,0,1350\nS1,IS,2,6,0,1340\nS1,IS,3,6,4,1345\nS1,IS,4,0,4,1355\nS1,IS,5,3,2,1360\n")},
		"runs.csv":   {Data: []byte("run,step (mm),readings (mm)\nA,300,0 1 2 1 0 1 2 1 0 1 2 1 0\nB,300,0 2 1 0 2 1 0 2 1 0 2 1 0\n")},
	}
	j, err := job.Parse([]byte("title = \"Store\"\ndate = 2026-11-25\n[survey]\nfiles = [\"before.csv\"]\nafter = [\"runs.csv\"]\nbenchmarks = { BM1 = \"10m\" }\n[target]\nelevation = \"9.9m\"\n"), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := job.Solve(context.Background(), j, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	if r.Judged.Floor != nil || r.Judged.Whole == nil || r.Judged.Placed != nil {
		t.Fatalf("%+v", r.Judged)
	}
	h, err := NewHandover(r, StyleOf(r))
	if err != nil {
		t.Fatal(err)
	}
	all, err := h.Everything(nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range all {
		if o.Name == "record.html" && (!strings.Contains(string(o.Data), "has runs alone") || !strings.Contains(string(o.Data), "FF ")) {
			t.Errorf("the record does not say what is measured")
		}
	}
	facts, grids, notes := AfterFacts(r.Judged, h.Style)
	if len(facts) < 2 || len(grids) < 2 || len(notes) == 0 {
		t.Errorf("%v, %v, %v", facts, grids, notes)
	}
}

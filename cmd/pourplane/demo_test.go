package main

import (
	"path/filepath"
	"testing"

	"pourplane/plot/report"
	"pourplane/surface/job"
)

// demoHandover returns the demo job before anything is written.
func demoHandover(t *testing.T) *report.Handover {
	t.Helper()
	name := filepath.Join("..", "..", "testdata", "demo", "job.toml")
	text, err := job.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Parse(text, name)
	if err != nil {
		t.Fatal(err)
	}
	done, err := job.Solve(t.Context(), j, &disk{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	h, err := report.NewHandover(done, report.StyleOf(done))
	if err != nil {
		t.Fatal(err)
	}
	return h
}

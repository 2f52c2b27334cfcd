package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"pourplane/plot/report"
	"pourplane/surface/job"
)

// demoFolder returns a folder with everything that the demo job makes.
func demoFolder(t *testing.T) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "hall")
	var said, diag bytes.Buffer
	if status := run([]string{"run", filepath.Join("..", "..", "testdata", "demo", "job.toml"), "--out", out}, strings.NewReader(""), &said, &diag); status != 0 {
		t.Fatalf("status %d: %s", status, diag.String())
	}
	return out
}

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
	h, err := report.NewHandover(done)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

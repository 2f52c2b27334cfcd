//go:build unix

package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"pourplane/cmd/pourplane/internal/folder"
	"pourplane/plot/report"
)

// A manifest has the checksums of what was read. An input that changes between two
// readings of one run is refused; one that changes later keeps the checksum of what was
// used.
func TestManifestStatesWhatWasRead(t *testing.T) {
	name := filepath.Join(t.TempDir(), "floor.csv")
	write := func(text string) {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	f := disk{sums: &readSums{of: map[string]report.FileSum{}}}
	read := func(most int) {
		r, err := f.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.ReadFull(r, make([]byte, most)); err != nil {
			t.Fatal(err)
		}
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
	}
	write("x,y,z\n1,2,3\n")
	read(4) // a reader that stops early
	write("x,y,z\n1,2,4\n")
	if got, want := f.sums.of[name], folder.Sum("", []byte("x,y,z\n1,2,3\n")); got.SHA256 != want.SHA256 || got.Bytes != want.Bytes || f.sums.err != nil {
		t.Errorf("noted %+v (%v), want %+v", got, f.sums.err, want)
	}
	read(4)
	if f.sums.err == nil || !strings.Contains(f.sums.err.Error(), "other bytes when it was read again") {
		t.Errorf("a changed input: %v", f.sums.err)
	}
}

// A run stopped by a signal ends with its number and leaves nothing hidden.
func TestSignalLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	job, err := filepath.Abs(filepath.Join("..", "..", "testdata", "demo", "job.toml"))
	if err != nil {
		t.Fatal(err)
	}
	stopped, whole := 0, false // longer than a whole run no signal need wait
	for wait := 40 * time.Millisecond; wait < 4*time.Second && !whole; wait = wait * 3 / 2 {
		c := exec.Command("pourplane", "run", job, "--out", filepath.Join(dir, "out", "hall"))
		var diag bytes.Buffer
		c.Stderr = &diag
		if err := os.MkdirAll(filepath.Join(dir, "out"), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(wait)
		if err := c.Process.Signal(syscall.SIGTERM); err != nil && !errors.Is(err, os.ErrProcessDone) {
			t.Fatal(err)
		}
		c.Wait() // the status is checked below
		switch code := c.ProcessState.ExitCode(); code {
		case 0:
			whole = true
		case 128 + int(syscall.SIGTERM):
			stopped++
		case -1: // the signal came before the program had begun
		default:
			t.Errorf("status %d: %s", code, diag.String())
		}
		entries, err := os.ReadDir(filepath.Join(dir, "out"))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if e.Name() != "hall" {
				t.Errorf("stopped after %v, it left %s", wait, e.Name())
			}
		}
	}
	if stopped == 0 {
		t.Error("no run was stopped")
	}
}

// Reading of a scan without an end stops at once, and writes no cells.
func TestSignalStopsAScan(t *testing.T) {
	dir := t.TempDir()
	for _, wait := range []time.Duration{300 * time.Millisecond, 700 * time.Millisecond} {
		c := exec.Command("pourplane", "read", "-", "--order", "XYZ", "--units", "m", "--max-size", "1TB", "--thin", "25mm", "--cells", filepath.Join(dir, "a.cells"))
		var diag bytes.Buffer
		c.Stderr = &diag
		in, err := c.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		go func() {
			var rows bytes.Buffer
			for i := range 40_000 {
				fmt.Fprintf(&rows, "%d.5 %d.25 9.98\n", i%200, i/200)
			}
			for { // until the pipe breaks
				if _, err := in.Write(rows.Bytes()); err != nil {
					return
				}
			}
		}()
		time.Sleep(wait)
		asked := time.Now()
		if err := c.Process.Signal(syscall.SIGINT); err != nil {
			t.Fatal(err)
		}
		c.Wait() // the status is checked below
		if took := time.Since(asked); took > time.Second {
			t.Errorf("stopped after %v", took)
		}
		if code := c.ProcessState.ExitCode(); code != 128+int(syscall.SIGINT) || strings.TrimSpace(diag.String()) != "pourplane: stopped" {
			t.Errorf("status %d: %s", code, diag.String())
		}
		if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
			t.Errorf("it left %v (%v)", left, err)
		}
	}
}

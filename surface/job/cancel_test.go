package job

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"strings"
	"testing"
	"testing/fstest"
)

// Cancelling a job at any progress report gives context.Canceled and no result, and no
// other work begins. The job lays out bars and bays and judges the floor after the pour.
func TestCancelAtEachReport(t *testing.T) {
	t.Parallel()
	files := maps.Clone(ramp)
	files["after.csv"] = levelShots(0.001, 7, 5)
	text := strings.Replace(rampJob, "[target]", "after = [\"after.csv\"]\n[target]", 1) + "[bars]\nsize = \"8\"\nspacing = \"500mm\"\ntop-cover = \"10mm\"\nbottom-cover = \"5mm\"\n[bays]\nwidth = \"2m\"\n"
	reports := map[string]int{}
	n := 0
	if _, err := Solve(t.Context(), parsed(t, text), files, func(what string, _, _ int64) {
		n++
		what, _, _ = strings.Cut(what, " ")
		reports[what]++
	}); err != nil {
		t.Fatal(err)
	}
	for _, what := range []string{"reading", "triangulating", "working", "laying"} {
		if reports[what] == 0 {
			t.Errorf("%v: no report of %s", reports, what)
		}
	}
	for at := 1; at <= n; at++ {
		cancelAt(t, files, text, at)
	}
}

// A long list of points is cancelled too. It is read in several pieces of a megabyte.
func TestCancelWhileRowsAreRead(t *testing.T) {
	t.Parallel()
	var list strings.Builder
	list.WriteString("point,x (m),y (m),z (m),remarks\n")
	for i := range 150 {
		for k := range 150 {
			fmt.Fprintf(&list, "%d,%d,%d,9.9,%s\n", 1000+150*i+k, i, k, strings.Repeat("x", 100))
		}
	}
	files := fstest.MapFS{"a.csv": {Data: []byte(list.String())}}
	const text = least + "[target]\nelevation = \"10m\"\n"
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	reading := 0
	_, err := Solve(ctx, parsed(t, text), files, func(what string, done, total int64) {
		if what != "reading" {
			t.Errorf("%s after the job was cancelled", what)
		}
		if done > 0 && done < total {
			reading++
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) || reading != 1 {
		t.Errorf("%v after %d reports within the list, want it cancelled at the first", err, reading)
	}
}

// A job cancelled before it begins opens no file.
func TestCancelledBefore(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	files := &opens{FS: demo}
	text, _ := fs.ReadFile(demo, "job.toml")
	got, err := Solve(ctx, parsed(t, string(text)), files, nil)
	if !errors.Is(err, context.Canceled) || got != nil || files.n > 0 {
		t.Errorf("%v, %v, %d files opened", got, err, files.n)
	}
}

// opens counts the files opened.
type opens struct {
	fs.FS
	n int
}

func (o *opens) Open(name string) (fs.File, error) { o.n++; return o.FS.Open(name) }

func (o *opens) Stat(name string) (fs.FileInfo, error) { return fs.Stat(o.FS, name) }

func cancelAt(t *testing.T, files fs.FS, text string, at int) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	n, last := 0, ""
	got, err := Solve(ctx, parsed(t, text), files, func(what string, _, _ int64) {
		n++
		switch {
		case n == at:
			last = what
			cancel()
		case n > at && what != last:
			t.Errorf("cancelled at report %d, %s: goes on with %s", at, last, what)
		}
	})
	if !errors.Is(err, context.Canceled) || got != nil || n < at {
		t.Errorf("cancelled at report %d of %d, %s: %v, a result: %v", at, n, last, err, got != nil)
	}
}

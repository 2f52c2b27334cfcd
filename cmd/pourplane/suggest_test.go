package main

import (
	"errors"
	"io"
	"testing"

	"pourplane/surface/job"
	"pourplane/survey/unit"
)

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space") }

// Nothing that is printed is lost without a word, not even help.
func TestOutputThatCannotBeWritten(t *testing.T) {
	for _, args := range [][]string{{"fill", "--help"}, {"--version"}, {"--help"}, {"completion", "bash"}, {"flatness", "--rule", "list"}} {
		if status := run(args, nil, full{}, io.Discard); status == done {
			t.Errorf("%v ends well", args)
		}
	}
}

// A note of an engine is shown in a job with what to type there.
func TestNotesOfAJobNameItsLines(t *testing.T) {
	note := unit.Textf("%s of exactly 0 not used; --zeros measured uses them. Raise --target 10", "2 heights")
	want := `2 heights of exactly 0 not used; [survey] zeros = "measured" uses them. Raise [target] elevation = "10m"`
	if got := job.Keyed(note, unit.Metre).String(); got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

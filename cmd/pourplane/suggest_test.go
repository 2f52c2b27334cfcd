package main

import (
	"errors"
	"io"
	"testing"

	"pourplane/survey/unit"
)

// Hints for options become what is typed in a job.
func TestHintsInJobs(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"--target 99.93ft", `[target] elevation = "99.93ft"`},
		{"--instrument-height 11.500", `[survey] instrument-height = "11.500m"`},
		{"--units m, or cm, mm, ft, ftUS, in", `units = "m", or cm, mm, ft, ftUS, in`},
		{"--grid-numbers north or --grid-numbers south (or east, west, a bearing)", `[survey] grid-numbers = "north" or [survey] grid-numbers = "south" (or east, west, a bearing)`},
		{"--zeros measured uses them, --zeros missing does not", `[survey] zeros = "measured" uses them, [survey] zeros = "missing" does not`},
		{"Give --outline FILE.", `Give [survey] outline = "FILE".`},
		{`--grid-origin "BAY 2=10,0"`, `[survey] grid-origins = { "BAY 2" = "10m,0" }`},
		{"--finish-code CODE --buildup H", `[target] finish-codes = ["CODE"] [target] buildup = "H"`},
		{"--accept-misclosure goes on all the same", "[survey] accept-misclosure = true goes on all the same"},
		{"leave --truck out", "leave plant.truck out"},
		{"--duplicates mean, first or last", `[survey] duplicates = "mean", first or last`},
		{"--target Z, or --finish Z --buildup H", `[target] elevation = "Z", or [target] finish = "Z" [target] buildup = "H"`},
		{"--out DIR", "--out DIR"},
	} {
		if got := inKeysWithValues(c.text, unit.Metre); got != c.want {
			t.Errorf("%s\n got %s\nwant %s", c.text, got, c.want)
		}
	}
}

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
	if got := keyed(note, unit.Metre).String(); got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

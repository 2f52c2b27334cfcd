package main

import (
	"errors"
	"io"
	"testing"
)

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space") }

// No output is lost without an error, not even help.
func TestOutputThatCannotBeWritten(t *testing.T) {
	for _, args := range [][]string{{"fill", "--help"}, {"--version"}, {"--help"}, {"completion", "bash"}, {"flatness", "--rule", "list"}} {
		if status := run(args, nil, full{}, io.Discard); status == done {
			t.Errorf("%v ends well", args)
		}
	}
}

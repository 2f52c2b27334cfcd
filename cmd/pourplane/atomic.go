package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"pourplane/survey"
)

// output is a file to be written.
type output struct {
	name string // below the folder of results
	data []byte
}

// writeAll writes files into folder, made if need be: all to temporary names
// first, then renamed, so that no reader ever sees half a file. It refuses to
// write over an input.
func writeAll(folder string, files []output, inputs []string) (err error) {
	for _, in := range inputs {
		info, err := os.Stat(in)
		if err != nil {
			continue
		}
		for _, f := range files {
			if there, err := os.Stat(filepath.Join(folder, f.name)); err == nil && os.SameFile(info, there) {
				return &survey.Error{Pos: survey.Pos{File: in}, Want: "results elsewhere: " + f.name + " would replace this input"}
			}
		}
	}
	for _, f := range files {
		// A rename that fails half-way would leave some results new and some old.
		if there, err := os.Stat(filepath.Join(folder, f.name)); err == nil && !there.Mode().IsRegular() {
			return fmt.Errorf("cannot write %s: something else of this name is in the way", filepath.Join(folder, f.name))
		}
	}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return fmt.Errorf("cannot make the folder of results: %w", err)
	}
	var temporary []string
	defer func() {
		for _, t := range temporary {
			err = errors.Join(err, os.Remove(t))
		}
	}()
	for _, f := range files {
		t, err := os.CreateTemp(folder, "."+f.name+".*")
		if err != nil {
			return fmt.Errorf("cannot write into %s: %w", folder, err)
		}
		temporary = append(temporary, t.Name())
		_, err = t.Write(f.data)
		if err := errors.Join(err, t.Chmod(0o644), t.Close()); err != nil {
			return fmt.Errorf("cannot write %s: %w", f.name, err)
		}
	}
	for i, f := range files {
		if err := os.Rename(temporary[0], filepath.Join(folder, f.name)); err != nil {
			return fmt.Errorf("cannot write %s: %w", files[i].name, err)
		}
		temporary = temporary[1:]
	}
	return nil
}

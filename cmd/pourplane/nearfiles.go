package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// withFiles adds to the refusal of a file that does not exist the one that may be meant.
func withFiles(err error) error {
	return survey.Each(err, func(e *survey.Error) error {
		var path *fs.PathError
		if !errors.Is(e, fs.ErrNotExist) || !errors.As(e, &path) {
			return e
		}
		out := *e
		switch near := nearFile(path.Path); {
		case near == "":
		case out.Hint == "":
			out.Hint = near
		default:
			out.Hint = near + " " + out.Hint
		}
		return &out
	})
}

// nearFile returns the hint for a name that is no file.
func nearFile(name string) string {
	dir, base := filepath.Split(name)
	found, err := os.ReadDir(filepath.Clean(dir + "."))
	if err != nil {
		return fmt.Sprintf("there is no folder %s", filepath.Clean(dir))
	}
	of := map[string]string{}
	var lower, like []string
	for _, f := range found {
		if f.IsDir() || strings.HasPrefix(f.Name(), ".") {
			continue
		}
		one := strings.ToLower(f.Name())
		of[one] = f.Name()
		lower = append(lower, one)
		if stem := strings.TrimSuffix(one, filepath.Ext(one)); stem == strings.ToLower(base) {
			like = append(like, one)
		}
	}
	near := job.Nearest(base, lower)
	_, isUnit := unit.ParseLength(name)
	switch {
	case len(like) == 1:
		near = like[0] // the ending was left out
	case isUnit:
		return fmt.Sprintf("%s is a unit: write it to its number without a space, such as 100%s", name, name)
	}
	if near == "" {
		return ""
	}
	return fmt.Sprintf("did you mean %s?", dir+of[near])
}

package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"pourplane/cmd/pourplane/internal/folder"
	"pourplane/surface/job"
	"pourplane/survey"
)

// attempt returns the text of a job that run accepts.
func (f *newFlags) attempt(ctx context.Context, p *progress) (string, error) {
	s, given, err := job.OpenFloor(&f.of, &disk{}, p.say)
	if err != nil {
		return "", err
	}
	d, err := f.of.WithUnits(given.Stated)
	if err != nil {
		return "", err
	}
	d.Date, d.Survey.Files = job.DateOf(today()), slices.Clone(d.Survey.Files)
	for i, name := range d.Survey.Files {
		if d.Survey.Files[i], err = f.fromJob(name); err != nil {
			return "", err
		}
		for which, why := range d.Survey.LeaveOut {
			if row, ok := strings.CutPrefix(which, name+":"); ok { // the job has another path to the file
				delete(d.Survey.LeaveOut, which)
				d.Survey.LeaveOut[filepath.Base(name)+":"+row] = why
			}
		}
	}
	if d.Survey.Outline, err = f.fromJob(d.Survey.Outline); err != nil {
		return "", err
	}
	if d.Target.Surface, err = f.fromJob(d.Target.Surface); err != nil {
		return "", err
	}
	d.Seen(s)
	text := d.Text(job.StyleOf(s, d.Show).Imperial)
	j, err := job.Parse([]byte(text), f.job)
	if err != nil {
		return "", fmt.Errorf("an answer does not fit into a job file: %w", err)
	}
	return text, f.tried(ctx, j, p)
}

// tried returns the refusal that run would give.
func (f *newFlags) tried(ctx context.Context, j *job.Job, p *progress) error {
	asTyped := func(err error) error { return err } // names the options as typed
	if _, err := job.SolveNamed(ctx, j, &disk{}, p.say, asTyped); err != nil {
		return err
	}
	info, err := os.Stat(f.results())
	switch {
	case err != nil:
		return nil
	case !info.IsDir():
		return &survey.Error{Pos: survey.Pos{File: f.results()}, Found: "a file", Want: "no file where run makes the folder of results", Hint: "--job OTHER.toml"}
	}
	_, err = folder.MayReplace(f.results(), append(j.Inputs(), f.job))
	var e *survey.Error
	if errors.As(err, &e) {
		other := *e
		other.Hint = "--job OTHER.toml: run makes a folder of the name of the job, without its ending"
		return &other
	}
	return err
}

// results returns the folder that run makes for the job.
func (f *newFlags) results() string { return strings.TrimSuffix(f.job, filepath.Ext(f.job)) }

// fromJob returns the path of a file from the folder of the job.
func (f *newFlags) fromJob(name string) (string, error) {
	if name == "" {
		return "", nil
	}
	a, err := filepath.Abs(filepath.Dir(f.job))
	if err != nil {
		return "", err
	}
	b, err := filepath.Abs(name)
	if err != nil {
		return "", err
	}
	r, err := filepath.Rel(a, b)
	return filepath.ToSlash(r), err
}

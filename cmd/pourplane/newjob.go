package main

import (
	"bufio"
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pourplane/cmd/pourplane/internal/folder"
	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
)

type newFlags struct {
	of  job.Job // from options and answers; file paths are from the current folder
	job string
	yes bool
}

func newNew() *cobra.Command {
	var f newFlags
	c := &cobra.Command{
		Use:   "new SURVEY...",
		Short: "Write a job file for a floor",
		Long: `new reads the surveys of a floor, asks for what is missing, and writes a job file with
a comment to every key. It takes the options of fill for reading files and for the
target. --yes asks nothing: what is missing is left out. A job that run would refuse
is not written.`,
		Example: `  pourplane new survey.csv --outline walls.csv --job hall.toml
  pourplane new survey.csv --outline walls.csv --target 99.930ft --yes --job hall.toml
  pourplane new grid.csv --grid-spacing 3m --grid-values rod --instrument-height 11.5m --target 10m --yes --job grid.toml
  pourplane new hall.xlsx --sheet Before --outline hall.xlsx --outline-sheet Walls --target 10m --yes --job hall.toml`,
		Args: someFiles,
		RunE: func(c *cobra.Command, files []string) error {
			f.of.Survey.Files = files
			return f.run(c)
		},
	}
	jobFlags(c, &f.of)
	s := c.Flags()
	s.StringVar(&f.job, "job", "", "`FILE` job file to write, such as hall.toml")
	s.BoolVar(&f.yes, "yes", false, "ask nothing")
	return c
}

func (f *newFlags) run(c *cobra.Command) error {
	if f.job == "" {
		return &usageError{text: "no name for the job file", hint: "--job " + strings.TrimSuffix(filepath.Base(f.of.Survey.Files[0]), filepath.Ext(f.of.Survey.Files[0])) + ".toml"}
	}
	if f.results() == "" || f.results() == f.job {
		return &usageError{text: fmt.Sprintf("--job: found %q, want a name with an ending: the results go into a folder of that name without it", f.job), hint: "--job " + strconv.Quote(cmp.Or(f.results(), "hall")+".toml")}
	}
	if _, err := os.Stat(f.job); err == nil {
		return &survey.Error{Pos: survey.Pos{File: f.job}, Found: "a file of that name", Want: "a new one: job files are never overwritten", Hint: "--job OTHER.toml"}
	}
	files := f.of.Survey.Files
	f.of.Title = cmp.Or(f.of.Title, strings.TrimSuffix(filepath.Base(files[0]), filepath.Ext(files[0])))
	q := &questions{newFlags: f}
	if !f.yes {
		q.asker = &asker{in: bufio.NewScanner(c.InOrStdin()), out: c.OutOrStdout()}
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	s, given, err := q.understand(p)
	if err != nil {
		return err
	}
	if err := q.rest(s, given); err != nil {
		return err
	}
	for {
		text, err := f.attempt(c.Context(), p)
		p.end()
		if err == nil {
			if err := folder.Write(filepath.Dir(f.job), []report.Output{{Name: filepath.Base(f.job), Data: []byte(text)}}, files); err != nil {
				return err
			}
			_, err = fmt.Fprintf(c.OutOrStdout(), "%s written. Look through it, then: pourplane run %s\n", f.job, f.job)
			return err
		}
		if !q.about(err) {
			return cmp.Or(q.failed(), err)
		}
	}
}

// today returns the date of a new job: from SOURCE_DATE_EPOCH if it is set.
func today() time.Time {
	if s, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64); err == nil {
		return time.Unix(s, 0).UTC()
	}
	return time.Now()
}

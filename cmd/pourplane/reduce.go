package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
)

type reduceFlags struct {
	form    string
	show    string
	asJSON  bool
	verbose bool
}

func newReduce() *cobra.Command {
	var f reduceFlags
	var j job.Job
	c := &cobra.Command{
		Use:   "reduce BOOK...",
		Short: "Elevations from a level book, with its checks and its misclosure",
		Long: `reduce works out a level book: rod readings from one or more set-ups, as one row a
sight (columns setup, sight with BS, IS or FS, point, rod) or with columns BS, IS
and FS, in height-of-instrument or rise-and-fall form. Books of several files are
reduced together.

It prints the book with elevations and the checks of arithmetic, with how it
closes and what is allowed, and spreads the misclosure if asked to. A book
that misses by more than allowed is still printed, with the set-up most likely
at fault, and ends with status 1.`,
		Example: `  # the benchmark's elevation is in the book
  pourplane reduce book.csv --units m

  # or here; the line ends on another benchmark
  pourplane reduce book.csv --units ft --benchmark "BM A=100.00" --benchmark "BM B=94.91" --allow 0.05ft

  # spread what is left over, set-up by set-up
  pourplane reduce book.csv --units m --adjust setups

  # points seen from several set-ups: all sights together, with standard deviations
  pourplane reduce book.csv --units m --adjust least-squares`,
		Args: someFiles,
		RunE: func(c *cobra.Command, files []string) error {
			j.Survey.Files = files
			return f.run(c, &j)
		},
	}
	jobFlags(c, &j)
	s := c.Flags()
	s.StringVar(&f.form, "form", "", "`FORM` form of the printed book: instrument or rise-fall (default: as the file)")
	s.StringVar(&f.show, "show", "", "`SYSTEM` units of the results: metric, feet or feet-inches (default: as the book)")
	s.BoolVar(&f.asJSON, "json", false, "print the result as one JSON object, SI units, and nothing else")
	s.BoolVar(&f.verbose, "verbose", false, "print the whole book and all notes")
	complete(c, "form", "instrument", "rise-fall")
	complete(c, "show", "metric", "feet", "feet-inches")
	return c
}

func (f *reduceFlags) run(c *cobra.Command, j *job.Job) error {
	switch {
	case f.asJSON && (f.form != "" || f.show != ""):
		return &usageError{text: "--form and --show are for the printed book; --json has every form, in SI units", hint: "leave them out"}
	case f.asJSON && f.verbose:
		return &usageError{text: "--verbose is for print; --json has everything", hint: "leave it out"}
	case f.form != "" && f.form != "instrument" && f.form != "rise-fall":
		return &usageError{text: fmt.Sprintf("--form: found %q, want instrument or rise-fall", f.form), hint: ""}
	case f.show != "" && f.show != "metric" && f.show != "feet" && f.show != "feet-inches":
		return &usageError{text: fmt.Sprintf("--show: found %q, want metric, feet or feet-inches", f.show), hint: ""}
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	s, err := job.OpenBook(j, f.show, &disk{stdin: c.InOrStdin}, p.say)
	if err != nil {
		return err
	}
	p.say("listing the book", 0, 0)
	page := &report.BookPage{S: s, B: s.Book, Style: report.LevelStyleOf(s, f.show)}
	page.RiseFall = f.form == "rise-fall" || f.form == "" && s.Book.RiseFall
	if f.asJSON {
		data, err := report.Indented(report.NewReduction(s))
		if err != nil {
			return err
		}
		p.end()
		if _, err := c.OutOrStdout().Write(data); err != nil {
			return err
		}
	} else {
		text := page.Print(f.verbose)
		p.end()
		if _, err := c.OutOrStdout().Write(text); err != nil {
			return err
		}
	}
	return survey.ErrorIn(s.Book.Err(j.Survey.AcceptMisclosure), page.Style.Style)
}

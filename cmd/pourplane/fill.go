package main

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"pourplane/cmd/pourplane/internal/folder"
	"pourplane/plot/report"
	"pourplane/surface/job"
)

type fillFlags struct {
	out, date       string
	profiles        []string
	asJSON, verbose bool
}

func newFill() *cobra.Command {
	var f fillFlags
	var j job.Job
	c := &cobra.Command{
		Use:   "fill SURVEY...",
		Short: "Depth of fill everywhere, exact volume and a first order",
		Long: `fill reads one or more surveys of one floor, triangulates the shots inside the
outline, and works out what it takes to bring the floor to the target plane.

A survey is delimited text (one shot a row: elevations, or rod readings from one
or more set-ups) or a LandXML file (points, or a surface with its own faces).
With no walls given, the floor ends at a line around the outermost shots. A strip
along the walls is then missing from the fill, and the result says how large it may be.

A length takes its unit: 20mm, 3/4in, 5'-3 3/8", 99.93ft. A bare number is in
--units, or without --units in the survey's unit; where that leaves a doubt it is
refused. See pourplane help units.`,
		Example: `  # a level target, results on the terminal
  pourplane fill floor.csv --units m --target 10.000

  # rod readings, walls from another file, maps and data into a folder
  pourplane fill survey.csv --outline outline.csv --target 99.930ft --out out

  # meet the lowest adjoining floor: 9/16 in of tile and bed, and stay 1/16 in low
  pourplane fill survey.csv --outline outline.csv --finish-code ADJ --buildup 9/16in --low 1/16in

  # a surface from a LandXML file, falling 1:60 toward a drain
  pourplane fill hall.xml --surface "as found" --target 10.02m --fall 1:60 --toward 6m,4m

  # for another program
  pourplane fill floor.csv --units m --target 10.000 --json`,
		Args: someFiles,
		RunE: func(c *cobra.Command, files []string) error {
			j.Survey.Files = files
			return f.run(c, &j)
		},
	}
	jobFlags(c, &j)
	s := c.Flags()
	s.StringVar(&f.out, "out", "", "`DIR` folder for maps, result and surface; made if need be")
	s.StringVar(&f.date, "date", "", "`DATE` date of the survey in surface.xml, such as 2026-11-25 (default today)")
	s.StringArrayVar(&f.profiles, "profile", nil, "`X1,Y1,X2,Y2` draw the floor along a line from one place to another, with --out (repeatable)")
	s.BoolVar(&f.verbose, "verbose", false, "print everything: how it was worked out, bands of depth, thresholds, level book, all notes")
	s.BoolVar(&f.asJSON, "json", false, "print the result as one JSON object, SI units, and nothing else")
	return c
}

// check refuses calls that are wrong whatever the files hold.
func (f *fillFlags) check() error {
	switch {
	case len(f.profiles) > 0 && f.out == "":
		return &usageError{text: "--profile draws into the folder of results", hint: "--out DIR"}
	case f.date == "":
		return nil
	case f.out == "":
		return &usageError{text: "--date is the date of the surface that --out writes", hint: "--out DIR"}
	}
	if _, err := time.Parse(time.DateOnly, f.date); err != nil {
		return &usageError{text: fmt.Sprintf("--date: found %q, want a date such as 2026-11-25", f.date), hint: ""}
	}
	return nil
}

func (f *fillFlags) run(c *cobra.Command, j *job.Job) error {
	if err := f.check(); err != nil {
		return err
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	w, err := job.Fill(j, f.profiles, &disk{stdin: c.InOrStdin}, p.say)
	if err != nil {
		return err
	}
	var data []byte
	if f.asJSON || f.out != "" { // it takes longer than the fill: it says how sure each band is
		if data, err = report.Indented(report.NewResult(w)); err != nil {
			return err
		}
	}
	style := job.StyleOf(w.Survey, j.Show)
	sum := &report.Summary{Filled: w, Style: style, Out: f.out, Verbose: f.verbose, MoreOnOrder: report.FirstOrder(w)}
	if f.out != "" {
		written, err := report.Drawn(report.FillPictures(w, style), p.say)
		if err != nil {
			return err
		}
		written = append([]report.Output{{Name: "result.json", Data: data}, report.LandXML(w, f.day())}, written...)
		if err := folder.Write(f.out, written, append(j.Survey.Files, j.Survey.Outline)); err != nil {
			return err
		}
		sum.Written = written
	}
	p.end()
	if f.asJSON {
		_, err = c.OutOrStdout().Write(data)
		return err
	}
	return sum.Print(c.OutOrStdout())
}

// day returns the date of the surface that is written.
func (f *fillFlags) day() time.Time {
	if f.date != "" {
		day, _ := time.Parse(time.DateOnly, f.date) // check has parsed it
		return day
	}
	return time.Now().UTC().Truncate(24 * time.Hour)
}

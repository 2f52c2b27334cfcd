package main

import (
	"github.com/spf13/cobra"

	"pourplane/cmd/pourplane/internal/folder"
	"pourplane/plot/report"
	"pourplane/surface/job"
)

type settlementFlags struct {
	job.SettleOptions
	out             string
	asJSON, verbose bool
}

func newSettlement() *cobra.Command {
	var f settlementFlags
	var j job.Job
	c := &cobra.Command{
		Use:   "settlement FIRST SECOND...",
		Short: "How a floor moved between two or more surveys, and whether it still does",
		Long: `settlement compares surveys of one floor. Give one file for each date, the oldest first.
Places that the surveys have in common, by name or by place, are compared: how much each
is lower or higher, with its ±, and whether that is more than the error of the readings,
corrected for looking at many places. The change against the middle of the floor is
free of the error of the set-ups, and is what cracks a floor.

The surveys must share a benchmark: one name, one elevation. With --dates it works out
the rate, and with three surveys or more whether it slows down. What is not shown to
have moved may still have moved by less than can be seen.`,
		Example: `  pourplane settlement january.csv march.csv --outline walls.csv --benchmark BM1=100ft
  pourplane settlement january.csv march.csv june.csv --dates 2026-01-05,2026-03-02,2026-06-01 --benchmark BM1=100ft --out result
  pourplane settlement january.csv march.csv --benchmark BM1=10m --reading-sd 0.5mm --setup-sd 0.5mm --json`,
		Args: someFiles,
		RunE: func(c *cobra.Command, files []string) error {
			j.Survey.Files = files
			return f.run(c, &j)
		},
	}
	jobFlags(c, &j)
	s := c.Flags()
	s.StringVar(&f.Dates, "dates", "", "`DAYS` of the surveys in their order, such as 2026-01-05,2026-03-02: for the rate")
	s.BoolVar(&f.SameDatum, "same-datum", false, "the elevations of all surveys are on one datum, although no benchmark shows it")
	s.StringVar(&f.out, "out", "", "`DIR` folder for record, map, places and result; made if need be")
	s.BoolVar(&f.asJSON, "json", false, "print the result as one JSON object, SI units, and nothing else")
	s.BoolVar(&f.verbose, "verbose", false, "print everything: all places, all notes")
	return c
}

func (f *settlementFlags) run(c *cobra.Command, of *job.Job) error {
	if f.asJSON && f.verbose {
		return &usageError{text: "--verbose is for print; --json has everything", hint: "leave it out"}
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	r, err := job.Settle(of, f.SettleOptions, &disk{stdin: c.InOrStdin}, p.say)
	if err != nil {
		return err
	}
	p.say("listing the result", 0, 0)
	style := job.StyleOf(r.Visits[0].Survey, of.Show)
	data, err := report.Indented(report.NewSettlement(r))
	if err != nil {
		return err
	}
	var written []report.Output
	if f.out != "" {
		if written, err = report.SettlementFiles(r, style, p.say); err != nil {
			return err
		}
		written = append([]report.Output{{Name: "settlement.json", Data: data}}, written...)
		if err := folder.Write(f.out, written, append(of.Survey.Files, of.Survey.Outline)); err != nil {
			return err
		}
	}
	p.end()
	if f.asJSON {
		_, err = c.OutOrStdout().Write(data)
		return err
	}
	_, err = c.OutOrStdout().Write(report.SettlementText(r, style, f.verbose, f.out, written))
	return err
}

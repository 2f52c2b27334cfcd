package main

import (
	"cmp"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"pourplane/cmd/pourplane/internal/folder"
	"pourplane/plot/report"
	"pourplane/surface/job"
)

type runFlags struct {
	out     string
	verbose bool
}

func newRun() *cobra.Command {
	var f runFlags
	c := &cobra.Command{
		Use:   "run JOB.toml",
		Short: "Make everything that a job file asks for",
		Long: `run reads a job file and makes all of its results into one folder: the record to
hand over as PDF and as one HTML page, the sheet of grade pins, the take-off as a
spreadsheet, the plan as DXF and GeoJSON, maps, the surface, how flat the floor came
out where it was surveyed again, and a manifest with the SHA-256 of every file that
went in and came out. The folder is replaced as a whole or not at all; the same job
and files make the same bytes, whenever they are run.

File names in a job are relative to its folder. pourplane new writes a job to start
from.`,
		Example: `  pourplane new survey.csv --outline walls.csv --target 99.930ft --yes --job hall.toml
  pourplane run hall.toml --out hall`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 1 {
				if len(args) == 0 {
					return &usageError{text: "no job file given", hint: "pourplane run JOB.toml; pourplane new SURVEY --job JOB.toml writes one"}
				}
				return &usageError{text: fmt.Sprintf("found %d job files, want one", len(args)), hint: "pourplane run JOB.toml"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, files []string) error { return f.run(c, files[0]) },
	}
	c.Flags().StringVar(&f.out, "out", "", "`DIR` folder for the results (default: the name of the job, beside it)")
	c.Flags().BoolVar(&f.verbose, "verbose", false, "print everything: how it was worked out, tables, flatness, all notes")
	return c
}

func (f *runFlags) run(c *cobra.Command, name string) error {
	text, err := job.ReadFile(name)
	if err != nil {
		return err
	}
	j, err := job.Parse(text, name)
	if err != nil {
		return err
	}
	out, inputs := cmp.Or(f.out, strings.TrimSuffix(name, filepath.Ext(name))), append(j.Inputs(), name)
	if _, err := folder.MayReplace(out, inputs); err != nil {
		return err // before the work, not after it
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	from := &disk{sums: &readSums{of: map[string]report.FileSum{}}}
	done, err := job.Solve(c.Context(), j, from, p.say)
	if err != nil {
		return err
	}
	day, err := j.Day()
	if err != nil {
		return err
	}
	h, err := report.NewHandover(done, report.StyleOf(done))
	if err != nil {
		return err
	}
	m, err := newManifest(j, text, day, from.sums)
	if err != nil {
		return err
	}
	h.Inputs = m.Inputs
	names, err := kept(h.FileNames(), j)
	if err != nil {
		return err
	}
	outputs, err := h.Some(names, p.say)
	if err != nil {
		return err
	}
	for _, o := range outputs {
		m.Outputs = append(m.Outputs, folder.Sum(o.Name, o.Data))
	}
	list, err := report.Indented(m)
	if err != nil {
		return err
	}
	outputs = append(outputs, report.Output{Name: "manifest.json", Data: list})
	p.say("writing "+filepath.Base(out), 0, 0)
	if err := folder.Replace(out, outputs, inputs); err != nil {
		return err
	}
	p.end()
	return f.print(c.OutOrStdout(), h, out, outputs)
}

// print prints the answer, and with verbose the tables.
func (f *runFlags) print(w io.Writer, h *report.Handover, out string, outputs []report.Output) error {
	sum := &report.Summary{Filled: h.Filled, Style: h.Style, Out: out, Verbose: f.verbose, InJob: true, Written: outputs}
	if f.verbose {
		sum.Heights = h.Result.Heights(job.HeightStep(h.Style.Imperial), job.HeightsAround)
	}
	sum.Extra = h.Rows()
	if h.Judged != nil {
		sum.After, sum.AfterNotes = report.Verdict(h.Judged, h.Style), h.Judged.Notes
	}
	if err := sum.Print(w); err != nil || !f.verbose {
		return err
	}
	if err := h.PrintTables(w); err != nil || h.Judged == nil {
		return err
	}
	_, err := fmt.Fprintf(w, "\nAfter the pour: %s", report.FlatnessText(h.Judged, h.Style, "", nil))
	return err
}

// kept returns the names of files without those that the job omits.
func kept(all []string, j *job.Job) ([]string, error) {
	left := all
	for _, name := range j.Outputs.Omit {
		rest := slices.DeleteFunc(slices.Clone(left), func(n string) bool { return n == name })
		if len(rest) == len(left) || name == "result.json" {
			return nil, j.Error("outputs.omit", strconv.Quote(name), "files that this job makes and that may be left out: "+strings.Join(left[1:], ", "))
		}
		left = rest
	}
	return left, nil
}

package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"pourplane/cmd/pourplane/internal/folder"
	"pourplane/plot"
	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey/file"
)

type readFlags struct {
	step    string
	picture string
	cells   string
	asJSON  bool
	verbose bool
}

func newRead() *cobra.Command {
	var f readFlags
	var j job.Job
	c := &cobra.Command{
		Use:   "read FILE...",
		Short: "What a file holds and how it was understood, before anything is computed",
		Long: `read opens survey files and reports what they hold: how they were understood (format,
separator, columns, units, and what was assumed), points by code, their extent, the
area, how dense the shots are against usual practice, which readings look wrong, and
a small map. Run it first on a file of your own.

A scan too long for one go is read in parts: --thin and --cells write one file of cells
for each part, and any command reads such files together as if it had read the scans.`,
		Example: `  pourplane read survey.csv
  pourplane read grid.csv --units m --grid-numbers south --grid-values rod
  pourplane read survey.csv --outline walls.csv --map survey.png
  pourplane read hall.xml --json
  pourplane read north.las --thin 25mm --cells north.cells`,
		Args: someFiles,
		RunE: func(c *cobra.Command, files []string) error {
			j.Survey.Files = files
			return f.run(c, &j)
		},
	}
	jobFlags(c, &j)
	s := c.Flags()
	s.StringVar(&f.step, "step", "", "`L` distance between the readings of runs, where the file does not give it")
	s.StringVar(&f.picture, "map", "", "`FILE` draw the shots into it: .png, .svg or .pdf")
	s.StringVar(&f.cells, "cells", "", "`FILE` write the cells of a thinned scan into it: its name ends in .cells")
	s.BoolVar(&f.asJSON, "json", false, "print the result as one JSON object, SI units, and nothing else")
	s.BoolVar(&f.verbose, "verbose", false, "print everything: all surfaces, runs and suspects, the map in full, all notes")
	return c
}

func (f *readFlags) run(c *cobra.Command, j *job.Job) error {
	files := j.Survey.Files
	format := strings.TrimPrefix(strings.ToLower(filepath.Ext(f.picture)), ".")
	if f.picture != "" && format != "png" && format != "svg" && format != "pdf" {
		return &usageError{text: fmt.Sprintf("--map: found %q, want a file that ends in .png, .svg or .pdf", f.picture), hint: ""}
	}
	if f.asJSON && f.verbose {
		return &usageError{text: "--verbose is for print; --json has everything", hint: "leave it out"}
	}
	if f.cells != "" && filepath.Ext(f.cells) != ".cells" {
		return &usageError{text: fmt.Sprintf("--cells: found %q, want a file that ends in .cells", f.cells), hint: ""}
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	from := &disk{stdin: c.InOrStdin, keeps: len(files) == 1}
	h, err := job.Hold(j, job.HoldOptions{Step: f.step, Cells: f.cells != ""}, from, from.again, p.say)
	if err != nil {
		return err
	}
	style := job.StyleOf(h.S, j.Show)
	if f.cells != "" {
		p.say("writing "+filepath.Base(f.cells), 0, 0)
		var b bytes.Buffer
		if err := file.WriteCells(&b, h.S); err != nil {
			return err
		}
		if err := folder.Write(filepath.Dir(f.cells), []report.Output{{Name: filepath.Base(f.cells), Data: b.Bytes()}}, files); err != nil {
			return err
		}
	}
	if f.picture != "" {
		p.say("drawing "+filepath.Base(f.picture), 0, 0)
		var b bytes.Buffer
		if err := plot.Write(&b, report.ShotMap(h, style), plot.Output{Format: format}); err != nil {
			return fmt.Errorf("--map: %w", err)
		}
		if err := folder.Write(filepath.Dir(f.picture), []report.Output{{Name: filepath.Base(f.picture), Data: b.Bytes()}}, append(files, j.Survey.Outline)); err != nil {
			return err
		}
	}
	if f.asJSON {
		data, err := report.Indented(report.NewHolding(h))
		if err != nil {
			return err
		}
		p.end()
		_, err = c.OutOrStdout().Write(data)
		return err
	}
	text := report.HoldingText(h, style, report.Written{Map: f.picture, Cells: f.cells}, f.verbose)
	p.end()
	_, err = c.OutOrStdout().Write(text)
	return err
}

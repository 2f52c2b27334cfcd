package main

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"

	"github.com/spf13/cobra"
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
went in and came out. The folder is replaced as a whole or not at all; the same job and files make the
same bytes, whenever they are run.

File names in a job are relative to its folder. pourplane new writes one to begin
with.`,
		Example: `  pourplane new survey.csv --outline walls.csv --target 99.930ft --yes --job hall.toml
  pourplane run hall.toml --out hall`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &job.UsageError{Text: fmt.Sprintf("found %d job files, want one", len(args)), Hint: "pourplane run JOB.toml"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, files []string) error { return f.run(c, files[0]) },
	}
	c.Flags().StringVar(&f.out, "out", "", "folder `DIR` for the results (default the name of the job, beside it)")
	c.Flags().BoolVar(&f.verbose, "verbose", false, "print everything: how it was worked out, tables, flatness, all notes")
	return c
}

func (f *runFlags) run(c *cobra.Command, name string) error {
	text, err := job.Text(name)
	if err != nil {
		return err
	}
	j, err := job.Read(text, name)
	if err != nil {
		return err
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	from := &disk{sums: &readSums{of: map[string]report.FileSum{}}}
	done, err := job.Solve(j, from, p.say)
	if err != nil {
		return err
	}
	day, err := j.Day()
	if err != nil {
		return err
	}
	h, err := report.NewHandover(done)
	if err != nil {
		return err
	}
	var flatText []byte
	outputs, err := report.Drawn(report.FillPictures(done.Filled), p.say)
	if err != nil {
		return err
	}
	xml, err := report.LandXML(done.Filled, day)
	if err != nil {
		return err
	}
	outputs = append(outputs, xml)
	if judged := done.Judged; judged != nil {
		pictures, err := report.Drawn(report.FlatnessPictures(judged, judged.Title, judged.Style), p.say)
		if err != nil {
			return err
		}
		outputs = append(outputs, report.Output{Name: "places.csv", Data: report.Places(judged, judged.Style)})
		outputs = append(outputs, pictures...)
		flatText = append([]byte("\nAfter the pour: "), report.FlatnessText(judged, judged.Style, "", nil)...)
	}
	data, err := h.JSON()
	if err != nil {
		return err
	}
	m, err := newManifest(j, text, day, from.sums)
	if err != nil {
		return err
	}
	h.Inputs = m.Inputs
	handed, err := h.Files(p.say)
	if err != nil {
		return err
	}
	outputs = slices.Concat([]report.Output{{Name: "result.json", Data: data}}, handed, outputs)
	for _, name := range j.Outputs.Omit {
		rest := slices.DeleteFunc(slices.Clone(outputs), func(o report.Output) bool { return o.Name == name })
		if len(rest) == len(outputs) || name == "result.json" {
			return j.Error("outputs.omit", strconv.Quote(name), "files that this job makes and that may be left out: "+strings.Join(report.Names(outputs[1:]), ", "))
		}
		outputs = rest
	}
	for _, o := range outputs {
		m.Outputs = append(m.Outputs, sumOf(o.Name, o.Data))
	}
	list, err := report.Indented(m)
	if err != nil {
		return err
	}
	outputs = append(outputs, report.Output{Name: "manifest.json", Data: list})
	out := cmp.Or(f.out, strings.TrimSuffix(name, filepath.Ext(name)))
	p.say("writing "+filepath.Base(out), 0, 0)
	if err := replaceFolder(out, outputs, append(j.Inputs(), name)); err != nil {
		return err
	}
	p.end()
	sum := &report.Summary{Filled: done.Filled, Style: done.Style, Out: out, Verbose: f.verbose, Written: outputs}
	if text := h.TotalText(); text != "" {
		sum.Extra = append(sum.Extra, report.AnswerRow{Head: "Price", Text: text})
	}
	if h.Judged != nil {
		sum.After, sum.AfterNotes = report.Verdict(h.Judged, h.Style), h.Judged.Notes
	}
	if err := sum.Print(c.OutOrStdout()); err != nil || !f.verbose {
		return err
	}
	if err := h.PrintTables(c.OutOrStdout()); err != nil {
		return err
	}
	_, err = c.OutOrStdout().Write(flatText)
	return err
}

const program = "pourplane"

// manifest lists what went into a result and what came out.
type manifest struct {
	Program string           `json:"program"`
	Version string           `json:"version"`
	Job     string           `json:"job"`
	Date    string           `json:"date"`
	Inputs  []report.FileSum `json:"inputs"`
	Outputs []report.FileSum `json:"outputs"`
}

func sumOf(name string, b []byte) report.FileSum {
	h := sha256.Sum256(b)
	return report.FileSum{Name: filepath.ToSlash(name), Bytes: len(b), SHA256: hex.EncodeToString(h[:])}
}

func newManifest(j *job.Job, text []byte, day time.Time, read *readSums) (manifest, error) {
	m := manifest{Program: program, Version: report.Version, Job: j.Title, Date: day.Format(time.DateOnly), Inputs: []report.FileSum{sumOf(filepath.Base(j.Name()), text)}}
	if read.err != nil {
		return m, read.err
	}
	for _, name := range j.FilesNamed() {
		sum, ok := read.of[j.Path(name)]
		if !ok {
			return m, &survey.Error{Pos: survey.Pos{File: j.Path(name)}, Found: "a file that nothing was read of", Want: "inputs that the job uses"}
		}
		sum.Name = filepath.ToSlash(name)
		m.Inputs = append(m.Inputs, sum)
	}
	return m, nil
}

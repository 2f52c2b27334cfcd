package main

import (
	"slices"

	"github.com/spf13/cobra"

	"pourplane/cmd/pourplane/internal/folder"
	"pourplane/plot/report"
	"pourplane/surface/job"
)

type flatnessFlags struct {
	job.FlatOptions
	out             string
	asJSON, verbose bool
}

func newFlatness() *cobra.Command {
	var f flatnessFlags
	var j job.Job
	c := &cobra.Command{
		Use:   "flatness SURVEY...",
		Short: "How flat and level a floor is, which limits it meets, and what to grind or fill",
		Long: `flatness checks a floor, before a pour or after it.

From runs of readings every 12 in or 300 mm it works out F-numbers (FF for flatness,
FL for levelness: larger is better) and chord departures: how far the floor is off a
straight line of 2 to 10 ft, at its middle. From a survey of the whole floor it works
out the gaps under straightedges in every direction and the departures from the plane,
and F-numbers too where shots are about a foot apart.

Each published limit is compared with what was measured. Highs to grind and lows to
fill are listed with their places. Where readings are too far apart or too few, the
result is "not measured", with what would be enough: see pourplane help flatness, for
the files of runs too.

F-numbers are by the method of ASTM E1155, constants not verified against the
published standard; --json lists the settings with how each is known.`,
		Example: `  # runs of readings, as measured
  pourplane flatness lines.csv --outline walls.csv

  # the floor after the pour: straightedges of 10 ft and 2 ft, highs and lows of more than 1/8 in
  pourplane flatness check.csv --outline walls.csv --poured --benchmark BM1=100ft --straightedge 10ft --straightedge 2ft --target 99.93ft --tolerance 1/8in --out result

  # only the limits for large tile
  pourplane flatness check.csv --outline walls.csv --poured --benchmark BM1=100ft --rule tile-large

  # what was placed, compared with what was ordered
  pourplane flatness check.csv --outline walls.csv --poured --benchmark BM1=100ft --before survey.csv --ordered 7.75yd3 --target 99.93ft`,
		Args: func(c *cobra.Command, files []string) error {
			if slices.Contains(j.Flatness.Rules, "list") {
				return nil
			}
			return someFiles(c, files)
		},
		RunE: func(c *cobra.Command, files []string) error {
			j.Survey.Files = files
			return f.run(c, &j)
		},
	}
	jobFlags(c, &j)
	s := c.Flags()
	s.StringVar(&f.Step, "step", "", "`L` distance between the readings of runs, where the file does not give it; of runs laid out 12in or 300mm (default 12in)")
	s.StringVar(&f.Runs, "runs", "", "`WHICH` which runs: from-file, or laid-out over the surface (default from-file, if there are any)")
	s.BoolVar(&f.Poured, "poured", false, "the floor is one now: lines without elevations in the outline, steps before, are joints")
	s.StringVar(&f.Before, "before", "", "`FILE` survey of the same floor before the pour, for what was placed")
	f.LeastArea = job.LeastMark
	s.Var((*areaValue)(&f.LeastArea), "least-area", "`AREA` smaller highs and lows are counted, not listed: noise of a scan")
	s.Lookup("least-area").DefValue = "0.05m2" // about 0.5 ft²
	s.StringVar(&f.out, "out", "", "`DIR` folder for maps and result; made if need be")
	s.BoolVar(&f.asJSON, "json", false, "print the result as one JSON object, SI units, and nothing else")
	s.BoolVar(&f.verbose, "verbose", false, "print everything: all runs, rules of sampling, places and limits, all notes")
	complete(c, "runs", "from-file", "laid-out")
	complete(c, "rule", job.RuleNames()...)
	return c
}

func (f *flatnessFlags) run(c *cobra.Command, of *job.Job) error {
	if slices.Contains(of.Flatness.Rules, "list") {
		if f.asJSON {
			return &usageError{text: "--rule list prints a table for people", hint: "--json with a survey, whose classes hold every rule"}
		}
		_, err := c.OutOrStdout().Write(report.ListRules())
		return err
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	j, err := job.Judge(of, f.FlatOptions, &disk{stdin: c.InOrStdin}, p.say)
	if err != nil {
		return err
	}
	p.say("listing the result", 0, 0)
	style := job.StyleOf(j.Survey, of.Show)
	data, err := report.Indented(report.NewFlat(j))
	if err != nil {
		return err
	}
	var written []report.Output
	if f.out != "" {
		if written, err = report.Drawn(report.FlatnessPictures(j, j.Title, style), p.say); err != nil {
			return err
		}
		written = append([]report.Output{{Name: "flatness.json", Data: data}, {Name: "places.csv", Data: report.Places(j, style)}}, written...)
		if err := folder.Write(f.out, written, append(of.Survey.Files, of.Survey.Outline, f.Before)); err != nil {
			return err
		}
	}
	p.end()
	if f.asJSON {
		_, err = c.OutOrStdout().Write(data)
		return err
	}
	text := report.FlatnessInShort(j, style, f.out, written)
	if f.verbose {
		text = report.FlatnessText(j, style, f.out, written)
	}
	_, err = c.OutOrStdout().Write(text)
	return err
}

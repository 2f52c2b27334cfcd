package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"pourplane/cmd/pourplane/internal/folder"
	"pourplane/plot/report"
	"pourplane/surface/job"
)

type planFlags struct {
	job.PlanOptions
	paper, out string
	asJSON     bool
}

func newPlan() *cobra.Command {
	var f planFlags
	var j job.Job
	c := &cobra.Command{
		Use:   "plan OUTLINE",
		Short: "Before a survey: the grid of shots for a volume as sure as wanted",
		Long: `plan lays a grid of shots over the walls of a floor that is not measured yet, and works
out how sure the volume of the fill will be: the half width of the interval that holds
it in 9 cases of 10. It takes the widest spacing that is sure enough, or the one given.

With --out it writes plan.pdf to print and fill in on site, with a plan of the room to
scale, and plan.csv and plan.xlsx to type the readings into: fill reads either as it is.

How uneven a floor is before it is measured is a guess, by its kind:
` + kindsHelp(),
		Example: `  pourplane plan walls.csv --want 0.1yd3 --out plan
  pourplane plan walls.csv --want 1mm --floor rough --paper A4 --out plan
  pourplane plan walls.csv --spacing 5ft`,
		Args: func(c *cobra.Command, files []string) error {
			if len(files) != 1 {
				return &usageError{text: fmt.Sprintf("found %d files, want the outline of one floor", len(files)), hint: "pourplane plan walls.csv --want 0.1yd3; pourplane help outlines"}
			}
			return noJobs(c, files)
		},
		RunE: func(c *cobra.Command, files []string) error {
			j.Survey.Files = files
			return f.run(c, &j)
		},
	}
	jobFlags(c, &j)
	s := c.Flags()
	s.StringVar(&f.Want, "want", "", "`V` how sure the volume is to be, 90 % of the time: 0.1yd3, 0.08m3, or a mean depth such as 1/16in")
	s.StringVar(&f.Spacing, "spacing", "", "`H` distance between the lines of the grid, in place of --want: 1m or 3ft")
	s.StringVar(&f.Floor, "floor", "", "`KIND` kind of floor: "+strings.Join(job.FloorKindNames(), ", ")+" (default usual)")
	s.StringVar(&f.paper, "paper", "", "`PAPER` A4 or Letter (default: Letter if the outline is in feet)")
	s.StringVar(&f.out, "out", "", "`DIR` folder for plan.pdf, plan.csv and plan.xlsx; made if need be")
	s.BoolVar(&f.asJSON, "json", false, "print the result as one JSON object, SI units, and nothing else")
	complete(c, "floor", job.FloorKindNames()...)
	complete(c, "paper", "A4", "Letter")
	return c
}

// kindsHelp describes the kinds of floors, one a line.
func kindsHelp() string {
	var lines []string
	for _, k := range job.FloorKinds {
		lines = append(lines, fmt.Sprintf("  %-6s %g mm about its slope (standard deviation), of which neighbours within %g m share most;\n         %g mm more from hand to hand", k.Name, 1000*k.SD, k.Reach, 1000*k.Own))
	}
	return strings.Join(lines, "\n")
}

func (f *planFlags) run(c *cobra.Command, j *job.Job) error {
	switch {
	case f.paper != "" && f.paper != "A4" && f.paper != "Letter":
		return &usageError{text: "--paper: found " + strconv.Quote(f.paper) + ", want A4 or Letter"}
	case f.paper != "" && f.out == "":
		return &usageError{text: "--paper is the size of plan.pdf, which --out writes", hint: "--out DIR"}
	}
	p := newProgress(c.ErrOrStderr())
	defer p.end()
	w, err := job.Planning(j, f.PlanOptions, &disk{stdin: c.InOrStdin}, p.say)
	if err != nil {
		return err
	}
	style := job.StyleOf(w.Survey, j.Show)
	var written []report.Output
	if f.out != "" {
		p.say("drawing plan.pdf", 0, 0)
		if written, err = report.PlanFiles(w, style, f.paper); err != nil {
			return err
		}
		if err := folder.Write(f.out, written, j.Survey.Files); err != nil {
			return err
		}
	}
	p.end()
	if f.asJSON {
		data, err := report.Indented(report.NewPlan(w))
		if err != nil {
			return err
		}
		_, err = c.OutOrStdout().Write(data)
		return err
	}
	_, err = c.OutOrStdout().Write(report.PlanText(w, style, j.Survey.Files[0], f.out, written))
	return err
}

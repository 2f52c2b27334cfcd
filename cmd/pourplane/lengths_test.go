package main

import (
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// Every option whose value is a length is in the table, and every one in the table is an
// option. In jobs each needs a unit.
func TestLengthOptionsAreComplete(t *testing.T) {
	length := regexp.MustCompile("`(Z|H|L|X,Y|X1,Y1,X2,Y2|NAME=ELEV)`")
	known := map[string]bool{}
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		c.Flags().VisitAll(func(f *pflag.Flag) {
			name := f.Name
			_, in := job.LengthOptions[name]
			known[name] = known[name] || in
			if is := length.MatchString(f.Usage) || name == "allow"; is != in {
				t.Errorf("%s --%s: a length by its help: %v; in the table: %v", c.Name(), name, is, in)
			}
		})
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(newRoot())
	keys := map[string]bool{}
	for _, l := range job.JobLengths(&job.Job{}) {
		keys[l.Key] = true
	}
	for name, o := range job.LengthOptions {
		if !known[name] {
			t.Errorf("no command has --%s", name)
		}
		if f, _ := job.ByFlag(name); f.Key != "" && !keys[f.Key] {
			t.Errorf("a job's %s may stand without a unit", f.Key)
		}
		for _, part := range strings.Split(o.Metric, ",") {
			v, err := unit.Parse(part, unit.None)
			if err == nil {
				err = o.Within(name, part, v)
			}
			if err != nil {
				t.Errorf("the example of --%s: %v", name, err)
			}
		}
	}
}

package main

import (
	"regexp"
	"slices"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pourplane/surface/job"
)

// Every option whose value is a length by its help is read as one, and no other: a length is
// asked for its unit and has limits.
func TestOptionsThatAreLengths(t *testing.T) {
	length := regexp.MustCompile("`(Z|H|L|X,Y|X1,Y1,X2,Y2|NAME=ELEV)`")
	own := []string{"profile", "spacing", "step"} // of single commands, not of a job
	known := map[string]bool{}
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		c.Flags().VisitAll(func(f *pflag.Flag) {
			field, ok := job.ByFlag(f.Name)
			in := ok && field.Length != nil || slices.Contains(own, f.Name)
			known[f.Name] = true
			if is := length.MatchString(f.Usage) || f.Name == "allow"; is != in {
				t.Errorf("%s --%s: a length by its help: %v; read as one: %v", c.Name(), f.Name, is, in)
			}
		})
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(newRoot())
	for _, f := range job.Fields {
		if f.Length != nil && f.Flag != "" {
			own = append(own, f.Flag)
		}
	}
	for _, name := range own {
		if !known[name] {
			t.Errorf("no command has --%s", name)
		}
	}
}

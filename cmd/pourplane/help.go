package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pourplane/surface/job"
)

// wideHelp is the width of help in characters. Own choice: few terminals are narrower.
const wideHelp = 100

// usual are the options that most floors need, in order of use.
var usual = []string{"outline", "target", "finish-code", "buildup", "out"}

// helpGroups gives the heading of options for the table of their key in a job.
var helpGroups = []struct{ head, tables string }{
	{"Survey", "survey"},
	{"Target", "target"},
	{"Order", "mix plant"},
	{"Flatness", "flatness"},
}

// printUsage prints the usage of a command with its options in groups: a single list of
// fifty is hard to search.
func printUsage(c *cobra.Command, w io.Writer) error {
	var b strings.Builder
	if c.Runnable() {
		fmt.Fprintf(&b, "Usage:\n  %s\n", c.UseLine())
	}
	if c.HasAvailableSubCommands() {
		fmt.Fprintf(&b, "  %s [command]\n", c.CommandPath())
	}
	if c.HasExample() {
		fmt.Fprintf(&b, "\nExamples:\n%s\n", c.Example)
	}
	if c.HasAvailableSubCommands() {
		fmt.Fprintf(&b, "\nCommands:\n")
		for _, sub := range c.Commands() {
			if sub.IsAvailableCommand() || sub.Name() == "help" {
				fmt.Fprintf(&b, "  %-*s %s\n", sub.NamePadding(), sub.Name(), sub.Short)
			}
		}
	}
	if !c.HasParent() {
		fmt.Fprintf(&b, "\nTopics, with %s help TOPIC:\n", c.CommandPath())
		for _, topic := range topics {
			fmt.Fprintf(&b, "  %-12s %s\n", topic, titleOf(topic))
		}
	}
	for _, g := range grouped(c) {
		fmt.Fprintf(&b, "\n%s:\n%s", g.head, g.flags.FlagUsagesWrapped(wideHelp))
	}
	if c.HasAvailableSubCommands() {
		fmt.Fprintf(&b, "\n%s COMMAND --help shows the options of a command, with examples.\n", c.CommandPath())
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// flagGroup is options under one heading.
type flagGroup struct {
	head  string
	flags *pflag.FlagSet
}

// grouped sorts the options of a command: the usual ones first, in groups if there are
// many.
func grouped(c *cobra.Command) []flagGroup {
	var groups []flagGroup
	add := func(head string, f *pflag.Flag) {
		i := slices.IndexFunc(groups, func(g flagGroup) bool { return g.head == head })
		if i < 0 {
			i = len(groups)
			groups = append(groups, flagGroup{head, pflag.NewFlagSet(head, pflag.ContinueOnError)})
			groups[i].flags.SortFlags = head != "Most used"
		}
		groups[i].flags.AddFlag(inHelp(f))
	}
	const few = 12 // max number in one list
	n := 0
	c.LocalFlags().VisitAll(func(*pflag.Flag) { n++ })
	if n <= few {
		c.LocalFlags().VisitAll(func(f *pflag.Flag) { add("Options", f) })
		return groups
	}
	for _, name := range usual {
		if f := c.LocalFlags().Lookup(name); f != nil {
			add("Most used", f)
		}
	}
	for _, g := range helpGroups {
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if slices.Contains(strings.Fields(g.tables), tableOf(f)) && !slices.Contains(usual, f.Name) {
				add(g.head, f)
			}
		})
	}
	c.LocalFlags().VisitAll(func(f *pflag.Flag) {
		known := slices.ContainsFunc(helpGroups, func(g struct{ head, tables string }) bool {
			return slices.Contains(strings.Fields(g.tables), tableOf(f))
		})
		if !known && !slices.Contains(usual, f.Name) {
			add("Output", f)
		}
	})
	return groups
}

// inHelp returns an option as help shows it: the name of its argument is behind the option
// and not in the sentence.
func inHelp(f *pflag.Flag) *pflag.Flag {
	name, _ := pflag.UnquoteUsage(f)
	_, text, ok := strings.Cut(f.Usage, "` ")
	if !ok {
		return f
	}
	shown := *f
	shown.Usage, shown.Value = text, named{f.Value, name}
	if shown.DefValue == "[]" { // of a list
		shown.DefValue = ""
	}
	return &shown
}

// forShell makes the help texts of all options plain, as a shell shows them.
func forShell(root *cobra.Command) {
	for _, c := range root.Commands() {
		c.Flags().VisitAll(func(f *pflag.Flag) { f.Usage = inHelp(f).Usage })
	}
}

// named is the value of an option with the name of its argument.
type named struct {
	pflag.Value
	name string
}

func (v named) Type() string { return v.name }

// tableOf returns the table of the job with the key of an option. units goes with the
// survey, since it is the unit of its lengths.
func tableOf(f *pflag.Flag) string {
	if slices.Contains([]string{"units", "step", "dates", "same-datum"}, f.Name) {
		return "survey"
	}
	field, _ := job.ByFlag(f.Name)
	return field.Table()
}

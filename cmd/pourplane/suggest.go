package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// flagError returns the error for a wrong option, with the option that may be meant.
func flagError(c *cobra.Command, err error) error {
	if refused := refusedValue(err); refused != nil {
		return refused
	}
	hint := fmt.Sprintf("%s --help lists the options", c.CommandPath())
	text := err.Error()
	wrong := ""
	var unknown *pflag.NotExistError
	var bare *pflag.ValueRequiredError
	switch {
	case errors.As(err, &bare):
		return noValue(bare.GetFlag(), "nothing")
	case errors.As(err, &unknown):
		wrong = unknown.GetSpecifiedName()
		text = fmt.Sprintf("%s has no option --%s", c.CommandPath(), wrong)
		if short := unknown.GetSpecifiedShortnames(); short != "" {
			wrong, _, _ = strings.Cut(short, "=")
			text = fmt.Sprintf("%s has no option -%s: options begin with two hyphens", c.CommandPath(), wrong)
		}
	}
	if wrong != "" {
		var names []string
		c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		switch near, others := job.Nearest(wrong, names), commandsWith(c, wrong); {
		case others != nil && c.Flags().Lookup(wrong) == nil:
			hint = fmt.Sprintf("--%s is an option of pourplane %s; %s", wrong, strings.Join(others, ", "), hint)
		case near != "":
			hint = fmt.Sprintf("did you mean --%s? %s", near, hint)
		}
	}
	return &usageError{text: text, hint: hint}
}

// commandsWith lists the commands beside c that have an option.
func commandsWith(c *cobra.Command, option string) []string {
	var out []string
	for _, other := range c.Root().Commands() {
		if other != c && other.Flags().Lookup(option) != nil {
			out = append(out, other.Name())
		}
	}
	return out
}

// noValue refuses an option without its value. found is what is in its place.
func noValue(f *pflag.Flag, found string) *usageError {
	what, _ := pflag.UnquoteUsage(f)
	e := &usageError{text: fmt.Sprintf("--%s: found %s, want its value %s", f.Name, found, what), hint: fmt.Sprintf("--%s %s", f.Name, what)}
	of, ok := job.ByFlag(f.Name)
	if !ok {
		return e
	}
	var ways []string
	for _, us := range []bool{false, true} {
		value := of.Sample(us)
		if name, _, named := strings.Cut(of.Example(us), " = "); named {
			value = strings.Trim(name, `"`) + "=" + value
		}
		way := unit.AskQuoted(f.Name, value).String()
		if !strings.ContainsAny(value, " =") {
			way = unit.Ask(f.Name, value).String()
		}
		if !slices.Contains(ways, way) {
			ways = append(ways, way)
		}
	}
	e.hint = "such as " + strings.Join(ways, " or ")
	return e
}

// unknownCommand refuses an unknown command, with the one that may be meant.
func unknownCommand(c *cobra.Command, wrong string) error {
	hint := "pourplane --help lists the commands"
	var names []string
	for _, sub := range c.Commands() {
		names = append(names, sub.Name())
	}
	near := job.Nearest(wrong, names)
	switch {
	case wrong == "version":
		hint = "pourplane --version"
	case strings.HasPrefix(wrong, "topic"):
		hint = "pourplane help lists topics and commands"
	case near != "":
		hint = fmt.Sprintf("did you mean pourplane %s? %s", near, hint)
	}
	return &usageError{text: fmt.Sprintf("there is no command %q", wrong), hint: hint}
}

// emptyOptions refuses options with an empty value. The likely cause is a shell variable
// that is not set, not a wish for the default.
func emptyOptions(c *cobra.Command) error {
	var err error
	c.Flags().VisitAll(func(f *pflag.Flag) {
		if err != nil || !f.Changed {
			return
		}
		if next := f.Value.String(); strings.HasPrefix(next, "--") && c.Flags().Lookup(next[2:]) != nil {
			err = noValue(f, "the option "+next+" in its place")
			return
		}
		empty := f.Value.Type() == "string" && strings.TrimSpace(f.Value.String()) == ""
		if list, ok := f.Value.(pflag.SliceValue); ok {
			empty = slices.ContainsFunc(list.GetSlice(), func(s string) bool { return strings.TrimSpace(s) == "" })
		}
		if empty {
			what, _ := pflag.UnquoteUsage(f)
			err = &usageError{text: fmt.Sprintf("--%s: found nothing, want %s", f.Name, what), hint: fmt.Sprintf("leave --%s out for what is usual", f.Name)}
		}
	})
	return err
}

// sink passes output through and keeps the first error, so that a result cut short by a
// full disk does not count as complete.
type sink struct {
	w   io.Writer
	err error
}

func (s *sink) Write(b []byte) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	n, err := s.w.Write(b)
	s.err = err
	return n, err
}

package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"pourplane/surface/job"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// flagError makes a wrong option one of ours, with the option that may be meant.
func flagError(c *cobra.Command, err error) error {
	if refused := refusedValue(err); refused != nil {
		return refused
	}
	hint := fmt.Sprintf("%s --help lists the options", c.CommandPath())
	text := err.Error()
	wrong := ""
	var unknown *pflag.NotExistError
	if errors.As(err, &unknown) {
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
		if near := job.Nearest(wrong, names); near != "" {
			hint = fmt.Sprintf("did you mean --%s? %s", near, hint)
		}
	}
	return &usageError{text: text, hint: hint}
}

// unknownCommand refuses a command that there is not, with the one that may be meant.
func unknownCommand(c *cobra.Command, wrong string) error {
	hint := "pourplane --help lists the commands"
	var names []string
	for _, sub := range c.Commands() {
		names = append(names, sub.Name())
	}
	if near := job.Nearest(wrong, names); near != "" {
		hint = fmt.Sprintf("did you mean pourplane %s? %s", near, hint)
	}
	return &usageError{text: fmt.Sprintf("there is no command %q", wrong), hint: hint}
}

// emptyOptions refuses options that are given with nothing: a shell variable that is
// not set, most likely, and no wish for what is usual.
func emptyOptions(c *cobra.Command) error {
	var err error
	c.Flags().VisitAll(func(f *pflag.Flag) {
		if err != nil || !f.Changed {
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

// sink passes on what is written and keeps the first error, so that a result that a full
// disk has cut off does not pass for whole.
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

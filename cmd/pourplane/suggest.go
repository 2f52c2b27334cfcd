package main

import (
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"pourplane/surface/job"
	"pourplane/survey/unit"

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
	return &usageError{text, hint}
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
	return &usageError{fmt.Sprintf("there is no command %q", wrong), hint}
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
			err = &usageError{fmt.Sprintf("--%s: found nothing, want %s", f.Name, what), fmt.Sprintf("leave --%s out for what is usual", f.Name)}
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

// inHints finds the options in a text, with their values.
var inHints = regexp.MustCompile(`--[a-z][a-z-]*(?: (?:"[^"]*"|'[^']*'|[^\s;,"']*[A-Z0-9=](?:[^\s;]*[^\s;,.)?])?|(?:north|south|east|west|rod|elevation|depth|lowest|mean|plane|first|last|none|measured|missing|setups|distance|least-squares|metric|feet|m|ft|mm|in)\b))?`)

// inKeysWithValues writes what to type in a job for the options in a text:
// [target] elevation = "99.93ft" for --target 99.93ft. A bare length gets the unit u,
// without which a job refuses it.
func inKeysWithValues(text string, u unit.Length) string {
	return inHints.ReplaceAllStringFunc(text, func(found string) string {
		flag, value, given := strings.Cut(found, " ")
		key := keysOfFlags[flag]
		if key == "" {
			return found
		}
		if !given && flag != "--accept-misclosure" && flag != "--retriangulate" {
			return key
		}
		value = strings.Trim(value, `"'`)
		if _, length := lengthOptions[flag]; length {
			name, is, named := strings.Cut(value, "=")
			if named {
				value = name + "=" + withUnit(is, u)
			} else {
				value = withUnit(value, u)
			}
		}
		table, name, ok := strings.Cut(key, ".")
		if !ok {
			table, name = "", key
		}
		switch flag {
		case "--benchmark", "--code", "--leave-out", "--grid-origin":
			of, is, named := strings.Cut(value, "=")
			if !named {
				of, is = "", value
			}
			value = fmt.Sprintf("{ %q = %q }", of, is)
		case "--finish-code", "--straightedge", "--rule":
			value = fmt.Sprintf("[%q]", value)
		case "--allowance", "--unit-weight":
		case "--accept-misclosure", "--retriangulate":
			value = "true"
		default:
			value = fmt.Sprintf("%q", value)
		}
		if table != "" {
			table = "[" + table + "] "
		}
		return table + name + " = " + value
	})
}

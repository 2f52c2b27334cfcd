package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// jobFlags registers the fields of a job that are options of a command. Their values go
// into j.
func jobFlags(c *cobra.Command, j *job.Job) {
	for _, f := range job.Fields {
		if f.Flag == "" || !slices.Contains(strings.Fields(f.On), c.Name()) {
			continue
		}
		flag := c.Flags().VarPF(&fieldValue{j, f}, f.Flag, "", f.Help)
		flag.DefValue = "" // the help text has the default
		if f.Arg() == "" {
			flag.NoOptDefVal = "true"
		}
		if len(f.Words) > 0 {
			complete(c, f.Flag, f.Words...)
		}
	}
}

// fieldValue is a field of a job as an option.
type fieldValue struct {
	job   *job.Job
	field job.Field
}

// Set refuses an option in place of a value: the value was forgotten.
func (v *fieldValue) Set(text string) error {
	if name, is := strings.CutPrefix(text, "--"); is && name != "" && !strings.ContainsAny(name, " ,=") {
		return errForgotten
	}
	return v.field.Set(v.job, text)
}

// areaValue is an option for an area, m².
type areaValue float64

func (v *areaValue) Set(text string) error {
	m2, err := unit.ParseArea(text)
	*v = areaValue(m2)
	return err
}

func (v *areaValue) String() string { return strconv.FormatFloat(float64(*v), 'g', -1, 64) + "m2" }

func (v *areaValue) Type() string { return "area" }

var errForgotten = errors.New("found an option")

func (v *fieldValue) String() string {
	if v.job == nil {
		return ""
	}
	return v.field.Text(v.job)
}

// Type is required by the library; a switch has no argument.
func (v *fieldValue) Type() string {
	if v.field.Arg() == "" {
		return "bool"
	}
	return "field"
}

// refusedValue returns the message for a refused field, "" for another error of the
// library.
func refusedValue(err error) *usageError {
	var bad *pflag.InvalidValueError
	if !errors.As(err, &bad) {
		return nil
	}
	flag := bad.GetFlag()
	switch {
	case errors.Is(err, errForgotten):
		return noValue(flag, "the option "+bad.GetValue()+" in its place")
	case errors.Is(err, job.ErrEmpty):
		e := noValue(flag, "nothing")
		if flag.Name == "target" {
			return e
		}
		e.hint += fmt.Sprintf("; or leave --%s out for what is usual", flag.Name)
		return e
	}
	var w unit.Wanted
	if errors.As(err, &w) {
		return &usageError{text: fmt.Sprintf("--%s: found %s, want %s", flag.Name, cmp.Or(w.Found, strconv.Quote(bad.GetValue())), w.Want)}
	}
	if kind := flag.Value.Type(); kind == "float64" || kind == "int" {
		return &usageError{text: fmt.Sprintf("--%s: found %q, want a number", flag.Name, bad.GetValue()), hint: fmt.Sprintf("such as --%s %s", flag.Name, cmp.Or(flag.DefValue, "1"))}
	}
	return nil
}

// complete offers words for the completion of an option in the shell.
func complete(c *cobra.Command, flag string, words ...string) {
	err := c.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
	if err != nil {
		panic("pourplane: completion for a flag that does not exist: " + flag)
	}
}

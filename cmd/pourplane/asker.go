package main

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// asker asks questions on a terminal or through a pipe.
type asker struct {
	in   *bufio.Scanner
	out  io.Writer
	over bool // no more answers come
	err  error
}

// ask returns the answer, or def if it is empty or no more answers come. An answer that
// check refuses is asked for again, with the reason.
func (a *asker) ask(question, def string, check func(string) error) string {
	if a.err != nil || a.over {
		return def
	}
	if def != "" {
		question += " [" + def + "]"
	}
	for {
		if _, a.err = fmt.Fprintf(a.out, "%s: ", question); a.err != nil || !a.in.Scan() {
			a.over, a.err = true, cmp.Or(a.err, a.in.Err())
			return def
		}
		answer := strings.TrimSpace(a.in.Text())
		if n := len(answer); n > 1 && answer[0] == '"' && answer[n-1] == '"' {
			answer = answer[1 : n-1] // a name in quotes, as messages show it
		}
		if answer = cmp.Or(answer, def); answer == "" {
			return ""
		}
		err := check(answer)
		if err == nil {
			return answer
		}
		text := err.Error()
		if hints := survey.Hints(err); len(hints) > 0 {
			text += "\nhint: " + strings.Join(hints, "\nhint: ")
		}
		if _, a.err = fmt.Fprintln(a.out, report.Printable(text)); a.err != nil {
			return def
		}
	}
}

// wanted refuses an answer.
func wanted(found, want string) *survey.Error {
	return &survey.Error{Found: fmt.Sprintf("%q", found), Want: want}
}

func anything(string) error { return nil }

// aLength accepts a number with or without a unit. The reader of the survey decides the
// unit of a bare number, or refuses it.
func aLength(text string) error {
	if _, err := unit.Parse(text, unit.None); err != nil && !errors.Is(err, unit.ErrNoUnit) {
		return wanted(text, "a length with its unit, such as 10.02m or 99.93ft")
	}
	return nil
}

// lengthsOf accepts a list of lengths, with or without a name before it.
func lengthsOf(least, most int) func(string) error {
	return func(text string) error {
		_, list, _ := job.EachLength(text)
		parts := strings.Split(list, ",")
		if len(parts) < least || len(parts) > most || slices.ContainsFunc(parts, func(p string) bool { return aLength(strings.TrimSpace(p)) != nil }) {
			return wanted(text, map[int]string{1: "a length with its unit, such as 3m or 10ft, or two with a comma between", 2: "two lengths with a comma between, such as 12m,0m"}[least])
		}
		return nil
	}
}

func aUnit(text string) error {
	if _, ok := unit.ParseLength(text); !ok {
		return wanted(text, "m, cm, mm, ft, ftUS or in")
	}
	return nil
}

func aBenchmark(text string) error {
	name, elevation, ok := strings.Cut(text, "=")
	if !ok || name == "" || aLength(elevation) != nil {
		return wanted(text, "NAME=ELEVATION with its unit, such as BM1=100ft")
	}
	return nil
}

func aFile(name string) error {
	if info, err := os.Stat(name); err != nil || info.IsDir() {
		return wanted(name, "a file that is there")
	}
	return nil
}

func aBearing(text string) error {
	if text == "ground" || text == "suspended" {
		return nil
	}
	return wanted(text, "ground, suspended, or nothing")
}

func yesOrNo(text string) error {
	if text == "yes" || text == "no" {
		return nil
	}
	return wanted(text, "yes or no")
}

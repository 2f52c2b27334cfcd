package main

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/pflag"
)

// Every option of every command is in the help once, under one heading. If there are
// many, those that most floors need come first. No line is wider than a terminal.
func TestHelpHasEveryOptionOnce(t *testing.T) {
	for _, c := range newRoot().Commands() {
		if c.Name() == "completion" || c.Name() == "help" {
			continue
		}
		c.InitDefaultHelpFlag()
		count := map[string]int{}
		groups := grouped(c)
		for _, g := range groups {
			g.flags.VisitAll(func(f *pflag.Flag) { count[f.Name]++ })
		}
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if count[f.Name] != 1 {
				t.Errorf("%s: --%s is in %d groups", c.Name(), f.Name, count[f.Name])
			}
		})
		var help bytes.Buffer
		if err := printUsage(c, &help); err != nil {
			t.Fatal(err)
		}
		_, options, _ := strings.Cut(help.String(), "\n"+groups[0].head+":")
		for line := range strings.Lines(options) {
			if len([]rune(line)) > wideHelp+1 {
				t.Errorf("%s: a line of %d: %s", c.Name(), len([]rune(line)), line)
			}
		}
		if c.Name() != "fill" {
			continue
		}
		var heads []string
		for _, g := range groups {
			heads = append(heads, g.head)
		}
		if got := strings.Join(heads, ", "); got != "Most used, Survey, Target, Order, Output" {
			t.Errorf("fill has the groups %s", got)
		}
		if i, j := strings.Index(help.String(), "--outline FILE"), strings.Index(help.String(), "--accept-misclosure"); i < 0 || j < i {
			t.Error("the options that most floors need are not the first")
		}
	}
}

// The help of an option is a plain sentence of two lines at most: the name of its argument is
// behind the option alone, and what is usual is called the default.
func TestHelpOfOptionsIsPlain(t *testing.T) {
	const most = 2 // lines
	for _, c := range newRoot().Commands() {
		for _, g := range grouped(c) {
			g.flags.VisitAll(func(f *pflag.Flag) {
				name, text := pflag.UnquoteUsage(f)
				if name != "" && name != "X,Y" && regexp.MustCompile(`\b`+regexp.QuoteMeta(name)+`\b`).MatchString(text) {
					t.Errorf("%s --%s: %s is in the sentence: %s", c.Name(), f.Name, name, text)
				}
				if regexp.MustCompile(`; else\b|\belse as\b`).MatchString(text) {
					t.Errorf("%s --%s: want what is usual as (default …): %s", c.Name(), f.Name, text)
				}
				one := pflag.NewFlagSet("", pflag.ContinueOnError)
				one.AddFlag(f)
				if n := strings.Count(one.FlagUsagesWrapped(wideHelp), "\n"); n > most {
					t.Errorf("%s --%s: %d lines of help, want %d at most: %s", c.Name(), f.Name, n, most, text)
				}
			})
		}
	}
}

// A shell shows the sentence alone.
func TestCompletionIsPlain(t *testing.T) {
	got := shownBy(t, "__complete", "fill", "--dup")
	if want := "--duplicates\ttwo elevations at one place"; !strings.HasPrefix(got, want) {
		t.Errorf("got %q, want %q first", got, want)
	}
}

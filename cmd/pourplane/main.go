// Command pourplane reads the survey of a floor and gives the depth of fill everywhere,
// the exact volume and an order.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"pourplane/cmd/pourplane/internal/folder"
	"pourplane/plot/report"
	"pourplane/survey"
)

func main() {
	// A large survey is text that is soon freed and arrays that stay to the end. Half
	// the usual slack keeps a million shots within 500 MB and is not slower.
	debug.SetGCPercent(50)
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	go func() {
		s := <-signals
		folder.Clear()
		fmt.Fprintln(os.Stderr, "\npourplane: stopped")
		os.Exit(stopped + int(s.(syscall.Signal)))
	}()
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// Exit statuses.
const (
	done       = 0
	refused    = 1 // the input or the floor is refused
	wrongUsage = 2
	stopped    = 128 // plus the number of the signal, as shells do
)

// run is the program without the process, so that tests can call it. Results go to out,
// messages to diag.
func run(args []string, in io.Reader, out, diag io.Writer) (status int) {
	defer func() {
		if p := recover(); p != nil {
			fmt.Fprintf(diag, "pourplane: an error of the program itself, not of your files: %v\n", p)
			fmt.Fprintf(diag, "hint: nothing was written; please report this with the command and its input files\n")
			status = refused
		}
	}()
	root := newRoot()
	root.SetUsageFunc(func(c *cobra.Command) error { return printUsage(c, c.OutOrStderr()) })
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		if c == root && len(args) > 0 && !strings.HasPrefix(args[0], "-") {
			return unknownCommand(root, args[0]) // the options are not those of root
		}
		return flagError(c, err)
	})
	if len(args) > 0 && args[0] == cobra.ShellCompRequestCmd {
		forShell(root)
	}
	root.SetArgs(args)
	root.SetIn(in)
	printed := &sink{w: out}
	root.SetOut(printed)
	root.SetErr(diag)
	root.InitDefaultCompletionCmd() // it keeps the output that is set by now
	for _, c := range root.Commands() {
		if c.Name() == "completion" {
			c.Short = "A script that makes the shell complete commands and options"
		}
	}
	err := root.Execute()
	if err == nil && printed.err != nil { // the help of a command reports no error
		err = fmt.Errorf("the output cannot be written: %w", printed.err)
	}
	if err == nil {
		return done
	}
	err = withFiles(err)
	var usage *usageError
	called := errors.As(err, &usage)
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range joined.Unwrap() {
			fmt.Fprintf(diag, "pourplane: %s\n", report.Printable(e.Error()))
		}
	} else {
		fmt.Fprintf(diag, "pourplane: %s\n", report.Printable(err.Error()))
	}
	if called && usage.hint != "" {
		fmt.Fprintf(diag, "hint: %s\n", usage.hint)
	}
	for _, h := range survey.Hints(err) {
		fmt.Fprintf(diag, "hint: %s\n", report.Printable(h))
	}
	if called || survey.IsUsage(err) {
		return wrongUsage
	}
	return refused
}

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "pourplane",
		Short: "Bring a sunken, sloped or uneven floor up to one plane: depth, volume, order",
		Long: `pourplane takes a survey of a floor (rod readings, elevations, or a surface file)
and a target plane, and works out the depth of fill everywhere, the exact volume
and what to order, with a depth map to pour by.`,
		Example: `  pourplane help your-floor
  pourplane fill testdata/demo/survey.csv --outline testdata/demo/outline.csv --target 99.930ft --out result`,
		Version:               report.Version,
		DisableFlagsInUseLine: true,
		SilenceUsage:          true,
		SilenceErrors:         true,
		RunE:                  func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.PersistentPreRunE = func(c *cobra.Command, _ []string) error { return emptyOptions(c) }
	root.SetHelpCommand(newHelp())
	root.AddCommand(newPlan(), newRead(), newReduce(), newFill(), newFlatness(), newSettlement(), newNew(), newRun(), newServe())
	root.Args = func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		return unknownCommand(c, args[0])
	}
	return root
}

// someFiles is the argument rule of commands that read surveys.
func someFiles(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return &usageError{text: "no survey given", hint: fmt.Sprintf("%s --help shows examples", c.CommandPath())}
	}
	if slices.ContainsFunc(args, func(name string) bool { return strings.TrimSpace(name) == "" }) {
		return &usageError{text: `found "", want the name of a survey`, hint: "a shell variable without a value?"}
	}
	return noJobs(c, args)
}

// noJobs refuses a job file in place of a survey.
func noJobs(c *cobra.Command, names []string) error {
	if outline := c.Flags().Lookup("outline"); outline != nil {
		names = append(slices.Clone(names), outline.Value.String())
	}
	for _, name := range names {
		if strings.EqualFold(filepath.Ext(name), ".toml") {
			return &usageError{text: name + ": found a job file, want a survey or an outline", hint: "pourplane run " + name}
		}
	}
	return nil
}

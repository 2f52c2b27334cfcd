package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"pourplane": func() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// Whole commands as a user types them: input files, command line, what is
// printed, and the exit status. $DATA is the folder of test data.
func TestScripts(t *testing.T) {
	data, err := filepath.Abs("../../testdata")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:   "testdata/script",
		Setup: func(e *testscript.Env) error { e.Setenv("DATA", data); return nil },
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": status,
			"copy":   copyWith,
		},
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
	})
}

// status runs a command and asks for its exit status: status N command args...
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N command args...")
	}
	got := "0"
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		got = "1"
		if e, ok := err.(interface{ ExitCode() int }); ok {
			got = string(rune('0' + e.ExitCode()))
		}
	}
	if got != args[0] {
		ts.Fatalf("exit status %s, want %s", got, args[0])
	}
}

// copyWith copies a file with a slip in it: copy FROM TO OLD NEW.
func copyWith(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 4 {
		ts.Fatalf("usage: copy FROM TO OLD NEW")
	}
	text := ts.ReadFile(args[0])
	if !strings.Contains(text, args[2]) {
		ts.Fatalf("%s does not hold %q", args[0], args[2])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(strings.Replace(text, args[2], args[3], 1)), 0o644))
}

package main

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/rogpeppe/go-internal/testscript"
)

// The tests find the program itself under its name.
func TestMain(m *testing.M) { testscript.Main(m, map[string]func(){"pourplane": main}) }

// Whole commands as a user types them: input files, command line, output and exit
// status. $DATA is the folder of test data.
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
			"fits":   fits,
		},
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
	})
}

// status runs a command and checks its exit status: status N command args...
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

// fits checks that the output fits a small terminal: fits LINES COLUMNS.
func fits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: fits LINES COLUMNS")
	}
	most, err := strconv.Atoi(args[0])
	ts.Check(err)
	wide, err := strconv.Atoi(args[1])
	ts.Check(err)
	lines := strings.Split(strings.TrimSuffix(ts.ReadFile("stdout"), "\n"), "\n")
	if len(lines) > most || len(lines) < 5 {
		ts.Fatalf("%d lines printed, want 5 to %d", len(lines), most)
	}
	for i, l := range lines {
		if n := utf8.RuneCountInString(l); n > wide {
			ts.Fatalf("line %d is %d characters wide, want at most %d", i+1, n, wide)
		}
	}
}

// copyWith copies a file with one text replaced: copy FROM TO OLD NEW.
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

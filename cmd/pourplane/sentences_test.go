package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pourplane/surface/job"
)

// sources calls of with each file of the program in some folders, except tests.
func sources(t *testing.T, of func(name string, set *token.FileSet, file *ast.File), folders ...string) {
	t.Helper()
	n := 0
	for _, folder := range folders {
		err := filepath.WalkDir(folder, func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
				return err
			}
			set := token.NewFileSet()
			file, err := parser.ParseFile(set, name, nil, 0)
			if err == nil {
				n++
				of(filepath.ToSlash(name), set, file)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if n < 5 {
		t.Fatalf("%d files in %v", n, folders)
	}
}

// No text of the engine contains an option of a command: refusals and notes hold what to
// write as data, which each front end words. The help of the fields is for commands.
func TestEngineSpellsNoOption(t *testing.T) {
	option := regexp.MustCompile(`--[a-z]`)
	sources(t, func(name string, set *token.FileSet, file *ast.File) {
		if help, _ := filepath.Match("../../surface/job/field*.go", name); help {
			return
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING && option.MatchString(lit.Value) {
				t.Errorf("%s: %s", set.Position(lit.Pos()), lit.Value)
			}
			return true
		})
	}, "../../survey", "../../surface", "../../plot")
}

// Every name that the engine asks for is an option of some command.
func TestEngineAsksForOptionsThatAre(t *testing.T) {
	known := map[string]bool{}
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		c.Flags().VisitAll(func(f *pflag.Flag) { known[f.Name] = true })
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(newRoot())
	asked := map[string]bool{}
	sources(t, func(name string, set *token.FileSet, file *ast.File) {
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) == 0 {
				return true
			}
			of := ""
			switch f := call.Fun.(type) {
			case *ast.Ident:
				of = f.Name
			case *ast.SelectorExpr:
				of = f.Sel.Name
			}
			lit, ok := call.Args[0].(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING || !slices.Contains([]string{"Ask", "AskQuoted", "LeaveOut", "Flag", "misused", "misuse"}, of) {
				return true
			}
			option, err := strconv.Unquote(lit.Value)
			if asked[option] = true; err != nil || option != "" && !known[option] {
				t.Errorf("%s: no command has --%s", set.Position(lit.Pos()), option)
			}
			return true
		})
	}, "../../survey", "../../surface", "../../plot")
	for _, f := range job.Fields {
		if f.Flag != "" && !known[f.Flag] {
			t.Errorf("no command has --%s", f.Flag)
		}
	}
	if len(asked) < 40 {
		t.Errorf("only %d options are asked for: is their form another now?", len(asked))
	}
}

// No code depends on the text of a refusal or a hint: its fields, options and marks are
// data. Exempt are the TOML library, which gives only text, and checks of tests.
func TestNoCodeReadsARefusal(t *testing.T) {
	reads := []string{"Contains", "ContainsAny", "HasPrefix", "HasSuffix", "Index", "Cut", "CutPrefix", "CutSuffix", "TrimPrefix", "TrimSuffix", "EqualFold", "MatchString", "FindAllString", "FindStringSubmatch", "ReplaceAll", "ReplaceAllString", "ReplaceAllStringFunc"}
	sources(t, func(name string, set *token.FileSet, file *ast.File) {
		if name == "../../surface/job/file.go" || name == "../../survey/internal/check/check.go" {
			return
		}
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			f, ok := call.Fun.(*ast.SelectorExpr)
			if !ok || !slices.Contains(reads, f.Sel.Name) {
				return true
			}
			if of, ok := f.X.(*ast.Ident); ok && of.Name == "slices" {
				return true
			}
			for _, arg := range call.Args {
				ast.Inspect(arg, func(n ast.Node) bool {
					switch n := n.(type) {
					case *ast.CallExpr:
						if s, ok := n.Fun.(*ast.SelectorExpr); ok && s.Sel.Name == "Error" && len(n.Args) == 0 {
							t.Errorf("%s: %s reads the text of an error", set.Position(call.Pos()), f.Sel.Name)
						}
					case *ast.SelectorExpr:
						if slices.Contains([]string{"Found", "Want", "Hint"}, n.Sel.Name) {
							t.Errorf("%s: %s reads %s of a refusal", set.Position(call.Pos()), f.Sel.Name, n.Sel.Name)
						}
					}
					return true
				})
			}
			return true
		})
	}, "../../survey", "../../surface", "../../plot", ".")
}

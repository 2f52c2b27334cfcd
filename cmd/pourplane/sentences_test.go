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
				if from, ok := f.X.(*ast.Ident); ok && from.Name == "chromedp" {
					return true // an option of the browser of tests
				}
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

// No code depends on a sentence, such as the text of a refusal, what it is about in words,
// or how a file was read in words: fields, parts, options and marks are data. Exempt are
// the TOML library, which gives only text, and checks of tests.
func TestNoCodeReadsASentence(t *testing.T) {
	sources(t, func(name string, set *token.FileSet, file *ast.File) {
		if name == "../../surface/job/badtoml.go" || name == "../../survey/internal/check/check.go" {
			return
		}
		for _, r := range sentencesRead(file) {
			t.Errorf("%s: reads %s", set.Position(r.at), r.what)
		}
	}, "../../survey", "../../surface", "../../plot", ".")
}

// sentences are the fields that hold words for people: of a refusal, and of a survey.
var sentences = []string{"Found", "Want", "Hint", "Element", "Format", "Order"}

// readers are the functions that look for something in a text.
var readers = []string{"Contains", "ContainsAny", "HasPrefix", "HasSuffix", "Index", "Cut", "CutPrefix", "CutSuffix", "TrimPrefix", "TrimSuffix", "EqualFold", "MatchString",
	"FindAllString", "FindStringSubmatch", "ReplaceAll", "ReplaceAllString", "ReplaceAllStringFunc"}

type sentenceRead struct {
	at   token.Pos
	what string
}

// sentencesRead lists where a file looks for something in a sentence, compares one with a
// text, or looks one up in a table. A variable that is set to a sentence counts as one in
// its function.
func sentencesRead(file *ast.File) (out []sentenceRead) {
	for _, d := range file.Decls {
		f, ok := d.(*ast.FuncDecl)
		if !ok || f.Body == nil {
			continue
		}
		held := map[string]string{} // the sentence in a variable
		of := func(e ast.Expr) string { return sentenceIn(e, held) }
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.AssignStmt:
				for i, right := range n.Rhs {
					if to, ok := n.Lhs[min(i, len(n.Lhs)-1)].(*ast.Ident); ok && len(n.Lhs) == len(n.Rhs) {
						if s, direct := right.(*ast.SelectorExpr); direct && of(s) != "" {
							held[to.Name] = of(s)
						}
					}
				}
			case *ast.CallExpr:
				s, ok := n.Fun.(*ast.SelectorExpr)
				if !ok || !slices.Contains(readers, s.Sel.Name) {
					return true
				}
				if pkg, ok := s.X.(*ast.Ident); ok && pkg.Name == "slices" {
					return true
				}
				for _, arg := range n.Args {
					ast.Inspect(arg, func(part ast.Node) bool {
						if e, ok := part.(ast.Expr); ok && of(e) != "" {
							out = append(out, sentenceRead{n.Pos(), of(e)})
							return false
						}
						return true
					})
				}
			case *ast.BinaryExpr:
				if n.Op == token.EQL || n.Op == token.NEQ {
					if what := of(n.X); what != "" && isText(n.Y) {
						out = append(out, sentenceRead{n.Pos(), what})
					}
				}
			// In a switch or an index, Format and Order are those of options: identifiers.
			case *ast.IndexExpr:
				if what := of(n.Index); what != "" && what != "Format" && what != "Order" {
					out = append(out, sentenceRead{n.Pos(), what})
				}
			case *ast.SwitchStmt:
				if what := of(n.Tag); what != "" && what != "Format" && what != "Order" {
					out = append(out, sentenceRead{n.Pos(), what})
				}
			}
			return true
		})
	}
	return out
}

// sentenceIn returns which sentence an expression is: a field, the text of an error, or a
// variable that holds one.
func sentenceIn(e ast.Expr, held map[string]string) string {
	switch e := e.(type) {
	case *ast.Ident:
		return held[e.Name]
	case *ast.SelectorExpr:
		if slices.Contains(sentences, e.Sel.Name) {
			return e.Sel.Name
		}
	case *ast.CallExpr:
		if s, ok := e.Fun.(*ast.SelectorExpr); ok && s.Sel.Name == "Error" && len(e.Args) == 0 {
			return "the text of an error"
		}
	}
	return ""
}

// isText reports whether an expression is a text that is not empty.
func isText(e ast.Expr) bool {
	lit, ok := e.(*ast.BasicLit)
	return ok && lit.Kind == token.STRING && len(lit.Value) > 2
}

// The search finds each way to read a sentence, and nothing where a sentence is only shown
// or tested to be there.
func TestSentencesReadAreFound(t *testing.T) {
	for body, want := range map[string]int{
		`strings.HasPrefix(e.Element, "bars")`:                    1,
		`strings.Contains(s.Order, "rod")`:                        1,
		`strings.TrimPrefix(s.Format, "XLSX, ")`:                  1,
		`strings.Contains(err.Error(), "inside")`:                 1,
		`strings.TrimSpace(strings.TrimPrefix(r.Element, key))`:   1,
		`found := r.Found; _ = strings.Contains(found, ", ")`:     1,
		`_ = s.Format == "PLY ascii"`:                             1,
		`_ = keys[e.Element]`:                                     1,
		`switch e.Want { case "more": }`:                          1,
		`_ = e.Element == ""; _ = k.Format == text.LandXML`:       0,
		`_ = slices.Contains(list, e.Hint)`:                       0,
		`switch o.Format { case "png": }`:                         0,
		`found := r.Found; fmt.Println(found, e.Element, e.Want)`: 0,
		`_ = keys[e.Part]; _ = strings.Contains(text, "a")`:       0,
	} {
		file, err := parser.ParseFile(token.NewFileSet(), "p.go", "package p\nfunc f() { "+body+" }\n", 0)
		if err != nil {
			t.Fatal(body, err)
		}
		if got := sentencesRead(file); len(got) != want {
			t.Errorf("%s: %v, want %d", body, got, want)
		}
	}
}

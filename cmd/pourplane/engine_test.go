package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
)

// Results of the engine do not depend on the units shown: no package under surface has a
// parameter or a field of type unit.Style, except the In methods of quantities.
// surface/job connects user input with the engine, and is exempt.
func TestTheEngineTakesNoStyle(t *testing.T) {
	files := 0
	err := filepath.WalkDir("../../surface", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && d.Name() == "job":
			return fs.SkipDir
		case !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go"):
			return nil
		}
		files++
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			return err
		}
		for _, at := range stylesIn(file) {
			t.Errorf("%s: a style, want a quantity that is written where it is shown", set.Position(at))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if files < 50 {
		t.Errorf("%d files under surface, want all of them", files)
	}
}

// stylesIn lists the parameters and fields of type unit.Style in a file.
func stylesIn(file *ast.File) (at []token.Pos) {
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.FuncDecl:
			return n.Recv == nil || n.Name.Name != "In"
		case *ast.Field:
			of, ok := n.Type.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if pkg, ok := of.X.(*ast.Ident); ok && pkg.Name == "unit" && of.Sel.Name == "Style" {
				at = append(at, n.Pos())
			}
		}
		return true
	})
	return at
}

// The search finds parameters and fields, and skips the In methods of quantities.
func TestStylesAreFound(t *testing.T) {
	const source = `package p
type Rules struct{ Style unit.Style }
func Write(m float64, s unit.Style) string { return "" }
func In(s unit.Style) string { return "" }
func (v Depth) In(s unit.Style) string { return "" }
func Plain() { _ = unit.Style{} }
`
	file, err := parser.ParseFile(token.NewFileSet(), "p.go", source, 0)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(stylesIn(file)); n != 3 {
		t.Errorf("%d styles found, want the field and the parameters of two functions", n)
	}
}

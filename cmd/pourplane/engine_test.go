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

// styled are the parts of the engine that may name unit.Style, besides the In methods of
// quantities: where a refusal is written, and job.StyleOf, which tells a front end the style
// that a job asks for.
var styled = map[string]bool{
	"survey: Error.style": true, "survey: in": true, "survey: ErrorIn": true,
	"surface/job: StyleOf": true,
}

// Results, refusals and notes of the engine do not depend on the units shown: below plot
// nothing takes a unit.Style, except the In methods of quantities and what is listed in
// styled. Readers that quote a file in its own unit take that unit.
func TestTheEngineTakesNoStyle(t *testing.T) {
	files, used := 0, map[string]bool{}
	for _, folder := range []string{"../../survey", "../../surface"} {
		err := filepath.WalkDir(folder, func(name string, d fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return err
			case d.IsDir() && filepath.ToSlash(name) == "../../survey/unit":
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
			in := strings.TrimPrefix(filepath.ToSlash(filepath.Dir(name)), "../../")
			for _, s := range stylesIn(file) {
				if of := in + ": " + s.of; styled[of] {
					used[of] = true
				} else {
					t.Errorf("%s: %s takes a style, want a quantity that is written where it is shown", set.Position(s.at), of)
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if files < 150 {
		t.Errorf("%d files under survey and surface, want all of them", files)
	}
	for of := range styled {
		if !used[of] {
			t.Errorf("%s takes no style any more: strike it off the list", of)
		}
	}
}

// styleOf is a parameter, result or field of type unit.Style, by its function or its
// struct and field.
type styleOf struct {
	at token.Pos
	of string
}

// stylesIn lists the parameters, results and fields of type unit.Style in a file.
func stylesIn(file *ast.File) (out []styleOf) {
	in := func(n ast.Node, of func(*ast.Field) string) {
		ast.Inspect(n, func(n ast.Node) bool {
			f, ok := n.(*ast.Field)
			if !ok {
				return true
			}
			if sel, ok := f.Type.(*ast.SelectorExpr); ok && sel.Sel.Name == "Style" {
				if pkg, ok := sel.X.(*ast.Ident); ok && pkg.Name == "unit" {
					out = append(out, styleOf{f.Pos(), of(f)})
				}
			}
			return true
		})
	}
	for _, d := range file.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			if d.Recv == nil || d.Name.Name != "In" {
				in(d, func(*ast.Field) string { return d.Name.Name })
			}
		case *ast.GenDecl:
			for _, s := range d.Specs {
				in(s, func(f *ast.Field) string {
					t, ok := s.(*ast.TypeSpec)
					if !ok || len(f.Names) == 0 {
						return ""
					}
					return t.Name.Name + "." + f.Names[0].Name
				})
			}
		}
	}
	return out
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

package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
)

// inFolder calls compile with a folder for what it needs on its way. A program has the name
// of such a folder in it: it is taken out, so that equal sources give equal engines.
func inFolder(compile func(dir string) ([]byte, error)) ([]byte, error) {
	name := fmt.Sprintf("engine-%016x", rand.Uint64())
	dir := filepath.Join(os.TempDir(), name)
	if err := os.Mkdir(dir, 0o700); err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	wasm, err := compile(dir)
	return bytes.ReplaceAll(wasm, []byte(name), []byte("engine-0000000000000000")), err
}

// compiled compiles the engine for a browser, with more arguments of go build.
func compiled(dir string, more ...string) ([]byte, error) {
	name := filepath.Join(dir, "engine.wasm")
	c := exec.Command("go", append(append([]string{"build", "-trimpath", "-ldflags=-s -w", "-o", name}, more...), "pourplane/cmd/engine")...)
	c.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if said, err := c.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%w\n%s", err, said)
	}
	return os.ReadFile(name)
}

// without are files of gonum/plot that replace those of their folders in the light engine,
// which draws nothing: a collection of fonts without any, and a picture of no pixels.
var without = map[string]string{
	"font/liberation/liberation.go": `package liberation

import "gonum.org/v1/plot/font"

func Collection() font.Collection { return nil }
`,
	"vg/vgimg/vgimg.go": `package vgimg

import (
	"image/color"
	"image/draw"

	"gonum.org/v1/plot/vg"
)

type Canvas struct{ vg.Canvas }

func (*Canvas) Size() (w, h vg.Length) { return 0, 0 }
func (*Canvas) Image() draw.Image      { return nil }

type option func()

func NewWith(...option) *Canvas             { return nil }
func UseWH(w, h vg.Length) option           { return nil }
func UseDPI(int) option                     { return nil }
func UseBackgroundColor(color.Color) option { return nil }
`,
}

// light compiles the engine that comes first: without workbooks and old charsets (the tag
// light), without the formats, fonts and pixels of drawings (the tag minimal of gonum/plot, and
// a copy of that module without them), and with no function copied into its callers, which
// saves a tenth more.
func light(dir string) ([]byte, error) {
	const module = "gonum.org/v1/plot"
	found, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", module).Output()
	if err != nil {
		return nil, fmt.Errorf("%s is not there: %w", module, err)
	}
	mine := filepath.Join(dir, "plot")
	if err := os.CopyFS(mine, os.DirFS(strings.TrimSpace(string(found)))); err != nil {
		return nil, err
	}
	for name, text := range without {
		folder := filepath.Join(mine, filepath.FromSlash(path.Dir(name)))
		if err := os.RemoveAll(folder); err != nil {
			return nil, err
		}
		if err := os.Mkdir(folder, 0o700); err != nil {
			return nil, err
		}
		if err := os.WriteFile(filepath.Join(mine, filepath.FromSlash(name)), []byte(text), 0o600); err != nil {
			return nil, err
		}
	}
	where, err := exec.Command("go", "env", "GOMOD").Output()
	if err != nil {
		return nil, err
	}
	for _, name := range []string{"go.mod", "go.sum"} {
		text, err := os.ReadFile(filepath.Join(filepath.Dir(strings.TrimSpace(string(where))), name))
		if err != nil {
			return nil, err
		}
		if name == "go.mod" {
			text = fmt.Appendf(text, "\nreplace %s => %s\n", module, mine)
		}
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			return nil, err
		}
	}
	return compiled(dir, "-tags=light,minimal", "-modfile="+filepath.Join(dir, "go.mod"), "-gcflags=all=-l")
}

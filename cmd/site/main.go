// Command site writes the page as a folder of files that needs no server of ours: the engine
// is compiled for the browser, and after the first visit all works with no network.
//
//	go run ./cmd/site --out DIR
//
// It needs the Go toolchain. Any server of plain files can give the folder out, under https
// or on the computer itself: browsers keep a page for use without a network only then.
package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"pourplane/plot/page/web"
)

func main() {
	out := flag.String("out", "", "`DIR` folder to write; one that was written before is replaced")
	flag.Parse()
	if *out == "" || flag.NArg() > 0 {
		fmt.Fprintln(os.Stderr, "site: want a folder to write\nhint: go run ./cmd/site --out DIR")
		os.Exit(2)
	}
	if err := write(*out); err != nil {
		fmt.Fprintln(os.Stderr, "site:", err)
		os.Exit(1)
	}
}

func write(dir string) error {
	if err := ours(dir); err != nil {
		return err
	}
	files, sizes, err := build()
	if err != nil {
		return err
	}
	if err := replace(dir, files); err != nil {
		return err
	}
	fmt.Printf("%s: %d files\n", dir, len(files))
	for _, s := range sizes {
		fmt.Println(s)
	}
	return nil
}

// build returns all files of the folder, and the sizes of the engines in words.
func build() (files map[string][]byte, sizes []string, err error) {
	if files, err = web.Files(); err != nil {
		return nil, nil, err
	}
	page := string(files["index.html"])
	if strings.Count(page, web.EngineMark) != 1 {
		return nil, nil, fmt.Errorf("index.html has no %s", web.EngineMark)
	}
	policy := `<meta http-equiv="Content-Security-Policy" content="` + web.Policy() + `">`
	files["index.html"] = []byte(strings.Replace(page, web.EngineMark, policy+"\n"+web.WorkerMark, 1))
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, nil, fmt.Errorf("the Go toolchain is needed: %w", err)
	}
	if files["wasm_exec.js"], err = os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js")); err != nil {
		return nil, nil, err
	}
	engines := map[string]string{}
	for _, one := range []struct {
		role    string
		compile func(dir string) ([]byte, error)
	}{{"first", light}, {"whole", func(dir string) ([]byte, error) { return compiled(dir) }}} {
		wasm, err := inFolder(one.compile)
		if err != nil {
			return nil, nil, fmt.Errorf("the %s engine: %w", one.role, err)
		}
		small, err := packed(wasm)
		if err != nil {
			return nil, nil, err
		}
		name := fmt.Sprintf("engine-%s.wasm", sum(wasm)[:16])
		engines[one.role], files[name], files[name+".gz"] = name, wasm, small
		sizes = append(sizes, fmt.Sprintf("%s engine: %.2f MB, %.2f MB packed", one.role, float64(len(wasm))/1e6, float64(len(small))/1e6))
	}
	files["version.js"], err = versionOf(files, engines)
	return files, sizes, err
}

func packed(b []byte) ([]byte, error) {
	var out bytes.Buffer
	z, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(b); err != nil {
		return nil, err
	}
	err = z.Close()
	return out.Bytes(), err
}

func sum(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:])
}

// versionOf is the script that names this version after the content of all files, and what
// of it a device keeps. The service worker has the version too, so that a browser sees that
// it changed. The page is kept under the address of the folder.
func versionOf(files map[string][]byte, engines map[string]string) ([]byte, error) {
	kept := []string{"./", "version.js"}
	var all strings.Builder
	for _, name := range slices.Sorted(maps.Keys(files)) {
		fmt.Fprintln(&all, name, sum(files[name]))
		if name != "index.html" && name != "keep.js" && !strings.HasSuffix(name, ".wasm") {
			kept = append(kept, name)
		}
	}
	version := sum([]byte(all.String()))[:16]
	files["keep.js"] = append(slices.Clone(files["keep.js"]), "// Version "+version+"\n"...)
	text, err := json.MarshalIndent(map[string]any{"version": version, "files": kept, "engines": engines}, "", "  ")
	return []byte("self.pourplane = " + string(text) + ";\n"), err
}

// ours refuses a folder that holds anything but an earlier version.
func ours(dir string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(entries) == 0 {
		return nil
	}
	if err != nil {
		return err
	}
	if _, err := os.Stat(filepath.Join(dir, "version.js")); err != nil {
		return fmt.Errorf("%s: found a folder with other files, want an empty one or an earlier version of the page", dir)
	}
	return nil
}

// replace writes the files beside the folder and then puts them in its place.
func replace(dir string, files map[string][]byte) error {
	parent := filepath.Dir(filepath.Clean(dir))
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return err
	}
	made, err := os.MkdirTemp(parent, ".site-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(made)
	next := filepath.Join(made, "next")
	for name, b := range files {
		to := filepath.Join(next, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(to, b, 0o644); err != nil {
			return err
		}
	}
	if err := os.Rename(dir, filepath.Join(made, "before")); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return os.Rename(next, dir)
}

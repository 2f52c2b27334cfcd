// Package web is the page: its files, and a server that gives them out and answers them.
package web

import (
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"sync"

	"pourplane/plot/sheet"
	"pourplane/testdata/demo"
)

// assets are the files of the page: all of this folder that a browser reads.
//
//go:embed *.html *.css *.js *.webmanifest
var assets embed.FS

// EngineMark is the element of the page that has it ask the server, WorkerMark in its place
// the engine in the browser.
const (
	EngineMark = `<meta name="engine" content="server">`
	WorkerMark = `<meta name="engine" content="worker">`
)

// Demo is the folder of the page with the files of the demo floor.
const Demo = "demo"

// Files returns the files of the page by their paths, those of the demo floor among them.
func Files() (map[string][]byte, error) {
	all := map[string][]byte{}
	for folder, from := range map[string]fs.FS{"": assets, Demo: demo.Files} {
		names, err := fs.Glob(from, "*")
		if err != nil {
			return nil, err
		}
		for _, name := range names {
			if all[path.Join(folder, name)], err = fs.ReadFile(from, name); err != nil {
				return nil, err
			}
		}
	}
	all["icon-192.png"], all["icon-512.png"] = icon(192), icon(512)
	return all, nil
}

// Policy is the content security policy of the page. The record, which the page shows in a
// frame, keeps its own style and script.
func Policy() string {
	style, script := sheet.Hashes()
	return strings.Join([]string{
		"default-src 'none'",
		"script-src 'self' 'wasm-unsafe-eval' " + script,
		"style-src 'self' " + style,
		"img-src 'self' blob: data:",
		"connect-src 'self'",
		"worker-src 'self'",
		"frame-src blob:",
		"manifest-src 'self'",
		"base-uri 'none'",
		"form-action 'none'",
	}, "; ")
}

// served is a file as the server gives it out.
type served struct {
	body []byte
	kind string // media type
	tag  string // of this content
}

// kinds are the media types of the page's files by their endings. A browser uses no other.
var kinds = map[string]string{
	".html": "text/html; charset=utf-8",
	".css":  "text/css; charset=utf-8",
	".js":   "text/javascript; charset=utf-8",
	".csv":  "text/csv; charset=utf-8",
	".toml": "text/plain; charset=utf-8",
	".png":  "image/png",

	".webmanifest": "application/manifest+json",
}

// servedFiles are the files by the path of their address.
var servedFiles = sync.OnceValue(func() map[string]served {
	files, err := Files()
	if err != nil {
		panic(err) // files in the program
	}
	all := map[string]served{}
	for name, body := range files {
		kind, ok := kinds[path.Ext(name)]
		if !ok {
			panic("pourplane: no media type for " + name)
		}
		sum := sha256.Sum256(body)
		all["/"+name] = served{body, kind, fmt.Sprintf("%q", base64.RawURLEncoding.EncodeToString(sum[:18]))}
	}
	all["/"] = all["/index.html"]
	return all
})

package page

import (
	"bytes"
	"io"
	"io/fs"
	"strings"
	"time"
	"unicode/utf8"

	"pourplane/plot/report"
	"pourplane/plot/table"
	"pourplane/survey"
)

// folder is the folder of a job: the files of a request, by their names.
type folder map[string][]byte

// Open opens a file.
func (f folder) Open(name string) (fs.File, error) {
	b, ok := f[name]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return &opened{bytes.NewReader(b), name}, nil
}

// again opens a file once more.
func (f folder) again(name string) (io.ReadCloser, error) { return f.Open(name) }

// opened is an open file of a folder. It can be read at any place, as scans are.
type opened struct {
	*bytes.Reader
	name string
}

func (o *opened) Stat() (fs.FileInfo, error) { return o, nil }
func (o *opened) Close() error               { return nil }
func (o *opened) Name() string               { return o.name }
func (o *opened) Mode() fs.FileMode          { return 0o444 }
func (o *opened) ModTime() time.Time         { return time.Time{} }
func (o *opened) IsDir() bool                { return false }
func (o *opened) Sys() any                   { return nil }

// row returns the line of a file that a refusal names, cut to a length that can be shown.
func (f folder) row(at survey.Pos) string {
	b, ok := f[at.File]
	if !ok || at.Line <= 0 || !utf8.Valid(b) {
		return ""
	}
	for range at.Line - 1 {
		i := bytes.IndexByte(b, '\n')
		if i < 0 {
			return ""
		}
		b = b[i+1:]
	}
	line, _, _ := bytes.Cut(b, []byte("\n"))
	return table.Cut(report.Printable(strings.TrimRight(string(line), "\r")), 200)
}

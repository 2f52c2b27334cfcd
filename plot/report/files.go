package report

import (
	"io"
)

// Output is a file to be written.
type Output struct {
	Name   string // below the folder of results
	Data   []byte
	Stream func(w io.Writer) error // writes a file that is too large to hold twice, in place of Data
}

// Write writes the file.
func (o Output) Write(w io.Writer) error {
	if o.Stream != nil {
		return o.Stream(w)
	}
	_, err := w.Write(o.Data)
	return err
}

// Version is the version in --version and in exported files.
const Version = "0.1.0"

func Names(files []Output) []string {
	var out []string
	for _, f := range files {
		out = append(out, f.Name)
	}
	return out
}

type FileSum struct {
	Name   string `json:"name"`
	Bytes  int    `json:"bytes"`
	SHA256 string `json:"sha256"`
}

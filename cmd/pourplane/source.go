package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"strconv"
	"strings"

	"pourplane/survey"
)

// sourceFlags say how inputs are opened.
type sourceFlags struct {
	maxSize string
	sheet   string           // of workbooks
	edge    string           // sheet of the outline
	stdin   func() io.Reader // nil where inputs have to be named: a job reads its files more than once
	taken   bool             // standard input has been read
	keeps   bool             // what a pipe gives is kept, to be read again
	kept    *keptPipe        // the last one
	sums    *readSums        // what was read, for a manifest; nil: nobody asks
}

func (f *sourceFlags) options(o *survey.Options) error {
	o.Open, o.Sheet = f.open, f.sheet
	if f.maxSize == "" {
		return nil
	}
	n, ok := parseBytes(f.maxSize)
	if !ok {
		return &usageError{fmt.Sprintf("--max-size: found %q, want a size such as 500MB or 2GB", f.maxSize), ""}
	}
	o.MaxSize = n
	return nil
}

// parseBytes reads a size such as 500MB.
func parseBytes(text string) (int64, bool) {
	for _, u := range []struct {
		name string
		size float64
	}{{"KB", 1e3}, {"MB", 1e6}, {"GB", 1e9}, {"TB", 1e12}} {
		if number, ok := strings.CutSuffix(strings.ToUpper(text), u.name); ok {
			v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
			return int64(v * u.size), err == nil && v*u.size >= 1 && v*u.size < 1e18
		}
	}
	return 0, false
}

// open opens an input. A dash is standard input, which can be read once.
func (f *sourceFlags) open(name string) (io.ReadCloser, error) {
	if name != survey.Stdin {
		file, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		return f.sums.counting(name, f.keeping(file)), nil
	}
	refuse := func(found, want string) error {
		return &survey.Error{Pos: survey.Pos{File: "standard input"}, Found: found, Want: want}
	}
	switch {
	case f.stdin == nil:
		return nil, refuse("an input without a name", "the name of a file, which the job can name")
	case f.taken:
		return nil, refuse("the second input from it", "one input from standard input, the others by name")
	}
	f.taken = true
	if file, ok := f.stdin().(*os.File); ok {
		return f.keeping(file), nil
	}
	return io.NopCloser(f.stdin()), nil
}

// keeping keeps what a pipe gives, if it is to be.
func (f *sourceFlags) keeping(file *os.File) io.ReadCloser {
	if info, err := file.Stat(); !f.keeps || err == nil && info.Mode().IsRegular() {
		return file
	}
	f.kept = &keptPipe{pipe: file}
	return f.kept
}

// again opens the last input once more.
func (f *sourceFlags) again(name string) (io.ReadCloser, error) {
	if k := f.kept; k != nil {
		return struct {
			io.Reader
			io.Closer
		}{io.MultiReader(bytes.NewReader(k.seen.Bytes()), k.pipe), k.pipe}, nil
	}
	return os.Open(name)
}

// keptPipe keeps what is read from it, and stays open.
type keptPipe struct {
	pipe io.ReadCloser
	seen bytes.Buffer
}

func (k *keptPipe) Read(p []byte) (int, error) {
	n, err := k.pipe.Read(p)
	k.seen.Write(p[:n])
	return n, err
}

func (k *keptPipe) Close() error { return nil }

// readSums are the SHA-256 of the bytes that were read of each input.
type readSums struct {
	of  map[string]fileSum // by the name that was opened
	err error              // an input was not the same when it was read again
}

// counting notes what is read of an input by the time it is closed. What the reader has
// left is read then, so that the sum is that of the whole.
func (s *readSums) counting(name string, r io.ReadCloser) io.ReadCloser {
	if s == nil {
		return r
	}
	return &countedRead{sums: s, name: name, from: r, hash: sha256.New()}
}

type countedRead struct {
	sums *readSums
	name string
	from io.ReadCloser
	hash hash.Hash
	size int
}

func (c *countedRead) Read(p []byte) (int, error) {
	n, err := c.from.Read(p)
	c.hash.Write(p[:n])
	c.size += n
	return n, err
}

func (c *countedRead) Close() error {
	rest, err := io.Copy(c.hash, c.from)
	sum := fileSum{SHA256: hex.EncodeToString(c.hash.Sum(nil)), Bytes: c.size + int(rest)}
	if was, ok := c.sums.of[c.name]; ok && was != sum && c.sums.err == nil {
		c.sums.err = &survey.Error{Pos: survey.Pos{File: c.name}, Found: "other bytes when it was read again", Want: "a file that nobody changes during the run", Hint: "run it again"}
	}
	c.sums.of[c.name] = sum
	return errors.Join(err, c.from.Close())
}

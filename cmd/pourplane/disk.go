package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"hash"
	"io"
	"io/fs"
	"os"

	"pourplane/plot/report"
	"pourplane/survey"
	"pourplane/survey/file"
)

// disk opens inputs by the names that the user types, in any folder. A dash is standard
// input, which can be read once.
type disk struct {
	stdin func() io.Reader // nil if inputs must have names: a job reads its files more than once
	taken bool             // standard input has been read
	keeps bool             // the content of a pipe is kept and can be read again
	kept  *keptPipe        // the last pipe
	sums  *readSums        // checksums for a manifest; nil: not needed
}

func (d *disk) Open(name string) (fs.File, error) {
	if name != file.Stdin {
		file, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		return d.sums.counting(name, d.keeping(file)), nil
	}
	refuse := func(found, want string) error {
		return &survey.Error{Pos: survey.Pos{File: "standard input"}, Found: found, Want: want}
	}
	switch {
	case d.stdin == nil:
		return nil, refuse("an input without a name", "the name of a file, which the job can name")
	case d.taken:
		return nil, refuse("the second input from it", "one input from standard input, the others by name")
	}
	d.taken = true
	if file, ok := d.stdin().(*os.File); ok {
		return d.keeping(file), nil
	}
	return pipe{io.NopCloser(d.stdin())}, nil
}

// Stat returns the info of a file without opening it: a pipe can be read only once.
func (d *disk) Stat(name string) (fs.FileInfo, error) { return os.Stat(name) }

// pipe is an input of unknown size.
type pipe struct{ io.ReadCloser }

func (pipe) Stat() (fs.FileInfo, error) { return nil, errors.ErrUnsupported }

// keeping keeps the content of a pipe if d.keeps is set.
func (d *disk) keeping(file *os.File) fs.File {
	if info, err := file.Stat(); !d.keeps || err == nil && info.Mode().IsRegular() {
		return file
	}
	d.kept = &keptPipe{File: file}
	return d.kept
}

// again opens the last input once more.
func (d *disk) again(name string) (io.ReadCloser, error) {
	if k := d.kept; k != nil {
		return struct {
			io.Reader
			io.Closer
		}{io.MultiReader(bytes.NewReader(k.seen.Bytes()), k.File), k.File}, nil
	}
	return os.Open(name)
}

// keptPipe keeps what is read from it, and stays open.
type keptPipe struct {
	fs.File
	seen bytes.Buffer
}

func (k *keptPipe) Read(p []byte) (int, error) {
	n, err := k.File.Read(p)
	k.seen.Write(p[:n])
	return n, err
}

func (k *keptPipe) Close() error { return nil }

// readSums holds the SHA-256 of each input.
type readSums struct {
	of  map[string]report.FileSum // by the name under which it was opened
	err error                     // an input changed between two readings
}

// counting records the checksum of an input when it is closed. It then reads what the
// reader left, so that the checksum covers the whole file.
func (s *readSums) counting(name string, file fs.File) fs.File {
	if s == nil {
		return file
	}
	return &countedRead{File: file, sums: s, name: name, hash: sha256.New()}
}

type countedRead struct {
	fs.File
	sums *readSums
	name string
	hash hash.Hash
	size int
}

func (c *countedRead) Read(p []byte) (int, error) {
	n, err := c.File.Read(p)
	c.hash.Write(p[:n])
	c.size += n
	return n, err
}

func (c *countedRead) Close() error {
	rest, err := io.Copy(c.hash, c.File)
	sum := report.FileSum{SHA256: hex.EncodeToString(c.hash.Sum(nil)), Bytes: c.size + int(rest)}
	if was, ok := c.sums.of[c.name]; ok && was != sum && c.sums.err == nil {
		c.sums.err = &survey.Error{Pos: survey.Pos{File: c.name}, Found: "other bytes when it was read again", Want: "a file that nobody changes during the run", Hint: "run it again"}
	}
	c.sums.of[c.name] = sum
	return errors.Join(err, c.File.Close())
}

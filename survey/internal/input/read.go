// Package input reads the bytes of an input, up to a limit and with progress, and plain
// numbers.
package input

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"strings"
	"syscall"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// ReadAll reads an input into memory. New memory is the main cost, so it is allocated in
// one piece if the size is known. A pipe reports progress.
func ReadAll(r io.Reader, name string, o survey.Options) ([]byte, error) {
	most := o.Limit()
	size := int64(0)
	if known, ok := r.(interface{ Size() int64 }); ok {
		size = known.Size()
	}
	if size > most {
		return nil, TooLarge(name, most)
	}
	r = Limit(r, name, most)
	if size == 0 && o.Progress != nil {
		r = &watched{r: r, report: o.Progress}
	}
	if size == 0 {
		return inPieces(r)
	}
	b := bytes.NewBuffer(make([]byte, 0, size+bytes.MinRead)) // room to detect the end
	_, err := b.ReadFrom(r)
	return b.Bytes(), err
}

// inPieces reads r to its end without knowing its length. Unused memory is one piece
// max.
func inPieces(r io.Reader) ([]byte, error) {
	const first, most = 1 << 16, 1 << 24 // bytes
	var pieces [][]byte
	for size := first; ; size = min(2*size, most) {
		piece := make([]byte, size)
		n, err := io.ReadFull(r, piece)
		pieces = append(pieces, piece[:n])
		switch err {
		case nil:
		case io.EOF, io.ErrUnexpectedEOF:
			return bytes.Join(pieces, nil), nil
		default:
			return nil, err
		}
	}
}

// Limit returns a reader of r that refuses an input of more than most bytes.
func Limit(r io.Reader, name string, most int64) io.Reader {
	most = min(most, math.MaxInt64-1) // one more is asked for
	return &limited{r, name, most, most}
}

// limited reads up to a limit and refuses anything longer.
type limited struct {
	r           io.Reader
	name        string
	left, limit int64
}

func (l *limited) Read(p []byte) (int, error) {
	// One byte more shows whether the input ends at the limit.
	n, err := l.r.Read(p[:min(int64(len(p)), l.left+1)])
	if l.left -= int64(n); l.left < 0 {
		return 0, TooLarge(l.name, l.limit)
	}
	return n, err
}

// TooLarge returns the error for an input of more bytes than the limit.
func TooLarge(name string, limit int64) error {
	return (&survey.Error{Pos: survey.Pos{File: name}, Found: fmt.Sprintf("more than %s", unit.Bytes(limit)), Want: "a survey of one floor; a scan can be thinned while it is read"}).Hinted("%s, or %s for a scan in a file", unit.Ask("max-size", strings.ReplaceAll(unit.Bytes(4*min(limit, math.MaxInt64/4)), " ", "")), unit.Ask("thin", "50mm"))
}

// Unreadable returns the error for a file that cannot be read; a refusal is unchanged.
func Unreadable(name string, err error) error {
	var e *survey.Error
	if errors.As(err, &e) {
		return err
	}
	return &survey.Error{Pos: survey.Pos{File: name}, Found: reason(err), Want: "a file that can be read", Err: err}
}

// reason gives a short reason why a file cannot be read.
func reason(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "no file of this name"
	case errors.Is(err, fs.ErrPermission):
		return "a file that may not be read"
	}
	var p *fs.PathError
	if errors.As(err, &p) && errors.Is(p.Err, syscall.EISDIR) {
		return "a folder"
	}
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

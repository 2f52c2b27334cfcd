package survey

import (
	"errors"
	"io/fs"
	"os"
)

// Open reads a file of delimited text. Others are refused by name, as their
// first bytes show them, with what to save instead. It refuses what [ReadText]
// refuses, and files that are missing or empty.
func Open(name string, o Options) (*Survey, error) {
	b, err := readFile(name)
	if err != nil {
		return nil, err
	}
	return readText(b, name, o, false)
}

// OpenOutline reads an outline: columns x and y and, where wanted, z, part,
// ring (outer, hole or line), seq and note; rows are corners in order, in
// either direction. Rows of one part and ring form one ring, or one line;
// without a ring column, nor codes that tell, all rows are the outer edge. A
// first corner that is repeated at the end is dropped. Z is NaN where the file
// has none.
//
// It refuses what [ReadText] refuses, rings of fewer than three corners and
// lines of fewer than two. Lengths without a unit are in o.Unit, and with None
// an error; pass the unit of the survey.
func OpenOutline(name string, o Options) (*Survey, error) {
	b, err := readFile(name)
	if err != nil {
		return nil, err
	}
	return readText(b, name, o, true)
}

// readFile reads name whole, with an error in the words of this package.
func readFile(name string) ([]byte, error) {
	b, err := os.ReadFile(name)
	if err != nil {
		return nil, &Error{Pos: Pos{File: name}, Want: "a file that can be read: " + reason(err), Err: err}
	}
	return b, nil
}

// reason says in short why a file cannot be read.
func reason(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is none of this name"
	case errors.Is(err, fs.ErrPermission):
		return "permission denied"
	}
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

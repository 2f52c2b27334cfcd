package survey

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// Open reads a survey: delimited text, LandXML, LAS or PLY, as the first bytes of
// the file show. Others are refused by name, with what to save instead. It refuses
// what [ReadText], [ReadLandXML], [ReadLAS] and [ReadPLY] refuse, and files that
// are missing or empty. All are streamed, but delimited text that is not thinned,
// which is held whole.
func Open(name string, o Options) (*Survey, error) {
	return open(name, o, false)
}

func open(name string, o Options, outline bool) (*Survey, error) {
	s, f, err := begin(name, o, outline)
	if err != nil || f == nil {
		return s, err
	}
	return f.alone()
}

// begin reads a file, text as far as a file alone can be understood: the level
// books of several may hang on one another. One of the two results is nil.
func begin(name string, o Options, outline bool) (*Survey, *textReader, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, nil, unreadable(name, err)
	}
	defer f.Close()
	head := make([]byte, 512)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return nil, nil, unreadable(name, err)
	}
	in := sized{Reader: io.MultiReader(bytes.NewReader(head[:n]), f)}
	if info, err := f.Stat(); err == nil {
		in.size = info.Size()
	}
	if tell := o.Progress; tell != nil {
		o.Progress = func(done, total int64) { tell(done, max(total, in.size)) }
	}
	if outline {
		o.Thin = Thin{}
	}
	switch k := sniff(head[:n]); {
	case k.read != nil:
		s, err := k.read(in, name, o)
		return s, nil, err
	case o.Thin != Thin{}:
		s, err := ReadText(in, name, o)
		return s, nil, err
	}
	b, err := os.ReadFile(name)
	if err != nil {
		return nil, nil, unreadable(name, err)
	}
	text, err := beginText(b, name, o, outline)
	return nil, text, err
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
//
// A LandXML file serves as well, if it holds one surface with boundaries, or else
// one closed line such as a room or parcel.
func OpenOutline(name string, o Options) (*Survey, error) {
	s, err := open(name, o, true)
	if err != nil || s.Delimiter != "" {
		return s, err
	}
	var rings [][]Ring
	for _, u := range s.Surfaces {
		if len(u.Rings) > 0 {
			rings = append(rings, u.Rings)
		}
	}
	if len(rings) == 0 {
		for _, r := range s.Outlines {
			rings = append(rings, []Ring{r})
		}
	}
	if len(rings) != 1 {
		return nil, &Error{Pos: Pos{File: name}, Found: fmt.Sprintf("%d outlines", len(rings)), Want: "one surface with boundaries, or one closed line"}
	}
	return &Survey{Name: name, Format: s.Format, Unit: s.Unit, Plan: s.Plan, Rings: rings[0], Notes: s.Notes}, nil
}

func unreadable(name string, err error) error {
	return &Error{Pos: Pos{File: name}, Found: reason(err), Want: "a file that can be read", Err: err}
}

// reason says in short why a file cannot be read.
func reason(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "no file of this name"
	case errors.Is(err, fs.ErrPermission):
		return "a file that may not be read"
	}
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

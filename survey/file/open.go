// Package file opens the files of a survey: it finds the format of each and joins
// several.
package file

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"pourplane/survey"
	"pourplane/survey/internal/input"
	"pourplane/survey/landxml"
	"pourplane/survey/scan"
	"pourplane/survey/text"
)

// Stdin is the name of standard input.
const Stdin = "-"

// readers are the readers of all formats except delimited text.
var readers = map[text.Format]func(r io.Reader, name string, o survey.Options) (*survey.Survey, error){
	text.LandXML: landxml.Read,
	text.LAS:     scan.ReadLAS,
	text.PLY:     scan.ReadPLY,
	text.Cells:   scan.ReadCells,
}

// Open reads a survey: delimited text, a sheet of a workbook (XLSX), LandXML, LAS, PLY or
// the cells of a thinned scan, recognised by the first bytes. Other formats are refused by name, with the format
// to save instead. It refuses what [text.Read], [landxml.Read], [scan.ReadLAS] and
// [scan.ReadPLY] refuse, missing and empty files, and inputs of more than o.MaxSize
// bytes, except a file that is thinned while it is read. Delimited text that is not
// thinned is read into memory, everything else is streamed.
//
// The name - is standard input, and any name may be a pipe: an input is opened once and
// read from its first byte to its last.
func Open(name string, o survey.Options) (*survey.Survey, error) {
	return open(name, o, false)
}

func open(name string, o survey.Options, outline bool) (*survey.Survey, error) {
	var memory input.Expected
	defer memory.End()
	s, f, err := begin(name, o, outline, &memory)
	if err != nil || f == nil {
		return s, err
	}
	return f.Alone()
}

// begin reads one file. Text is only read as far as it can be understood without the
// other files, since a level book may need them. One of the two results is nil. memory expects
// that of a long list.
func begin(name string, o survey.Options, outline bool, memory *input.Expected) (*survey.Survey, *text.Reader, error) {
	from := o.Open
	if from == nil {
		from = openFile
	}
	f, err := from(name)
	name = shown(name)
	if err != nil {
		return nil, nil, input.Unreadable(name, err)
	}
	defer f.Close()
	if outline {
		o.Thin = survey.Thin{}
	}
	head := make([]byte, 512)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return nil, nil, input.Unreadable(name, err)
	}
	head = head[:n]
	in := sized{Reader: io.MultiReader(bytes.NewReader(head), f)}
	if info, ok := f.(interface{ Stat() (fs.FileInfo, error) }); ok {
		if i, err := info.Stat(); err == nil && i.Mode().IsRegular() {
			in.size = i.Size()
		}
	}
	k := text.Sniff(head)
	// A scan that is thinned while it is read needs memory for the grid only, so a file
	// may have any size. A pipe may never end.
	most := o.Limit()
	thinned := o.Thin.Cell > 0 && k.Format != text.LandXML || k.Format == text.Cells
	if !thinned || in.size == 0 {
		if in.size > most {
			return nil, nil, input.TooLarge(name, most)
		}
		in.Reader = input.Limit(in.Reader, name, most)
	}
	if report := o.Progress; report != nil {
		o.Progress = func(done, total int64) { report(done, max(total, in.size)) }
	}
	if read := readers[k.Format]; read != nil {
		if k.Format == text.LAS && !thinned {
			memory.Bytes(taken * in.size)
		}
		s, err := read(in, name, o)
		if err == nil {
			of := survey.ExtentOf(s.Points)
			if err = s.CheckNear(of); err == nil {
				err = s.CheckWide(of)
			}
		}
		if err != nil {
			return nil, nil, err
		}
		return s, nil, nil
	}
	if k.Format == text.Workbook {
		b, err := input.ReadAll(in, name, o)
		if err != nil {
			return nil, nil, input.Unreadable(name, err)
		}
		f, err := text.BeginWorkbook(b, name, o, outline)
		return nil, f, err
	}
	// If the first bytes are not text, the rest is not read.
	if err := text.IsText(name, head); err != nil {
		return nil, nil, err
	}
	if o.Thin != (survey.Thin{}) {
		s, err := text.Read(in, name, o)
		return s, nil, err
	}
	if again, ok := f.(io.Seeker); ok && in.size >= text.Streamed && !outline {
		memory.Bytes(taken * in.size)
		if t, err := text.Stream(in, in.size, name, o); t != nil || err != nil {
			return nil, t, err
		}
		memory.End()
		if _, err := again.Seek(0, io.SeekStart); err != nil {
			return nil, nil, input.Unreadable(name, err)
		}
		in.Reader = input.Limit(f, name, most)
	}
	b, err := input.ReadAll(in, name, o)
	if err != nil {
		return nil, nil, input.Unreadable(name, err)
	}
	t, err := text.Begin(b, name, o, outline)
	return nil, t, err
}

// taken is the memory that a list of points takes, in times the bytes of its file: 40 bytes a
// point, and its name, for some 20 to 35.
const taken = 3

// sized is a reader of known size.
type sized struct {
	io.Reader
	size int64
}

func (s sized) Size() int64 { return s.size }

// shown returns the name of an input for messages.
func shown(name string) string {
	if name == Stdin {
		return "standard input"
	}
	return name
}

// openFile opens an input if the options do not give a function for it.
func openFile(name string) (io.ReadCloser, error) {
	if name == Stdin {
		return io.NopCloser(os.Stdin), nil
	}
	return os.Open(name)
}

// OpenOutline reads an outline: columns x and y and optionally z, part, ring (outer,
// hole or line), seq and note. Rows are corners in order, in either direction. Rows of
// one part and ring form one ring, or one line; without a ring column or codes, all rows
// are the outer edge. A first corner that is repeated at the end is dropped. Z is NaN if
// the file has none.
//
// It refuses what [text.Read] refuses, rings of fewer than three corners and lines of
// fewer than two. Lengths without a unit are in o.Unit, and None is an error: pass the
// unit of the survey.
//
// A LandXML file can be an outline if it holds one surface with boundaries, or otherwise
// one closed line such as a room or parcel.
func OpenOutline(name string, o survey.Options) (*survey.Survey, error) {
	s, err := open(name, o, true)
	if err != nil || s.Delimiter != "" {
		return s, err
	}
	var rings [][]survey.Ring
	for _, u := range s.Surfaces {
		if len(u.Rings) > 0 {
			rings = append(rings, u.Rings)
		}
	}
	if len(rings) == 0 {
		for _, r := range s.Outlines {
			rings = append(rings, []survey.Ring{r})
		}
	}
	if len(rings) != 1 {
		return nil, &survey.Error{Pos: survey.Pos{File: name}, Found: fmt.Sprintf("%d outlines", len(rings)), Want: "one surface with boundaries, or one closed line"}
	}
	return &survey.Survey{Name: name, Format: s.Format, Unit: s.Unit, Plan: s.Plan, Rings: rings[0], Notes: s.Notes}, nil
}

package survey

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"syscall"

	"pourplane/survey/unit"
)

// Stdin is the name that stands for standard input.
const Stdin = "-"

// MaxSize is how many bytes an input may have where the options set no other
// limit: a list of seven million shots, or a LandXML surface of two million
// points. What is larger is more likely a pipe that never ends than a floor.
const MaxSize = 256_000_000

// readers are those of files that are no delimited text.
var readers = map[format]func(r io.Reader, name string, o Options) (*Survey, error){
	formatLandXML: ReadLandXML,
	formatLAS:     ReadLAS,
	formatPLY:     ReadPLY,
}

// Open reads a survey: delimited text, a sheet of a workbook (XLSX), LandXML, LAS
// or PLY, as its first bytes show. Others are refused by name, with what to save instead. It refuses what
// [ReadText], [ReadLandXML], [ReadLAS] and [ReadPLY] refuse, files that are missing
// or empty, and inputs of more than o.MaxSize bytes, save a file that is thinned
// while it is read. Delimited text that is not thinned is held whole, all else is
// streamed.
//
// The name - is standard input, and any name may be that of a pipe: an input is
// opened once and read from its first byte to its last.
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

// begin reads a file, text as far as a file alone can be understood: a level book
// may need the files beside it. One of the two results is nil.
func begin(name string, o Options, outline bool) (*Survey, *textReader, error) {
	from := o.Open
	if from == nil {
		from = openFile
	}
	f, err := from(name)
	name = shown(name)
	if err != nil {
		return nil, nil, unreadable(name, err)
	}
	defer f.Close()
	if outline {
		o.Thin = Thin{}
	}
	head := make([]byte, 512)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return nil, nil, unreadable(name, err)
	}
	head = head[:n]
	in := sized{Reader: io.MultiReader(bytes.NewReader(head), f)}
	if info, ok := f.(interface{ Stat() (fs.FileInfo, error) }); ok {
		if i, err := info.Stat(); err == nil && i.Mode().IsRegular() {
			in.size = i.Size()
		}
	}
	k := sniff(head)
	// Of a scan that is thinned on the way no more is kept than the grid, so that
	// a file may have any size. A pipe may never end.
	most := o.maxSize()
	if o.Thin.Cell == 0 || in.size == 0 || k.format == formatLandXML {
		if in.size > most {
			return nil, nil, tooLarge(name, most)
		}
		in.Reader = limit(in.Reader, name, most)
	}
	if tell := o.Progress; tell != nil {
		o.Progress = func(done, total int64) { tell(done, max(total, in.size)) }
	}
	if read := readers[k.format]; read != nil {
		s, err := read(in, name, o)
		if err == nil {
			err = s.checkNear()
		}
		if err == nil {
			err = s.checkWide()
		}
		if err != nil {
			return nil, nil, err
		}
		return s, nil, nil
	}
	if k.format == formatWorkbook {
		b, err := readAll(in, name, o)
		if err != nil {
			return nil, nil, unreadable(name, err)
		}
		f, err := beginWorkbook(b, name, o, outline)
		return nil, f, err
	}
	// What is no text by its first bytes need not be read to its end.
	if err := isText(name, head); err != nil {
		return nil, nil, err
	}
	if o.Thin != (Thin{}) {
		s, err := ReadText(in, name, o)
		return s, nil, err
	}
	b, err := readAll(in, name, o)
	if err != nil {
		return nil, nil, unreadable(name, err)
	}
	t, err := beginText(b, name, o, outline, nil)
	return nil, t, err
}

// sized is a reader that knows how much it holds.
type sized struct {
	io.Reader
	size int64
}

func (s sized) Size() int64 { return s.size }

// shown is the name of an input in messages.
func shown(name string) string {
	if name == Stdin {
		return "standard input"
	}
	return name
}

// openFile opens an input where the options do not say how.
func openFile(name string) (io.ReadCloser, error) {
	if name == Stdin {
		return io.NopCloser(os.Stdin), nil
	}
	return os.Open(name)
}

// limit returns r as a reader that refuses an input of more than most bytes.
func limit(r io.Reader, name string, most int64) io.Reader { return &limited{r, name, most, most} }

// limited reads up to a limit, and refuses what has more.
type limited struct {
	r           io.Reader
	name        string
	left, limit int64
}

func (l *limited) Read(p []byte) (int, error) {
	// One byte more, to tell an input that ends at the limit from a longer one.
	n, err := l.r.Read(p[:min(int64(len(p)), l.left+1)])
	if l.left -= int64(n); l.left < 0 {
		return 0, tooLarge(l.name, l.limit)
	}
	return n, err
}

func (o Options) maxSize() int64 { return cmp.Or(o.MaxSize, MaxSize) }

func tooLarge(name string, limit int64) error {
	return (&Error{Pos: Pos{File: name}, Found: fmt.Sprintf("more than %s", Bytes(limit)), Want: "a survey of one floor; a scan can be thinned while it is read"}).Hinted("%s, or %s for a scan in a file", unit.Ask("max-size", strings.ReplaceAll(Bytes(4*limit), " ", "")), unit.Ask("thin", "50mm"))
}

// Bytes writes a number of bytes: "256 MB".
func Bytes(n int64) string {
	for _, u := range []struct {
		size int64
		name string
	}{{1e9, "GB"}, {1e6, "MB"}, {1e3, "kB"}} {
		if n >= u.size {
			return fmt.Sprintf("%.4g %s", float64(n)/float64(u.size), u.name)
		}
	}
	return fmt.Sprintf("%d bytes", n)
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
	var e *Error
	if errors.As(err, &e) {
		return err
	}
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
	if errors.As(err, &p) && errors.Is(p.Err, syscall.EISDIR) {
		return "a folder"
	}
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

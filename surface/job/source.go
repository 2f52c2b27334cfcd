package job

import (
	"cmp"
	"io"
	"io/fs"
	"strconv"
	"strings"

	"pourplane/survey"
)

// sourceFlags are how inputs are opened.
type sourceFlags struct {
	maxSize string
	sheet   string       // sheet of workbooks
	second  string       // sheet of the survey compared with the first; empty: as sheet
	edge    string       // sheet of the outline
	option  string       // name of the option for the sheet, in hints; empty: sheet
	Files   fs.FS        // inputs are opened in it, by the names that the user gives
	stop    func() error // reason to stop the work; nil: nothing stops it
}

// stopped returns the reason to stop the work, nil if there is none.
func (f *sourceFlags) stopped() error {
	if f.stop == nil {
		return nil
	}
	return f.stop()
}

// opened opens an input. Reading ends once the work is to stop.
func (f *sourceFlags) opened(name string) (fs.File, error) {
	if err := f.stopped(); err != nil {
		return nil, err
	}
	file, err := f.Files.Open(name)
	if err != nil || f.stop == nil {
		return file, err
	}
	return stoppable{file, f.stop}, nil
}

// stoppable is a file that gives no more data once stop returns an error.
type stoppable struct {
	fs.File
	stop func() error
}

func (s stoppable) Read(p []byte) (int, error) {
	if err := s.stop(); err != nil {
		return 0, err
	}
	return s.File.Read(p)
}

func (f *sourceFlags) options(o *survey.Options) error {
	o.Open = func(name string) (io.ReadCloser, error) { return f.opened(name) }
	o.Stop = f.stop
	o.Sheet, o.SheetOption = f.sheet, f.option
	if f.maxSize == "" {
		return nil
	}
	n, ok := parseBytes(f.maxSize)
	if !ok {
		return misused("max-size", strconv.Quote(f.maxSize), "a size such as 500MB or 2GB")
	}
	o.MaxSize = n
	return nil
}

// ofSecond sets the flags for the second of two surveys.
func (f *sourceFlags) ofSecond() {
	f.sheet, f.option = cmp.Or(f.second, f.sheet), "before-sheet"
}

// parseBytes reads a size such as 500MB into bytes.
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

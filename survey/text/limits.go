package text

import (
	"bytes"
	"fmt"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Limits of an input; own choice. A list of a floor is smaller.
const (
	mostColumns = 1000
	mostLine    = 1_000_000 // bytes in a line, and so in a cell
)

// checkLines refuses a line longer than mostLine.
func checkLines(name string, body []byte) error {
	for at := 0; at < len(body); {
		// Lines that end in the next mostLine bytes are no longer than that.
		if last := bytes.LastIndexByte(body[at:min(len(body), at+mostLine)], '\n'); last >= 0 {
			at += last + 1
			continue
		}
		end := bytes.IndexByte(body[at:], '\n')
		if end < 0 {
			end = len(body) - at
		}
		if end > mostLine {
			n := 1 + bytes.Count(body[:at], []byte("\n"))
			return &survey.Error{Pos: survey.Pos{File: name, Line: n}, Found: "a line of " + unit.Bytes(int64(end)), Want: "a list of points, one a line, with lines up to " + unit.Bytes(mostLine)}
		}
		at += end + 1
	}
	return nil
}

// checkColumns refuses a file with more than mostColumns columns.
func (f *form) checkColumns(name string) error {
	n, at := f.fields, f.first
	if len(f.head) > mostColumns {
		n, at = len(f.head), f.headLine
	}
	if n <= mostColumns {
		return nil
	}
	return &survey.Error{Pos: survey.Pos{File: name, Line: at}, Found: fmt.Sprintf("%d columns", n), Want: fmt.Sprintf("up to %d", mostColumns), Hint: "save the columns of the shots alone"}
}

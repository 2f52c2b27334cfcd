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
	for n := 1; len(body) > 0; n++ {
		// Lines that end in the next mostLine bytes are no longer than that.
		if last := bytes.LastIndexByte(body[:min(len(body), mostLine)], '\n'); last >= 0 {
			n += bytes.Count(body[:last], []byte("\n"))
			body = body[last+1:]
			continue
		}
		end := bytes.IndexByte(body, '\n')
		if end < 0 {
			end = len(body)
		}
		if end > mostLine {
			return &survey.Error{Pos: survey.Pos{File: name, Line: n}, Found: "a line of " + unit.Bytes(int64(end)), Want: "a list of points, one a line, with lines up to " + unit.Bytes(mostLine)}
		}
		body = body[min(end+1, len(body)):]
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

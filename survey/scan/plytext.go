package scan

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"strconv"

	"pourplane/survey"
	"pourplane/survey/internal/input"
)

// plyText reads the values of an ascii body, one row per line.
type plyText struct {
	p    *ply
	e    *plyElement
	n    int64
	text []byte // the line
	next int    // index where the next value begins or blanks before it
	col  int    // column of the last value, from 1
}

func (t *plyText) at() survey.Pos { return survey.Pos{File: t.p.file.File, Line: t.p.line, Col: t.col} }

// scan reads the next line that is not blank.
func (t *plyText) scan() error {
	for {
		b, err := t.p.r.ReadSlice('\n')
		if err == bufio.ErrBufferFull || len(b) == 0 {
			return err
		}
		t.p.line++
		if b = bytes.TrimRight(b, " \t\r\n"); len(b) > 0 {
			t.text, t.next, t.col = b, 0, 0
			return nil
		}
	}
}

func (t *plyText) row(e *plyElement, n int64) error {
	t.e, t.n = e, n
	switch err := t.scan(); err {
	case nil:
		return nil
	case io.EOF:
		return &survey.Error{Pos: t.p.file, Element: e.row(n), Found: "the end of the file", Want: "as many rows as the header promises", Err: io.ErrUnexpectedEOF}
	case bufio.ErrBufferFull:
		return &survey.Error{Pos: survey.Pos{File: t.p.file.File, Line: t.p.line + 1}, Element: e.row(n), Found: fmt.Sprintf("a line of more than %d bytes", input.BufferSize), Want: "one row a line", Err: err}
	default:
		return input.Unreadable(t.p.file.File, err)
	}
}

func (t *plyText) more() bool { return t.scan() != io.EOF }

// token returns the next value as written, nil after the last.
func (t *plyText) token() []byte {
	b := t.text
	i := t.next
	for i < len(b) && (b[i] == ' ' || b[i] == '\t') {
		i++
	}
	j := i
	for j < len(b) && b[j] != ' ' && b[j] != '\t' {
		j++
	}
	t.next, t.col = j, i+1
	return b[i:j]
}

// short returns the error for a row that ends early.
func (t *plyText) short(q plyProperty) error {
	return &survey.Error{Pos: t.at(), Element: t.e.row(t.n), Found: "the end of the line", Want: "a value of " + q.name}
}

func (t *plyText) value(q plyProperty, _ plyType) (float64, error) {
	b := t.token()
	if len(b) == 0 {
		return 0, t.short(q)
	}
	v, err := input.Number(b)
	if err != nil {
		return 0, &survey.Error{Pos: t.at(), Element: t.e.row(t.n), Found: strconv.Quote(string(b[:min(len(b), 40)])) + " as " + q.name, Want: "a finite number such as -12.345"}
	}
	return v, nil
}

func (t *plyText) skip(q plyProperty, n int64) error {
	for range n {
		if len(t.token()) == 0 {
			return t.short(q)
		}
	}
	return nil
}

func (t *plyText) end() error {
	if b := t.token(); len(b) > 0 {
		return &survey.Error{Pos: t.at(), Element: t.e.row(t.n), Found: fmt.Sprintf("%q after the last value", b[:min(len(b), 40)]), Want: "as many values as the header promises"}
	}
	return nil
}

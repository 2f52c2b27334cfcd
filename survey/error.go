// Package survey holds what was measured, as it stands in the file: points,
// outlines, breaklines, level books and ready-made surfaces, each with the
// place it was read from. Lengths are metres; x is east, y is north, z is up.
package survey

import (
	"errors"
	"fmt"
	"regexp"
	"strings"

	"pourplane/survey/unit"
)

// Pos is a place in an input: a file, a line and a column, both counted from 1,
// the column in bytes. Zero means unknown. It prints as compilers print it, so
// that terminals link it. Of a workbook the line is a row of a sheet and the column
// one of its columns: floor.xlsx:Shots!D7.
type Pos struct {
	File      string
	Line, Col int
	Sheet     string // of a workbook
}

func (p Pos) String() string {
	switch {
	case p.Sheet != "" && p.Line == 0:
		return fmt.Sprintf("%s:%s", p.File, p.Sheet)
	case p.Sheet != "" && p.Col == 0:
		return fmt.Sprintf("%s:%s row %d", p.File, p.Sheet, p.Line)
	case p.Sheet != "":
		letters := ""
		for n := p.Col; n > 0; n = (n - 1) / 26 {
			letters = string(rune('A'+(n-1)%26)) + letters
		}
		return fmt.Sprintf("%s:%s!%s%d", p.File, p.Sheet, letters, p.Line)
	case p.Line == 0:
		return p.File
	case p.Col == 0:
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
}

// Error is a refusal of an input. It names the place, the element or column,
// what was found there and what was wanted.
type Error struct {
	Pos
	Element string // such as `column 4 "Rod"` or `face 2 of surface "s"`; may be empty
	Found   string // as it stands in the file; may be empty
	Want    string
	Hint    string // what to type instead; may be empty
	Err     error  // cause, may be nil

	measured *measured // Found, Want and Hint with their quantities; nil: they have none
}

type measured struct{ found, want, hint unit.Text }

// Measured returns e with a found, wanted and hinted text that have quantities in them: they are
// in metric units until [ErrorIn] writes them in another style. An empty text changes nothing.
func (e *Error) Measured(found, want, hint unit.Text) *Error {
	e.measured = &measured{found, want, hint}
	return e.in(unit.Style{})
}

func (e *Error) in(s unit.Style) *Error {
	out := *e
	for _, part := range []struct {
		text unit.Text
		to   *string
	}{{e.measured.found, &out.Found}, {e.measured.want, &out.Want}, {e.measured.hint, &out.Hint}} {
		if part.text != (unit.Text{}) {
			*part.to = part.text.In(s)
		}
	}
	return &out
}

// ErrorIn returns err with the quantities of its refusals in a style.
func ErrorIn(err error, s unit.Style) error {
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		var out []error
		for _, e := range many.Unwrap() {
			out = append(out, ErrorIn(e, s))
		}
		return errors.Join(out...)
	}
	if e, ok := err.(*Error); ok && e.measured != nil {
		return e.in(s)
	}
	return err
}

func (e *Error) Error() string {
	var b strings.Builder
	if p := e.Pos.String(); p != "" {
		b.WriteString(p + ": ")
	}
	if e.Element != "" {
		b.WriteString(excerpt(e.Element) + ": ")
	}
	if e.Found != "" {
		b.WriteString("found " + excerpt(e.Found) + ", want " + excerpt(e.Want))
	} else {
		b.WriteString(excerpt(e.Want))
	}
	return b.String()
}

// mostQuoted is how many characters of a text in quotes a message has, and mostSaid
// how many there are of each of its parts: a cell may hold megabytes.
const (
	mostQuoted = 60
	mostSaid   = 8 * mostQuoted
)

// quoted finds text in quotes, as strconv.Quote writes it.
var quoted = regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)

// excerpt shortens what a part of a message quotes. An inch mark is no quote: short
// parts that do not begin with one stay as they are.
func excerpt(part string) string {
	if len(part) <= mostQuoted || part[0] != '"' && len(part) <= mostSaid {
		return part
	}
	part = quoted.ReplaceAllStringFunc(part, func(q string) string {
		return `"` + abridge(q[1:len(q)-1], mostQuoted) + `"`
	})
	return abridge(part, mostSaid)
}

// Abridged returns what a message quotes of s: its first 60 characters, with an ellipsis
// where there are more.
func Abridged(s string) string { return abridge(s, mostQuoted) }

// abridge returns the first most characters of s, with an ellipsis where there are more.
func abridge(s string, most int) string {
	for i := range s {
		if most--; most < 0 {
			return s[:i] + "…"
		}
	}
	return s
}

func (e *Error) Unwrap() error { return e.Err }

// Hints returns the hints of every [*Error] in err, each once, in order.
func Hints(err error) []string {
	var out []string
	seen := map[string]bool{}
	var walk func(error)
	walk = func(err error) {
		if err == nil {
			return
		}
		if many, ok := err.(interface{ Unwrap() []error }); ok {
			for _, e := range many.Unwrap() {
				walk(e)
			}
			return
		}
		var e *Error
		if errors.As(err, &e) && e.Hint != "" && !seen[e.Hint] {
			seen[e.Hint] = true
			out = append(out, e.Hint)
		}
	}
	walk(err)
	return out
}

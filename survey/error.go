// Package survey holds what was measured, as it is in the file: points, outlines,
// breaklines, level books and ready-made surfaces, each with the place it was read from.
// Lengths are metres; x is east, y is north, z is up.
package survey

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"pourplane/survey/unit"
)

// AskUnit is the hint where lengths have no unit.
var AskUnit = unit.Textf("%s, or cm, mm, ft, ftUS, in", unit.Ask("units", "m"))

// Pos is a place in an input: a file, a line and a column, both counted from 1, the
// column in bytes. Zero means unknown. It prints as compilers print it, so that
// terminals link it. In a workbook the line is a row of a sheet and the column is a
// column of that sheet: floor.xlsx:Shots!D7.
type Pos struct {
	File      string
	Line, Col int
	Sheet     string // sheet of a workbook
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

// Error is the refusal of an input. It names the place, the element or column, what was
// found there and what was wanted.
type Error struct {
	Pos
	Field   string // the refused field, by the short name of a [unit.Option]; may be empty
	Element string // such as `column 4 "Rod"` or `face 2 of surface "s"`; for people, may be empty
	Part    string // identifies what Element names, for code; may be empty
	Of      string // name of the benchmark, material or other thing of the user that it is about; may be empty
	Found   string // the text in the file; may be empty
	Want    string
	Hint    string        // what to type instead; may be empty
	Marks   []string      // names of the benchmarks and turning points that it concerns
	Ask     []unit.Option // options that also settle it and are not in the hint
	Follows bool          // Found also has what follows from what was entered
	Usage   bool          // the request is wrong, whatever the files hold
	Err     error         // cause, may be nil

	texts texts      // Found, Want and Hint before their quantities and options are written out
	style unit.Style // in which they are written out
}

type texts struct{ found, want, hint unit.Text }

// Measured sets Found, Want and Hint from texts that contain quantities, and returns e.
// They are metric until [ErrorIn] writes them in another style, and then stay in it. An empty text leaves its
// field unchanged.
func (e *Error) Measured(found, want, hint unit.Text) *Error {
	e.texts = texts{found, want, hint}
	return e.in(e.style)
}

// FoundText returns what was found, with its quantities.
func (e *Error) FoundText() unit.Text { return textOr(e.texts.found, e.Found) }

// WantText returns what was wanted, with its quantities.
func (e *Error) WantText() unit.Text { return textOr(e.texts.want, e.Want) }

// textOr returns text, or if it is empty the words that were set without it.
func textOr(text unit.Text, words string) unit.Text {
	if text == (unit.Text{}) {
		return unit.Textf("%s", words)
	}
	return text
}

// Hinted replaces the hint of e and returns e. The arguments may include options.
func (e *Error) Hinted(format string, args ...any) *Error {
	return e.Hinting(unit.Textf(format, args...))
}

// Hinting replaces the hint of e and returns e. An empty hint changes nothing.
func (e *Error) Hinting(hint unit.Text) *Error {
	e.texts.hint = hint
	return e.in(e.style)
}

// AlsoHinted appends to the hint of e and returns e.
func (e *Error) AlsoHinted(format string, args ...any) *Error {
	return e.Hinting(unit.Join([]unit.Text{textOr(e.texts.hint, e.Hint), unit.Textf(format, args...)}, ""))
}

// Wanted replaces Want and returns e. The arguments may include options.
func (e *Error) Wanted(format string, args ...any) *Error {
	e.texts.want = unit.Textf(format, args...)
	return e.in(e.style)
}

// Saw replaces Found and returns e. The arguments may include quantities.
func (e *Error) Saw(format string, args ...any) *Error {
	e.texts.found = unit.Textf(format, args...)
	return e.in(e.style)
}

// AlsoFound appends to what was found and returns e.
func (e *Error) AlsoFound(format string, args ...any) *Error {
	e.texts.found = unit.Join([]unit.Text{e.FoundText(), unit.Textf(format, args...)}, "")
	return e.in(e.style)
}

func (e *Error) in(s unit.Style) *Error {
	out := *e
	out.style = s
	for _, part := range []struct {
		text unit.Text
		to   *string
	}{{e.texts.found, &out.Found}, {e.texts.want, &out.Want}, {e.texts.hint, &out.Hint}} {
		if part.text != (unit.Text{}) {
			*part.to = part.text.In(s)
		}
	}
	return &out
}

// Worded writes the options in e with word and returns e.
func (e *Error) Worded(word func(o, before unit.Option) string) *Error {
	out := *e
	for _, t := range []*unit.Text{&out.texts.found, &out.texts.want, &out.texts.hint} {
		*t = t.Worded(word)
	}
	return out.in(e.style)
}

// Each returns err with of applied to each of its refusals. An error that holds one
// refusal becomes that refusal.
func Each(err error, of func(*Error) error) error {
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		var out []error
		for _, e := range many.Unwrap() {
			out = append(out, Each(e, of))
		}
		return errors.Join(out...)
	}
	var e *Error
	if errors.As(err, &e) {
		return of(e)
	}
	return err
}

// ErrorIn returns err with its quantities written in style s.
func ErrorIn(err error, s unit.Style) error {
	return Each(err, func(e *Error) error { return e.in(s) })
}

// NamesField reports whether Found or Want already names the refused field.
func (e *Error) NamesField() bool {
	return slices.ContainsFunc(append(e.texts.found.Options(), e.texts.want.Options()...), func(o unit.Option) bool { return o.Name == e.Field })
}

// Unnamed returns a copy of e without the name of the refused field.
func (e *Error) Unnamed() *Error {
	out := *e
	out.Field = ""
	return &out
}

// Asks lists the options that a refusal asks for: first the refused field, then the
// options in its hint, each with its example.
func (e *Error) Asks() []unit.Option {
	out := append(e.texts.hint.Options(), e.Ask...)
	if e.Field == "" {
		return out
	}
	own := func(o unit.Option) bool { return o.Name == e.Field }
	if !slices.ContainsFunc(out, own) {
		return append([]unit.Option{unit.Ask(e.Field, "")}, out...)
	}
	slices.SortStableFunc(out, func(a, b unit.Option) int {
		switch {
		case own(a) && !own(b):
			return -1
		case own(b) && !own(a):
			return 1
		}
		return 0
	})
	return out
}

// Error writes the refusal with the field named as on the command line.
func (e *Error) Error() string {
	var b strings.Builder
	show := Excerpt
	if e.Usage { // a message about the command line is never shortened
		show = func(part string) string { return part }
	}
	if p := e.Pos.String(); p != "" {
		b.WriteString(p + ": ")
	}
	of := e.Element
	if e.Field != "" && !e.NamesField() {
		of = strings.TrimSpace(unit.Flag(e.Field).String() + " " + of)
	}
	if of != "" {
		b.WriteString(show(of) + ": ")
	}
	if e.Found != "" {
		b.WriteString("found " + unescaped(show(e.Found)) + ", want " + show(e.Want))
	} else {
		b.WriteString(show(e.Want))
	}
	return b.String()
}

// mostQuoted is the max length of a quoted text in a message, and mostSaid the max
// length of each part of a message, both in characters. A cell may hold megabytes.
const (
	mostQuoted = 60
	mostSaid   = 8 * mostQuoted
)

// quoted matches text in quotes as strconv.Quote writes it.
var quoted = regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)

// Excerpt shortens the quoted text in a part of a message. An inch mark is not a quote:
// short parts that do not begin with a quote are unchanged.
func Excerpt(part string) string {
	if len(part) <= mostQuoted || part[0] != '"' && len(part) <= mostSaid {
		return part
	}
	part = quoted.ReplaceAllStringFunc(part, func(q string) string {
		return `"` + abridge(q[1:len(q)-1], mostQuoted) + `"`
	})
	return abridge(part, mostSaid)
}

// unescaped writes quoted texts as they are in the file or on the command line: an inch mark
// has no backslash there.
func unescaped(found string) string {
	if !strings.Contains(found, `\`) {
		return found
	}
	return quoted.ReplaceAllStringFunc(found, strings.NewReplacer(`\\`, `\`, `\"`, `"`).Replace)
}

// Abridged returns the first 60 characters of s, with an ellipsis if there are more.
func Abridged(s string) string { return abridge(s, mostQuoted) }

// abridge returns the first most characters of s, with an ellipsis if there are more.
func abridge(s string, most int) string {
	for i := range s {
		if most--; most < 0 {
			return s[:i] + "…"
		}
	}
	return s
}

func (e *Error) Unwrap() error { return e.Err }

// Errors lists the refusals in err, in order.
func Errors(err error) []*Error {
	var out []*Error
	Each(err, func(e *Error) error {
		out = append(out, e)
		return e
	})
	return out
}

// IsUsage reports whether any refusal in err is about the request itself.
func IsUsage(err error) bool {
	return slices.ContainsFunc(Errors(err), func(e *Error) bool { return e.Usage })
}

// Hints returns the hints of every [*Error] in err, each once, in order.
func Hints(err error) []string {
	var out []string
	for _, e := range Errors(err) {
		if e.Hint != "" && !slices.Contains(out, e.Hint) {
			out = append(out, e.Hint)
		}
	}
	return out
}

// JoinErrors returns several errors as one. A single error is returned unchanged.
func JoinErrors(errs []error) error {
	if len(errs) == 1 {
		return errs[0]
	}
	return errors.Join(errs...)
}

// Package survey holds what was measured, as it stands in the file: points,
// outlines, breaklines, level books and ready-made surfaces, each with the
// place it was read from. Lengths are metres; x is east, y is north, z is up.
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
	Field   string // that is refused, by the short name of a [unit.Option]; may be empty
	Element string // such as `column 4 "Rod"` or `face 2 of surface "s"`; may be empty
	Found   string // as it stands in the file; may be empty
	Want    string
	Hint    string        // what to type instead; may be empty
	Marks   []string      // points of levels that it is about, by name
	Ask     []unit.Option // what else would settle it, which the hint does not show
	Usage   bool          // what was asked for is wrong, whatever the files hold
	Err     error         // cause, may be nil

	texts texts // Found, Want and Hint with their quantities and options, where they have some
}

type texts struct{ found, want, hint unit.Text }

// Measured returns e with a found, wanted and hinted text that have quantities in them: they are
// in metric units until [ErrorIn] writes them in another style. An empty text changes nothing.
func (e *Error) Measured(found, want, hint unit.Text) *Error {
	e.texts = texts{found, want, hint}
	return e.in(unit.Style{})
}

// Hinted returns e with a hint in place of its own, which may have options in it.
func (e *Error) Hinted(format string, args ...any) *Error {
	return e.Hinting(unit.Textf(format, args...))
}

// Hinting returns e with a hint in place of its own; an empty one changes nothing.
func (e *Error) Hinting(hint unit.Text) *Error {
	e.texts.hint = hint
	return e.in(unit.Style{})
}

// AlsoHinted returns e with more at the end of its hint.
func (e *Error) AlsoHinted(format string, args ...any) *Error {
	hint := e.texts.hint
	if hint == (unit.Text{}) {
		hint = unit.Textf("%s", e.Hint)
	}
	return e.Hinting(unit.Join([]unit.Text{hint, unit.Textf(format, args...)}, ""))
}

// Wanted returns e with another text of what is wanted, which may have options in it.
func (e *Error) Wanted(format string, args ...any) *Error {
	e.texts.want = unit.Textf(format, args...)
	return e.in(unit.Style{})
}

func (e *Error) in(s unit.Style) *Error {
	out := *e
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

// Worded returns e with its options as word writes them.
func (e *Error) Worded(word func(unit.Option) string) *Error {
	out := *e
	for _, t := range []*unit.Text{&out.texts.found, &out.texts.want, &out.texts.hint} {
		*t = t.Worded(word)
	}
	return out.in(unit.Style{})
}

// Each returns err with each of its refusals as of returns it. An error that holds one
// refusal is that refusal.
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

// ErrorIn returns err with the quantities of its refusals in a style.
func ErrorIn(err error, s unit.Style) error {
	return Each(err, func(e *Error) error { return e.in(s) })
}

// NamesField reports whether what was found or is wanted names the field that is refused.
func (e *Error) NamesField() bool {
	return slices.ContainsFunc(append(e.texts.found.Options(), e.texts.want.Options()...), func(o unit.Option) bool { return o.Name == e.Field })
}

// Unnamed returns e without the name of the field that is refused.
func (e *Error) Unnamed() *Error {
	out := *e
	out.Field = ""
	return &out
}

// Asks lists what a refusal asks for: first the field that is refused, then what its hint
// shows, each with its example.
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

// Error names the field as a command does.
func (e *Error) Error() string {
	var b strings.Builder
	show := Excerpt
	if e.Usage { // what was typed is shown whole
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
		b.WriteString("found " + show(e.Found) + ", want " + show(e.Want))
	} else {
		b.WriteString(show(e.Want))
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

// Excerpt shortens what a part of a message quotes. An inch mark is no quote: short
// parts that do not begin with one stay as they are.
func Excerpt(part string) string {
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

// Errors lists the refusals in err, in order.
func Errors(err error) []*Error {
	var out []*Error
	Each(err, func(e *Error) error {
		out = append(out, e)
		return e
	})
	return out
}

// IsUsage reports whether a refusal in err is one of what was asked for.
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

// JoinErrors returns several errors as one; one of its own stays as it is.
func JoinErrors(errs []error) error {
	if len(errs) == 1 {
		return errs[0]
	}
	return errors.Join(errs...)
}

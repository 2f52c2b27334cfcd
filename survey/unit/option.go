package unit

import (
	"strconv"
	"strings"
)

// Flag is an option of a command, by its name. It is written as a command line takes it,
// wherever it is shown.
type Flag string

func (f Flag) String() string { return "--" + string(f) }

// Option is what a text asks somebody to write: a field of a job by its short name, and an
// example of its value. Each front end writes it its own way, by [Text.Worded]: a command
// as an option, a job as a line of its file. As it is, it is written as a command takes it.
type Option struct {
	Name  string
	Value string // empty: the field itself is meant
	Quote bool   // the value has quotes on a command line, whatever it holds
	Leave bool   // the field is to be left out
}

// Ask asks for a field; an empty value only names it.
func Ask(name, value string) Option { return Option{Name: name, Value: value} }

// AskQuoted asks for a field whose value is words of the user's own.
func AskQuoted(name, value string) Option { return Option{Name: name, Value: value, Quote: true} }

// LeaveOut asks to leave a field out.
func LeaveOut(name string) Option { return Option{Name: name, Leave: true} }

func (o Option) String() string {
	flag := Flag(o.Name).String()
	switch {
	case o.Leave:
		return "leave " + flag + " out"
	case o.Value == "":
		return flag
	}
	return flag + " " + o.Written()
}

func (o Option) In(Style) string { return o.String() }

// Options lists the options in a text, in order.
func (t Text) Options() []Option {
	if t.open == nil {
		return nil
	}
	var out []Option
	for _, a := range t.open.args {
		switch a := a.(type) {
		case Option:
			out = append(out, a)
		case Text:
			out = append(out, a.Options()...)
		}
	}
	return out
}

// Worded returns the text with its options as word writes them.
func (t Text) Worded(word func(Option) string) Text {
	if len(t.Options()) == 0 {
		return t
	}
	args := make([]any, len(t.open.args))
	for i, a := range t.open.args {
		switch a := a.(type) {
		case Option:
			args[i] = word(a)
		case Text:
			args[i] = a.Worded(word)
		default:
			args[i] = a
		}
	}
	return Textf(t.open.format, args...)
}

// Written is the value of an option as a command line takes it.
func (o Option) Written() string {
	if o.Quote || strings.ContainsAny(o.Value, " \t") {
		return strconv.Quote(o.Value)
	}
	return o.Value
}

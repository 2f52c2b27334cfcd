package unit

import (
	"strconv"
	"strings"
)

// Flag is the name of an option of a command. It is always written as on a command line.
type Flag string

func (f Flag) String() string { return "--" + string(f) }

// Option is an option that a message asks for: a field of a job by its short name, and
// an example of its value. Each front end writes it in its own form through
// [Text.Worded]: a command as a flag, a job file as a line. The default form is a flag.
type Option struct {
	Name  string
	Value string // empty: names the field itself
	Quote bool   // the value has quotes on a command line, whatever it contains
	Leave bool   // asks to remove the field
}

// Ask returns a request for a field. An empty value only names the field.
func Ask(name, value string) Option { return Option{Name: name, Value: value} }

// AskQuoted returns a request for a field whose value is free text.
func AskQuoted(name, value string) Option { return Option{Name: name, Value: value, Quote: true} }

// LeaveOut returns a request to remove a field.
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

// Worded returns the text with its options written by word, which is called with the last option
// before it that has a value. Values with a space between them on a command line have "and" there.
func (t Text) Worded(word func(o, before Option) string) Text {
	var before Option
	return t.worded(word, &before)
}

func (t Text) worded(word func(o, before Option) string, before *Option) Text {
	if len(t.Options()) == 0 {
		return t
	}
	valued := func(i int) bool {
		o, is := t.open.args[i].(Option)
		return is && o.Value != ""
	}
	between := strings.Split(t.open.format, "%s")
	plain := len(between) == len(t.open.args)+1 // every verb is %s
	args := make([]any, len(t.open.args))
	for i, a := range t.open.args {
		switch a := a.(type) {
		case Option:
			args[i] = word(a, *before)
			if plain && i > 0 && between[i] == " " && valued(i-1) && valued(i) {
				between[i] = " and "
			}
			if a.Value != "" {
				*before = a
			}
		case Text:
			args[i] = a.worded(word, before)
		default:
			args[i] = a
		}
	}
	out := Textf(strings.Join(between, "%s"), args...)
	out.hint = t.hint
	return out
}

// Written returns the value of an option as typed on a command line.
func (o Option) Written() string {
	if o.Quote || strings.ContainsAny(o.Value, " \t") {
		return strconv.Quote(o.Value)
	}
	return o.Value
}

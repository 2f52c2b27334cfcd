package survey

import (
	"fmt"
	"slices"

	"pourplane/survey/unit"
)

// NoteKind is the reason for a note.
type NoteKind uint8

const (
	Assumed NoteKind = iota // how the input was read where it can be read in more than one way
	LeftOut                 // a row or point that is not used
	Warning                 // computed, but to be checked
	Caution                 // somebody can get hurt
)

func (k NoteKind) String() string {
	return [...]string{"assumed", "left out", "warning", "caution"}[k]
}

// Topic is the figure of a result that a note changes or qualifies. Such a note is shown
// beside that figure. Code tests the topic and never the text.
type Topic string

const (
	General       Topic = ""
	AboutOrder    Topic = "order"    // volumes, materials and price to order
	AboutTarget   Topic = "target"   // the target, and its steps at doors and drains
	AboutDepth    Topic = "depth"    // depths and volumes
	AboutLoad     Topic = "load"     // weight of the fill
	AboutSteel    Topic = "steel"    // bars or mesh
	AboutFlatness Topic = "flatness" // verdicts on a finished floor
)

// Note is reported with every result. A [LeftOut] note is about exactly one row, point
// or face, so that they can be counted.
type Note struct {
	Kind  NoteKind
	Topic Topic
	Pos   Pos
	Text  unit.Text
	Shot  string // name of a left-out shot that has a name and is in no list of points
	Empty bool   // the left-out cell of a grid is empty
	Dash  bool   // the left-out cell of a grid has a dash: nothing is to be read there
	Step  string // the step of the work that made it, where a later step may remove it; see [By]
}

// In writes the note with its place, and its quantities in style s.
func (n Note) In(s unit.Style) string {
	text := n.Text.In(s)
	if p := n.Pos.String(); p != "" {
		return p + ": " + text
	}
	return text
}

// String writes the note in metric units.
func (n Note) String() string { return n.In(unit.Style{}) }

// Notef returns a note. Its quantities are written when it is shown.
func Notef(k NoteKind, at Pos, format string, args ...any) Note {
	return Note{Kind: k, Pos: at, Text: unit.Textf(format, args...)}
}

// About returns the note with a topic.
func (n Note) About(t Topic) Note {
	n.Topic = t
	return n
}

// By marks notes as made by a step of the work and returns them.
func By(step string, notes []Note) []Note {
	out := slices.Clone(notes)
	for i := range out {
		out[i].Step = step
	}
	return out
}

// Without returns the notes except those made by the given steps.
func Without(notes []Note, steps ...string) []Note {
	return slices.DeleteFunc(slices.Clone(notes), func(n Note) bool { return n.Step != "" && slices.Contains(steps, n.Step) })
}

// Plural returns a count with its noun in the right form.
func Plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

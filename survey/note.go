package survey

import (
	"fmt"
	"slices"

	"pourplane/survey/unit"
)

// NoteKind says why something is told with a result.
type NoteKind uint8

const (
	Assumed NoteKind = iota // how the input was understood where it did not say
	LeftOut                 // a row or point that was not used
	Warning                 // computed, but look at it
	Caution                 // somebody can get hurt
)

func (k NoteKind) String() string {
	return [...]string{"assumed", "left out", "warning", "caution"}[k]
}

// Topic is the figure of a result that a note changes or qualifies. Such a note is
// shown beside that figure; code tests the topic and never reads the text.
type Topic string

const (
	General       Topic = ""
	AboutOrder    Topic = "order"    // what is bought: volumes, materials, price
	AboutTarget   Topic = "target"   // the plane, and what it leaves at doors and drains
	AboutDepth    Topic = "depth"    // depths and volumes
	AboutLoad     Topic = "load"     // what the fill weighs
	AboutFlatness Topic = "flatness" // verdicts on a finished floor
)

// Note is reported with every result. A [LeftOut] note stands for exactly one row,
// point or face, so that they can be counted.
type Note struct {
	Kind  NoteKind
	Topic Topic
	Pos   Pos
	Text  unit.Text
	Shot  string // name of the shot that was left out, where it has one and is in no list of points
	Empty bool   // left out is a cell of a grid in which nothing is written
	Step  string // of the work, that made it, where a later step may take it back; see [By]
}

// In writes the note with its place, its quantities in a style.
func (n Note) In(s unit.Style) string {
	text := n.Text.In(s)
	if p := n.Pos.String(); p != "" {
		return p + ": " + text
	}
	return text
}

// String is the note in metric units.
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

// By returns notes as made by a step of the work.
func By(step string, notes []Note) []Note {
	out := slices.Clone(notes)
	for i := range out {
		out[i].Step = step
	}
	return out
}

// Without returns notes less those that steps of the work made.
func Without(notes []Note, steps ...string) []Note {
	return slices.DeleteFunc(slices.Clone(notes), func(n Note) bool { return n.Step != "" && slices.Contains(steps, n.Step) })
}

// Plural counts things.
func Plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

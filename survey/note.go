package survey

import "fmt"

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

// Note is told with every result. A [LeftOut] note stands for exactly one row,
// point or face, so that they can be counted.
type Note struct {
	Kind NoteKind
	Pos  Pos
	Text string
}

func (n Note) String() string {
	if p := n.Pos.String(); p != "" {
		return p + ": " + n.Text
	}
	return n.Text
}

// Notef returns a note with formatted text.
func Notef(k NoteKind, at Pos, format string, args ...any) Note {
	return Note{k, at, fmt.Sprintf(format, args...)}
}

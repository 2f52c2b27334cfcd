package text

import (
	"math"

	"pourplane/survey"
)

// dialect is how a file is written: its text and its form. What is understood of it is
// noted in the survey.
type dialect struct {
	name    string
	o       survey.Options
	s       *survey.Survey
	text    text
	form    *form
	outline bool
	cells   *workbookSheet // what the text was made of; nil: it is a file's own
}

// delimiter names what separates the fields.
func (f *dialect) delimiter() string {
	if f.cells != nil {
		return "cells"
	}
	return separatorName(f.form.sep)
}

func (f *dialect) note(k survey.NoteKind, at survey.Pos, format string, args ...any) {
	f.s.Notes = append(f.s.Notes, survey.Notef(k, at, format, args...))
}

// leaveShot notes that a shot was left out, and why.
func (f *dialect) leaveShot(p survey.Point, format string, args ...any) {
	n := survey.Notef(survey.LeftOut, p.At, "%s"+format, append([]any{survey.Label(p)}, args...)...)
	n.Shot = survey.Abridged(p.Name)
	f.s.Notes = append(f.s.Notes, n)
}

// at is a line of the file.
func (f *dialect) at(line int) survey.Pos {
	p := survey.Pos{File: f.name, Line: line}
	if f.cells != nil {
		p.Sheet = f.cells.name
	}
	return p
}

// unplaced keeps a shot of known elevation that has no place: a finished floor needs none
// to set a target.
func (f *dialect) unplaced(p survey.Point, as survey.Role, z float64) {
	if as != survey.Floor && as != survey.Finished {
		return
	}
	p.X, p.Y, p.Z = math.NaN(), math.NaN(), z
	f.s.Heights = append(f.s.Heights, p)
}

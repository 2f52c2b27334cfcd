package text

import (
	"math"

	"pourplane/survey"
)

// dialect is how a file is written: its text and its form. Notes on it go to the survey
// s.
type dialect struct {
	name    string
	o       survey.Options
	s       *survey.Survey
	text    text
	form    *form
	outline bool
	cells   *workbookSheet // the sheet that the text was made from; nil for a text file
}

// delimiter returns the name of the field separator.
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
	n := survey.Notef(survey.LeftOut, p.At(), "%s"+format, append([]any{survey.Label(p)}, args...)...)
	n.Shot = survey.Abridged(p.Name())
	f.s.Notes = append(f.s.Notes, n)
}

// at returns the position of a line of the file.
func (f *dialect) at(line int) survey.Pos {
	p := survey.Pos{File: f.name, Line: line}
	if f.cells != nil {
		p.Sheet = f.cells.name
	}
	return p
}

// unplaced keeps a floor or finished-floor shot of elevation z, in m, that has no place:
// a target can be set from it.
func (f *dialect) unplaced(p survey.Point, as survey.Role, z float64) {
	if as != survey.Floor && as != survey.Finished {
		return
	}
	p.X, p.Y, p.Z = math.NaN(), math.NaN(), z
	f.s.Heights = append(f.s.Heights, p)
}

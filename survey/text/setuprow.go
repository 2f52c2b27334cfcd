package text

import (
	"fmt"
	"strings"

	"pourplane/survey"
)

// setupHead is a row with only the name of a set-up, above the sights from it.
type setupHead struct {
	name string
	at   survey.Pos
}

// headRow passes over a row without a reading. In a level book the name of a set-up alone heads
// the rows below it that name none.
func (f *Reader) headRow(r *row) {
	name := strings.Clone(strings.TrimSpace(r.Setup.text))
	if name == "" || !f.isLevelBook() {
		f.gapRow(name)
		return
	}
	f.passHead()
	f.head = setupHead{name, f.at(f.line)}
}

// setupIn returns the name of the set-up of a row: its own, or the one of the row that heads it;
// empty if neither names one.
func (f *Reader) setupIn(r *row) string {
	name := strings.Clone(strings.TrimSpace(r.Setup.text))
	switch {
	case name == "" || name == f.head.name:
		name, f.head = f.head.name, setupHead{}
	default:
		f.passHead()
	}
	return name
}

// passHead notes the name of a set-up with no sight below it.
func (f *Reader) passHead() {
	if f.head.name != "" {
		f.note(survey.LeftOut, f.head.at, "%q: a set-up with no sight of its own below it", survey.Abridged(f.head.name))
	}
	f.head = setupHead{}
}

// otherSetup refuses a sight of a book with columns BS, IS and FS that is from another set-up than
// the last backsight: the height of instrument is not known there. name is the set-up of the row,
// empty if not given. The row of a turning point may have the name of either set-up.
func (f *Reader) otherSetup(l bookLine, name string, at survey.Pos) *survey.Error {
	switch {
	case l.bs.ok && l.fs.ok:
		f.from = ""
	case l.bs.ok, f.from == "":
		f.from = name
	case name != "" && name != f.from:
		return &survey.Error{Pos: at, Found: fmt.Sprintf("a sight from set-up %s, where the last backsight is from %s", name, f.from), Want: "a backsight from set-up " + name + " first",
			Hint: "where the instrument was not moved, give the row the name " + f.from}
	}
	return nil
}
